"""Closing a year on the screen: what is missing stands there at any time; Escape stops it or says that it cannot."""

from __future__ import annotations

from importlib import import_module
from pathlib import Path
from threading import Event

import pytest
from textual.pilot import Pilot

import exports.archive.write
import ledger.books.closing
import ledger.records.operations
from ledger.books.missing import KINDS
from ledger.ledger import Ledger
from ledger.records import tables as t
from ledger.records.backups import backups
from ledger.records.periods import period_by_year
from tests.tui.business import desk
from tests.tui.keys import type_in
from tests.tui.loft import count, go
from tests.tui.screenshot import picture
from tui.places.closing import TO_DO


class Held:
    """A step of the closing that waits until it is let go."""

    def __init__(self, patch: pytest.MonkeyPatch, module: object, name: str) -> None:
        self._begun, self._free = Event(), Event()
        step = getattr(module, name)

        def waiting(*given: object) -> object:
            self._begun.set()
            assert self._free.wait(20)
            return step(*given)

        patch.setattr(module, name, waiting)

    async def escape(self, pilot: Pilot[None]) -> str:
        """Press Escape while that step goes on; what the screen then says."""
        while not self._begun.is_set():
            await pilot.pause(0.02)
        await pilot.press("escape")
        await pilot.pause()
        said = " ".join(picture(pilot.app).split())
        self._free.set()
        return said


async def test_escape_stops_the_closing_until_it_is_saved_and_then_says_that_it_cannot(
    loft: Ledger, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = count(loft, t.operation)
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "7", "left", "Z", "Z")
        with monkeypatch.context() as patch:
            written = Held(patch, ledger.books.closing, "digest_of")
            await type_in(pilot, "2024")
            await pilot.press("enter")
            assert "stopping ..." in await written.escape(pilot)
            assert "It was stopped before it was done." in await go(pilot)
        assert count(loft, t.operation) == before
        assert not loft.ask(period_by_year, 2024).closed

        await go(pilot, "Z")
        with monkeypatch.context() as patch:
            saved = Held(patch, ledger.records.operations, "_as_json")
            await type_in(pilot, "2024")
            await pilot.press("enter")
            said = await saved.escape(pilot)
            assert "can no longer be stopped" in said
            assert "stopping" not in said
            shown = await go(pilot)
            assert "✓ 2024 is closed" in shown
            # What was missing was looked at before.
            assert "Not counted" not in shown
            (made,) = [one for one in backups(loft.store.target) if one.why == "closing"]
            # Its name is broken where the line ends.
            assert made.path.name in shown.replace(" ", "")
            assert "its figures stand" in shown
    assert loft.ask(period_by_year, 2024).closed


async def test_a_large_ledger_writes_and_closes_in_a_process_of_its_own(
    loft: Ledger, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    def never(*_given: object) -> None:
        raise AssertionError("done in the process of the screen")

    monkeypatch.setattr(import_module("exports.workbook.write"), "content", never)
    monkeypatch.setattr(exports.archive.write, "archive", never)
    monkeypatch.setattr(ledger.books.closing, "digest_of", never)
    papers = tmp_path / "papers"
    papers.mkdir()
    app = desk(loft, papers=papers)
    app.reckoner.least = 1
    async with app.run_test(size=(80, 24)) as pilot:
        assert "every check holds" in await go(pilot, "7", "left", "W")
        assert "The archive is" in await go(pilot, "greater_than_sign", "enter")
        assert "Not counted" in await go(pilot, "Z")
        await go(pilot, "Z")
        await type_in(pilot, "2024")
        await pilot.press("enter")
        assert "✓ 2024 is closed" in await go(pilot)
    assert loft.ask(period_by_year, 2024).closed
    assert sorted(path.suffix for path in papers.iterdir()) == [".xlsx", ".zip"]


def test_the_screen_knows_what_to_do_about_everything_that_can_be_missing() -> None:
    assert list(TO_DO) == list(KINDS)
