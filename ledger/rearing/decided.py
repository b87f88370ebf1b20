"""How much is known of the way from a stage on. Pure numbers."""

from __future__ import annotations

from collections.abc import Sequence

from ledger.rearing.phases import GUESS_WEIGHT
from ledger.rearing.spells import DECIDED, Spell


def decided(stays: Sequence[Sequence[Spell]], at: int) -> float:
    """How many animals tell of the way from a stage on: the guess, and those decided in the stage that tells least."""
    counts: dict[int, int] = {}
    for lot in stays:
        for stay in lot:
            if stay.state >= at and stay.fate in DECIDED:
                counts[stay.state] = counts.get(stay.state, 0) + stay.count
    return GUESS_WEIGHT + min(counts.values(), default=0)
