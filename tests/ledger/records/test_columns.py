"""What a column refuses, whichever program writes it."""

from __future__ import annotations

import datetime as dt
import traceback
from decimal import Decimal

import pytest
from sqlalchemy import insert, select, text
from sqlalchemy.exc import IntegrityError, StatementError

from ledger.errors import Refused
from ledger.records.store import Store
from ledger.records.tables import counter, customer, setting

_CUSTOMER = text(
    "INSERT INTO customer (name, contact, kind, note, erased_on) VALUES ('Ada', '', 'retail', '', :day) RETURNING id"
)


@pytest.mark.parametrize("day", ["2026-02-30", "2026-2-1", "2026-13-01", "tomorrow", "2026-01-01 10:00", ""])
def test_text_that_is_no_date_is_refused_by_the_sqlite_file_itself(sqlite_store: Store, day: str) -> None:
    with pytest.raises(IntegrityError, match="erased_on"), sqlite_store.writing() as conn:
        conn.execute(_CUSTOMER, {"day": day})


@pytest.mark.parametrize("day", ["1989-12-31", "2200-01-01"])
def test_a_date_outside_1990_to_2199_is_refused(store: Store, day: str) -> None:
    with pytest.raises(IntegrityError, match="erased_on_range"), store.writing() as conn:
        conn.execute(_CUSTOMER, {"day": day})


@pytest.mark.parametrize("day", [dt.date(2024, 2, 29), dt.date(2199, 12, 31), None])
def test_a_real_date_comes_back_as_it_was(store: Store, day: dt.date | None) -> None:
    row = {"name": "Ada", "contact": "", "kind": "retail", "note": "", "erased_on": day}

    with store.writing() as conn:
        conn.execute(insert(customer).values(row))

    with store.reading() as conn:
        assert conn.execute(select(customer.c.erased_on)).scalar_one() == day


@pytest.mark.parametrize("number", [1.5, 2.0, True, Decimal(1), "1"])
def test_only_a_whole_number_gets_into_a_whole_number_column(store: Store, number: object) -> None:
    with pytest.raises(StatementError, match="a whole number was expected"), store.writing() as conn:
        conn.execute(insert(counter).values(series="sale", year=number, last=0))


def test_a_date_and_time_is_no_date(store: Store) -> None:
    row = {"name": "Ada", "contact": "", "kind": "retail", "note": "", "erased_on": dt.datetime(2025, 1, 1, 10)}

    with pytest.raises(StatementError, match="a date was expected"), store.writing() as conn:
        conn.execute(insert(customer).values(row))


@pytest.mark.parametrize("value", ["1.5", "'many'"])
def test_tables_are_strict_so_other_programs_cannot_put_text_or_fractions_among_counts(
    sqlite_store: Store, value: str
) -> None:
    with pytest.raises(IntegrityError, match="cannot store"), sqlite_store.writing() as conn:
        conn.exec_driver_sql(f"INSERT INTO counter (series, year, last) VALUES ('sale', 2025, {value})")


def test_text_longer_than_its_column_allows_is_refused(store: Store) -> None:
    with pytest.raises(IntegrityError, match="value_length"), store.writing() as conn:
        conn.execute(insert(setting).values(name="terms", value="x" * 2001))


def test_a_name_does_not_appear_in_the_text_of_an_error(store: Store) -> None:
    row = {"name": "Jane Doe", "contact": "jane@example.org", "kind": "wholesome", "note": ""}

    with pytest.raises(IntegrityError) as caught, store.writing() as conn:
        conn.execute(insert(customer).values(row))

    assert not isinstance(caught.value, Refused)
    told = "".join(traceback.format_exception(caught.value))
    assert "kind_choice" in told
    assert "Jane" not in told
