"""What the screen does once it is drawn: a backup and a look at where the ledger is, and nothing before that."""

from __future__ import annotations

import threading
from pathlib import Path

import pytest

import tui.app
from ledger.records import backups
from ledger.records.store import Store
from tests.tui.business import desk, fill
from tui.verbs.watch import chores


async def test_chores_wait_for_the_first_screen_and_run_beside_it(
    sqlite_store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(tui.app, "AFTER_PAINT", 0.05)
    seen: list[tuple[bool, bool]] = []
    app = desk(fill(sqlite_store), chores=lambda: seen.append((app.screen.is_mounted, in_main())) or "Look out.")

    def in_main() -> bool:
        return threading.current_thread() is threading.main_thread()

    async with app.run_test() as pilot:
        await pilot.pause(0.3)
        await app.workers.wait_for_complete()
        await pilot.pause()

        assert seen == [(True, False)]
        assert (app.answer.sentence, app.answer.state) == ("Look out.", "notice")


async def test_leaving_at_once_is_no_fault(sqlite_store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tui.app, "AFTER_PAINT", 0.01)
    gate = threading.Event()
    app = desk(fill(sqlite_store), chores=lambda: str(gate.wait(5)))

    async with app.run_test() as pilot:
        await pilot.pause(0.1)
        app.exit()
        gate.set()

    assert app.return_code == 0


def test_the_chores_make_a_backup_and_say_what_is_risky(sqlite_store: Store) -> None:
    ledger = fill(sqlite_store)
    folder = Path(sqlite_store.target).parent

    assert chores(ledger)() == ""
    assert [one.why for one in backups.backups(sqlite_store.target)] == ["start"]
    (folder / ".stfolder").touch()
    assert "synchronises" in chores(ledger)()
    assert len(backups.backups(sqlite_store.target)) == 1, "nothing has changed since"


def test_a_backup_that_cannot_be_made_is_said(sqlite_store: Store) -> None:
    ledger = fill(sqlite_store)
    Path(f"{sqlite_store.target}-backups").touch()

    assert chores(ledger)().startswith("There is no new backup.")
