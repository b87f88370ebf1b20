"""What the database itself refuses, and that missing safeguards are noticed when a ledger is opened."""

from __future__ import annotations

import datetime as dt
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager

import psycopg
import pytest
from sqlalchemy import insert, text
from sqlalchemy.exc import DBAPIError

from ledger.errors import PeriodClosed, ReadOnly, Refused
from ledger.records import periods, triggers
from ledger.records.faults import NEVER_CHANGED
from ledger.records.store import Store, open_store
from ledger.records.tables import ACCOUNTED, entry, metadata, movement, setting
from tests.ledger.records.filled import DAY, fill, row_for

_ONE_WAY = [
    ("reopening a year", "UPDATE period SET closed = 0 WHERE year = 2024"),
    ("closing a year again", "UPDATE period SET closed = 1 WHERE year = 2024"),
    ("moving the end of a year", "UPDATE period SET last_day = '2025-12-30' WHERE year = 2025"),
    ("moving an end while closing", "UPDATE period SET closed = 1, last_day = '2025-12-30' WHERE year = 2025"),
    ("deleting a year", "DELETE FROM period WHERE year = 2100"),
    ("adding a year", "INSERT INTO period VALUES (2300, '2025-03-01', '2025-03-02', 0)"),
    ("skipping a number", "UPDATE counter SET last = last + 2"),
    ("giving a number again", "UPDATE counter SET last = last - 1"),
    ("standing still", "UPDATE counter SET last = last"),
    ("renaming a series", "UPDATE counter SET series = 'x', last = last + 1"),
    ("forgetting a series", "DELETE FROM counter"),
    ("beginning a series later", "INSERT INTO counter VALUES ('new', 2025, 5)"),
    ("moving animals to another lot by the back door", "UPDATE holding SET lot_id = lot_id + 1"),
    ("renaming a tub by the back door", "UPDATE holding SET tub = 'z', count = count + 1"),
    ("forgetting a holding", "DELETE FROM holding"),
    ("changing the currency", "UPDATE ledger_info SET currency = 'USD', schema_version = schema_version + 1"),
    ("going back to an older version", "UPDATE ledger_info SET schema_version = schema_version - 1"),
    ("forgetting what it is", "DELETE FROM ledger_info"),
]
_REPLACING = [
    "REPLACE INTO period SELECT year, first_day, last_day, 0 FROM period WHERE year = 2024",
    "REPLACE INTO counter SELECT series, year, 0 FROM counter",
    "REPLACE INTO holding SELECT * FROM holding",
    "REPLACE INTO ledger_info SELECT * FROM ledger_info",
    "REPLACE INTO period VALUES (2300, '2024-01-01', '2024-12-31', 0)",
]


@pytest.fixture
def filled(store: Store) -> Store:
    """One row in every table, 2024 closed, a counter at one."""
    with store.writing() as conn:
        fill(conn)
        periods.close(conn, 2024)
        conn.execute(text("UPDATE counter SET last = last + 1"))
    return store


@contextmanager
def _another_program(store: Store) -> Iterator[sqlite3.Connection | psycopg.Connection]:
    if store.dialect == "sqlite":
        with closing(sqlite3.connect(store.target, isolation_level=None)) as other:
            yield other
    else:
        with psycopg.connect(store.target.replace("+psycopg", ""), autocommit=True) as replica:
            replica.execute("SET session_replication_role = replica")
            yield replica


@pytest.mark.parametrize("statement", [s for _, s in _ONE_WAY], ids=[name for name, _ in _ONE_WAY])
def test_what_only_goes_one_way_never_goes_back(filled: Store, statement: str) -> None:
    with _another_program(filled) as other:
        with pytest.raises((sqlite3.IntegrityError, psycopg.Error)) as caught:
            other.execute(statement)

        assert NEVER_CHANGED in (str(caught.value) + str(getattr(caught.value, "sqlstate", "")))


@pytest.mark.parametrize("table", ["period", "counter", "holding", "ledger_info"])
def test_tables_that_only_go_one_way_cannot_be_emptied(pg_store: Store, table: str) -> None:
    with _another_program(pg_store) as other, pytest.raises(psycopg.Error) as caught:
        other.execute(f"TRUNCATE {table} CASCADE")

    assert caught.value.sqlstate == NEVER_CHANGED


@pytest.mark.parametrize("statement", _REPLACING)
def test_replacing_is_refused_where_deleting_is(sqlite_store: Store, statement: str) -> None:
    with sqlite_store.writing() as conn:
        fill(conn)
        periods.close(conn, 2024)

    with _another_program(sqlite_store) as other, pytest.raises(sqlite3.IntegrityError, match=NEVER_CHANGED):
        other.execute(statement)


def test_what_may_change_changes(filled: Store) -> None:
    """Control: the refusals above do not come from refusing everything."""
    with filled.writing() as conn:
        for statement in (
            "UPDATE period SET closed = 1 WHERE year = 2025",
            "UPDATE counter SET last = last + 1",
            "INSERT INTO counter VALUES ('new', 2025, 0)",
            "UPDATE holding SET count = 5, earmarked = 2",
            "UPDATE ledger_info SET schema_version = schema_version + 1",
            "UPDATE setting SET value = 'x'",
            "UPDATE customer SET name = 'erased'",
            "UPDATE layer SET count = 3",
            "DELETE FROM layer",
        ):
            assert conn.execute(text(statement)).rowcount == 1, statement


# --- closed years ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ACCOUNTED)
def test_a_closed_year_takes_no_row_of_any_accounted_table(filled: Store, name: str) -> None:
    table = metadata.tables[name]
    row = row_for(table) | {c.name: dt.date(2024, 12, 31) for c in table.columns if c.name.endswith("_on")}

    with pytest.raises(PeriodClosed, match="lies in a year that has been closed; nothing was saved"):  # noqa: SIM117
        with filled.writing() as conn:
            conn.execute(insert(table).values(row))


def test_an_open_year_takes_rows(filled: Store) -> None:
    with filled.writing() as conn:
        assert conn.execute(insert(entry).values(row_for(entry))).inserted_primary_key == (2,)


def test_the_parts_of_accounted_rows_are_those_without_an_operation_of_their_own() -> None:
    assert dict(triggers.parts()) == {
        "movement": ("entry_id", "entry"),
        "cost_scope": ("cost_id", "cost"),
        "sale_line": ("sale_id", "sale"),
        "sale_charge": ("sale_id", "sale"),
        "credit_line": ("credit_id", "credit"),
    }


@pytest.mark.parametrize("name", sorted(triggers.parts()))
def test_nothing_is_added_to_what_was_accounted_in_a_closed_year(filled: Store, name: str) -> None:
    """Its entry, cost, sale or credit of 2025 was there before the year was closed."""
    with filled.writing() as conn:
        periods.close(conn, DAY.year)

    with pytest.raises(PeriodClosed), filled.writing() as conn:
        conn.execute(insert(metadata.tables[name]).values(row_for(metadata.tables[name])))


# --- noticing -------------------------------------------------------------------------------------------------------


def _tamper(store: Store, *statements: str) -> None:
    with store.writing() as conn:
        for statement in statements:
            conn.exec_driver_sql(statement)


_DROP = {"sqlite": "DROP TRIGGER lot_unchanged", "postgresql": "DROP TRIGGER lot_unchanged ON lot"}
_WEAKER = {
    "sqlite": (
        "DROP TRIGGER lot_unchanged",
        "CREATE TRIGGER lot_unchanged BEFORE UPDATE ON lot FOR EACH ROW WHEN 1 = 0 "
        f"BEGIN SELECT RAISE(ABORT, '{NEVER_CHANGED}: lot unchanged'); END",
    ),
    "postgresql": ("ALTER TABLE lot ENABLE TRIGGER lot_unchanged",),
}
_EXTRA = {
    "sqlite": ("CREATE TRIGGER mine AFTER INSERT ON lot BEGIN DELETE FROM setting; END",),
    "postgresql": ("CREATE TRIGGER mine AFTER INSERT ON lot FOR EACH ROW EXECUTE FUNCTION rl_never()",),
}


def test_a_missing_trigger_is_noticed_and_reading_is_still_possible(store: Store) -> None:
    _tamper(store, _DROP[store.dialect])

    with pytest.raises(Refused, match=r"lot_unchanged is missing.*Open it for reading only"):
        open_store(store.target)
    reader = open_store(store.target, read_only=True)
    with pytest.raises(ReadOnly), reader.writing() as conn:
        conn.execute(insert(setting).values(name="a", value=""))
    assert reader.identity.doubts == ("lot_unchanged is missing",)
    reader.close()


def test_an_altered_trigger_is_noticed(store: Store) -> None:
    _tamper(store, *_WEAKER[store.dialect])

    with pytest.raises(Refused, match="lot_unchanged is altered"):
        open_store(store.target)


def test_an_altered_function_behind_the_triggers_is_noticed(pg_store: Store) -> None:
    _tamper(
        pg_store,
        "CREATE OR REPLACE FUNCTION rl_never() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN RETURN NEW; END $$",
    )

    with pytest.raises(Refused, match="rl_never is altered"):
        open_store(pg_store.target)


def test_a_trigger_of_somebody_else_is_noticed(store: Store) -> None:
    _tamper(store, *_EXTRA[store.dialect])

    with pytest.raises(Refused, match="mine does not belong here"):
        open_store(store.target)


def test_putting_the_triggers_up_again_mends_it(store: Store) -> None:
    _tamper(store, _DROP[store.dialect], *_EXTRA[store.dialect])

    with store.writing() as conn:
        triggers.install(conn)

    open_store(store.target).close()


def test_many_doubts_still_make_one_sentence_that_can_be_read(store: Store) -> None:
    with store.writing() as conn:
        triggers.remove(conn)

    with pytest.raises(Refused, match=r"is missing and \d+ more\)") as caught:
        open_store(store.target)

    assert len(str(caught.value)) < 500


def test_a_refusal_of_a_journal_stays_a_mistake_of_the_program(store: Store) -> None:
    with store.writing() as conn:
        fill(conn)

    with pytest.raises(DBAPIError) as caught, store.writing() as conn:
        conn.execute(movement.update().values(count=5))

    assert not isinstance(caught.value, Refused)
