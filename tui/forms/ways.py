"""How animals are sold and paid for, as forms offer it."""

from __future__ import annotations

from ledger.errors import Ambiguous, BadInput, Refused
from ledger.wording import listed, say, strung
from tui.ways import CHANNELS

OFFERED_CHANNELS = ("collection", *(channel for channel in CHANNELS if channel != "collection"))
"""The usual one first."""
ALL, LATER = say("all of it"), "later"


def asking_why(refusal: Refused) -> Refused:
    """A refusal of a price of nought asks for its reason in the note, where a form takes it."""
    return BadInput(refusal.sentence, "note") if refusal.field == "price_zero_reason" else refusal


def about_picks(refusal: Refused, field: str = "picks") -> Refused:
    """A refusal about one of the animals, where a form names them in one field: 'P08 3 L3 and E03 1.1'."""
    if refusal.field not in ("lot", "count", "stage", "sex", "tub"):
        return refusal
    ways = refusal.choices[:3] if isinstance(refusal, Ambiguous) else ()
    how = say(" Write {ways}.", ways=listed(ways, "or")) if ways else ""
    return BadInput(strung((refusal.sentence, how), ""), field)


def is_free(typed: str) -> bool:
    """Whether a price as typed is nothing: '0', '0.00'."""
    return bool(typed.strip()) and not typed.strip().strip("0.,")
