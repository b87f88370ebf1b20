"""A keeper for the tests of what is spent."""

from __future__ import annotations

import pytest

from ledger.ledger import Ledger
from tests.ledger.costs.keeper import Keeper, keeper_of


@pytest.fixture
def keeper(ledger: Ledger) -> Keeper:
    """A keeper of ten larvae, on 2 June 2025."""
    return keeper_of(ledger)
