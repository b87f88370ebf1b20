"""Promise 9, for the versions there were: a ledger of each is kept, and comes to the present version whole."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from sqlalchemy import Connection

from ledger.records import backups, identity, triggers
from ledger.records.identity import SCHEMA
from ledger.records.rows import Row, fingerprint, read
from ledger.records.store import open_store
from ledger.records.tables import ledger_info, metadata
from ledger.records.upgrading import bring_up
from tests.promises import released
from tests.promises.later_step import NOW, steps


def schema(ledger: Path) -> set[tuple[str, str]]:
    """Every table, index and trigger, as SQL."""
    with closing(sqlite3.connect(ledger)) as raw:
        rows = raw.execute("SELECT name, sql FROM sqlite_master WHERE sql IS NOT NULL").fetchall()
    return {(name, " ".join(sql.split())) for name, sql in rows}


def rows_of(conn: Connection) -> dict[str, list[Row]]:
    """Every row but the one that says which version it is."""
    return {table.name: list(read(conn, table)) for table in metadata.sorted_tables if table is not ledger_info}


def test_a_ledger_of_every_version_is_kept() -> None:
    assert sorted(released.kept()) == list(range(1, SCHEMA + 1)), "run `python -m tests.promises.released`"


def test_the_one_of_the_present_version_has_its_tables_and_triggers(sqlite_template: Path, tmp_path: Path) -> None:
    released.load(released.kept()[SCHEMA], tmp_path / "kept.rearledger")

    # Before the first release; after it, tables and triggers change by a new version.
    assert schema(tmp_path / "kept.rearledger") == schema(sqlite_template), "run `python -m tests.promises.released`"


@pytest.mark.parametrize("version", sorted(released.kept()))
def test_a_kept_ledger_comes_to_the_present_version_and_to_a_later_one_with_every_row(
    tmp_path: Path, version: int
) -> None:
    ledger = tmp_path / "kept.rearledger"
    released.load(released.kept()[version], ledger)
    first = bring_up(str(ledger), NOW)
    store = open_store(str(ledger))
    with store.reading() as conn:
        before, rows, doubts = fingerprint(conn), rows_of(conn), triggers.doubts(conn)
    store.close()

    later = bring_up(str(ledger), NOW, schema=SCHEMA + 1, steps=steps(tmp_path / "steps"))

    assert (first.before, first.after, later.before, later.after) == (version, SCHEMA, SCHEMA, SCHEMA + 1)
    assert doubts == ()
    assert all(rows.values()), "a row in every table"
    assert later.backup is not None
    assert backups.verify(later.backup.path) == before
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(identity, "SCHEMA", SCHEMA + 1)
        store = open_store(str(ledger))
    with store.reading() as conn:
        assert rows_of(conn) == rows
    store.close()
