"""Which figures a late or back-dated act would change: said before it is saved, and true once it is."""

from __future__ import annotations

import datetime as dt
from fractions import Fraction
from typing import Any

import pytest

from ledger.books.changes import EACH, NEW, SO_FAR, WAITING, WENT_OUT, changes, figures, read
from ledger.books.commands import CloseYear
from ledger.costs import account as costing
from ledger.costs.commands import EndWindow, Spend
from ledger.errors import NotEnough, ReadOnly
from ledger.ledger import Ledger
from ledger.records import engines
from ledger.records import tables as t
from ledger.records.store import open_store
from ledger.selling.commands import LineOf, Sell
from ledger.stock.commands import AddLot, Arrival, Move, Record
from tests.ledger.costs.keeper import BUG, Keeper


def day(text: str) -> dt.date:
    return dt.date.fromisoformat(text)


@pytest.fixture
def kept(ledger: Ledger) -> Ledger:
    """Ten larvae since 1 December 2024, feed for 24.00, eight reared on 1 March, two of them sold."""
    ledger.do(BUG)
    ledger.do(AddLot("L", "BUG", day("2024-12-01"), (Arrival("collected", "larva", unsexed=10),)))
    ledger.do(Spend(day("2025-01-10"), "feed", 2400, window_to=day("2025-02-10")))
    ledger.do(Record("L", (Move("next stage", 8, to_stage="adult"),), day("2025-03-01")))
    ledger.do(Sell((LineOf("L", 2, 900, stage="adult"),), day("2025-03-05")))
    return ledger


def changed(ledger: Ledger, command: Any) -> dict[tuple[str, str], tuple[Fraction | None, Fraction | None]]:
    return {(one.figure, one.of): (one.before, one.after) for one in ledger.what_changes(command).changes}


def near(found: Fraction | None, wanted: Fraction | int) -> bool:
    return found is not None and abs(found - wanted) < Fraction(1, 10**9)


def test_a_death_found_late_makes_the_reared_dearer(kept: Ledger) -> None:
    late = Record("L", (Move("died", 2, stage="larva"),), day("2025-02-20"))

    found = changed(kept, late)

    before, after = found[EACH, "L"]
    assert near(before, 240)
    assert near(after, 300)
    assert near(found[EACH, "all BUG"][1], 300)
    assert near(found[SO_FAR, "L"][0], 2400 - 480)
    assert near(found[SO_FAR, "L"][1], 2400 - 600)
    assert found[WENT_OUT, "2025"] == (480, 600)


def test_what_is_said_is_what_comes_of_it(kept: Ledger) -> None:
    late = Spend(day("2025-02-01"), "heat", 1000, kind="overhead", window_to=day("2025-06-30"))
    before = figures(kept.ask(read, kept.today))

    said = kept.what_changes(late)
    kept.do(late)

    assert said.changes == changes(before, figures(kept.ask(read, kept.today)))
    assert {one.figure for one in said.changes} == {EACH, SO_FAR, WAITING, WENT_OUT}
    assert all(one.by == (one.after or 0) - (one.before or 0) != 0 for one in said.changes)


def test_others_record_while_the_costs_of_a_trial_are_shared(kept: Ledger, monkeypatch: pytest.MonkeyPatch) -> None:
    real, recorded = costing.share_given, []

    def meanwhile(*args: Any) -> Any:
        if not recorded:
            recorded.append(kept.do(Spend(day("2025-03-01"), "feed", 100)))
        return real(*args)

    # The till of a second seller waits for nothing longer than this: a trial that still held the ledger would be seen.
    monkeypatch.setattr(engines, "PATIENCE", 0.3)
    monkeypatch.setattr(costing, "share_given", meanwhile)
    late = Spend(day("2025-02-01"), "heat", 1000, kind="overhead", window_to=day("2025-06-30"))

    said = kept.what_changes(late)

    assert recorded
    assert {change.of for change in said.changes if change.figure == WAITING} == {NEW}


def test_nothing_is_saved_by_asking(kept: Ledger) -> None:
    keeper = Keeper(kept)
    before = keeper.rows()

    kept.what_changes(Record("L", (Move("died", 2, stage="larva"),), day("2025-02-20")))
    kept.what_changes(Sell((LineOf("L", 2, 900, stage="adult"),), day("2025-03-06")))

    assert keeper.rows() == before
    # A control: the same act does change rows once it is done.
    kept.do(Sell((LineOf("L", 2, 900, stage="adult"),), day("2025-03-06")))
    assert keeper.rows() != before
    assert kept.prove() == ()


def test_an_act_without_cost_changes_no_figure(kept: Ledger) -> None:
    assert changed(kept, Record("L", (Move("sexed", 1, stage="adult", to_sex="male"),), day("2025-04-01"))) == {}


def test_a_refusal_is_the_same_as_when_it_is_done(kept: Ledger) -> None:
    with pytest.raises(NotEnough):
        kept.what_changes(Record("L", (Move("died", 3, stage="larva"),), day("2025-04-01")))


def test_a_death_in_a_closed_year_costs_from_the_first_open_day_and_keeps_its_own(kept: Ledger) -> None:
    kept.do(Spend(day("2024-12-05"), "feed", 1000, window_to=day("2024-12-05")))
    kept.do(CloseYear(2024, day("2025-06-02")))
    closed = kept.income(2024)
    late = Record("L", (Move("died", 1, stage="larva", cause="exceptional"),), day("2024-12-20"))

    said = kept.what_changes(late)
    done = kept.do(late)

    assert {one.of for one in said.changes if one.figure == WENT_OUT} == {"2025"}
    with kept.store.reading() as conn:
        row = conn.execute(t.entry.select().where(t.entry.c.id == done.refs["entry"])).one()
    assert (row.happened_on, row.accounting_on) == (day("2024-12-20"), day("2025-01-01"))
    assert kept.income(2024) == closed


def test_a_ledger_open_for_reading_only_is_not_tried_on(kept: Ledger, target: str) -> None:
    only = Ledger(open_store(target, read_only=True), clock=lambda: dt.datetime(2025, 6, 2, 10, 0), by="keeper")

    with pytest.raises(ReadOnly):
        only.what_changes(Record("L", (Move("died", 1, stage="larva"),), day("2025-02-20")))
    only.close()


def test_a_cost_that_is_there_is_called_by_its_number_when_it_lasts_longer(kept: Ledger) -> None:
    number = int(kept.do(Spend(day("2025-02-01"), "jelly", 1000, window_to=day("2025-02-10"))).refs["cost"])

    longer = kept.what_changes(EndWindow(number, kept.today, kept.today + dt.timedelta(days=100)))

    assert [row.of for row in longer.changes if row.figure == WAITING] == [f"cost {number}"]
