"""Time to take a figure apart on a whole ledger, beside the floor: sharing the costs once, without any question.

Run: python tests/speed/bench_explain.py LEDGER LOT OTHER-LOT COST (the demo: P11 P12 20). Wanted: well under a second.
A benchmark, not a test.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable

from ledger.costs.account import account
from ledger.costs.explain.asked import compare_lots, explain_lot
from ledger.costs.explain.split import Axis
from ledger.costs.explain.went import WAYS, where_cost_went
from ledger.ledger import Ledger


def milliseconds(ask: Callable[[], object]) -> float:
    """The best of three, in processor time: what else the machine does is left out."""
    best = float("inf")
    for _ in range(3):
        start = time.process_time()
        ask()
        best = min(best, time.process_time() - start)
    return best * 1000


def main(path: str, lot: str, other: str, cost: int) -> None:
    """Measure and print."""
    with Ledger.open(path, read_only=True) as ledger:
        today = ledger.today
        floor = milliseconds(lambda: ledger.ask(account, today))
        print(f"{'floor: all costs shared once':<36} {floor:6.0f} ms")
        asked: dict[str, Callable[[], object]] = {
            f"{lot} by {axis}": lambda axis=axis: ledger.ask(explain_lot, lot, today, by=axis)
            for axis in (Axis.CATEGORY, Axis.STAGE, Axis.MONTH, Axis.ENTRY, Axis.MOVEMENT)
        }
        asked[f"{lot} against {other}"] = lambda: ledger.ask(compare_lots, lot, other, today)
        for way in WAYS:
            asked[f"cost {cost} by {way}"] = lambda way=way: ledger.ask(where_cost_went, cost, today, by=way)
        for name, ask in asked.items():
            took = milliseconds(ask)
            print(f"{name:<36} {took:6.0f} ms, {took / floor:4.1f} times the floor")


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2], sys.argv[3], int(sys.argv[4]))
