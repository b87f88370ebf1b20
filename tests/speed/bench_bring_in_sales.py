"""Bringing in past sales, beside the floor: reading the same file alone, and the very rows they write, inserted raw.

`python tests/speed/bench_bring_in_sales.py [rows]`. Each sale is checked against the animals there are after the one
before it, so its reading cannot be put off as that of spending can: the figure says what that costs. Processor time.
"""

from __future__ import annotations

import csv
import datetime as dt
import shutil
import sqlite3
import sys
import tempfile
from contextlib import closing
from pathlib import Path
from typing import Any

from sqlalchemy import Engine, event

from exports.bring_in.bring import Wishes, bring_in
from exports.bring_in.kinds import KINDS
from ledger.ledger import Ledger
from ledger.stock.commands import AddLot, AddSpecies, Arrival
from tests.speed.bench_bring_in import NOW, read_alone, timed

FIRST = dt.date(2024, 1, 1)
LOTS = 40
WRITES = ("INSERT", "UPDATE", "DELETE")
MOST_REPLAYED = 20_000
"""Sales whose rows are kept to be inserted raw."""


def write_csv(path: Path, count: int) -> None:
    """Invented sales, each with a number of its own, one or two a day and lot."""
    with path.open("w", encoding="utf-8", newline="") as file:
        out = csv.writer(file)
        out.writerow(["Date", "Lot", "Count", "Price", "Stage", "Customer", "Own number"])
        for n in range(count):
            day = FIRST + dt.timedelta(days=1 + n * 500 // count)
            out.writerow([day, f"P{n % LOTS:02}", 1, f"{4 + n % 5}.50", "L3", f"buyer {n % 97}", f"A{n:06}"])


def main(count: int) -> None:
    """Print the figures."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        path, target, copy = folder / "sales.csv", folder / "loft.rearledger", folder / "floor.rearledger"
        write_csv(path, count)
        with Ledger.create(str(target), currency="EUR", name="Bench", clock=lambda: NOW) as ledger:
            ledger.do(AddSpecies("PACH", "pachnoda-marginata"))
            for lot in range(LOTS):
                ledger.do(AddLot(f"P{lot:02}", "PACH", FIRST, (Arrival("hatched", "L3", unsexed=count),)))
        shutil.copyfile(target, copy)
        rows: list[tuple[str, Any, bool]] = []

        def note(conn: object, cursor: object, statement: str, parameters: Any, context: object, many: bool) -> None:
            if count <= MOST_REPLAYED and statement.lstrip().upper().startswith(WRITES):
                rows.append((statement, parameters, many))

        event.listen(Engine, "before_cursor_execute", note)
        told: list[str] = []
        with Ledger.open(str(target), clock=lambda: NOW) as ledger:
            clock, worked = timed(
                lambda: bring_in(ledger, KINDS["sales"], path, Wishes(), lambda what, *_: told.append(what))
            )
        print(f"{count:,} sales brought in in {clock:.0f} s, of the processor {worked:.1f} s")
        print(f"   {worked / count * 1e6:.0f} us a sale, progress told {len(told)} times")
        if not rows:
            return

        def replay() -> None:
            with closing(sqlite3.connect(copy, isolation_level=None)) as raw:
                raw.execute("PRAGMA foreign_keys=ON")
                raw.execute("PRAGMA recursive_triggers=ON")
                raw.execute("BEGIN IMMEDIATE")
                for statement, parameters, many in rows:
                    (raw.executemany if many else raw.execute)(statement, parameters).fetchall()
                raw.execute("COMMIT")

        floor = timed(replay)[1] + timed(lambda: read_alone(path))[1]
        print(
            f"   reader and the same {len(rows):,} statements raw {floor:.2f} s: {worked / floor:.1f} times the floor"
        )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 10_000)
