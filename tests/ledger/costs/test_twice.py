"""A cost that may be entered twice: it is said in every preview and before closing, and never refused."""

from __future__ import annotations

import datetime as dt

import pytest

from ledger.act import Plan
from ledger.books.commands import CloseYear, Counted, CountStock
from ledger.costs.commands import CorrectCost, PayCost, RefundCost, ReverseCost, Spend
from ledger.errors import Refused
from ledger.ledger import Ledger
from ledger.records.store import Store
from ledger.selling.commands import CreditSale, LineOf, Sell, TakePayment
from ledger.stock.commands import AddLot, AddSpecies, Arrival, Undo
from ledger.trying import try_all

NOW = dt.datetime(2025, 6, 4, 10, 0)
MAY = dt.date(2025, 5, 2)


@pytest.fixture
def books(sqlite_store: Store) -> Ledger:
    ledger = Ledger(sqlite_store, clock=lambda: NOW, by="keeper")
    ledger.do(Spend(MAY, "feed", 2400, "Ombrel", "flake"))
    return ledger


def said(found: Plan) -> list[str]:
    return [one for one in found.cautions if "amount" in one]


def test_the_same_day_shop_and_amount_is_said_and_recorded_all_the_same(books: Ledger) -> None:
    again = Spend(MAY, "substrate", 2400, "ombrel", "leaf")

    (caution,) = said(books.preview(again))

    assert caution.startswith(
        "There is already cost 1 of the same day, shop and amount (ombrel, 24.00 EUR, 2 May 2025)"
    )
    assert books.do(again).refs["cost"] == 2


@pytest.mark.parametrize(
    "other",
    [
        Spend(MAY + dt.timedelta(days=1), "feed", 2400, "Ombrel"),
        Spend(MAY, "feed", 2401, "Ombrel"),
        Spend(MAY, "feed", 2400, "Tarnow"),
        Spend(MAY, "heat", 2400),
    ],
)
def test_another_day_amount_shop_or_kind_is_another_purchase(books: Ledger, other: Spend) -> None:
    assert said(books.preview(other)) == []


def test_without_a_shop_the_kind_decides(books: Ledger) -> None:
    (caution,) = said(books.preview(Spend(MAY, "feed", 2400)))

    assert "cost 1 of the same day, kind and amount" in caution


def test_one_that_was_taken_back_is_no_longer_there(books: Ledger) -> None:
    books.do(ReverseCost(1))

    assert said(books.preview(Spend(MAY, "feed", 2400, "Ombrel"))) == []


def test_rows_recorded_together_are_held_against_the_ledger_and_each_other(books: Ledger) -> None:
    tubs = Spend(MAY, "tubs", 900, "Ombrel")
    tried = try_all(books, (Spend(MAY, "feed", 2400, "Ombrel"), tubs, tubs), source="bring-in")

    first, second, third = (() if isinstance(one, Refused) else one.cautions for one in tried)
    assert any("There is already cost 1" in one for one in first)
    assert not any("amount" in one for one in second)
    assert "Two rows have the same day, shop and amount: Ombrel, 9.00 EUR, 2 May 2025." in third


def test_it_is_among_what_is_missing_before_closing_while_the_year_lasts(books: Ledger) -> None:
    assert "twice" not in [one.kind for one in books.before_closing(2025).missing]
    books.do(Spend(MAY, "feed", 2400, "Ombrel", "flake"))

    found = books.before_closing(2025)

    assert not found.over
    (twice,) = [one for one in found.missing if one.kind == "twice"]
    assert twice.sentence == "1 cost may be entered twice, of the same day, shop and amount: 2 as 1."


def test_what_touches_a_closed_year_says_so_before_it_is_recorded(sqlite_store: Store) -> None:
    ledger = Ledger(sqlite_store, clock=lambda: NOW, by="keeper")
    last = dt.date(2024, 12, 31)
    ledger.do(AddSpecies("PACH", "pachnoda-marginata"))
    ledger.do(AddLot("P01", "PACH", dt.date(2024, 11, 1), (Arrival("opening", "adult", males=3),)))
    ledger.do(Spend(last, "fees", 1466, "Payco", kind="selling", unpaid=True))
    number = str(ledger.do(Sell((LineOf("P01", 1, 500),), dt.date(2024, 12, 20), "Tarn")).refs["number"])
    count = CountStock(last, (Counted("P01", "adult", 2),))
    assert ledger.preview(ReverseCost(1)).cautions == ()
    assert "closed" not in " ".join(ledger.preview(count).cautions)
    ledger.do(CloseYear(2024, NOW.date()))

    assert ledger.preview(ReverseCost(1)).cautions[0] == (
        "The year of 31 December 2024 is closed and stays as it is: what is taken back counts on 4 June 2025, in 2025."
    )
    kept = "2024 is closed and its figures stay as they are; the count is kept with its date."
    assert kept in ledger.preview(count).cautions
    of_sale = TakePayment(number, 100, last), CreditSale(number, last, "wrong")
    for late in (PayCost(1, last, 100), RefundCost(1, last, 100), *of_sale):
        assert any("is closed: this is accounted on 1 January 2025" in one for one in ledger.preview(late).cautions)


def test_a_cost_is_corrected_in_one_act_and_undone_as_a_whole(books: Ledger) -> None:
    books.do(Spend(MAY + dt.timedelta(days=3), "wood", 1000, "Tarnow", "shelf", unpaid=True))
    wrong = books.costs()[0]
    right = Spend(wrong.bought_on, "feed", 1000, "Tarnow", "shelf", unpaid=True)
    before = books.income(2025)

    plan = books.preview(CorrectCost(wrong.id, right))
    done = books.do(CorrectCost(wrong.id, right))

    assert plan.sentence.startswith(f"Instead of cost {wrong.id}: feed 10.00 EUR from Tarnow")
    # The one that is taken back is neither a double nor the bag before.
    assert not any(f"cost {wrong.id}" in one or "used up" in one for one in plan.cautions)
    new, back, old = books.costs(3)
    assert (new.id, new.category, new.unpaid, old.taken_back_by, back.reverses) == (
        done.refs["cost"], "feed", 1000, back.id, old.id,
    )  # fmt: skip
    assert books.income(2025).lines != before.lines

    assert "the correction of cost" in books.do(Undo()).sentence
    again = next(row for row in books.costs() if not row.taken_back)
    assert (again.category, again.gross, again.unpaid) == ("wood", 1000, 1000)
    assert books.income(2025) == before


def test_a_cost_of_which_money_came_back_is_not_corrected_unseen(books: Ledger) -> None:
    books.do(RefundCost(1, MAY, 500))

    with pytest.raises(Refused, match="take it back and enter all of it again"):
        books.preview(CorrectCost(1, Spend(MAY, "substrate", 2400, "Ombrel")))


def test_a_bag_ends_in_the_list_when_the_next_is_opened(books: Ledger) -> None:
    books.do(Spend(MAY + dt.timedelta(days=10), "feed", 2500, "Ombrel", "flake"))

    second, first = books.costs(2)

    assert (second.window_to, first.window_to) == (None, MAY + dt.timedelta(days=9))


def test_a_cost_of_a_year_that_is_over_says_in_which_year_it_counts(books: Ledger) -> None:
    (caution,) = books.preview(Spend(dt.date(2024, 12, 28), "feed", 300)).cautions

    assert caution == "It is accounted in 2024, which is over but not closed yet."
