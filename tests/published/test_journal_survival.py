"""Published survival data entered as lots and movements, and read back from the curve of the lot.

Flies: Drosophila longevity, 163 flies of two kinds (control and miR-137), as shipped with lifelines (`load_waltons`);
a fly lost from sight is entered as escaped. Leukaemia remission in weeks: Freireich et al. 1963, Blood 21:699-716,
6-MP arm, with Rothman-Wilson limits (Rothman 1978, J Chronic Dis 31:557-560; checked against R km.ci).
"""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Iterable

import pytest

from ledger.ledger import Ledger
from ledger.rearing.curve import LotCurve, curve
from ledger.rearing.interval import survival_interval
from ledger.stock.commands import AddLot, Arrival, DescribeSpecies, Move, Record, StageSpec

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
        limits = survival_interval(alive, se, resolved=21, animals=21)
        assert (alive, se) == (pytest.approx(share, abs=5e-11), pytest.approx(error, abs=5e-11))
        assert limits is not None
        assert (limits.low, limits.high) == (pytest.approx(low, abs=5e-9), pytest.approx(high, abs=5e-9))


def test_one_death_entered_a_week_late_is_noticed(flies: Ledger) -> None:
    late = tuple((23 if (week, died) == (22, True) else week, died) for week, died in FREIREICH)

    found = enter(flies, "F1", late)

    assert value(found, 22)[0] != pytest.approx(LIMITS[22][0], abs=5e-11)
