"""What to say of the origin of a lot that is about to be entered, and what to record first to be able to say more."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ledger.wording import say, strung

if TYPE_CHECKING:
    from ledger.act import Plan
    from ledger.ledger import Ledger

_WITH = (
    say("record who was with her, and a mating if it was seen (rearledger lot with)"),
    say("record who was with her, and a mating if it was seen (on the page of her lot: the comma key, then Together)"),
)
REMEDIES = (
    (
        say("mated with before she came"),
        say("say if she came as a virgin (rearledger lot virgin)"),
        say("say if she came as a virgin (on the page of her lot: the comma key, then Virgin or not)"),
    ),
    (say("no father on record"), *_WITH),
    (say("is not in the records"), *_WITH),
    (say("no mother on record"), say("name the mother"), say("name the mother")),
    (
        say("no laying or pairing date"),
        say("name the days of laying (rearledger lot parents)"),
        say("name the days of laying (on the page of the lot: the comma key, then Parents)"),
    ),
    (say("without a document"), say("name the document that shows it"), say("name the document that shows it")),
    (
        say("generation of a possible parent"),
        say("name a document for the parents' generation (rearledger lot stated)"),
        say(
            "name a document for the parents' generation (on the page of their lot: the comma key, then State its "
            "origin)"
        ),
    ),
)
"""A part of what the ledger says is missing, and what helps: by a command, and on the screen."""


def origin_ahead(ledger: Ledger, plan: Plan, *, by_key: bool = False) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Sentences on the origin a planned lot will have, and cautions on what is missing to say more.

    Args:
        ledger: the open ledger.
        plan: what it planned.
        by_key: whether what helps is said as the screen has it, not as a command.
    """
    from ledger.origin.foretold import foretold
    from ledger.stock.lots import LotPlan

    if not isinstance(plan, LotPlan):
        return (), ()
    told = ledger.ask(foretold, plan)
    if told is None:
        return (), ()
    if not told.lacks:
        return (told.sentence,), ()
    helps = dict.fromkeys(key if by_key else command for part, command, key in REMEDIES if part in told.lacks)
    return (told.sentence,), (
        told.lacks,
        *((say("To say more: {helps}.", helps=strung(helps, "; ")),) if helps else ()),
    )
