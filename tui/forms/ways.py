"""How animals are sold and paid for, as forms offer it."""

from __future__ import annotations

from ledger.errors import BadInput, Refused
from ledger.wording import say

CHANNELS = ("collection", "post", "fair", "trade", "other")
METHODS = ("cash", "transfer", "card")
ALL, LATER = say("all of it"), "later"


def asking_why(refusal: Refused) -> Refused:
    """A refusal of a price of nought asks for its reason in the note, where a form takes it."""
    return BadInput(refusal.sentence, "note") if refusal.field == "price_zero_reason" else refusal


def is_free(typed: str) -> bool:
    """Whether a price as typed is nothing: '0', '0.00'."""
    return bool(typed.strip()) and not typed.strip().strip("0.,")
