"""Survival, its errors and its intervals against published data and exact fractions.

Sources: Freireich et al. 1963 (Blood 21:699-716), limits as R's km.ci(method="rothman"); the proportions of Newcombe
1998 (Stat Med 17:857-872), their beta limits after Clopper & Pearson 1934 and Brown, Cai & DasGupta 2001; the
three-state example in the tests of R's survival package, standard errors as R's etm;
the Drosophila longevity data shipped with lifelines; the stage counts of Chorthippus brunneus by Richards & Waloff 1954
as in Begon, Mortimer & Thompson, Population Ecology.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable
from fractions import Fraction
from itertools import pairwise

import numpy as np
import pytest

from ledger.rearing.beta import Beta, beta_binomial, jeffreys, quantile
from ledger.rearing.by_stage import stage_product
from ledger.rearing.interval import Z95, effective_size, wilson
from ledger.rearing.spells import Fate, Spell
from ledger.rearing.survival import Curve, Flow, survival_curve
from tests.limits import limits_of

TEN_DIGITS = 5.1e-11

SIX_MP = ((6, 1), (6, 1), (6, 1), (6, 0), (7, 1), (9, 0), (10, 1), (10, 0), (11, 0), (13, 1), (16, 1), (17, 0), (19, 0),
          (20, 0), (22, 1), (23, 1), (25, 0), (32, 0), (32, 0), (34, 0), (35, 0))  # fmt: skip
PLACEBO = (1, 1, 2, 2, 3, 4, 4, 5, 5, 8, 8, 8, 8, 11, 11, 12, 12, 15, 17, 22, 23)


def life(rows: list[tuple[int, int]], states: tuple[str, ...] = ("alive", "dead")) -> Curve:
    """Curve of one living state; a row is (day, 0 = out of sight or the state it ends in)."""
    flows = [
        Flow(day, "move", 0, end, n) if end else Flow(day, "leave", 0, None, n)
        for (day, end), n in Counter(rows).items()
    ]
    return survival_curve(states, [len(rows)] + [0] * (len(states) - 1), flows)


def at(curve: Curve, day: int, state: int) -> float:
    return float(curve.prob[curve.row(day), state])


def se_at(curve: Curve, day: int, state: int) -> float:
    assert curve.se is not None
    return float(curve.se[curve.row(day), state])


def median(curve: Curve, state: int) -> int:
    return int(curve.days[np.argmax(curve.prob[:, state] <= 0.5)])


@pytest.mark.parametrize(
    ("day", "at_risk", "died", "share", "se", "size", "low", "high"),
    [
        (6, 21, 3, 0.8571428571, 0.0763603548, 21.0000000, 0.6536393972, 0.9501898750),
        (7, 17, 1, 0.8067226891, 0.0869352852, 20.6306533, 0.5948881706, 0.9222628971),
        (10, 15, 1, 0.7529411765, 0.0963496530, 20.0383108, 0.5345431889, 0.8899595586),
        (13, 12, 1, 0.6901960784, 0.1068147078, 18.7411952, 0.4644002804, 0.8512846546),
        (16, 11, 1, 0.6274509804, 0.1140538653, 17.9697987, 0.4008626787, 0.8091452457),
        (22, 7, 1, 0.5378151261, 0.1282337517, 15.1162492, 0.3055924628, 0.7547125982),
        (23, 6, 1, 0.4481792717, 0.1345914568, 13.6525819, 0.2262421345, 0.6928746953),
    ],
)
def test_remission_times_of_1963_give_the_published_survival_error_and_rothman_wilson_limits(
    day: int, at_risk: int, died: int, share: float, se: float, size: float, low: float, high: float
) -> None:
    curve = life(list(SIX_MP))
    row = curve.row(day)

    assert curve.at_risk[row, 0] == at_risk
    assert SIX_MP.count((day, 1)) == died
    assert at(curve, day, 0) == pytest.approx(share, abs=TEN_DIGITS)
    assert se_at(curve, day, 0) == pytest.approx(se, abs=TEN_DIGITS)
    resolved = sum(1 for when, end in SIX_MP if end and when <= day)
    found = effective_size(at(curve, day, 0), se_at(curve, day, 0), resolved=resolved, animals=21)
    assert found == pytest.approx(size, abs=6e-8)
    limits = limits_of(at(curve, day, 0), se_at(curve, day, 0), resolved=resolved, animals=21)
    assert limits.low == pytest.approx(low, abs=TEN_DIGITS)
    assert limits.high == pytest.approx(high, abs=TEN_DIGITS)


def test_remission_medians_are_23_and_8() -> None:
    assert median(life(list(SIX_MP)), 0) == 23

    placebo = life([(day, 1) for day in PLACEBO])

    assert median(placebo, 0) == 8
    assert at(placebo, 8, 0) == pytest.approx(0.3809523810, abs=TEN_DIGITS)
    assert se_at(placebo, 8, 0) == pytest.approx(0.1059711696, abs=TEN_DIGITS)


@pytest.mark.parametrize(
    ("x", "n", "low", "high"),
    [
        (81, 263, 0.2552885199, 0.3662095770),
        (15, 148, 0.0623863995, 0.1604872417),
        (0, 20, 0.0, 0.1611251581),
        (1, 29, 0.0061132143, 0.1717552188),
        (13, 20, 0.4328542767, 0.8188081759),
        (10, 10, 0.7224672001, 1.0),
        (1, 1, 0.2065493144, 1.0),
    ],
)
def test_wilson_limits_of_newcombes_pairs(x: int, n: int, low: float, high: float) -> None:
    found = wilson(x / n, n)

    assert found.low == pytest.approx(low, abs=TEN_DIGITS)
    assert found.high == pytest.approx(high, abs=TEN_DIGITS)


def test_the_usual_limits_of_the_remission_times_follow_from_share_and_error() -> None:
    """Plain, log-log and logit limits as R's survfit gives them at week 23; Jeffreys' on the effective size."""
    curve = life(list(SIX_MP))
    share, se = at(curve, 23, 0), se_at(curve, 23, 0)
    size = effective_size(share, se, resolved=9, animals=21)
    assert size is not None

    def by(to: Callable[[float], float], back: Callable[[float], float], slope: float) -> list[float]:
        return sorted(back(to(share) + sign * Z95 * se * slope) for sign in (-1, 1))

    plain = by(lambda p: p, lambda x: x, 1.0)
    log_log = by(lambda p: math.log(-math.log(p)), lambda x: math.exp(-math.exp(x)), 1 / (share * math.log(share)))
    logit = by(lambda p: math.log(p / (1 - p)), lambda x: 1 / (1 + math.exp(-x)), 1 / (share * (1 - share)))

    assert plain == pytest.approx([0.1843848638, 0.7119736796], abs=TEN_DIGITS)
    assert log_log == pytest.approx([0.1880520060, 0.6801426285], abs=TEN_DIGITS)
    assert logit == pytest.approx([0.2184597510, 0.7023691232], abs=TEN_DIGITS)
    known = jeffreys(share * size, size)
    assert known.below(0.2155125958) == pytest.approx(0.025, abs=1e-9)
    assert known.below(0.7003988733) == pytest.approx(0.975, abs=1e-9)


@pytest.mark.parametrize(
    ("x", "n", "exact", "jeffreys_limits"),
    [
        (81, 263, (0.2527367456, 0.3676219226), (0.2545219350, 0.3656474992)),
        (15, 148, (0.0578440101, 0.1616504903), (0.0604485170, 0.1576431435)),
        (0, 20, (0.0, 0.1684334710), (0.0, 0.1166389829)),
        (1, 29, (0.0008726469, 0.1776442955), (0.0037461736, 0.1500776860)),
        (13, 20, (0.4078114655, 0.8460907952), (0.4322339062, 0.8277237864)),
        (10, 10, (0.6915028922, 1.0), (0.7828037325, 1.0)),
        (1, 1, (0.025, 1.0), (0.1467463163, 1.0)),
    ],
)
def test_exact_and_jeffreys_limits_of_newcombes_pairs_are_points_of_the_beta_distribution(
    x: int, n: int, exact: tuple[float, float], jeffreys_limits: tuple[float, float]
) -> None:
    if x:
        assert Beta(x, n - x + 1).below(exact[0]) == pytest.approx(0.025, abs=2e-9)
        assert jeffreys(x, n).below(jeffreys_limits[0]) == pytest.approx(0.025, abs=2e-9)
    if x < n:
        assert Beta(x + 1, n - x).below(exact[1]) == pytest.approx(0.975, abs=2e-9)
        assert jeffreys(x, n).below(jeffreys_limits[1]) == pytest.approx(0.975, abs=2e-9)


@pytest.mark.parametrize(
    ("x", "n", "m", "mean", "variance", "points", "count", "chance"),
    [
        (
            *(13, 20, 30, 19.2857142857, 15.9670686456),
            {0.1: 14, 0.5: 19, 0.9: 24, 0.025: 11, 0.975: 26},
            *(0, 9.6401940594e-08),
        ),
        (0, 5, 10, 0.8333333333, 1.7460317460, {0.1: 0, 0.5: 0, 0.9: 3}, 0, 0.5870301383),
        (10, 10, 20, 19.0909090909, 2.2417355372, {0.1: 17, 0.5: 20, 0.9: 20}, 20, 0.5821787132),
    ],
)
def test_counts_of_the_next_animals_are_beta_binomial(
    x: int, n: int, m: int, mean: float, variance: float, points: dict[float, int], count: int, chance: float
) -> None:
    """After Skellam 1948 (J R Stat Soc B 10:257-261), from Jeffreys' prior; computed with scipy's betabinom."""
    pmf = beta_binomial(m, jeffreys(x, n))
    found = float(pmf @ np.arange(m + 1))

    assert found == pytest.approx(mean, abs=TEN_DIGITS)
    assert float(pmf @ (np.arange(m + 1) - found) ** 2) == pytest.approx(variance, abs=TEN_DIGITS)
    assert {level: quantile(pmf, level) for level in points} == points
    assert float(pmf[count]) == pytest.approx(chance, rel=6e-10)


ENTRY, A, B, C = 0, 1, 2, 3
THREE_STATE = [
    Flow(1, "enter", None, ENTRY, 1),
    Flow(2, "move", ENTRY, A, 1),
    Flow(2, "enter", None, ENTRY, 1),
    Flow(3, "move", ENTRY, B, 1),
    Flow(4, "move", ENTRY, A, 1),
    Flow(5, "move", ENTRY, B, 1),
    Flow(5, "leave", B, None, 1),
    Flow(8, "move", A, C, 1),
    Flow(9, "move", ENTRY, C, 1),
    Flow(9, "move", A, B, 1),
    Flow(9, "leave", C, None, 2),
    Flow(10, "move", B, A, 1),
    Flow(10, "leave", A, None, 1),
    Flow(11, "leave", B, None, 1),
]
"""Five subjects with late entry; subjects 1 and 2 are there at 0, 5 enters at 1, 3 at 2."""


def three_state() -> Curve:
    return survival_curve(("entry", "a", "b", "c"), [3, 0, 0, 0], THREE_STATE)


@pytest.mark.parametrize(
    ("day", "parts", "whole"),
    [
        (2, (3, 1, 0, 0), 4),
        (3, (9, 4, 3, 0), 16),
        (4, (6, 7, 3, 0), 16),
        (5, (3, 7, 6, 0), 16),
        (8, (6, 7, 12, 7), 32),
        (9, (0, 0, 19, 13), 32),
        (10, (0, 19, 19, 26), 64),
    ],
)
def test_three_state_example_with_late_entry_gives_exact_fractions(
    day: int, parts: tuple[int, ...], whole: int
) -> None:
    curve = three_state()

    assert curve.prob[curve.row(day)] == pytest.approx([part / whole for part in parts], abs=1e-15)


@pytest.mark.parametrize(
    ("day", "errors"),
    [
        (5, (0.1711632992, 0.2296396634, 0.2165063509, 0)),
        (8, (0.1711632992, 0.1926379376, 0.2165063509, 0.1926379376)),
        (9, (0, 0, 0.2209708691, 0.2209708691)),
        (10, (0, 0.2372222883, 0.2372222883, 0.2209708691)),
    ],
)
def test_three_state_example_gives_the_greenwood_type_errors_of_etm(day: int, errors: tuple[float, ...]) -> None:
    curve = three_state()
    assert curve.se is not None

    assert curve.se[curve.row(day)] == pytest.approx(errors, abs=TEN_DIGITS)


def test_three_state_errors_are_not_those_of_the_infinitesimal_jackknife() -> None:
    """R's survfit reports the jackknife (Therneau), which needs animals followed by name; day 10."""
    curve = three_state()
    assert curve.se is not None

    assert curve.se[curve.row(10)] != pytest.approx((0, 0.2438826762, 0.2341796061, 0.2288409143), abs=1e-3)


LARVA, PUPA, ADULT, DEAD = 0, 1, 2, 3
EIGHT_LARVAE = [
    Flow(7, "move", LARVA, DEAD, 1),
    Flow(10, "move", LARVA, PUPA, 2),
    Flow(10, "leave", LARVA, None, 1),
    Flow(14, "move", LARVA, PUPA, 3),
    Flow(14, "move", LARVA, DEAD, 1),
    Flow(17, "move", PUPA, DEAD, 1),
    Flow(20, "move", PUPA, ADULT, 1),
    Flow(20, "leave", PUPA, None, 1),
    Flow(24, "move", PUPA, ADULT, 2),
]
"""Worked by hand: eight larvae, one sold as larva, one as pupa."""


def eight_larvae() -> Curve:
    return survival_curve(("larva", "pupa", "adult", "dead"), [8, 0, 0, 0], EIGHT_LARVAE)


@pytest.mark.parametrize(
    ("day", "shares"),
    [
        (7, ("7/8", "0", "0", "1/8")),
        (10, ("5/8", "1/4", "0", "1/8")),
        (14, ("0", "23/32", "0", "9/32")),
        (17, ("0", "23/40", "0", "17/40")),
        (20, ("0", "69/160", "23/160", "17/40")),
        (24, ("0", "0", "23/40", "17/40")),
    ],
)
def test_eight_larvae_give_exact_fractions_on_every_day(day: int, shares: tuple[str, ...]) -> None:
    curve = eight_larvae()

    assert curve.prob[curve.row(day)] == pytest.approx([float(Fraction(share)) for share in shares], abs=1e-15)


def test_eight_larvae_give_error_covariance_effective_size_and_limits_of_the_adults() -> None:
    curve = eight_larvae()
    assert curve.cov is not None
    share, se = at(curve, 24, ADULT), se_at(curve, 24, ADULT)

    assert se_at(curve, 20, ADULT) == pytest.approx(0.1329980322, abs=TEN_DIGITS)
    assert se == pytest.approx(0.1872081061, abs=TEN_DIGITS)
    assert curve.cov[ADULT, DEAD] == pytest.approx(-0.0350468750, abs=TEN_DIGITS)
    assert effective_size(share, se, resolved=6, animals=8) == pytest.approx(6.9728042800, abs=6e-10)
    limits = limits_of(share, se, resolved=6, animals=8)
    assert limits.low == pytest.approx(0.2525256117, abs=TEN_DIGITS)
    assert limits.high == pytest.approx(0.8441911624, abs=TEN_DIGITS)
    known = jeffreys(share * 6.9728042800, 6.9728042800)
    assert known.below(0.2366542929) == pytest.approx(0.025, abs=1e-9)
    assert known.below(0.8636157478) == pytest.approx(0.975, abs=1e-9)
    assert curve.warnings == ()


def test_ten_larvae_two_dead_three_sold_one_of_five_dead_is_sixteen_of_twenty_five() -> None:
    """Product limit of Kaplan & Meier 1958 (JASA 53:457-481); those sold are censored, not survivors."""
    curve = life([(1, 1)] * 2 + [(2, 0)] * 3 + [(3, 1)] + [(4, 0)] * 4)

    assert at(curve, 3, 0) == pytest.approx(float(Fraction(16, 25)), abs=1e-15)
    assert at(curve, 3, 0) != pytest.approx(7 / 10, abs=0.05)


def waltons(group: str | None = None) -> list[tuple[int, int]]:
    from lifelines.datasets import load_waltons

    table = load_waltons()
    return [(int(row.T), int(row.E)) for row in table.itertuples() if group is None or row.group == group]


@pytest.mark.parametrize(
    ("group", "flies", "days", "middle"),
    [
        (
            None,
            163,
            {
                6: (0.9938650307, 0.0061161214),
                22: (0.8889570552, 0.0246780506),
                33: (0.8025306748, 0.0312731540),
                45: (0.6728911043, 0.0368589744),
                56: (0.4299026500, 0.0390100048),
                63: (0.1806904147, 0.0307992882),
                75: (0.0, 0.0),
            },
            56,
        ),
        (
            "control",
            129,
            {
                22: (0.9844350851, 0.0109203187),
                45: (0.8281755478, 0.0333386542),
                56: (0.5284548734, 0.0442833585),
                63: (0.2295732826, 0.0378820162),
            },
            58,
        ),
        (
            "miR-137",
            34,
            {
                13: (0.7941176471, 0.0693445807),
                26: (0.3823529412, 0.0833418138),
                45: (0.0882352941, 0.0486433077),
            },
            26,
        ),
    ],
)
def test_fly_longevity_gives_the_kaplan_meier_values(
    group: str | None, flies: int, days: dict[int, tuple[float, float]], middle: int
) -> None:
    rows = waltons(group)
    curve = life(rows)

    assert len(rows) == flies
    for day, (share, se) in days.items():
        assert at(curve, day, 0) == pytest.approx(share, abs=TEN_DIGITS)
        assert se_at(curve, day, 0) == pytest.approx(se, abs=TEN_DIGITS)
    assert median(curve, 0) == middle


@pytest.mark.parametrize("group", [None, "control", "miR-137"])
def test_fly_longevity_agrees_with_another_program_on_every_day(group: str | None) -> None:
    from lifelines import KaplanMeierFitter

    rows = waltons(group)
    curve = life(rows)
    fitted = KaplanMeierFitter().fit([day for day, _ in rows], [end for _, end in rows])

    for day in range(80):
        assert at(curve, day, 0) == pytest.approx(float(fitted.predict(day)), abs=1e-12)


@pytest.mark.parametrize(
    ("day", "died", "lost", "alive"),
    [
        (22, 0.1104294479, 0.0061349693, 0.8834355828),
        (45, 0.3251533742, 0.0122699387, 0.6625766871),
        (56, 0.5644171779, 0.0122699387, 0.4233128834),
        (63, 0.8036809816, 0.0306748466, 0.1656441718),
        (75, 0.9570552147, 0.0429447853, 0.0),
    ],
)
def test_fly_longevity_with_the_lost_as_a_second_outcome_gives_the_cumulative_incidences(
    day: int, died: float, lost: float, alive: float
) -> None:
    curve = life([(when, 1 if end else 2) for when, end in waltons()], ("alive", "died", "lost"))

    assert curve.prob[curve.row(day)] == pytest.approx([alive, died, lost], abs=TEN_DIGITS)


def test_cumulative_incidences_of_the_flies_agree_with_another_program_on_every_day() -> None:
    """statsmodels' CumIncidenceRight; lifelines' own fitter moves tied times at random and is no reference."""
    from statsmodels.duration.api import CumIncidenceRight

    rows = waltons()
    curve = life([(when, 1 if end else 2) for when, end in rows], ("alive", "died", "lost"))
    times, ends = np.array([when for when, _ in rows]), np.array([1 if end else 2 for _, end in rows])
    # Its standard errors divide by nought where nobody is left; its shares do not.
    with np.errstate(divide="ignore", invalid="ignore"):
        theirs = CumIncidenceRight(times, ends)

    for day, died, lost in zip(theirs.times, *theirs.cinc, strict=True):
        assert at(curve, int(day), 1) == pytest.approx(float(died), abs=1e-12)
        assert at(curve, int(day), 2) == pytest.approx(float(lost), abs=1e-12)


def test_control_flies_have_the_log_log_limits_of_another_program_at_day_56() -> None:
    curve = life(waltons("control"))
    share, se = at(curve, 56, 0), se_at(curve, 56, 0)

    half = Z95 * se / abs(share * math.log(share))
    limits = sorted(math.exp(-math.exp(math.log(-math.log(share)) + sign * half)) for sign in (-1, 1))

    assert limits == pytest.approx([0.4381807101, 0.6107912357], abs=TEN_DIGITS)


def test_fly_longevity_second_outcome_has_the_published_variance_at_day_56() -> None:
    curve = life([(when, 1 if end else 2) for when, end in waltons()], ("alive", "died", "lost"))

    assert se_at(curve, 56, 1) ** 2 == pytest.approx(0.00150828483, abs=6e-12)


def test_grasshopper_instar_counts_give_the_published_share_that_became_adult() -> None:
    counts = (3513, 2529, 1922, 1461, 1300)
    flows = []
    for instar, (there, on) in enumerate(pairwise(counts)):
        flows += [
            Flow(10 * instar + 10, "move", instar, 5, there - on),
            Flow(10 * instar + 10, "move", instar, instar + 1, on),
        ]
    curve = survival_curve(("I", "II", "III", "IV", "adult", "dead"), [3513, 0, 0, 0, 0, 0], flows)
    share, se = at(curve, 40, 4), se_at(curve, 40, 4)
    limits = limits_of(share, se, resolved=3513, animals=3513)

    assert share == pytest.approx(0.3700540848, abs=TEN_DIGITS)
    assert se == pytest.approx(0.0081460141, abs=TEN_DIGITS)
    assert limits.low == pytest.approx(0.3542382219, abs=TEN_DIGITS)
    assert limits.high == pytest.approx(0.3861538286, abs=TEN_DIGITS)


def test_grasshopper_stages_lose_the_published_fractions_and_killing_powers() -> None:
    counts = (44000, 3513, 2529, 1922, 1461, 1300)
    lost = (0.920159, 0.280102, 0.240016, 0.239854, 0.110198)
    killing = (1.097775, 0.142729, 0.119195, 0.119103, 0.050707)

    for (there, on), q, k in zip(pairwise(counts), lost, killing, strict=True):
        curve = survival_curve(
            ("stage", "next", "dead"),
            [there, 0, 0],
            [Flow(1, "move", 0, 2, there - on), Flow(1, "move", 0, 1, on)],
        )
        assert at(curve, 1, 2) == pytest.approx(q, abs=6e-7)
        assert -math.log10(at(curve, 1, 1)) == pytest.approx(k, abs=6e-7)
    assert math.log10(counts[0] / counts[-1]) == pytest.approx(1.529509, abs=6e-7)


def test_grasshopper_stages_by_the_product_leave_the_published_share_of_eggs_alive_at_each_stage() -> None:
    counts = (44000, 3513, 2529, 1922, 1461, 1300)
    alive = (1.0, 0.079841, 0.057477, 0.043682, 0.033205, 0.029545)
    stays = [
        Spell(stage, 10 * stage, 10 * stage + 10, fate, number, True)
        for stage, (there, on) in enumerate(pairwise(counts))
        for fate, number in ((Fate.ON, on), (Fate.LOST, there - on))
    ]

    for stage, share in enumerate(alive[1:], 1):
        found = stage_product(("egg", "I", "II", "III", "IV")[:stage], stays)
        assert found.share == pytest.approx(share, abs=6e-7)
