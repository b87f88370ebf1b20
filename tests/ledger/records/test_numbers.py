"""Numbers without gaps or doubles."""

from __future__ import annotations

import pytest

from ledger.records.numbers import next_number
from ledger.records.store import Store


def test_a_series_counts_from_one_in_each_year(store: Store) -> None:
    with store.writing() as conn:
        given = [next_number(conn, series, year) for series, year in [("sale", 2024), ("sale", 2024), ("sale", 2025)]]
        other = next_number(conn, "credit", 2024)

    assert given == [1, 2, 1]
    assert other == 1


def test_a_number_taken_by_a_transaction_that_failed_is_given_again(store: Store) -> None:
    with store.writing() as conn:
        next_number(conn, "sale", 2025)

    with pytest.raises(ZeroDivisionError), store.writing() as conn:
        _ = next_number(conn, "sale", 2025) / 0

    with store.writing() as conn:
        assert next_number(conn, "sale", 2025) == 2
