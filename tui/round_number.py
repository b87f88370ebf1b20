"""A number as it is typed into the row of a round: what it is of, its digits, and what stood there before.

Knows neither the screen nor the ledger.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from ledger.books.rounds_due import RoundTub
from tui.round_marks import MOVED, TubMarks, with_number, with_sexes

MOST_SEXES = 3
"""Males, females and those of neither yet."""


@dataclass(slots=True)
class TypedNumber:
    """Such a number."""

    what: str = ""
    """What it is about: died, moved or counted; empty: nothing was marked on this row."""
    on: bool = False
    """Whether digits belong to the row."""
    offered: bool = False
    """Whether a digit begins it: what it is of was marked just now."""
    fresh: bool = False
    """Whether the next digit begins the number anew."""
    parts: list[int] = field(default_factory=list)
    """One number, or males, females and unsexed."""
    before: TubMarks = field(default_factory=TubMarks)
    """The marks before it was typed."""
    which: bool = False
    """Whether it waits to be told what it is of."""
    at: str = ""
    """The row it belongs to."""

    def about(self, what: str, at: str) -> None:
        """What was marked last, and on which row."""
        self.what, self.at = what, at

    def begin(self, before: TubMarks, at: str) -> None:
        """The digits that follow are this number."""
        self.on = self.fresh = True
        self.offered = False
        self.before, self.at, self.parts = before, at, [0]

    def anew(self) -> None:
        """It cannot be as it was typed, and may be typed again."""
        self.fresh, self.parts = True, [0]

    def end(self) -> None:
        """It is as it stands."""
        self.on = self.fresh = self.offered = False

    @property
    def takes_digits(self) -> bool:
        """Whether the next digit is one of it."""
        return self.on or self.offered

    @property
    def by_sex(self) -> bool:
        """Whether a full stop may go on with it: only those that moved on are said by sex."""
        return self.on and self.what == MOVED

    def digit(self, digit: int) -> None:
        """One digit; the first begins it."""
        self.fresh = False
        self.parts[-1] = self.parts[-1] * 10 + digit

    def next_sex(self) -> bool:
        """Go on with the next sex; says whether it can be said by sex, and a digit came before."""
        able = self.by_sex and not self.fresh and len(self.parts) < MOST_SEXES
        if able:
            self.parts.append(0)
        return able

    @property
    def words(self) -> str:
        """What stands behind the marks of the row meanwhile."""
        if not self.on:
            return ""
        return f" ={'_' if self.fresh else '.'.join(map(str, self.parts)) if len(self.parts) > 1 else ''}"

    def put_on(self, tub: RoundTub, marks: TubMarks) -> TubMarks:
        """The marks with this number. Raises BadInput."""
        if len(self.parts) > 1:
            return with_sexes(tub, marks, self.parts)
        return with_number(tub, marks, self.what, self.parts[0])
