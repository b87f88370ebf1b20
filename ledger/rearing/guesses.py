"""What is thought of the stages of a species before own animals tell, from its figures; and what own animals told."""

from __future__ import annotations

from collections.abc import Sequence

from ledger.rearing.phases import GUESS_WEIGHT, Guess
from ledger.rearing.spells import Fate, Spell
from ledger.rearing.stays_of import Learned
from ledger.stock.figures import Figures
from ledger.stock.naming import StageRef
from ledger.wording import say, word


def guesses_of(
    known: Figures, species_id: int, way: Sequence[StageRef], told: Learned
) -> tuple[list[Guess | None], dict[int, str], list[str]]:
    """A guess for each stage, stages of which nothing is known, and words on each."""
    guesses: list[Guess | None] = []
    unknown: dict[int, str] = {}
    words = []
    for at, stage in enumerate(way):
        low, high = (known.of(species_id, stage.id, name) for name in ("days low", "days high"))
        share = known.of(species_id, stage.id, "planning survival")
        guess = None
        if low is not None and high is not None and share is not None:
            guess = Guess(low, high, min(max(share / 1_000_000, 0.001), 0.999))
        moved, lost = (_number(told.stays, at, fate) for fate in (Fate.ON, Fate.LOST))
        if guess is None and not moved:
            unknown[at] = stage.name
        guesses.append(guess)
        own = (
            say("{moved} of {number} own animals moved on", moved=moved, number=moved + lost)
            if moved + lost
            else say("none of your own yet")
        )
        usual = ""
        if guess is not None and share is not None:
            usual = say(
                "; the usual {low} to {high} days and {share} % count as {weight} more",
                low=low,
                high=high,
                share=f"{share / 10_000:.0f}",
                weight=f"{GUESS_WEIGHT:.0f}",
            )
        words.append(say("{stage}: {own}{usual}", stage=word(stage.name), own=own, usual=usual))
    return guesses, unknown, words


def _number(stays: Sequence[Sequence[Spell]], state: int, fate: Fate) -> int:
    return sum(stay.count for lot in stays for stay in lot if stay.state == state and stay.fate is fate)
