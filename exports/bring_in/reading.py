"""Reading a keeper's file: xlsx by openpyxl, ods by calamine, csv by Python itself; formulas by their stored results.

A workbook is looked at as a zip first (`exports.zips`), and XML is parsed with defusedxml. Values come as they are
stored: nothing is guessed here, and what has no usable value says why.
"""

from __future__ import annotations

import csv
import datetime as dt
import hashlib
import io
import math
import re
import zipfile
import zlib
from collections.abc import Callable, Iterable, Iterator
from itertools import chain, repeat
from pathlib import Path
from typing import Any

from exports.bring_in.cells import Book, Cell, Fault, FaultyCell, Sheet, is_empty
from exports.spreadsheet_csv import unguarded
from exports.zips import WORKBOOK, open_zip, refuse_document_types
from exports.zips import content as part_of
from ledger.errors import BadInput

Progress = Callable[[int], None]
"""Told how many rows have been read."""

MOST_ROWS = 200_000
MOST_COLUMNS = 100
LONGEST_CELL = 10_000
_LARGEST_TEXT = 50_000_000
_DELIMITERS = (",", ";", "\t")
_FORMULA = re.compile(rb"<(?:\w+:)?f[\s>/]")
_MERGE = re.compile(rb'mergeCell\s+ref="([A-Z]{1,3})(\d{1,7}):([A-Z]{1,3})(\d{1,7})"')
_CHUNK = 1 << 20
_DAMAGED = (KeyError, ValueError, TypeError, IndexError, AttributeError, SyntaxError, OSError, EOFError, zlib.error)
"""What openpyxl raises of a damaged workbook, besides its own (an XML ParseError is a SyntaxError)."""
_REPORT_EVERY = 1_000


def read_file(path: Path, progress: Progress = lambda rows: None) -> Book:
    """Read a sheet file.

    Args:
        path: a .xlsx, .ods or .csv file.
        progress: told now and then how many rows have been read.

    Raises:
        BadInput: it cannot be read, or holds more than such a file needs.
    """
    readers = {".xlsx": _xlsx, ".xlsm": _xlsx, ".ods": _ods, ".csv": _csv, ".tsv": _csv, ".txt": _csv}
    reader = readers.get(path.suffix.lower())
    if reader is None:
        raise BadInput(f"{path.name or path} is no sheet this program reads; save it as .xlsx, .ods or .csv.", "file")
    try:
        content = path.read_bytes() if path.stat().st_size <= _LARGEST_TEXT else None
    except OSError as error:
        raise BadInput(f"{path} cannot be read ({error.strerror}); check the path.", "file") from error
    if content is None:
        raise BadInput(f"{path.name} is larger than {_LARGEST_TEXT // 1_000_000} MB; save it in parts.", "file")
    caution = _read_otherwise(path, content) if reader is _csv else ""
    return Book(path.name, hashlib.sha256(content).hexdigest(), tuple(reader(path, content, progress)), caution)


def _sheet(name: str, rows: Iterable[tuple[Cell, ...]], progress: Progress, *, delimited: bool = False) -> Sheet:
    """Rows with their numbers, without the empty ones and the empty ends."""
    kept: list[tuple[int, tuple[Cell, ...]]] = []
    widths: dict[int, int] = {}
    for number, row in enumerate(rows, start=1):
        if number % _REPORT_EVERY == 0:
            progress(number)
        last = width = len(row)
        while last and is_empty(row[last - 1]):
            last -= 1
        if not last:
            # A formatted cell far below everything else must not keep the program reading for ever.
            if number > MOST_ROWS * 5:
                break
            continue
        if last > MOST_COLUMNS:
            raise BadInput(f"Sheet {name}, row {number} has {last} columns; {MOST_COLUMNS} is the most.", "file")
        kept.append((number, row[:last] if last < width else row))
        if delimited:
            widths[number] = width
        if len(kept) > MOST_ROWS:
            raise BadInput(f"Sheet {name} has more than {MOST_ROWS:,} rows; bring it in in parts.", "file")
    blank = kept[-1][0] - kept[0][0] + 1 - len(kept) if kept else 0
    return Sheet(name, kept, blank, widths)


# --- xlsx -----------------------------------------------------------------------------------------------------------


def _xlsx(path: Path, content: bytes, progress: Progress) -> Iterator[Sheet]:
    import openpyxl
    from openpyxl.utils.exceptions import InvalidFileException

    if not openpyxl.DEFUSEDXML:
        raise RuntimeError("defusedxml is missing: a hostile file could make the XML parser expand entities")
    with open_zip(path, WORKBOOK) as file:
        refuse_document_types(file)
        try:
            values = openpyxl.load_workbook(io.BytesIO(content), read_only=True, data_only=True)
            formulas: Any = None
            for sheet in values.worksheets:
                has_formulas, merged = _looked_over(file, sheet._worksheet_path)
                # A cell far away makes a sheet look large: only rows that are stored are read.
                sheet.reset_dimensions()
                others: Iterable[Any] = repeat(None)
                if has_formulas:
                    formulas = formulas or openpyxl.load_workbook(io.BytesIO(content), read_only=True)
                    formulas[sheet.title].reset_dimensions()
                    others = formulas[sheet.title].iter_rows()
                plain = sheet.iter_rows(values_only=not has_formulas)
                rows = (
                    _judged(number, row, other, merged, has_formulas)
                    for number, (row, other) in enumerate(zip(plain, others, strict=False), start=1)
                )
                yield _sheet(sheet.title, rows, progress)
        except BadInput:
            raise
        except (InvalidFileException, zipfile.BadZipFile, *_DAMAGED) as error:
            raise BadInput(f"{path.name} is damaged, or no workbook; open it and save it anew.", "file") from error


def _judged(
    number: int, row: tuple[Any, ...], formulas: tuple[Any, ...] | None, merged: dict[int, set[int]], by_cell: bool
) -> tuple[Cell, ...]:
    """One row's values, with those that are none said to be so."""
    cells = list(row) if not by_cell else [_value_of(cell) for cell in row]
    if formulas is not None:
        for place, formula in enumerate(formulas):
            if formula.data_type == "f" and place < len(cells) and cells[place] is None:
                cells[place] = FaultyCell(Fault.NOT_RECKONED, str(formula.value)[:200])
    for place in merged.get(number, ()):
        if place < len(cells) and cells[place] is None:
            cells[place] = FaultyCell(Fault.MERGED, "")
    return tuple(_tamed(cell) for cell in cells)


def _value_of(cell: Any) -> Cell:
    if cell.data_type == "e":
        return FaultyCell(Fault.ERROR, str(cell.value))
    value: Cell = cell.value
    return value


_ERRORS = frozenset({"#NULL!", "#DIV/0!", "#VALUE!", "#REF!", "#NAME?", "#NUM!", "#N/A"})
_TOLD_APART = frozenset("#'")
"""What an error, or a text that was guarded, begins with."""


def _is_plain(row: list[str]) -> bool:
    """Whether no cell of a delimited file needs a second look; few do."""
    whole = "".join(row)
    return len(whole) <= LONGEST_CELL and _TOLD_APART.isdisjoint(whole)


def _text(cell: str) -> Cell:
    """A cell of a delimited file."""
    return cell if cell[:1] not in _TOLD_APART and len(cell) <= LONGEST_CELL else _tamed(unguarded(cell))


def _tamed(cell: Any) -> Cell:
    if isinstance(cell, str):
        if cell in _ERRORS:
            return FaultyCell(Fault.ERROR, cell)
        if len(cell) > LONGEST_CELL:
            raise BadInput(f"A cell holds {len(cell):,} characters; {LONGEST_CELL:,} is the most.", "file")
        return cell
    if isinstance(cell, float) and not math.isfinite(cell):
        return FaultyCell(Fault.ERROR, str(cell))
    if cell is None or isinstance(cell, FaultyCell | bool | int | float | dt.date | dt.time):
        return cell
    return str(cell)


def _looked_over(file: zipfile.ZipFile, path: str) -> tuple[bool, dict[int, set[int]]]:
    """Whether a sheet has formulas, and which places of which rows are covered by a merged cell."""
    has_formulas = False
    merged: dict[int, set[int]] = {}
    cells = 0
    tail = b""
    with file.open(path.lstrip("/")) as part:
        while chunk := part.read(_CHUNK):
            both = tail + chunk
            has_formulas = has_formulas or _FORMULA.search(both) is not None
            for left, top, right, bottom in _MERGE.findall(both):
                first, last = _place(left), _place(right)
                rows = range(int(top), min(int(bottom), MOST_ROWS) + 1)
                cells += len(rows) * (last - first + 1)
                if cells > MOST_ROWS * 5:
                    raise BadInput("The file merges more cells than a sheet needs; it is not read.", "file")
                for number in rows:
                    merged.setdefault(number, set()).update(range(first, last + 1))
            tail = both[-80:]
    return has_formulas, merged


def _place(letters: bytes) -> int:
    place = 0
    for letter in letters:
        place = place * 26 + letter - 64
    return place - 1


# --- ods ------------------------------------------------------------------------------------------------------------


def _ods(path: Path, content: bytes, progress: Progress) -> Iterator[Sheet]:
    from python_calamine import CalamineError, CalamineWorkbook

    with open_zip(path, WORKBOOK) as file:
        refuse_document_types(file)
        if "content.xml" in file.namelist():
            _refuse_repetition(file)
    try:
        book = CalamineWorkbook.from_filelike(io.BytesIO(content))
        for name in book.sheet_names:
            sheet = book.get_sheet_by_name(name)
            above: Iterable[tuple[Cell, ...]] = repeat((), sheet.start[0]) if sheet.start else ()
            rows = (_of_ods(row, sheet.start) for row in sheet.iter_rows())
            yield _sheet(name, chain(above, rows), progress)
    except CalamineError as error:
        raise BadInput(f"{path.name} is damaged, or no sheet; open it and save it anew.", "file") from error


_TABLE = "{urn:oasis:names:tc:opendocument:xmlns:table:1.0}"
_OFFICE = "{urn:oasis:names:tc:opendocument:xmlns:office:1.0}"
_MOST_CELLS = MOST_ROWS * 5


def _refuse_repetition(file: zipfile.ZipFile) -> None:
    """A row of a few bytes may stand for a million filled cells; only empty ones are repeated like that by programs."""
    from defusedxml.ElementTree import ParseError, iterparse

    filled = in_row = 0
    try:
        for _, element in iterparse(io.BytesIO(part_of(file, "content.xml")), events=("end",)):
            if element.tag in (f"{_TABLE}table-cell", f"{_TABLE}covered-table-cell"):
                # A number needs no text in its cell to be one.
                is_filled = len(element) or any(name.startswith(_OFFICE) for name in element.attrib)
                in_row += _repeated(element, "columns") if is_filled else 0
                element.clear()
            elif element.tag == f"{_TABLE}table-row":
                filled += in_row * _repeated(element, "rows")
                in_row = 0
                element.clear()
            if filled + in_row > _MOST_CELLS:
                raise BadInput("The file repeats filled cells more often than a sheet needs; it is not read.", "file")
    except (ParseError, ValueError) as error:
        raise BadInput("The file is damaged, or no sheet; open it and save it anew.", "file") from error


def _repeated(element: Any, what: str) -> int:
    return max(1, int(element.get(f"{_TABLE}number-{what}-repeated", "1")))


def _of_ods(row: list[Any], start: tuple[int, int] | None) -> tuple[Cell, ...]:
    before: tuple[Cell, ...] = (None,) * (start[1] if start else 0)
    # Calamine gives an error and a formula without a result as an empty text: both say nothing.
    return before + tuple(None if cell == "" else _tamed(cell) for cell in row)


# --- csv ------------------------------------------------------------------------------------------------------------


_OLDER_SIGNS = frozenset("£€§°½¼¾²³·×–—‘’“”…«»ßµ\u00a0")
"""Signs beyond ASCII, besides letters, that a list of animals has."""


def _older_text(content: bytes) -> str | None:
    """A text as older spreadsheet programs save it (Windows-1252); None: it would hold signs that no sheet has.

    The same bytes mean other things in other encodings; those of DOS, where a pound sign is another byte, hold signs
    that are neither letters nor of a list.
    """
    try:
        text = content.decode("cp1252")
    except UnicodeDecodeError:
        return None
    beyond = {sign for sign in text if not sign.isascii()}
    return text if all(sign.isalpha() or sign in _OLDER_SIGNS for sign in beyond) else None


def _read_otherwise(path: Path, content: bytes) -> str:
    """What to say of a text that is no UTF-8 and was read all the same; empty: there is nothing to say."""
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        return ""
    try:
        content.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = _older_text(content) or ""
        words = dict.fromkeys(word for word in re.split(r"[\s;,\t\"]+", text) if not word.isascii())
        some = ", ".join(list(words)[:3])
        return (
            f"{path.name} is no UTF-8 and was read as text of Windows (1252); see that it is read rightly, "
            f"as in: {some}."
        )
    return ""


def _csv(path: Path, content: bytes, progress: Progress) -> Iterator[Sheet]:
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        text = content.decode("utf-16", "replace")
    else:
        try:
            text = content.decode("utf-8-sig")
        except UnicodeDecodeError:
            older = _older_text(content)
            if older is None:
                raise BadInput(
                    f"{path.name} is not text in UTF-8; save it so (CSV UTF-8) and try again.", "file"
                ) from None
            text = older
    if "\0" in text:
        raise BadInput(f"{path.name} is no text; save the sheet as CSV in UTF-8.", "file")
    lines = text.splitlines()[:20]
    delimiter = max(_DELIMITERS, key=lambda sign: sum(line.count(sign) for line in lines))
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    rows: Iterator[tuple[Cell, ...]] = (tuple(row) if _is_plain(row) else tuple(map(_text, row)) for row in reader)
    try:
        yield _sheet(path.stem, rows, progress, delimited=True)
    except csv.Error as error:
        raise BadInput(f"Line {reader.line_num} of {path.name} cannot be read; save it anew.", "file") from error
