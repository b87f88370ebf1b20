"""Forty columns: what a row, a setting or a form has no room for is said below it, not lost."""

from __future__ import annotations

from textual.content import Content
from textual.widgets import OptionList

from ledger.ledger import Ledger
from ledger.records.commands import SetSetting
from tests.tui.business import desk
from tests.tui.loft import fill_in, quick
from tests.tui.screenshot import picture
from tui.app import Desk
from tui.widgets.fields import FieldRow
from tui.widgets.paged import Column, PagedList, shown_of, widths_of

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


async def test_with_a_keyboard_over_the_screen_rows_and_fields_stay_and_the_rest_gives_way(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(40, 14)) as pilot:
        await quick(pilot, "2", "s")
        assert {"how many", "buyer", "[Record]"} <= _said(app)
        assert "…" in picture(app)
        await quick(pilot, "escape", "8", "down", "c", "2")
        assert len([line for line in picture(app).splitlines() if line[1:3] in ("P0", "! ", "  ")]) >= 4

        await pilot.resize_terminal(40, 24)
        await quick(pilot)
        assert "rest as usual" in picture(app)


def _said(app: Desk) -> set[str]:
    return {part.strip() for line in picture(app).splitlines() for part in line.split("  ") if part.strip()}


async def test_the_row_under_the_cursor_stays_in_sight_when_the_window_gets_lower(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await quick(pilot, "8", *["down"] * 12)
        rows = app.screen.query_one(PagedList)
        assert rows.cursor_row > 3

        await pilot.resize_terminal(80, 10)
        await quick(pilot)
        top = int(rows.scroll_offset.y)
        assert top <= rows.cursor_row < top + rows.size.height - rows.header_height


async def test_a_tap_on_a_label_goes_to_its_field(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await quick(pilot, "2", "s")
        price = next(row for row in app.screen.query(FieldRow) if row.spec.key == "price")
        assert not price.entry.has_focus
        await pilot.click(price, offset=(2, 0))
        await pilot.pause()
        assert price.entry.has_focus


async def test_the_words_beside_a_choice_are_not_quiet_on_the_colour_of_the_mark(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await quick(pilot, "full_stop")
        choices = app.screen.query_one(OptionList)
        prompts = [choices.get_option_at_index(at).prompt for at in (0, 1)]
        await quick(pilot, "down")
        then = [choices.get_option_at_index(at).prompt for at in (0, 1)]

    assert [_styles(one) for one in prompts] == [set(), {"$quiet"}]
    assert [_styles(one) for one in then] == [{"$quiet"}, set()]


def _styles(prompt: object) -> set[str]:
    assert isinstance(prompt, Content)
    return {str(span.style) for span in prompt.spans if str(span.style)}
