"""One sheet of the workbook: a title, a sentence, whether all adds up, and one table from row 5 on.

Owns the layout that all sheets share, and the one way text is written: as text, whatever it begins with. Every
formula is written with its value, so that a preview or a phone shows figures too. Layout after the FAST standard
(fast-standard.org) and the Government Analysis Function's guidance on accessible spreadsheets.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from functools import lru_cache
from typing import Any

from xlsxwriter import Workbook
from xlsxwriter.format import Format
from xlsxwriter.utility import xl_rowcol_to_cell
from xlsxwriter.worksheet import Worksheet

from ledger.money import Currency

HEADER_ROW = 4
FIRST_ROW = 5
"""Of the table, counted from 0."""
_OWN = re.compile(r"\[@([^\]]+)\]")
"""A column of the same row, written short."""
_LINE, _TALLEST = 15.0, 405.0
"""Points of one line, and of the highest row there may be (409)."""
_TOTAL = "Total"
_RISKY = ("=", "+", "-", "@", "\t", "\r", "\n")


@dataclass(frozen=True, slots=True)
class Live:
    """A formula with the value it comes to."""

    formula: str
    value: float | int | str
    kind: str = ""
    """How it is shown, if not as its column is."""


@dataclass(frozen=True, slots=True)
class Shown:
    """A value shown otherwise than its column is."""

    value: int | Decimal | dt.date
    kind: str


Cell = str | int | float | Decimal | dt.date | Live | Shown | None


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a table."""

    name: str
    kind: str
    """text, wide (wrapped text), whole, tenths, number, money, share or date."""
    width: int
    formula: str = ""
    """The same in every row; `{digits}` stands for the currency's decimals, `[@Name]` for a column of the row."""
    total: bool = False
    empty: int | str = 0
    """What the formula comes to in the blank row of a table without rows."""


@dataclass(frozen=True, slots=True)
class Table:
    """A sheet with its table."""

    name: str
    """Of the sheet and of the table: stable English, since formulas use it."""
    title: str
    sentence: str
    columns: tuple[Column, ...]
    rows: Sequence[Sequence[Cell]]
    landscape: bool = True


@dataclass(slots=True)
class Styles:
    """The formats of a workbook, each made once."""

    book: Workbook
    currency: Currency
    plain: bool
    """Values instead of formulas, and neither frozen panes nor filters."""
    _made: dict[tuple[str, bool, bool], Format] = field(default_factory=dict)

    def of(self, kind: str, *, quoted: bool = False, strong: bool = False) -> Format:
        """The format of a kind of cell."""
        key = (kind, quoted, strong)
        if key not in self._made:
            self._made[key] = self.book.add_format(
                {
                    "num_format": self._pattern(kind),
                    "quote_prefix": quoted,
                    "bold": strong,
                    "valign": "top",
                    "text_wrap": kind == "wide",
                    **_side(kind),
                }
            )
        return self._made[key]

    def _pattern(self, kind: str) -> str:
        decimals = f".{'0' * self.currency.digits}" if self.currency.digits else ""
        return {
            "money": f"#,##0{decimals}",
            "whole": "#,##0",
            "share": "0.0%",
            "tenths": "#,##0.0",
            "date": "yyyy-mm-dd",
        }.get(kind, "@" if kind in ("text", "wide") else "General")

    @property
    def title(self) -> Format:
        """The format of a title."""
        if ("title", False, True) not in self._made:
            self._made["title", False, True] = self.book.add_format({"bold": True, "font_size": 15})
        return self._made["title", False, True]

    @property
    def link(self) -> Format:
        """The format of a link to another sheet."""
        if ("link", False, False) not in self._made:
            look = {"font_color": "#0000ee", "underline": 1, "valign": "top", **_side("text")}
            self._made["link", False, False] = self.book.add_format(look)
        return self._made["link", False, False]

    def header(self, kind: str) -> Format:
        """The format of a column's name."""
        key = (f"header of {kind}", False, True)
        if key not in self._made:
            self._made[key] = self.book.add_format(
                {"bold": True, "text_wrap": True, "valign": "top", "bottom": 1, **_side(kind)}
            )
        return self._made[key]


def _side(kind: str) -> dict[str, Any]:
    """Figures to the right, all else to the left, a little apart from the figures before it."""
    return {"align": "right"} if kind in _FIGURES else {"align": "left", "indent": 1}


_FIGURES = frozenset({"money", "whole", "share", "tenths", "plain"})


@dataclass(frozen=True, slots=True)
class Overall:
    """What the cell above every table says."""

    formula: str
    value: str


CHECKED = "=Checks!$B$3"


def add_table(styles: Styles, table: Table, overall: Overall) -> Worksheet:
    """Write a sheet with its table."""
    sheet = styles.book.add_worksheet(table.name)
    _head(sheet, styles, table, overall)
    count = max(1, len(table.rows))
    totals = any(column.total for column in table.columns)
    last = HEADER_ROW + count + totals
    live_totals = totals and not styles.plain
    sheet.add_table(
        HEADER_ROW,
        0,
        HEADER_ROW + count + live_totals,
        len(table.columns) - 1,
        {
            "name": table.name,
            "title": table.title,
            "description": table.sentence,
            "columns": [_described(styles, table, column, place) for place, column in enumerate(table.columns)],
            "total_row": live_totals,
            "autofilter": not styles.plain,
            "style": "Table Style Light 1",
        },
    )
    formulas = [_formula(styles, table, column) if column.formula else "" for column in table.columns]
    for row, cells in enumerate(table.rows, start=FIRST_ROW):
        for place, (column, cell) in enumerate(zip(table.columns, cells, strict=True)):
            if formulas[place] and not isinstance(cell, Live) and cell is not None:
                cell = Live(formulas[place], _number(cell))
            _write(sheet, styles, row, place, column, cell)
        sheet.set_row(row, _height(table.columns, cells))
    sheet.set_row(HEADER_ROW, _height(table.columns, [column.name for column in table.columns], headings=True))
    for place, column in enumerate(table.columns):
        sheet.set_column(place, place, column.width if place else max(column.width, 10))
        if not table.rows:
            blank = Live(formulas[place], column.empty) if column.formula else None
            _write(sheet, styles, FIRST_ROW, place, column, blank)
        if column.total:
            total = float(sum((_plain(cells[place]) for cells in table.rows), Decimal(0)))
            formula = f"=SUBTOTAL(109,{table.name}[{column.name}])"
            live(sheet, styles, last, place, Live(formula, total), styles.of(column.kind, strong=True))
        elif place == 0 and totals and styles.plain:
            sheet.write_string(last, 0, _TOTAL, styles.of("text", strong=True))
    _page(sheet, styles, table, last)
    return sheet


def _height(columns: Sequence[Column], cells: Sequence[Cell], *, headings: bool = False) -> float:
    """Height of a row in points, by how often its texts wrap: not every program works it out when it opens a file."""
    most = 1
    for column, cell in zip(columns, cells, strict=True):
        if isinstance(cell, str) and (headings or column.kind == "wide"):
            # Beside a heading there is a button of the filter; a text stands a little in.
            room = max(4.0, column.width - 2 if headings else column.width - 1)
            most = max(most, _lines(cell, room, bold=headings))
    return min(_LINE * most, _TALLEST)


@lru_cache(10_000)
def _lines(cell: str, room: float, *, bold: bool = False) -> int:
    """How many lines a text takes in a column as wide as so many figures; the same texts stand in many rows."""
    return sum(_broken(line, room / _BOLD if bold else room) for line in cell.split("\n"))


def _broken(line: str, room: float) -> int:
    """How many lines one line becomes, broken between words, and within one that has no room on a line of its own."""
    lines, taken = 1, 0.0
    for word in line.split(" "):
        wide = sum(_WIDTHS.get(letter, 1.0) for letter in word)
        if taken and taken + _WIDTHS[" "] + wide > room:
            lines, taken = lines + 1, wide
        else:
            taken += wide + (_WIDTHS[" "] if taken else 0)
        while taken > room:
            lines, taken = lines + 1, taken - room
    return lines


_WIDTHS = {
    **dict.fromkeys(" .,:;'|!ijl", 0.5),
    **dict.fromkeys('ft()[]/-r"I', 0.7),
    **dict.fromkeys("ABEFKPSTVXYZ&", 1.2),
    **dict.fromkeys("sckvxyz", 0.93),
    **dict.fromkeys("CDHNRUGOQw#+<=>^~\u2013", 1.35),
    **dict.fromkeys("mMW%@\u2014", 1.7),
}
"""Width of letters beside that of a figure, by which columns are measured; measured in Liberation Sans and DejaVu Sans,
which are wider than what spreadsheets use, and rounded up."""
_BOLD = 1.1


def text(sheet: Worksheet, styles: Styles, row: int, column: int, value: str, kind: str = "text") -> None:
    """Write text as text, never as a formula, a link or a number.

    Raises:
        ValueError: it is longer than a cell can hold.
    """
    quoted = value.startswith(_RISKY)
    if sheet.write_string(row, column, value, styles.of(kind, quoted=quoted)) != 0:
        raise ValueError(f"a text of {len(value)} characters does not fit in a cell of {sheet.get_name()}")


def live(sheet: Worksheet, styles: Styles, row: int, column: int, cell: Live, style: Format) -> None:
    """Write a formula with the value it comes to, or that value alone in a plain workbook."""
    if not styles.plain:
        sheet.write_formula(row, column, cell.formula, style, cell.value)
    elif isinstance(cell.value, str):
        sheet.write_string(row, column, cell.value, style)
    else:
        sheet.write_number(row, column, cell.value, style)


def money(minor: int, currency: Currency) -> Decimal:
    """Minor units as the amount a cell shows."""
    return Decimal(minor).scaleb(-currency.digits)


def cell_name(row: int, column: int) -> str:
    """A cell as formulas name it, from positions counted from 0."""
    return str(xl_rowcol_to_cell(row, column))


def _formula(styles: Styles, table: Table, column: Column) -> str:
    formula = column.formula.replace("{digits}", str(styles.currency.digits))
    return _OWN.sub(rf"{table.name}[[#This Row],[\1]]", formula)


def _described(styles: Styles, table: Table, column: Column, place: int) -> dict[str, Any]:
    described: dict[str, Any] = {"header": column.name, "header_format": styles.header(column.kind)}
    if styles.plain:
        return described
    if column.formula:
        described["formula"] = _formula(styles, table, column)
    if column.total:
        described["total_function"] = "sum"
    elif place == 0 and any(one.total for one in table.columns):
        described["total_string"] = _TOTAL
    return described


def _plain(cell: Cell) -> Decimal:
    value = cell.value if isinstance(cell, (Live, Shown)) else cell
    if value is None or isinstance(value, (str, dt.date)):
        return Decimal(0)
    return Decimal(str(value))


def _number(cell: Cell) -> float | int | str:
    if isinstance(cell, Decimal):
        return float(cell)
    if isinstance(cell, (int, float, str)):
        return cell
    raise TypeError(f"a formula cannot come to {cell!r}")


def _write(sheet: Worksheet, styles: Styles, row: int, place: int, column: Column, cell: Cell) -> None:
    kind = column.kind
    if isinstance(cell, Shown):
        kind, cell = cell.kind, cell.value
    if cell is None:
        sheet.write_blank(row, place, None, styles.of(column.kind))
    elif isinstance(cell, Live):
        live(sheet, styles, row, place, cell, styles.of(cell.kind or kind))
    elif isinstance(cell, str):
        text(sheet, styles, row, place, cell, "wide" if column.kind == "wide" else "text")
    elif isinstance(cell, dt.date):
        sheet.write_datetime(row, place, dt.datetime.combine(cell, dt.time()), styles.of("date"))
    else:
        sheet.write_number(row, place, float(cell), styles.of(kind))


def _head(sheet: Worksheet, styles: Styles, table: Table, overall: Overall) -> None:
    sheet.write_string(0, 0, table.title, styles.title)
    sheet.write_string(1, 0, table.sentence)
    sheet.write_string(2, 0, "Checks:", styles.of("text", strong=True))
    live(sheet, styles, 2, 1, Live(overall.formula, overall.value), styles.of("text", strong=True))


def _page(sheet: Worksheet, styles: Styles, table: Table, last: int) -> None:
    if not styles.plain:
        sheet.freeze_panes(FIRST_ROW, 1)
    if table.landscape:
        sheet.set_landscape()
    sheet.set_paper(9)
    sheet.fit_to_pages(1, 0)
    sheet.repeat_rows(HEADER_ROW)
    sheet.print_area(0, 0, last, len(table.columns) - 1)
    sheet.set_footer("&L&A&R&P / &N")
