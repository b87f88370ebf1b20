"""Promises 9 and 10: an upgrade is all or nothing after a backup; an older program never damages a newer ledger."""

from __future__ import annotations

import os
import random
import shutil
import sqlite3
import subprocess
import sys
import time
from contextlib import closing
from pathlib import Path

import pytest
from sqlalchemy import insert

from ledger.errors import DiskFault, NewerLedger, OlderLedger
from ledger.records import backups, identity, triggers
from ledger.records.rows import Fingerprint, fingerprint
from ledger.records.store import open_store
from ledger.records.tables import operation
from ledger.records.upgrading import bring_up
from tests.ledger.records.filled import fill
from tests.promises.later_step import NOW, steps

ROOT = Path(__file__).parents[2]
LONG = bool(os.environ.get("REARLEDGER_LONG"))
KILLS = 40 if LONG else 4
ACTS = 100_000 if LONG else 8_000


@pytest.fixture
def later(tmp_path: Path) -> Path:
    return steps(tmp_path / "steps")


def fill_with_acts(target: str, acts: int) -> None:
    """A row in every table, and many acts."""
    store = open_store(target)
    with store.writing() as conn:
        fill(conn)
        row = {"kind": "Record", "digest": "0" * 64, "recorded_at": "2025-06-02", "recorded_by": "k", "source": "test"}
        for start in range(0, acts, 5_000):
            part = range(start, min(acts, start + 5_000))
            conn.execute(insert(operation), [{"token": f"token-{n:08}", **row} for n in part])
    store.close()


def seen(target: str) -> tuple[int, Fingerprint]:
    """Version and rows of a ledger, of whatever version."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(identity, "SCHEMA", 2)
        store = open_store(target, read_only=True, older=True)
    try:
        with store.reading() as conn:
            return store.identity.schema_version, fingerprint(conn)
    finally:
        store.close()


def test_a_step_keeps_every_row_puts_the_triggers_back_and_makes_a_backup(target: str, later: Path) -> None:
    fill_with_acts(target, 10)
    before = seen(target)
    store = open_store(target, read_only=True)
    with store.reading() as conn:
        wanted = triggers.doubts(conn)
    store.close()

    done = bring_up(target, NOW, schema=2, steps=later)

    assert (done.before, done.after) == (1, 2)
    assert wanted == ()
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(identity, "SCHEMA", 2)
        store = open_store(target, read_only=True)
        with store.reading() as conn:
            assert triggers.doubts(conn) == ()
            assert conn.exec_driver_sql("SELECT count(*), max(shade) FROM species").one() == (1, "")
            assert conn.exec_driver_sql("SELECT count(*), max(place) FROM operation").one() == (11, "")
        store.close()
    if store.dialect == "sqlite":
        assert done.backup is not None
        assert seen(str(done.backup.path)) == before
        with closing(sqlite3.connect(target)) as raw:
            assert raw.execute("PRAGMA user_version").fetchone() == (2,)
            assert raw.execute("PRAGMA foreign_key_check").fetchall() == []
            with pytest.raises(sqlite3.IntegrityError, match="operation undeleted"):
                raw.execute("DELETE FROM operation")


def test_a_ledger_that_is_up_to_date_is_left_alone(sqlite_target: str, later: Path) -> None:
    assert bring_up(sqlite_target, NOW).backup is None
    bring_up(sqlite_target, NOW, schema=2, steps=later)

    content = Path(sqlite_target).read_bytes()
    with pytest.raises(NewerLedger):
        bring_up(sqlite_target, NOW)

    assert Path(sqlite_target).read_bytes() == content


def test_a_step_that_fails_changes_nothing(target: str, later: Path) -> None:
    fill_with_acts(target, 10)
    before = seen(target)
    broken = (later / "0002_second.py").read_text() + "    raise RuntimeError('half-way')\n"
    (later / "0002_second.py").write_text(
        broken.replace("        return\n", "        raise RuntimeError('half-way')\n")
    )

    with pytest.raises(RuntimeError, match="half-way"):
        bring_up(target, NOW, schema=2, steps=later)

    assert seen(target) == before
    store = open_store(target)
    with store.reading() as conn:
        assert triggers.doubts(conn) == ()
    store.close()


def test_a_step_that_leaves_a_row_pointing_at_nothing_is_refused_and_changes_nothing(
    sqlite_target: str, later: Path
) -> None:
    fill_with_acts(sqlite_target, 10)
    before = seen(sqlite_target)
    step = later / "0002_second.py"
    step.write_text(step.read_text() + "    conn.exec_driver_sql('DELETE FROM species')\n")

    with pytest.raises(DiskFault, match="points at nothing"):
        bring_up(sqlite_target, NOW, schema=2, steps=later)

    assert seen(sqlite_target) == before


def test_killed_at_any_moment_it_is_wholly_old_or_wholly_new_with_the_backup_there(
    sqlite_target: str, later: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    fill_with_acts(sqlite_target, ACTS)
    before = seen(sqlite_target)
    chance = random.Random(1)
    whole = _duration(sqlite_target, later, tmp_path)
    outcomes = {1: 0, 2: 0}
    monkeypatch.setattr(identity, "SCHEMA", 2)

    for n in range(KILLS):
        copy = tmp_path / f"{n}.rearledger"
        shutil.copyfile(sqlite_target, copy)
        with _upgrading(copy, later) as process:
            time.sleep(whole * chance.random() * 1.1)
            process.kill()
        version, rows = seen(str(copy))
        outcomes[version] += 1
        if version == 1:
            assert rows == before[1]
        with closing(sqlite3.connect(copy)) as raw:
            assert raw.execute("PRAGMA integrity_check").fetchone() == ("ok",)
            assert raw.execute("SELECT count(*) FROM operation").fetchone() == (ACTS + 1,)
            columns = [row[1] for row in raw.execute("PRAGMA table_info(operation)")]
            guarded = raw.execute("SELECT count(*) FROM sqlite_master WHERE type = 'trigger'").fetchone()
        assert ("place" in columns) == (version == 2)
        assert guarded == (len(triggers.expected("sqlite")),)
        if version == 2:
            kept = backups.backups(str(copy))
            assert [seen(str(one.path)) for one in kept] == [before]
        # Whatever became of it, the next start brings it up to date.
        bring_up(str(copy), NOW.replace(hour=11), schema=2, steps=later)
        assert seen(str(copy))[0] == 2
        copy.unlink()

    assert outcomes[1], "the kills came too late to prove anything"


def _upgrading(copy: Path, later: Path) -> subprocess.Popen[str]:
    """A process that has begun to bring a copy up to date."""
    command = [sys.executable, "-m", "tests.promises.later_step", str(copy), str(later)]
    process = subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, text=True)
    assert process.stdout is not None
    assert process.stdout.readline() == "begun\n"
    return process


def _duration(target: str, later: Path, folder: Path) -> float:
    copy = folder / "timed.rearledger"
    shutil.copyfile(target, copy)
    with _upgrading(copy, later) as process:
        start = time.perf_counter()
        assert process.stdout is not None
        assert process.stdout.readline() == "done\n"
        return time.perf_counter() - start


def test_a_step_outside_one_transaction_would_be_found_half_done(sqlite_target: str) -> None:
    """The control: the same work committed statement by statement is neither old nor new when it is cut short."""
    fill_with_acts(sqlite_target, 100)
    before = seen(sqlite_target)
    with closing(sqlite3.connect(sqlite_target, isolation_level=None)) as raw:
        raw.execute("ALTER TABLE species ADD COLUMN shade TEXT NOT NULL DEFAULT ''")

    version, rows = seen(sqlite_target)

    assert version == 1
    assert rows != before[1]


def test_an_older_program_neither_writes_nor_reads_nor_changes_a_newer_ledger(target: str, later: Path) -> None:
    """This program, of version 1, meets a ledger of version 2."""
    fill_with_acts(target, 3)
    bring_up(target, NOW, schema=2, steps=later)

    for read_only in (False, True):
        with pytest.raises(NewerLedger, match="version 2 and this program knows versions up to 1"):
            open_store(target, read_only)


def test_a_newer_program_asks_for_an_upgrade_before_it_uses_an_older_ledger(
    target: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(identity, "SCHEMA", 2)

    for read_only in (False, True):
        with pytest.raises(OlderLedger, match="rearledger upgrade brings it up to date"):
            open_store(target, read_only)


def test_on_a_server_a_second_upgrade_waits_and_finds_it_done(pg_url: str, later: Path) -> None:
    fill_with_acts(pg_url, 3)
    command = [sys.executable, "-m", "tests.promises.later_step", pg_url, str(later)]

    both = [subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, text=True) for _ in range(2)]
    answers = [one.communicate(timeout=60)[0] for one in both]

    assert answers == ["begun\ndone\n"] * 2
    assert seen(pg_url)[0] == 2
