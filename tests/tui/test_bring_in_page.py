"""Bringing in a sheet on the screen: a look first, all or nothing, a bar that Escape stops, and taking it back."""

from __future__ import annotations

import threading
from pathlib import Path
from typing import Any

import pytest

import exports.bring_in.bring as bring
from ledger.ledger import Ledger
from ledger.records import tables as t
from tests.tui.business import desk
from tests.tui.keys import rest, type_in
from tests.tui.loft import count, quick
from tests.tui.screenshot import picture
from tui.drafts import Drafts
from tui.forms.bring_in import BringInForm
from tui.places.bring_in import BringInPage, LookPage

GOOD = "Date,Category,Amount,Shop\n2025-03-01,feed,12.50,Ombrel\n2025-03-05,heat,9.10,Grid\n"


def _held_up(monkeypatch: pytest.MonkeyPatch) -> threading.Event:
    """A recording waits half way until this is set."""
    go_on, real = threading.Event(), bring.bring_in

    def slow(ledger: Ledger, kind: Any, path: Path, wishes: Any, progress: Any, token: Any = None) -> Any:
        progress("recording", 1, 2)
        assert go_on.wait(20)
        return real(ledger, kind, path, wishes, progress, token)

    monkeypatch.setattr(bring, "bring_in", slow)
    return go_on


async def _look(pilot: Any, path: Path) -> str:
    await quick(pilot, "7", "underscore", "n")
    pilot.app.screen.rows[0].entry.value = str(path)
    await quick(pilot, "tab")
    await type_in(pilot, "costs")
    await quick(pilot, "enter")
    return await quick(pilot)


async def test_a_sheet_is_looked_at_mended_recorded_and_taken_back(loft: Ledger, tmp_path: Path) -> None:
    path = tmp_path / "spending.csv"
    path.write_text(GOOD.replace("2025-03-05", "2025-02-30"))
    before = count(loft, t.cost)
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        shown = await _look(pilot, path)
        assert isinstance(app.screen, LookPage)
        assert "2 rows read, 0 in the ledger already, 1 to record, 1 refused" in shown
        assert 'Row 3, column A (Date): "2025-02-30" is no day' in shown
        shown = await quick(pilot, "enter")
        assert "mend it in the sheet, then press a" in shown
        assert count(loft, t.cost) == before

        path.write_text(GOOD)
        shown = await quick(pilot, "a")
        assert "2 to record, 0 refused" in shown
        assert "Money to record: 21.60 EUR" in shown
        assert count(loft, t.cost) == before
        shown = await quick(pilot, "enter")
        assert isinstance(app.screen, BringInPage)
        assert "✓ File 1: 2 rows of costs from spending.csv were recorded." in shown
        assert count(loft, t.cost) == before + 2

        await quick(pilot, "x")
        assert "Enter takes it back" in await quick(pilot)
        shown = await quick(pilot, "enter")
        assert "taken back" in shown
    assert count(loft, t.cost) == before + 4
    assert count(loft, t.bring_in_undone) == 1


async def test_a_file_that_cannot_be_read_is_refused_in_the_screens_own_words(loft: Ledger, tmp_path: Path) -> None:
    path = tmp_path / "spending.csv"
    path.write_text("Colour,Weight\nred,3\n")
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        shown = await _look(pilot, tmp_path / "nowhere.csv")
        assert "no file there" in shown
        app.screen.rows[0].entry.value = str(path)  # type: ignore[attr-defined]
        shown = await quick(pilot, "enter")
        assert "looks like the headings of costs" in shown
        assert "columns in the form (')" in shown
        assert "--map" not in shown


async def test_escape_stops_the_recording_and_what_was_stopped_recorded_nothing(
    loft: Ledger, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "spending.csv"
    path.write_text(GOOD)
    real, go_on = bring.bring_in, _held_up(monkeypatch)
    before = count(loft, t.cost)
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await _look(pilot, path)
        try:
            await pilot.press("enter")
            await pilot.pause(0.6)
            shown = picture(app)
            assert "Recording 1 of 2 ... Escape stops it." in shown
            assert "█" * 20 + "·" * 20 in shown
            await pilot.press("escape")
            await pilot.pause(0.2)
            # It waits for what comes of it: nothing may be recorded unseen.
            assert isinstance(app.screen, LookPage)
        finally:
            go_on.set()
        await rest(pilot, 0.5)
        assert "Nothing was recorded." in " ".join(picture(app).split())
        assert count(loft, t.cost) == before

        monkeypatch.setattr(bring, "bring_in", real)
        await quick(pilot, "enter")
    assert count(loft, t.cost) == before + 2


async def test_who_goes_to_another_place_while_it_is_recorded_finds_it_recorded(
    loft: Ledger, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "spending.csv"
    path.write_text(GOOD)
    go_on = _held_up(monkeypatch)
    before = count(loft, t.cost)
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await _look(pilot, path)
        try:
            await pilot.press("enter")
            await pilot.pause(0.2)
            await pilot.press("4")
            await pilot.pause(0.2)
        finally:
            go_on.set()
        shown = await quick(pilot)
        assert app.current_mode == "sales"
        assert "File 1: 2 rows of costs from spending.csv were recorded." in shown

        await quick(pilot, "7")
        assert isinstance(app.screen, BringInPage)
        shown = await quick(pilot)
        assert "spending.csv" in shown
    assert count(loft, t.cost) == before + 2


async def test_the_key_that_answers_a_question_is_the_one_that_is_said(loft: Ledger, tmp_path: Path) -> None:
    path = tmp_path / "spending.csv"
    path.write_text("Date,Amount,Shop\n2025-01-05,24.00,Ombrel\n")
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        shown = await _look(pilot, path)
        assert "Which column holds the category? ' answers it" in shown
        assert "This was only a look" in shown
        await quick(pilot, "apostrophe")
        assert isinstance(app.screen, BringInForm)
        assert "This was only a look" not in await quick(pilot)


async def test_answers_about_a_sheet_stand_there_after_a_closed_terminal_until_it_was_recorded(
    loft: Ledger, tmp_path: Path
) -> None:
    path, kept = tmp_path / "spending.csv", tmp_path / "drafts.json"
    path.write_text(GOOD.replace("Category", "Whatnot"))
    app = desk(loft, drafts=Drafts(kept))
    async with app.run_test(size=(80, 24)) as pilot:
        await _look(pilot, path)
        await quick(pilot, "apostrophe")
        (columns,) = [row for row in app.screen.rows if row.spec.key == "columns"]  # type: ignore[attr-defined]
        columns.entry.value = "Whatnot=category"
        assert "2 to record, 0 refused" in await quick(pilot, "enter")

    app = desk(loft, drafts=Drafts(kept))
    async with app.run_test(size=(80, 24)) as pilot:
        await quick(pilot, "7", "underscore", "n")
        assert [row.typed for row in app.screen.rows if row.spec.key in ("path", "kind", "columns")] == [  # type: ignore[attr-defined]
            str(path),
            "costs",
            "Whatnot=category",
        ]
        await quick(pilot, "enter")
        assert "2 to record, 0 refused" in await quick(pilot)
        await quick(pilot, "enter")
        assert "were recorded" in await quick(pilot)
        await quick(pilot, "n")
        assert app.screen.rows[0].typed == ""  # type: ignore[attr-defined]


async def test_every_question_has_a_field_and_what_was_answered_is_remembered(loft: Ledger, tmp_path: Path) -> None:
    path, other = tmp_path / "spending.csv", tmp_path / "later.csv"
    path.write_text("Date,Category,Amt\n2025-03-01,moonlight,12.50\n2025-03-05,moonlight,9.10\n")
    other.write_text("Amt,Date,Category\n3.00,2025-04-01,moonlight\n")
    before = count(loft, t.cost)
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        shown = await _look(pilot, path)
        assert "? Which column holds the amount?" in shown
        assert "A heading may stand for: date, category, amount" in " ".join(shown.split())
        await quick(pilot, "apostrophe")
        shown = await quick(pilot)
        assert [row.spec.label for row in app.screen.rows[:2]] == ["amount?", "moonlight?"]  # type: ignore[attr-defined]
        assert "which heading: Date, Category, Amt" in " ".join(shown.split())
        app.screen.rows[0].entry.value = "Amt"  # type: ignore[attr-defined]
        app.screen.rows[1].entry.value = "overhead"  # type: ignore[attr-defined]
        await quick(pilot, "enter")
        shown = " ".join((await quick(pilot)).split())
        assert "2 to record, 0 refused" in shown
        assert "The new category moonlight is overhead, 2 rows." in shown
        assert count(loft, t.cost) == before, "it is remembered before anything is recorded"
        await quick(pilot, "escape")
        await quick(pilot, "n")
        app.screen.rows[0].entry.value = str(other)  # type: ignore[attr-defined]
        await quick(pilot, "tab")
        await type_in(pilot, "costs")
        await quick(pilot, "enter")
        assert "1 to record, 0 refused" in await quick(pilot)
