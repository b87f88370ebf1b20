"""Opening an archive: a ledger is made from it, whole and equal to the one it was written from, or nothing is left.

Every file is held against its length and SHA-256, every table against its control totals, and the rows in the new
ledger against the digest of the old one, all in the transaction that makes the ledger.
"""

from __future__ import annotations

import csv
import hashlib
import io
import json
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Table, select
from sqlalchemy.exc import DataError, IntegrityError

from exports.archive.describe import is_whole, path_of
from exports.archive.totals import Totals, counting
from exports.archive.write import DESCRIPTION
from exports.zips import ARCHIVE, content, open_zip
from ledger.errors import BadInput
from ledger.records.identity import SCHEMA
from ledger.records.rows import Row, Value, fingerprint, replace_all
from ledger.records.store import Store, create
from ledger.records.tables import ledger_info, metadata

_LONGEST = 1_000_000
"""Characters of one value."""
_MOST = 2**63 - 1


def open_archive(path: Path, target: str) -> Store:
    """Make a ledger from an archive and open it.

    Args:
        path: of the archive.
        target: path where there is nothing yet, or URL of an empty PostgreSQL database.

    Raises:
        BadInput: the archive is damaged or of another version, or there is something at that place; nothing is left.
        ReadOnly, DiskFull, Unreachable: the ledger cannot be made there.
    """
    with open_zip(path, ARCHIVE) as file:
        package = _package(file, path)
        ours = package["rearledger"]

        def load(conn: Connection) -> None:
            totals: Totals = {}
            _load(conn, file, package, totals)
            if totals != ours["controlTotals"]:
                raise BadInput(f"{path.name}: the control totals do not fit the rows; get it anew.", "file")
            currency = conn.execute(select(ledger_info.c.currency)).scalar_one()
            if fingerprint(conn).digest != ours["digest"] or currency != ours["currency"]:
                raise BadInput(f"{path.name}: the rows are not those it was written from; get it anew.", "file")

        try:
            with _long_values():
                return create(target, currency=ours["currency"], load=load)
        except (IntegrityError, DataError, OverflowError) as error:
            raise BadInput(f"{path.name}: its rows do not fit together; get it anew.", "file") from error


def _package(file: zipfile.ZipFile, path: Path) -> dict[str, Any]:
    if DESCRIPTION not in file.namelist():
        raise BadInput(f"{path.name} is no archive of this program; rearledger archive writes one.", "file")
    try:
        package: dict[str, Any] = json.loads(content(file, DESCRIPTION))
        ours = package["rearledger"]
        version, _, _ = int(ours["schemaVersion"]), ours["controlTotals"], ours["digest"]
        {one["path"]: (one["bytes"], one["hash"]) for one in package["resources"]}
        str.upper(ours["currency"])
    except (ValueError, KeyError, TypeError, RecursionError) as error:
        raise BadInput(f"{path.name} is no archive of this program, or its description is damaged.", "file") from error
    if version != SCHEMA:
        raise BadInput(
            f"{path.name} is of version {version} and this program opens version {SCHEMA}; open it with the program "
            "that wrote it, and bring that ledger up to date.",
            "file",
            {"version": version},
        )
    return package


def _load(conn: Connection, file: zipfile.ZipFile, package: dict[str, Any], totals: Totals) -> None:
    described = {one["path"]: one for one in package["resources"]}
    wanted = {path_of(table) for table in metadata.sorted_tables}
    tables = [name for name in file.namelist() if name.startswith("data/") and name.endswith(".csv")]
    if set(described) != wanted or len(package["resources"]) != len(wanted) or set(tables) - wanted:
        raise BadInput("The archive does not hold the tables it should; get it anew.", "file")
    rows = {
        table.name: counting(table, _rows(table, _checked(file, described[path_of(table)])), totals)
        for table in metadata.sorted_tables
    }
    try:
        replace_all(conn, dict(rows))
    except ValueError as error:
        raise BadInput(f"The archive holds a value that is none of its kind ({error}); get it anew.", "file") from error


def _checked(file: zipfile.ZipFile, described: dict[str, Any]) -> bytes:
    data = content(file, described["path"])
    if len(data) != described["bytes"] or f"sha256:{hashlib.sha256(data).hexdigest()}" != described["hash"]:
        raise BadInput(
            f"{described['path']} was changed or damaged since it was written; get the archive anew.", "file"
        )
    return data


def _rows(table: Table, data: bytes) -> Iterator[Row]:
    names = list(table.columns.keys())
    whole = [is_whole(column) for column in table.columns]
    nothing = [bool(column.nullable) for column in table.columns]
    try:
        reader = csv.reader(io.StringIO(data.decode("utf-8"), newline=""), strict=True)
        if next(reader, None) != names:
            raise BadInput(f"The columns of {table.name} are not those it should have; get the archive anew.", "file")
        for row in reader:
            if len(row) != len(names):
                raise BadInput(f"Line {reader.line_num} of {table.name} has {len(row)} values; get it anew.", "file")
            yield tuple(map(_value, row, whole, nothing))
    except (csv.Error, UnicodeDecodeError) as error:
        raise BadInput(f"The table {table.name} cannot be read; get the archive anew.", "file") from error


@contextmanager
def _long_values() -> Iterator[None]:
    """Have the csv module read values as long as a ledger keeps them, such as a picture; it asks at each value."""
    before = csv.field_size_limit(_LONGEST)
    try:
        yield
    finally:
        csv.field_size_limit(before)


def _value(text: str, whole: bool, nullable: bool) -> Value:
    if not text and nullable:
        return None
    if not whole:
        return text
    if not text.removeprefix("-").isdecimal() or len(text) > 20 or abs(number := int(text)) > _MOST:
        raise ValueError(f"{text[:20]!r} is no whole number")
    return number
