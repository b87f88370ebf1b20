"""What the screen says of a command besides what the ledger says: new names, the origin of a new lot, what an undo took
back, and where the receipt is.

Records nothing and knows no widget.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from ledger.act import Done, Plan
from ledger.errors import Refused
from ledger.origin.commands import Expose
from ledger.records.commands import SetSetting
from ledger.records.settings import settings
from ledger.selling.commands import Sell, SellFairPack
from ledger.selling.fairs import LICENCE
from ledger.stock.commands import AddLot, HatchOut, Record, Undo
from ledger.stock.facts import fact_of
from ledger.stock.keeping import kept_rows
from ledger.wording import say, strung
from tui.jot_words import Vocabulary
from tui.new_names import new_names
from tui.origin_ahead import origin_ahead
from tui.taking_back import taken_back

if TYPE_CHECKING:
    from ledger.ledger import Ledger

REMINDERS = frozenset({LICENCE})
"""Cautions that every sale of a kind brings, and that tell nothing of the one sale."""
RECEIPT_KEY = say("ctrl-p shows its receipt.")


@dataclass(frozen=True, slots=True)
class Preview:
    """What would be recorded, as a screen says it."""

    sentence: str
    cautions: tuple[str, ...]
    plan: Plan
    """What the ledger planned, for a screen that says more of it."""


def preview(ledger: Ledger, command: object, vocabulary: Vocabulary) -> Preview:
    """What would be recorded, in words, with what to know first.

    Raises:
        Refused: it cannot be, and why.
    """
    plan = ledger.preview(command)
    fresh, doubts = to_know(ledger, command, vocabulary, plan)
    return Preview(strung((plan.sentence, *fresh), " "), (*plan.cautions, *doubts), plan)


def to_know(
    ledger: Ledger, command: object, vocabulary: Vocabulary, plan: Plan | None = None
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Sentences and cautions of the screen's own about a command, before it is recorded."""
    fresh, doubts = new_names(command, vocabulary)
    if isinstance(command, Record | HatchOut) and command.note:
        fresh = (*fresh, say("Note: {note}.", note=command.note.rstrip(".")))
    if isinstance(command, Expose) and command.to_on is None:
        doubts = (*doubts, *_for_sale(ledger, command))
    if not isinstance(command, AddLot):
        return fresh, doubts
    if command.mothers and command.place in vocabulary.places:
        fresh = (*fresh, say("It stands on: {place}.", place=command.place))
    try:
        said, lacking = origin_ahead(ledger, plan or ledger.preview(command), by_key=True)
    except Refused:
        # Recording says why; or it was recorded before with the same token, which is no refusal.
        return fresh, doubts
    return (*fresh, *said), (*doubts, *lacking)


def _for_sale(ledger: Ledger, pair: Expose) -> list[str]:
    """What to know of lots of a pair whose animals can be sold meanwhile."""
    lots = dict.fromkeys(one.partition("/")[0].upper() for one in (pair.female, pair.male))
    kept = {lot for row in ledger.ask(kept_rows) for lot in row.lots}
    try:
        sold_from = [
            lot for lot in lots if lot not in kept and ledger.ask(fact_of, lot, "purpose", ledger.today) == "sale"
        ]
    except Refused:
        return []
    return [
        say("{lot} is for sale: , and Keep back on its page takes the pair off the list.", lot=lot) for lot in sold_from
    ]


def told(ledger: Ledger, command: object, done: Done, known: tuple[tuple[str, ...], tuple[str, ...]]) -> Done:
    """What was recorded, with all that the screen says of it."""
    fresh, doubts = known
    sentence = taken_back(done, ledger) if isinstance(command, Undo) else done.sentence
    key = (RECEIPT_KEY,) if sold(command, done) else ()
    whole = strung((sentence, *fresh, *key), " ")
    return replace(done, sentence=whole, cautions=(*done.cautions, *doubts))


def language_settings(ledger: Ledger, command: object) -> Mapping[str, str] | None:
    """What the settings say of the screen's language, where a command may change it."""
    return ledger.ask(settings) if isinstance(command, SetSetting | Undo) else None


def sold(command: object, done: Done) -> str:
    """Number of the sale that was just made; nothing for any other act."""
    return str(done.refs.get("number", "")) if isinstance(command, Sell | SellFairPack) else ""


def once_a_day(done: Done, reminded: set[tuple[str, str]], today: dt.date) -> Done:
    """What was recorded, without what was called to mind today already: the preview of a form says it every time."""
    said = {(caution, today.isoformat()) for caution in done.cautions if caution in REMINDERS}
    left = tuple(caution for caution in done.cautions if (caution, today.isoformat()) not in reminded)
    reminded |= said
    return replace(done, cautions=left)
