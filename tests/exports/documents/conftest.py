"""A little business with everything a document can show, told once; and one on each kind of database."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from pathlib import Path

import pytest

from exports.documents.house import House
from ledger.ledger import Ledger
from ledger.records.store import create
from tests.exports.documents.business import tell_papers


@pytest.fixture(scope="session")
def papers(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Ledger]:
    """The business, only to be read."""
    path: Path = tmp_path_factory.mktemp("papers") / "papers.ledger"
    store = create(str(path), currency="EUR")
    yield tell_papers(store)
    store.close()


@pytest.fixture
def house(papers: Ledger) -> House:
    """Who writes, in English."""
    return House(papers)


@pytest.fixture
def haus(papers: Ledger) -> House:
    """Who writes, in German."""
    return House(papers, "de")


@pytest.fixture
def year() -> tuple[dt.date, dt.date]:
    """The year the business is told over."""
    return dt.date(2025, 1, 1), dt.date(2025, 12, 31)
