"""Shops with something to sell: stocked once on each kind of database, and copied for each test."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from ledger.records.store import open_store
from tests.ledger.selling.shop import Shop, stocked
from tests.postgres import Server


@pytest.fixture(scope="session")
def stocked_file(sqlite_template: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A ledger file with P08 and E03; only to be copied."""
    path = tmp_path_factory.mktemp("shop") / "shop.ledger"
    shutil.copyfile(sqlite_template, path)
    _stock(str(path))
    return path


@pytest.fixture(scope="session")
def stocked_database(pg_template: str, pg_server: Server) -> Iterator[str]:
    """Name of a database with the same; only to be copied."""
    name = pg_server.new_database(pg_template)
    _stock(pg_server.url_of(name))
    yield name
    pg_server.drop_database(name)


def _stock(target: str) -> None:
    store = open_store(target)
    stocked(Shop(store))
    store.close()


@pytest.fixture
def shop(stocked_file: Path, tmp_path: Path) -> Iterator[Shop]:
    """On SQLite, with P08 and E03."""
    path = tmp_path / "shop.ledger"
    shutil.copyfile(stocked_file, path)
    path.chmod(0o600)
    store = open_store(str(path))
    yield Shop(store)
    store.close()


@pytest.fixture
def server_shop(stocked_database: str, pg_server: Server) -> Iterator[Shop]:
    """On PostgreSQL, with the same."""
    name = pg_server.new_database(stocked_database)
    store = open_store(pg_server.url_of(name))
    yield Shop(store)
    store.close()
    pg_server.drop_database(name)


@pytest.fixture(params=["sqlite", "postgresql"])
def both(request: pytest.FixtureRequest) -> Shop:
    """The same on each kind of database."""
    found: Shop = request.getfixturevalue("shop" if request.param == "sqlite" else "server_shop")
    return found
