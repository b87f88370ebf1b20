"""What marks a database as a ledger of this program, and whether this program may use it."""

from __future__ import annotations

import stat
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import Connection, inspect, select
from sqlalchemy.exc import DBAPIError, OperationalError, ProgrammingError

from ledger.errors import DiskFault, NewerLedger, NotALedger, OlderLedger, ReadOnly, Refused
from ledger.records import triggers
from ledger.records.faults import refusal
from ledger.records.tables import ledger_info

APPLICATION = "rearledger"
APPLICATION_ID = 0x5245_4C47
"""What marks a SQLite file as ours (PRAGMA application_id): the letters RELG."""
SCHEMA = 1
"""Version of the tables this program writes."""
_MOST_DOUBTS = 3


@dataclass(frozen=True, slots=True)
class Identity:
    """What a ledger says of itself."""

    currency: str
    schema_version: int
    doubts: tuple[str, ...]
    """What is wrong with its triggers, one phrase each."""


def look_at_file(path: Path) -> None:
    """Check that there is a file at all, without opening it.

    Raises:
        NotALedger: there is none.
    """
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


def identify(conn: Connection, place: str, read_only: bool, older: bool = False) -> Identity:
    """Read what the database says of itself.

    Args:
        conn: a transaction for reading.
        place: the path or URL, fit to show.
        read_only: it is only to be read.
        older: it may be of an earlier version.

    Raises:
        NotALedger: it is no ledger.
        NewerLedger, OlderLedger: a program of another version wrote it.
        Refused: its safeguards are not as this program made them, and it is to be written.
    """
    if conn.dialect.name == "sqlite" and conn.exec_driver_sql("PRAGMA application_id").scalar_one() != APPLICATION_ID:
        raise _foreign(place)
    if not inspect(conn).has_table(ledger_info.name):
        raise _foreign(place)
    info = conn.execute(select(ledger_info)).one_or_none()
    if info is None or info.application != APPLICATION:
        raise _foreign(place)
    _check_version(place, info.schema_version, info.least_reader, read_only)
    if info.schema_version < SCHEMA and not older:
        raise OlderLedger(
            f"{place} is of version {info.schema_version} and this program writes version {SCHEMA}; "
            "rearledger upgrade brings it up to date, with a backup first.",
            "ledger",
            {"ledger_version": info.schema_version, "program_version": SCHEMA},
        )
    doubts = triggers.doubts(conn) if info.schema_version == SCHEMA else ()
    if doubts and not read_only:
        more = f" and {len(doubts) - _MOST_DOUBTS} more" if len(doubts) > _MOST_DOUBTS else ""
        raise Refused(
            f"The safeguards of {place} against changed records are not as this program made them "
            f"({'; '.join(doubts[:_MOST_DOUBTS])}{more}). Open it for reading only, and bring back a backup to write.",
            "ledger",
            {"doubts": doubts},
        )
    return Identity(info.currency, info.schema_version, doubts)


def not_identified(error: DBAPIError, place: str) -> Refused | None:
    """What to say when a database could not even be asked what it is, or None for a mistake of this program."""
    refused = refusal(error, saving=False)
    if isinstance(refused, ReadOnly):
        return NotALedger(f"{place} cannot be opened; check who may read it.", "ledger", {"ledger": place})
    if isinstance(refused, DiskFault) or (refused is None and isinstance(error, OperationalError | ProgrammingError)):
        return _foreign(place)
    return refused


def _foreign(place: str) -> NotALedger:
    return NotALedger(
        f"{place} was not made by this program, or is damaged; name another, or bring back a backup.",
        "ledger",
        {"ledger": place},
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
