"""Shops with something to sell."""

from __future__ import annotations

import pytest

from ledger.records.store import Store
from tests.ledger.selling.shop import Shop, stocked


@pytest.fixture
def shop(sqlite_store: Store) -> Shop:
    """On SQLite, with P08 and E03."""
    return stocked(Shop(sqlite_store))


@pytest.fixture
def both(store: Store) -> Shop:
    """The same on each kind of database."""
    return stocked(Shop(store))
