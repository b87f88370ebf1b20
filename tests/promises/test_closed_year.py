"""Promise 7: a closed year never changes, however a closing and a late entry race each other.

The closing counts the rows of its year in the transaction that closes it; afterwards there must be no more. Controls:
without the lock inside the triggers PostgreSQL lets a row in behind the closing, and figures read before the closing's
own transaction are out of date on both kinds of database.
"""

from __future__ import annotations

import datetime as dt
import os
import random
import threading
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor

import pytest
from sqlalchemy import Connection, func, insert, select

from ledger.errors import PeriodClosed
from ledger.records import periods, triggers
from ledger.records.store import Store, open_store
from ledger.records.tables import entry
from tests.ledger.records.filled import fill, row_for

RACES = 200 if os.environ.get("REARLEDGER_LONG") == "1" else 20


def _post(conn: Connection, year: int) -> None:
    day = dt.date(year, 12, 31)
    conn.execute(insert(entry).values(row_for(entry) | {"happened_on": day, "accounting_on": day}))


def _rows_of(conn: Connection, year: int) -> int:
    within = entry.c.accounting_on.between(dt.date(year, 1, 1), dt.date(year, 12, 31))
    return int(conn.execute(select(func.count()).select_from(entry).where(within)).scalar_one())


def _close_and_count(store: Store, year: int) -> int:
    with store.writing() as conn:
        periods.close(conn, year)
        return _rows_of(conn, year)


def _post_until_closed(store: Store, year: int, begin: threading.Barrier) -> int:
    begin.wait()
    posted = 0
    while True:
        try:
            with store.writing() as conn:
                _post(conn, year)
        except PeriodClosed:
            return posted
        posted += 1


@pytest.fixture
def filled(store: Store) -> Store:
    with store.writing() as conn:
        fill(conn)
    return store


@pytest.fixture
def others(filled: Store) -> Iterator[list[Store]]:
    """The same ledger in two more windows."""
    opened = [open_store(filled.target) for _ in range(2)]
    yield opened
    for store in opened:
        store.close()


def test_no_entry_slips_into_a_year_behind_its_closing(filled: Store, others: list[Store]) -> None:
    ever_posted = 0
    with ThreadPoolExecutor(len(others)) as pool:
        for year in range(1991, 1991 + RACES):
            with filled.reading() as conn:
                before = _rows_of(conn, year)
            begin = threading.Barrier(len(others) + 1)
            posting = [pool.submit(_post_until_closed, other, year, begin) for other in others]
            begin.wait()
            time.sleep(random.uniform(0.0, 0.02))
            stood = _close_and_count(filled, year)
            posted = sum(done.result() for done in posting)
            with filled.reading() as conn:
                assert _rows_of(conn, year) == stood == before + posted
            ever_posted += posted

    assert ever_posted > RACES // 4


def _interleaved(store: Store, year: int) -> tuple[int, int]:
    """An entry is written, and the year closed before the entry is committed: rows at the closing, and at the end."""
    with ThreadPoolExecutor(1) as pool:
        with store.writing() as conn:
            _post(conn, year)
            closing = pool.submit(_close_and_count, store, year)
            time.sleep(0.5)
        stood = closing.result()
    with store.reading() as conn:
        return stood, _rows_of(conn, year)


def test_a_closing_waits_for_an_entry_that_is_being_written(filled: Store) -> None:
    assert _interleaved(filled, 2024) == (1, 1)


def test_control_without_the_lock_in_the_trigger_an_entry_slips_in(pg_store: Store) -> None:
    with pg_store.writing() as conn:
        fill(conn)
        for function in triggers.functions().values():
            conn.exec_driver_sql(function.replace(" FOR SHARE", ""))

    assert _interleaved(pg_store, 2024) == (0, 1)


def test_control_figures_read_before_the_closing_are_out_of_date(filled: Store) -> None:
    with filled.reading() as conn:
        stood = _rows_of(conn, 2024)
    with filled.writing() as conn:
        _post(conn, 2024)
    with filled.writing() as conn:
        periods.close(conn, 2024)

    with filled.reading() as conn:
        assert _rows_of(conn, 2024) == stood + 1
