"""Two people take the last of a store at once, on a server: one of them gets it."""

from __future__ import annotations

import datetime as dt
import threading
from typing import Any

import pytest
from sqlalchemy import Connection

from ledger.costs import taking_out
from ledger.costs.commands import Spend, TakeOut
from ledger.errors import NotEnough
from ledger.ledger import Ledger
from ledger.records import tables as t
from ledger.records.store import Store, open_store
from tests.ledger.costs.keeper import day, keeper_of

ON = day("2025-03-01")


def race(store: Store) -> tuple[list[str], int]:
    """Three kilograms are there; one person takes two and waits before saving, another takes two meanwhile.

    Returns:
        What the second was told, and thousandths left.
    """
    first = keeper_of(Ledger(store, clock=lambda: dt.datetime(2025, 6, 2, 10, 0), by="wren")).ledger
    first.do(Spend(ON, "feed", 900, text="flake", stored=True, quantity="3", unit="kg"))
    second = Ledger(open_store(store.target), clock=lambda: dt.datetime(2025, 6, 2, 10, 0), by="oda")
    told: list[str] = []

    def take() -> None:
        try:
            second.do(TakeOut("flake", 2000, ON))
        except NotEnough as refused:
            told.append(refused.sentence)

    other = threading.Thread(target=take)
    with first.together("test") as acts:
        acts.do(TakeOut("flake", 2000, ON))
        other.start()
        other.join(1.0)
    other.join()
    left = 3000 - sum(row.quantity for row in second.ask(_issues))
    second.close()
    return told, left


def _issues(conn: Connection) -> list[Any]:
    return list(conn.execute(t.store_issue.select()))


def test_what_is_there_once_is_taken_once(pg_store: Store) -> None:
    told, left = race(pg_store)

    assert left == 1000
    assert len(told) == 1
    assert "would be in store" in told[0]


def test_without_the_guard_it_would_be_taken_twice(pg_store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    """A control: the plan alone, made before the other was saved, lets both through."""
    monkeypatch.setattr(taking_out, "guard", lambda conn: None)

    assert race(pg_store) == ([], -1000)
