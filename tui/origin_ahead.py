"""What to say of the origin of a lot that is about to be entered, and what to record first to be able to say more."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ledger.act import Plan
    from ledger.ledger import Ledger

REMEDIES = (
    ("mated with before she came", "say if she came as a virgin (rearledger lot virgin)"),
    ("no father on record", "record who was with her, and a mating if it was seen (rearledger lot with)"),
    ("is not in the records", "record who was with her, and a mating if it was seen (rearledger lot with)"),
    ("no mother on record", "name the mother"),
    ("no laying or pairing date", "name the days of laying (rearledger lot parents)"),
    ("without a document", "name the document that shows it"),
    ("generation of a possible parent", "name a document for the parents' generation (rearledger lot stated)"),
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
    return (told.sentence,), (told.lacks, *((f"To say more: {'; '.join(helps)}.",) if helps else ()))
