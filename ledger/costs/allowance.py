"""How much of a death the survivors carry: losses within the expected rate, beyond it, and not to be expected.

Pure arithmetic in thousandths of an animal. Normal and abnormal loss as in process costing, the rate taken on what
enters the stage (ACCA, Process costing); a better survival than expected is no gain, only a lower cost each.
"""

from __future__ import annotations

ANIMAL = 1000
"""Thousandths in one animal: a split divides what is left of an allowance, a merge adds it up again."""

EXCEPTIONAL = "exceptional"
ORDINARY = "ordinary"


def allowed(rate: int, entrants: int, early: int) -> int:
    """Deaths to be expected of those who entered a stage and did not leave it early, in thousandths.

    Args:
        rate: expected loss in millionths.
        entrants: entered the stage, in thousandths of an animal.
        early: left it alive before its end (sold, given), in thousandths.
    """
    return rate * (entrants - early) // 10**6


def normal(deaths: int, cause: str | None, rate: int | None, entrants: int, early: int, used: int) -> int:
    """Thousandths of `deaths` animals whose cost the survivors carry.

    Args:
        deaths: animals.
        cause: 'ordinary' is carried whole, 'exceptional' not at all; any other, or none, up to the allowance.
        rate: expected loss of the stage in millionths; `None` where none is set, and all is carried.
        entrants, early: as in `allowed`.
        used: thousandths of the allowance that earlier deaths have used.
    """
    whole = ANIMAL * deaths
    if cause == EXCEPTIONAL:
        return 0
    if cause == ORDINARY or rate is None:
        return whole
    return min(max(allowed(rate, entrants, early) - used, 0), whole)


def lost_share(count: int, deaths: int, carried: int) -> tuple[int, int]:
    """Share of the cost of `count` animals written off when `deaths` die and `carried` thousandths are normal.

    Returns:
        Numerator and denominator: each animal beyond the normal loss costs B / (count - normal); a group that dies
        out is written off whole.
    """
    if deaths == count:
        return 1, 1
    return ANIMAL * deaths - carried, ANIMAL * count - carried
