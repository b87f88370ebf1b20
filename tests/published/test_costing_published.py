"""Costing against worked examples and published figures.

Sources: ACCA F2 workbook, Process costing; OpenTuition, Process costing; OpenStax Principles of Accounting, volume 1
ch. 10 and volume 2 (Managerial) ch. 5, numbers only; Horngren, Datar and Rajan, Cost Accounting, ch. 18; Kinney and
Raiborn, Cost Accounting (LaToya Company); Hastings, The Dollar Hen (1909). Where a source prints inputs only (the
abnormal loss of ACCA, costs of Gray, outputs of LaToya) the figures follow from them by its own method. Three examples
are worked by hand in exact fractions.

Costs are averaged within a lot and stage; first in, first out and specific identification are those of separate lots.
Proceeds of scrap, which here are sales, are entered as a refund where a source takes them off the cost; the scrap of
what is lost beyond expectation is a sale. Opening work in process enters as cost of the day, because the published
average does not tell opening conversion cost from new. Not here: last in, first out (not allowed by IAS 2).
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from ledger.costs.given import LotInfo, Scope
from ledger.costs.result import Kind
from tests.ledger.costs.book import Book, brood, carried, closed, exact, gone, near, picked

EGG, LARVA, ADULT = 0, 1, 2


# --- three examples worked by hand --------------------------------------------------------------------------------


def ten_larvae() -> tuple[Book, list[int]]:
    """Ten larvae bought for 20.00, heat 10.00 over 100 days, three die, seven emerge and are sold on day 101."""
    book = Book({1: LotInfo(species=1)})
    book.cost("heat", 1000, 1, 100)
    book.add(1, "bought", 10, to=(1, LARVA), value=2000)
    book.add(31, "died", 2, (1, LARVA), cause="unknown")
    book.add(71, "died", 1, (1, LARVA), cause="unknown")
    book.add(101, "next stage", 7, (1, LARVA), (1, ADULT))
    return book, [book.add(101, "sold", 1, (1, ADULT)) for _ in range(7)]


def test_seven_of_ten_larvae_carry_all_thirty_pounds_when_no_loss_rate_is_set() -> None:
    book, sales = ten_larvae()

    shared = book.share(101, reared={1: ADULT})

    assert all(near(gone(shared, Kind.LEFT, sale), Fraction(3000, 7)) for sale in sales)
    assert [sum(row.posted) for row in shared.postings] == [429, 428, 429, 428, 429, 428, 429]
    assert [(row.lot, row.count) for row in shared.reached] == [(1, 7)]
    assert near(exact(shared.reached[0].cost), 3000)


def test_the_third_death_is_written_off_when_two_of_ten_are_to_be_expected() -> None:
    book, sales = ten_larvae()

    shared = book.share(101, losses={(1, LARVA): 200_000})

    assert near(gone(shared, Kind.WRITTEN_OFF), Fraction(3375, 10))
    assert all(near(gone(shared, Kind.LEFT, sale), Fraction(21300, 56)) for sale in sales)
    assert [sum(row.posted) for row in shared.postings] == [338, 380, 380, 381, 380, 380, 381, 380]


def test_feed_is_shared_by_weighted_animal_days_between_juveniles_and_adults() -> None:
    book = Book({1: LotInfo(species=1), 2: LotInfo(species=2)})
    book.cost("feed", 1250, 1, 12)
    book.add(1, "bought", 20, to=(1, LARVA), value=1000)
    book.add(1, "bought", 4, to=(2, ADULT), value=2400)
    sale = book.add(7, "sold", 8, (1, LARVA))

    shared = book.share(12, weights={(1, LARVA): 1000, (2, ADULT): 3000})

    assert near(gone(shared, Kind.LEFT, sale), Fraction(55625, 100))
    assert near(carried(shared, 1, LARVA), Fraction(1146875, 1000))
    assert near(carried(shared, 1, LARVA) / 12, Fraction(36700, 384))
    assert near(carried(shared, 2, ADULT), Fraction(2946875, 1000))
    assert near(carried(shared, 2, ADULT) / 4, Fraction(73671875, 100000))
    assert [sum(row.posted) for row in shared.postings] == [556]
    assert closed(shared, Kind.ON_HAND, lot=1) == 1147
    assert closed(shared, Kind.ON_HAND, lot=2) == 2947


def breeders_to_adults() -> tuple[Book, dict[str, int], dict[str, object]]:
    """A pair for 60.00 breeding for 300 days, a rack for 73.00 over 730, electricity 18.00 over 90; eggs to adults."""
    book = Book(
        {
            1: LotInfo(species=1, breeding=((1, None),), breeding_life_days=300),
            2: LotInfo(species=1, mothers=(1,)),
        },
        depth={2: 1},
    )
    rack = book.cost("rack", 7300, 1, 730)
    book.cost("electricity", 1800, 1, 90)
    book.add(1, "bought", 2, to=(1, ADULT), value=6000)
    book.add(31, "laid", 12, to=(2, EGG))
    book.add(51, "died", 2, (2, EGG), cause="unknown")
    book.add(51, "next stage", 10, (2, EGG), (2, LARVA))
    death = book.add(71, "died", 4, (2, LARVA), cause="unknown")
    book.add(91, "next stage", 6, (2, LARVA), (2, ADULT))
    own = book.add(91, "own use", 1, (2, ADULT))
    sales = [book.add(91, "sold", 1, (2, ADULT)) for _ in range(4)]
    method: dict[str, object] = {
        "weights": {(1, ADULT): 2000, (1, EGG): 500, (1, LARVA): 1000},
        "losses": {(1, EGG): 250_000, (1, LARVA): 300_000},
        "reared": {1: ADULT},
    }
    names = {"rack": rack.id, "death": death, "own use": own}
    names.update({f"sale {place}": sale for place, sale in enumerate(sales)})
    return book, names, method


def test_eggs_take_the_brood_pool_of_their_mother_at_one_twenty_five_each() -> None:
    book, _, method = breeders_to_adults()

    day_before, day = book.share(30, **method), book.share(31, **method)

    assert near(brood(day_before, 1), 1500)
    assert near(carried(day, 2, EGG), 1500 + Fraction(30 * 6, 10))


def test_larvae_carry_what_the_failed_eggs_cost_while_the_loss_is_to_be_expected() -> None:
    book, _, method = breeders_to_adults()

    shared = book.share(50, **method)

    assert near(carried(shared, 2, EGG), 1860)
    assert near(brood(shared, 1), 640)
    assert gone(book.share(51, **method), Kind.WRITTEN_OFF) == 0


def test_breeders_rack_losses_and_own_use_come_to_the_hand_worked_figures() -> None:
    book, names, method = breeders_to_adults()

    evening = book.share(90, **method)
    after = book.share(91, **method)

    assert near(gone(after, Kind.WRITTEN_OFF, names["death"]), Fraction(80100, 245))
    assert near(carried(evening, 2, LARVA), Fraction(568800, 245))
    assert near(brood(evening, 1), Fraction(64800, 35))
    assert near(carried(evening, 1, ADULT), 4200)
    each = Fraction(94800, 245)
    assert near(gone(after, Kind.LEFT, names["own use"]), each)
    assert all(near(gone(after, Kind.LEFT, names[f"sale {place}"]), each) for place in range(4))
    assert [(row.count, near(exact(row.cost), 6 * each)) for row in after.reached] == [(6, True)]


def test_breeders_rack_losses_and_own_use_post_to_what_was_spent() -> None:
    book, names, method = breeders_to_adults()

    evening = book.share(90, **method)
    after = book.share(91, **method)

    assert closed(evening, Kind.BROOD, lot=1) == 1851
    assert closed(evening, Kind.NOT_USED_UP, cost_line=names["rack"]) == 6400
    assert closed(evening, Kind.ON_HAND, lot=1) == 4200
    assert sum(sum(row.posted) for row in picked(after, Kind.WRITTEN_OFF)) == 327
    assert sum(sum(row.posted) for row in picked(after, Kind.LEFT, names["own use"])) == 387
    sold = sum(sum(row.posted) for place in range(4) for row in picked(after, Kind.LEFT, names[f"sale {place}"]))
    assert sold in (1547, 1548)
    for shared in (evening, after):
        whole = sum(sum(line.posted) for line in shared.account().values())
        assert whole == sum(shared.came_in) == 15100 == 6000 + 7300 + 1800
    # what was spent over the adults there are would be 25.17, more than six times as much
    assert round(15100 / 6) == 2517 > 6 * 387


# --- normal and abnormal loss ----------------------------------------------------------------------------------------


def process(started: int, cost: int, rate: int, lost: int) -> tuple[Book, dict[str, object]]:
    book = Book({1: LotInfo(species=1)})
    book.add(1, "bought", started, to=(1, EGG), value=cost)
    book.add(2, "died", lost, (1, EGG), cause="unknown")
    book.add(2, "next stage", started - lost, (1, EGG), (1, LARVA))
    return book, {"losses": {(1, EGG): rate}}


@pytest.mark.parametrize(
    ("started", "cost", "rate", "output", "unit", "value", "abnormal"),
    [
        pytest.param(1000, 20700, 100_000, 900, 23, 20700, 0, id="ACCA F2, normal loss only"),
        pytest.param(1000, 20700, 100_000, 800, 23, 18400, 2300, id="ACCA F2, abnormal loss"),
        pytest.param(20000, 43700, 50_000, 18800, Fraction(23, 10), 43240, 460, id="ACCA style, 5 % of 20,000 kg"),
    ],
)
def test_loss_within_the_rate_is_carried_and_beyond_it_written_off(
    started: int, cost: int, rate: int, output: int, unit: Fraction, value: int, abnormal: int
) -> None:
    book, method = process(started, cost, rate, started - output)

    shared = book.share(2, **method)

    assert near(carried(shared, 1, LARVA), value)
    assert near(carried(shared, 1, LARVA) / output, unit)
    assert near(gone(shared, Kind.WRITTEN_OFF), abnormal)


@pytest.mark.parametrize(
    ("started", "cost", "rate", "output", "fewer"),
    [
        pytest.param(1000, 20700, 100_000, 950, 50, id="ACCA F2, gain of 50"),
        pytest.param(20000, 4400, 200_000, 17000, 1000, id="OpenTuition, gain of 1,000, without its scrap"),
    ],
)
def test_better_survival_lowers_the_plain_cost_and_is_only_a_memo(
    started: int, cost: int, rate: int, output: int, fewer: int
) -> None:
    book, method = process(started, cost, rate, started - output)

    shared = book.share(2, **method)

    assert near(carried(shared, 1, LARVA), cost)
    assert len(shared.postings) == 0
    assert [row.better_than_expected for row in shared.buckets if row.stage == EGG] == [1000 * fewer]


# --- weighted average: equivalent units as weighted animal-days -----------------------------------------------------


def department(
    units: int, finished: int, materials: int, conversion: int, finished_weight: int, open_weight: int
) -> Book:
    """A department's month: materials on day 1 for all, conversion on day 2 by equivalent units."""
    book = Book({1: LotInfo(species=1)})
    book.cost("materials", materials, 1, 1)
    book.cost("conversion", conversion, 2, 2)
    book.add(1, "found", units, to=(1, EGG))
    book.add(2, "next stage", finished, (1, EGG), (1, LARVA))
    return book


MONTHS = [
    pytest.param(8700, 7500, 10179, 22176, 1000, 350, 29775, 2580, id="OpenStax 5.3, shaping: 1.17 and 2.80"),
    pytest.param(8250, 6500, 12375, 49680, 1000, 400, 54600, 7455, id="OpenStax 5.4, packaging: 1.50 and 6.90"),
    pytest.param(
        8700,
        7500,
        10353,
        26970,
        1000,
        300,
        7500 * (Fraction(119, 100) + Fraction(899, 262)),
        1200 * Fraction(119, 100) + 360 * Fraction(899, 262),
        id="OpenStax 5.3, Kyler: 1.19 and 899/262",
    ),
]


@pytest.mark.parametrize(("units", "finished", "materials", "conversion", "full", "part", "out", "left"), MONTHS)
def test_a_department_transfers_out_at_the_weighted_average(
    units: int,
    finished: int,
    materials: int,
    conversion: int,
    full: int,
    part: int,
    out: Fraction,
    left: Fraction,
) -> None:
    book = department(units, finished, materials, conversion, full, part)
    sale = book.add(3, "sold", finished, (1, LARVA))

    shared = book.share(3, weights={(1, EGG): ((1, 1000), (2, part)), (1, LARVA): full})

    assert near(gone(shared, Kind.LEFT, sale), out)
    assert near(carried(shared, 1, EGG), left)


SPOILED = [
    pytest.param(
        *(10000, 7000, 700, 300, 88500, 98100, 1000, 500, 152075, 5925, 28600),
        id="Anzio Company, Exhibit 18-2, cost inputs from memory",
    ),
    pytest.param(11150, 9000, 100, 50, 13603, 28860, 1000, 300, 38038, 209, 4216, id="Gray Manufacturing, ex. 18-17"),
    pytest.param(
        28000,
        20500,
        2050,
        1250,
        50750,
        39916,
        1000,
        300,
        Fraction(7678990, 100),
        Fraction(425665, 100),
        Fraction(961945, 100),
        id="Boston Company, 18-30",
    ),
    pytest.param(
        80000, 70000, 2100, 400, 80800, 33000, 3000, 1000, 104545, 580, 8675, id="LaToya Company, a third done"
    ),
]


@pytest.mark.parametrize(
    ("units", "good", "normal", "abnormal", "materials", "conversion", "full", "part", "out", "spoiled", "left"),
    SPOILED,
)
def test_spoilage_found_at_inspection_is_carried_by_good_units_or_written_off(
    units: int,
    good: int,
    normal: int,
    abnormal: int,
    materials: int,
    conversion: int,
    full: int,
    part: int,
    out: Fraction,
    spoiled: Fraction,
    left: Fraction,
) -> None:
    book = department(units, good + normal + abnormal, materials, conversion, full, part)
    book.add(3, "died", abnormal, (1, LARVA), cause="exceptional")
    book.add(3, "died", normal, (1, LARVA), cause="ordinary")

    shared = book.share(3, weights={(1, EGG): ((1, full), (2, part)), (1, LARVA): full})

    half_a_cent = Fraction(1, 200)
    assert abs(carried(shared, 1, LARVA) - out) <= half_a_cent
    assert abs(gone(shared, Kind.WRITTEN_OFF) - spoiled) <= half_a_cent
    assert abs(carried(shared, 1, EGG) - left) <= half_a_cent


# --- stock at perpetual weighted average ------------------------------------------------------------------------------


def test_animals_bought_at_three_prices_are_sold_at_the_moving_average() -> None:
    """OpenStax, Financial Accounting ch. 10: exact 7,252.94 and 8,902.06; the book rounds the averages first."""
    book = Book({1: LotInfo(species=1)})
    book.add(1, "bought", 150, to=(1, ADULT), value=150 * 21)
    sales = [book.add(5, "sold", 120, (1, ADULT))]
    book.add(10, "bought", 225, to=(1, ADULT), value=225 * 27)
    sales.append(book.add(15, "sold", 180, (1, ADULT)))
    book.add(25, "bought", 210, to=(1, ADULT), value=210 * 33)

    shared = book.share(31)

    assert gone(shared, Kind.LEFT, sales[0]) == 2520
    assert near(gone(shared, Kind.LEFT, sales[1]), 180 * Fraction(447, 17))
    assert round(float(gone(shared, Kind.LEFT)), 2) == 7252.94
    assert round(float(carried(shared, 1, ADULT)), 2) == 8902.06
    assert closed(shared, Kind.ON_HAND) == 8902


def three_purchases() -> Book:
    """The same purchases, each a lot of its own."""
    book = Book({lot: LotInfo(species=1) for lot in (1, 2, 3)})
    for lot, (day, count, price) in enumerate(((1, 150, 21), (10, 225, 27), (25, 210, 33)), start=1):
        book.add(day, "bought", count, to=(lot, ADULT), value=count * price)
    return book


@pytest.mark.parametrize(
    ("of_the_first", "of_the_second", "sold", "left"),
    [pytest.param(140, 160, 7260, 8895, id="specific"), pytest.param(150, 150, 7200, 8955, id="first in, first out")],
)
def test_animals_of_named_lots_are_sold_at_what_each_lot_cost(
    of_the_first: int, of_the_second: int, sold: int, left: int
) -> None:
    """OpenStax, Financial Accounting ch. 10: an alt text there prints 8,895 for the 8,955 of first in, first out."""
    book = three_purchases()
    book.add(26, "sold", of_the_first, (1, ADULT))
    book.add(26, "sold", of_the_second, (2, ADULT))

    shared = book.share(31)

    assert gone(shared, Kind.LEFT) == sold
    assert sum(carried(shared, lot, ADULT) for lot in (1, 2, 3)) == left
    assert 11340 - sold == {7260: 4080, 7200: 4140}[sold]


def test_animals_bought_before_any_is_sold_are_sold_at_the_average_of_the_period() -> None:
    """The periodic way of the same figures: exact 359/13 each; the book rounds it first and prints 8,283 and 7,872."""
    book = Book({1: LotInfo(species=1)})
    for day, count, price in ((1, 150, 21), (2, 225, 27), (3, 210, 33)):
        book.add(day, "bought", count, to=(1, ADULT), value=count * price)
    sale = book.add(4, "sold", 300, (1, ADULT))

    shared = book.share(31)

    assert near(gone(shared, Kind.LEFT, sale), 300 * Fraction(359, 13))
    assert round(float(gone(shared, Kind.LEFT)), 2) == 8284.62
    assert round(float(carried(shared, 1, ADULT)), 2) == 7870.38


# --- first in, first out, and scrap -----------------------------------------------------------------------------------


FIRST_IN = [
    # opening units and cost, of it done; started; materials, conversion; good of new, abnormal, normal; closing done;
    # opening finished, good of new, all good with normal spoilage, abnormal, closing
    pytest.param(
        *(1000, 1423 + 1110, 500, 10150, 12180, 27750, 8000, 50, 100, 300, 4033, 33600, 38053, 210, 4200),
        id="Gray Manufacturing, ex. 18-17 to 18-20: units at 1.20 and 3.00",
    ),
    pytest.param(
        *(1500, 12000 + 9000, 600, 8500, 76500, 89100, 5500, 300, 700, 500, 27600, 110000, 151600, 6000, 29000),
        id="Anzio Company, Exhibit 18-3, cost inputs from memory: units at 9.00 and 11.00",
    ),
]


@pytest.mark.parametrize(
    (
        *("units", "cost", "done", "started", "materials", "conversion", "good", "abnormal", "normal", "part"),
        *("first", "of_new", "out", "spoiled", "left"),
    ),
    FIRST_IN,
)
def test_first_in_first_out_is_what_an_opening_lot_kept_apart_comes_to(
    units: int,
    cost: int,
    done: int,
    started: int,
    materials: int,
    conversion: int,
    good: int,
    abnormal: int,
    normal: int,
    part: int,
    first: int,
    of_new: int,
    out: int,
    spoiled: int,
    left: int,
) -> None:
    """Conversion goes by weight: of an opening unit what is still to do, of a closing one what is done."""
    opening, new = 1, 2
    book = Book({opening: LotInfo(species=1), new: LotInfo(species=1)})
    book.cost("materials", materials, 1, 1, scope=Scope("lots", frozenset((new,))))
    book.cost("conversion", conversion, 2, 2)
    book.add(1, "bought", units, to=(opening, LARVA), value=cost)
    book.add(1, "found", started, to=(new, EGG))
    book.add(2, "next stage", good + abnormal + normal, (new, EGG), (new, ADULT))
    book.add(3, "died", abnormal, (new, ADULT), cause="exceptional")
    book.add(3, "died", normal, (new, ADULT), cause="ordinary")

    shared = book.share(3, weights={(1, LARVA): 1000 - done, (1, EGG): ((1, 1000), (2, part)), (1, ADULT): 1000})

    each = carried(shared, new, ADULT) / good
    assert near(carried(shared, opening, LARVA), first)
    assert near(carried(shared, new, ADULT) - Fraction(spoiled, abnormal) * normal, of_new)
    assert near(each, Fraction(out - first, good))
    assert near(carried(shared, opening, LARVA) + carried(shared, new, ADULT), out)
    assert near(gone(shared, Kind.WRITTEN_OFF), spoiled)
    assert near(carried(shared, new, EGG), left)


SCRAP = [
    pytest.param(1000, 20700, 180, 100_000, 900, Fraction(228, 10), 20520, 0, id="ACCA F2, normal loss and its scrap"),
    pytest.param(1000, 20700, 180, 100_000, 800, Fraction(228, 10), 18240, 2280, id="ACCA F2, abnormal loss and scrap"),
    pytest.param(2000, 4500, 180, 100_000, 1800, Fraction(24, 10), 4320, 0, id="Emile Woolf F2 ch. 10, as expected"),
    pytest.param(20000, 4400, 2000, 200_000, 16000, Fraction(15, 100), 2400, 0, id="OpenTuition, as expected"),
]


@pytest.mark.parametrize(("started", "cost", "scrap", "rate", "output", "unit", "value", "abnormal"), SCRAP)
def test_scrap_of_the_normal_loss_lowers_the_cost_of_what_is_good(
    started: int, cost: int, scrap: int, rate: int, output: int, unit: Fraction, value: int, abnormal: int
) -> None:
    book, method = process(started, cost, rate, started - output)
    book.cost("scrap", -scrap, 1, 1)

    shared = book.share(2, **method)

    assert near(carried(shared, 1, LARVA) / output, unit)
    assert near(carried(shared, 1, LARVA), value)
    assert near(gone(shared, Kind.WRITTEN_OFF), abnormal)


def test_what_an_abnormal_loss_comes_to_when_its_scrap_is_sold() -> None:
    """ACCA F2: 2,280 written off, 180 for the scrap of it, 2,100 net; all the scrap, of 200 at 1.80, brings 360."""
    book, method = process(1000, 20700, 100_000, 200)
    book.cost("scrap", -180, 1, 1)

    (lost,) = picked(book.share(2, **method), Kind.WRITTEN_OFF)

    sold = 200 * Fraction(18, 10)
    assert sold == 360
    assert near(exact(lost.cost) - (sold - 180), 2100)


@pytest.mark.parametrize(
    ("started", "cost", "scrap", "rate", "output", "unit", "printed", "net"),
    [
        pytest.param(1000, 20700, 180, 100_000, 950, Fraction(228, 10), 21660, 1050, id="ACCA F2"),
        pytest.param(2000, 4500, 180, 100_000, 1850, Fraction(24, 10), 4440, 75, id="Emile Woolf F2 ch. 10"),
        pytest.param(20000, 4400, 2000, 200_000, 17000, Fraction(15, 100), 2550, None, id="OpenTuition"),
    ],
)
def test_an_abnormal_gain_is_not_booked_though_the_source_prints_it(
    started: int, cost: int, scrap: int, rate: int, output: int, unit: Fraction, printed: int, net: int | None
) -> None:
    """The sources value the output at the expected unit cost, above what was spent; the difference is a memo."""
    book, method = process(started, cost, rate, started - output)
    book.cost("scrap", -scrap, 1, 1)

    shared = book.share(2, **method)

    (better,) = [row.better_than_expected for row in shared.buckets if row.stage == EGG]
    assert near(carried(shared, 1, LARVA), cost - scrap)
    assert near(carried(shared, 1, LARVA) + unit * better / 1000, printed)
    if net is not None:  # the gain less the scrap there was not
        expected = started * rate // 1_000_000
        assert (unit - Fraction(scrap, expected)) * better / 1000 == net


def test_equipment_is_used_up_in_equal_parts_to_its_residual_value() -> None:
    """OpenStax, Financial Accounting ch. 11, Kenzie: 58,000 over five years down to 10,000."""
    book = Book({1: LotInfo(species=1)})
    press = book.cost("rack", 58000 - 10000, 1, 5 * 365)
    book.add(1, "found", 1, to=(1, ADULT))

    book_values = [
        10000 + closed(book.share(year * 365), Kind.NOT_USED_UP, cost_line=press.id) for year in (1, 2, 3, 4, 5)
    ]

    assert book_values == [48400, 38800, 29200, 19600, 10000]


def test_chicks_carry_all_of_the_breeders_upkeep_and_of_the_eggs_that_failed() -> None:
    """Cost of a chick as worked in a veterinary forum: a hen at 3771.43, 180 eggs at 20.95, 140 chicks at 26.94."""
    hen = Fraction(60 * 40 * 100) / Fraction(70, 100)  # 60 kg of feed at 40, seven tenths of what a hen costs
    assert int(hen / 100) == 3428
    assert round(float(hen * 11 / 10 / 100), 2) == 3771.43  # and a tenth of a cock
    book = Book({1: LotInfo(species=1, breeding=((1, None),)), 2: LotInfo(species=1, mothers=(1,))}, depth={2: 1})
    book.cost("feed", round(hen * 11 / 10), 1, 365, scope=Scope("lots", frozenset({1})))
    book.add(1, "found", 1, to=(1, ADULT))
    book.add(366, "laid", 180, to=(2, EGG))
    eggs = book.share(366)
    book.add(366, "died", 40, (2, EGG), cause="unknown")
    book.add(366, "next stage", 140, (2, EGG), (2, LARVA))

    shared = book.share(366)

    assert round(float(carried(eggs, 2, EGG) / 180 / 100), 2) == 20.95
    assert round(float(carried(shared, 2, LARVA) / 140 / 100), 2) == 26.94
