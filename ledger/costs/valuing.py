"""Other ways to put a value on what is alive at the end of a year. Pure; the books themselves stand at actual cost.

A standard cost for each class by its normal cost to raise, and the step-up of animals bought, after the unit-livestock-
price method (26 CFR 1.471-6(e)-(g)); the lower of cost and net realisable value item by item (IAS 2, paragraph 9).
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from fractions import Fraction

Amount = int | Fraction


def at_standard(classes: Iterable[tuple[int, Amount]]) -> Fraction:
    """Value of animals raised here.

    Args:
        classes: (animals, standard cost of one) of each class.
    """
    return sum((count * Fraction(each) for count, each in classes), Fraction(0))


def in_last_half(bought_on: dt.date, first_day: dt.date, last_day: dt.date) -> bool:
    """Whether a day lies in the last six months of a year.

    Args:
        bought_on: the day.
        first_day, last_day: of an accounting year of twelve months.
    """
    month = (first_day.month + 5) % 12 + 1
    half = dt.date(first_day.year + (first_day.month > 6), month, first_day.day)
    return half <= bought_on <= last_day


def bought_value(
    price: Amount, bought_on: dt.date, years: Sequence[tuple[dt.date, dt.date]], steps: Sequence[Amount]
) -> Fraction:
    """Value of one animal bought, after the ends of some years: its price, and a step for each year.

    Args:
        price: what it cost.
        bought_on: day of purchase.
        years: first and last day of each accounting year from that of the purchase on.
        steps: what each year adds to an animal of its class; nothing once it is mature.

    Returns:
        The value at the end of the last year. The year of purchase adds nothing if the animal came in its last six
        months.
    """
    value = Fraction(price)
    for (first, last), step in zip(years, steps, strict=True):
        if not in_last_half(bought_on, first, last):
            value += Fraction(step)
    return value


def lower(cost: Amount, realisable: Amount) -> Fraction:
    """The lower of cost and net realisable value of one item."""
    return min(Fraction(cost), Fraction(realisable))


def write_down(items: Iterable[tuple[Amount, Amount]]) -> Fraction:
    """How much lower than cost items stand, each by itself: a gain on one never hides a loss on another.

    Args:
        items: (cost, net realisable value) of each.
    """
    return sum((Fraction(cost) - lower(cost, value) for cost, value in items), Fraction(0))
