"""Rows brought in from files: which are in the ledger already, and how a file's columns were read the last time.

What the rows recorded is written by the parts it belongs to, in the same act; this keeps that they were seen.
"""

from __future__ import annotations

import datetime as dt
import json
from collections import Counter
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, func, insert, select, text

from ledger.act import Act, Done, Scene
from ledger.errors import Refused
from ledger.records import tables as t
from ledger.records.commands import NoteBroughtIn
from ledger.records.later import insert_many
from ledger.records.settings import setting, write_setting
from ledger.text import clean
from ledger.wording import counted, say

_LOCK = 0x5245_4C48
"""Advisory lock of a server (PostgreSQL manual, 13.3.5) under which files are brought in one after another."""
CORE = 32
"""Letters at the start of a mark that are a fingerprint of what is needed of a row alone."""
_AT_ONCE = 500
_LONGEST_MEMORY = 2000


@dataclass(frozen=True, slots=True)
class Known:
    """What is known of rows of a kind."""

    marks: frozenset[str]
    """Rows that are in the ledger."""
    references: dict[str, str]
    """Own numbers that are in the ledger, with the place of one row of each."""


@dataclass(frozen=True, slots=True)
class FileRow:
    """One file that was brought in."""

    number: int
    kind: str
    file_name: str
    rows: int
    recorded_at: str
    recorded_by: str
    undone: bool


def known(conn: Connection, kind: str, marks: Iterable[str], references: Iterable[str]) -> Known:
    """Which of these rows are in the ledger, brought in and not taken back."""
    found = frozenset(row.mark for row in _standing(conn, kind, "mark", marks))
    numbers = {row.reference: row.place for row in _standing(conn, kind, "reference", references)}
    return Known(found, numbers)


def alike(conn: Connection, kind: str, cores: Collection[str]) -> dict[int, int]:
    """How many rows that stand have one of these fingerprints of what is needed of a row, by file."""
    row, b, undone = t.bring_in_row, t.bring_in, t.bring_in_undone
    standing = (
        select(row.c.mark, b.c.id)
        .join(b, b.c.id == row.c.bring_in_id)
        .outerjoin(undone, undone.c.bring_in_id == b.c.id)
        .where(b.c.kind == kind, undone.c.id.is_(None))
        .order_by(b.c.id)
    )
    return dict(Counter(number for mark, number in conn.execute(standing) if mark[:CORE] in cores))


def rows_of_file(conn: Connection, kind: str, digest: str) -> dict[str, tuple[int, str]]:
    """What stands in the ledger from the very same file: number of the bringing in, and mark, by the place of a row."""
    row, b, undone = t.bring_in_row, t.bring_in, t.bring_in_undone
    found = conn.execute(
        select(row.c.place, row.c.mark, b.c.id)
        .join(b, b.c.id == row.c.bring_in_id)
        .outerjoin(undone, undone.c.bring_in_id == b.c.id)
        .where(b.c.kind == kind, b.c.file_digest == digest, undone.c.id.is_(None))
    )
    return {place: (number, mark) for place, mark, number in found}


def files(conn: Connection) -> tuple[FileRow, ...]:
    """Every file that was brought in, newest first."""
    b, o, undone = t.bring_in.c, t.operation.c, t.bring_in_undone
    rows = conn.execute(
        select(b.id, b.kind, b.file_name, b.rows, o.recorded_at, o.recorded_by, undone.c.id.label("undone"))
        .join(t.operation, o.id == b.operation_id)
        .outerjoin(undone, undone.c.bring_in_id == b.id)
        .order_by(b.id.desc())
    )
    return tuple(
        FileRow(row.id, row.kind, row.file_name, row[3], row.recorded_at, row.recorded_by, row.undone is not None)
        for row in rows
    )


FILE_STANDS = ~select(t.bring_in_undone.c.id).where(t.bring_in_undone.c.bring_in_id == t.bring_in.c.id).exists()
"""Of a file: it was not taken back."""


def standing_file(conn: Connection, act: int) -> int | None:
    """The number of the file an act brought in, unless it was taken back."""
    number: int | None = conn.execute(
        select(t.bring_in.c.id).where(t.bring_in.c.operation_id == act, FILE_STANDS)
    ).scalar()
    return number


def newer_file(conn: Connection, number: int) -> int | None:
    """The newest file brought in after another that stands."""
    newest = select(func.max(t.bring_in.c.id)).where(t.bring_in.c.id > number, FILE_STANDS)
    newer: int | None = conn.execute(newest).scalar()
    return newer


def remembered(conn: Connection, kind: str, headings: str) -> dict[str, str]:
    """How the columns with these headings were read the last time: field by heading; empty if never."""
    said = setting(conn, _memory(kind, headings), "")
    return dict(json.loads(said)) if said else {}


def _memory(kind: str, headings: str) -> str:
    return f"columns {kind} {headings[:32]}"


def _standing(conn: Connection, kind: str, column: str, wanted: Iterable[str]) -> list[Any]:
    row, b, undone = t.bring_in_row, t.bring_in, t.bring_in_undone
    looked_for = set(wanted) - {""}
    found: list[Any] = []
    if not looked_for:
        return found
    there = conn.execute(select(func.coalesce(func.sum(b.c.rows), 0)).where(b.c.kind == kind)).scalar_one()
    if not there:
        return found
    if there <= len(looked_for):
        # Fewer than are asked for: all of them in one go.
        standing = (
            select(row.c.mark, row.c.reference, row.c.place)
            .join(b, b.c.id == row.c.bring_in_id)
            .outerjoin(undone, undone.c.bring_in_id == b.c.id)
            .where(b.c.kind == kind, undone.c.id.is_(None))
        )
        return [one for one in conn.execute(standing) if getattr(one, column) in looked_for]
    values = sorted(looked_for)
    for start in range(0, len(values), _AT_ONCE):
        found += conn.execute(
            select(row.c.mark, row.c.reference, row.c.place)
            .join(b, b.c.id == row.c.bring_in_id)
            .outerjoin(undone, undone.c.bring_in_id == b.c.id)
            .where(b.c.kind == kind, undone.c.id.is_(None), row.c[column].in_(values[start : start + _AT_ONCE]))
        ).all()
    return found


@dataclass(frozen=True, slots=True)
class NotePlan:
    """Rows about to be remembered."""

    command: NoteBroughtIn
    sentence: str
    cautions: tuple[str, ...] = ()


def plan_note(_conn: Connection, command: NoteBroughtIn, _scene: Scene) -> NotePlan:
    """Say what will be remembered."""
    return NotePlan(
        command,
        counted(len(command.rows), "{n} row of {file}.", "{n} rows of {file}.", file=command.file_name),
    )


def commit_note(conn: Connection, plan: NotePlan, act: Act) -> Done:
    """Write which rows came in.

    Raises:
        Refused: somebody else was bringing the same rows in, and was quicker.
    """
    command = plan.command
    if conn.dialect.name == "postgresql":
        conn.execute(text("SELECT pg_advisory_xact_lock(:lock)"), {"lock": _LOCK})
    if known(conn, command.kind, (row.mark for row in command.rows), ()).marks:
        raise Refused(say("Rows of this file were brought in by somebody else just now; look at what is there first."))
    file_id = conn.execute(
        insert(t.bring_in)
        .values(
            kind=command.kind,
            file_name=clean(command.file_name, limit=200, field="file name"),
            file_digest=command.file_digest,
            rows=len(command.rows),
            operation_id=act.operation,
        )
        .returning(t.bring_in.c.id)
    ).scalar_one()
    made = _customers(conn, {row.customer for row in command.rows if row.customer})
    rows = [
        {
            "bring_in_id": file_id,
            "place": row.place,
            "mark": row.mark,
            "reference": row.reference,
            "customer_id": made.get(row.customer),
        }
        for row in command.rows
    ]
    insert_many(conn, t.bring_in_row, rows)
    if len(command.columns) <= _LONGEST_MEMORY:
        write_setting(conn, _memory(command.kind, command.headings), command.columns)
    return Done(plan.sentence, {"file": int(file_id)})


def _customers(conn: Connection, names: Collection[str]) -> dict[str, int]:
    if not names:
        return {}
    c = t.customer.c
    newest = conn.execute(select(c.name, func.max(c.id)).group_by(c.name))
    return {name: number for name, number in newest if name in names}


def erase_customers_of(conn: Connection, file_id: int, on: dt.date) -> int:
    """Erase the customers a file made, unless somebody has bought or been promised something since.

    Returns:
        How many stay.
    """
    c, row = t.customer.c, t.bring_in_row.c
    made = list(
        conn.execute(select(row.customer_id).where(row.bring_in_id == file_id, row.customer_id.is_not(None))).scalars()
    )
    used = set(conn.execute(select(t.sale.c.customer_id).where(t.sale.c.customer_id.is_not(None))).scalars())
    used |= set(conn.execute(select(t.hold.c.customer_id)).scalars())
    free = [one for one in made if one not in used]
    for start in range(0, len(free), _AT_ONCE):
        part = free[start : start + _AT_ONCE]
        conn.execute(t.customer.update().where(c.id.in_(part)).values(name="", contact="", note="", erased_on=on))
    return len(made) - len(free)
