"""Connections as a ledger needs them: durable, one writer at a time on SQLite, patient but not for ever.

On SQLite `journal_mode=TRUNCATE` with `synchronous=FULL` loses no acknowledged commit in a power cut, and a plain
copy of the file is whole; SQLite's own default (DELETE) can lose the last one. Only WAL is remembered in the file,
so the mode is asked for on every connection. Writers begin with BEGIN IMMEDIATE, since a transaction that reads first
and writes later may be refused half-way (https://sqlite.org/lang_transaction.html).
"""

from __future__ import annotations

import random
import sqlite3
import time
from pathlib import Path
from typing import Any
from urllib.parse import quote

from sqlalchemy import Connection, Engine, create_engine, event
from sqlalchemy.engine import URL, ExceptionContext, make_url
from sqlalchemy.exc import ArgumentError

from ledger.errors import BadInput, Busy
from ledger.records.faults import busy, refusal

PATIENCE = 15.0
"""Seconds a writer waits for its turn."""

_PATIENT = "PRAGMA busy_timeout=5000"
"""Readers wait this long for a commit, and a commit for readers, in milliseconds."""
_AT_ONCE = "PRAGMA busy_timeout=0"
_PRAGMAS = (
    "journal_mode=TRUNCATE",
    "synchronous=FULL",
    "fullfsync=ON",
    "foreign_keys=ON",
    "recursive_triggers=ON",
    "trusted_schema=OFF",
    "cell_size_check=ON",
    "secure_delete=ON",
)
_SERVER_OPTIONS = (
    "-c statement_timeout=60s -c lock_timeout=5s -c idle_in_transaction_session_timeout=60s "
    "-c synchronous_commit=on -c timezone=UTC"
)


def is_server(target: str) -> bool:
    """Whether a target names a database server rather than a file.

    Raises:
        BadInput: it names a kind of database that a ledger cannot live in.
    """
    scheme, colon, _ = target.partition("://")
    if not colon:
        return False
    if scheme not in {"postgresql", "postgresql+psycopg"}:
        raise BadInput("A ledger is a file, or a database named as postgresql+psycopg://server/name.", field="ledger")
    return True


def server_url(target: str) -> URL:
    """The URL of a database server, always by the psycopg driver.

    Raises:
        BadInput: it cannot be read; what it holds is not repeated, since it may hold a password.
    """
    try:
        return make_url(target).set(drivername="postgresql+psycopg")
    except (ArgumentError, ValueError):
        raise BadInput(
            "That address of a database cannot be read; write it like postgresql+psycopg://user@server/name.", "ledger"
        ) from None


def file_engine(path: Path, *, reading: bool = False) -> Engine:
    """An engine on an existing SQLite file; it never creates one.

    Args:
        path: of the file.
        reading: its connections can write nothing. Readers and writers keep connections of their own, since switching
            `query_only` on one makes SQLite compile every statement anew (https://sqlite.org/pragma.html).
    """
    address = f"file:{quote(str(path.absolute()))}?mode=rw"

    def connect() -> sqlite3.Connection:
        return sqlite3.connect(address, uri=True, isolation_level=None, check_same_thread=False)

    # The URL is only a label here: a path may hold % and ?, which an address in text would misread.
    label = URL.create("sqlite+pysqlite", database=str(path))
    engine = create_engine(label, creator=connect, hide_parameters=True)
    event.listen(engine, "connect", _set_up)
    event.listen(engine, "connect", _only_read if reading else _take_back_from_memory)
    event.listen(engine, "begin", _begin_reading if reading else _begin)
    return engine


def server_engine(url: URL) -> Engine:
    """An engine on a PostgreSQL database at READ COMMITTED."""
    engine = create_engine(
        url,
        isolation_level="READ COMMITTED",
        hide_parameters=True,
        pool_pre_ping=True,
        connect_args={"connect_timeout": 10, "options": _SERVER_OPTIONS, "application_name": "rearledger"},
    )
    event.listen(engine, "handle_error", _without_values)
    return engine


def engines_of(target: str) -> tuple[Engine, Engine]:
    """Two engines on a ledger: the first writes; transactions of the second see one moment and write nothing."""
    if is_server(target):
        engine = server_engine(server_url(target))
        return engine, engine.execution_options(isolation_level="REPEATABLE READ", postgresql_readonly=True)
    return file_engine(Path(target)), file_engine(Path(target), reading=True)


def _set_up(connection: sqlite3.Connection, _record: Any) -> None:
    connection.execute(_PATIENT)
    for pragma in _PRAGMAS:
        connection.execute(f"PRAGMA {pragma}").fetchall()


def _without_values(context: ExceptionContext) -> None:
    """Leave out of an error what the server quotes from the row, which may be a customer's name."""
    primary = getattr(getattr(context.original_exception, "diag", None), "message_primary", None)
    wrapped = context.sqlalchemy_exception
    if primary is not None and wrapped is not None:
        context.original_exception.args = (primary,)
        wrapped.args = (f"({type(context.original_exception).__name__}) {primary}",)


def _only_read(connection: sqlite3.Connection, _record: Any) -> None:
    connection.execute("PRAGMA query_only=ON")


def _take_back_from_memory(connection: sqlite3.Connection, _record: Any) -> None:
    """Keep in memory what a single statement would be taken back with, which nothing needs after the transaction.

    On disk it is a gigabyte for ten thousand sales, since each row may be refused by a trigger. What a crash is
    recovered from stays on disk whatever is said here (https://sqlite.org/tempfiles.html, section 3).
    """
    connection.execute("PRAGMA temp_store=MEMORY")


def _begin_reading(conn: Connection) -> None:
    raw: Any = conn.connection.dbapi_connection
    raw.execute("BEGIN")


def _begin(conn: Connection) -> None:
    raw: Any = conn.connection.dbapi_connection
    deadline = time.monotonic() + conn.get_execution_options().get("patience", PATIENCE)
    raw.execute(_AT_ONCE)
    try:
        while not _is_begun(raw, conn.engine.url.database or ""):
            if time.monotonic() >= deadline:
                raise busy()
            # SQLite keeps no queue of writers; an uneven pause lets each have its turn.
            time.sleep(random.uniform(0.001, 0.01))
    finally:
        raw.execute(_PATIENT)


def _is_begun(raw: sqlite3.Connection, place: str) -> bool:
    try:
        raw.execute("BEGIN IMMEDIATE")
    except sqlite3.Error as error:
        refused = refusal(error, saving=True, place=place)
        if isinstance(refused, Busy):
            return False
        if refused is not None:
            raise refused from error
        raise
    return True
