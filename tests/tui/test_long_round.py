"""A round of more tubs than can be planned between two keys: looked over and recorded aside, never unseen or twice."""

from __future__ import annotations

import threading
from collections.abc import Callable
from pathlib import Path

import pytest
from textual.app import App

from ledger.ledger import Ledger
from ledger.records import tables as t
from ledger.stock.commands import Move, Record
from tests.tui.business import TODAY, desk
from tests.tui.keys import rest
from tests.tui.loft import count, go, rows
from tests.tui.screenshot import lines, picture
from tui.drafts import Drafts
from tui.places import round_page
from tui.places.round import RoundPlace
from tui.places.round_page import RoundPage
from tui.tongue import listen_to
from tui.widgets.lines import Lines

LAST = (t.movement.c.reason, t.movement.c.count, t.movement.c.reverses)


@pytest.fixture(autouse=True)
def few(monkeypatch: pytest.MonkeyPatch) -> None:
    """One marked line is a long round already, and three lines are a long text."""
    monkeypatch.setattr("tui.places.round.FEW", 0)
    monkeypatch.setattr("tui.widgets.lines.MANY", 3)


def held_up(monkeypatch: pytest.MonkeyPatch, place: object, name: str) -> tuple[threading.Event, list[object]]:
    """Hold a function up until the event is set; the arguments it was called with."""
    goes, asked = threading.Event(), list[object]()
    was: Callable[..., object] = getattr(place, name)

    def waits(*given: object, **named: object) -> object:
        asked.append(given)
        assert goes.wait(20)
        return was(*given, **named)

    monkeypatch.setattr(place, name, waits)
    return goes, asked


async def test_enter_records_nothing_that_was_not_read_and_nothing_twice(
    loft: Ledger, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = count(loft, t.operation)
    looks, _ = held_up(monkeypatch, round_page, "said_before")
    saves, saved = held_up(monkeypatch, loft, "do")
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "8", *["up"] * 9, "d", "d", "f")

        await pilot.press("enter")
        await pilot.pause(0.2)
        assert isinstance(app.screen, RoundPage)
        assert "Looking over 1 lines ... Escape stops it." in picture(app)
        await pilot.press("enter", "e")
        assert "not ready yet" in app.answer.sentence
        looks.set()
        shown = await go(pilot)
        assert "2 of 10 L3 died" in shown
        assert "P08 L3: 2 died · fed" in shown
        assert not saved

        await pilot.press("enter", "enter")
        await pilot.pause(0.2)
        assert "Recording 1 lines" in picture(app)
        await pilot.press("enter", "f3", "8")
        assert isinstance(app.screen, RoundPage)
        assert len(saved) == 1
        saves.set()
        await go(pilot)
        assert isinstance(app.screen, RoundPlace)
        assert (len(saved), count(loft, t.operation)) == (1, before + 1)
        assert rows(loft, *LAST)[-1] == ("died", 2, None)
        assert not app.screen.walk

        shown = await go(pilot, "ctrl+z")
        assert "Taken back" in shown
        assert "2 died · fed" in shown


async def test_escape_ends_the_look_and_the_recording_and_keeps_every_mark(
    loft: Ledger, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before, path = count(loft, t.operation), tmp_path / "drafts.json"
    looks, _ = held_up(monkeypatch, round_page, "said_before")
    app = desk(loft, drafts=Drafts(path))
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "8", *["up"] * 9, "d", "d")
        await pilot.press("enter")
        await pilot.pause(0.2)
        await pilot.press("escape")
        looks.set()
        await rest(pilot)
        assert isinstance(app.screen, RoundPlace)

        await go(pilot, "enter")
        saves, _ = held_up(monkeypatch, loft, "do")
        await pilot.press("enter")
        await pilot.pause(0.2)
        await pilot.press("escape")
        assert "stopping" in picture(app)
        saves.set()
        shown = await go(pilot)
        assert isinstance(app.screen, RoundPage)
        assert "It was stopped before it was done." in shown
        assert "2 of 10 L3 died" in shown
        assert count(loft, t.operation) == before
        assert Drafts(path).get("round")

        await go(pilot, "enter")
        assert count(loft, t.operation) == before + 1
        assert Drafts(path).get("round") == {}


async def test_a_long_round_that_cannot_be_says_why_and_records_nothing(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "8", *["up"] * 9, "d", "equals_sign", "8", "down", "f")
        loft.do(Record("P08", (Move("died", 5, stage="L3"),), TODAY))
        before = count(loft, t.operation)

        assert "only 5 L3" in await go(pilot, "enter")
        await go(pilot, "enter")
        assert "only 5 L3" in app.answer.sentence
        assert count(loft, t.operation) == before
        await go(pilot, "escape")
        assert isinstance(app.screen, RoundPlace)
        assert len(app.screen.walk.marked) == 2


async def test_a_round_that_was_recorded_before_a_kill_counts_once(loft: Ledger, tmp_path: Path) -> None:
    path = tmp_path / "drafts.json"
    app = desk(loft, drafts=Drafts(path))
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "8", *["up"] * 9, "d", "v", "down", "f")
        left = {file: file.read_bytes() for file in tmp_path.iterdir()}
        assert path.with_suffix(".since") in left  # the second mark is a change of its own
        await go(pilot, "enter", "enter")
        after = count(loft, t.operation)

    # As a program leaves it that was killed when the ledger had saved the round and before the marks were taken away.
    for file, content in left.items():
        file.write_bytes(content)
    again = desk(loft, drafts=Drafts(path))
    async with again.run_test(size=(80, 24)) as pilot:
        assert "2 marked: 1 died, 1 tub fed, 1 seen" in await go(pilot, "8")
        await go(pilot, "enter", "enter")
        assert count(loft, t.operation) == after
        assert Drafts(path).get("round") == {}


class Text(App[None]):
    """A long text and nothing else."""

    def __init__(self, text: list[str]) -> None:
        super().__init__()
        self._text = text

    def compose(self) -> object:
        yield Lines("", markup=False)

    def on_mount(self) -> None:
        self.query_one(Lines).show(self._text)


async def test_a_long_text_looks_as_a_short_one_does_at_every_width(monkeypatch: pytest.MonkeyPatch) -> None:
    text = [
        *(f"  {n} [b]of many[/b] ♀ {'and so on ' * (n % 5)}".rstrip() for n in range(30)),
        "",
        "a\x1bb\nc",
        "last 末尾",
    ]
    for width in (60, 24):
        seen = []
        for many in (1000, 3):
            monkeypatch.setattr("tui.widgets.lines.MANY", many)
            app = Text(text)
            async with app.run_test(size=(width, 60)) as pilot:
                await pilot.pause()
                widget = app.query_one(Lines)
                seen.append((lines(app), widget.size, widget._by_line))
                widget.text_select_all()
                await pilot.pause()
                selected = app.screen.get_selected_text() or ""
                assert ("last 末尾" in selected, "30" in selected, "29 [b]of many[/b]" in selected) == (
                    True,
                    False,
                    True,
                )
        (short, size, drawn), (long, other, alone) = seen
        assert (drawn, alone) == (False, True)
        assert (short, size) == (long, other)


@pytest.mark.parametrize("language", ["en", "de"])
async def test_a_long_round_reads_as_a_short_one_does_in_every_language(
    loft: Ledger, monkeypatch: pytest.MonkeyPatch, language: str
) -> None:
    read = []
    for few in (300, 0):
        monkeypatch.setattr("tui.places.round.FEW", few)
        app = desk(loft)
        app.voice.speaker = listen_to({"screen language": language})
        async with app.run_test(size=(80, 24)) as pilot:
            await go(pilot, "8", *["up"] * 9, "d", "c", "3", "escape", "down", "f", "enter")
            page = app.screen
            assert isinstance(page, RoundPage)
            assert (page._seen is not None) == (few == 0)
            read.append(picture(app))
    assert read[0] == read[1]
    assert ("Row by row" in read[0]) == (language == "en")


async def test_the_cursor_stays_on_its_tub_and_finds_one_far_below_and_nothing_is_marked_on_the_way(
    loft: Ledger, monkeypatch: pytest.MonkeyPatch
) -> None:
    # As if a page held two lines, and one was read between two keys.
    monkeypatch.setattr("tui.places.listing.PAGE", 2)
    monkeypatch.setattr("tui.widgets.paged.NEAR_END", 1)
    monkeypatch.setattr("tui.places.round.SOME", 1)
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "8")
        place = app.screen
        assert isinstance(place, RoundPlace)
        keys = list(place._tubs)
        await go(pilot, "home", *["down"] * 5)
        assert place.chosen == keys[5]
        for key in ("asterisk", "exclamation_mark", "exclamation_mark", "ctrl+w", "ctrl+w", "ctrl+r"):
            await go(pilot, key)
            assert place.chosen == keys[5], key

        # Read anew, with more than the first page between it and the top.
        place.ask_anew()
        await go(pilot)
        assert place.chosen == keys[5]

        await go(pilot, "home", "3")
        last = keys[-1].split("|")[0]
        first = next(key for key in keys if key.startswith(f"{last}|"))
        assert keys.index(first) > 0
        place.rows.read(from_top=True)
        assert place.rows.held == 2
        place._go_to(keys[-1])
        place.action_died()
        assert "still being read" in app.answer.sentence
        assert not place.walk
        await go(pilot)
        assert place.chosen == keys[-1]

        place.rows.read(from_top=True)
        app.round_at = last
        await go(pilot, "8")
        assert place.chosen == first
        await go(pilot, "d")
        assert list(place.walk.marked) == [first]
