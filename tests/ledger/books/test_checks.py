"""Each check of a year's books tells when one of its two sides is changed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from ledger.books.checks import checks_of
from ledger.books.income import income_of
from ledger.books.year import YearBooks, year_books
from tests.exports.small_business import Story


@pytest.fixture(scope="module")
def books(told: Story) -> YearBooks:
    """The books of 2025."""
    return told.ledger.ask(year_books, 2025)


def test_all_hold_in_a_ledger_that_adds_up(books: YearBooks) -> None:
    found = checks_of(books)

    assert [check.key for check in found if not check.holds] == []
    assert [check.key for check in found if check.result == "note"] == ["counts", "counts left", "counted"]
    assert len({check.key for check in found}) == len(found)


def _with(books: YearBooks, sheet: str, wanted: Callable[[Any], bool], **changed: Any) -> YearBooks:
    """The books with one row of a sheet changed, and the income made anew from it."""
    rows = list(getattr(books.rows, sheet))
    place = next(place for place, row in enumerate(rows) if wanted(row))
    rows[place] = replace(rows[place], **{name: make(rows[place]) for name, make in changed.items()})
    changed_rows = replace(books.rows, **{sheet: tuple(rows)})
    return replace(books, rows=changed_rows, income=income_of(books.given, changed_rows))


def _more(name: str) -> Callable[[Any], int]:
    return lambda row: int(getattr(row, name)) + 7


@pytest.mark.parametrize(
    ("sheet", "wanted", "column", "key"),
    [
        ("sales", lambda row: row.kind == "animals", "price", "sales"),
        ("sales", lambda row: row.kind == "animals", "animals", "sold"),
        ("receipts", lambda row: row.cash, "cash", "receipts"),
        ("receipts", lambda row: row.paper == "sale", "amount", "owed customers"),
        ("receipts", lambda row: row.paper == "hold", "amount", "deposits"),
        ("costs", lambda row: row.cost, "cost", "costs"),
        ("costs", lambda row: row.cost, "gross", "gross"),
        ("costs", lambda row: row.cost, "paid", "paid"),
        ("costs", lambda row: True, "unused_at_end", "two ways"),
        ("costs", lambda row: True, "owed_at_start", "owed suppliers"),
        ("equipment", lambda row: True, "at_end", "equipment"),
        ("equipment", lambda row: True, "bought", "equipment bought"),
        ("movements", lambda row: row.stock, "change", "stock rows"),
        ("movements", lambda row: not row.cost, "cost", "went out"),
        ("stock", lambda row: True, "at_start", "opening"),
        ("stock", lambda row: True, "on_books", "stock costed"),
        ("stock", lambda row: True, "cost_at_start", "opening cost"),
        ("stock", lambda row: True, "cost_at_end", "accruals"),
        ("owed", lambda row: row.kind == "sale", "at_end", "bridge"),
    ],
)
def test_a_changed_figure_is_told_by_the_check_that_watches_it(
    books: YearBooks, sheet: str, wanted: Callable[[Any], bool], column: str, key: str
) -> None:
    changed = _with(books, sheet, wanted, **{column: _more(column)})

    assert key in {check.key for check in checks_of(changed) if not check.holds}


def test_a_sale_without_an_origin_is_told(books: YearBooks) -> None:
    changed = _with(books, "sales", lambda row: row.lot, origin=lambda _row: "")

    assert "no origin" in {check.key for check in checks_of(changed) if not check.holds}


def test_a_row_dated_outside_the_year_is_told(books: YearBooks) -> None:
    changed = _with(books, "sales", lambda row: True, on=lambda _row: books.given.eve)

    assert "dates" in {check.key for check in checks_of(changed) if not check.holds}


def test_a_missing_number_is_told(books: YearBooks) -> None:
    changed = replace(books, controls=replace(books.controls, numbers_given=books.controls.numbers_given + 1))

    assert [check.key for check in checks_of(changed) if not check.holds] == ["numbers"]
