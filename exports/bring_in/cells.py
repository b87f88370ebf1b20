"""What stands in one cell of somebody's sheet, before anybody says what it means."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, field
from enum import Enum


class Fault(Enum):
    """Cells that hold something but no value."""

    NOT_RECKONED = "a formula whose result was never stored; open the file in a spreadsheet program, save it, try again"
    ERROR = "an error of the spreadsheet; mend the formula"
    MERGED = "merged with the cell above or beside it; give every row its own value"


Value = str | int | float | bool | dt.date | dt.datetime | dt.time | None


@dataclass(frozen=True, slots=True)
class FaultyCell:
    """A cell without a usable value."""

    fault: Fault
    text: str


Cell = Value | FaultyCell


@dataclass(frozen=True, slots=True)
class Sheet:
    """One sheet, row by row."""

    name: str
    rows: list[tuple[int, tuple[Cell, ...]]]
    """Rows that hold something, with their numbers in the sheet, from 1."""
    blank: int
    """Rows within them that hold nothing."""
    widths: dict[int, int] = field(default_factory=dict)
    """Cells between the delimiters of each row, empty ones too; a workbook has none."""


@dataclass(frozen=True, slots=True)
class Book:
    """A file that was read."""

    name: str
    digest: str
    """SHA-256 of the file."""
    sheets: tuple[Sheet, ...]
    caution: str = ""
    """What to know of how it was read; empty: nothing."""


def is_empty(cell: Cell) -> bool:
    """Whether a cell says nothing."""
    return cell is None or (isinstance(cell, str) and not cell.strip())


def shown(cell: Cell) -> str:
    """A cell as its keeper sees it, near enough to find it again."""
    if isinstance(cell, str):
        return cell
    if cell is None:
        return ""
    if isinstance(cell, FaultyCell):
        return cell.text
    if isinstance(cell, dt.datetime):
        return cell.isoformat(" ") if cell.time() != dt.time() else cell.date().isoformat()
    if isinstance(cell, dt.date | dt.time):
        return cell.isoformat()
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, float):
        return format(cell, ".15g")
    return str(cell)


def row_shown(row: Sequence[Cell]) -> str:
    """The cells of a row that say something, in one line; its beginning where it is long."""
    return " | ".join(shown(cell) for cell in row if not is_empty(cell))[:200]


def column_letter(place: int) -> str:
    """The letter of a column: 0 is A, 26 is AA."""
    letters = ""
    place += 1
    while place:
        place, rest = divmod(place - 1, 26)
        letters = chr(65 + rest) + letters
    return letters
