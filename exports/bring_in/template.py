"""The template: an empty workbook with the headings this program knows, and lists to choose from."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any

from exports.bring_in.kinds import KINDS, Field, Kind
from exports.files import write_new
from ledger.ledger import Ledger

_ROWS = 2_000
"""Rows under the headings that choose from lists."""
_LISTS = "Lists"
_FREE = {("costs", "category"): "categories", ("costs", "supplier"): "suppliers"}
"""Columns that offer a list and take anything else too."""


def write_template(ledger: Ledger, path: Path) -> Path:
    """Write the template for a ledger: its species, stages, categories and suppliers are in the lists.

    Raises:
        BadInput, DiskFull, DiskFault: as `write_new`.
    """
    return write_new(path, template(_lists(ledger)))


def _lists(ledger: Ledger) -> dict[str, list[str]]:
    species = ledger.species()
    stages = dict.fromkeys(stage.name for one in species for stage in one.stages)
    return {
        "species": [one.code for one in species],
        "stage": list(stages),
        "categories": sorted(ledger.categories()),
        "suppliers": sorted(ledger.suppliers()),
    }


def template(lists: dict[str, list[str]]) -> bytes:
    """The workbook.

    Args:
        lists: values to choose from, by name of the list.
    """
    import xlsxwriter

    out = io.BytesIO()
    with xlsxwriter.Workbook(out, {"in_memory": True, "strings_to_formulas": False}) as book:
        book.set_properties({"title": "Records to bring in", "created": None})
        bold = book.add_format({"bold": True, "bottom": 1})
        text = book.add_format({"num_format": "@"})
        day = book.add_format({"num_format": "yyyy-mm-dd"})
        amount = book.add_format({"num_format": "0.00"})
        formats = {"date": day, "amount": amount, "whole": None, "yes": None, "paid": None, "share": None}
        _about(book.add_worksheet("Read me"), bold)
        sheets = [(kind, book.add_worksheet(kind.title)) for kind in KINDS.values()]
        ranges = _write_lists(book.add_worksheet(_LISTS), lists, bold)
        for kind, sheet in sheets:
            for place, field in enumerate(kind.fields):
                sheet.write_string(0, place, field.heading, bold)
                sheet.write_comment(0, place, _said(field), {"visible": False, "author": "rearledger"})
                sheet.set_column(place, place, max(12, len(field.heading) + 4), formats.get(field.type, text))
                _choose(sheet, place, kind, field, ranges)
            sheet.freeze_panes(1, 0)
    return out.getvalue()


def _said(field: Field) -> str:
    parts = ["Needed." if field.needed else "May be left empty.", field.help]
    if field.choices:
        parts.append(f"One of: {', '.join(field.choices)}.")
    return " ".join(part for part in parts if part)


def _choose(sheet: Any, place: int, kind: Kind, field: Field, ranges: dict[str, str]) -> None:
    source: Any = list(field.choices) or None
    name = _FREE.get((kind.name, field.name), field.name if kind.name != "costs" else "")
    if source is None and name in ranges:
        source = f"={ranges[name]}"
    if source is None and field.type in ("yes", "paid"):
        source = ["yes", "no"] if field.type == "yes" else ["yes", "no", "cash", "card", "transfer"]
    if source is None:
        return
    strict = "stop" if field.choices or field.type == "yes" else "information"
    sheet.data_validation(1, place, _ROWS, place, {"validate": "list", "source": source, "error_type": strict})


def _write_lists(sheet: Any, lists: dict[str, list[str]], bold: Any) -> dict[str, str]:
    ranges = {}
    for place, (name, values) in enumerate(lists.items()):
        sheet.write_string(0, place, name, bold)
        for row, value in enumerate(values, start=1):
            sheet.write_string(row, place, value)
        if values:
            letter = chr(65 + place)
            ranges[name] = f"{_LISTS}!${letter}$2:${letter}${len(values) + 1}"
    return ranges


def _about(sheet: Any, bold: Any) -> None:
    sheet.set_column(0, 0, 90)
    sheet.write_string(0, 0, "Records to bring in", bold)
    lines = (
        "Fill in the sheets you need, one row for each record; leave the others empty.",
        "Species must be in the ledger first; a row has their code or name.",
        "Dates are dates, amounts are numbers, codes are texts.",
        "Opening stock comes first, then past sales of these lots. How says how animals came: opening (here when the "
        "ledger begins, at no cost), bought (with the price of the lot, which becomes a cost of animals) or bred.",
        "Past sales with the same Own number are one sale; without one every row is a sale of its own.",
        "Look:    rearledger bring-in stock FILE",
        "Record:  rearledger bring-in stock FILE --record",
        "The same row is never recorded twice, and a whole file can be taken back.",
    )
    for row, line in enumerate(lines, start=2):
        sheet.write_string(row, 0, line)
