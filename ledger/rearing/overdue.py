"""Animals that have been in a stage for far longer than any is expected to: the outlook can say little of them.

Pure values. It takes them to move on soon; more often they have moved on, or died, and nobody wrote it down.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from ledger.rearing.spells import Fate, Spell
from ledger.stock.words import stage_words
from ledger.wording import counted

if TYPE_CHECKING:
    from ledger.rearing.outlook import Group
    from ledger.rearing.phases import Guess

FAR = 1.5
"""So many times the longest known is far (common practice, no source)."""


def overdue(
    members: Mapping[str, Sequence[tuple[str, int, int]]],
    groups: Sequence[Group],
    stays: Sequence[Sequence[Spell]],
    guesses: Sequence[Guess | None],
) -> list[str]:
    """A sentence for each lot and stage with such animals.

    Args:
        members: by lot (stage, animals, its group or below nought).
        groups: living animals.
        stays: of the lots learned from.
        guesses: one for each stage on the way; None: own animals tell enough.
    """
    longest = [0 if guess is None else guess.days_high for guess in guesses]
    for lot in stays:
        for stay in lot:
            if stay.fate is Fate.ON and stay.state < len(longest):
                longest[stay.state] = max(longest[stay.state], stay.days)
    late: dict[tuple[str, str], list[tuple[int, int, int]]] = {}
    for code, parts in sorted(members.items()):
        for stage, count, at in parts:
            if at >= 0 and groups[at].age > FAR * longest[groups[at].stage]:
                late.setdefault((code, stage), []).append((count, groups[at].age, longest[groups[at].stage]))
    found = []
    for (code, stage), parts_late in late.items():
        number, oldest, long = sum(n for n, _, _ in parts_late), max(age for _, age, _ in parts_late), parts_late[0][2]
        found.append(
            counted(
                number,
                "{lot}: {n} {stage} has been there for up to {oldest} days, where {long} is long; "
                "taken to move on within days: look whether they are there",
                "{lot}: {n} {stage} have been there for up to {oldest} days, where {long} is long; "
                "taken to move on within days: look whether they are there",
                lot=code,
                stage=stage_words(stage, number),
                oldest=oldest,
                long=long,
            )
        )
    return found
