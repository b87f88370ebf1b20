"""How long a stage takes, from intervals: Turnbull's nonparametric maximum likelihood estimate.

Pure numbers. Each animal's time in the stage is known to lie in (low, high]; mass can only sit in intervals that begin
at a low and end at a high with nothing between (Turnbull 1976, JRSSB 38:290-295). Found by self-consistency steps and
then Newton steps on the intervals that keep mass, checked by the gradient (Gentleman & Geyer 1994, Biometrika
81:618-623): no interval left without mass could raise the likelihood. Where the mass lies inside an interval is not
known, so quantiles come as intervals.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

Reals = NDArray[np.float64]

_STEPS = 400
_TOO_LITTLE = 1e-9
_GOOD = 1e-9


@dataclass(frozen=True, slots=True)
class Piece:
    """Mass somewhere in (low, high]."""

    low: float
    high: float
    """Infinite for those that never ended while watched."""
    mass: float


@dataclass(frozen=True, slots=True)
class Times:
    """Where the times lie."""

    pieces: tuple[Piece, ...]
    """Those with mass, in order; the masses sum to 1."""
    log_likelihood: float
    animals: float

    def quantile(self, level: float) -> tuple[float, float]:
        """The interval in which the `level` point lies."""
        so_far = 0.0
        for piece in self.pieces:
            so_far += piece.mass
            if so_far >= level - 1e-9:
                return piece.low, piece.high
        return self.pieces[-1].low, self.pieces[-1].high

    @property
    def median(self) -> tuple[float, float]:
        """The interval in which the middle time lies."""
        return self.quantile(0.5)

    @property
    def unseen(self) -> float:
        """Mass that has no upper end: times that outlasted the watching."""
        return sum(piece.mass for piece in self.pieces if math.isinf(piece.high))


def turnbull(intervals: Sequence[tuple[float, float]], weights: Sequence[float] | None = None) -> Times:
    """The estimate from intervals (low, high], high infinite for times that are only known to exceed low.

    Args:
        intervals: one for each animal; low >= 0 and high > low. A time known to the day is given as (t - 1, t].
        weights: how many animals each stands for; one by default.

    Raises:
        ValueError: there are none, or one is empty.
    """
    if not intervals or any(not 0 <= low < high for low, high in intervals):
        raise ValueError("every time needs an interval that begins at 0 or later and ends after it begins")
    count = np.ones(len(intervals)) if weights is None else np.asarray(weights, dtype=float)
    pieces = _support(intervals)
    inside = np.array(
        [[low <= piece[0] and piece[1] <= high for piece in pieces] for low, high in intervals], dtype=float
    )
    mass = _maximise(inside, count)
    fitted = inside @ mass
    kept = tuple(Piece(low, high, float(p)) for (low, high), p in zip(pieces, mass, strict=True) if p > _TOO_LITTLE)
    return Times(kept, float(count @ np.log(fitted)), float(count.sum()))


def _support(intervals: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """Innermost intervals: a low followed by a high with no other end between."""
    # At one place the ends come before the beginnings: (4, 11] and (11, 15] do not meet.
    ends = sorted({(high, 0) for _, high in intervals} | {(low, 1) for low, _ in intervals})
    return [(begin, end) for (begin, opens), (end, closes) in pairwise(ends) if opens == 1 and closes == 0]


def _maximise(inside: Reals, count: Reals) -> Reals:
    k = inside.shape[1]
    total = float(count.sum())
    mass = np.full(k, 1.0 / k)
    for _ in range(_STEPS):
        mass = mass * (inside.T @ (count / (inside @ mass))) / total
    for _ in range(10 * k + 10):
        keep = mass > _TOO_LITTLE
        mass = _newton(inside, count, np.where(keep, mass, 0.0) / mass[keep].sum())
        gradient = inside.T @ (count / (inside @ mass)) / total
        best = int(np.argmax(gradient))
        if gradient[best] <= 1 + _GOOD:
            break
        # The interval whose mass would help most gets some, and the rest make room.
        mass = 0.99 * mass
        mass[best] += 0.01
    return mass


def _newton(inside: Reals, count: Reals, mass: Reals) -> Reals:
    """Newton steps with the sum held at 1, on the intervals that have mass; one that would go below 0 drops out."""
    total = float(count.sum())
    for _ in range(200):
        at = np.flatnonzero(mass > 0)
        part = inside[:, at] / (inside @ mass)[:, None]
        gradient = part.T @ count / total
        if len(at) == 1 or np.abs(gradient - 1).max() < _GOOD / 100:
            return mass
        hessian = (part * count[:, None]).T @ part / total
        bordered = np.zeros((len(at) + 1, len(at) + 1))
        bordered[:-1, :-1], bordered[:-1, -1], bordered[-1, :-1] = hessian, 1.0, 1.0
        step = np.linalg.lstsq(bordered, np.append(gradient - 1.0, 0.0), rcond=1e-12)[0][:-1]
        falling = step < 0
        room = float((-mass[at][falling] / step[falling]).min()) if falling.any() else math.inf
        before = float(count @ np.log(inside @ mass))
        size, tried = min(1.0, room), mass
        while size > 1e-10:
            tried = mass.copy()
            tried[at] += size * step
            tried[tried < 1e-14] = 0.0
            tried /= tried.sum()
            fitted = inside @ tried
            if (fitted > 0).all() and float(count @ np.log(fitted)) >= before - 1e-13:
                break
            size /= 2
        else:
            return mass
        mass = tried
    return mass
