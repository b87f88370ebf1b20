"""The list that one chooses from by letters, however fast they come and whatever they find."""

from __future__ import annotations

import pytest
from textual.widgets import OptionList

from ledger.ledger import Ledger
from tests.tui.business import desk
from tests.tui.keys import burst, rest, type_in
from tests.tui.loft import quick
from tests.tui.screenshot import picture
from tui.widgets.chooser import NOTHING, PARTLY, Choice, Chooser, partly
from tui.widgets.help import Help, HelpRow


def test_what_holds_a_word_of_it_is_there_where_nothing_holds_all() -> None:
    choices = [Choice("feed tubs", 1), Choice("sell animals", 2), Choice("sell frames", 3), Choice("resell", 4)]

    assert [one.value for one in partly(choices, "sell fram")] == [3, 2]
    assert partly(choices, "ll") == []
    assert partly(choices, "zzzz") == []


@pytest.mark.parametrize("typed", ["sell frogs", "zzzz", "new sp"])
async def test_letters_in_one_chunk_that_nothing_holds_are_answered_in_words(loft: Ledger, typed: str) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("full_stop")
        await pilot.pause()
        burst(app, *("space" if letter == " " else letter for letter in typed))
        await rest(pilot)
        chooser = app.screen
        assert isinstance(chooser, Chooser)
        shown = " ".join(picture(app).split())
        found = chooser.query_one(OptionList).option_count
        if typed == "zzzz":
            assert (NOTHING in shown, found) == (True, 0)
        # The Enter behind the letters takes nothing that does not hold them.
        burst(app, "enter")
        await rest(pilot)
        if PARTLY in shown or NOTHING in shown:
            assert app.screen is chooser
        burst(app, *["backspace"] * len(typed))
        await rest(pilot)
        assert chooser.query_one(OptionList).highlighted == 0
        assert "enter takes it" in picture(app)


async def test_a_question_mark_before_any_letter_is_help(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 40)) as pilot:
        await quick(pilot, "full_stop", "question_mark")
        assert isinstance(app.screen, Help)
        assert "A list to choose from" in picture(app)
        await quick(pilot, "escape")
        assert isinstance(app.screen, Chooser)
        await type_in(pilot, "w?")
        await rest(pilot)
        assert isinstance(app.screen, Chooser)
        await quick(pilot, "backspace", "backspace", "question_mark")
        await pilot.click(next(row for row in app.screen.query(HelpRow) if row._act.name == "other_light"))
        await rest(pilot)
        assert len(app.screen_stack) == 1
