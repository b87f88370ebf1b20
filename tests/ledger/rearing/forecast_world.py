"""A simulated room with known truth, in which outlooks are scored: twelve finished lots to learn from, eight living.

Larvae survive with .78 and take max(15, Weibull(5, 65)) days, or die after an exponential time of mean 25; pupae .88,
max(8, N(20, 3)) or within 25; soft adults .96, max(5, N(14, 3)) or within 12; days rounded up. In scenario B each lot
has a speed exp(N(0, .08)) and a shift N(0, .4) of the logit of the first two survivals. Everything is recorded as
counts, at checks every three or four days.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from ledger.rearing.cohort import LotHistory, Tie
from ledger.rearing.lot_effect import lot_effect
from ledger.rearing.outlook import Group, Outlook, counts_by_week, outlook, ready_chances
from ledger.rearing.phases import Phases, phases, tally
from ledger.rearing.poisson_binomial import CountPmf
from ledger.rearing.spells import Fate, Spell, spells
from ledger.rearing.survival import Flow

Reals = NDArray[np.float64]
STATES = ("larva", "pupa", "soft", "hard", "lost")
SURVIVAL = (0.78, 0.88, 0.96)
AGES = tuple(range(14, 113, 14))
WEEKS = 12
ANIMALS = 30


@dataclass(frozen=True, slots=True)
class Scenario:
    """How far lots differ."""

    speed: float
    logit: float


A, B = Scenario(0.0, 0.0), Scenario(0.08, 0.4)


@dataclass(slots=True)
class Lives:
    """Days on which each animal of a lot leaves each stage, infinite when never; and the days it died."""

    out: Reals
    """Shape (animals, 3)."""
    died: Reals


def live(rng: np.random.Generator, scenario: Scenario, animals: int = ANIMALS) -> Lives:
    """The lives of one lot."""
    s = math.exp(scenario.speed * rng.standard_normal())
    shift = scenario.logit * rng.standard_normal()
    out = np.full((animals, 3), np.inf)
    died = np.full(animals, np.inf)
    now = np.zeros(animals)
    alive = np.ones(animals, dtype=bool)
    for stage, base in enumerate(SURVIVAL):
        odds = base / (1 - base) * (math.exp(shift) if stage < 2 else 1.0)
        survives = rng.random(animals) < odds / (1 + odds)
        if stage == 0:
            time = np.maximum(15, 65 * rng.weibull(5, animals) * s)
            death = rng.exponential(25, animals)
        else:
            least, mean, longest = ((8, 20, 25), (5, 14, 12))[stage - 1]
            time = np.maximum(least, rng.normal(mean, 3, animals) * s)
            death = rng.uniform(0, longest, animals)
        on, gone = now + np.ceil(time), now + np.ceil(death)
        out[alive & survives, stage] = on[alive & survives]
        died[alive & ~survives] = gone[alive & ~survives]
        alive &= survives
        now = on
    return Lives(out, died)


def seen(day: Reals) -> Reals:
    """The check at which what happened on a day is recorded: days 3, 7, 10, 14 and so on."""
    known = np.where(np.isfinite(day), day, 1.0)
    week, rest = np.floor_divide(known - 1, 7), np.mod(known - 1, 7) + 1
    return np.where(np.isfinite(day), 7 * week + np.where(rest <= 3, 3, 7), np.inf)


def history(lives: Lives, until: float = math.inf) -> LotHistory:
    """The lot as counts, up to a day."""
    animals = len(lives.died)
    moves: Counter[tuple[int, int, int]] = Counter()
    for one in range(animals):
        stage = 0
        for place in range(3):
            day = float(seen(lives.out[one, place]))
            if day <= until and math.isfinite(day):
                moves[int(day), place, place + 1] += 1
                stage = place + 1
        death = float(seen(lives.died[one]))
        if death <= until and math.isfinite(death):
            moves[int(death), stage, 4] += 1
    flows = tuple(
        Flow(day, "move", source, target, n)
        for (day, source, target), n in sorted(moves.items(), key=lambda row: (row[0][0], row[0][1], -row[0][2]))
    )
    last = int(until) if math.isfinite(until) else max((flow.day for flow in flows), default=0)
    reached = sum(flow.count for flow in flows if flow.target == 3)
    lost = sum(flow.count for flow in flows if flow.target == 4)
    tie = Tie(animals, 0, 0, reached, lost, 0, 0, animals - reached - lost, 0)
    return LotHistory(
        STATES, 0, (animals, 0, 0, 0, 0), flows, last, tie, "larva", ("next stage",) * len(flows), start_dated=True
    )


def labelled(lives: Lives) -> list[Spell]:
    """The stays of a lot whose animals have each a tub of their own, from check to check."""
    found = []
    for one in range(len(lives.died)):
        entered = 0
        for stage in range(3):
            left, fate = float(seen(lives.out[one, stage])), Fate.ON
            if not math.isfinite(left):
                left, fate = float(seen(lives.died[one])), Fate.LOST
            found.append(Spell(stage, entered, int(left), fate, 1, True))
            if fate is Fate.LOST:
                break
            entered = int(left)
    return found


@dataclass(slots=True)
class Room:
    """What is known on the day, and what comes."""

    training: list[LotHistory]
    groups: list[Group]
    """As counts tell them: the first in are the first out."""
    exact: list[Group]
    """With the true age of every animal."""
    truth: NDArray[np.int64]
    """Newly hardened in each of the weeks to come."""


def room(rng: np.random.Generator, scenario: Scenario, training: int = 12) -> Room:
    """One room."""
    learned = [history(live(rng, scenario)) for _ in range(training)]
    groups: list[Group] = []
    exact: list[Group] = []
    truth = np.zeros(WEEKS, dtype=np.int64)
    for lot, age in enumerate(AGES):
        lives = live(rng, scenario)
        for stay in spells(history(lives, age)):
            if stay.fate is Fate.HERE:
                groups.append(Group(lot, stay.state, age - stay.entered, stay.count))
        edges = np.column_stack([np.zeros(len(lives.died)), lives.out])
        for stage in range(3):
            here = (edges[:, stage] <= age) & (edges[:, stage + 1] > age) & (lives.died > age)
            ages = Counter((age - edges[here, stage]).astype(int).tolist())
            exact += [Group(lot, stage, days, n) for days, n in sorted(ages.items())]
        week = np.ceil((lives.out[:, 2] - age) / 7)
        for w in range(WEEKS):
            truth[w] += int((week == w + 1).sum())
    return Room(learned, groups, exact, truth)


def true_phases() -> Phases:
    """The phases of the truth without lot effect; one draw."""
    days = np.arange(0, 401)
    erf = np.vectorize(math.erf)
    on, lost = np.zeros((1, 3, 401)), np.zeros((1, 3, 401))

    def steps(below: Reals) -> Reals:
        return np.diff(below, prepend=0.0)

    def normal(mean: float, least: int) -> Reals:
        return np.where(days >= least, (1 + erf((days - mean) / 3 / math.sqrt(2))) / 2, 0.0)

    times = (np.where(days >= 15, 1 - np.exp(-((days / 65) ** 5)), 0.0), normal(20, 8), normal(14, 5))
    deaths = (1 - np.exp(-days / 25), np.minimum(days / 25, 1), np.minimum(days / 12, 1))
    for stage, share in enumerate(SURVIVAL):
        on[0, stage] = share * steps(times[stage])
        lost[0, stage] = (1 - share) * steps(deaths[stage])
    return Phases(on, lost)


# --- forecasters ---


def hierarchical(one: Room, rng: np.random.Generator, draws: int = 200) -> Outlook:
    """The program's own: lots resampled, each living lot with an effect of its own. Counts only."""
    return outlook([spells(lot) for lot in one.training], [None] * 3, one.groups, rng=rng, weeks=WEEKS, draws=draws)


def plug_in(one: Room) -> Outlook:
    """The estimates taken for the truth."""
    counted = tally([spells(lot) for lot in one.training], 3)
    learned = phases(counted, np.ones((1, counted.lots)), [None] * 3)
    return _same(learned, one.groups)


def oracle(one: Room, rng: np.random.Generator, scenario: Scenario, draws: int = 100) -> Outlook:
    """Knows the truth, every age, and how far lots differ, but not which way each of them does."""
    truth = true_phases()
    if scenario == A:
        return _same(truth, one.exact)
    spread = Phases(np.repeat(truth.on, draws, axis=0), np.repeat(truth.lost, draws, axis=0))
    by_lot = {
        lot: (np.exp(scenario.speed * rng.standard_normal(draws)), scenario.logit * rng.standard_normal(draws))
        for lot in range(len(AGES))
    }
    return counts_by_week(*ready_chances(spread, one.exact, by_lot, 7 * WEEKS), WEEKS)


def _same(learned: Phases, groups: Sequence[Group]) -> Outlook:
    nothing = np.ones(1), np.zeros(1)
    chances, counts = ready_chances(learned, groups, dict.fromkeys(range(len(AGES)), nothing), 7 * WEEKS)
    return counts_by_week(chances, counts, WEEKS)


# --- scores ---


def crps(pmf: CountPmf, came: int) -> float:
    """Sum over x of (F(x) - 1{came <= x})^2 (Gneiting & Raftery 2007, JASA 102:359-378)."""
    x = pmf.first + np.arange(len(pmf.pmf))
    below = np.cumsum(pmf.pmf)
    inside = float(((below - (came <= x)) ** 2).sum())
    return inside + max(0, pmf.first - came) + max(0, came - int(x[-1]))


@dataclass(slots=True)
class Scores:
    """How well outlooks did."""

    weekly: list[list[bool]] = field(default_factory=list)
    totals: list[tuple[bool, bool]] = field(default_factory=list)
    crps: list[float] = field(default_factory=list)
    pit: list[float] = field(default_factory=list)
    width: list[float] = field(default_factory=list)

    def add(self, found: Outlook, truth: NDArray[np.int64], rng: np.random.Generator) -> None:
        """Score one outlook against what came."""
        self.weekly.append([one.low <= came <= one.high for one, came in zip(found.weekly, truth, strict=True)])
        sums = np.cumsum(truth)
        four, eight = found.running[3], found.running[7]
        self.totals.append((four.low <= sums[3] <= four.high, eight.low <= sums[7] <= eight.high))
        for one, came in zip(found.weekly, truth.tolist(), strict=True):
            self.crps.append(crps(one.pmf, came))
            self.pit.append(one.pmf.below(came - 1) + rng.random() * (one.pmf.below(came) - one.pmf.below(came - 1)))
            self.width.append(one.high - one.low)

    @property
    def blocks(self) -> tuple[float, float, float]:
        """Coverage of weeks 1-4, 5-8 and 9-12."""
        held = np.array(self.weekly, dtype=float)
        return float(held[:, :4].mean()), float(held[:, 4:8].mean()), float(held[:, 8:].mean())

    @property
    def of_totals(self) -> tuple[float, float]:
        """Coverage of the totals over four and eight weeks."""
        four, eight = np.array(self.totals, dtype=float).mean(axis=0)
        return float(four), float(eight)

    @property
    def bins(self) -> Reals:
        """Shares of the randomised PIT in ten bins (Czado, Gneiting & Held 2009, Biometrics 65:1254-1261)."""
        return np.histogram(self.pit, bins=10, range=(0, 1))[0] / len(self.pit)


def score(scenario: Scenario, runs: int, seed: int = 20240304, training: int = 12) -> dict[str, Scores]:
    """All forecasters on the same rooms; the data come from a generator of their own."""
    data, own, dice = (np.random.default_rng([seed, part]) for part in (0, 1, 2))
    found = {"oracle": Scores(), "plug-in": Scores(), "hierarchical": Scores()}
    for _ in range(runs):
        one = room(data, scenario, training)
        found["oracle"].add(oracle(one, own, scenario), one.truth, dice)
        found["plug-in"].add(plug_in(one), one.truth, dice)
        found["hierarchical"].add(hierarchical(one, own), one.truth, dice)
    return found


__all__ = ["A", "B", "Scenario", "lot_effect", "score"]
