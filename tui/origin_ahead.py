"""What to say of the origin of a lot that is about to be entered, and what to record first to be able to say more."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ledger.wording import say, strung

if TYPE_CHECKING:
    from ledger.act import Plan
    from ledger.ledger import Ledger

REMEDIES = (
    (say("mated with before she came"), say("say if she came as a virgin (rearledger lot virgin)")),
    (say("no father on record"), say("record who was with her, and a mating if it was seen (rearledger lot with)")),
    (say("is not in the records"), say("record who was with her, and a mating if it was seen (rearledger lot with)")),
    (say("no mother on record"), say("name the mother")),
    (say("no laying or pairing date"), say("name the days of laying (rearledger lot parents)")),
    (say("without a document"), say("name the document that shows it")),
    (
        say("generation of a possible parent"),
        say("name a document for the parents' generation (rearledger lot stated)"),
    ),
)
"""A part of what the ledger says is missing, and what helps."""


def origin_ahead(ledger: Ledger, plan: Plan) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Sentences on the origin a planned lot will have, and cautions on what is missing to say more."""
    from ledger.origin.foretold import foretold
    from ledger.stock.lots import LotPlan

    if not isinstance(plan, LotPlan):
        return (), ()
    told = ledger.ask(foretold, plan)
    if told is None:
        return (), ()
    if not told.lacks:
        return (told.sentence,), ()
    helps = dict.fromkeys(remedy for part, remedy in REMEDIES if part in told.lacks)
    return (told.sentence,), (
        told.lacks,
        *((say("To say more: {helps}.", helps=strung(helps, "; ")),) if helps else ()),
    )
