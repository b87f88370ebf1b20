"""The stock month by month, against what was alive on each of those days by the journal of each holding."""

from __future__ import annotations

import datetime as dt

from ledger.ledger import Ledger
from ledger.stock.over_time import OverTime, alive_over_time
from ledger.stock.stock_rows import stock_on


def _disagreeing(loft: Ledger, found: tuple[OverTime, ...]) -> list[tuple[str, dt.date]]:
    wrong = []
    for one in found:
        for end, alive in one.months:
            rows = [row for row in loft.ask(stock_on, end) if one.species in ("", row.species)]
            if alive != sum(row.count for row in rows if row.unit != "specimen"):
                wrong.append((one.species, end))
    return wrong


def test_every_month_of_the_demo_is_what_was_alive_at_its_end(loft: Ledger) -> None:
    found = loft.ask(alive_over_time, loft.today)

    assert [one.species for one in found] == ["", *sorted(row.code for row in loft.species())]
    together = found[0]
    assert [end for end, _ in together.months][-2:] == [loft.today.replace(day=1) - dt.timedelta(days=1), loft.today]
    assert together.months[-1][1] == sum(row.animals + row.objects for row in loft.lots())
    assert _disagreeing(loft, found) == []

    end, alive = together.months[3]
    altered = OverTime("", (*together.months[:3], (end, alive + 1)))
    assert _disagreeing(loft, (altered,)) == [("", end)]


def test_months_before_the_first_animal_are_left_out_and_a_year_turns(loft: Ledger) -> None:
    (together, *_) = loft.ask(alive_over_time, dt.date(2024, 2, 10), 6)

    assert [end for end, _ in together.months] == [dt.date(2024, 1, 31), dt.date(2024, 2, 10)]
    assert loft.ask(alive_over_time, dt.date(2020, 1, 1)) == ()
