"""Leafing from one accounting year to the next, as far as the ledger has years."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ledger.errors import Refused
from ledger.records.periods import period_by_year
from tui.widgets.foot import Answer

if TYPE_CHECKING:
    from ledger.ledger import Ledger
    from tui.app import Desk


def year_name(ledger: Ledger, year: int) -> str:
    """What an accounting year is called; its number where the ledger has no such year."""
    try:
        return ledger.ask(period_by_year, year).name
    except Refused:
        return str(year)


def leafed(desk: Desk, year: int, step: int) -> int:
    """The year so many on; where the ledger has none, the year it was, and why is said."""
    try:
        desk.ledger.ask(period_by_year, year + step)
    except Refused as refusal:
        desk.say(Answer(refusal.sentence, "refused"))
        return year
    return year + step
