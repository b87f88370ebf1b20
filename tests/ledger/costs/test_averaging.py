"""A store at its moving average: the published example, its edges, and that it always adds up."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from ledger.costs.averaging import Back, In, Lacking, Move, Out, Store, Undone, played
from ledger.costs.grid import GRID

ONE = 1000
"""Thousandths in one unit."""


def issued(moves: list[Move]) -> tuple[list[Fraction], Store]:
    """What each taking came to, exactly, and the store after all."""
    store, found = Store(), []
    for move in moves:
        store.play(move)
        if isinstance(move, Out):
            found.append(Fraction(store.exact, GRID))
    return found, store


def test_the_moving_average_of_the_published_example_is_exact() -> None:
    """OpenStax, Principles of Accounting, volume 1, ch. 10: 150 at 21, 225 at 27, 210 at 33; 120 and 180 go out."""
    moves = [
        In(1, 150 * ONE, 150 * 21_00),
        Out(1, 120 * ONE),
        In(2, 225 * ONE, 225 * 27_00),
        Out(2, 180 * ONE),
        In(3, 210 * ONE, 210 * 33_00),
    ]

    out, store = issued(moves)

    assert out[0] == 120 * 21_00
    assert abs(out[1] / 180 - Fraction(447_00, 17)) < Fraction(1, 10**12)
    assert abs(sum(out) - Fraction(7252_94)) < 1
    assert abs(Fraction(store.value, GRID) - Fraction(8902_06)) < 1
    assert round(store.value / GRID / 285 / 100, 4) == 31.2353
    assert sum(part for parts in played(moves)[1] for _, part in parts) == 7252_94
    assert sum(store.rest.values()) == 8902_06


def test_all_bought_before_anything_goes_out_is_the_average_of_the_period() -> None:
    """The same figures in the periodic way: 16,155 for 585 is 359/13; the book rounds first and prints 8,283."""
    moves: list[Move] = [
        In(1, 150 * ONE, 150 * 21_00),
        In(2, 225 * ONE, 225 * 27_00),
        In(3, 210 * ONE, 210 * 33_00),
        Out(1, 300 * ONE),
    ]

    (out,), store = issued(moves)

    assert abs(out / 300 - Fraction(359_00, 13)) < Fraction(1, 10**12)
    assert round(float(out) / 100, 2) == 8284.62
    assert round(store.value / GRID / 100, 2) == 7870.38


def test_a_store_that_is_empty_has_given_out_what_was_paid() -> None:
    moves: list[Move] = [In(1, 3 * ONE, 1000), Out(1, ONE), Out(2, ONE), Out(3, ONE)]

    store, left = played(moves)

    assert [sum(part for _, part in parts) for parts in left[1:]] == [333, 334, 333]
    assert (store.quantity, store.value, sum(store.rest.values())) == (0, 0, 0)


def test_more_than_there_is_does_not_go_out() -> None:
    with pytest.raises(Lacking) as lacking:
        played([In(1, 2 * ONE, 500), Out(1, ONE), Out(2, 2 * ONE)])

    assert (lacking.value.place, lacking.value.there) == (2, ONE)


def test_a_refund_lowers_the_average_of_what_is_left() -> None:
    out, _ = issued([In(1, 10 * ONE, 1000), Out(1, 5 * ONE), Back(1, 200), Out(2, 5 * ONE)])

    assert out == [500, 300]


def test_a_refund_of_what_is_gone_comes_back_out_of_what_was_used() -> None:
    store, left = played([In(1, 10 * ONE, 1000), Out(1, 10 * ONE), Back(1, 200)])

    assert left == [[], [(1, 1000)], [(1, -200)]]
    assert (store.value, store.rest) == (0, {1: 0})


def test_a_purchase_taken_back_leaves_with_its_quantity() -> None:
    store, _ = played([In(1, ONE, 100), In(2, ONE, 300), Undone(2, ONE, 300)])

    assert (store.quantity, store.value // GRID, store.rest) == (ONE, 100, {1: 100, 2: 0})


@settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.lists(st.tuples(st.sampled_from("iiob"), st.integers(1, 9000), st.integers(1, 99999)), max_size=40))
def test_what_went_out_and_what_is_left_are_what_was_paid(story: list[tuple[str, int, int]]) -> None:
    moves: list[Move] = []
    store = Store()
    paid = gone = 0
    bought: dict[int, int] = {}
    for what, quantity, amount in story:
        move: Move
        if what == "i" or not bought:
            move = In(len(moves), quantity, amount)
            bought[len(moves)] = amount
            paid += amount
        elif what == "o":
            if not store.quantity:
                continue
            move = Out(len(moves), min(quantity, store.quantity))
        else:
            number = max(bought)
            back = min(amount, bought[number])
            if not back:
                continue
            bought[number] -= back
            paid -= back
            move = Back(number, back)
        moves.append(move)
        gone += sum(part for _, part in store.play(move))

        assert gone + sum(store.rest.values()) == paid
        assert store.value >= 0
        assert abs(sum(store.rest.values()) * GRID - store.value) <= GRID // 2 + GRID // 10**6
