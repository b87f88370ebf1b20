"""Ledgers with a keeper at work."""

from __future__ import annotations

import pytest

from ledger.records.store import Store
from tests.ledger.stock.keeper import Keeper, settled


@pytest.fixture
def keeper(sqlite_store: Store) -> Keeper:
    """On SQLite, with the beetle, and lot P08 of 14 L3 since 1 March 2025."""
    return settled(Keeper(sqlite_store))


@pytest.fixture
def both(store: Store) -> Keeper:
    """The same on each kind of database."""
    return settled(Keeper(store))
