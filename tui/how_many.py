"""How many animals somebody wrote: a whole number, or 1.2.3 as males, females and those of neither yet.

Never imports the screen library; jot lines and fields read numbers alike.
"""

from __future__ import annotations

import re

from ledger.errors import BadInput
from ledger.wording import say

MOST_DIGITS = 40
"""More digits than these are no number at all; up to here each use says itself how many can be."""
_SEXED = re.compile(r"([0-9]+)\.([0-9]+)(?:\.([0-9]+))?")


def is_number(typed: str) -> bool:
    """Whether a word is a whole number."""
    return typed.isascii() and typed.isdigit()


def number_of(typed: str, field: str = "count") -> int:
    """The whole number a word is. Raises BadInput where it has too many digits."""
    if len(typed) > MOST_DIGITS:
        raise BadInput(say("A number of {digits} digits is too large; write a smaller one.", digits=len(typed)), field)
    return int(typed)


def by_sex(typed: str) -> tuple[tuple[str, int], ...] | None:
    """(sex, number) of 1.2.3, for each that is not nought; None where a word is not written so. Raises BadInput."""
    found = _SEXED.fullmatch(typed)
    if found is None:
        return None
    numbers = [number_of(part) if part else 0 for part in found.groups()]
    return tuple((sex, n) for sex, n in zip(("male", "female", "unsexed"), numbers, strict=True) if n)
