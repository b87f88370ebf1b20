"""Promise 11: every backup restores, with the same rows and the same balances."""

from __future__ import annotations

import datetime as dt
import os
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from ledger.errors import DiskFault
from ledger.ledger import Ledger
from ledger.records import backups
from ledger.records.rows import Fingerprint, fingerprint
from ledger.records.store import Store, create, open_store
from tests.tui.business import COMMANDS, NOW

STEP = 1 if os.environ.get("REARLEDGER_LONG") == "1" else 3
START = dt.datetime(2025, 6, 4, 10, 0, tzinfo=dt.UTC)


def balances(ledger: Ledger) -> tuple[object, ...]:
    """What a keeper would compare: animals, ready list, money of the year, what does not add up."""
    return ledger.stock(), ledger.ready(), ledger.income(2025), ledger.prove()


@pytest.fixture
def copies(sqlite_store: Store) -> dict[Path, tuple[Fingerprint, tuple[object, ...]]]:
    """A backup after every third act of a business (every act in the long run), with what the ledger held then."""
    ledger = Ledger(sqlite_store, clock=lambda: NOW, by="keeper")
    made = {}
    for n, command in enumerate(COMMANDS):
        ledger.do(command)
        if n % STEP:
            continue
        backup = backups.make(sqlite_store, "asked", START + dt.timedelta(days=40 * n))
        with sqlite_store.reading() as conn:
            made[backup.path] = (fingerprint(conn), balances(ledger))
    return {path: then for path, then in made.items() if path.exists()}


def test_every_backup_restores_with_the_same_digest_and_balances(
    copies: dict[Path, tuple[Fingerprint, tuple[object, ...]]], tmp_path: Path
) -> None:
    assert len(copies) == len(COMMANDS[::STEP]) >= 6

    for n, (path, (digest, then)) in enumerate(copies.items()):
        place = tmp_path / f"restored-{n}.rearledger"
        backups.restore(path, str(place))
        with Ledger.open(str(place), clock=lambda: NOW) as restored:
            assert balances(restored) == then
            with restored.store.reading() as conn:
                assert fingerprint(conn) == digest


def test_control_a_backup_that_lost_a_row_since_is_not_restored(sqlite_store: Store, tmp_path: Path) -> None:
    ledger = Ledger(sqlite_store, clock=lambda: NOW, by="keeper")
    for command in COMMANDS:
        ledger.do(command)
    made = backups.make(sqlite_store, "asked", START)
    with closing(sqlite3.connect(made.path)) as raw:
        raw.execute("DELETE FROM layer WHERE id = (SELECT max(id) FROM layer)")
        raw.commit()

    with pytest.raises(DiskFault):
        backups.restore(made.path, str(tmp_path / "restored.rearledger"))

    assert not (tmp_path / "restored.rearledger").exists()


def test_control_a_copy_that_loses_a_row_on_its_way_is_neither_a_backup_nor_a_ledger(
    sqlite_store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    ledger = Ledger(sqlite_store, clock=lambda: NOW, by="keeper")
    for command in COMMANDS[:6]:
        ledger.do(command)
    whole = backups.make(sqlite_store, "asked", START)
    copy = backups._pages

    def forgetful(source: sqlite3.Connection, part: Path) -> None:
        copy(source, part)
        with closing(sqlite3.connect(part)) as raw:
            raw.execute("DELETE FROM layer WHERE id = (SELECT max(id) FROM layer)")
            raw.commit()

    monkeypatch.setattr(backups, "_pages", forgetful)
    ledger.do(COMMANDS[6])
    with pytest.raises(DiskFault, match="does not hold what it should"):
        backups.make(sqlite_store, "asked", START + dt.timedelta(days=1))
    with pytest.raises(DiskFault, match="does not hold what it should"):
        backups.restore(whole.path, str(tmp_path / "restored.rearledger"))

    assert [one.path for one in backups.backups(sqlite_store.target)] == [whole.path]
    assert not (tmp_path / "restored.rearledger").exists()


def test_a_backup_whose_rows_are_whole_and_whose_index_is_damaged_is_not_sound(sqlite_store: Store) -> None:
    ledger = Ledger(sqlite_store, clock=lambda: NOW, by="keeper")
    for command in COMMANDS[:6]:
        ledger.do(command)
    made = backups.make(sqlite_store, "asked", START)
    backups.verify(made.path)
    with closing(sqlite3.connect(made.path)) as raw:
        raw.execute("PRAGMA writable_schema=ON")
        changed = raw.execute(
            "UPDATE sqlite_master SET sql = replace(sql, '(stage_id, lot_id)', '(lot_id, stage_id)') "
            "WHERE name = 'ix_holding_on_hand' AND sql LIKE '%(stage_id, lot_id)%'"
        )
        assert changed.rowcount == 1
        raw.commit()

    with pytest.raises(DiskFault, match="is damaged"):
        backups.verify(made.path)


def test_a_backup_taken_while_somebody_records_is_of_one_moment(sqlite_store: Store, tmp_path: Path) -> None:
    other = open_store(sqlite_store.target)
    mine, theirs = (Ledger(store, clock=lambda: NOW, by="keeper") for store in (sqlite_store, other))
    for command in COMMANDS[:6]:
        mine.do(command)

    for n, command in enumerate(COMMANDS[6:12]):
        theirs.do(command)
        made = backups.make(sqlite_store, "asked", START + dt.timedelta(minutes=n))
        place = tmp_path / f"moment-{n}.rearledger"
        backups.restore(made.path, str(place))
        with Ledger.open(str(place), clock=lambda: NOW) as restored:
            assert restored.prove() == ()
            assert restored.stock() == theirs.stock()
    other.close()


def test_an_empty_ledger_is_backed_up_and_restored_too(tmp_path: Path) -> None:
    store = create(str(tmp_path / "empty.rearledger"), currency="JPY", name="Nib")
    made = backups.make(store, "asked", START)
    store.close()

    backups.restore(made.path, str(tmp_path / "again.rearledger"))

    with Ledger.open(str(tmp_path / "again.rearledger")) as restored:
        assert (restored.name, restored.currency.code) == ("Nib", "JPY")
