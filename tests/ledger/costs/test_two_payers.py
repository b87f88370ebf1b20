"""Two people change one cost at once, on a server: one of them does, the other is told."""

from __future__ import annotations

import datetime as dt
import threading

import pytest

from ledger.costs import changing
from ledger.costs.commands import Dispose, PayCost, RefundCost, ReverseCost, Spend
from ledger.errors import Refused
from ledger.ledger import Ledger
from ledger.records.store import Store, open_store
from tests.ledger.costs.keeper import day, keeper_of

ON = day("2025-03-01")
ACTS = (PayCost(1, ON, 600), RefundCost(1, ON, 600), Dispose(1, ON), ReverseCost(1))


def race(store: Store, one: object, other: object) -> list[str]:
    """One person changes a cost of 9.00 and waits before saving, another changes it meanwhile; what the other hears."""
    first = keeper_of(Ledger(store, clock=lambda: dt.datetime(2025, 6, 2, 10, 0), by="wren")).ledger
    first.do(Spend(ON, "tubs", 900, kind="lasting", life_days=100, unpaid=True))
    second = Ledger(open_store(store.target), clock=lambda: dt.datetime(2025, 6, 2, 10, 0), by="oda")
    told: list[str] = []

    def change() -> None:
        try:
            second.do(other)
        except Refused as refused:
            told.append(refused.sentence)

    thread = threading.Thread(target=change)
    with first.together("test") as acts:
        acts.do(one)
        thread.start()
        thread.join(1.0)
    thread.join()
    second.close()
    return told


@pytest.mark.parametrize("act", ACTS, ids=lambda act: type(act).__name__)
def test_the_same_change_counts_once(pg_store: Store, act: object) -> None:
    (told,) = race(pg_store, act, act)

    assert "cost 1" in told.lower()


def test_a_cost_taken_back_meanwhile_is_not_paid(pg_store: Store) -> None:
    assert race(pg_store, ReverseCost(1), PayCost(1, ON, 600)) == [
        "Cost 1 has been taken back; nothing more can be added to it."
    ]


def test_without_the_guard_it_would_be_paid_twice(pg_store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    """A control: the plan alone, made before the other was saved, lets both through."""
    monkeypatch.setattr(changing, "_guard", lambda conn, plan: None)

    assert race(pg_store, ACTS[0], ACTS[0]) == []
