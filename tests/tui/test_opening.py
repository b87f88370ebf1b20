"""What a screen does when it opens, counted, not timed: styles are looked for once, and nothing is made or drawn that
nobody sees yet. What it must not lose by that: the other light, the jot line, the sentence of a field on a phone."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import pytest
from textual.css.stylesheet import Stylesheet
from textual.dom import DOMNode

from tests.tui.fakes import DeathForm, FakeLedger, Shelf, desk
from tests.tui.keys import burst, rest
from tests.tui.screenshot import lines, picture
from tui import start
from tui.plain import cell
from tui.widgets.jot import JotLine
from tui.widgets.paged import PagedList, Row

FEW = 3
"""Widgets that are looked at anew together when one of them takes the keys."""


@pytest.fixture
def restyled(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """How many widgets were given styles anew, once each for every time that was more than a few."""
    passes: list[int] = []
    real = Stylesheet.update_nodes

    def counted(self: Stylesheet, nodes: Iterable[DOMNode], animate: bool = False) -> None:
        given = list(nodes)
        if len(given) > FEW:
            passes.append(len(given))
        real(self, given, animate)

    monkeypatch.setattr(Stylesheet, "update_nodes", counted)
    return passes


async def test_a_form_and_a_place_are_given_their_styles_once(restyled: list[int]) -> None:
    app = desk()
    async with app.run_test(size=(80, 24)) as pilot:
        await rest(pilot)
        restyled.clear()

        await pilot.press("2", "1", "d")
        await rest(pilot)
        assert isinstance(app.screen, DeathForm)
        opened = list(restyled)
        app.screen.update_node_styles()

    assert opened == []
    assert len(restyled) == 1


async def test_a_place_that_was_away_comes_back_in_the_light_of_now() -> None:
    app = desk()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("2", "1")
        dark = app.screen.styles.background
        await pilot.press("2", "ctrl+l", "1")
        await rest(pilot)

        assert app.screen.here() == Shelf.NAME  # type: ignore[attr-defined]
        assert app.screen.styles.background != dark
        assert app.screen.query_one(PagedList).styles.background == app.screen.styles.background


async def test_the_jot_line_is_made_by_the_key_that_opens_it_and_takes_what_is_typed_after_it() -> None:
    app = desk()
    async with app.run_test(size=(80, 24)) as pilot:
        await rest(pilot)
        assert not app.screen.query(JotLine)

        burst(app, "space", "P", "8", "space", "3")
        await rest(pilot)

        assert app.screen.query_one(JotLine).entry.value == "P8 3"


async def test_on_a_phone_a_field_says_what_it_means_while_it_has_the_keys_or_is_wrong() -> None:
    app = desk()
    async with app.run_test(size=(40, 20)) as pilot:
        await pilot.press("d", "tab", "x", "tab")
        await rest(pilot)
        wrong = picture(app)
        at = next(n for n, line in enumerate(lines(app)) if "if known" in line)
        await pilot.press("tab")
        await rest(pilot)

        assert "worth" in wrong.splitlines()[at - 1]
        assert "! " in picture(app)
        assert "if known" not in picture(app)


async def test_a_row_that_is_put_anew_is_drawn_anew_and_no_other_is_drawn_before_it_is_seen(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    drawn: list[int] = []
    real = PagedList._render_line_in_row

    def noted(self: PagedList, row_key: Any, *given: Any, **named: Any) -> Any:
        drawn.append(int(row_key.value) if row_key.value is not None else -1)
        return real(self, row_key, *given, **named)

    monkeypatch.setattr(PagedList, "_render_line_in_row", noted)
    app = desk(FakeLedger())
    async with app.run_test(size=(80, 24)) as pilot:
        await rest(pilot)
        table = app.screen.query_one(PagedList)
        assert table.held > 100
        assert max(drawn) < 24

        table.put(Row("2", ("P2", "seen anew", "7", "beside")))
        await rest(pilot)

        assert "seen anew" in lines(app)[5]


class Collector:
    """Notes what it is asked to do, in place of that of the interpreter."""

    def __init__(self, rounds: int) -> None:
        self.asked: list[str] = []
        self._rounds = rounds

    def isenabled(self) -> bool:
        return True

    def get_count(self) -> tuple[int, int, int]:
        return 0, 0, self._rounds

    def collect(self) -> None:
        self.asked.append("collect")

    def freeze(self) -> None:
        self.asked.append("freeze")


@pytest.mark.parametrize(
    ("rounds", "stays", "asked"), [(1, True, ["collect", "freeze"]), (1, False, ["collect"]), (0, True, [])]
)
def test_what_an_open_form_is_made_of_is_looked_through_again_once_it_is_gone(
    rounds: int, stays: bool, asked: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    collector = Collector(rounds)
    monkeypatch.setattr(start, "gc", collector)
    monkeypatch.setattr(start, "_hurried", True)
    monkeypatch.setattr(start, "_took", 0.0)

    start.tidy(lambda: stays)

    assert collector.asked == asked


def test_what_took_long_to_look_through_is_not_looked_through_between_two_keys(monkeypatch: pytest.MonkeyPatch) -> None:
    collector = Collector(1)
    monkeypatch.setattr(start, "gc", collector)
    monkeypatch.setattr(start, "_hurried", True)
    for took, asked in ((0.0, ["collect"]), (2 * start.SHORT, [])):
        collector.asked.clear()
        monkeypatch.setattr(start, "_took", took)
        start.tidy(lambda: False, at_rest=False)
        assert collector.asked == asked
    start.tidy(lambda: True, at_rest=True)
    assert collector.asked == ["collect", "freeze"]
    collector.asked.clear()
    # What stays is not looked through again.
    start.tidy(lambda: False, at_rest=False)
    assert collector.asked == ["collect"]


def test_a_figure_ends_where_its_column_ends() -> None:
    assert cell("12.50", 8, right=True) == "   12.50"
    assert cell("12.50", 8) == "12.50   "
    assert cell("a long word", 8) == "a long …"
