"""The little business, told once for all tests that only read it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from ledger.records.store import create
from tests.exports.small_business import Story, tell


@pytest.fixture(scope="session")
def told(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Story]:
    """The little business in euros, 2024 closed."""
    path: Path = tmp_path_factory.mktemp("business") / "small.ledger"
    store = create(str(path), currency="EUR")
    yield tell(store, closed=True)
    store.close()
