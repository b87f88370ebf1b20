"""Rows kept back and written together, for acts of many thousand rows: a statement for each took half of the time.

Only the writing is put off, never a check. A row that is kept back has its number already, and whatever else is asked
of or written to the database in the same transaction comes after the rows that are waiting: they are written first, so
nobody can see the ledger without them.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any
from weakref import WeakKeyDictionary

from sqlalchemy import Connection, Table, event, func, insert, select, text

if TYPE_CHECKING:
    from sqlalchemy.sql.dml import ReturningInsert

_AT_ONCE = 1_000
"""Rows of one table that wait at most."""


class Later:
    """The rows of one transaction that wait to be written."""

    def __init__(self, conn: Connection) -> None:
        self.others = 0
        """How many other statements may have changed something: who remembers rows looks anew when it has risen."""
        self._conn = conn
        self._rows: dict[Table, list[dict[str, Any]]] = {}
        self._numbers: dict[Table, Iterator[int]] = {}
        self._writing = False

    def keep(self, table: Table, row: dict[str, Any]) -> int:
        """Keep a row back; answers the number it will have."""
        number = self._number(table)
        # Tables in the order in which they were first written to: a cost before its payment.
        waiting = self._rows.setdefault(table, [])
        waiting.append({**row, "id": number})
        if len(waiting) >= _AT_ONCE:
            self.write()
        return number

    def write(self) -> None:
        """Write what waits."""
        if self._writing:
            return
        self._writing = True
        try:
            for table, rows in self._rows.items():
                if rows:
                    self._conn.execute(insert(table), rows)
                    rows.clear()
        finally:
            self._writing = False

    def before(self, _conn: Any, _cursor: Any, statement: str, *_: Any) -> None:
        """Something else is about to be sent: first what waits."""
        if self._writing:
            return
        self.write()
        if not statement.lstrip()[:6].upper().startswith("SELECT"):
            self.others += 1
            if self._conn.dialect.name == "sqlite":
                # It takes the next number of its table, which nothing keeps for us.
                self._numbers.clear()

    def _number(self, table: Table) -> int:
        number = next(self._numbers.get(table, iter(())), None)
        if number is None:
            self._numbers[table] = self._draw(table)
            number = next(self._numbers[table])
        return number

    def _draw(self, table: Table) -> Iterator[int]:
        """The next numbers of a table, for this transaction alone."""
        if self._conn.dialect.name == "sqlite":
            # Nobody else writes before this transaction ends.
            last = self._conn.execute(select(func.coalesce(func.max(table.c.id), 0))).scalar_one()
            return iter(range(last + 1, last + 1 + _AT_ONCE))
        drawn = text("SELECT nextval(pg_get_serial_sequence(:named, 'id')) FROM generate_series(1, :many)")
        return iter(self._conn.execute(drawn, {"named": table.name, "many": _AT_ONCE}).scalars().all())


_KEPT: WeakKeyDictionary[Connection, Later] = WeakKeyDictionary()


def later(conn: Connection) -> Later | None:
    """The rows that wait in this transaction; None: each row is written at once."""
    return _KEPT.get(conn)


def write_one(conn: Connection, new: ReturningInsert[int], table: Table, row: dict[str, Any]) -> int:
    """Write a row, at once or with others; answers its number.

    Args:
        conn: the transaction.
        new: the insertion, returning the number.
        table: where the row belongs.
        row: its columns.
    """
    waiting = _KEPT.get(conn)
    if waiting is not None:
        return waiting.keep(table, row)
    return int(conn.execute(new, row).scalar_one())


@contextmanager
def kept_back(conn: Connection) -> Iterator[None]:
    """Write rows together while the block lasts; at its end all are written."""
    waiting = Later(conn)
    _KEPT[conn] = waiting
    event.listen(conn, "before_cursor_execute", waiting.before)
    try:
        yield
        waiting.write()
    finally:
        event.remove(conn, "before_cursor_execute", waiting.before)
        del _KEPT[conn]
