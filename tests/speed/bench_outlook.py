"""Benchmark: the outlook of sixty living lots over twelve weeks with two hundred draws, and its two halves.

Run from the top of the project: python tests/speed/bench_outlook.py. Floor: three seconds of processor time; beside it,
what adding up the same animals one by one for a single draw would take. Ends with status 1 above the floor.
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

import numpy as np

from ledger.rearing.outlook import Group, counts_by_week, outlook, ready_chances
from ledger.rearing.phases import phases, tally
from ledger.rearing.spells import Fate, spells
from tests.ledger.rearing.forecast_world import B, history, live

FLOOR = 3.0
LOTS = 60


def median_s(act: Callable[[], object], times: int = 5) -> float:
    """Median of the processor seconds an act takes."""
    taken = []
    for _ in range(times):
        begun = time.process_time()
        act()
        taken.append(time.process_time() - begun)
    return statistics.median(taken)


def one_by_one(chances: np.ndarray, counts: np.ndarray) -> None:
    """Twenty-four counts of one draw, an animal at a time."""
    for week in range(1, 13):
        for p in (chances[:, 7 * week] - chances[:, 7 * week - 7], chances[:, 7 * week]):
            pmf = np.ones(1)
            for share, n in zip(p.tolist(), counts.tolist(), strict=True):
                for _ in range(n):
                    pmf = np.convolve(pmf, [1 - share, share])


def main() -> int:
    """Measure and print."""
    rng = np.random.default_rng(1)
    learned = [spells(history(live(rng, B))) for _ in range(LOTS)]
    groups = [
        Group(lot, stay.state, age - stay.entered, stay.count)
        for lot in range(LOTS)
        for age in [14 + 7 * (lot % 15)]
        for stay in spells(history(live(rng, B), age))
        if stay.fate is Fate.HERE
    ]
    animals = sum(group.count for group in groups)

    def whole() -> object:
        return outlook(learned, [None] * 3, groups, rng=np.random.default_rng(2), weeks=12, draws=200)

    counted = tally(learned, 3)
    model = phases(counted, np.ones((200, counted.lots)), [None] * 3)
    by_lot = {lot: (np.exp(0.08 * rng.standard_normal(200)), 0.4 * rng.standard_normal(200)) for lot in range(LOTS)}
    chances, counts = ready_chances(model, groups, by_lot, 84)
    total = median_s(whole)
    first = median_s(lambda: ready_chances(model, groups, by_lot, 84))
    second = median_s(lambda: counts_by_week(chances, counts, 12))
    plain = median_s(lambda: one_by_one(chances[0], counts), 1)
    print(
        f"{LOTS} lots, {len(groups)} groups of {animals} animals, 12 weeks, 200 draws: {total:.2f} s "
        f"(chances {first:.2f}, counts {second:.2f}); one by one {plain:.2f} s for one draw, {200 * plain:.0f} for all"
    )
    print(f"floor {FLOOR} s")
    return 0 if total <= FLOOR else 1


if __name__ == "__main__":
    raise SystemExit(main())
