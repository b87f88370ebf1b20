"""Bringing in 100,000 rows of spending, beside the floor: reading the same file alone, and a plain insert of its rows.

`python tests/speed/bench_bring_in.py [rows]`. Wanted: at most 2.5 times reader and plain insert together.
"""

from __future__ import annotations

import csv
import datetime as dt
import os
import resource
import sqlite3
import sys
import tempfile
import time
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import openpyxl
import xlsxwriter

from exports.bring_in.bring import Wishes, bring_in, look
from exports.bring_in.kinds import KINDS
from ledger.ledger import Ledger
from ledger.records.engines import file_engine
from ledger.records.tables import cost, cost_change

NOW = dt.datetime(2025, 6, 4, 10, 0)
HEADINGS = ("Date", "Category", "Amount", "Supplier", "What", "Own number")
FIRST = dt.date(2024, 1, 1)


def rows(count: int) -> list[tuple[dt.date, str, float, str, str, str]]:
    """Invented spending, no two rows alike."""
    return [
        (
            FIRST + dt.timedelta(days=n % 500),
            ("heat", "feed")[n % 2],
            round(1 + n % 977 / 100, 2),
            f"Supplier {n % 40}",
            f"bag {n}",
            f"B{n:06}",
        )
        for n in range(count)
    ]


def write_xlsx(path: Path, table: list[tuple[dt.date, str, float, str, str, str]]) -> None:
    """The table as a workbook."""
    with xlsxwriter.Workbook(str(path), {"constant_memory": True}) as book:
        day = book.add_format({"num_format": "yyyy-mm-dd"})
        sheet = book.add_worksheet("Costs")
        sheet.write_row(0, 0, HEADINGS)
        for number, (on, *others) in enumerate(table, start=1):
            sheet.write_datetime(number, 0, dt.datetime.combine(on, dt.time()), day)
            sheet.write_row(number, 1, others)


def write_csv(path: Path, table: list[tuple[dt.date, str, float, str, str, str]]) -> None:
    """The table as CSV."""
    with path.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows([HEADINGS, *table])


def read_alone(path: Path) -> int:
    """The reader alone, every cell looked at."""
    if path.suffix == ".csv":
        with path.open(encoding="utf-8", newline="") as file:
            return sum(len(row) for row in csv.reader(file))
    book = openpyxl.load_workbook(path, read_only=True, data_only=True)
    return sum(len(row) for sheet in book.worksheets for row in sheet.iter_rows(values_only=True))


def insert_alone(folder: Path, table: list[tuple[dt.date, str, float, str, str, str]]) -> None:
    """The rows a ledger writes for them, a cost and its payment each, inserted plainly, with triggers and checks."""
    target = folder / "floor.rearledger"
    Ledger.create(str(target), currency="EUR", name="Floor").close()
    file_engine(target).dispose()
    with closing(sqlite3.connect(target, isolation_level=None)) as raw:
        raw.execute("PRAGMA foreign_keys=ON")
        raw.execute("PRAGMA recursive_triggers=ON")
        raw.execute("BEGIN IMMEDIATE")
        raw.execute("INSERT INTO operation VALUES (1, 't', 'k', 'd', 'r', 'b', 's')")
        names = [column.name for column in cost.columns if column.name != "id"]
        values = {
            **dict.fromkeys(names, ""),
            **dict.fromkeys(("window_to", "life_days", "sale_id", "movement_id", "reverses")),
            "net": 1,
            "tax": 0,
            "gross": 1,
            "basis": 1,
            "share": 10000,
            "kind": "overhead",
            "scope": "all",
            "residual": 0,
            "operation_id": 1,
        }
        made = []
        for on, category, amount, supplier, text, number in table:
            minor = round(amount * 100)
            said = {**values, "bought_on": str(on), "accounting_on": str(on), "window_from": str(on)}
            said |= {"category": category, "supplier": supplier, "text": text, "note": number}
            said |= {"net": minor, "gross": minor, "basis": minor}
            made.append(tuple(said[name] for name in names))
        raw.executemany(f"INSERT INTO cost ({', '.join(names)}) VALUES ({', '.join('?' * len(names))})", made)
        paid = [column.name for column in cost_change.columns if column.name != "id"]
        fixed = {"kind": "paid", "window_to": None, "note": "", "reverses": None, "operation_id": 1}
        changes = []
        for n, (on, _, amount, *_) in enumerate(table, start=1):
            said = {
                **fixed,
                "cost_id": n,
                "happened_on": str(on),
                "accounting_on": str(on),
                "amount": round(amount * 100),
            }
            changes.append(tuple(said[name] for name in paid))
        raw.executemany(f"INSERT INTO cost_change ({', '.join(paid)}) VALUES ({', '.join('?' * len(paid))})", changes)
        raw.execute("COMMIT")


def busy() -> float:
    """Seconds of processor time so far, with those of processes that were waited for."""
    return sum(os.times()[:4])


def timed(work: Callable[[], object]) -> tuple[float, float]:
    """Seconds by the clock, and of the processor."""
    clock, worked = time.perf_counter(), busy()
    work()
    return time.perf_counter() - clock, busy() - worked


def main() -> None:
    """Print the figures."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 100_000
    table = rows(count)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        write_xlsx(folder / "spending.xlsx", table)
        write_csv(folder / "spending.csv", table)
        plain = timed(lambda: insert_alone(folder, table))
        print(f"{count:,} rows; plain insert of costs and payments {plain[0]:.2f} s, of the processor {plain[1]:.2f} s")
        for path in (folder / "spending.csv", folder / "spending.xlsx"):
            reader = timed(lambda path=path: read_alone(path))
            told: list[str] = []
            target = folder / f"{path.suffix[1:]}.rearledger"
            with Ledger.create(str(target), currency="EUR", name="Bench", clock=lambda: NOW) as ledger:

                def whole(path: Path = path, told: list[str] = told, ledger: Ledger = ledger) -> None:
                    bring_in(ledger, KINDS["costs"], path, Wishes(), lambda what, *_: told.append(what))

                looked = timed(lambda path=path, ledger=ledger: look(ledger, KINDS["costs"], path, Wishes()))
                first = timed(whole)
                times = len(told)
                again = timed(whole)
            floor = (reader[0] + plain[0], reader[1] + plain[1])
            print(
                f"{path.suffix}: brought in {first[0]:.1f} s ({first[0] / count * 1e6:.0f} us a row), of the processor"
            )
            print(f"   {first[1]:.1f} s, progress told {times} times; the same file again {again[0]:.1f} s")
            print(f"   a look at it first {looked[0]:.1f} s, of the processor {looked[1]:.1f} s")
            print(f"   reader {reader[0]:.2f} s, floor {floor[0]:.2f} s, of the processor {floor[1]:.2f} s")
            print(f"   {first[0] / floor[0]:.1f} times the floor, {first[1] / floor[1]:.1f} in processor time")
    print(f"most memory {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MiB")


if __name__ == "__main__":
    main()
