"""CSV for a spreadsheet: no text in it can become a formula, and taking the guard off gives it back exactly.

A leading apostrophe guards texts that begin with a character a spreadsheet may read as a formula (OWASP, CSV
Injection), and texts that begin with an apostrophe. Figures stay as they are. Records after RFC 4180.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from decimal import Decimal

Cell = str | int | Decimal | None

_LEADING = ("=", "+", "-", "@", "\t", "\r", "\n", "'")


def guarded(text: str) -> str:
    """A text that no spreadsheet reads as a formula."""
    return f"'{text}" if text.startswith(_LEADING) else text


def unguarded(cell: str) -> str:
    """The text that `guarded` was given."""
    return cell[1:] if cell.startswith("'") and cell[1:].startswith(_LEADING) else cell


def spreadsheet_csv(headings: Sequence[str], rows: Iterable[Sequence[Cell]]) -> str:
    """One table: text in quotation marks and guarded, numbers as digits with a point, nothing for None.

    A file of it should begin with a byte order mark, by which spreadsheets know UTF-8.
    """
    out = io.StringIO(newline="")
    writer = csv.writer(out, quoting=csv.QUOTE_NONNUMERIC, lineterminator="\r\n")
    for row in (headings, *rows):
        writer.writerow([_written(cell) for cell in row])
    return out.getvalue()


def _written(cell: Cell) -> str | int | Decimal:
    if cell is None:
        return ""
    return guarded(cell) if isinstance(cell, str) else cell
