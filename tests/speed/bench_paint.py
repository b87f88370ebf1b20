"""Time from starting Python to the first painted screen, beside an empty Textual app that imports SQLAlchemy's ORM.

Run: python tests/speed/bench_paint.py LEDGER [times]. Prints the median of both and their ratio (wanted: at most 1.5).
A benchmark, not a test.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import time

PAINTED = """
async def painted(app):
    async with app.run_test(size=(80, 24)):
        done = asyncio.Event()
        app.screen.call_after_refresh(done.set)
        await done.wait()
        os._exit(0)
"""
EMPTY = f"""
import asyncio, os
import sqlalchemy.orm
from textual.app import App
{PAINTED}
asyncio.run(painted(App()))
"""
OURS = f"""
from tui.start import hurry
hurry()
import asyncio, os, sys
from ledger.ledger import Ledger
from tui.app import Desk
from tui.places import PLACES
{PAINTED}
with Ledger.open(sys.argv[1]) as ledger:
    asyncio.run(painted(Desk(ledger, PLACES, ledger.vocabulary)))
"""


def worked() -> float:
    """Seconds of the processor that programs started from here have taken so far."""
    times = os.times()
    return times.children_user + times.children_system


def seconds(script: str, *args: str) -> tuple[float, float]:
    """How long a script takes in an interpreter of its own, and how much of that it has the processor."""
    start, before = time.perf_counter(), worked()
    subprocess.run([sys.executable, "-c", script, *args], check=True, capture_output=True)
    return time.perf_counter() - start, worked() - before


def main(ledger: str, times: int) -> None:
    """Measure both in turn and print them."""
    seconds(EMPTY)
    seconds(OURS, ledger)
    pairs = [(seconds(EMPTY), seconds(OURS, ledger)) for _ in range(times)]
    for what, at in (("first paint", 0), ("  of the processor", 1)):
        empty, ours = (statistics.median(one[at] for one in column) * 1000 for column in zip(*pairs, strict=True))
        ratio = f"{ours / empty:.2f} times that (wanted: at most 1.5)"
        print(f"{what} {ours:.0f} ms, of an empty app {empty:.0f} ms (median of {times}): {ratio}")


if __name__ == "__main__":
    main(sys.argv[1], int(sys.argv[2]) if len(sys.argv) > 2 else 5)
