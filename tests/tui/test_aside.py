"""Answers that come at an awkward moment: while the screen is told anew in another language, or once they are old."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable

from textual.worker import Worker

from ledger.ledger import Ledger
from tests.tui.business import desk
from tests.tui.loft import go
from tests.tui.screenshot import picture
from tui.places.long import Tell
from tui.places.page import AskedPage
from tui.places.writing import WritePage
from tui.widgets.foot import Answer


async def test_long_work_goes_on_while_the_language_is_changed(loft: Ledger) -> None:
    done = threading.Event()

    def write(tell: Tell) -> str:
        while not done.wait(0.02):
            tell("sheets", 1, 2)
        return "It is written."

    app = desk(loft)
    try:
        async with app.run_test(size=(80, 24)) as pilot:
            page = WritePage("Long", write, lambda answer: Answer(str(answer)))
            await app.open_form(page)
            await pilot.pause(0.2)
            was = page.recompose

            async def slowly() -> None:
                # Its bar would be drawn where nothing stands just now.
                await page.query_one("#page-text").remove()
                await pilot.pause(0.3)
                await was()

            page.recompose = slowly  # type: ignore[method-assign]
            await page.tell_anew()
            await pilot.pause(0.2)
            assert "1 of 2" in picture(app)
            assert page.working
            done.set()
            await go(pilot)
            assert app.screen is not page
            assert app.answer.sentence == "It is written."
    finally:
        done.set()


async def test_what_comes_while_a_screen_is_told_anew_is_not_lost(loft: Ledger) -> None:
    done = threading.Event()
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        page = WritePage("Long", lambda _: done.wait(20), lambda _: Answer("It is written."))
        await app.open_form(page)
        await pilot.pause(0.1)
        was = page.recompose

        async def slowly() -> None:
            done.set()
            end = time.monotonic() + 20
            while page._meanwhile is None and time.monotonic() < end:
                await pilot.pause(0.05)
            await was()

        page.recompose = slowly  # type: ignore[method-assign]
        await page.tell_anew()
        await go(pilot)
        assert app.screen is not page
        assert app.answer.sentence == "It is written."


async def test_an_old_answer_is_not_shown_once_it_was_asked_anew(loft: Ledger) -> None:
    done = threading.Event()
    said: list[Callable[[], object]] = [lambda: "old", lambda: (done.wait(20), "new")[1]]
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        page = AskedPage("Asked", lambda: "", lambda answer: [str(answer)])
        await app.open_form(page)
        await go(pilot)
        page.ask_aside(said[0])
        old = page._worker
        assert old is not None
        # Its answer is on its way when another one is asked for.
        page.ask_aside(said[1])
        page.post_message(Worker.StateChanged(old, type(old.state).SUCCESS))
        await pilot.pause(0.2)
        assert page.asking
        done.set()
        await go(pilot)
        assert "new" in picture(app)
        assert not page.asking


async def test_a_page_that_is_done_behind_the_help_is_gone_when_that_is_closed(loft: Ledger) -> None:
    done = threading.Event()
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        page = WritePage("Long", lambda _: done.wait(20), lambda _: Answer("It is written."))
        await app.open_form(page)
        await pilot.press("question_mark")
        await pilot.pause(0.1)
        assert app.screen is not page
        done.set()
        await go(pilot)
        assert page.is_running
        await go(pilot, "escape")
        assert app.screen is not page
        assert len(app.screen_stack) == 1
        assert "It is written." in picture(app)
