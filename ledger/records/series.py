"""Patterns of numbers on papers, as a keeper writes them: the first number as it shall look, YYYY or YY for the year.

`S-YYYY-0001` counts from 1 in each accounting year, `R-001` goes on through the years, and `RE-0213` goes on from the
213th of a notebook. A pattern without its digits is its layout, `S-YYYY-#`: numbers of one layout are one series,
however many digits they are written with. Knows no database.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

from ledger.errors import BadInput
from ledger.records.columns import FIRST_DAY, LAST_DAY
from ledger.text import clean, quoted
from ledger.wording import say

MOST_BESIDE = 12
"""Most characters of a pattern beside its digits; a number must fit a column of twenty."""
MOST_DIGITS = 6
_ALLOWED = re.compile(r"[A-Z][A-Z0-9.-]*[A-Z0-9]", re.ASCII)
_YEARS = re.compile(r"Y{2,}")
_PARTS = re.compile(r"Y{2,}|\d+|#")
_COUNTING = "#"


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of paper whose numbers are counted."""

    letter: str
    """What its usual numbers begin with."""
    setting: str
    """Name of the setting that holds its pattern."""
    usual: str
    """Its pattern while none was chosen."""
    one: str
    """What one paper is called."""


SALES = Kind("S", "sale numbers", "S-YYYY-0001", "sale")
CREDITS = Kind("C", "credit numbers", "C-YYYY-0001", "credit")
HOLDS = Kind("R", "hold numbers", "R-001", "hold")
KINDS = (SALES, CREDITS, HOLDS)


@dataclass(frozen=True, slots=True)
class Series:
    """Numbers that are counted together, year by year or through the years."""

    kind: Kind
    layout: str
    """`S-YYYY-#`."""

    @property
    def key(self) -> str:
        """What its counters are called; those of the usual numbers have the letter of their kind."""
        return (
            self.kind.letter
            if self.layout == read_pattern(self.kind.usual).layout
            else f"{self.kind.letter}:{self.layout}"
        )

    @property
    def yearly(self) -> bool:
        """Whether it begins anew in each accounting year."""
        return "YY" in self.layout

    def counted_in(self, year: int) -> int:
        """The year its counter has for a paper of that accounting year; 0 if it goes on through the years."""
        return year if self.yearly else 0

    def read(self, number: str) -> tuple[int, int] | None:
        """(year as it is written, 0 without one; which number) of a number that fits the layout."""
        found = _matcher(self.layout).fullmatch(number)
        return (int(found["year"]) if self.yearly else 0, int(found["n"])) if found else None

    def is_of(self, year: int, read: int) -> bool:
        """Whether what `read` gave as the year means the year of a counter."""
        return read == (year % 100 if self.yearly and "YYYY" not in self.layout else year)

    def spellings(self, number: str) -> tuple[str, ...]:
        """The same number with every count of digits it may be kept with; none if it does not fit."""
        found = _matcher(self.layout).fullmatch(number)
        if found is None:
            return ()
        before, after = number[: found.start("n")], number[found.end("n") :]
        n = int(found["n"])
        return tuple(dict.fromkeys(f"{before}{n:0{digits}d}{after}" for digits in range(1, MOST_DIGITS + 1)))


@dataclass(frozen=True, slots=True)
class Pattern:
    """How the numbers of a kind of paper look, and where they begin."""

    layout: str
    digits: int
    """Fewest that are written."""
    first: int

    @property
    def text(self) -> str:
        """As a keeper writes it."""
        return self.layout.replace(_COUNTING, f"{self.first:0{self.digits}d}")

    def number(self, year: int, n: int) -> str:
        """The n-th number, of a paper of an accounting year."""
        return _in_year(self.layout, year).replace(_COUNTING, f"{n:0{self.digits}d}")


@lru_cache(64)
def _in_year(layout: str, year: int) -> str:
    """A layout with its year filled in."""
    return _YEARS.sub(lambda found: f"{year:04d}"[-len(found[0]) :], layout)


@lru_cache(64)
def read_pattern(typed: str) -> Pattern:
    """Read a pattern; the last digits in it are those that count.

    Raises:
        BadInput: no number could be made of it, or not always another one.
    """
    text = clean(typed, limit=40, field="value").upper()
    if not text.isascii() or not _ALLOWED.fullmatch(text) or _YEARS.match(text):
        raise _no_pattern(
            typed,
            say("begin with a letter, and use letters, digits, hyphens and dots alone, such as S-YYYY-0001 or RE-0213"),
        )
    years = _YEARS.findall(text)
    if len(years) > 1 or any(len(one) not in (2, 4) for one in years):
        raise _no_pattern(typed, say("write the year once, as YYYY or YY"))
    runs = list(re.finditer(r"\d+", text))
    if not runs:
        raise _no_pattern(typed, say("write the first number out, such as 0001"))
    last = runs[-1]
    if not int(last[0]) > 0 or len(last[0]) > MOST_DIGITS:
        raise _no_pattern(typed, say("the first number is 1 or higher and has at most {n} digits", n=MOST_DIGITS))
    layout = text[: last.start()] + _COUNTING + text[last.end() :]
    if re.search(r"Y{2,}[\d#]|[\d#]Y{2,}", layout):
        raise _no_pattern(typed, say("put a letter, a hyphen or a dot between the year and other digits"))
    if len(layout) - 1 > MOST_BESIDE:
        raise _no_pattern(typed, say("it has at most {n} characters beside the digits", n=MOST_BESIDE))
    like_years = (len(run[0]) == 4 and FIRST_DAY.year <= int(run[0]) <= LAST_DAY.year for run in runs)
    if len(runs) > 1 and not years and any(like_years):
        raise _no_pattern(typed, say("write YYYY where the year stands, or it would never change"))
    return Pattern(layout, len(last[0]), int(last[0]))


def may_meet(one: str, other: str) -> bool:
    """Whether numbers of two layouts could ever be the same.

    A number falls apart into runs of digits and what stands between them in one way only, as years and counting digits
    never touch other digits. Two layouts can only meet if everything between agrees and each pair of runs can.
    """
    if _PARTS.split(one) != _PARTS.split(other):
        return False
    pairs = zip(_PARTS.findall(one), _PARTS.findall(other), strict=True)
    return all(_can_be_same(left, right) for left, right in pairs)


def _can_be_same(left: str, right: str) -> bool:
    if _COUNTING in (left, right):
        return True
    if left.isdigit() and right.isdigit():
        return left == right
    return len(left) == len(right)


def _matcher(layout: str) -> re.Pattern[str]:
    parts = re.split(r"(Y{2,}|#)", layout)
    return re.compile(
        "".join(
            r"(?P<n>\d+)"
            if part == _COUNTING
            else rf"(?P<year>\d{{{len(part)}}})"
            if _YEARS.fullmatch(part)
            else re.escape(part)
            for part in parts
        ),
        re.ASCII,
    )


def _no_pattern(typed: str, instead: str) -> BadInput:
    return BadInput(say("{typed} is no pattern for numbers: {instead}.", typed=quoted(typed), instead=instead), "value")
