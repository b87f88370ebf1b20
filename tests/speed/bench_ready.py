"""How long the ready list takes on a ledger of a million movements, beside raw SQL that reads the same rows.

Run: python tests/speed/bench_ready.py [lots] [movements each]. The journal is loaded in bulk, with the caches that the
program would have kept, then proved. Prints the list with origins kept from before and derived anew, the raw reading of
the same holdings, age layers and earmarks, and the ratio (wanted: at most 3). A benchmark, not a test.
"""

from __future__ import annotations

import datetime as dt
import sqlite3
import statistics
import sys
import tempfile
import time
from collections import deque
from collections.abc import Callable
from pathlib import Path

from ledger.books.prove import prove
from ledger.ledger import Ledger
from ledger.stock.commands import DescribeSpecies, StageSpec

TODAY = dt.date(2025, 6, 2)


def load(path: Path, lots: int, each: int) -> None:
    """Lots whose larvae move on two at a time and are given away as adults some days later."""
    conn = sqlite3.connect(path)
    conn.execute("PRAGMA synchronous=OFF")
    larva, adult = (row[0] for row in conn.execute("SELECT id FROM stage ORDER BY position"))
    operation = conn.execute("SELECT max(id) FROM operation").fetchone()[0]
    entry = movement = holding = 0
    for number in range(1, lots + 1):
        start = TODAY - dt.timedelta(days=each // 2 + 5)
        conn.execute(
            "INSERT INTO lot VALUES (?, ?, 1, ?, ?, '', '', 0, ?)",
            (number, f"L{number:05}", start.isoformat(), start.isoformat(), operation),
        )
        young, grown = holding + 1, holding + 2
        holding += 2
        rows: list[tuple[str, int | None, int | None, int, str]] = [
            (start.isoformat(), None, young, each * 2, "hatched")
        ]
        layers: deque[list[object]] = deque()
        left, there = each * 2, 0
        for turn in range(each - 1):
            day = (start + dt.timedelta(days=1 + turn // 2)).isoformat()
            if turn % 2 == 0 or there <= 6:
                rows.append((day, young, grown, 2, "next stage"))
                left, there = left - 2, there + 2
                if layers and layers[-1][0] == day:
                    layers[-1][1] = int(str(layers[-1][1])) + 2
                else:
                    layers.append([day, 2])
            else:
                rows.append((day, grown, None, 2, "given away"))
                there -= 2
                gone = 2
                while gone:
                    part = min(gone, int(str(layers[0][1])))
                    layers[0][1] = int(str(layers[0][1])) - part
                    gone -= part
                    if not layers[0][1]:
                        layers.popleft()
        conn.executemany(
            "INSERT INTO holding VALUES (?, ?, ?, 'unsexed', '', '', ?, 0)",
            [(young, number, larva, left), (grown, number, adult, there)],
        )
        conn.execute(
            "INSERT INTO layer (holding_id, entered_on, hard, count) VALUES (?, ?, 0, ?)",
            (young, start.isoformat(), left),
        )
        conn.executemany(
            "INSERT INTO layer (holding_id, entered_on, hard, count) VALUES (?, ?, 0, ?)",
            [(grown, day, count) for day, count in layers],
        )
        conn.executemany(
            "INSERT INTO entry VALUES (?, NULL, ?, ?, '', ?)",
            [(entry + i, row[0], row[0], operation) for i, row in enumerate(rows, 1)],
        )
        conn.executemany(
            "INSERT INTO movement (id, entry_id, from_holding_id, to_holding_id, count, reason, estimated, explained) "
            "VALUES (?, ?, ?, ?, ?, ?, 0, 0)",
            [(movement + i, entry + i, row[1], row[2], row[3], row[4]) for i, row in enumerate(rows, 1)],
        )
        entry += len(rows)
        movement += len(rows)
    conn.commit()
    conn.close()
    print(f"{lots} lots, {movement:,} movements, {path.stat().st_size / 2**20:.0f} MiB")


def best(work: Callable[[], object], times: int = 7) -> float:
    """Median of some runs, in milliseconds of processor time."""
    taken = []
    for _ in range(times):
        start = time.process_time()
        work()
        taken.append(time.process_time() - start)
    return statistics.median(taken) * 1000


def main(lots: int, each: int) -> None:
    """Load, prove, measure."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "big.rearledger"

        def noon() -> dt.datetime:
            return dt.datetime.combine(TODAY, dt.time(12))

        stages = (StageSpec("larva"), StageSpec("adult", saleable=True, hardening_days=2))
        with Ledger.create(str(path), currency="EUR", name="Bench", clock=noon) as ledger:
            ledger.do(DescribeSpecies("BUG", "Species inventa", "bug", "beetle", stages, "adult"))
        load(path, lots, each)
        with Ledger.open(str(path), read_only=True, clock=noon) as ledger:
            start, worked = time.perf_counter(), time.process_time()
            findings = ledger.ask(prove)
            taken = f"{time.perf_counter() - start:.0f} s, of the processor {time.process_time() - worked:.0f} s"
            print(f"proved in {taken}: {[one.sentence for one in findings[:3]] or 'adds up'}", flush=True)
            anew = best(lambda: ledger.ready(), 1)
            ours = best(lambda: ledger.ready())
            rows = len(ledger.ready())
        raw = sqlite3.connect(path)

        def floor() -> None:
            raw.execute(
                "SELECT h.id, h.lot_id, l.code, h.stage_id, h.sex, h.sure, h.count, h.earmarked FROM holding h "
                "JOIN lot l ON l.id = h.lot_id JOIN figure f ON f.stage_id = h.stage_id AND f.name = 'saleable' "
                "WHERE h.count > 0 AND f.value = 1"
            ).fetchall()
            raw.execute(
                "SELECT y.holding_id, y.entered_on, y.hard, y.count FROM layer y JOIN holding h ON h.id = y.holding_id "
                "JOIN figure f ON f.stage_id = h.stage_id AND f.name = 'saleable' WHERE h.count > 0 AND f.value = 1"
            ).fetchall()
            raw.execute("SELECT earmark_id, holding_id, count FROM earmark_on WHERE count > 0").fetchall()

        floor_ms = best(floor)
        raw.close()
    print(
        f"ready list of {rows} rows {ours:.1f} ms ({anew:.0f} ms with origins derived anew), raw SQL {floor_ms:.1f} ms"
    )
    print(f"ratio {ours / floor_ms:.2f} (wanted: at most 3)")


if __name__ == "__main__":
    numbers = [int(text) for text in sys.argv[1:]]
    main(*(numbers or [5000, 200]))
