"""The place of the accounting year: counting the stock, late facts, the keeper's own thresholds."""

from __future__ import annotations

import datetime as dt

from ledger.books.commands import CloseYear, SetTaxHelp
from ledger.ledger import Ledger
from ledger.records import tables as t
from ledger.stock.commands import Move, Record
from tests.tui.business import TODAY, desk
from tests.tui.keys import type_in
from tests.tui.loft import count, go, rows
from tui.drafts import Drafts


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
        # Marks record nothing, and outlive the screen.
        assert count(loft, t.operation) == before
        await go(pilot, "escape", "c")
        shown = await go(pilot, "Z")
        assert "2 lines counted" in shown
        await go(pilot, "enter")

    assert {(row.lot, row.stage): row.expected for row in loft.to_count()}["P08", "cocoon"] == there - 1
    assert rows(loft, t.movement.c.reason, t.movement.c.count)[-1] == ("died", 1)
    assert rows(loft, t.observation.c.kind, t.observation.c.count)[-1] == ("counted", there - 1)
    assert count(loft, t.operation) == before + 1
    assert drafts.get("count-stock:2025") == {}


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
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        assert "Nothing of 2025 was recorded after it was closed." in await go(pilot, "7", "Y")
        shown = await go(pilot, "escape", "left", "Y")

    assert "2024-12-01 → 2025-01-01 entry" in shown
    assert "P01 adult: 8 in the books, 6 as known now" in shown


async def test_thresholds_stand_beside_what_the_books_come_to(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        assert "Nothing is set." in await go(pilot, "7", "T")
        loft.do(SetTaxHelp("threshold small seller", 500, dt.date(2025, 1, 1), "leaflet"))
        shown = await go(pilot, "escape", "T")

    assert "! small seller: 5.00 EUR, leaflet" in shown
    assert "this year 6.00; the last twelve months 6.00" in shown
    assert "Check your local rules." in shown
