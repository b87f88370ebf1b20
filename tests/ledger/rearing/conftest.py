"""Lofts for the tests of rearing."""

from __future__ import annotations

import pytest

from ledger.records.store import Store
from tests.ledger.rearing.loft import Loft, beetle


@pytest.fixture
def loft(sqlite_store: Store) -> Loft:
    """With the beetle and no lot yet."""
    made = Loft(sqlite_store)
    made.do(beetle())
    return made


@pytest.fixture
def both(store: Store) -> Loft:
    """The same on SQLite and on PostgreSQL."""
    made = Loft(store)
    made.do(beetle())
    return made


@pytest.fixture
def learned(loft: Loft) -> Loft:
    """Three finished lots of thirty, of which 24, 22 and 26 were reared; it is day 150."""
    for code, day, reared, slow in (("A1", 0, 24, 0), ("A2", 20, 22, 2), ("A3", 40, 26, -2)):
        loft.course(code, day, reared=reared, lost=30 - reared, slow=slow)
    loft.on(150)
    return loft
