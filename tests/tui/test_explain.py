"""Explanations on the screen and as a command: a keeper's question is answered in three keys, and the parts add up."""

from __future__ import annotations

import csv
import io
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest

from ledger.costs.commands import Spend
from ledger.ledger import Ledger
from ledger.records.commands import SetSetting
from ledger.records.store import Store
from tests.ledger.costs.beetles import NOW, beetles
from tests.tui.business import desk
from tests.tui.command_line import CommandLine
from tests.tui.keys import type_in
from tests.tui.loft import go
from tests.tui.screenshot import lines, same_as_stored
from tui.places.explain import MonthWentPage, VersusPage, WentPage, WhyPage
from tui.places.lot import LotPage
from tui.places.months import MonthsPage

# --- on the screen ----------------------------------------------------------------------------------------------------


async def test_why_a_lot_costs_what_it_costs_is_one_key_from_rearing(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        shown = await go(pilot, "6", "down", "down", "e")

        assert isinstance(app.screen, WhyPage)
        assert "cost per reared adult 0.23 EUR" in shown
        assert "[category]" in shown
        same_as_stored(app, "explain-80x24")


async def test_one_key_takes_it_apart_by_the_next_thing_and_it_still_adds_up(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "6", "down", "down", "e")
        for way in ("stage", "month", "entry", "movement", "category"):
            shown = await go(pilot, "b")

            assert f"[{way}]" in shown
            assert amounts_add_up(lines(app))


async def test_a_lot_without_a_cost_per_reared_adult_says_why_and_that_there_is_no_other_figure(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await app.open_form(WhyPage("P01"))
        assert "· There is no cost per reared adult of P01" in await go(pilot)
        found = app.screen._found  # type: ignore[attr-defined]
        app.screen._found = replace(found, figures=(found.asked,))  # type: ignore[attr-defined]
        assert "There is no other figure of it" in await go(pilot, "number_sign")


def amounts_add_up(screen: list[str]) -> bool:
    """Whether the rows under the heading sum to the last one, in both columns of amounts."""
    start = next(at for at, line in enumerate(screen) if "EUR each" in line)
    stop = next(at for at, line in enumerate(screen) if "adds up to" in line)
    rows = [
        [word for word in line.split() if word.replace(".", "").isdigit()][-2:] for line in screen[start + 1 : stop]
    ]
    total = screen[stop].split()[-2:]
    return all(sum(Decimal(row[at]) for row in rows) == Decimal(total[at]) for at in (0, 1))


def test_a_row_that_is_missing_does_not_add_up() -> None:
    screen = ["   EUR each  in all", " feed  0.20  2.00", " heat  0.03  0.30", " adds up to  0.23  2.30"]

    assert amounts_add_up(screen)
    assert not amounts_add_up([screen[0], *screen[2:]])


async def test_another_figure_of_the_lot_is_one_key_away(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "6", "down", "down", "e")

        assert "cost so far" in await go(pilot, "number_sign")


async def test_a_lot_with_nothing_to_compare_with_says_so(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        assert "no other lot with a cost per reared adult" in await go(pilot, "6", "down", "down", "e", "V")


async def test_a_lot_that_reared_none_says_that_it_has_nothing_to_compare(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        shown = await go(pilot, "6", "down", "e", "V")

        assert "only lots with a cost per reared adult are compared" in shown


async def test_a_species_is_explained_and_only_lots_are_compared(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        assert "All PACH: cost per reared adult" in await go(pilot, "6", "e")
        assert "Only a lot is compared" in await go(pilot, "V")


async def test_why_a_selling_cost_went_nowhere_is_said_once_and_in_full(loft: Ledger) -> None:
    loft.do(Spend(loft.today, "postage", 300, "the carrier", kind="selling"))
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        shown = await go(pilot, "5", "home", "e")
        assert isinstance(app.screen, WentPage)
    assert shown.count("is a selling cost") == 1
    assert "it goes with the sale and never onto animals." in shown
    assert "reckoning" not in shown


async def test_where_a_cost_went_is_one_key_from_costs(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        shown = await go(pilot, "5", "e")

        assert isinstance(app.screen, WentPage)
        assert "business part of the cost 24.00 EUR" in shown
        assert "still carried by living animals" in shown
        assert "[lot]" in await go(pilot, "b")
        assert "[detail]" in await go(pilot, "b")


async def test_enter_goes_down_from_a_figure_to_the_cost_and_the_movement_it_came_from(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "6", "down", "down", "e")
        found = app.screen._found  # type: ignore[attr-defined]
        dearest = found.lines[0]
        shown = await go(pilot, "enter")

        assert f"Lot P08, {dearest.name}: cost per reared adult" in shown
        assert "[category]" not in shown
        assert amounts_add_up(lines(app))
        inside = app.screen._found  # type: ignore[attr-defined]
        assert (inside.shown, inside.in_all) == (dearest.shown, dearest.in_all)
        await go(pilot, "enter")
        assert isinstance(app.screen, WentPage)
        assert f"where cost {inside.lines[0].cost} went" in await go(pilot)
        await go(pilot, "enter")
        assert isinstance(app.screen, WentPage)
        await go(pilot, "enter")
        assert isinstance(app.screen, LotPage)
        await go(pilot, "escape", "escape", "escape", "escape")
        assert "[category]" in await go(pilot)

        shown = await go(pilot, "b", "b", "b", "b")
        assert "8 adults reared, lot P08" in shown
        movement = app.screen._found.lines[0].movement  # type: ignore[attr-defined]
        await go(pilot, "enter")
        assert isinstance(app.screen, LotPage)
        assert app.screen._story[app.screen.chosen or ""].movement == movement


async def test_a_month_of_a_kind_of_cost_is_found_by_name_and_says_where_it_went(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        shown = await go(pilot, "5", "b")
        assert isinstance(app.screen, MonthsPage)
        assert "Jun 2025" in shown
        assert "Jan 2025" in shown

        shown = await go(pilot, "f", *"feb", "space", *"feed", "enter", "enter")
        assert isinstance(app.screen, MonthWentPage)
        assert "Feed of Feb 2025: borne in that month 3.80 EUR" in shown
        assert "still carried by living animals" in shown


async def test_the_heating_of_a_month_is_found_by_that_word(loft: Ledger) -> None:
    loft.do(Spend(loft.today, "power", 3100, kind="overhead", window_from=loft.today, window_to=loft.today))
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "5", "b", "f", *"heating")

        assert app.screen.rows.held == 1  # type: ignore[attr-defined]
        assert "power" in await go(pilot)


async def test_the_page_of_a_lot_explains_its_cost(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        assert "Explain: lot P01" in await go(pilot, "3", "enter", "e")


async def test_two_lots_are_put_side_by_side_in_three_keys(reared: Ledger) -> None:
    app = desk(reared)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "6", "down", "e", "V")
        await type_in(pilot, "P02")
        shown = await go(pilot, "enter")

        assert isinstance(app.screen, VersusPage)
        assert "P01" in shown
        assert "dearer" in shown
        assert "losses" in shown


# --- as a command -----------------------------------------------------------------------------------------------------


@pytest.fixture
def reared(sqlite_store: Store) -> Ledger:
    """Two lots of beetles."""
    return beetles(sqlite_store)


@pytest.fixture
def two(reared: Ledger, sqlite_target: str, capsys: pytest.CaptureFixture[str]) -> CommandLine:
    """Command lines on them."""
    reared.do(SetSetting("pretend today", NOW.date().isoformat()))
    return CommandLine(sqlite_target, capsys)


def test_the_parts_of_a_lot_sum_to_its_figure_in_every_form(two: CommandLine) -> None:
    found = two.ok("explain", "lot", "P01", "--format", "json").json

    assert found["shown"] == "6.25"
    assert sum(Decimal(part["shown"]) for part in found["parts"]) == Decimal("6.25")
    assert sum(Fraction(part["exact"]) for part in found["parts"]) == Fraction(found["exact"])
    assert sum(Decimal(part["in_all"]) for part in found["parts"]) == Decimal(found["in_all"]) == Decimal("50.00")

    rows = list(csv.DictReader(io.StringIO(two.ok("explain", "lot", "P01", "--by", "entry", "--format", "csv").out)))
    assert sum(Decimal(row["in_all"]) for row in rows) == Decimal("50.00")
    assert {row["kind"] for row in rows} == {"cost", "bought"}

    text = two.ok("explain", "lot", "P01").out
    assert "Adds up to 6.25 EUR." in text


def test_why_one_lot_is_dearer_is_said_in_words_and_figures(two: CommandLine) -> None:
    # P01: 30.00 and 20.00 for ten, eight reared: 6.25. P02: 12.00 and 18.00 for ten, all reared: 3.00.
    text = two.ok("explain", "lot", "P01", "--against", "P02").out
    assert "A reared adult of P01 cost 6.25 EUR, one of P02 3.00 EUR: 3.25 EUR more." in text
    assert "of P01 8 were reared and 2 lost, of P02 10 and 0" in text

    found = two.ok("explain", "lot", "P01", "--against", "P02", "--format", "json").json
    causes = {(one["kind"], tuple(one["categories"])): Decimal(one["shown"]) for one in found["causes"]}
    assert causes == {
        ("came with", ("animals",)): Decimal("2.03"),
        ("spent", ("feed",)): Decimal("0.22"),
        ("losses", ()): Decimal("1.00"),
    }
    for name in ("causes", "by_category", "by_stage"):
        assert sum(Fraction(one["exact"]) for one in found[name]) == Fraction(found["exact"])
        assert sum(Decimal(one["shown"]) for one in found[name]) == Decimal(found["shown"]) == Decimal("3.25")


def test_where_a_cost_and_a_month_of_it_went_add_up(two: CommandLine) -> None:
    whole = two.ok("explain", "cost", "C3", "--format", "json").json
    assert whole["shown"] == "20.00"
    assert sum(Decimal(part["shown"]) for part in whole["parts"]) == Decimal("20.00")

    month = two.ok("explain", "spent", "feed", "--month", "2025-02", "--format", "json").json
    # 28 of 81 days of 38.00 are 13.14.
    assert month["shown"] == "13.14"
    assert sum(Decimal(part["shown"]) for part in month["parts"]) == Decimal("13.14")


def test_what_is_asked_wrongly_is_refused_in_one_sentence(two: CommandLine) -> None:
    for asked in (
        ("lot", "P99"),
        ("lot", "P01", "--by", "colour"),
        ("lot", "P01", "--figure", "dreams"),
        ("lot", "P01", "--stage", "moth"),
        ("lot", "P01", "--against", "P01"),
        ("lot", "P01", "--against", "P02", "--by", "month"),
        ("species", "MOTH"),
        ("sale", "S-2025-0099"),
        ("cost", "99"),
        ("cost", "many"),
        ("cost", "3", "--by", "month"),
        ("spent", "feed", "--month", "July"),
        ("spent", "feed", "--month", "2026-01"),
        ("spent", "gold", "--month", "2025-02"),
        ("uncarried", "--by", "stage"),
    ):
        assert two.refused("explain", *asked)
