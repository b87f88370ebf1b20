"""Rows kept back and written together, for acts of many thousand rows: a statement for each took most of the time.

Only the writing is put off, never a check. A row that is kept back has its number already, and whatever is asked of its
table or written anywhere in the same transaction comes after the rows that are waiting: they are written first, so
nobody can see the ledger without them. Likewise an answer that is remembered is forgotten when anything is written to
a table it rests on, except by whoever keeps the answer up to date.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import cache
from itertools import count, groupby
from operator import itemgetter
from typing import TYPE_CHECKING, Any, TypeVar, cast

from sqlalchemy import Connection, Table, event, func, insert, select, text
from sqlalchemy.dialects import sqlite

from ledger.records.columns import Day, Whole
from ledger.records.tables import metadata

if TYPE_CHECKING:
    from sqlalchemy.sql.dml import ReturningInsert, Update
    from sqlalchemy.types import TypeEngine

_AT_ONCE = 1_000
"""Rows of one table that wait at most."""
_WRITTEN_TO = re.compile(r'\s*(?:INSERT INTO|UPDATE|DELETE FROM)\s+"?(\w+)', re.IGNORECASE)
_MARK = re.compile(r"\s*(?:SAVEPOINT|RELEASE)\b", re.IGNORECASE)
T = TypeVar("T")
_UNASKED = object()
ORIGINS = "movements that origin rests on"
"""Besides tables an answer may rest on this: all movements but mere sales."""


@dataclass(slots=True)
class _Waiting:
    """The rows of one table that wait, and the numbers drawn for those to come."""

    table: Table
    name: str
    numbered: bool
    rows: list[dict[str, Any]] = field(default_factory=list)
    numbers: Iterator[int] = field(default_factory=lambda: iter(()))


class Later:
    """The rows of one transaction that wait to be written, and what was asked in it and need not be asked again."""

    def __init__(self, conn: Connection) -> None:
        self.others = 0
        """How many other statements may have changed something: who remembers rows looks anew when it has risen."""
        self.times = 0
        """How often what waited was written or given up: a row kept since then waits still, and may be changed."""
        self.alone = conn.dialect.name == "sqlite"
        """Nobody else can write meanwhile."""
        self._conn = conn
        self._waiting: dict[Table, _Waiting] = {}
        self._changes: dict[Update, dict[object, dict[str, Any]]] = {}
        self._names: dict[str, None] = {}
        """Tables something waits for."""
        self._answers: dict[object, Any] = {}
        self._resting_on: dict[str, set[object]] = defaultdict(set)
        self._writing = False

    def keep(self, table: Table, row: dict[str, Any], *, known: bool = False) -> int:
        """Keep a row back; answers the number it will have.

        Args:
            table: where the row belongs.
            row: its columns; whoever gives it leaves it alone afterwards.
            known: no remembered answer is made wrong by it, or whoever remembers it sees to that.
        """
        waiting = self._waiting.get(table) or self._begin(table)
        number = 0
        if waiting.numbered:
            number = row["id"] = next(waiting.numbers, 0) or self._draw(waiting)
        if not known and waiting.name in self._resting_on:
            self.forget(waiting.name)
        rows = waiting.rows
        if not rows:
            self._names[waiting.name] = None
        rows.append(row)
        if len(rows) >= _AT_ONCE:
            self.write()
        return number

    def _begin(self, table: Table) -> _Waiting:
        waiting = self._waiting[table] = _Waiting(table, table.name, "id" in table.c)
        return waiting

    def put_off(self, change: Update, which: object, values: dict[str, Any]) -> None:
        """Put a change of a row off; a later one of the same row takes its place.

        Args:
            change: the statement, for one row, always the same.
            which: tells the row.
            values: what the statement is given.
        """
        changes = self._changes.get(change)
        if changes is None:
            changes = self._changes[change] = {}
            self._names[cast("Table", change.table).name] = None
        changes[which] = values

    def recall(self, key: object, tables: tuple[str, ...], ask: Callable[[], T]) -> T:
        """An answer that was given before, or else is asked for now.

        Args:
            key: tells the question.
            tables: what the answer rests on: tables, or a name that `forget` is called with.
            ask: asks the question.
        """
        answer: T = self._answers.get(key, _UNASKED)
        if answer is _UNASKED:
            answer = self._answers[key] = ask()
            for name in tables:
                self._resting_on[name].add(key)
        return answer

    def forget(self, table: str) -> None:
        """Forget every answer that rests on a table, or on what else has this name."""
        for key in self._resting_on.pop(table, ()):
            self._answers.pop(key, None)

    def write(self) -> None:
        """Write what waits."""
        if self._writing or not self._names:
            return
        self._writing = True
        try:
            # Tables in the order in which they refer to each other: a cost before its payment.
            for table in sorted((one for one, waiting in self._waiting.items() if waiting.rows), key=_place):
                insert_many(self._conn, table, self._waiting[table].rows)
            for change, values in self._changes.items():
                _change_many(self._conn, change, list(values.values()))
            self._drop()
        finally:
            self._writing = False

    def before(self, _conn: Any, _cursor: Any, statement: str, *_: Any) -> None:
        """Something else is about to be sent: first what waits."""
        if self._writing:
            return
        if statement.lstrip()[:6].upper() == "SELECT":
            if any(name in statement for name in self._names):
                self.write()
            return
        if statement.lstrip()[:8].upper() == "ROLLBACK":
            # To a mark at which all was written: what waits came after it.
            self._drop()
        self.write()
        self.others += 1
        if self.alone:
            # It takes the next number of its table, which nothing keeps for us.
            for waiting in self._waiting.values():
                waiting.numbers = iter(())
        if written := _WRITTEN_TO.match(statement):
            self.forget(written[1].lower())
        elif not _MARK.match(statement):
            self._answers.clear()
            self._resting_on.clear()

    def _drop(self) -> None:
        self.times += 1
        for waiting in self._waiting.values():
            waiting.rows = []
        self._changes.clear()
        self._names.clear()

    def _draw(self, waiting: _Waiting) -> int:
        """The next number of a table, with some more that are for this transaction alone."""
        table = waiting.table
        if self.alone:
            # Nobody else writes before this transaction ends.
            last = self._conn.execute(select(func.coalesce(func.max(table.c.id), 0))).scalar_one()
            waiting.numbers = count(last + 1)
        else:
            drawn = text("SELECT nextval(pg_get_serial_sequence(:named, 'id')) FROM generate_series(1, :many)")
            found = self._conn.execute(drawn, {"named": table.name, "many": _AT_ONCE})
            waiting.numbers = iter(found.scalars().all())
        return next(waiting.numbers)


@cache
def _places() -> dict[str, int]:
    return {table.name: place for place, table in enumerate(metadata.sorted_tables)}


def _place(table: Table) -> int:
    return _places()[table.name]


def insert_many(conn: Connection, table: Table, rows: list[dict[str, Any]]) -> None:
    """Write many rows of a table at once; each has every column but those that are filled in by themselves."""
    for names, some in groupby(rows, key=tuple):
        alike = list(some)
        if conn.dialect.name != "sqlite":
            conn.execute(insert(table), alike)
            continue
        statement, ready = _insertion(table, names)
        conn.exec_driver_sql(statement, _made_ready(map(dict.values, alike), ready))


def _change_many(conn: Connection, change: Update, rows: list[dict[str, Any]]) -> None:
    """Change many rows, each by the same statement with values of its own."""
    if conn.dialect.name != "sqlite":
        conn.execute(change, rows)
        return
    statement, fixed, values_of, ready = _changing(change)
    conn.exec_driver_sql(statement, _made_ready([values_of({**fixed, **row}) for row in rows], ready))


_SQLITE = sqlite.dialect()
_ONLY_WHOLE = {int}
_Ready = tuple[tuple[int, type, Callable[[Any], Any]], ...]
"""Of some values their place, the class of their type, and what makes them ready for the database."""


def _made_ready(rows: Iterable[Iterable[Any]], ready: _Ready) -> list[tuple[Any, ...]]:
    """The values of many rows as SQLite takes them: half the time of leaving it to SQLAlchemy."""
    columns: list[Sequence[Any]] = list(zip(*rows, strict=True))
    for place, kind, process in ready:
        values = columns[place]
        if kind is Whole:
            # Most whole numbers are, and asking them one by one would take as long as all the rest.
            if set(map(type, values)) != _ONLY_WHOLE:
                columns[place] = [value if type(value) is int else process(value) for value in values]
        elif kind is Day:
            # The same day stands in many rows; a moment never equals a day.
            written = {value: process(value) for value in set(values)}
            columns[place] = [*map(written.__getitem__, values)]
        else:
            columns[place] = [process(value) for value in values]
    return list(zip(*columns, strict=True))


def _processed(types: Iterable[TypeEngine[Any]]) -> _Ready:
    processors = [(one, one.dialect_impl(_SQLITE).bind_processor(_SQLITE)) for one in types]
    return tuple((place, type(one), process) for place, (one, process) in enumerate(processors) if process is not None)


@cache
def _insertion(table: Table, names: tuple[str, ...]) -> tuple[str, _Ready]:
    """The insertion of these columns, and what makes their values ready."""
    columns = ", ".join('"' + name + '"' for name in names)
    statement = f"INSERT INTO {table.name} ({columns}) VALUES ({', '.join('?' * len(names))})"
    return statement, _processed(table.c[name].type for name in names)


@cache
def _changing(change: Update) -> tuple[str, dict[str, Any], Callable[[dict[str, Any]], tuple[Any, ...]], _Ready]:
    """A change as SQLite takes it: the statement, values that stand in it, what puts values in order, and makes them
    ready."""
    compiled = change.compile(dialect=_SQLITE)
    names = compiled.positiontup or ()
    fixed = {name: value for name, value in compiled.params.items() if value is not None}
    ready = _processed(compiled.binds[name].type for name in names)
    return str(compiled), fixed, itemgetter(*names), ready


_KEPT: dict[int, Later] = {}
"""By the identity of a connection, for as long as its block lasts."""


def later(conn: Connection) -> Later | None:
    """The rows that wait in this transaction; None: each row is written at once."""
    return _KEPT.get(id(conn))


def remembers(conn: Connection) -> bool:
    """Whether answers are remembered: rows are written together, and nobody else can write meanwhile."""
    waiting = _KEPT.get(id(conn))
    return waiting is not None and waiting.alone


def recall(conn: Connection, key: object, tables: tuple[str, ...], ask: Callable[[], T]) -> T:
    """An answer, perhaps a remembered one; see `Later.recall`."""
    waiting = _KEPT.get(id(conn))
    if waiting is None or not waiting.alone:
        return ask()
    return waiting.recall(key, tables, ask)


def write_one(
    conn: Connection, new: ReturningInsert[int], table: Table, row: dict[str, Any], *, known: bool = False
) -> int:
    """Write a row, at once or with others; answers its number.

    Args:
        conn: the transaction.
        new: the insertion, returning the number.
        table: where the row belongs.
        row: its columns.
        known: see `Later.keep`.
    """
    waiting = _KEPT.get(id(conn))
    if waiting is not None:
        return waiting.keep(table, row, known=known)
    return int(conn.execute(new, row).scalar_one())


@contextmanager
def kept_back(conn: Connection) -> Iterator[None]:
    """Write rows together while the block lasts; at its end all are written."""
    waiting = Later(conn)
    _KEPT[id(conn)] = waiting
    event.listen(conn, "before_cursor_execute", waiting.before)
    try:
        yield
        waiting.write()
    finally:
        event.remove(conn, "before_cursor_execute", waiting.before)
        del _KEPT[id(conn)]
