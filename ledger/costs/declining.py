"""Declining balance: a column of the equipment register, for keepers whose adviser asks. Costing never uses it.

Each year takes a fixed part of what is left, never below what the thing will still be worth (OpenStax, Principles of
Accounting, volume 1, ch. 11: double the straight-line rate). Allowances of tax law are another matter. Pure.
"""

from __future__ import annotations

from fractions import Fraction

DOUBLE = 2


def declining_left(cost: int, residual: int, life_days: int, days: int) -> Fraction:
    """What is left after some days, each year of use taking its part in equal parts a day.

    Args:
        cost, residual: minor units, `residual` at most `cost`.
        life_days: days of its life; years of use are 365 days.
        days: in use so far.
    """
    years = Fraction(life_days, 365)
    left = Fraction(cost)
    while days > 0:
        part = min(left * min(Fraction(1), DOUBLE / years), left - residual)
        used = min(days, 365)
        left -= part * used / 365
        days -= 365
    return left
