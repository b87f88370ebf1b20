"""The list of all actions takes letters faster than it can be drawn."""

from __future__ import annotations

import pytest

from tests.tui.fakes import desk
from tests.tui.keys import burst, rest
from tui.widgets.chooser import Chooser


@pytest.mark.parametrize("typed", ["zq", "dzz", "lotzzz", "[<.6;2;0M"])
async def test_letters_in_a_burst_that_leave_nothing_to_choose_stop_nothing(typed: str) -> None:
    app = desk()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("full_stop")
        await pilot.pause()
        burst(app, "down", "down", *typed, "down", "backspace", "up")
        await rest(pilot)

        assert isinstance(app.screen, Chooser)


async def test_a_mark_that_comes_after_the_list_was_narrowed_is_passed_over() -> None:
    from textual.widgets import OptionList

    app = desk()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("full_stop")
        await pilot.pause()
        chooser = app.screen
        assert isinstance(chooser, Chooser)
        options = chooser.query_one(OptionList)
        # What the library says of the long list is read when only the short one is there.
        late = OptionList.OptionHighlighted(options, options.get_option_at_index(7), 7)
        chooser._list("zzzz")
        chooser.post_message(late)
        await rest(pilot)

        assert app._exception is None
