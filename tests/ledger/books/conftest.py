"""Ledgers whose books can be held against what was worked out by hand."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from ledger.records.store import Store, create, open_store
from tests.exports.small_business import Story, tell


@pytest.fixture
def story(sqlite_store: Store) -> Story:
    """An empty ledger on SQLite, in November 2024."""
    return Story(sqlite_store)


@pytest.fixture
def both(store: Store) -> Story:
    """The same on each kind of database."""
    return Story(store)


@pytest.fixture(scope="session")
def told(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Story]:
    """The little business, 2024 closed; only to be read."""
    store = create(str(tmp_path_factory.mktemp("books") / "small.ledger"), currency="EUR")
    yield tell(store, closed=True)
    store.close()


@pytest.fixture
def copied(told: Story, tmp_path: Path) -> Iterator[Store]:
    """A copy of the little business of the test's own."""
    path = tmp_path / "copy.ledger"
    path.write_bytes(Path(told.ledger.store.target).read_bytes())
    opened = open_store(str(path))
    yield opened
    opened.close()
