"""The curve of a species ends where its survival figure stands; limits of a share hold what they say."""

from __future__ import annotations

import random

import pytest

from ledger.errors import Refused
from ledger.rearing.beta import Beta
from ledger.rearing.interval import wilson
from ledger.rearing.share_limits import limits
from ledger.rearing.species_curve import species_curve
from tests.ledger.rearing.loft import Loft, beetle


@pytest.fixture
def three(sqlite_store: object) -> Loft:
    """Three finished lots that differ."""
    loft = Loft(sqlite_store)  # type: ignore[arg-type]
    loft.do(beetle())
    for number, (reared, lost) in enumerate(((18, 2), (9, 11), (14, 6))):
        loft.course(f"B{number}", 0 + number, reared=reared, lost=lost)
    loft.on(120)
    return loft


def test_the_last_day_of_the_curve_is_the_figure_of_the_species(three: Loft) -> None:
    found = three.ledger.ask(species_curve, "BEET", three.ledger.today)
    (group,) = three.ledger.survival_of_species("BEET").groups
    assert group.together is not None

    last = found.drawn[-1]
    assert (found.lots, found.counted_from) == (3, "larva")
    assert last.share == pytest.approx(41 / 60)
    assert (last.share, last.low, last.high) == pytest.approx(
        (group.together.share, group.together.low, group.together.high)
    )
    assert found.design_effect == pytest.approx(group.design_effect)


def test_the_curve_rises_within_its_band(three: Loft) -> None:
    days = three.ledger.ask(species_curve, "BEET", three.ledger.today).drawn

    shares = [one.share for one in days]
    assert shares == sorted(shares)
    assert all(one.low <= one.share <= one.high for one in days)
    assert days[-1].high - days[-1].low > 0.1


def test_where_all_were_lost_the_last_day_has_the_interval_of_the_figure(loft: Loft) -> None:
    """Before it the band is the line: the error of nought says nothing."""
    loft.lot("B1", 0, 12)
    loft.gone("B1", 20, 2, "died")
    loft.gone("B1", 30, 10, "died")
    (row,) = loft.ledger.rearing(lot="B1", on=loft.on(40))

    drawn = loft.ledger.curve("B1", loft.on(40)).drawn

    assert (row.survival, row.low) == (0, 0)
    assert row.high is not None
    assert row.high == pytest.approx(wilson(0, 12).high)
    assert [(one.low, one.high) for one in drawn] == [(0, 0), (0, 0), (0, pytest.approx(row.high))]


def test_two_lots_are_never_drawn_as_one(sqlite_store: object) -> None:
    loft = Loft(sqlite_store)  # type: ignore[arg-type]
    loft.do(beetle())
    for number in (1, 2):
        loft.course(f"B{number}", number, reared=10, lost=5)

    with pytest.raises(Refused, match="two lots do not show how far lots differ"):
        loft.ledger.ask(species_curve, "BEET", loft.on(120))


def test_a_species_without_young_has_no_curve(sqlite_store: object) -> None:
    loft = Loft(sqlite_store)  # type: ignore[arg-type]
    loft.do(beetle())

    with pytest.raises(Refused, match="has no lot with animals before the reared stage"):
        loft.ledger.ask(species_curve, "BEET", loft.ledger.today)


@pytest.mark.parametrize("share", [Beta(14, 7), Beta(0.7, 0.4), Beta(300, 5)])
def test_limits_of_a_share_hold_four_cases_of_five(share: Beta) -> None:
    found = limits(share)
    draws = random.Random(4)
    inside = sum(found.low <= draws.betavariate(share.a, share.b) <= found.high for _ in range(20_000))

    assert share.below(found.low) == pytest.approx(0.1)
    assert share.below(found.high) == pytest.approx(0.9)
    assert inside / 20_000 == pytest.approx(0.8, abs=0.012)
