"""The role a server's ledger is used with: a business runs under it, and nothing beyond that gets through.

SQLSTATE 42501 is "insufficient privilege" (PostgreSQL manual, appendix A).
"""

from __future__ import annotations

from collections.abc import Iterator

import psycopg
import pytest
from sqlalchemy.engine import make_url

from ledger.errors import BadInput, Refused
from ledger.ledger import Ledger
from ledger.records.roles import let_in
from ledger.records.store import Store, open_store
from tests.postgres import Server
from tests.tui.business import COMMANDS, NOW

ROLE = "rl_test_keeper"


@pytest.fixture
def role(pg_store: Store, pg_server: Server) -> Iterator[str]:
    """A role with the rights of daily use."""
    assert let_in(pg_store, ROLE)
    yield ROLE
    with pg_server.connect(str(pg_server.url.database)) as conn:
        database = make_url(pg_store.target).database
        with pg_server.connect(str(database)) as there:
            there.execute(f"DROP OWNED BY {ROLE}")
        conn.execute(f"DROP ROLE {ROLE}")


@pytest.fixture
def as_role(role: str, pg_store: Store) -> str:
    """URL of the ledger for that role."""
    return make_url(pg_store.target).set(username=role).render_as_string(hide_password=False)


def test_a_whole_business_runs_under_the_role(as_role: str) -> None:
    import datetime as dt

    from ledger.books.commands import CloseYear
    from ledger.costs.commands import Spend

    with Ledger.open(as_role, clock=lambda: NOW) as ledger:
        for command in COMMANDS:
            ledger.do(command)
        ledger.do(CloseYear(2024, dt.date(2025, 6, 1)))
        bags = [Spend(dt.date(2025, 5, day), "feed", 100) for day in (1, 2, 3)]
        ledger.do_all([("A bag", lambda _conn, one=one: one) for one in bags], content="bags")

        assert ledger.prove() == ()
        assert ledger.sales()


HOSTILE = (
    "UPDATE movement SET count = 1",
    "DELETE FROM sale",
    "TRUNCATE entry",
    "UPDATE period SET last_day = '2199-12-31'",
    "UPDATE holding SET lot_id = 1",
    "UPDATE counter SET series = 'X'",
    "UPDATE ledger_info SET schema_version = 9",
    "DELETE FROM customer",
    "DROP TABLE movement",
    "DROP TRIGGER movement_unchanged ON movement",
    "ALTER TABLE movement DISABLE TRIGGER ALL",
    "CREATE TABLE mine (a int)",
    "CREATE TEMPORARY TABLE mine (a int)",
    "CREATE OR REPLACE FUNCTION rl_never() RETURNS trigger LANGUAGE plpgsql AS 'BEGIN RETURN NEW; END'",
    "SET session_replication_role = replica",
    "SELECT pg_read_file('/etc/passwd')",
    "COPY movement TO PROGRAM 'true'",
    "SELECT * FROM pg_authid",
    "ALTER ROLE rl_test_keeper SUPERUSER",
    "CREATE ROLE other",
)


def test_nothing_else_gets_through(as_role: str, pg_store: Store) -> None:
    from tests.ledger.records.filled import fill

    with pg_store.writing() as conn:
        fill(conn)
    url = make_url(as_role).set(drivername="postgresql").render_as_string(hide_password=False)
    with psycopg.connect(url, autocommit=True) as conn:
        for statement in HOSTILE:
            with pytest.raises(psycopg.errors.InsufficientPrivilege) as refused:
                conn.execute(statement)
            assert refused.value.sqlstate == "42501", statement


def test_the_owner_could_have_done_it(pg_url: str) -> None:
    """The control: the same statements are possible, it is the role that lacks the right."""
    url = make_url(pg_url).set(drivername="postgresql").render_as_string(hide_password=False)
    with psycopg.connect(url, autocommit=True) as conn:
        for statement in ("CREATE TEMPORARY TABLE mine (a int)", "ALTER TABLE movement DISABLE TRIGGER ALL"):
            conn.execute(statement)


def test_letting_a_role_in_twice_is_the_same(role: str, pg_store: Store, as_role: str) -> None:
    assert not let_in(pg_store, role)
    open_store(as_role).close()


def test_a_role_that_can_do_more_is_refused(pg_store: Store) -> None:
    with pytest.raises(Refused, match="cannot be held"):
        let_in(pg_store, "owner")


@pytest.mark.parametrize("name", ["", "Keeper", 'a"; DROP TABLE movement; --', "a" * 64, "1st"])
def test_a_name_that_is_none_is_refused(pg_store: Store, name: str) -> None:
    with pytest.raises(BadInput, match="name of a role"):
        let_in(pg_store, name)


def test_a_file_has_no_roles(sqlite_store: Store) -> None:
    with pytest.raises(BadInput, match="move it to a server first"):
        let_in(sqlite_store, ROLE)
