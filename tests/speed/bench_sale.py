"""How long recording a sale takes, beside a raw sqlite3 commit of the same rows in the same run.

Run: python tests/speed/bench_sale.py [sales]. Prints p50 of both in milliseconds and their ratio (wanted: at most 3).
The floor replays, through the sqlite3 module alone, every row each sale wrote, one commit a sale, with the same
pragmas, right after that sale. A benchmark, not a test: it never fails a build.
"""

from __future__ import annotations

import datetime as dt
import sqlite3
import statistics
import sys
import tempfile
import time
from pathlib import Path

from sqlalchemy import Engine, event

from ledger.ledger import Ledger
from ledger.selling.commands import LineOf, Paid, Sell
from ledger.stock.commands import AddLot, Arrival, DescribeSpecies, StageSpec

TODAY = dt.date(2025, 6, 2)
WRITES = ("INSERT", "UPDATE", "DELETE")


def small_loft(path: Path) -> Ledger:
    """A ledger with one lot of many adults."""
    ledger = Ledger.create(
        str(path), currency="EUR", name="Bench", clock=lambda: dt.datetime.combine(TODAY, dt.time(12))
    )
    ledger.do(
        DescribeSpecies(
            "BUG", "Species inventa", "bug", "beetle", (StageSpec("larva"), StageSpec("adult", saleable=True)), "adult"
        )
    )
    ledger.do(AddLot("B01", "BUG", TODAY, (Arrival("hatched", "adult", unsexed=100_000),)))
    return ledger


def main(sales: int) -> None:
    """Measure both and print them."""
    with tempfile.TemporaryDirectory() as folder:
        base = Path(folder) / "bench.ledger"
        ledger = small_loft(base)
        command = Sell((LineOf("B01", 2, 900, "adult"),), TODAY, "", "collection", paid=(Paid(900),))
        for _ in range(20):
            ledger.do(command)
        copy = Path(folder) / "floor.ledger"
        with sqlite3.connect(base) as source, sqlite3.connect(copy) as target:
            source.backup(target)

        rows: list[tuple[str, object]] = []

        def note(conn: object, cursor: object, statement: str, parameters: object, context: object, many: bool) -> None:
            if statement.lstrip().upper().startswith(WRITES):
                rows.append((statement, parameters))

        event.listen(Engine, "before_cursor_execute", note)
        raw = sqlite3.connect(copy, isolation_level=None)
        for pragma in ("foreign_keys=ON", "recursive_triggers=ON", "synchronous=FULL", "journal_mode=TRUNCATE"):
            raw.execute(f"PRAGMA {pragma}").fetchall()
        ours, floor = [], []
        for _ in range(sales):
            rows.clear()
            start = time.perf_counter()
            ledger.do(command)
            ours.append(time.perf_counter() - start)
            start = time.perf_counter()
            raw.execute("BEGIN IMMEDIATE")
            for statement, parameters in rows:
                raw.execute(statement, parameters).fetchall()
            raw.execute("COMMIT")
            floor.append(time.perf_counter() - start)
        ledger.close()
        raw.close()
    ours_ms, floor_ms = statistics.median(ours) * 1000, statistics.median(floor) * 1000
    print(f"sale {ours_ms:.2f} ms, raw commit of the same {len(rows)} rows {floor_ms:.2f} ms (p50 of {sales})")
    print(f"ratio {ours_ms / floor_ms:.2f} (wanted: at most 3)")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 300)
