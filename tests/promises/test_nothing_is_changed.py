"""Promise 6: what was recorded is never changed, only reversed, and reversed at most once.

Every statement that could change a row, on every table of the journals, from a program that asks for none of our
safeguards, is refused by the database itself. Control: with the triggers taken down the same statements succeed, and
the next opening notices.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing

import psycopg
import pytest
from sqlalchemy import Table, UniqueConstraint, insert
from sqlalchemy.exc import IntegrityError

from ledger.errors import Refused
from ledger.records import triggers
from ledger.records.faults import NEVER_CHANGED
from ledger.records.store import Store, open_store
from ledger.records.tables import JOURNAL, metadata, movement
from tests.ledger.records.filled import fill, row_for

TABLES = sorted(JOURNAL)


def _columns(table: Table) -> list[str]:
    return [column.name for column in table.columns]


def _other_column(table: Table) -> str:
    """A column that is no key: the last, where an operation or a note stands."""
    return _columns(table)[-1]


def _quoted(names: list[str]) -> str:
    return ", ".join(f'"{name}"' for name in names)


def _same_row(table: Table, without: str = "") -> tuple[str, str]:
    names = _quoted([name for name in _columns(table) if name != without])
    return names, f"SELECT {names} FROM {table.name} WHERE id = 1"


def _statements(table: Table, dialect: str) -> Iterator[str]:
    name, column = table.name, _other_column(table)
    yield f'UPDATE {name} SET "{column}" = "{column}"'
    yield f"UPDATE {name} SET id = id + 1000 WHERE id = 1"
    yield f"DELETE FROM {name} WHERE id = 1"
    yield f"DELETE FROM {name}"
    names, row = _same_row(table)
    upsert = f'ON CONFLICT (id) DO UPDATE SET "{column}" = excluded."{column}"'
    if dialect == "sqlite":
        yield f"INSERT INTO {name} ({names}) {row} {upsert}"
        yield f"REPLACE INTO {name} ({names}) {row}"
        yield f"INSERT OR REPLACE INTO {name} ({names}) {row}"
        yield f'UPDATE OR REPLACE {name} SET "{column}" = "{column}"'
        yield f'UPDATE OR IGNORE {name} SET "{column}" = "{column}"'
        for key in table.constraints:
            if isinstance(key, UniqueConstraint):
                names, row = _same_row(table, without="id")
                known = " AND ".join(f'"{c.name}" IS NOT NULL' for c in key.columns)
                yield f"REPLACE INTO {name} ({names}) {row} AND {known}"
    else:
        yield f"INSERT INTO {name} ({names}) {row} {upsert}"
        yield f"TRUNCATE {name} CASCADE"
        yield f"TRUNCATE {name} RESTART IDENTITY CASCADE"
        yield f"MERGE INTO {name} USING (SELECT 1) AS s ON id = 1 WHEN MATCHED THEN DELETE"
        yield f'MERGE INTO {name} USING (SELECT 1) AS s ON id = 1 WHEN MATCHED THEN UPDATE SET "{column}" = "{column}"'


def _is_about_nothing(cursor: sqlite3.Cursor, statement: str) -> bool:
    """A REPLACE by a key that is null in our row meets no row, so there is nothing it could change."""
    if not statement.startswith("REPLACE") or " AND " not in statement:
        return False
    source = statement[statement.index("SELECT ") :]
    return cursor.execute(source).fetchone() is None


@pytest.fixture
def filled(store: Store) -> Store:
    with store.writing() as conn:
        fill(conn)
    return store


def test_every_table_of_the_journals_has_a_row_to_change(filled: Store) -> None:
    with filled.reading() as conn:
        for name in TABLES:
            assert conn.exec_driver_sql(f"SELECT id FROM {name}").scalar_one() == 1, name


def test_on_sqlite_no_statement_changes_a_journal(sqlite_store: Store) -> None:
    with sqlite_store.writing() as conn:
        fill(conn)
    tried = 0

    # Another program: no foreign keys, and deletions by REPLACE do not fire delete triggers.
    with closing(sqlite3.connect(sqlite_store.target, isolation_level=None)) as other:
        before = list(other.iterdump())
        for name in TABLES:
            for statement in _statements(metadata.tables[name], "sqlite"):
                if _is_about_nothing(other.cursor(), statement):
                    continue
                with pytest.raises(sqlite3.IntegrityError, match=NEVER_CHANGED):
                    other.execute(statement)
                tried += 1
        assert list(other.iterdump()) == before

    assert tried >= 9 * len(TABLES)


@pytest.mark.parametrize("role", ["origin", "replica"])
def test_on_postgresql_no_statement_changes_a_journal(pg_store: Store, role: str) -> None:
    with pg_store.writing() as conn:
        fill(conn)

    url = pg_store.target.replace("+psycopg", "")
    with psycopg.connect(url, autocommit=True) as other:
        # As a superuser who has switched off foreign keys and ordinary triggers.
        other.execute(f"SET session_replication_role = {role}")
        for name in TABLES:
            before = other.execute(f"SELECT * FROM {name}").fetchall()
            for statement in _statements(metadata.tables[name], "postgresql"):
                with pytest.raises(psycopg.Error) as caught:
                    other.execute(statement)
                assert caught.value.sqlstate == NEVER_CHANGED, statement
            assert other.execute(f"SELECT * FROM {name}").fetchall() == before


def test_control_without_triggers_the_statements_succeed_and_the_next_opening_notices(filled: Store) -> None:
    with filled.writing() as conn:
        triggers.remove(conn)
        for name in TABLES:
            table = metadata.tables[name]
            column = _other_column(table)
            assert conn.exec_driver_sql(f'UPDATE {name} SET "{column}" = "{column}"').rowcount == 1
        if filled.dialect == "sqlite":
            names, row = _same_row(metadata.tables["lot"])
            conn.exec_driver_sql("PRAGMA defer_foreign_keys=ON")
            assert conn.exec_driver_sql(f"REPLACE INTO lot ({names}) {row}").rowcount == 1

    with pytest.raises(Refused, match="safeguards") as caught:
        open_store(filled.target)
    doubts = caught.value.facts["doubts"]
    assert isinstance(doubts, tuple)
    assert {f"{name}_unchanged is missing" for name in TABLES} <= set(doubts)


def test_a_movement_is_reversed_at_most_once(filled: Store) -> None:
    back = row_for(movement) | {"from_holding_id": 1, "to_holding_id": None, "reverses": 1}
    with filled.writing() as conn:
        conn.execute(insert(movement).values(back))

    with pytest.raises(IntegrityError), filled.writing() as conn:
        conn.execute(insert(movement).values(back))
