"""Bringing in each kind of sheet, beside the floor: reading the same file alone, and a plain insert of all it wrote.

`python tests/speed/bench_bring_in_kinds.py [rows] [kind ...]`. The floor inserts, with triggers and checks, every
row of every table that the ledger has more afterwards; it steps no numbers and counts no animals. Each sale and each
lot is checked against what those before it left, so that is kept in memory. Processor time. Wanted: at most 2.5 times.
"""

from __future__ import annotations

import csv
import datetime as dt
import shutil
import sqlite3
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path

from exports.bring_in.bring import Wishes, bring_in
from exports.bring_in.kinds import KINDS
from ledger.ledger import Ledger
from ledger.records.tables import metadata
from ledger.stock.commands import AddLot, AddSpecies, Arrival
from tests.speed.bench_bring_in import NOW, read_alone, timed

FIRST = dt.date(2024, 1, 1)
LOTS = 40
Rows = Iterator[list[object]]


def sales(count: int) -> Rows:
    """Invented sales, each with a number of its own, some a day and lot."""
    yield ["Date", "Lot", "Count", "Price", "Stage", "Customer", "Own number"]
    for n in range(count):
        day = FIRST + dt.timedelta(days=1 + n * 500 // count)
        yield [day, f"P{n % LOTS:02}", 1, f"{4 + n % 5}.50", "L3", f"buyer {n % 97}", f"A{n:06}"]


def costs(count: int) -> Rows:
    """Invented spending."""
    yield ["Date", "Category", "Amount", "Supplier", "What", "Own number"]
    for n in range(count):
        day = FIRST + dt.timedelta(days=n % 500)
        yield [day, ("heat", "feed")[n % 2], f"{1 + n % 977 / 100:.2f}", f"Supplier {n % 40}", f"bag {n}", f"B{n:06}"]


def stock(count: int) -> Rows:
    """Lots of ten tubs each."""
    yield ["Lot", "Species", "Started", "Stage", "Count", "Tub", "Origin", "Supplier"]
    for n in range(count):
        yield [f"N{n // 10:05}", "PACH", FIRST, "L3", 3, f"T{n % 10}", "CB", "A breeder"]


def customers(count: int) -> Rows:
    """Invented people."""
    yield ["Name", "Contact", "Kind", "Note"]
    for n in range(count):
        yield [f"Buyer {n}", f"box {n}", ("retail", "trade")[n % 2], ""]


def prices(count: int) -> Rows:
    """Prices that change day by day."""
    yield ["Species", "Stage", "Price", "From", "Buyer"]
    for n in range(count):
        day = FIRST + dt.timedelta(days=n // 6 % 500)
        yield ["PACH", ("L2", "L3", "adult")[n % 3], f"{1 + n % 90}.50", day, ("retail", "trade")[n // 3 % 2]]


SHEETS: dict[str, Callable[[int], Rows]] = {one.__name__: one for one in (sales, costs, stock, customers, prices)}


def plain(before: Path, after: Path) -> int:
    """Insert into one ledger whatever another has more, as raw as can be; answers how many rows."""
    count = 0
    with closing(sqlite3.connect(after)) as new, closing(sqlite3.connect(before, isolation_level=None)) as raw:
        more = []
        for table in metadata.sorted_tables:
            (last,) = raw.execute(f"SELECT coalesce(max(rowid), 0) FROM {table.name}").fetchone()
            more.append((table.name, new.execute(f"SELECT * FROM {table.name} WHERE rowid > ?", (last,)).fetchall()))
        raw.execute("PRAGMA foreign_keys=ON")
        raw.execute("PRAGMA recursive_triggers=ON")
        raw.execute("BEGIN IMMEDIATE")
        for name, rows in more:
            # Numbers begin at nought and step by one, which is no insert.
            if rows and name not in ("counter", "ledger_info"):
                raw.executemany(f"INSERT INTO {name} VALUES ({', '.join('?' * len(rows[0]))})", rows)
                count += len(rows)
        raw.execute("COMMIT")
    return count


def main(count: int, kinds: list[str]) -> None:
    """Print the figures."""
    for kind in kinds:
        with tempfile.TemporaryDirectory() as name:
            folder = Path(name)
            path, target, copy = folder / f"{kind}.csv", folder / "loft.rearledger", folder / "floor.rearledger"
            with path.open("w", encoding="utf-8", newline="") as file:
                csv.writer(file).writerows(SHEETS[kind](count))
            with Ledger.create(str(target), currency="EUR", name="Bench", clock=lambda: NOW) as ledger:
                ledger.do(AddSpecies("PACH", "pachnoda-marginata"))
                for lot in range(LOTS if kind == "sales" else 0):
                    ledger.do(AddLot(f"P{lot:02}", "PACH", FIRST, (Arrival("hatched", "L3", unsexed=count),)))
            shutil.copyfile(target, copy)
            told: list[str] = []
            with Ledger.open(str(target), clock=lambda: NOW) as ledger:

                def whole(ledger: Ledger = ledger, path: Path = path, told: list[str] = told, kind: str = kind) -> None:
                    bring_in(ledger, KINDS[kind], path, Wishes(), lambda what, *_: told.append(what))

                clock, worked = timed(whole)
            written: list[int] = []
            floor = timed(lambda path=path: read_alone(path))[1]
            floor += timed(lambda copy=copy, target=target, written=written: written.append(plain(copy, target)))[1]
            print(f"{kind}: {count:,} rows in {clock:.1f} s, of the processor {worked:.1f} s")
            print(f"   {worked / count * 1e6:.0f} us a row, progress told {len(told)} times")
            print(f"   reader and {written[0]:,} rows raw {floor:.2f} s: {worked / floor:.1f} times the floor")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 10_000, sys.argv[2:] or list(SHEETS))
