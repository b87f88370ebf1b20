"""Costs kept by an open ledger are those a fresh look would give, after every act, on both databases."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import replace

from ledger.costs.account import CostAccount, account
from ledger.costs.commands import EndWindow, ReverseCost, SetMethod, Spend
from ledger.costs.memo import CostMemo, first_change
from ledger.ledger import Ledger
from ledger.records.store import Store
from ledger.stock.commands import Move, Record
from tests.ledger.costs.beetles import CAME, COMMANDS, FEED_OF_P01, NOW, REARED, SOLD
from tests.ledger.costs.book import Book

LATE = (
    Record("P02", (Move("died", 1, cause="exceptional"),), dt.date(2025, 4, 10)),
    Spend(dt.date(2025, 3, 1), "heat", 700, kind="overhead", window_from=CAME, window_to=SOLD),
    SetMethod("sharing heat", "tub-days", SOLD),
    EndWindow(FEED_OF_P01, dt.date(2025, 2, 10), dt.date(2025, 2, 9)),
    ReverseCost(FEED_OF_P01),
    SetMethod("brood", "expense", REARED),
)


def same(one: CostAccount, other: CostAccount) -> bool:
    """Every figure and line; not how often a bucket was settled."""
    a, b = one.shared, replace(other.shared, postings=one.shared.postings, settlements=one.shared.settlements)
    return one.costs == other.costs and a == b and list(one.shared.postings) == list(other.shared.postings)


def questions() -> Iterator[tuple[dt.date, bool]]:
    for until in (NOW.date(), dt.date(2025, 4, 15), NOW.date()):
        yield until, False
    yield NOW.date(), True


def test_after_every_act_they_are_those_of_a_fresh_look(store: Store) -> None:
    ledger, memo = Ledger(store, clock=lambda: NOW, by="keeper"), CostMemo()
    for command in (*COMMANDS, *LATE):
        ledger.do(command)
        with store.reading() as conn:
            for until, by_stage in questions():
                kept = account(conn, until, by_stage=by_stage, memo=memo)

                assert same(kept, account(conn, until, by_stage=by_stage)), command


def test_on_one_file_a_question_asked_again_is_answered_without_reckoning(sqlite_store: Store) -> None:
    ledger, memo = Ledger(sqlite_store, clock=lambda: NOW, by="keeper"), CostMemo()
    for command in COMMANDS:
        ledger.do(command)
    with sqlite_store.reading() as conn:
        first = account(conn, NOW.date(), memo=memo)
        again = account(conn, NOW.date(), memo=memo)
    ledger.do(LATE[0])
    with sqlite_store.reading() as conn:
        later = account(conn, NOW.date(), memo=memo)

    assert again is first
    assert later is not first
    assert not same(later, first)


def test_the_figure_by_the_other_key_is_one_call_away(sqlite_store: Store) -> None:
    ledger = Ledger(sqlite_store, clock=lambda: NOW, by="keeper")
    for command in COMMANDS:
        ledger.do(command)

    as_set, by_tubs = (ledger.ask(account, NOW.date(), key=key) for key in (None, "tub-days"))

    assert as_set.shared.adds_up()
    assert by_tubs.shared.adds_up()
    assert [row.cost for row in as_set.shared.buckets] != [row.cost for row in by_tubs.shared.buckets]


def test_the_first_day_on_which_two_journals_differ() -> None:
    book = Book({})
    for day in (1, 3, 5):
        book.add(day, "found", 1, to=(1, 0))
    one, two, three = book.events

    assert first_change([one, two], [one, two]) is None
    assert first_change([one, three], [one, two, three]) == 3
    assert first_change([one, two], [one, two, three]) == 5
    assert first_change([one, two], [one]) == 3
    assert first_change([], []) is None
