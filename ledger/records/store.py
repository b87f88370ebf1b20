"""One ledger on one database: making it, opening it, and the only ways to read and write it.

`reading` sees one moment and can write nothing; `writing` rolls back unless it ends well. An error while committing
leaves open whether it was committed, and is never reported as "not saved" (see `operations`).
"""

from __future__ import annotations

import datetime as dt
import os
import stat
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cached_property
from pathlib import Path

from sqlalchemy import Connection, Engine, insert, inspect, select
from sqlalchemy.exc import DBAPIError, OperationalError, ProgrammingError

from ledger.errors import BadInput, DiskFault, NewerLedger, NotALedger, NotKnown, ReadOnly, Refused
from ledger.money import Currency
from ledger.records import periods, settings, triggers
from ledger.records.engines import PATIENCE, file_engine, for_reading, is_server, server_engine, server_url
from ledger.records.faults import refusal
from ledger.records.tables import ledger_info

APPLICATION = "rearledger"
APPLICATION_ID = 0x5245_4C47
"""What marks a SQLite file as ours (PRAGMA application_id): the letters RELG."""
SCHEMA = 1
"""Version of the tables this program writes."""

NOT_KNOWN = (
    "The connection or the disk failed while saving, and whether it was saved cannot be told just now. "
    "Send the same form again: it counts once."
)


class Store:
    """An open ledger database.

    Args:
        engine: connections to it.
        target: the path or URL it was opened by.
        read_only: refuse every write.
        currency_code: ISO 4217 code of every amount in it.
        schema_version: version of its tables.
        doubts: what is wrong with its safeguards, one sentence each; only ever non-empty when read-only.
    """

    def __init__(
        self,
        engine: Engine,
        target: str,
        *,
        read_only: bool,
        currency_code: str,
        schema_version: int,
        doubts: tuple[str, ...] = (),
    ) -> None:
        self._engine = engine
        self._reader = for_reading(engine)
        self.target = target
        self.dialect = engine.dialect.name
        """'sqlite' or 'postgresql'."""
        self.read_only = read_only
        self.currency_code = currency_code
        self.schema_version = schema_version
        self.doubts = doubts

    @cached_property
    def currency(self) -> Currency:
        """The currency of every amount in this ledger."""
        return Currency.of(self.currency_code)

    @property
    def place(self) -> str:
        """Where the ledger is, fit to show: a path, or a URL without its password."""
        return self.target if self.dialect == "sqlite" else server_url(self.target).render_as_string(hide_password=True)

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """A transaction that only reads; all of it sees the same moment.

        Raises:
            Busy, DiskFault, Unreachable: the database cannot be read just now.
        """
        try:
            with self._reader.connect() as conn, conn.begin():
                yield conn
        except DBAPIError as error:
            raise refusal(error, saving=False) or error from error

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
        try:
            with self._engine.connect() as plain:
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
                    # Closing the connection settles an unfinished commit: SQLite then rolls it back on the next look.
                    conn.invalidate()
                    raise NotKnown(NOT_KNOWN) from error
        except DBAPIError as error:
            raise refusal(error, saving=True) or error from error

    @contextmanager
    def looking_up(self) -> Iterator[Connection]:
        """A transaction on a new connection that is always rolled back, to find out what became of another one."""
        self._engine.dispose()
        engine = self._reader if self.dialect == "sqlite" else self._engine
        try:
            with engine.connect() as conn:
                work = conn.begin()
                try:
                    yield conn
                finally:
                    work.rollback()
        except DBAPIError as error:
            raise refusal(error, saving=False) or error from error

    def close(self) -> None:
        """Let go of every connection."""
        self._engine.dispose()


def create(
    target: str,
    *,
    currency: str,
    name: str = "",
    year_start: tuple[int, int] = (1, 1),
    made_at: str | None = None,
) -> Store:
    """Make a new ledger and open it.

    Args:
        target: path of a file that is not there yet, or URL of an empty PostgreSQL database.
        currency: ISO 4217 code; it never changes afterwards.
        name: of the business.
        year_start: month and day on which an accounting year begins.
        made_at: ISO 8601; None: the computer's clock.

    Raises:
        BadInput: there is something there already, or the currency or year start is none.
        ReadOnly, DiskFull, Unreachable: it cannot be written there.
    """
    code = Currency.of(currency).code
    business = settings.SETTINGS["business name"](name)
    stamp = made_at or dt.datetime.now(dt.UTC).isoformat(timespec="seconds")
    made = None if is_server(target) else _make_file(Path(target))
    engine = server_engine(server_url(target)) if made is None else file_engine(made)
    try:
        with engine.connect() as conn, conn.begin():
            _fill(conn, target, code, business, year_start, stamp)
    except BaseException as error:
        engine.dispose()
        if made is not None:
            for left in (made, made.with_name(made.name + "-journal")):
                left.unlink(missing_ok=True)
        refused = refusal(error, saving=True) if isinstance(error, DBAPIError) else None
        if refused is not None:
            raise refused from error
        raise
    return Store(engine, target, read_only=False, currency_code=code, schema_version=SCHEMA)


def open_store(target: str, read_only: bool = False) -> Store:
    """Open an existing ledger.

    Args:
        target: path or URL.
        read_only: refuse every write; the only way to open a ledger whose safeguards are missing.

    Raises:
        NotALedger: there is none.
        NewerLedger: a newer program wrote it.
        Refused: its safeguards against changes are missing or altered.
        Busy, DiskFault, Unreachable: it cannot be read just now.
    """
    if is_server(target):
        engine = server_engine(server_url(target))
    else:
        path = Path(target)
        _look_at_file(path)
        engine = file_engine(path)
    try:
        store = _inspect(engine, target, read_only)
    except BaseException:
        engine.dispose()
        raise
    return store


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

    if inspect(conn).has_table(ledger_info.name):
        raise BadInput(f"There is a ledger in {_shown(target)} already; choose an empty database.", "ledger")
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


def _look_at_file(path: Path) -> None:
    try:
        mode = path.stat().st_mode
    except OSError as error:
        raise NotALedger(
            f"There is no ledger at {path} ({error.strerror}); check the path, or make a new ledger.",
            "ledger",
            {"path": path},
        ) from None
    if not stat.S_ISREG(mode):
        raise NotALedger(f"{path} is not a file, so it is no ledger; name the ledger file itself.", "ledger")


def _shown(target: str) -> str:
    return server_url(target).render_as_string(hide_password=True) if is_server(target) else target


def _inspect(engine: Engine, target: str, read_only: bool) -> Store:
    place = _shown(target)
    foreign = NotALedger(
        f"{place} was not made by this program, or is damaged at its beginning; name another, or bring back a backup.",
        "ledger",
        {"ledger": place},
    )
    try:
        with for_reading(engine).connect() as conn, conn.begin():
            if conn.dialect.name == "sqlite":
                mark = conn.exec_driver_sql("PRAGMA application_id").scalar_one()
                if mark != APPLICATION_ID:
                    raise foreign
            if not inspect(conn).has_table(ledger_info.name):
                raise foreign
            info = conn.execute(select(ledger_info)).one_or_none()
            if info is None or info.application != APPLICATION:
                raise foreign
            _check_version(place, info.schema_version, info.least_reader, read_only)
            doubts = triggers.doubts(conn) if info.schema_version == SCHEMA else ()
    except DBAPIError as error:
        refused = refusal(error, saving=False)
        # A damaged or unreadable file, or tables of our name with other columns.
        other = refused is None and isinstance(error, OperationalError | ProgrammingError)
        if other or isinstance(refused, DiskFault | ReadOnly):
            raise foreign from error
        raise refused or error from error
    if doubts and not read_only:
        raise Refused(
            f"The safeguards of {place} against changed records are not as this program made them "
            f"({'; '.join(doubts)}). Open it for reading only, and bring back a backup to go on writing.",
            "ledger",
            {"doubts": doubts},
        )
    return Store(
        engine,
        target,
        read_only=read_only,
        currency_code=info.currency,
        schema_version=info.schema_version,
        doubts=doubts,
    )


def _check_version(place: str, version: int, least_reader: int, read_only: bool) -> None:
    if version <= SCHEMA or (read_only and least_reader <= SCHEMA):
        return
    also = ", or open it for reading only" if least_reader <= SCHEMA else ""
    raise NewerLedger(
        f"{place} is of version {version} and this program knows versions up to {SCHEMA}; "
        f"use a newer Rearledger{also}.",
        "ledger",
        {"ledger_version": version, "program_version": SCHEMA},
    )
