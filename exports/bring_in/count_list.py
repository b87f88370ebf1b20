"""The list of a stock count as it comes back filled in: saved by whatever spreadsheet, as .xlsx, .ods or .csv."""

from __future__ import annotations

from pathlib import Path

from exports.bring_in.apart import read_apart
from exports.bring_in.cells import Book, Cell, FaultyCell, Sheet, shown
from ledger.books.commands import Counted
from ledger.errors import BadInput
from ledger.text import quoted

_NEEDED = ("lot", "stage", "counted")
_MOST = 1_000_000


def counted_in(path: Path) -> list[tuple[int, Counted]]:
    """The lines in which something was counted, with the numbers of their rows.

    Raises:
        BadInput: the file cannot be read, a column is missing, or a number counted is none.
    """
    book = read_apart(path)
    sheet, start, places = _headings(book)
    lines = []
    for number, row in sheet.rows[start + 1 :]:
        said = {name: row[place] if place < len(row) else None for name, place in places.items()}
        if said["counted"] is None or not shown(said["counted"]).strip():
            continue
        texts = {name: shown(cell).strip() for name, cell in said.items()}
        count = _count(book, number, said["counted"])
        reason, sex, tub = texts.get("reason", ""), texts.get("sex") or None, texts.get("tub")
        one = Counted(texts["lot"], texts["stage"], count, reason, sex, tub)
        lines.append((number, one))
    return lines


def _headings(book: Book) -> tuple[Sheet, int, dict[str, int]]:
    """The first sheet and row with the columns that are needed, and where each column is."""
    lacking = list(_NEEDED)
    for sheet in book.sheets:
        for start, (_, row) in enumerate(sheet.rows[:20]):
            places = {shown(cell).strip().casefold(): place for place, cell in reversed(list(enumerate(row)))}
            missing = [name for name in _NEEDED if name not in places]
            if not missing:
                return sheet, start, places
            lacking = min(lacking, missing, key=len)
    raise BadInput(
        f"{book.name} has no column {lacking[0]}; write the list with --format csv and fill it in.", field="file"
    )


def _count(book: Book, number: int, cell: Cell) -> int:
    if isinstance(cell, FaultyCell):
        raise BadInput(f"{book.name}, row {number}: the number counted is {cell.fault.value}.", field="file")
    text = shown(cell).strip()
    if not (text.isascii() and text.isdigit() and int(text) <= _MOST):
        raise BadInput(
            f"{book.name}, row {number}: {quoted(text)} is not a number counted; write a whole number from 0 to "
            f"{_MOST:,}.",
            field="file",
        )
    return int(text)
