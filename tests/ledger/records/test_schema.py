"""A ledger made by the migrations has exactly the tables this program believes it has."""

from __future__ import annotations

from pathlib import Path

from sqlalchemy import Connection, text

from ledger.records.engines import file_engine
from ledger.records.store import Store
from ledger.records.tables import metadata
from ledger.records.triggers import doubts
from tests.ledger.records.freeze import stale
from tests.postgres import Server

_POSTGRESQL = {
    "columns": (
        "SELECT table_name, column_name, data_type, is_nullable, regexp_replace(column_default, '^nextval.*', 'next') "
        "FROM information_schema.columns WHERE table_schema = 'public'"
    ),
    "constraints": (
        "SELECT conrelid::regclass::text, conname, contype::text, pg_get_constraintdef(oid) "
        "FROM pg_constraint WHERE connamespace = 'public'::regnamespace"
    ),
    "indexes": "SELECT tablename, indexname, indexdef FROM pg_indexes WHERE schemaname = 'public'",
}


def _without_alembic(rows: set[tuple[str, ...]]) -> set[tuple[str, ...]]:
    return {row for row in rows if not row[0].startswith("alembic_version")}


def _sqlite_schema(conn: Connection) -> set[tuple[str, ...]]:
    rows = conn.execute(
        text("SELECT tbl_name, type, name, sql FROM sqlite_master WHERE type <> 'trigger' AND name NOT LIKE 'sqlite_%'")
    )
    return _without_alembic({(row[0], row[1], row[2], " ".join(row[3].split())) for row in rows})


def _postgresql_schema(conn: Connection) -> dict[str, set[tuple[str, ...]]]:
    return {what: _without_alembic({tuple(row) for row in conn.execute(text(q))}) for what, q in _POSTGRESQL.items()}


def test_the_first_step_says_what_the_tables_say() -> None:
    assert stale() == [], "run `python -m tests.ledger.records.freeze` (before the first release), or write a new step"


def test_on_sqlite_the_migrated_tables_equal_the_declared_ones(sqlite_store: Store, tmp_path: Path) -> None:
    plain = tmp_path / "plain.db"
    plain.touch()
    engine = file_engine(plain)

    with engine.connect() as conn, conn.begin():
        metadata.create_all(conn)
        declared = _sqlite_schema(conn)
    engine.dispose()
    with sqlite_store.reading() as conn:
        migrated = _sqlite_schema(conn)

    assert migrated == declared
    tables = {row for row in migrated if row[1] == "table"}
    assert len(tables) == len(metadata.tables)
    assert all(row[3].endswith("STRICT") for row in tables)


def test_on_postgresql_the_migrated_tables_equal_the_declared_ones(pg_store: Store, pg_server: Server) -> None:
    from sqlalchemy import create_engine

    name = pg_server.new_database()
    engine = create_engine(pg_server.url_of(name))

    with engine.begin() as conn:
        metadata.create_all(conn)
        declared = _postgresql_schema(conn)
    engine.dispose()
    pg_server.drop_database(name)
    with pg_store.reading() as conn:
        migrated = _postgresql_schema(conn)

    assert migrated == declared
    assert {row[0] for row in migrated["columns"]} == set(metadata.tables)


def test_a_migrated_ledger_has_every_trigger(store: Store) -> None:
    with store.reading() as conn:
        assert doubts(conn) == ()


def test_versions_are_kept_where_each_program_looks_for_them(sqlite_store: Store) -> None:
    with sqlite_store.reading() as conn:
        versions = [
            conn.exec_driver_sql(question).scalar_one()
            for question in (
                "PRAGMA user_version",
                "SELECT schema_version FROM ledger_info",
                "SELECT version_num FROM alembic_version",
            )
        ]

    assert versions == [1, 1, "0001"]
