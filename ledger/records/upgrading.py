"""Bringing a ledger to the version this program writes: a verified backup first, then all of it or nothing.

One transaction holds every step, the check of all references and the triggers, which rebuilding a table drops without
a word. On a server it is done by the role that owns the tables, and a lock keeps a second one waiting.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, select, update

from ledger.errors import DiskFault
from ledger.records import backups, triggers
from ledger.records.engines import engines_of, is_server
from ledger.records.identity import APPLICATION_ID, SCHEMA
from ledger.records.migrations import STEPS, upgrade
from ledger.records.store import in_words, open_store, place_of
from ledger.records.tables import ledger_info


@dataclass(frozen=True, slots=True)
class Upgraded:
    """What bringing a ledger up to date came to."""

    before: int
    after: int
    backup: backups.Backup | None
    """None: nothing had to be done, or the ledger is on a server."""


def bring_up(target: str, now: dt.datetime, *, schema: int = SCHEMA, steps: Path = STEPS) -> Upgraded:
    """Bring a ledger to a version; does nothing if it has it.

    Args:
        target: path or URL.
        now: UTC, for the name of the backup.
        schema: the version.
        steps: folder of the steps that lead to it.

    Raises:
        NotALedger, NewerLedger, Busy, Unreachable: it cannot be used, and why.
        DiskFull, DiskFault, ReadOnly: it was not changed, and why.
    """
    store = open_store(target, read_only=True, older=True)
    try:
        before = store.identity.schema_version
        if before >= schema:
            return Upgraded(before, before, None)
        backup = None if is_server(target) else backups.make(store, "upgrade", now)
    finally:
        store.close()
    engine, _ = engines_of(target)
    try:
        with in_words(place_of(target), saving=True), engine.connect() as conn:
            if conn.dialect.name == "sqlite":
                # Rebuilding a table would break what points at it; all references are checked in the end.
                raw: Any = conn.connection.dbapi_connection
                raw.execute("PRAGMA foreign_keys=OFF")
            with conn.begin():
                _step_up(conn, schema, steps)
    finally:
        engine.dispose()
    return Upgraded(before, schema, backup)


def _step_up(conn: Connection, schema: int, steps: Path) -> None:
    if conn.dialect.name == "postgresql":
        conn.exec_driver_sql(f"SELECT pg_advisory_xact_lock({APPLICATION_ID})")
    if conn.execute(select(ledger_info.c.schema_version)).scalar_one() >= schema:
        return
    triggers.remove(conn)
    upgrade(conn, steps)
    conn.execute(update(ledger_info).values(schema_version=schema, least_reader=schema))
    if conn.dialect.name == "sqlite":
        if conn.exec_driver_sql("PRAGMA foreign_key_check").first() is not None:
            raise DiskFault("A row of the ledger points at nothing, so it was not brought up to date.", "ledger")
        conn.exec_driver_sql(f"PRAGMA user_version={schema}")
    triggers.install(conn)
