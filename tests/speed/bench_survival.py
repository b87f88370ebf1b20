"""Benchmark: the curve with its covariance against a plain numpy recursion on the same counts, and two hundred lots.

Run from the top of the project: python tests/speed/bench_survival.py. Floors: at most twice the plain recursion, though
the curve starts from flows, checks them and looks for warnings; two hundred curves in half a second. Prints medians of
processor time; ends with status 1 above a floor.
"""

from __future__ import annotations

import random
import statistics
import sys
import time
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

import numpy as np

from ledger.rearing.survival import Flow, survival_curve

FLOOR = 2.0
LOTS, SECONDS = 200, 0.5
STATES = ("larva", "pupa", "soft adult", "adult", "lost")
DAYS = [day for week in range(26) for day in (7 * week + 3, 7 * week + 7)]


def counts(animals: int) -> tuple[list[Flow], np.ndarray, np.ndarray]:
    """A course of twice-weekly checks: flows, and the same as at-risk (D, k) and moves (D, k, k)."""
    rng = random.Random(1)
    k = len(STATES)
    there = [animals, 0, 0, 0, 0]
    flows: list[Flow] = []
    at_risk = np.zeros((len(DAYS), k))
    moves = np.zeros((len(DAYS), k, k))
    for d, day in enumerate(DAYS):
        morning = list(there)
        at_risk[d] = morning
        for state in range(3):
            for kind, target, rate in (
                ("move", 4, 0.01),
                ("move", state + 1, 0.02 + 0.002 * d),
                ("leave", None, 0.005),
            ):
                n = min(morning[state], int(morning[state] * rate + rng.random()))
                if not n:
                    continue
                flows.append(Flow(day, "move" if kind == "move" else "leave", state, target, n))
                morning[state] -= n
                there[state] -= n
                if target is not None:
                    there[target] += n
                    moves[d, state, target] += n
    return flows, at_risk, moves


def plain(start: np.ndarray, at_risk: np.ndarray, moves: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """The bare recursion, a few matrix products a day, on counts already laid out by day."""
    p = start / start.sum()
    v = (np.diag(p) - np.outer(p, p)) / start.sum()
    diagonal = np.arange(len(start))
    for y, dn in zip(at_risk, moves, strict=True):
        y1 = np.maximum(y, 1)
        m = dn / y1[:, None]
        m[diagonal, diagonal] = 1 - m.sum(axis=1)
        w = np.where(y > 0, p * p / y1, 0)
        v = m.T @ v @ m + np.diag(w @ m) - (m.T * w) @ m
        p = p @ m
    return p, v


def median_ms(act: Callable[[], object], times: int = 41) -> float:
    taken = []
    for _ in range(times):
        begun = time.process_time()
        act()
        taken.append(time.process_time() - begun)
    return 1000 * statistics.median(taken)


def main() -> int:
    worst = 0.0
    for animals in (100, 10_000, 1_000_000):
        flows, at_risk, moves = counts(animals)
        start = [animals, 0, 0, 0, 0]
        curve = survival_curve(STATES, start, flows)
        p, v = plain(np.array(start), at_risk, moves)
        assert curve.cov is not None
        assert np.allclose(curve.prob[-1], p, atol=1e-12)
        assert np.allclose(curve.cov, v, atol=1e-12)

        ours = median_ms(lambda: survival_curve(STATES, start, flows))  # noqa: B023
        lean = median_ms(lambda: survival_curve(STATES, start, flows, covariance=False))  # noqa: B023
        theirs = median_ms(lambda: plain(np.array(start), at_risk, moves))  # noqa: B023
        worst = max(worst, ours / theirs)
        print(
            f"{animals:>9} animals, {len(flows)} flows on {len(curve.days) - 1} days: curve {ours:.2f} ms "
            f"(without errors {lean:.2f}), plain recursion {theirs:.2f} ms, ratio {ours / theirs:.2f}"
        )
    print(f"worst ratio {worst:.2f}, floor {FLOOR}")
    lots = [counts(20 + lot)[0] for lot in range(LOTS)]

    def every_lot() -> None:
        for lot, flows in enumerate(lots):
            survival_curve(STATES, [20 + lot, 0, 0, 0, 0], flows)

    whole = median_ms(every_lot, 5) / 1000
    print(f"{LOTS} lots of 20 to {19 + LOTS} animals: {whole:.2f} s, floor {SECONDS} s")
    return 0 if worst <= FLOOR and whole <= SECONDS else 1


if __name__ == "__main__":
    raise SystemExit(main())
