"""How long writing a year's workbook takes, beside XlsxWriter writing the same cells in the same run.

Run: python tests/speed/bench_workbook.py [sales]. Prints seconds of the processor of both and their ratio (wanted: at
most 1.5), and apart from it how long the year's books take to read. The floor plays back, with nothing else, every call
the workbook made of XlsxWriter. A benchmark, not a test: it never fails a build.
"""

from __future__ import annotations

import datetime as dt
import io
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from xlsxwriter import Workbook
from xlsxwriter.worksheet import Worksheet

from exports.workbook.about import Facts
from exports.workbook.write import content
from ledger.books.checks import checks_of
from ledger.books.year import YearBooks, year_books
from ledger.ledger import Ledger
from ledger.money import Currency
from ledger.selling.commands import LineOf, Paid, Sell
from ledger.stock.commands import AddLot, AddSpecies, Arrival

FIRST = dt.date(2025, 1, 1)
NOW = dt.datetime(2026, 1, 2, 12)
FACTS = Facts("Bench", "2026-01-02T12:00", 1, "0", "0", "gross", "offspring")
EUR = Currency("EUR", 2)
CALLS = (
    *("write_string", "write_number", "write_formula", "write_blank", "write_datetime", "write_url"),
    *("add_table", "set_row", "set_column", "freeze_panes", "set_landscape", "set_paper", "fit_to_pages"),
    *("repeat_rows", "print_area", "set_footer"),
)
"""What a sheet is asked for."""


def a_year(path: Path, sales: int) -> YearBooks:
    """A year with so many sales, each with its movement and payment."""
    with Ledger.create(str(path), currency="EUR", name="Bench", clock=lambda: NOW) as ledger:
        ledger.do(AddSpecies("PACH", "pachnoda-marginata"))
        for lot in range(10):
            ledger.do(AddLot(f"P{lot}", "PACH", FIRST, (Arrival("hatched", "L3", unsexed=sales),)))
        acts = []
        for number in range(sales):
            line = LineOf(f"P{number % 10}", 1, 450, stage="L3")
            on = FIRST + dt.timedelta(days=number * 364 // sales)
            acts.append(Sell((line,), on, f"buyer {number % 97}", paid=(Paid(450),)))
        ledger.do_all([(act.customer, lambda _conn, act=act: act) for act in acts], content="a year")
        start = time.process_time()
        books = ledger.ask(year_books, 2025)
        print(f"reading the books of {sales} sales: {time.process_time() - start:.2f} s")
        return books


def noted(books: YearBooks) -> list[tuple[str, str, tuple[Any, ...], dict[str, Any]]]:
    """Every call the workbook makes of its sheets: (sheet, what, arguments)."""
    calls: list[tuple[str, str, tuple[Any, ...], dict[str, Any]]] = []
    plain = {name: getattr(Worksheet, name) for name in CALLS}
    inside = [0]

    def noting(name: str, call: Callable[..., Any]) -> Callable[..., Any]:
        def noted_call(sheet: Worksheet, *args: Any, **kwargs: Any) -> Any:
            if not inside[0]:
                calls.append((sheet.get_name(), name, args, kwargs))
            inside[0] += 1
            try:
                return call(sheet, *args, **kwargs)
            finally:
                inside[0] -= 1

        return noted_call

    for name, call in plain.items():
        setattr(Worksheet, name, noting(name, call))
    try:
        content(books, checks_of(books), FACTS, EUR)
    finally:
        for name, call in plain.items():
            setattr(Worksheet, name, call)
    return calls


def floor(calls: list[tuple[str, str, tuple[Any, ...], dict[str, Any]]]) -> Callable[[], bytes]:
    """The same cells by XlsxWriter alone, ready to be written."""
    out = io.BytesIO()
    book = Workbook(out, {"in_memory": True})
    sheets: dict[str, Worksheet] = {}
    formats: dict[int, Any] = {}

    def own(value: Any) -> Any:
        if not hasattr(value, "num_format"):
            return value
        if id(value) not in formats:
            made = book.add_format({"num_format": value.num_format, "text_wrap": value.text_wrap, "bold": value.bold})
            formats[id(value)] = made
        return formats[id(value)]

    ready = []
    for sheet, name, args, kwargs in calls:
        if sheet not in sheets:
            sheets[sheet] = book.add_worksheet(sheet)
        if name == "add_table":
            options = {key: value for key, value in args[-1].items() if key != "columns"}
            columns = [{key: own(value) for key, value in one.items()} for one in args[-1]["columns"]]
            args = (*args[:-1], {**options, "columns": columns})
        ready.append((getattr(sheets[sheet], name), tuple(own(one) for one in args), kwargs))

    def write() -> bytes:
        for call, args, kwargs in ready:
            call(*args, **kwargs)
        book.close()
        return out.getvalue()

    return write


def main(sales: int) -> None:
    """Measure both and print them."""
    with tempfile.TemporaryDirectory() as folder:
        books = a_year(Path(folder) / "bench.ledger", sales)
    found = checks_of(books)
    calls = noted(books)
    ours, theirs = [], []
    for _ in range(3):
        start = time.process_time()
        made = content(books, found, FACTS, EUR)
        ours.append(time.process_time() - start)
        write = floor(calls)
        start = time.process_time()
        write()
        theirs.append(time.process_time() - start)
    cells = sum(1 for _, name, _, _ in calls if name.startswith("write"))
    print(f"{cells:,} cells, {len(made):,} bytes: ours {min(ours):.2f} s, XlsxWriter alone {min(theirs):.2f} s")
    print(f"ratio {min(ours) / min(theirs):.2f} (wanted: at most 1.5)")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 2000)
