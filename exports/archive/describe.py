"""The description of an archive's tables after the Data Package standard, version 2 (https://datapackage.org).

Everything is read off the tables themselves, so that the description cannot say anything else than the database does.
"""

from __future__ import annotations

import re
from typing import Any

from sqlalchemy import CheckConstraint, Column, Integer, Table, UniqueConstraint

from exports.archive.dictionary import of_column, of_table
from ledger.records.columns import FIRST_DAY, LAST_DAY, Day, Whole

PROFILE = "https://datapackage.org/profiles/2.0/{}.json"
_CHOICE = re.compile(r" IN \((.*)\)")
_BOUNDS = re.compile(r'"\w+" BETWEEN (-?\d+) AND (\d+)')
_LENGTH = re.compile(r"length\(\w+\) <= (\d+)")


def path_of(table: Table) -> str:
    """Where a table is in the archive."""
    return f"data/{table.name}.csv"


def resource(table: Table, size: int, digest: str, rows: int) -> dict[str, Any]:
    """The description of one table.

    Args:
        table: the table.
        size: bytes of its file.
        digest: SHA-256 of its file.
        rows: rows in it.
    """
    return {
        "$schema": PROFILE.format("dataresource"),
        "name": table.name,
        "type": "table",
        "path": path_of(table),
        "description": of_table(table),
        "format": "csv",
        "mediatype": "text/csv",
        "encoding": "utf-8",
        "bytes": size,
        "hash": f"sha256:{digest}",
        "rearledgerRows": rows,
        "schema": _schema(table),
    }


def _schema(table: Table) -> dict[str, Any]:
    schema: dict[str, Any] = {
        "$schema": PROFILE.format("tableschema"),
        "fields": [_field(column) for column in table.columns],
        "missingValues": [""],
        "primaryKey": [column.name for column in table.primary_key.columns],
    }
    unique = sorted(
        [column.name for column in constraint.columns]
        for constraint in table.constraints
        if isinstance(constraint, UniqueConstraint)
    )
    if unique:
        schema["uniqueKeys"] = unique
    keys = [
        {
            "fields": [key.parent.name],
            # A table that points at itself is named by an empty name.
            "reference": {
                "resource": "" if key.column.table is table else key.column.table.name,
                "fields": [key.column.name],
            },
        }
        for key in sorted(table.foreign_keys, key=lambda key: str(key.parent.name))
    ]
    if keys:
        schema["foreignKeys"] = keys
    return schema


def _field(column: Column[Any]) -> dict[str, Any]:
    checks = [str(one.sqltext) for one in column.constraints if isinstance(one, CheckConstraint)]
    limits: dict[str, Any] = {}
    kind = "date" if isinstance(column.type, Day) else "integer" if is_whole(column) else "string"
    for check in checks:
        if found := _BOUNDS.fullmatch(check):
            limits |= {"minimum": int(found[1]), "maximum": int(found[2])}
        if found := _LENGTH.fullmatch(check):
            limits["maxLength"] = int(found[1])
        if found := _CHOICE.search(check):
            limits["enum"] = [word.replace("''", "'") for word in re.findall(r"'((?:[^']|'')*)'", found[1])]
    if kind == "date":
        limits |= {"minimum": str(FIRST_DAY), "maximum": str(LAST_DAY)}
    if not column.nullable and (kind != "string" or "" not in limits.get("enum", [""])):
        limits["required"] = True
    if "enum" in limits:
        limits["enum"] = [word for word in limits["enum"] if word]
    field: dict[str, Any] = {"name": column.name, "type": kind, "description": of_column(column)}
    if limits:
        field["constraints"] = limits
    return field


def is_whole(column: Column[Any]) -> bool:
    """Whether a column holds whole numbers."""
    return isinstance(column.type, Whole | Integer)
