"""The mouse does what the keys do: every action can be clicked, in the line of keys, in the help or in the list of all
actions."""

from __future__ import annotations

from textual.pilot import Pilot
from textual.widgets import OptionList

from tests.tui.fakes import Bench, DeathForm, FakeLedger, Shelf, desk
from tests.tui.keys import rest, type_in
from tests.tui.screenshot import lines, picture
from tui.widgets.chooser import Chooser
from tui.widgets.help import Help
from tui.widgets.paged import PagedList
from tui.widgets.pasted import Pasted


async def click_on(pilot: Pilot[None], said: str, *, last: bool = False) -> None:
    """Click where something stands on the screen."""
    await pilot.pause()
    found = [(line.index(said), y) for y, line in enumerate(lines(pilot.app)) if said in line]
    x, y = found[-1 if last else 0]
    await pilot.click(offset=(x + 1, y))
    await rest(pilot, 0.05)


async def test_each_action_of_the_line_of_keys_can_be_clicked() -> None:
    async with desk().run_test(size=(80, 24)) as pilot:
        await click_on(pilot, "deaths", last=True)
        assert isinstance(pilot.app.screen, DeathForm)

        await click_on(pilot, "put away", last=True)
        assert type(pilot.app.screen) is Shelf

        await click_on(pilot, "help", last=True)
        assert isinstance(pilot.app.screen, Help)

        await click_on(pilot, "esc goes back")
        await click_on(pilot, "more", last=True)
        assert isinstance(pilot.app.screen, Chooser)

        await click_on(pilot, "Go to Bench")
        assert isinstance(pilot.app.screen, Bench)


async def test_a_click_between_the_actions_does_nothing() -> None:
    async with desk().run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await pilot.click(offset=(79, 23))
        await pilot.pause()

        assert type(pilot.app.screen) is Shelf


async def test_a_form_is_filled_in_and_recorded_with_the_mouse() -> None:
    ledger = FakeLedger()
    async with desk(ledger).run_test(size=(80, 24)) as pilot:
        await click_on(pilot, "deaths", last=True)
        await click_on(pilot, "ordinary")
        await click_on(pilot, "record", last=True)

        (kept,) = ledger.kept.values()
        assert type(pilot.app.screen) is Shelf
        assert kept.moves[0].cause == "ordinary"  # type: ignore[attr-defined]


async def test_the_row_that_is_marked_opens_when_it_is_clicked_and_another_is_only_marked() -> None:
    Shelf.looked.clear()
    async with desk().run_test(size=(80, 24)) as pilot:
        await click_on(pilot, " P4 ")
        assert pilot.app.screen.query_one(PagedList).key_here == "4"
        assert Shelf.looked == []

        await click_on(pilot, " P4 ")
        assert Shelf.looked == ["4"]


async def test_a_choice_that_is_clicked_twice_in_a_burst_is_taken_once() -> None:
    async with desk().run_test(size=(80, 24)) as pilot:
        await pilot.press("full_stop")
        await pilot.pause()
        chooser = pilot.app.screen
        assert isinstance(chooser, Chooser)
        for _ in range(2):
            chooser.query_one(OptionList).action_select()
        await rest(pilot)

        assert isinstance(pilot.app.screen, DeathForm)


async def test_an_action_in_the_help_is_done_when_it_is_clicked() -> None:
    async with desk().run_test(size=(80, 24)) as pilot:
        await pilot.press("question_mark")
        await click_on(pilot, "Record deaths in a lot")

        assert isinstance(pilot.app.screen, DeathForm)


async def test_a_sheet_closes_when_what_lies_beside_it_is_clicked() -> None:
    async with desk().run_test(size=(80, 24)) as pilot:
        for key, sheet in (("question_mark", Help), ("full_stop", Chooser)):
            await pilot.press(key)
            await pilot.pause()
            assert isinstance(pilot.app.screen, sheet)
            await pilot.click(offset=(30, 8))
            if sheet is Help:
                assert isinstance(pilot.app.screen, sheet), "a click on the sheet itself leaves it there"

            await pilot.click(offset=(5, 23))
            await pilot.pause()
            assert type(pilot.app.screen) is Shelf


async def test_the_jot_line_opens_records_and_goes_by_the_mouse() -> None:
    ledger = FakeLedger()
    async with desk(ledger).run_test(size=(80, 24)) as pilot:
        await click_on(pilot, "write", last=True)
        await type_in(pilot, "P08 3 died")
        await rest(pilot)
        await click_on(pilot, "enter records")
        assert len(ledger.kept) == 1

        await click_on(pilot, "enter goes back")
        await click_on(pilot, "write", last=True)
        await click_on(pilot, "esc puts the line away")
        assert not pilot.app.screen.foot.jot.display  # type: ignore[attr-defined]


async def test_a_field_goes_on_where_it_was_after_the_help_and_after_the_jot_line() -> None:
    async with desk().run_test(size=(80, 24)) as pilot:
        await pilot.press("d", "end")
        entry = pilot.app.screen.rows[0].entry  # type: ignore[attr-defined]
        await pilot.press("2")
        await click_on(pilot, "help", last=True)
        await click_on(pilot, "esc goes back")
        await pilot.press("3")
        assert entry.value == "123"

        await pilot.press("ctrl+g", "escape", "4")
        await rest(pilot, 0.05)
        assert entry.value == "1234"

        # A control: a field that is come to is marked, and the next letter takes its place.
        await pilot.press("tab", "shift+tab", "7")
        await rest(pilot, 0.05)
        assert entry.value == "7"


async def test_pasted_lines_are_recorded_with_the_mouse() -> None:
    from tui.jot_line import read_lines

    ledger = FakeLedger()
    app = desk(ledger)
    async with app.run_test(size=(80, 24)) as pilot:
        await app.push_screen(Pasted(read_lines("P08 3 died\nP08 2 died", app.jot_setting())))
        await click_on(pilot, "enter record", last=True)
        assert len(ledger.kept) == 2

        await click_on(pilot, "esc back", last=True)
        assert type(pilot.app.screen) is Shelf
        assert "Recorded" in picture(pilot.app) or "[recorded]" in picture(pilot.app)
