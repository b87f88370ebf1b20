"""One ledger on one database: making it, opening it, and the only ways to read and write it.

`reading` sees one moment and can write nothing; `writing` rolls back unless it ends well. An error while committing
leaves open whether it was committed, and is never reported as "not saved" (see `operations`).
"""

from __future__ import annotations

import datetime as dt
import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import cached_property
from pathlib import Path

from sqlalchemy import Connection, Engine, insert, inspect
from sqlalchemy.exc import DBAPIError

from ledger.errors import BadInput, NotKnown, ReadOnly
from ledger.money import Currency
from ledger.records import periods, settings, triggers
from ledger.records.engines import PATIENCE, engines_of, is_server, server_url
from ledger.records.faults import refusal
from ledger.records.identity import (
    APPLICATION,
    APPLICATION_ID,
    SCHEMA,
    Identity,
    identify,
    look_at_file,
    not_identified,
)
from ledger.records.tables import ledger_info

NOT_KNOWN = (
    "The connection or the disk failed while saving, and whether it was saved cannot be told just now. "
    "Send the same form again: it counts once."
)


class Store:
    """An open ledger database.

    Args:
        engine: connections that write.
        reader: connections that only read.
        target: the path or URL it was opened by.
        identity: what it says of itself.
        read_only: refuse every write.
    """

    def __init__(self, engine: Engine, reader: Engine, target: str, identity: Identity, *, read_only: bool) -> None:
        self._engine = engine
        self._reader = reader
        self.target = target
        self.dialect = engine.dialect.name
        """'sqlite' or 'postgresql'."""
        self.read_only = read_only
        self.identity = identity
        self.in_doubt: set[str] = set()
        """Tokens of acts of which it could not be found out yet whether they were saved."""

    @cached_property
    def currency(self) -> Currency:
        """The currency of every amount in this ledger."""
        return Currency.of(self.identity.currency)

    @property
    def place(self) -> str:
        """Where the ledger is, fit to show: a path, or a URL without its password."""
        return place_of(self.target)

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """A transaction that only reads; all of it sees the same moment.

        Raises:
            Busy, DiskFault, Unreachable: the database cannot be read just now.
            ReadOnly: something tried to write in it.
        """
        with in_words(self.place, saving=False), self._reader.connect() as conn, conn.begin():
            yield conn

    @contextmanager
    def writing(self, patience: float = PATIENCE) -> Iterator[Connection]:
        """A transaction that is committed when the block ends well, and rolled back otherwise.

        Args:
            patience: seconds to wait for another writer on SQLite.

        Raises:
            ReadOnly, Busy, DiskFull, DiskFault, PeriodClosed, Unreachable: nothing was saved.
            NotKnown: the commit failed and may or may not have taken place; the error behind it is its cause.
        """
        if self.read_only:
            raise ReadOnly("This ledger is open for reading only; nothing was saved. Open it for writing first.")
        with in_words(self.place, saving=True), self._engine.connect() as plain:
            conn = plain.execution_options(patience=patience)
            work = conn.begin()
            try:
                yield conn
            except BaseException:
                work.rollback()
                raise
            try:
                work.commit()
            except DBAPIError as error:
                # Closing the connection settles an unfinished commit: SQLite rolls it back at the next look.
                conn.invalidate()
                raise NotKnown(NOT_KNOWN) from error

    @contextmanager
    def looking_up(self) -> Iterator[Connection]:
        """A transaction on a new connection, always rolled back, to find out what became of another one.

        On SQLite it only reads; on PostgreSQL it may write, to wait for what another transaction holds.
        """
        self.close()
        engine = self._reader if self.dialect == "sqlite" else self._engine
        with in_words(self.place, saving=False), engine.connect() as conn:
            work = conn.begin()
            try:
                yield conn
            finally:
                work.rollback()

    def close(self) -> None:
        """Let go of every connection."""
        self._engine.dispose()
        self._reader.dispose()


def place_of(target: str) -> str:
    """A target fit to show: a URL loses its password."""
    return server_url(target).render_as_string(hide_password=True) if is_server(target) else target


def create(
    target: str,
    *,
    currency: str,
    name: str = "",
    year_start: tuple[int, int] = (1, 1),
    made_at: str | None = None,
    load: Callable[[Connection], object] | None = None,
) -> Store:
    """Make a new ledger and open it.

    Args:
        target: path of a file that is not there yet, or URL of an empty PostgreSQL database.
        currency: ISO 4217 code; it never changes afterwards.
        name: of the business.
        year_start: month and day on which an accounting year begins.
        made_at: ISO 8601; None: the computer's clock.
        load: puts the rows of another ledger in place of the first ones, in the same transaction.

    Raises:
        BadInput: there is something there already, or the currency, name or year start cannot be used.
        ReadOnly, DiskFull, Unreachable: it cannot be written there.
    """
    code = Currency.of(currency).code
    business = settings.SETTINGS["business name"](name)
    stamp = made_at or dt.datetime.now(dt.UTC).isoformat(timespec="seconds")
    made = None if is_server(target) else _make_file(Path(target))
    engine, reader = engines_of(target)
    try:
        with in_words(place_of(target), saving=True), engine.connect() as conn, conn.begin():
            _fill(conn, target, code, business, year_start, stamp)
            if load is not None:
                load(conn)
    except BaseException:
        engine.dispose()
        if made is not None:
            for left in (made, made.with_name(made.name + "-journal")):
                left.unlink(missing_ok=True)
        raise
    return Store(engine, reader, target, Identity(code, SCHEMA, ()), read_only=False)


def open_store(target: str, read_only: bool = False, *, older: bool = False) -> Store:
    """Open an existing ledger.

    Args:
        target: path or URL.
        read_only: refuse every write; the only way to open a ledger whose safeguards are missing.
        older: also one whose tables are of an earlier version, to copy it or to bring it up to date.

    Raises:
        NotALedger: there is none.
        NewerLedger, OlderLedger: a program of another version wrote it.
        Refused: its safeguards against changes are missing or altered.
        Busy, Unreachable: it cannot be read just now.
    """
    if not is_server(target):
        look_at_file(Path(target))
    engine, reader = engines_of(target)
    place = place_of(target)
    try:
        with reader.connect() as conn, conn.begin():
            identity = identify(conn, place, read_only, older)
    except DBAPIError as error:
        reader.dispose()
        refused = not_identified(error, place)
        if refused is None:
            raise
        raise refused from error
    except BaseException:
        reader.dispose()
        raise
    return Store(engine, reader, target, identity, read_only=read_only)


@contextmanager
def in_words(place: str, *, saving: bool) -> Iterator[None]:
    """What a database complains of, in a keeper's words; `saving`: something was to be saved there, and was not."""
    try:
        yield
    except DBAPIError as error:
        refused = refusal(error, saving=saving, place=place)
        if refused is None:
            raise
        raise refused from error


def _make_file(path: Path) -> Path:
    """An empty file only its owner may read; missing folders are made for the owner alone."""
    missing = [folder for folder in path.absolute().parents if not folder.exists()]
    try:
        for folder in reversed(missing):
            folder.mkdir(mode=0o700)
        # SQLite itself would make the file readable for everybody.
        os.close(os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600))
    except FileExistsError:
        raise BadInput(
            f"There is something at {path} already; choose another name for the new ledger.", "ledger", {"path": path}
        ) from None
    except OSError as error:
        raise ReadOnly(
            f"No ledger can be made at {path} ({error.strerror}); choose another folder.", "ledger", {"path": path}
        ) from error
    return path


def _fill(conn: Connection, target: str, code: str, name: str, year_start: tuple[int, int], stamp: str) -> None:
    from ledger.records.migrations import upgrade

    if inspect(conn).get_table_names():
        raise BadInput(f"There are tables in {place_of(target)} already; choose an empty database.", "ledger")
    if conn.dialect.name == "sqlite":
        conn.exec_driver_sql(f"PRAGMA application_id={APPLICATION_ID}")
        conn.exec_driver_sql(f"PRAGMA user_version={SCHEMA}")
    upgrade(conn)
    conn.execute(
        insert(ledger_info).values(
            id=1, application=APPLICATION, schema_version=SCHEMA, least_reader=SCHEMA, made_at=stamp, currency=code
        )
    )
    periods.lay_out(conn, year_start)
    if name:
        settings.write_setting(conn, "business name", name)
    triggers.install(conn)
