"""Published survival data entered as lots and movements, and read back from the curve of the lot.

Flies: Drosophila longevity, 163 flies of two kinds (control and miR-137), as shipped with lifelines (`load_waltons`);
a fly lost from sight is entered as escaped. Leukaemia remission in weeks: Freireich et al. 1963, Blood 21:699-716,
6-MP arm, with Rothman-Wilson limits (Rothman 1978, J Chronic Dis 31:557-560; checked against R km.ci).
"""

from __future__ import annotations

import datetime as dt
import math
from collections import Counter
from collections.abc import Iterable

import pytest

from ledger.ledger import Ledger
from ledger.rearing.curve import LotCurve, curve
from ledger.rearing.turnbull import turnbull
from ledger.stock.commands import AddLot, Arrival, DescribeSpecies, Mark, Move, Record, SaveRound, StageSpec
from tests.limits import limits_of

START = dt.date(2025, 1, 1)
END = dt.date(2025, 6, 1)


def enter(ledger: Ledger, code: str, times: Iterable[tuple[int, bool]]) -> LotCurve:
    """A lot of animals that all start on one day; each (day, died) leaves it by death or out of sight."""
    rows = list(times)
    ledger.do(AddLot(code, "FLY", START, (Arrival("hatched", "fly", unsexed=len(rows)),)))
    for (day, died), count in sorted(Counter(rows).items(), key=lambda row: (row[0][0], not row[0][1])):
        on = START + dt.timedelta(days=day)
        ledger.do(Record(code, (Move("died" if died else "escaped", count),), on))
    return ledger.ask(curve, code, END)


def value(found: LotCurve, day: int) -> tuple[float, float]:
    """Share still alive and its standard error at the end of a day."""
    place = max(i for i, one in enumerate(found.days) if one <= day)
    return found.prob[place][0], found.se[place][0]


@pytest.fixture
def flies(ledger: Ledger) -> Ledger:
    ledger.do(
        DescribeSpecies("FLY", "Species inventa", "fly", "fly", (StageSpec("fly"), StageSpec("never")), reared="never")
    )
    return ledger


WALTONS = {
    "all": {
        6: (0.9938650307, 0.0061161214),
        22: (0.8889570552, 0.0246780506),
        33: (0.8025306748, 0.0312731540),
        45: (0.6728911043, 0.0368589744),
        56: (0.4299026500, 0.0390100048),
        63: (0.1806904147, 0.0307992882),
        75: (0.0, 0.0),
    },
    "control": {
        22: (0.9844350851, 0.0109203187),
        45: (0.8281755478, 0.0333386542),
        56: (0.5284548734, 0.0442833585),
        63: (0.2295732826, 0.0378820162),
    },
    "miR-137": {
        13: (0.7941176471, 0.0693445807),
        26: (0.3823529412, 0.0833418138),
        45: (0.0882352941, 0.0486433077),
    },
}


@pytest.mark.parametrize("group", WALTONS)
def test_flies_entered_as_movements_give_the_kaplan_meier_values(flies: Ledger, group: str) -> None:
    from lifelines.datasets import load_waltons

    rows = load_waltons()
    if group != "all":
        rows = rows[rows["group"] == group]

    found = enter(flies, "F1", ((int(t), bool(e)) for t, e in zip(rows["T"], rows["E"], strict=True)))

    for day, (share, error) in WALTONS[group].items():
        assert value(found, day)[0] == pytest.approx(share, abs=5e-11)
        assert value(found, day)[1] == pytest.approx(error, abs=5e-11)


FREIREICH = (
    *((6, True),) * 3, (6, False), (7, True), (9, False), (10, True), (10, False), (11, False), (13, True), (16, True),
    (17, False), (19, False), (20, False), (22, True), (23, True), (25, False), (32, False), (32, False), (34, False),
    (35, False),
)  # fmt: skip
LIMITS = {
    6: (0.8571428571, 0.0763603548, 0.6536393972, 0.9501898750),
    7: (0.8067226891, 0.0869352852, 0.5948881706, 0.9222628971),
    10: (0.7529411765, 0.0963496530, 0.5345431889, 0.8899595586),
    13: (0.6901960784, 0.1068147078, 0.4644002804, 0.8512846546),
    16: (0.6274509804, 0.1140538653, 0.4008626787, 0.8091452457),
    22: (0.5378151261, 0.1282337517, 0.3055924628, 0.7547125982),
    23: (0.4481792717, 0.1345914568, 0.2262421345, 0.6928746953),
}


def test_remission_entered_as_movements_gives_greenwood_and_rothman_limits(flies: Ledger) -> None:
    found = enter(flies, "F1", FREIREICH)

    for week, (share, error, low, high) in LIMITS.items():
        alive, se = value(found, week)
        limits = limits_of(alive, se, resolved=21, animals=21)
        assert (alive, se) == (pytest.approx(share, abs=5e-11), pytest.approx(error, abs=5e-11))
        assert (limits.low, limits.high) == (pytest.approx(low, abs=5e-9), pytest.approx(high, abs=5e-9))


def test_one_death_entered_a_week_late_is_noticed(flies: Ledger) -> None:
    late = tuple((23 if (week, died) == (22, True) else week, died) for week, died in FREIREICH)

    found = enter(flies, "F1", late)

    assert value(found, 22)[0] != pytest.approx(LIMITS[22][0], abs=5e-11)


def test_eight_larvae_entered_as_movements_give_the_fractions_worked_by_hand(ledger: Ledger) -> None:
    """One larva and one pupa leave alive: 23/40 of those left alone become adult, 3/8 of all do."""
    stages = (StageSpec("larva"), StageSpec("pupa"), StageSpec("adult"))
    ledger.do(DescribeSpecies("BEET", "Species inventa", "beetle", "beetle", stages, reared="adult"))
    ledger.do(AddLot("B1", "BEET", START, (Arrival("hatched", "larva", unsexed=8),)))
    for day, move in (
        (7, Move("died", 1, stage="larva")),
        (10, Move("next stage", 2, stage="larva", to_stage="pupa")),
        (10, Move("given away", 1, stage="larva")),
        (14, Move("next stage", 3, stage="larva", to_stage="pupa")),
        (14, Move("died", 1, stage="larva")),
        (17, Move("died", 1, stage="pupa")),
        (20, Move("next stage", 1, stage="pupa", to_stage="adult")),
        (20, Move("given away", 1, stage="pupa")),
        (24, Move("next stage", 2, stage="pupa", to_stage="adult")),
    ):
        ledger.do(Record("B1", (move,), START + dt.timedelta(days=day)))

    found = ledger.ask(curve, "B1", END)
    look = ledger.survival_of_lot("B1", END)

    assert found.prob[-1] == pytest.approx((0, 0, 23 / 40, 17 / 40), abs=1e-15)
    assert found.se[-1][2] == pytest.approx(0.1872081061, abs=5e-11)
    assert look.alone is not None
    assert (look.alone.low, look.alone.high) == pytest.approx((0.2525256117, 0.8441911624), abs=5e-11)
    assert look.alone.size == pytest.approx(6.9728042800, abs=6e-10)
    assert {one.name: one.share for one in look.became} == pytest.approx(
        {"adult": 3 / 8, "lost": 3 / 8, "given": 2 / 8, "still rearing": 0}
    )


COSMESIS = (
    "4-11 5-12 5-11 6-10 7-14 7-16 11-15 11-18 17-25 17-25 18-26 19-35 25-37 26-40 27-34 36-44 36-48 37-44 "
    "15+ 17+ 18+ 22+ 24+ 24+ 32+ 33+ 34+ 36+ 36+ 37+ 37+ 37+ 38+ 40+ 45+ 46+ 46+ 46+ 46+ 46+ 46+ 46+ 46+"
)
"""Finkelstein & Wolfe 1985 (Biometrics 41:933-945), radiation arm without the three that end by the first look."""


def test_times_between_looks_at_single_tubs_reach_the_interval_estimate_as_they_were(ledger: Ledger) -> None:
    """Each woman is a larva in a tub of its own that hatched on day 0; an interval is the look before and the look at
    which it had pupated. Hatching is known to the day, so upper ends come out a day later."""
    ledger.do(
        DescribeSpecies(
            "BEET", "Species inventa", "beetle", "beetle", (StageSpec("larva"), StageSpec("adult")), reared="adult"
        )
    )
    parts = COSMESIS.split()
    tubs = [f"t{place}" for place in range(len(parts))]
    arrivals = tuple(Arrival("hatched", "larva", unsexed=1, tub=tub) for tub in tubs)
    ledger.do(AddLot("B1", "BEET", START, arrivals))
    wanted = []
    for part, tub in zip(parts, tubs, strict=True):
        low, _, high = part.rstrip("+").partition("-")
        ledger.do(SaveRound((Mark("B1", "looked", tub=tub),), START + dt.timedelta(days=int(low))))
        wanted.append((float(low), float(high) + 1 if high else math.inf))
        if high:
            move = Move("next stage", 1, stage="larva", to_stage="adult", tub=tub)
            ledger.do(Record("B1", (move,), START + dt.timedelta(days=int(high))))

    (larva,) = ledger.stage_times("BEET", END)

    assert larva.times is not None
    assert larva.times.log_likelihood == pytest.approx(turnbull(wanted).log_likelihood, abs=1e-9)
    assert [(piece.low, piece.high) for piece in larva.times.pieces] == [
        (piece.low, piece.high) for piece in turnbull(wanted).pieces
    ]
