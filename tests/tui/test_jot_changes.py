"""The jot line says what a cost or a back-dated entry would change; asked aside, saved never."""

from __future__ import annotations

import threading
from typing import Any

import pytest

from ledger.books.changes import Consequences
from ledger.ledger import Ledger
from ledger.records import tables as t
from tests.tui.business import desk
from tests.tui.keys import rest, type_in
from tests.tui.loft import count, go
from tests.tui.screenshot import picture
from tests.tui.words import SETTING, TODAY
from tui.consequences import in_short, to_ask, whole_list
from tui.jot_line import read_line

REST = 1.2
LATE = "P08 1 L3 died 1 mar"


def squeezed(text: str) -> str:
    return " ".join(text.split())


async def jot(pilot: Any, line: str) -> str:
    await pilot.press("space")
    await type_in(pilot, line)
    await rest(pilot, REST)
    return squeezed(picture(pilot.app))


@pytest.mark.parametrize("line", ["feed 24.00 Ombrel", "P08 3 died yesterday", "feed 9 yesterday"])
def test_costs_and_days_past_are_tried(line: str) -> None:
    assert to_ask(read_line(line, SETTING), TODAY)


@pytest.mark.parametrize("line", ["P08 3 died", "hold P08 2 for Tarn until fri"])
def test_what_happens_today_is_not_tried(line: str) -> None:
    assert not to_ask(read_line(line, SETTING), TODAY)


async def test_the_preview_of_a_cost_says_what_it_changes_and_nothing_is_saved(loft: Ledger) -> None:
    app = desk(loft)
    before = [count(loft, table) for table in (t.operation, t.cost)]
    async with app.run_test(size=(120, 40)) as pilot:
        shown = await jot(pilot, "feed 24.00 Ombrel 1 mar")

        setting = app.jot_setting()
        found = loft.what_changes(read_line("feed 24.00 Ombrel 1 mar", setting))
        assert squeezed(in_short(found, loft.currency)) in shown
        assert "figures: " in shown
        assert " -> " in shown
        assert [count(loft, table) for table in (t.operation, t.cost)] == before
        await go(pilot, "enter")
        assert [count(loft, table) for table in (t.operation, t.cost)] == [number + 1 for number in before]


async def test_a_line_of_today_says_nothing_of_figures(loft: Ledger, monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[object] = []
    real = Ledger.what_changes

    def spy(ledger: Ledger, command: object) -> Consequences:
        asked.append(command)
        return real(ledger, command)

    monkeypatch.setattr(Ledger, "what_changes", spy)
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        shown = await jot(pilot, "P08 1 L3 died")
        assert "P08: 1 of" in shown
        assert "figure" not in shown
        assert not asked
        await pilot.press("ctrl+u")
        await type_in(pilot, LATE)
        await rest(pilot, REST)
        assert "figure" in picture(app)
        assert len(asked) == 1


async def test_one_key_opens_the_whole_list_and_the_line_stays(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await jot(pilot, LATE)
        found = loft.what_changes(read_line(LATE, app.jot_setting()))
        shown = await go(pilot, "ctrl+o")

        assert "What the line would change" in shown
        for line in whole_list(found, loft.currency, 76):
            assert squeezed(app.screen.said(line)) in shown  # type: ignore[attr-defined]
        shown = await go(pilot, "escape")
        assert LATE in shown
        await go(pilot, "enter")
        assert "Recorded." in picture(app)


async def test_typing_and_recording_do_not_wait_for_the_trial(loft: Ledger, monkeypatch: pytest.MonkeyPatch) -> None:
    go_on = threading.Event()
    real = Ledger.what_changes

    def slow(ledger: Ledger, command: object) -> Consequences:
        assert go_on.wait(20)
        return real(ledger, command)

    monkeypatch.setattr(Ledger, "what_changes", slow)
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        try:
            await pilot.press("space")
            await type_in(pilot, LATE)
            await pilot.pause(REST)
            await type_in(pilot, " note late")
            await pilot.pause(0.3)
            assert "died 1 mar note late" in picture(app)
            await pilot.press("enter")
            await pilot.pause(0.3)
            assert "Recorded." in picture(app)
        finally:
            go_on.set()
        await rest(pilot)
        # An answer to a line that is no longer there says nothing.
        assert "figure" not in picture(app)


async def test_a_ledger_that_cannot_be_written_still_shows_the_preview(loft: Ledger) -> None:
    loft.store.read_only = True
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        shown = await jot(pilot, LATE)

        assert "P08: 1 of" in shown
        assert "figure" not in shown
