"""Sharing out and rounding of money against published figures."""

from decimal import ROUND_HALF_EVEN, Decimal

import pytest

from ledger.money import largest_remainder, round_half_even

# Seats of the first United States House by Hamilton's method; census of 1790, 60 seats (electowiki,
# "Hamilton method").
CENSUS_1790 = {
    "Virginia": (630_560, 11),
    "Massachusetts": (475_327, 8),
    "Pennsylvania": (432_879, 7),
    "North Carolina": (353_523, 6),
    "New York": (331_589, 6),
    "Maryland": (278_514, 5),
    "Connecticut": (236_841, 4),
    "South Carolina": (206_236, 3),
    "New Jersey": (179_570, 3),
    "New Hampshire": (141_822, 2),
    "Vermont": (85_533, 1),
    "Georgia": (70_835, 1),
    "Kentucky": (68_705, 1),
    "Rhode Island": (68_446, 1),
    "Delaware": (55_540, 1),
}


def test_the_census_of_1790_gives_the_published_sixty_seats() -> None:
    populations = [population for population, _ in CENSUS_1790.values()]

    seats = largest_remainder(60, populations)

    assert sum(populations) == 3_615_920
    assert dict(zip(CENSUS_1790, seats, strict=True)) == {
        state: expected for state, (_, expected) in CENSUS_1790.items()
    }


def test_rounding_each_state_to_the_nearest_would_not_give_sixty_seats() -> None:
    populations = [population for population, _ in CENSUS_1790.values()]

    naive = [round_half_even(60 * population, sum(populations)) for population in populations]

    assert sum(naive) != 60


def test_forty_two_seats_are_shared_as_published() -> None:
    # electowiki, "Hamilton method": a second worked example.
    assert largest_remainder(42, (247_000, 185_000, 459_000, 400_000, 413_000)) == (6, 5, 11, 10, 10)


@pytest.mark.parametrize(("ratios", "shares"), [((3, 7), (2, 3)), ((7, 3), (4, 1))])
def test_foemmels_conundrum_loses_and_makes_no_cent(ratios: tuple[int, int], shares: tuple[int, int]) -> None:
    # Fowler, Patterns of Enterprise Application Architecture, "Money": five cents at 30 and 70 per cent.
    # Which account gets the odd cent is for the order of the accounts to say.
    assert largest_remainder(5, ratios) == shares


def test_foemmels_conundrum_defeats_plain_rounding() -> None:
    exact = [Decimal(5) * ratio / 10 for ratio in (3, 7)]

    assert sum(value.to_integral_value(ROUND_HALF_EVEN) for value in exact) == 6
    assert sum(int(value) for value in exact) == 4


@pytest.mark.parametrize(
    ("numerator", "denominator", "expected"),
    [
        (1, 2, 0),
        (3, 2, 2),
        (5, 2, 2),
        (7, 2, 4),
        (-5, 2, -2),
        # To one decimal: 12.25 -> 12.2 and 12.35 -> 12.4, here in tenths.
        (1225, 10, 122),
        (1235, 10, 124),
    ],
)
def test_a_half_goes_to_the_even_neighbour_as_in_ieee_754(numerator: int, denominator: int, expected: int) -> None:
    assert round_half_even(numerator, denominator) == expected


def test_a_year_shared_once_reaches_every_lot() -> None:
    # Ten cents a day over forty equal lots for a year: exactly 91.25 cents each.
    assert largest_remainder(3650, (1,) * 40) == (92,) * 10 + (91,) * 30


def test_a_year_shared_day_by_day_starves_most_lots() -> None:
    totals = [0] * 40
    for _ in range(365):
        totals = [total + share for total, share in zip(totals, largest_remainder(10, (1,) * 40), strict=True)]

    assert totals == [365] * 10 + [0] * 30
