"""The days a bill is for, as they are written."""

from __future__ import annotations

import datetime as dt

import pytest

from ledger.costs.commands import Spend
from ledger.errors import BadInput
from ledger.ledger import Ledger
from tests.tui.business import TODAY, desk
from tests.tui.loft import fill_in, go, quick
from tests.tui.words import SETTING
from tui.jot_line import read_line
from tui.spans import read_span

YEAR_END = dt.date(2025, 12, 31)


@pytest.mark.parametrize(
    ("typed", "first", "last"),
    [
        ("nov", "2025-11-01", "2025-11-30"),
        ("nov 2024", "2024-11-01", "2024-11-30"),
        ("2025-02", "2025-02-01", "2025-02-28"),
        ("last month", "2025-11-01", "2025-11-30"),
        ("dec to jan 2025", "2024-12-01", "2025-01-31"),
        ("oct and nov", "2025-10-01", "2025-11-30"),
        ("oct-nov", "2025-10-01", "2025-11-30"),
        ("Oct/Nov 2024", "2024-10-01", "2024-11-30"),
        ("dec - jan 2025", "2024-12-01", "2025-01-31"),
        ("1 nov to 30 nov", "2025-11-01", "2025-11-30"),
        ("1 dec - 31 dec", "2025-12-01", "2025-12-31"),
        ("15 dec to 14 jan", "2025-12-15", "2026-01-14"),
        ("20 dec to 10 jan 2025", "2024-12-20", "2025-01-10"),
        ("from 2025-11-01 to today", "2025-11-01", "2025-12-31"),
    ],
)
def test_a_period_is_read(typed: str, first: str, last: str) -> None:
    span = read_span(typed, YEAR_END)
    assert span is not None
    assert (span.first.isoformat(), span.last.isoformat()) == (first, last)


@pytest.mark.parametrize(
    "typed", ["25 nov", "soon", "1 nov to 5 nov to 9 nov", "31 nov to 1 dec", "nov to 5 dec", "1 nov and 3 nov"]
)
def test_what_is_no_period_is_refused(typed: str) -> None:
    with pytest.raises(BadInput):
        read_span(typed, YEAR_END)
    assert read_span("  ", YEAR_END) is None


def test_two_months_as_they_stand_on_a_bill_are_read_in_the_line() -> None:
    bill = read_line("power 41.30 Fenpower for mar-apr", SETTING)

    assert isinstance(bill, Spend)
    assert (bill.window_from, bill.window_to) == (dt.date(2025, 3, 1), dt.date(2025, 4, 30))


def test_a_word_keeps_its_kind_whatever_lasts_says() -> None:
    with pytest.raises(BadInput, match="known as overhead, so it does not last; say its period"):
        read_line("power 31.50 Stadtwerke lasts 1 month", SETTING)
    with pytest.raises(BadInput, match="known as used up"):
        read_line("feed 24 lasts 3 weeks", SETTING)
    with pytest.raises(BadInput, match="no period"):
        read_line("postage 5 for nov", SETTING)


async def test_the_form_asks_a_bill_for_its_period_and_never_makes_it_equipment(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await quick(pilot, "5", "minus")
        await fill_in(pilot, "power", "31.50", "Stadtwerke")
        shown = await go(pilot, "tab")
        assert "period" in shown
        assert "spread over the coming year; say its period" in shown
        await fill_in(pilot, "", "today", "all", "1 month")
        assert "known as overhead" in await quick(pilot, "enter")
        await fill_in(pilot, "", "1 may to 31 may")
        shown = await go(pilot, "tab")
        assert "Caution" not in shown
        assert "spread from 1 May 2025 to 31 May 2025" in shown
        await quick(pilot, "enter")
        bill = loft.costs()[0]
        assert (bill.kind, bill.window_from, bill.window_to) == (
            "overhead",
            dt.date(2025, 5, 1),
            dt.date(2025, 5, 31),
        )
        # Corrected, it begins with the period it has.
        assert "2025-05-01 to 2025-05-31" in await quick(pilot, "ctrl+e")
        await pilot.press(*["tab"] * 7)
        await fill_in(pilot, "apr")
        await quick(pilot, "enter")
        assert loft.costs()[0].window_to == dt.date(2025, 4, 30)

    plan = loft.preview(Spend(TODAY, "lamp", 900, kind="lasting", life_days=60))
    assert "as equipment, lasting 60 days" in plan.sentence
