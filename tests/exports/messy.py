"""Sheets as people keep them, made for the tests: titles, merged cells, blank rows, totals, text numbers, mixed dates.

All names in them are invented.
"""

from __future__ import annotations

import datetime as dt
import io
import zipfile
from collections.abc import Sequence
from pathlib import Path
from xml.sax.saxutils import escape

import openpyxl

Cell = str | int | float | dt.date | None


def messy_costs(path: Path) -> Path:
    """Spending with a title, blank rows, a total within and one at the end, text numbers and three styles of dates."""
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "Spending 2025"
    sheet["A1"] = "Quillmere Loft, what we bought"
    sheet.merge_cells("A1:E1")
    sheet["A2"] = "in euros"
    rows: list[list[Cell]] = [
        ["Bought on:", "Type", "Gross", "Shop", "Item", "My remarks?"],
        [dt.date(2025, 1, 14), "feed", 24.0, "Ombrel", "flakes", None],
        ["2025-02-03", "feed", "12,50", "Ombrel", "jelly", "text number"],
        ["14 Mar 2025", "substrate", "€ 18,00", "=2+5 Ltd", "leaf litter", None],
        [None, None, None, None, None, None],
        ["Subtotal", None, "=SUM(C5:C7)", None, None, None],
        [dt.date(2025, 4, 2), "feed", 0.1 + 0.2, "Ombrel", "crumbs", None],
        [dt.date(2025, 4, 30), "heat", "1.012,50", "Pimwick", "April", "a thousand and twelve"],
        [None, None, None, None, None, None],
        [None, None, None, None, None, None],
        ["TOTAL:", None, "=SUM(C5:C13)", None, None, None],
    ]
    for number, row in enumerate(rows, start=4):
        for place, cell in enumerate(row, start=1):
            if cell is not None:
                target = sheet.cell(number, place)
                target.value = cell
                if place == 4 and isinstance(cell, str):
                    target.data_type = "s"
    # A formatted cell far away from everything makes the sheet look large.
    sheet["Z1500"].number_format = "0.00"
    book.save(path)
    return path


MESSY_COSTS = (
    (dt.date(2025, 1, 14), "feed", 2400, "Ombrel"),
    (dt.date(2025, 2, 3), "feed", 1250, "Ombrel"),
    (dt.date(2025, 3, 14), "substrate", 1800, "=2+5 Ltd"),
    (dt.date(2025, 4, 2), "feed", 30, "Ombrel"),
    (dt.date(2025, 4, 30), "heat", 101250, "Pimwick"),
)
"""What it says, read by a person."""


def messy_sales(path: Path) -> Path:
    """Sales with a day and a buyer written once for several rows, months summed up, and how it was paid under Paid."""
    rows: list[list[Cell]] = [
        ["Sold by the loft", None, None, None, None, None],
        ["Date", "Who", "From box", "No", "Total", "Paid"],
        [dt.date(2025, 2, 1), "Tarn", "A1", 2, "7.00", "cash"],
        [None, None, "A1", 1, 2.5, "paypal"],
        [None, "Tarn", "A1", 1, "2.50", "PayPal"],
        [None, "Velo Marrick", "A1", 1, 1.5, "Cash"],
        ["total February", None, None, None, "13.50", None],
        ["2 Mar 2025", "Tarn", "A1", 1, 3, "bank transfer"],
        [None, None, "A1", 1, 2, None],
        [dt.date(2025, 3, 9), None, "A1", 1, 2.5, "no"],
        ["total March", None, None, None, 7.5, None],
    ]
    return workbook(path, rows, "sold")


def workbook(path: Path, rows: Sequence[Sequence[Cell]], title: str = "Sheet1", merged: Sequence[str] = ()) -> Path:
    """A workbook with one sheet."""
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = title
    for row in rows:
        sheet.append(list(row))
    for area in merged:
        sheet.merge_cells(area)
    book.save(path)
    return path


_ODS = """<?xml version="1.0" encoding="UTF-8"?>
<office:document-content xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0"
 xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0"
 xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0" office:version="1.3">
<office:body><office:spreadsheet><table:table table:name="{title}">{rows}</table:table>
</office:spreadsheet></office:body></office:document-content>"""


def ods(path: Path, rows: Sequence[Sequence[Cell]], title: str = "Sheet1", extra: str = "") -> Path:
    """An ods file (OpenDocument 1.3, part 3) with one sheet; `extra`: rows as XML after the others."""
    text = "".join(f"<table:table-row>{''.join(map(_ods_cell, row))}</table:table-row>" for row in rows)
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as file:
        file.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet", zipfile.ZIP_STORED)
        file.writestr("content.xml", _ODS.format(title=escape(title), rows=text + extra))
        file.writestr(
            "META-INF/manifest.xml",
            '<manifest:manifest xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0">'
            '<manifest:file-entry manifest:full-path="/" '
            'manifest:media-type="application/vnd.oasis.opendocument.spreadsheet"/>'
            '<manifest:file-entry manifest:full-path="content.xml" manifest:media-type="text/xml"/>'
            "</manifest:manifest>",
        )
    return path


def _ods_cell(cell: Cell) -> str:
    if cell is None:
        return "<table:table-cell/>"
    if isinstance(cell, dt.date):
        said = f'office:value-type="date" office:date-value="{cell}"'
        return f"<table:table-cell {said}><text:p>x</text:p></table:table-cell>"
    if isinstance(cell, int | float):
        said = f'office:value-type="float" office:value="{cell}"'
        return f"<table:table-cell {said}><text:p>{cell}</text:p></table:table-cell>"
    return f'<table:table-cell office:value-type="string"><text:p>{escape(cell)}</text:p></table:table-cell>'


def bomb(path: Path, megabytes: int = 60) -> Path:
    """A workbook of a few hundred kilobytes whose sheet unpacks to many megabytes."""
    workbook(path, [["Date", "Category", "Amount"]])
    content = io.BytesIO(path.read_bytes())
    with zipfile.ZipFile(content) as old, zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as new:
        for part in old.infolist():
            data = old.read(part)
            if part.filename == "xl/worksheets/sheet1.xml":
                data = data.replace(b"</sheetData>", b" " * (megabytes * 1_000_000) + b"</sheetData>")
            new.writestr(part.filename, data)
    return path


def with_part(path: Path, name: str, change: tuple[bytes, bytes]) -> Path:
    """The same workbook with a part changed."""
    content = io.BytesIO(path.read_bytes())
    with zipfile.ZipFile(content) as old, zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as new:
        for part in old.infolist():
            data = old.read(part)
            new.writestr(part.filename, data.replace(*change, 1) if part.filename == name else data)
    return path
