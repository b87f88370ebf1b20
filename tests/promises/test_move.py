"""Promise 15: moving from a file to a server and back keeps every row."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from ledger.errors import BadInput, DiskFault
from ledger.ledger import Ledger
from ledger.records import rows, transfer
from ledger.records.rows import fingerprint
from ledger.records.store import Store, open_store
from ledger.records.transfer import move_to
from ledger.records.triggers import doubts
from tests.ledger.records.filled import fill as fill_every_table
from tests.postgres import Server
from tests.tui.business import NOW, fill


@pytest.fixture
def empty_database(pg_server: Server) -> Iterator[str]:
    name = pg_server.new_database()
    yield pg_server.url_of(name)
    pg_server.drop_database(name)


def seen(target: str) -> tuple[object, ...]:
    """Digest and balances of a ledger."""
    with Ledger.open(target, clock=lambda: NOW) as ledger:
        with ledger.store.reading() as conn:
            digest = fingerprint(conn)
            assert doubts(conn) == ()
        return digest, ledger.stock(), ledger.ready(), ledger.income(2025), ledger.prove()


def test_there_and_back_every_row_and_every_balance_is_the_same(
    sqlite_store: Store, empty_database: str, tmp_path: Path
) -> None:
    fill(sqlite_store)
    before = seen(sqlite_store.target)

    move_to(sqlite_store, empty_database)
    server = open_store(empty_database)
    move_to(server, str(tmp_path / "back.rearledger"))
    server.close()

    assert seen(empty_database) == before
    assert seen(str(tmp_path / "back.rearledger")) == before
    assert seen(sqlite_store.target) == before


def test_a_row_in_every_table_arrives(sqlite_store: Store, empty_database: str) -> None:
    with sqlite_store.writing() as conn:
        fill_every_table(conn)

    move_to(sqlite_store, empty_database)

    server = open_store(empty_database)
    with sqlite_store.reading() as here, server.reading() as there:
        assert fingerprint(here) == fingerprint(there)
    server.close()


def test_recording_goes_on_after_the_move(sqlite_store: Store, empty_database: str) -> None:
    import datetime as dt

    from ledger.stock.commands import Move, Record

    fill(sqlite_store)
    move_to(sqlite_store, empty_database)
    command = Record("P01", (Move("died", 1, sex="male"),), dt.date(2025, 6, 1))

    answers = []
    for target in (sqlite_store.target, empty_database):
        with Ledger.open(target, clock=lambda: NOW) as ledger:
            answers.append(ledger.do(command))

    assert answers[0] == answers[1]


def test_a_copy_that_lost_a_row_is_not_kept(
    sqlite_store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The control: the comparison is what finds it."""
    fill(sqlite_store)

    def forgetful(source: object, target: object) -> dict[str, int]:
        counts = rows.copy(source, target)  # type: ignore[arg-type]
        target.exec_driver_sql("DROP TRIGGER observation_undeleted")  # type: ignore[attr-defined]
        target.exec_driver_sql("DELETE FROM observation WHERE id = 1")  # type: ignore[attr-defined]
        return counts

    monkeypatch.setattr(transfer, "copy", forgetful)

    with pytest.raises(DiskFault, match="does not hold what the ledger holds"):
        move_to(sqlite_store, str(tmp_path / "copy.rearledger"))

    assert not (tmp_path / "copy.rearledger").exists()


def test_a_ledger_never_moves_onto_another(sqlite_store: Store, pg_url: str) -> None:
    fill(sqlite_store)

    with pytest.raises(BadInput, match="tables in"):
        move_to(sqlite_store, pg_url)
