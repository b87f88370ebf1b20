"""The place of the accounting year: counting the stock, late facts, the keeper's own thresholds."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from pathlib import Path
from threading import Event

import pytest

from ledger.books.commands import CloseYear, SetTaxHelp
from ledger.costs.commands import NoteHours, Spend
from ledger.ledger import Ledger
from ledger.records import tables as t
from ledger.records.periods import Period
from ledger.stock.commands import Move, Record
from tests.tui.business import TODAY, desk
from tests.tui.keys import burst, rest, type_in
from tests.tui.loft import count, go, rows
from tests.tui.screenshot import picture
from tui.app import BURST
from tui.drafts import Drafts
from tui.places.count import CountLineForm, CountPage
from tui.places.mortality import MortalityPage
from tui.places.valuation import ValuationPage
from tui.places.year import YearAnswer, YearPlace, year_answer
from tui.places.year_lines import reckoned_to
from tui.reckoner import LARGE


async def test_a_count_goes_along_the_lines_and_is_recorded_together_with_its_reasons(loft: Ledger) -> None:
    lines = [(row.lot, row.stage, row.sex, row.expected) for row in loft.to_count()]
    place = next(at for at, row in enumerate(lines) if row[:2] == ("P08", "cocoon"))
    there = lines[place][3]
    before = count(loft, t.operation)
    drafts = Drafts()
    app = desk(loft, drafts=drafts)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "7", "c", "y", *["down"] * (place - 1), "enter")
        await type_in(pilot, "moths")
        assert '"moths" is not a number' in await go(pilot, "enter")
        await go(pilot, "ctrl+u")
        await type_in(pilot, str(there - 1))
        await go(pilot, "tab")
        await type_in(pilot, "died")
        shown = await go(pilot, "enter")
        assert f"! {there - 1} died" in shown
        assert f"2 of {len(lines)} counted" in shown
        # It went on to the next line by itself; back on this one, no single key forgets what was counted.
        shown = await go(pilot, "up", "y")
        assert f"{there - 1} stands there as counted" in shown
        assert f"2 of {len(lines)} counted" in shown
        # Marks record nothing, and outlive the screen.
        assert count(loft, t.operation) == before
        await go(pilot, "escape", "c")
        shown = await go(pilot, "ctrl+f")
        assert "2 lines counted" in shown
        shown = await go(pilot, "enter")
        assert f"0 of {len(lines)} counted · 1 lot recorded" in shown

    assert {(row.lot, row.stage): row.expected for row in loft.to_count()}["P08", "cocoon"] == there - 1
    assert rows(loft, t.movement.c.reason, t.movement.c.count)[-1] == ("died", 1)
    assert rows(loft, t.observation.c.kind, t.observation.c.count)[-1] == ("counted", there - 1)
    assert count(loft, t.operation) == before + 1
    assert drafts.get("count-stock:2025") == {}


async def test_enter_of_the_burst_that_recorded_a_count_opens_no_line_of_the_list(loft: Ledger) -> None:
    before = count(loft, t.operation)
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        shown = await go(pilot, "7", "c", "y")
        assert "ctrl-f record all" in shown
        assert "esc back" in shown
        await go(pilot, "ctrl+f")
        burst(app, "enter", "enter", "enter")
        await rest(pilot)
        assert isinstance(app.screen, CountPage)
        assert count(loft, t.operation) == before + 1
        await rest(pilot, BURST)
        await pilot.press("enter")
        assert isinstance(app.screen, CountLineForm)


@pytest.mark.parametrize("apart", [False, True])
async def test_a_long_count_is_looked_over_and_recorded_aside(
    loft: Ledger, monkeypatch: pytest.MonkeyPatch, *, apart: bool
) -> None:
    monkeypatch.setattr("tui.places.count.FEW", 1)
    # However slow the machine is, both Enters below are of one burst.
    monkeypatch.setattr("tui.app.BURST", 3600)
    lines, before, drafts = len(loft.to_count()), count(loft, t.operation), Drafts()
    app = desk(loft, drafts=drafts)
    app.reckoner.least = 1 if apart else LARGE
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "7", "c", "asterisk")
        assert f"{lines} lines counted" in await go(pilot, "ctrl+f")
        shown = await go(pilot, "enter")
        assert f"{lines} lines counted, {lines} as recorded" in shown
        # What was looked over and left records nothing, and the marks stay.
        assert f"{lines} of {lines} counted" in await go(pilot, "escape")
        assert count(loft, t.operation) == before
        await go(pilot, "ctrl+f", "enter")
        await pilot.press("enter", "enter")
        # The second one, of the same burst, does not fall on the list.
        assert f"0 of {lines} counted" in await go(pilot)
        assert isinstance(app.screen, CountPage)

    assert count(loft, t.operation) == before + 1
    assert drafts.get("count-stock:2025") == {}


async def test_a_mark_far_down_in_a_count_leaves_the_cursor_on_the_next_line(
    loft: Ledger, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("tui.places.listing.PAGE", 2)
    monkeypatch.setattr("tui.widgets.paged.NEAR_END", 1)
    drafts = Drafts()
    app = desk(loft, drafts=drafts)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "7", "c", "down", "down", "down")
        page = app.screen
        assert isinstance(page, CountPage)
        fourth = page.chosen
        assert fourth is not None
        shown = await go(pilot, "y")
        assert list(drafts.get("count-stock:2025")) == [fourth]
        assert page.rows.cursor_row == 4
        assert "1 of 7 counted" in shown
        assert "✓ 8" in shown
        assert "✓" not in await go(pilot, "up", "x")
        # Nor does it leave its line when the whole list is read anew.
        app.record(NoteHours(loft.today, 30), "hours")
        await go(pilot)
        assert page.chosen == fourth


async def test_a_long_count_that_cannot_be_recorded_says_why(loft: Ledger, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("tui.places.count.FEW", 1)
    before = count(loft, t.operation)
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "7", "c", "asterisk", "ctrl+f")
        await type_in(pilot, "2030-01-01")
        shown = await go(pilot, "enter", "enter", "enter")
    assert "!" in shown
    assert "2030" in shown
    assert count(loft, t.operation) == before


async def test_of_a_year_that_is_not_over_it_says_what_is_missing_so_far(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        shown = await go(pilot, "7", "Z")
        pressed = await go(pilot, "Z")

    assert "! Not counted in the year:" in shown
    assert "2025 lasts until 31 Dec 2025" in shown
    assert pressed.count("2025 lasts until 31 Dec 2025") == 2


async def test_late_facts_of_a_closed_year_are_shown_with_its_stock_both_ways(loft: Ledger) -> None:
    loft.do(CloseYear(2024, TODAY))
    loft.do(Record("P01", (Move("died", 2, stage="adult", sex="male"),), dt.date(2024, 12, 1)))
    number = loft.do(Spend(dt.date(2024, 12, 2), "feed", 450, unpaid=True)).refs["cost"]
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        assert "Nothing of 2025 was recorded after it was closed." in await go(pilot, "7", "Y")
        shown = await go(pilot, "escape", "left", "Y")

    assert "1 Dec 2024 → 1 Jan 2025 entry" in shown
    assert f"2 Dec 2024 → 1 Jan 2025 cost {number}: feed, 4.50 EUR" in shown
    assert "P01 adult: 8 in the books, 6 as known now" in shown


async def test_the_stock_that_is_valued_is_added_up(loft: Ledger) -> None:
    rows = [row for row in loft.valuation(2025).rows if row.at_end]
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        shown = await go(pilot, "7", "percent_sign")

    total = sum(row.actual_at_end for row in rows)
    assert f"At its end: {sum(row.at_end for row in rows)} animals, {total / 100:.2f} EUR at actual cost." in shown
    assert " 0 0.00 " not in shown


async def test_thresholds_stand_beside_what_the_books_come_to(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        assert "Nothing is set." in await go(pilot, "7", "T")
        loft.do(SetTaxHelp("threshold small seller", 500, dt.date(2025, 1, 1), "leaflet"))
        shown = await go(pilot, "escape", "T")

    assert "! small seller: 5.00 EUR, leaflet" in shown
    assert "this year 6.00; the last twelve months 6.00" in shown
    assert "Check your local rules." in shown


async def test_figures_that_are_not_of_now_are_not_shown_as_if_they_were(
    loft: Ledger, monkeypatch: pytest.MonkeyPatch
) -> None:
    free = Event()
    free.set()

    def answer(ledger: Ledger, year: int) -> YearAnswer:
        assert free.wait(20)
        return year_answer(ledger, year)

    monkeypatch.setattr("tui.places.year.year_answer", answer)
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        assert "‹ 2025 › open" in await go(pilot, "7")
        free.clear()
        await pilot.press("left")
        await pilot.pause()
        shown = " ".join(picture(app).split())
        assert "2024: adding up" in shown
        assert "Working paper" not in shown
        await pilot.press("escape")
        await pilot.pause()
        assert "no figures are shown" in " ".join(picture(app).split())
        free.set()

        # The checks are those of now, and wait for them.
        shown = await go(pilot, "K")
        assert "Checks of 2024" in shown
        assert "‹ 2024 › open" in await go(pilot, "escape")


@pytest.mark.parametrize("keys", [("7",), ("6", "L")], ids=["year", "losses"])
async def test_no_leaf_goes_beyond_the_years_of_the_ledger(loft: Ledger, keys: tuple[str, ...]) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, *keys)
        first = app.screen
        assert isinstance(first, YearPlace | MortalityPage)
        first._year = 1990
        there = await go(pilot, "left")
        year = first._year
        if keys == ("7",):
            # Both would have asked for a year that is none.
            await go(pilot, "c", "escape", "Z", "escape")
        on = await go(pilot, "right")

    assert "! There is no accounting year 1989" in there
    assert year == 1990
    assert "1991" in on


async def test_a_year_that_begins_in_april_is_called_by_both_its_years_and_says_its_days(tmp_path: Path) -> None:
    noon = dt.datetime(2025, 9, 1, 12)
    with Ledger.create(
        str(tmp_path / "april.rearledger"), currency="GBP", name="Loft", year_start=(4, 6), clock=lambda: noon
    ) as ledger:
        async with desk(ledger).run_test(size=(80, 24)) as pilot:
            shown = await go(pilot, "7")
            await go(pilot, "percent_sign")
            page = pilot.app.screen
            assert isinstance(page, ValuationPage)
            assert page.title_words() == "Valuation of 2025-26"
            assert page.sum_up().startswith("2025-26, at its end")

    assert "‹ 2025-26 › 6 April 2025 to 5 April 2026 · open" in shown


def test_a_year_that_is_not_over_says_up_to_which_day_it_is_reckoned() -> None:
    year = Period(2025, dt.date(2025, 4, 6), dt.date(2026, 4, 5), closed=False)

    assert "its figures are reckoned to 5 April 2026" in reckoned_to(year, dt.date(2025, 11, 30))
    assert reckoned_to(year, dt.date(2026, 4, 4)) != ""
    assert reckoned_to(year, dt.date(2026, 4, 5)) == ""
    assert reckoned_to(replace(year, closed=True), dt.date(2025, 11, 30)) == ""
