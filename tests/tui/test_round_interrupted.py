"""What is the same everywhere works in the Round too, right after a mark that a number may follow."""

from __future__ import annotations

import pytest

from ledger.ledger import Ledger
from tests.tui.business import desk
from tests.tui.loft import go
from tui.places.round import RoundPlace
from tui.widgets.help import Help


@pytest.mark.parametrize("mark", ["d", "c"])
async def test_help_and_the_jot_line_open_right_after_a_mark_and_its_number_is_over(loft: Ledger, mark: str) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "8", mark)
        await go(pilot, "question_mark")
        assert isinstance(app.screen, Help)

        await go(pilot, "escape", mark, "space")
        round_place = app.screen
        assert isinstance(round_place, RoundPlace)
        assert round_place.foot.jot.display
        before = dict(round_place.walk.marked)
        await pilot.press(*"vdfc")
        assert round_place.foot.jot.entry.value == "vdfc"
        assert round_place.walk.marked == before, "letters of the line are no marks"

        # Back from the line a digit is a place again.
        await go(pilot, "ctrl+u", "escape", "3")
        assert not isinstance(app.screen, RoundPlace)
