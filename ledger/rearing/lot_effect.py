"""How far lots of a species differ in survival and speed: what makes their animals alike, and an outlook uncertain.

Pure numbers, by moments. Survival: rho from the design effect (Rao & Scott 1992, Biometrics 48:577-585), as a standard
deviation on the logit by the delta method. Speed: variance between lots of the log mean time in the longest stage, less
the sampling variance of a mean. With few lots moments are too often nought, so stated floors stand in.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from ledger.rearing.by_stage import stage_product
from ledger.rearing.spells import DECIDED, Fate, Spell

FLOOR_RHO = 0.05
FLOOR_SPEED = 0.08
"""Stated priors until there are `ENOUGH_LOTS` lots (no source; shares then lie about 0.11 around 0.65)."""
ENOUGH_LOTS = 5
_FEWEST = 3
_MOST_OPEN = 0.1
"""Share of animals still there above which a lot does not count as finished (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class LotEffect:
    """How lots differ."""

    rho: float
    """Correlation of survival within a lot."""
    logit: float
    """Standard deviation between lots of the logit of a stage's survival, the stages of a lot moving together."""
    speed: float
    """Standard deviation between lots of the log of their times."""
    lots: int
    """Lots it was learned from."""
    floored: bool
    """A stated floor stands in for what few lots do not tell."""


def lot_effect(stays: Sequence[Sequence[Spell]], stages: int) -> LotEffect:
    """The effect, from the stays of each lot.

    Args:
        stays: one sequence for each lot.
        stages: number of young stages.
    """
    told = [lot for lot in stays if any(stay.fate in DECIDED for stay in lot)]
    names = [str(state) for state in range(stages)]
    shares = [part.share for part in stage_product(names, [stay for lot in told for stay in lot]).stages]
    rho = _correlation(told, names)
    speed = _speed(told, stages)
    floored = len(told) < ENOUGH_LOTS
    if floored:
        rho, speed = max(rho, FLOOR_RHO), max(speed, FLOOR_SPEED)
    return LotEffect(rho, _on_logit(rho, shares), speed, len(told), floored)


def _correlation(lots: Sequence[Sequence[Spell]], names: Sequence[str]) -> float:
    """rho = (X^2/(k-1) - 1)/(n - 1) over the lots that are as good as finished, each by its product of stages.

    X^2 sums n_i (x_i - p)^2/(p(1 - p)) with x_i the share of a lot and n_i the number it is worth; lots that start in
    another stage than most say nothing here.
    """
    rows: dict[int, list[tuple[float, float]]] = defaultdict(list)
    for lot in lots:
        first = min(stay.state for stay in lot)
        entered = sum(stay.count for stay in lot if stay.state == first)
        here = sum(stay.count for stay in lot if stay.fate is Fate.HERE)
        if here > _MOST_OPEN * entered:
            continue
        found = stage_product(names, lot)
        # A lot in which a stage took everyone has no later stages, and no share but nought; one that was sold young
        # but for a few that died tells nothing.
        dead = any(part.entered and part.share == 0 for part in found.stages) and not any(
            part.away for part in found.stages
        )
        share = 0.0 if dead else found.share
        size = float(entered) if dead or found.size is None else found.size
        if share is not None and size > 1:
            rows[first].append((share, size))
    chain = max(rows.values(), key=len, default=[])
    if len(chain) < 2:
        return 0.0
    whole = sum(n for _, n in chain)
    p = sum(x * n for x, n in chain) / whole
    if not 0 < p < 1:
        return 0.0
    chi = sum(n * (x - p) ** 2 for x, n in chain) / (p * (1 - p))
    return max(0.0, (chi / (len(chain) - 1) - 1) / (whole / len(chain) - 1))


def _on_logit(rho: float, shares: Sequence[float | None]) -> float:
    """One shift of every stage's logit that spreads the share reared by rho p (1 - p).

    With P the product of the shares p_i, a shift moves logit P by sum(1 - p_i)/(1 - P).
    """
    known = [share for share in shares if share is not None]
    whole = math.prod(known)
    if not known or not 0 < whole < 1:
        return math.sqrt(rho / 0.25)
    moved = sum(1 - share for share in known) / (1 - whole)
    return math.sqrt(rho / (whole * (1 - whole))) / moved


def _speed(lots: Sequence[Sequence[Spell]], stages: int) -> float:
    """Between lots, of the log mean time of those that moved on in the longest stage that enough lots tell.

    A lot of which many are still in the stage has only its fast ones behind it, and is left out.
    """
    best: tuple[float, float] = (0.0, 0.0)
    for state in range(stages):
        logs, errors, means = [], [], []
        for lot in lots:
            inside = [stay for stay in lot if stay.state == state]
            whole = sum(stay.count for stay in inside)
            ended = [(s.days, s.count) for s in inside if s.fate is Fate.ON and s.days > 0 and s.dated]
            n = sum(count for _, count in ended)
            here = sum(stay.count for stay in inside if stay.fate is Fate.HERE)
            if n < _FEWEST or here > _MOST_OPEN * whole:
                continue
            mean = sum(days * count for days, count in ended) / n
            within = sum(count * (days - mean) ** 2 for days, count in ended) / (n - 1)
            logs.append(math.log(mean))
            errors.append(within / n / mean**2)
            means.append(mean)
        if len(logs) >= _FEWEST:
            middle = sum(logs) / len(logs)
            between = sum((one - middle) ** 2 for one in logs) / (len(logs) - 1)
            found = math.sqrt(max(0.0, between - sum(errors) / len(errors)))
            best = max(best, (sum(means) / len(means), found))
    return best[1]
