"""What a database complains of, in a keeper's words.

Knows the result codes of SQLite (https://sqlite.org/rescode.html) and the SQLSTATE codes of PostgreSQL (manual,
appendix A). A broken check or key is a mistake of this program and stays one: it is never turned into a refusal.
"""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass

from sqlalchemy.exc import DBAPIError

from ledger.errors import Busy, DiskFault, DiskFull, PeriodClosed, ReadOnly, Refused, Unreachable
from ledger.wording import say

CLOSED_YEAR = "RL001"
"""SQLSTATE with which our triggers refuse a row in a closed year; on SQLite the message begins with it."""
NEVER_CHANGED = "RL002"
"""The same for changing, deleting or replacing what is never changed: a mistake of this program."""


@dataclass(frozen=True, slots=True)
class _Fault:
    kind: type[Refused]
    what: str
    advice: str

    def refusal(self, saving: bool, place: str = "") -> Refused:
        advice = self.advice
        if place and self.kind is DiskFull:
            advice = say("Make room where {place} is, and try again.", place=place)
        if saving:
            return self.kind(say("{what}; nothing was saved. {advice}", what=self.what, advice=advice))
        return self.kind(say("{what}. {advice}", what=self.what, advice=advice))


_BUSY = _Fault(Busy, say("Someone else is writing to this ledger"), say("Try again."))
_READ_ONLY = _Fault(
    ReadOnly, say("The ledger file or its folder cannot be written to"), say("Allow writing, or move the ledger.")
)
_FULL = _Fault(DiskFull, say("There is no room left on the disk"), say("Make room and try again."))
_FAULT = _Fault(DiskFault, say("The disk failed under the ledger"), say("Check the disk before going on."))
_DAMAGED = _Fault(DiskFault, say("The ledger is damaged"), say("Bring back the newest backup."))
_CLOSED = _Fault(
    PeriodClosed,
    say("That date lies in a year that has been closed"),
    say("Its figures stand: use a date in an open year."),
)
_UNREACHABLE = _Fault(
    Unreachable,
    say("The database server does not answer, or does not let you in"),
    say("Check the connection, the name of the database, the user and the password file."),
)
_SERVER_READ_ONLY = _Fault(ReadOnly, say("The database can only be read just now"), say("Ask whoever keeps it."))
_FORBIDDEN = _Fault(ReadOnly, say("The database does not let this user do that"), say("Ask whoever keeps it."))

_SQLITE = {
    sqlite3.SQLITE_BUSY: _BUSY,
    sqlite3.SQLITE_LOCKED: _BUSY,
    sqlite3.SQLITE_READONLY: _READ_ONLY,
    sqlite3.SQLITE_CANTOPEN: _READ_ONLY,
    sqlite3.SQLITE_PERM: _READ_ONLY,
    sqlite3.SQLITE_FULL: _FULL,
    sqlite3.SQLITE_IOERR: _FAULT,
    sqlite3.SQLITE_CORRUPT: _DAMAGED,
    sqlite3.SQLITE_NOTADB: _DAMAGED,
}
_POSTGRESQL = {
    "40001": _BUSY,
    "40P01": _BUSY,
    "55P03": _BUSY,
    "57014": _BUSY,
    "53100": _FULL,
    "58030": _FAULT,
    "XX001": _DAMAGED,
    "XX002": _DAMAGED,
    "25006": _SERVER_READ_ONLY,
    "42501": _FORBIDDEN,
    CLOSED_YEAR: _CLOSED,
}
_GONE = ("08", "57P", "53300", "28", "3D")
"""Connection lost, server stopping, no connection free, not let in, no such database."""


def refusal(error: BaseException, *, saving: bool, place: str = "") -> Refused | None:
    """What to tell the keeper of a database error, or None for one that is a mistake of this program.

    Args:
        error: as raised by SQLAlchemy, sqlite3 or psycopg.
        saving: something was to be saved, and certainly was not.
        place: where the ledger is, fit to show; a keeper may have several disks.
    """
    cause = error.orig if isinstance(error, DBAPIError) else error
    fault = _of_sqlite(cause) if isinstance(cause, sqlite3.Error) else _of_postgresql(cause)
    return fault.refusal(saving, place) if fault else None


def busy() -> Busy:
    """Somebody else kept the ledger to himself for too long."""
    return Busy(str(_BUSY.refusal(saving=True)))


def is_lock_wait(error: BaseException) -> bool:
    """Whether a statement gave up waiting for a row that another transaction holds (PostgreSQL)."""
    return _state(error) in {"55P03", "57014"}


def is_replaced(error: DBAPIError) -> bool:
    """Whether a row was refused by our trigger because its key is there already (SQLite)."""
    return str(error.orig).startswith(f"{NEVER_CHANGED}: ") and str(error.orig).endswith(" unreplaced")


def _state(error: BaseException | None) -> str | None:
    cause = error.orig if isinstance(error, DBAPIError) else error
    return getattr(cause, "sqlstate", None)


def _of_sqlite(cause: sqlite3.Error) -> _Fault | None:
    if str(cause).startswith(CLOSED_YEAR):
        return _CLOSED
    return _SQLITE.get(getattr(cause, "sqlite_errorcode", 0) & 0xFF)


def _of_postgresql(cause: BaseException | None) -> _Fault | None:
    state = _state(cause)
    if state is not None:
        return _UNREACHABLE if state.startswith(_GONE) else _POSTGRESQL.get(state)
    # psycopg gives no code when there was no server to give one.
    lost = type(cause).__module__.startswith("psycopg") and type(cause).__name__ == "OperationalError"
    return _UNREACHABLE if lost else None
