"""Every row of a ledger in a neutral form, the same on both kinds of database: to compare, to copy and to keep.

A value is a whole number, a text (a day as ISO 8601) or nothing; rows stand in the order of their keys. Knows no rule:
what is copied was written by the parts that know them, so triggers are put up after the rows and not before.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import json
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import islice
from typing import Any

from sqlalchemy import Connection, Table, Text, collate, insert, inspect, select, type_coerce
from sqlalchemy.sql import ColumnElement

from ledger.records import triggers
from ledger.records.columns import Day
from ledger.records.tables import metadata

Value = int | str | None
Row = tuple[Value, ...]
AT_ONCE = 2_000
"""Rows read, hashed or written at a time."""
_BEHIND_THE_SCENES = "alembic_version"
_AS_JSON = json.JSONEncoder(ensure_ascii=False, separators=(",", ":"))


@dataclass(frozen=True, slots=True)
class Fingerprint:
    """What all rows of a ledger come to; equal for equal ledgers, on whichever database they are."""

    digest: str
    """SHA-256 over every row of every table."""
    rows: int


def read(conn: Connection, table: Table) -> Iterator[Row]:
    """Every row of a table in the order of its key, a few thousand at a time."""
    found = conn.execution_options(yield_per=AT_ONCE).execute(
        select(*map(_neutral, table.columns)).order_by(*(_ordered(conn, key) for key in table.primary_key.columns))
    )
    days = [place for place, column in enumerate(table.columns) if isinstance(column.type, Day)]
    if conn.dialect.name == "sqlite" or not days:
        for part in found.partitions():
            yield from map(tuple, part)
        return
    for part in found.partitions():
        for row in part:
            values = list(row)
            for place in days:
                values[place] = None if values[place] is None else values[place].isoformat()
            yield tuple(values)


def write(conn: Connection, table: Table, rows: Iterable[Sequence[Value]]) -> int:
    """Insert rows, keys and all, where no trigger stands in the way; gives how many.

    Raises:
        ValueError: something that should be a day is none.
    """
    names = [column.name for column in table.columns]
    days = {column.name for column in table.columns if isinstance(column.type, Day)}
    written = 0
    waiting = iter(rows)
    while part := list(islice(waiting, AT_ONCE)):
        filled: list[dict[str, Any]] = [dict(zip(names, row, strict=True)) for row in part]
        if days:
            for one in filled:
                for name in days:
                    value = one[name]
                    one[name] = None if value is None else dt.date.fromisoformat(str(value))
        conn.execute(insert(table), filled)
        written += len(part)
    return written


def fingerprint(conn: Connection) -> Fingerprint:
    """The digest of every row, also of a ledger whose tables are older than this program's."""
    total = hashlib.sha256()
    count = 0
    for name, rows in _every_table(conn):
        total.update(f"\n{name}\n".encode())
        waiting = iter(rows)
        while part := list(islice(waiting, AT_ONCE)):
            total.update(_AS_JSON.encode(part).encode("utf-8", "surrogatepass"))
            total.update(b"\n")
            count += len(part)
    return Fingerprint(total.hexdigest(), count)


def replace_all(conn: Connection, rows_of: dict[str, Iterable[Sequence[Value]]]) -> dict[str, int]:
    """Put rows in place of all there are in a ledger just made; gives how many by table.

    Args:
        conn: the transaction that makes the ledger; it ends with every trigger in place.
        rows_of: rows by the name of their table.

    Raises:
        ValueError: something that should be a day is none.
        IntegrityError: they do not fit together.
    """
    triggers.remove(conn)
    if conn.dialect.name == "sqlite":
        # A row may name one that comes later in its own table; all must be there in the end.
        conn.exec_driver_sql("PRAGMA defer_foreign_keys=ON")
    for table in reversed(metadata.sorted_tables):
        conn.execute(table.delete())
    counts = {table.name: write(conn, table, rows_of.get(table.name, ())) for table in metadata.sorted_tables}
    if conn.dialect.name == "postgresql":
        _settle_sequences(conn)
    triggers.install(conn)
    return counts


def copy(source: Connection, target: Connection) -> dict[str, int]:
    """Copy every row of one ledger into another one just made; gives how many by table."""
    return replace_all(target, {table.name: read(source, table) for table in metadata.sorted_tables})


def _every_table(conn: Connection) -> Iterator[tuple[str, Iterable[Row]]]:
    """Tables by name, as this program has them; those of another version as the database says."""
    found = set(inspect(conn).get_table_names()) - {_BEHIND_THE_SCENES}
    if found == set(metadata.tables) and _columns_agree(conn):
        for name in sorted(metadata.tables):
            yield name, read(conn, metadata.tables[name])
        return
    for name in sorted(found):
        yield name, _read_unknown(conn, name)


def _columns_agree(conn: Connection) -> bool:
    look = inspect(conn)
    there = look.get_multi_columns(filter_names=list(metadata.tables))
    return {key[1]: [one["name"] for one in columns] for key, columns in there.items()} == {
        table.name: [column.name for column in table.columns] for table in metadata.tables.values()
    }


def _read_unknown(conn: Connection, name: str) -> Iterator[Row]:
    look = inspect(conn)
    columns = ", ".join(f'"{column["name"]}"' for column in look.get_columns(name))
    keys = ", ".join(f'"{key}"' for key in look.get_pk_constraint(name)["constrained_columns"])
    for row in conn.exec_driver_sql(f'SELECT {columns} FROM "{name}" ORDER BY {keys}'):
        yield tuple(value.isoformat() if isinstance(value, dt.date) else value for value in row)


def _neutral(column: ColumnElement[Any]) -> ColumnElement[Any]:
    return type_coerce(column, Text()) if isinstance(column.type, Day) else column


def _ordered(conn: Connection, column: ColumnElement[Any]) -> ColumnElement[Any]:
    """A key to sort by: both kinds of database must agree, whatever the language of the server is."""
    return collate(column, "C") if conn.dialect.name == "postgresql" and isinstance(column.type, Text) else column


def _settle_sequences(conn: Connection) -> None:
    """Let the next key of each table be one more than the highest."""
    for table in metadata.sorted_tables:
        key = table.autoincrement_column
        if key is None:
            continue
        conn.exec_driver_sql(
            f"SELECT setval(pg_get_serial_sequence('{table.name}', '{key.name}'), "
            f"(SELECT coalesce(max({key.name}), 0) + 1 FROM {table.name}), false)"
        )
