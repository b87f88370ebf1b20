"""Cost of one adult before it is reared, from the cost of entering each stage and the survival of each stage.

Exact fractions; says nothing of the uncertainty of survival. The pattern is that of Hastings, The Dollar Hen (1909):
entry cost over cumulative survival, plus the costs of later stages.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction


def reaching(survival: Sequence[Fraction]) -> Fraction:
    """Part of those entering the first of the stages that come through them all."""
    through = Fraction(1)
    for part in survival:
        through *= part
    return through


def cost_per_adult(entering: Sequence[Fraction], survival: Sequence[Fraction]) -> Fraction:
    """Cost of one adult: the sum over stages of c_s / (p_s x p_(s+1) x ..).

    Args:
        entering: c_s, cost of one animal entering each stage, in minor units.
        survival: p_s, part of those entering each stage that come through it, in the same order; above 0, at most 1.

    Raises:
        ValueError: as many of the one as of the other, or a survival outside its range.
    """
    if len(entering) != len(survival):
        raise ValueError("one survival for each stage")
    if not all(0 < part <= 1 for part in survival):
        raise ValueError("survival lies above 0 and at most at 1")
    return sum(
        (cost / reaching(survival[place:]) for place, cost in enumerate(entering)),
        start=Fraction(0),
    )
