"""Backups: where they are, who may read them, what they are called, and what is refused."""

from __future__ import annotations

import datetime as dt
import os
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from ledger.errors import BadInput, DiskFault, NotALedger, NotFound, ReadOnly, Refused
from ledger.ledger import Ledger
from ledger.records import backups
from ledger.records.commands import SetSetting
from ledger.records.store import Store

NOW = dt.datetime(2025, 6, 2, 10, 0, tzinfo=dt.UTC)
MINUTE = dt.timedelta(minutes=1)


@pytest.fixture
def ledger(sqlite_store: Store) -> Ledger:
    opened = Ledger(sqlite_store, clock=lambda: dt.datetime(2025, 6, 2, 10, 0), by="keeper")
    opened.do(SetSetting("business name", "Quillmere Loft"))
    return opened


def mode(path: Path) -> int:
    return path.stat().st_mode & 0o777


def test_a_backup_is_for_its_owner_alone_and_lies_beside_the_ledger(ledger: Ledger) -> None:
    before = os.umask(0o022)
    try:
        made = backups.make(ledger.store, "asked", NOW)
    finally:
        os.umask(before)

    assert made.path.parent == Path(f"{ledger.store.target}-backups")
    assert (mode(made.path), mode(made.path.parent)) == (0o600, 0o700)
    assert os.listdir(made.path.parent) == [made.path.name], "nothing but the backup is left"
    assert backups.backups(ledger.store.target) == (made,)


def test_a_second_backup_of_the_same_rows_is_the_first_one(ledger: Ledger) -> None:
    first = backups.make(ledger.store, "start", NOW)

    again = backups.make(ledger.store, "start", NOW + MINUTE)
    ledger.do(SetSetting("business name", "Quillmere"))
    later = backups.make(ledger.store, "start", NOW + 2 * MINUTE)

    assert again == first
    assert later != first
    assert backups.backups(ledger.store.target) == (later, first)


def test_older_backups_are_thinned_out_and_what_is_not_a_backup_stays(ledger: Ledger) -> None:
    folder = backups.folder_of(ledger.store.target)
    folder.mkdir()
    (folder / "note.txt").write_text("mine")

    for n in range(14):
        ledger.do(SetSetting("business name", f"Loft {n}"))
        backups.make(ledger.store, "start", NOW + n * MINUTE)

    there = backups.backups(ledger.store.target)
    assert [one.made_at for one in there] == [NOW + n * MINUTE for n in range(13, 3, -1)]
    assert (folder / "note.txt").exists()


def test_a_copy_whose_rows_were_changed_does_not_verify(ledger: Ledger) -> None:
    made = backups.make(ledger.store, "asked", NOW)
    backups.verify(made.path)
    with closing(sqlite3.connect(made.path)) as raw:
        raw.execute("UPDATE setting SET value = 'other'")
        raw.commit()

    with pytest.raises(DiskFault, match="does not hold what it should"):
        backups.verify(made.path)


@pytest.mark.parametrize("half", ["cut", "zeroed"])
def test_a_damaged_copy_is_refused_and_leaves_nothing(ledger: Ledger, tmp_path: Path, half: str) -> None:
    made = backups.make(ledger.store, "asked", NOW)
    content = made.path.read_bytes()
    middle = len(content) // 2
    made.path.write_bytes(
        content[:middle] if half == "cut" else content[:4096] + bytes(middle) + content[4096 + middle :]
    )
    before = sorted(os.listdir(tmp_path))

    with pytest.raises((DiskFault, NotALedger)):
        backups.restore(made.path, str(tmp_path / "new.rearledger"))

    assert sorted(os.listdir(tmp_path)) == before


def test_a_backup_never_replaces_a_ledger_with_records(ledger: Ledger) -> None:
    made = backups.make(ledger.store, "asked", NOW)
    content = Path(ledger.store.target).read_bytes()

    with pytest.raises(Refused, match="1 act of recording"):
        backups.restore(made.path, ledger.store.target)

    assert Path(ledger.store.target).read_bytes() == content


def test_a_backup_may_replace_an_empty_ledger(ledger: Ledger, tmp_path: Path, sqlite_template: Path) -> None:
    made = backups.make(ledger.store, "asked", NOW)
    place = tmp_path / "empty.rearledger"
    place.write_bytes(sqlite_template.read_bytes())

    backups.restore(made.path, str(place))

    with Ledger.open(str(place)) as restored:
        assert restored.name == "Quillmere Loft"
    assert mode(place) == 0o600


def test_something_that_is_no_ledger_is_never_replaced(ledger: Ledger, tmp_path: Path) -> None:
    made = backups.make(ledger.store, "asked", NOW)
    place = tmp_path / "letter.txt"
    place.write_text("dear")

    with pytest.raises(BadInput, match="no ledger"):
        backups.restore(made.path, str(place))

    assert place.read_text() == "dear"


def test_a_folder_that_cannot_be_written_is_said_in_one_sentence(ledger: Ledger, tmp_path: Path) -> None:
    with pytest.raises(ReadOnly, match="choose another folder"):
        backups.make(ledger.store, "asked", NOW, to=tmp_path / "none")


def test_a_name_is_looked_for_among_the_backups(ledger: Ledger) -> None:
    with pytest.raises(NotFound, match="no backup of"):
        backups.newest_sound(ledger.store.target)
    made = backups.make(ledger.store, "asked", NOW)

    assert backups.newest_sound(ledger.store.target) == (made, ())
    assert backups.find(ledger.store.target, made.path.name) == made.path
    with pytest.raises(NotFound, match="backup list"):
        backups.find(ledger.store.target, "other")


def test_a_ledger_on_a_server_has_no_folder_of_backups(pg_store: Store) -> None:
    with pytest.raises(BadInput, match="whoever keeps the server"):
        backups.make(pg_store, "asked", NOW)
