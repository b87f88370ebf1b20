"""CSV to be opened in a spreadsheet: no text in it can become a formula, and taking the guard off gives it back exactly.

A leading apostrophe guards texts that begin with a character a spreadsheet may read as a formula (OWASP, CSV
Injection); texts that begin with an apostrophe before such a character get one more. Figures stay as they are.
Records after RFC 4180. The archive has its own CSV with exact values and no guard.
"""

from __future__ import annotations

import csv
from collections.abc import Collection, Iterable, Sequence
from typing import TextIO

_LEADING = ("=", "+", "-", "@", "\t", "\r", "\n")


def guarded(text: str) -> str:
    """A text that no spreadsheet reads as a formula."""
    return f"'{text}" if text.startswith((*_LEADING, "'")) else text


def unguarded(cell: str) -> str:
    """The text that `guarded` was given."""
    return cell[1:] if cell.startswith("'") and cell[1:].startswith((*_LEADING, "'")) else cell


def write_rows(
    file: TextIO, headings: Sequence[str], rows: Iterable[Sequence[str]], *, figures: Collection[int] = ()
) -> None:
    """Write one table, every cell in quotation marks.

    Args:
        file: opened with newline="" so that the line ends stay as RFC 4180 has them.
        headings: of the columns.
        rows: texts; a figure as digits with a point.
        figures: places of the columns that hold figures, which are not guarded.
    """
    writer = csv.writer(file, quoting=csv.QUOTE_ALL, lineterminator="\r\n")
    writer.writerow(headings)
    for row in rows:
        writer.writerow([cell if place in figures else guarded(cell) for place, cell in enumerate(row)])
