"""Sell now or rear on, against worked values.

Made with the methods named in the module (Raiffa & Schlaifer 1961; the newsvendor of Arrow, Harris & Marschak 1951) and
computed apart from it, the value of information on a grid of 200,000 points and the counts in exact fractions: 4 now,
13 of 20 reared so far.
"""

from __future__ import annotations

import dataclasses

import pytest

from ledger.rearing.beta import jeffreys
from ledger.rearing.rear_or_sell import RearOrSell, how_many_to_rear

CHOICE = RearOrSell(now=4, later=9, to_come=0.02 * 60, share=jeffreys(13, 20), delay=1.0)


def test_the_choice_has_its_break_even_its_certainty_its_gain_and_the_worth_of_knowing() -> None:
    assert CHOICE.break_even_share == pytest.approx(0.5777777778, abs=1e-10)
    assert CHOICE.sure == pytest.approx(0.7405857573, abs=1e-10)
    assert CHOICE.reared == pytest.approx(4.5857142857, abs=1e-10)
    assert CHOICE.gain == pytest.approx(0.5857142857, abs=1e-10)
    assert CHOICE.wrong == pytest.approx(0.1558163, abs=6e-8)


def test_thirty_larvae_and_twelve_buyers_are_best_served_by_rearing_fourteen() -> None:
    few = how_many_to_rear(CHOICE, animals=30, buyers=12)

    assert few.best == 14
    assert few.values[14] == pytest.approx(127.660774555661, abs=1e-10)
    assert few.values[15] == pytest.approx(127.338435143291, abs=1e-10)
    assert few.sell_all == 120
    assert few.rear_all == pytest.approx(71.3825062630, abs=1e-10)


def test_a_known_share_would_rear_only_as_many_as_the_buyers_need_and_be_wrong() -> None:
    """Control: without what is not known of the share, another number is best."""
    known = dataclasses.replace(CHOICE, share=jeffreys(13_000, 20_000))

    assert known.wrong == pytest.approx(0, abs=1e-9)
    assert how_many_to_rear(known, 30, 12).values[14] != pytest.approx(127.660774555661, abs=0.5)
