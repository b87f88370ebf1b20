"""Forty columns: what a row, a setting or a form has no room for is said below it, not lost."""

from __future__ import annotations

from ledger.ledger import Ledger
from ledger.records.commands import SetSetting
from tests.tui.business import desk
from tests.tui.loft import fill_in, quick
from tui.widgets.paged import Column, shown_of, widths_of

WIDE_ROW = (
    Column("number", 8),
    Column("day", 11),
    Column("buyer"),
    Column("amount", 9, right=True),
    Column("lot", 20),
    Column("state", 8),
)


def test_a_narrow_list_keeps_the_first_column_the_loose_one_and_the_last_and_what_fits_between() -> None:
    assert [column.words for _, column in shown_of(WIDE_ROW, 40)] == ["number", "buyer", "state"]
    assert [column.words for _, column in shown_of(WIDE_ROW, 44)] == ["number", "day", "buyer", "state"]
    assert [column.words for _, column in shown_of(WIDE_ROW, 80)] == [column.words for column in WIDE_ROW]


def test_no_narrow_row_is_wider_than_the_screen() -> None:
    for screen in range(30, 60):
        assert sum(wide + 2 for _, wide, _ in widths_of(WIDE_ROW, screen, screen)) <= screen
    # The control: the same row, laid out as on a wide screen.
    assert sum((column.width or 0) + 2 for column in WIDE_ROW) > 60


async def test_on_a_phone_what_has_no_room_is_said_below(loft: Ledger) -> None:
    long = "A business with a name that no telephone shows in one line"
    loft.do(SetSetting("business name", long), token="named")
    app = desk(loft)
    async with app.run_test(size=(40, 24)) as pilot:
        sales = await quick(pilot, "4")
        settings = await quick(pilot, "9")
        one = await quick(pilot, "enter")
        form = await quick(pilot, "enter", "escape", "escape", "down", "enter", "enter")
        await fill_in(pilot, "fr")
        wrong = await quick(pilot, "enter")

    assert "day 10 May 2025 · total 6.00" in sales
    assert f"{long} · 1 of 10 set" in settings
    assert long in one
    assert "the screen speaks it at once" in form
    assert "! The screen does not speak" in wrong
