"""Column types that mean the same on SQLite (strict tables) and on PostgreSQL.

A whole number must be a Python int: PostgreSQL would round 1.5 into a bigint without a word.
"""

from __future__ import annotations

import datetime as dt
from typing import Any

from sqlalchemy import BigInteger, CheckConstraint, Column, Date, Dialect, Integer, Table, Text
from sqlalchemy.types import TypeDecorator, TypeEngine

FIRST_DAY = dt.date(1990, 1, 1)
LAST_DAY = dt.date(2199, 12, 31)
MOST_ANIMALS = 1_000_000
MOST_MONEY = 10**11


class Day(TypeDecorator[dt.date]):
    """A date: DATE on PostgreSQL, ISO 8601 text on SQLite."""

    impl = Text
    cache_ok = True

    def load_dialect_impl(self, dialect: Dialect) -> TypeEngine[Any]:
        return dialect.type_descriptor(Date() if dialect.name == "postgresql" else Text())

    def process_bind_param(self, value: dt.date | None, dialect: Dialect) -> Any:
        if value is None:
            return None
        if type(value) is not dt.date:
            raise TypeError(f"a date was expected, not {type(value).__name__}")
        return value if dialect.name == "postgresql" else value.isoformat()

    def process_result_value(self, value: Any, dialect: Dialect) -> dt.date | None:
        if value is None or isinstance(value, dt.date):
            return value
        return dt.date.fromisoformat(value)


class Whole(TypeDecorator[int]):
    """A whole number of 64 bits; anything but an int is a bug and is refused before the database sees it."""

    impl = BigInteger
    cache_ok = True

    def load_dialect_impl(self, dialect: Dialect) -> TypeEngine[Any]:
        return dialect.type_descriptor(BigInteger() if dialect.name == "postgresql" else Integer())

    def process_bind_param(self, value: int | None, dialect: Dialect) -> int | None:
        if value is not None and type(value) is not int:
            raise TypeError(f"a whole number was expected, not {type(value).__name__}")
        return value


KEY = BigInteger().with_variant(Integer(), "sqlite")
"""Type of a generated primary key."""


def text(name: str, limit: int, **more: Any) -> Column[str]:
    """A text column that is never null and never longer than `limit` characters."""
    more.setdefault("nullable", False)
    return Column(name, Text(), CheckConstraint(f"length({name}) <= {limit}", name=f"{name}_length"), **more)


def day(name: str, *, nullable: bool = False) -> Column[dt.date]:
    """A date column between 1990 and 2199."""
    within = CheckConstraint(f"{name} BETWEEN '{FIRST_DAY}' AND '{LAST_DAY}'", name=f"{name}_range")
    return Column(name, Day(), within, nullable=nullable)


def real_days(table: Table) -> None:
    """Let SQLite, where a date is text, refuse what is no date: 2026-02-30, and 2026-2-1 (`=` alone would pass it)."""
    for column in table.columns:
        if isinstance(column.type, Day):
            check = CheckConstraint(f"{column.name} IS date({column.name}, '+0 days')", name=f"{column.name}_real")
            table.append_constraint(check.ddl_if(dialect="sqlite"))


def count(name: str, *, least: int = 0, most: int = MOST_ANIMALS, **more: Any) -> Column[int]:
    """A whole-number column between two bounds."""
    more.setdefault("nullable", False)
    return Column(name, Whole(), CheckConstraint(f'"{name}" BETWEEN {least} AND {most}', name=f"{name}_bounds"), **more)


def money(name: str, *, least: int = 0, **more: Any) -> Column[int]:
    """An amount in minor units of the ledger's currency."""
    return count(name, least=least, most=MOST_MONEY, **more)


def choice(name: str, *allowed: str, **more: Any) -> Column[str]:
    """A text column that takes one of `allowed`."""
    more.setdefault("nullable", False)
    words = ", ".join("'" + word.replace("'", "''") + "'" for word in allowed)
    return Column(name, Text(), CheckConstraint(f"{name} IN ({words})", name=f"{name}_choice"), **more)
