"""Late facts: what was recorded after its year was closed, listed, with the stock of the closed day both ways."""

from __future__ import annotations

import datetime as dt

from ledger.books.checks import checks_of
from ledger.books.late import BothWays
from ledger.books.year import year_books
from ledger.costs.commands import Spend
from ledger.ledger import Ledger
from ledger.records.store import Store
from ledger.stock.commands import Move, Record, Reverse
from tests.exports.small_business import Clock, Story, close, first_year


def _closed(story: Story) -> None:
    first_year(story)
    story.say("2024-12-22", lambda on: Record("A01", (Move("died", 1, stage="L3"),), on), "died")
    close(story, 2024)


def test_late_facts_are_listed_with_the_day_they_happened_and_the_day_they_are_accounted_on(both: Story) -> None:
    _closed(both)
    assert both.ledger.late(2024).facts == ()

    both.say("2025-02-01", lambda on: Record("B01", (Move("died", 3, stage="L2"),), dt.date(2024, 12, 24)))
    both.say("2025-02-02", lambda on: Spend(dt.date(2024, 12, 24), "feed", 555, text="late bill"))
    both.say("2025-02-03", lambda on: Reverse(int(both.refs["died"].refs["movement"])))
    both.say("2025-02-04", lambda on: Record("B01", (Move("died", 1, stage="L2"),), on))

    found = both.ledger.late(2024).facts
    first_open = dt.date(2025, 1, 1)
    assert [(one.happened_on, one.accounted_on, one.kind, one.what) for one in found] == [
        (dt.date(2024, 12, 24), first_open, "entry", "3 died (B01)"),
        (dt.date(2024, 12, 24), first_open, "cost", "late bill"),
        (dt.date(2024, 12, 24), first_open, "change of a cost", "paid"),
        (dt.date(2024, 12, 22), first_open, "entry", "taken back: 1 died (A01)"),
    ]
    # Whoever adds the column gets what was spent, once.
    assert [one.amount for one in found] == [None, 555, None, None]


def test_the_stock_of_the_closed_day_is_shown_both_ways(both: Story) -> None:
    _closed(both)
    before = {(row.lot, row.stage): row for row in both.ledger.late(2024).stock}
    assert all(row.differs == 0 for row in before.values())
    assert before["B01", "L2"] == BothWays("B01", "L2", 28, 28)

    both.say("2025-02-01", lambda on: Record("B01", (Move("died", 3, stage="L2"),), dt.date(2024, 12, 24)))
    both.say("2025-02-03", lambda on: Reverse(int(both.refs["died"].refs["movement"])))
    after = {(row.lot, row.stage): row for row in both.ledger.late(2024).stock}

    assert after["B01", "L2"] == BothWays("B01", "L2", 28, 25)
    assert after["A01", "L3"] == BothWays("A01", "L3", 14, 15)
    assert {place for place, row in after.items() if row.differs} == {("B01", "L2"), ("A01", "L3")}


def test_the_books_of_both_years_list_them_and_still_add_up(both: Story) -> None:
    _closed(both)
    both.say("2025-02-01", lambda on: Record("B01", (Move("died", 3, stage="L2"),), dt.date(2024, 12, 24)))

    old, new = (both.ledger.ask(year_books, year) for year in (2024, 2025))

    assert [one.what for one in old.late_elsewhere] == [one.what for one in new.late_here] == ["3 died (B01)"]
    assert (old.late_here, new.late_elsewhere) == ((), ())
    for books in (old, new):
        assert [check.key for check in checks_of(books) if not check.holds] == []
    (late,) = [check for check in checks_of(old) if check.key == "late"]
    assert (late.first - late.second, late.result) == (3, "note")


def test_the_control_in_an_open_year_nothing_is_late(story: Story) -> None:
    first_year(story)

    story.say("2025-02-01", lambda on: Record("B01", (Move("died", 3, stage="L2"),), dt.date(2024, 12, 24)))

    found = story.ledger.late(2024)
    assert found.facts == ()
    assert all(row.differs == 0 for row in found.stock)


def test_the_whole_little_business_has_the_same_stock_both_ways_where_nothing_was_late(
    told: Story, copied: Store
) -> None:
    ledger = Ledger(copied, clock=Clock(), by="keeper")

    assert {row.differs for row in ledger.late(2024).stock} == {0}
