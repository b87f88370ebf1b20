"""Searching a long list with keys that come faster than its pages, and what is drawn of it."""

from __future__ import annotations

from typing import ClassVar

import pytest

from tests.tui.fakes import FakeLedger, SomeWords, desk
from tests.tui.keys import burst, rest
from tui.actions import Act
from tui.app import Desk
from tui.places.listing import LIST_ACTS, Listing
from tui.widgets.paged import PAGE, Column, Page, Row

MANY = 2_000
FAR = 1_234
"""Row that is twelve pages away."""


class Long(Listing):
    NAME = "long"
    WHERE = "long"
    TITLE_WORDS = "Long"
    HELP = "A long list."
    COLUMNS = (Column("lot"), Column("what", 10))
    EMPTY = ("Nothing.", "Nothing.")
    ACTS: ClassVar[tuple[Act, ...]] = (Act("look_at", "enter", "open", "Look at one."), *LIST_ACTS)
    looked: ClassVar[list[str | None]] = []

    def page(self, after: str | None) -> Page:
        first = 0 if after is None else int(after) + 1
        last = min(first + PAGE, MANY)
        return Page([Row(str(n), (f"L{n}", "beetle")) for n in range(first, last)], last < MANY)

    def action_look_at(self) -> None:
        self.looked.append(self.chosen)


@pytest.fixture
def app() -> Desk:
    Long.looked.clear()
    return Desk(FakeLedger(), (Long,), SomeWords)  # type: ignore[arg-type]


@pytest.mark.parametrize("typed", ["L7", f"L{FAR}"])
async def test_two_enters_in_a_burst_after_a_search_open_what_was_found(app: Desk, typed: str) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await rest(pilot)
        burst(app, "f", *typed, "enter", "enter")
        await rest(pilot, 1.5)

        assert Long.looked == [typed[1:]]


async def test_one_enter_opens_nothing_and_what_is_typed_on_takes_enter_back(app: Desk) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await rest(pilot)
        burst(app, "f", *"L123", "enter")
        await rest(pilot, 1.5)
        assert Long.looked == []
        assert isinstance(app.screen, Long)
        assert app.focused is app.screen.rows

        burst(app, "f", *f"L{FAR}", "enter", "x", "enter", "enter")
        await rest(pilot, 2.0)
        assert Long.looked == []
        assert app.screen.rows.held == 0


async def test_keys_that_come_with_the_one_that_opens_a_list_move_about_it(app: Desk) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        burst(app, "down", "down", "down", "enter")
        await rest(pilot)

        assert Long.looked == ["3"]


async def test_the_rows_of_a_list_are_made_once_when_it_opens(app: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    from tui.widgets.paged import PagedList

    made = []
    add = PagedList.add_row
    monkeypatch.setattr(PagedList, "add_row", lambda *args, **named: (made.append(args), add(*args, **named))[1])
    async with app.run_test(size=(80, 24)) as pilot:
        await rest(pilot)
        assert len(made) == PAGE

        await pilot.resize_terminal(60, 24)
        await rest(pilot)
        assert len(made) == 2 * PAGE


async def test_a_place_seen_first_is_drawn_by_the_styles_as_they_are(monkeypatch: pytest.MonkeyPatch) -> None:
    read = []
    refresh = Desk.refresh_css
    monkeypatch.setattr(Desk, "refresh_css", lambda *args, **named: (read.append(1), refresh(*args, **named))[1])
    app = desk()
    async with app.run_test(size=(80, 24)) as pilot:
        await rest(pilot)
        read.clear()
        await pilot.press("2")
        await rest(pilot)
        assert app.current_mode == "bench"
        assert read == []

        await pilot.press("ctrl+l", "1")
        await rest(pilot)
        assert len(read) >= 2, "once for the theme, and once for the place that was drawn in the other"
