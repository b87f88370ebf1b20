"""Ledgers for the tests: on SQLite and on PostgreSQL, each test with one of its own, copied from an empty one."""

from __future__ import annotations

import datetime as dt
import shutil
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import HealthCheck, settings
from sqlalchemy import Engine
from sqlalchemy.engine.default import DefaultDialect
from sqlalchemy.util import LRUCache

from ledger.act import Scene
from ledger.money import Currency
from ledger.records.store import Store, create, open_store
from tests.ledger.records.freeze import stale
from tests.postgres import Server, server

if TYPE_CHECKING:
    from ledger.ledger import Ledger

MADE_AT = "2025-01-01T08:00:00+00:00"
NOW = dt.datetime(2025, 6, 2, 10, 0)

# No example is timed: a busy machine is no defect of what is tested.
settings.register_profile("patient", settings(), deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("patient")


@pytest.fixture(scope="session", autouse=True)
def _state_of_its_own(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """What the program remembers outside of ledgers is kept out of the real user's folders."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_STATE_HOME", str(tmp_path_factory.mktemp("state")))
        yield


@pytest.fixture(scope="session", autouse=True)
def _compiled_once() -> Iterator[None]:
    """Engines on the same kind of database share their compiled statements.

    Each test has engines of its own, and to compile every statement anew took a third of the time of the suite. What
    SQLAlchemy compiles hangs on the kind of database alone here: there is one server, and one version of SQLite.
    """
    caches: dict[type, LRUCache[Any, Any]] = defaultdict(lambda: LRUCache(10_000))
    shared = property(lambda engine: caches[type(engine.dialect)], lambda engine, of_its_own: None)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Engine, "_compiled_cache", shared, raising=False)
        patch.setattr(DefaultDialect, "__eq__", lambda one, other: type(one) is type(other))
        patch.setattr(DefaultDialect, "__hash__", lambda one: hash(type(one)))
        yield


@pytest.fixture(scope="session")
def _fresh_schema() -> None:
    changed = stale()
    if changed:
        pytest.fail(
            f"The tables differ from the first step of the migrations ({', '.join(changed)}). Before the first release "
            "run `python -m tests.ledger.records.freeze`; after it, write a new step.",
            pytrace=False,
        )


@pytest.fixture(scope="session")
def sqlite_template(_fresh_schema: None, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An empty ledger in euros."""
    path = tmp_path_factory.mktemp("template") / "empty.ledger"
    create(str(path), currency="EUR", made_at=MADE_AT).close()
    return path


@pytest.fixture(scope="session")
def filled_loft(sqlite_template: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The file of the invented loft with hostile names in it, filled once; to be copied, never written to."""
    from tests.tui.business import fill

    path = tmp_path_factory.mktemp("loft") / "loft.ledger"
    shutil.copyfile(sqlite_template, path)
    store = open_store(str(path))
    fill(store)
    store.close()
    return path


@pytest.fixture(scope="session")
def pg_server() -> Iterator[Server]:
    """The server all PostgreSQL tests of this process use. Without one they fail."""
    with server() as running:
        yield running


@pytest.fixture(scope="session")
def pg_template(_fresh_schema: None, pg_server: Server) -> Iterator[str]:
    """Name of a database with an empty ledger in euros."""
    name = pg_server.new_database()
    create(pg_server.url_of(name), currency="EUR", made_at=MADE_AT).close()
    yield name
    pg_server.drop_database(name)


@pytest.fixture
def sqlite_target(sqlite_template: Path, tmp_path: Path) -> str:
    """Path of an empty ledger of the test's own."""
    path = tmp_path / "test.ledger"
    shutil.copyfile(sqlite_template, path)
    path.chmod(0o600)
    return str(path)


@pytest.fixture
def pg_url(pg_server: Server, pg_template: str) -> Iterator[str]:
    """URL of an empty ledger of the test's own."""
    name = pg_server.new_database(pg_template)
    yield pg_server.url_of(name)
    pg_server.drop_database(name)


@pytest.fixture
def sqlite_store(sqlite_target: str) -> Iterator[Store]:
    """An empty ledger on SQLite."""
    store = open_store(sqlite_target)
    yield store
    store.close()


@pytest.fixture
def pg_store(pg_url: str) -> Iterator[Store]:
    """An empty ledger on PostgreSQL."""
    store = open_store(pg_url)
    yield store
    store.close()


@pytest.fixture(params=["sqlite", "postgresql"])
def target(request: pytest.FixtureRequest) -> str:
    """Path or URL of an empty ledger; each test that asks for it runs on both kinds of database."""
    where: str = request.getfixturevalue("sqlite_target" if request.param == "sqlite" else "pg_url")
    return where


@pytest.fixture
def store(target: str) -> Iterator[Store]:
    """An empty ledger; each test that asks for it runs on both kinds of database."""
    opened = open_store(target)
    yield opened
    opened.close()


@pytest.fixture
def ledger(store: Store) -> Ledger:
    """The front door over `store`, at ten o'clock on 2 June 2025."""
    from ledger.ledger import Ledger

    return Ledger(store, clock=lambda: NOW, by="keeper")


@pytest.fixture
def scene() -> Scene:
    """The same moment for plans that are called directly."""
    return Scene(NOW.date(), NOW.strftime("%Y-%m-%dT%H:%M"), Currency("EUR", 2))
