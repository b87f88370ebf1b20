"""Writing an archive: a zip with one CSV file for each table, its description and control totals.

The same rows give the same bytes: nothing in it depends on when, where or by whom it is written. CSV after RFC 4180,
values exact and unguarded, since this is for machines; empty stands for nothing, or for an empty text where a column
cannot be nothing.
"""

from __future__ import annotations

import csv
import hashlib
import io
import json
import zipfile
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, func, select

from exports.archive.describe import PROFILE, path_of, resource
from exports.archive.totals import Totals, counting
from exports.files import refuse_taken, write_new
from ledger.money import Currency
from ledger.records.rows import Row, fingerprint, read
from ledger.records.settings import setting
from ledger.records.store import Store
from ledger.records.tables import ledger_info, metadata, operation

DESCRIPTION, README = "datapackage.json", "README.txt"
_LONG_AGO = (1980, 1, 1, 0, 0, 0)
"""The earliest moment a zip can hold: the time of writing is no part of an archive."""

_WORDS = """\
This is a whole ledger of a keeper's animals, sales and spending as plain tables.

data/*.csv        one table each: UTF-8, comma, header line, dates as 2025-06-02
datapackage.json  what every table and column means, how the tables refer to each
                  other, and control totals (Data Package, https://datapackage.org)

Amounts are whole minor units of the ledger's currency (2400 is 24.00 where the
currency has two decimals; "minorUnits" in datapackage.json says how many).
Texts are exactly as recorded: open the files in a spreadsheet with the columns
set to text, or a text that begins with = may be taken for a formula.

To check it:      frictionless validate datapackage.json
To open it again: rearledger open-archive ARCHIVE --at PATH-OR-URL
It holds the names of customers: keep it as carefully as the ledger itself.
"""


Progress = Callable[[str, int, int], None]
"""Told of each table that is begun: its name, how many came before it, and how many there are."""


def _untold(_table: str, _done: int, _all: int) -> None:
    """Nobody wants to know."""


def write_archive(store: Store, path: Path, make: Callable[[], bytes] | None = None) -> Path:
    """Write the archive of a ledger.

    Args:
        store: the ledger.
        path: where to.
        make: gives its content in place of `archive_of`, for who has it made elsewhere.

    Raises:
        BadInput: there is something at that place already, or no such folder.
        DiskFull, DiskFault, Busy: it was not written, and why.
    """
    refuse_taken(path)
    return write_new(path, archive_of(store) if make is None else make())


def archive_of(store: Store, told: Progress = _untold) -> bytes:
    """The archive of a ledger as it is now."""
    with store.reading() as conn:
        return archive(conn, store.currency, told)


def archive(conn: Connection, currency: Currency, told: Progress = _untold) -> bytes:
    """The archive of the ledger as a transaction sees it."""
    totals: Totals = {}
    resources: list[dict[str, Any]] = []
    tables = metadata.sorted_tables
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED, compresslevel=6) as file:
        for done, table in enumerate(tables):
            told(table.name, done, len(tables))
            content = _csv(list(table.columns.keys()), counting(table, read(conn, table), totals))
            _put(file, path_of(table), content)
            digest = hashlib.sha256(content).hexdigest()
            resources.append(resource(table, len(content), digest, totals[table.name]["rows"]))
        description = json.dumps(_package(conn, currency, resources, totals), ensure_ascii=False, indent=1)
        _put(file, DESCRIPTION, (description + "\n").encode())
        _put(file, README, _WORDS.encode())
    return out.getvalue()


def _package(conn: Connection, currency: Currency, resources: list[dict[str, Any]], totals: Totals) -> dict[str, Any]:
    info = conn.execute(select(ledger_info)).one()
    last = conn.execute(select(func.max(operation.c.recorded_at))).scalar()
    return {
        "$schema": PROFILE.format("datapackage"),
        "name": "rearledger-archive",
        "title": setting(conn, "business name", "") or "Ledger of a keeper of small animals",
        "description": "Stock, sales, spending and everything recorded of them. Amounts in minor units.",
        "created": last or info.made_at,
        "rearledger": {
            "schemaVersion": info.schema_version,
            "currency": currency.code,
            "minorUnits": currency.digits,
            "digest": fingerprint(conn).digest,
            "controlTotals": totals,
        },
        "resources": resources,
    }


def _csv(headings: list[str], rows: Iterable[Row]) -> bytes:
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(headings)
    writer.writerows(rows)
    return text.getvalue().encode("utf-8", "surrogatepass")


def _put(file: zipfile.ZipFile, name: str, content: bytes) -> None:
    info = zipfile.ZipInfo(name, _LONG_AGO)
    info.compress_type = zipfile.ZIP_DEFLATED
    info.external_attr = 0o600 << 16
    info.create_system = 3
    file.writestr(info, content)
