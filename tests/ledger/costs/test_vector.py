"""Amounts of all categories in one number behave like the amounts one by one."""

from __future__ import annotations

import random

import pytest

from ledger.costs.vector import LARGEST, Cut, Lanes, Vector

WIDTH = 5


def amounts(rng: random.Random, bits: int) -> list[int]:
    return [rng.choice([0, 1, rng.getrandbits(bits), -rng.getrandbits(bits)]) for _ in range(WIDTH)]


@pytest.mark.parametrize("bits", [1, 40, 80, 111])
def test_what_is_put_together_comes_apart_again_below_nought_too(bits: int) -> None:
    rng, vector = random.Random(bits), Vector(WIDTH)
    for _ in range(200):
        wanted = amounts(rng, bits)

        assert vector.apart(vector.together(wanted)) == wanted


def test_adding_and_multiplying_serve_each_amount() -> None:
    rng, vector = random.Random(2), Vector(WIDTH)
    for _ in range(200):
        one, other, times = amounts(rng, 80), amounts(rng, 80), rng.randint(-1000, 1000)

        found = vector.apart(vector.together(one) + times * vector.together(other))

        assert found == [a + times * b for a, b in zip(one, other, strict=True)]


def test_a_share_is_each_amount_rounded_down() -> None:
    rng, vector = random.Random(3), Vector(WIDTH)
    for _ in range(2000):
        denominator = rng.randint(1, 10**6)
        numerator = rng.randint(0, denominator)
        whole = [abs(amount) for amount in amounts(rng, rng.choice([10, 60, 90]))]

        found = vector.apart(vector.share(vector.together(whole), numerator, denominator))

        assert found == [amount * numerator // denominator for amount in whole]


def test_a_share_of_the_largest_amounts_or_of_those_below_nought_is_at_most_a_step_beside() -> None:
    rng, vector = random.Random(4), Vector(WIDTH)
    for _ in range(2000):
        denominator = rng.randint(1, 10**6)
        numerator = rng.randint(0, denominator)
        whole = [*amounts(rng, 111)[:-2], LARGEST - 1, 1 - LARGEST]

        found = vector.apart(vector.share(vector.together(whole), numerator, denominator))

        assert all(
            abs(part - amount * numerator // denominator) <= 1 for part, amount in zip(found, whole, strict=True)
        )


def test_a_share_never_takes_more_than_there_is() -> None:
    rng, vector = random.Random(5), Vector(WIDTH)
    for _ in range(2000):
        denominator = rng.randint(2, 10**6)
        whole = [rng.getrandbits(rng.choice([1, 5, 20, 112])) for _ in range(WIDTH)]

        found = vector.apart(vector.share(vector.together(whole), denominator - 1, denominator))

        assert all(0 <= part <= amount for part, amount in zip(found, whole, strict=True))


def test_stages_behind_each_other_fold_into_their_sum() -> None:
    rng = random.Random(6)
    vector, long = Vector(WIDTH), Vector(3 * WIDTH)
    for _ in range(200):
        rows = [amounts(rng, 90) for _ in range(3)]
        whole = long.together([amount for row in rows for amount in row])

        assert vector.apart(vector.folded(whole, 3)) == [sum(column) for column in zip(*rows, strict=True)]


@pytest.mark.parametrize("places", [(0,), (3,), (4,), (1, 2), (0, 2, 4)])
def test_some_amounts_are_taken_out_and_put_back_and_the_others_stay(places: tuple[int, ...]) -> None:
    rng, vector, few = random.Random(5), Vector(WIDTH), Vector(len(places))
    lanes = Lanes(places, WIDTH)
    for _ in range(500):
        wide, other = amounts(rng, 100), amounts(rng, 100)[: len(places)]

        assert few.apart(lanes.take(vector.together(wide))) == [wide[place] for place in places]
        wanted = [dict(zip(places, other, strict=True)).get(place, amount) for place, amount in enumerate(wide)]
        assert vector.apart(lanes.put(vector.together(wide), few.together(other))) == wanted


def test_categories_are_cut_out_of_every_stage_of_an_amount_that_keeps_stages_apart() -> None:
    cut, whole = Cut((2, 0), 3, 2), Vector(6)

    assert Vector(4).apart(cut.whole.take(whole.together([1, 2, 3, -4, 5, -6]))) == [3, 1, -6, -4]
    assert Vector(2).apart(cut.by_category.take(Vector(3).together([1, 2, 3]))) == [3, 1]
