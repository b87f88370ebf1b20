"""Amounts finer than the minor unit, and their way back to whole minor units.

Owns the grid, the posting of a series by cumulative rounding and the rounding of closing lines. Knows no lots.
Half-even after IEEE 754; the difference of rounded running totals is common practice, no source; largest
remainder after Hamilton.
"""

from __future__ import annotations

from array import array
from collections.abc import Iterable, Sequence

GRID = 10**18
"""Steps in one minor unit. What waits to be shared is less than one step for each weighted animal in thousandths: with
a million animals less than 10^-9 of a minor unit, should it all fall on the last one left. (At 10^-12 it would be a
thousandth of a minor unit, and no longer too small for rounding to see.)"""

SNAP = GRID // 10**6
"""Amounts this near to a half count as a half: 5/2 built up from thirds must round as 5/2 does."""

_BELOW = GRID // 2 - SNAP
_ABOVE = GRID // 2 + SNAP


def rounded(amount: int) -> int:
    """Whole minor units of an amount on the grid, a half (within `SNAP`) to the even one."""
    whole, rest = divmod(amount, GRID)
    if rest < _BELOW:
        return whole
    if rest > _ABOVE:
        return whole + 1
    return whole + (whole & 1)


def posted(series: Iterable[Sequence[int]], width: int) -> array[int]:
    """Whole minor units of each row of a series, so that the rows always sum to the rounded running total.

    Args:
        series: rows of `width` amounts on the grid, in the order they take effect; each column is its own series.
        width: number of columns (cost categories).

    Returns:
        `width` whole numbers for each row, row after row: R(x_1 + .. + x_i) - R(x_1 + .. + x_(i-1)).
    """
    running = [0] * width
    before = [0] * width
    out = array("q")
    for row in series:
        for column, amount in enumerate(row):
            running[column] += amount
            whole = rounded(running[column])
            out.append(whole - before[column])
            before[column] = whole
    return out


def whole_lines(total: int, amounts: Sequence[int]) -> list[int]:
    """Closing lines in whole minor units that sum to `total`.

    Args:
        total: minor units the lines must sum to: the sum of `amounts`, rounded.
        amounts: the lines on the grid.

    Returns:
        Each line rounded down, and one more for those with the largest fractions, the first winning a tie.

    Raises:
        ValueError: `total` is not a rounding of the sum.
    """
    lines = [amount // GRID for amount in amounts]
    left = total - sum(lines)
    if not 0 <= left <= len(lines):
        raise ValueError(f"{total} is not a rounding of the sum of the lines")
    for place in sorted(range(len(lines)), key=lambda i: -(amounts[i] % GRID))[:left]:
        lines[place] += 1
    return lines
