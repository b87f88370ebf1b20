"""A corrected cost keeps what was not asked for, as it stands; undo goes back over corrections one by one."""

from __future__ import annotations

import datetime as dt

import pytest
from sqlalchemy import select

from ledger.books.commands import TakeBackFile
from ledger.costs.commands import CorrectCost, EndWindow, PayCost, Spend
from ledger.costs.listing import CostRow
from ledger.errors import NotFound, Refused
from ledger.ledger import Ledger
from ledger.records import tables as t
from ledger.records.commands import NoteBroughtIn, RowBroughtIn
from ledger.records.store import Store
from ledger.selling.commands import AddCustomer, EraseCustomer, PlanFair, SpendOnFair
from ledger.stock.commands import Undo

NOW = dt.datetime(2025, 6, 4, 10, 0)
MAY = dt.date(2025, 5, 2)
FLAKE = Spend(MAY, "feed", 2400, "Ombrel", "flake")
DEARER = Spend(MAY, "feed", 2500, "Ombrel", "flake")


@pytest.fixture
def books(sqlite_store: Store) -> Ledger:
    return Ledger(sqlite_store, clock=lambda: NOW, by="keeper")


def standing(books: Ledger) -> list[CostRow]:
    return [row for row in books.costs() if not row.taken_back]


def test_a_day_of_being_used_up_that_was_undone_does_not_come_back_with_a_correction(books: Ledger) -> None:
    books.do(FLAKE)
    books.do(EndWindow(1, MAY + dt.timedelta(days=18), MAY + dt.timedelta(days=18)))
    books.do(Undo())

    books.do(CorrectCost(1, DEARER))
    assert [row.window_to for row in standing(books)] == [None]

    books.do(Undo())
    assert [(row.gross, row.window_to) for row in standing(books)] == [(2400, None)]


def test_undo_goes_back_over_corrections_to_the_cost_itself_and_no_further(books: Ledger) -> None:
    books.do(Spend(MAY, "tubs", 100))
    books.do(FLAKE)
    books.do(CorrectCost(2, DEARER))
    books.do(CorrectCost(4, Spend(MAY, "feed", 2600, "Ombrel", "flake")))

    found = []
    for _ in range(4):
        books.do(Undo())
        found.append([row.gross for row in standing(books)])

    assert found == [[2500, 100], [2400, 100], [100], []]
    assert books.prove() == ()
    with pytest.raises(NotFound, match="nothing of yours to undo"):
        books.do(Undo())


def test_a_payment_of_a_cost_that_stands_again_under_another_number_is_not_taken_back_unseen(books: Ledger) -> None:
    books.do(Spend(MAY, "feed", 2400, unpaid=True))
    books.do(PayCost(1, MAY, 2400))
    books.do(CorrectCost(1, Spend(MAY, "feed", 2500)))
    books.do(Undo())

    with pytest.raises(Refused, match="counts again as cost 5; correct that one"):
        books.do(Undo())


def test_what_was_paid_in_parts_is_not_corrected_unseen(books: Ledger) -> None:
    books.do(Spend(MAY, "feed", 2400, unpaid=True))
    books.do(PayCost(1, MAY, 1000))
    books.do(PayCost(1, MAY + dt.timedelta(days=9), 1400))

    with pytest.raises(Refused, match="part of it paid"):
        books.preview(CorrectCost(1, DEARER))


def test_the_day_paid_is_that_of_the_payment_that_stands(books: Ledger) -> None:
    books.do(Spend(MAY, "feed", 2400, unpaid=True))
    books.do(PayCost(1, MAY + dt.timedelta(days=20), 2400))
    books.do(Undo())
    books.do(PayCost(1, MAY + dt.timedelta(days=9), 2400))

    number = books.do(CorrectCost(1, DEARER)).refs["cost"]

    with books.store.reading() as conn:
        days = conn.execute(select(t.cost_change.c.happened_on).where(t.cost_change.c.cost_id == number)).scalars()
        assert list(days) == [MAY + dt.timedelta(days=9)]


def test_the_value_left_at_the_end_of_a_life_survives_any_number_of_corrections(books: Ledger) -> None:
    """6 at 90 % are 5.4, kept as 5; read back as 5 they would be 4.5, and kept as 4."""
    books.do(Spend(MAY, "tank", 2400, kind="lasting", life_days=800, residual=6, share=9000))
    for text in ("small tank", "large tank"):
        (tank,) = standing(books)
        books.do(CorrectCost(tank.id, Spend(MAY, "tank", 2400, text=text, kind="lasting", life_days=800)))

    with books.store.reading() as conn:
        assert set(conn.execute(select(t.cost.c.residual)).scalars()) == {5}


def test_a_cost_of_a_fair_stays_one_of_the_fair_when_it_is_corrected_and_when_that_is_undone(books: Ledger) -> None:
    today = NOW.date()
    books.do(PlanFair("Fenlow", today, cash_float=5000))
    books.do(SpendOnFair("Fenlow", "table fee", 1800, today, from_cash=True))
    right = Spend(today, "table fee", 2000, text="Fenlow", kind="selling", scope="none")

    books.do(CorrectCost(1, right))
    result = books.fair_result("Fenlow")
    assert (result.costs, result.expected) == (2000, 3000)

    books.do(Undo())
    result = books.fair_result("Fenlow")
    assert (result.costs, result.expected) == (1800, 3200)
    assert books.prove() == ()


def test_a_correction_is_undone_also_once_the_person_it_named_was_erased(books: Ledger) -> None:
    books.do(AddCustomer("Ombrel"))
    books.do(FLAKE)
    books.do(CorrectCost(1, DEARER))
    other = Ledger(books.store, clock=lambda: NOW, by="somebody else")
    other.do(EraseCustomer("Ombrel", NOW.date()))

    books.do(Undo())

    assert [row.gross for row in standing(books)] == [2400]


@pytest.mark.parametrize("undone", [False, True])
def test_a_file_taken_back_takes_back_what_was_corrected_of_it(books: Ledger, undone: bool) -> None:
    rows = (RowBroughtIn("costs, row 2", "mark"),)
    acts = (FLAKE, NoteBroughtIn("costs", "costs.csv", "0" * 64, rows, "h", "{}"))
    books.do_all([(str(n), lambda _, one=one: one) for n, one in enumerate(acts)], content="file")
    books.do(CorrectCost(1, DEARER))
    if undone:
        books.do(Undo())

    books.do(TakeBackFile(1, NOW.date()))

    assert standing(books) == []
    assert books.prove() == ()
