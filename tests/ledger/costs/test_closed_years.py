"""What is set in an open year, or said late of a closed one, leaves the closed year as it was."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from typing import Any

import pytest

from ledger.books.commands import CloseYear
from ledger.costs.account import account
from ledger.costs.commands import SetCare, SetMethod, Spend
from ledger.costs.grid import GRID
from ledger.costs.lots import method_of
from ledger.costs.result import Kind
from ledger.errors import BadInput
from ledger.ledger import Ledger
from ledger.records.store import Store
from ledger.stock.commands import AddLot, Arrival, DescribeSpecies, Move, Record, SetFigure, SetLotFact, StageSpec
from tests.ledger.costs.keeper import Keeper, day

NEW, LAST, NOW = day("2026-01-01"), day("2025-12-31"), day("2026-06-01")


@pytest.fixture
def breeder(sqlite_store: Store) -> Keeper:
    """A pair breeding all 2025, two clutches of theirs, heat by the tub; it is June 2026 and 2025 is still open."""
    now = [dt.datetime(2026, 6, 1, 10, 0)]
    keeper = Keeper(Ledger(sqlite_store, clock=lambda: now[0], by="keeper"), now)
    start, laid = day("2025-01-01"), day("2025-05-01")
    stages = (StageSpec("egg"), StageSpec("larva"), StageSpec("adult"))
    keeper.do(DescribeSpecies("BUG", "Species inventa", "bug", "beetle", stages, "adult", breeding_life_days=500))
    pair = Arrival("bought", "adult", males=1, females=2, value=9000)
    keeper.do(AddLot("P", "BUG", start, (pair,), purpose="breeding"))
    keeper.do(Spend(start, "heat", 36500, kind="overhead", window_to=day("2026-12-31")))
    keeper.do(Spend(start, "feed", 7300, kind="overhead", window_to=day("2026-12-31")))
    keeper.do(SetMethod("sharing heat", "tub-days", start))
    for code in ("Y", "Z"):
        eggs = Arrival("laid", "egg", unsexed=12)
        keeper.do(AddLot(code, "BUG", laid, (eggs,), mothers=("P",), laid_on=laid))
    keeper.do(DescribeSpecies("FLY", "Musca inventa", "fly", "fly", stages, "adult"))
    keeper.do(AddLot("F", "FLY", start, (Arrival("bought", "adult", unsexed=5, value=700),), purpose="breeding"))
    keeper.do(Record("Y", (Move("next stage", 10, to_stage="larva"), Move("died", 2)), day("2025-06-01")))
    return keeper


def figures(keeper: Keeper) -> tuple[object, object]:
    """All that stands at the end of 2025, and what a run that goes on says went out by then."""
    then, later = (keeper.ledger.ask(account, on).shared for on in (LAST, NOW))
    stands = [(row.kind, row.lot, row.stage, row.cost, row.posted) for row in then.closing], list(then.postings)
    return stands, [row for row in later.postings if row.day <= LAST.toordinal()]


SETTINGS: Sequence[Any] = (
    SetFigure("BUG", None, "breeding life days", 800, NEW),
    SetFigure("FLY", None, "breeding life days", 800, NEW),
    SetFigure("BUG", "larva", "care weight", 3000, NEW),
    SetFigure("BUG", "larva", "loss rate", 0, NEW),
    SetCare("feed", "BUG", "larva", 3000, NEW),
    SetMethod("brood", "expense", NEW),
    SetMethod("sharing heat", "animal-days", NEW),
    SetLotFact("Y", "containers", "7", day("2025-07-01")),
    SetLotFact("Y", "brood weight", "60", day("2025-05-01")),
    SetLotFact("Y", "purpose", "breeding", day("2025-09-01")),
    SetLotFact("P", "purpose", "sale", day("2025-09-01")),
    SetLotFact("P", "brood ends", "yes", day("2025-09-01")),
)


@pytest.mark.parametrize("setting", SETTINGS, ids=lambda one: f"{one.__class__.__name__} {getattr(one, 'fact', '')}")
def test_a_closed_year_stands_whatever_is_set_afterwards(breeder: Keeper, setting: Any) -> None:
    breeder.do(CloseYear(2025, NOW))
    before = figures(breeder)
    carried = breeder.ledger.ask(account, NOW).shared.closing

    done = breeder.do(setting)

    assert figures(breeder) == before
    assert breeder.ledger.prove() == ()
    # A better loss rate takes nothing back, and no clutch came since.
    if getattr(setting, "name", "") != "loss rate" and getattr(setting, "fact", "") != "brood weight":
        assert breeder.ledger.ask(account, NOW).shared.closing != carried
    if isinstance(setting, SetLotFact):
        assert done.cautions == ("That year is closed and keeps its figures: costs go by it from 1 January 2026 on.",)


@pytest.mark.parametrize("setting", SETTINGS[7:], ids=lambda one: one.fact)
def test_said_in_time_it_does_change_the_year(breeder: Keeper, setting: SetLotFact) -> None:
    """A control: the same said before the year was closed."""
    before = figures(breeder)

    assert breeder.do(setting).cautions == ()

    assert figures(breeder) != before


def test_what_was_said_late_gives_way_to_what_was_so_by_the_new_year(breeder: Keeper) -> None:
    breeder.do(SetLotFact("Y", "purpose", "breeding", day("2025-07-01")))
    breeder.do(SetLotFact("Y", "purpose", "sale", day("2025-11-01")))
    breeder.do(CloseYear(2025, NOW))

    breeder.do(SetLotFact("Y", "purpose", "breeding", day("2025-09-01")))
    breeder.do(SetLotFact("Z", "purpose", "quarantine", day("2025-08-01")))
    breeder.do(SetLotFact("Z", "purpose", "breeding", day("2025-10-01")))

    lots = breeder.ledger.ask(method_of).lots
    y, z = lots[2], lots[3]
    assert y.breeding == ((day("2025-07-01").toordinal(), day("2025-10-31").toordinal()),)
    assert z.breeding == ((NEW.toordinal(), None),)


def test_upkeep_is_expensed_from_the_day_it_is_said_and_what_young_took_stays_with_them(breeder: Keeper) -> None:
    breeder.do(CloseYear(2025, NOW))
    young = breeder.carried("2025-12-31")
    pool = breeder.carried("2025-12-31", kind=Kind.BROOD)[1]

    breeder.do(SetMethod("brood", "expense", NEW))

    assert {lot: breeder.carried("2025-12-31")[lot] for lot in young} == young
    ended = [row for row in breeder.ledger.ask(account, NEW).shared.postings if row.kind is Kind.BROOD_ENDED]
    assert ended[0].day == NEW.toordinal()
    assert abs(sum(ended[0].posted) - pool) <= 2
    assert breeder.carried("2026-06-01", kind=Kind.BROOD) == {}


def test_a_new_breeding_life_spreads_what_is_left_from_its_day(breeder: Keeper) -> None:
    """90.00 over 500 days; after 100 of them the life becomes 900 days: 72.00 over 800 days more."""
    on = day("2025-01-01") + dt.timedelta(days=100)
    breeder.do(SetFigure("BUG", None, "breeding life days", 900, on))

    def left(days: int) -> int:
        shared = breeder.ledger.ask(account, on + dt.timedelta(days=days - 1)).shared
        return round(sum(row.cost[shared.categories.index("animals")] for row in shared.buckets if row.lot == 1) / GRID)

    assert [left(days) for days in (0, 100, 200, 799, 800)] == [7200, 6300, 5400, 9, 0]


def test_two_clutches_of_one_day_share_the_brood_by_the_weights_a_keeper_states(breeder: Keeper) -> None:
    def young(code: str) -> int:
        shared = breeder.ledger.ask(account, day("2025-05-01")).shared
        lot = {"Y": 2, "Z": 3}[code]
        return sum(sum(row.cost) for row in shared.buckets if row.lot == lot)

    before = breeder.ledger.ask(account, day("2025-04-30")).shared
    pool = sum(sum(row.cost) for row in before.closing if row.kind is Kind.BROOD and row.lot == 1)
    total = young("Y") + young("Z")
    assert pool > 1000 * GRID
    assert abs(young("Y") - young("Z")) < GRID

    breeder.do(SetLotFact("Y", "brood weight", "3", day("2025-05-01")))
    breeder.do(SetLotFact("Z", "brood weight", "1", day("2025-05-01")))

    assert young("Y") + young("Z") == total
    assert abs(young("Y") - young("Z") - pool * (3 - 1) // 4) < GRID, "besides what the day itself gave to each"
    for wrong in ("0", "-1", "1.5", "many", ""):
        with pytest.raises(BadInput, match="weight of a clutch"):
            breeder.ledger.preview(SetLotFact("Y", "brood weight", wrong, day("2025-05-01")))
