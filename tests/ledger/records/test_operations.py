"""Each act counts once, and nothing is called unsaved that was saved."""

from __future__ import annotations

import resource
import threading
import uuid
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import Connection, Engine, event, func, insert, select, text
from sqlalchemy.exc import IntegrityError, OperationalError

from ledger.act import Done
from ledger.errors import Busy, DiskFault, NotEnough, NotKnown, SaidDifferently, Unreachable
from ledger.records.operations import new_token, perform
from ledger.records.store import Store, open_store
from ledger.records.tables import operation, outcome, setting
from tests.postgres import Server

Work = Callable[[Connection, int], Done]


def _write(name: str, value: str = "") -> Work:
    def work(conn: Connection, _operation: int) -> Done:
        conn.execute(insert(setting).values(name=name, value=value))
        return Done(f"{name} written.", {"name": name, "entry": 7}, ("mind the step",))

    return work


def _never(_conn: Connection, _operation: int) -> Done:
    raise AssertionError("this act was done before; it must not be done again")


def _do(store: Store, work: Work, token: str = "t-1", digest: str = "d", patience: float = 15.0) -> Done:
    return perform(
        store, token=token, kind="Test", digest=digest, source="test", by="keeper", work=work, patience=patience
    )


def _names(store: Store) -> list[str]:
    with store.reading() as conn:
        return list(conn.execute(select(setting.c.name).order_by(setting.c.name)).scalars())


def _operations(store: Store) -> tuple[int, int]:
    with store.reading() as conn:
        return tuple(conn.execute(select(func.count()).select_from(t)).scalar_one() for t in (operation, outcome))  # type: ignore[return-value]


def test_a_repeated_act_is_answered_as_the_first_time_and_done_once(store: Store) -> None:
    first = _do(store, _write("a"))
    again = _do(store, _never)

    assert again == first == Done("a written.", {"name": "a", "entry": 7}, ("mind the step",))
    assert _names(store) == ["a"]
    assert _operations(store) == (1, 1)


def test_the_same_token_with_other_content_is_refused_and_the_first_stands(store: Store) -> None:
    _do(store, _write("a"))

    with pytest.raises(SaidDifferently, match="saved before with other content"):
        _do(store, _write("b"), digest="other")

    assert _names(store) == ["a"]


def test_a_refused_act_leaves_nothing_and_its_form_can_be_sent_again(store: Store) -> None:
    def refuse(conn: Connection, number: int) -> Done:
        _write("half")(conn, number)
        raise NotEnough("There are only 3.")

    with pytest.raises(NotEnough):
        _do(store, refuse)

    assert _operations(store) == (0, 0)
    _do(store, _write("whole"))
    assert _names(store) == ["whole"]


def test_a_mistake_of_the_program_stays_one_and_leaves_nothing(store: Store) -> None:
    with pytest.raises(IntegrityError):
        _do(store, _write("a", "x" * 3000))

    assert _operations(store) == (0, 0)


def test_the_operation_is_written_before_the_work(store: Store) -> None:
    def work(conn: Connection, number: int) -> Done:
        token = conn.execute(select(operation.c.token).where(operation.c.id == number)).scalar_one()
        return Done(token)

    assert _do(store, work, token="abc").sentence == "abc"


def _engine(store: Store) -> Engine:
    return store._engine


@contextmanager
def _commit_fails(store: Store, after: bool) -> Iterator[list[str]]:
    """The next commit of a writer reports a broken connection, before or after it really took place."""
    engine = _engine(store)
    tried: list[str] = []
    real = engine.dialect.do_commit
    broken = OperationalError("COMMIT", {}, _lost(store))

    def do_commit(connection: Any) -> None:
        if tried:
            real(connection)
            return
        tried.append("once")
        if after:
            real(connection)
        raise broken

    engine.dialect.do_commit = do_commit  # type: ignore[method-assign, assignment]
    try:
        yield tried
    finally:
        engine.dialect.do_commit = real  # type: ignore[method-assign]


def _lost(store: Store) -> Exception:
    if store.dialect == "postgresql":
        import psycopg

        return psycopg.OperationalError("server closed the connection unexpectedly")
    import sqlite3

    error = sqlite3.OperationalError("disk I/O error")
    error.sqlite_errorcode = sqlite3.SQLITE_IOERR_FSYNC
    return error


def test_a_commit_that_took_place_is_answered_although_the_answer_was_lost(store: Store) -> None:
    with _commit_fails(store, after=True) as tried:
        done = _do(store, _write("a"))

    assert tried == ["once"]
    assert done.sentence == "a written."
    assert _names(store) == ["a"]
    assert _operations(store) == (1, 1)


def test_a_commit_that_did_not_take_place_is_called_unsaved_only_after_looking(store: Store) -> None:
    kind = Unreachable if store.dialect == "postgresql" else DiskFault

    with _commit_fails(store, after=False), pytest.raises(kind, match="nothing was saved"):
        _do(store, _write("a"))

    assert _operations(store) == (0, 0)
    _do(store, _write("a"))
    assert _names(store) == ["a"]


def test_when_the_ledger_cannot_be_asked_it_is_not_known_and_not_called_unsaved(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    @contextmanager
    def gone(_self: Store) -> Iterator[Connection]:
        raise Unreachable("The database server does not answer.")
        yield

    monkeypatch.setattr(Store, "looking_up", gone)

    with _commit_fails(store, after=True), pytest.raises(NotKnown) as caught:
        _do(store, _write("a"), patience=0.3)

    assert "nothing was saved" not in str(caught.value)
    assert "Send the same form again: it counts once." in str(caught.value)
    assert _do(store, _never).sentence == "a written."


def test_a_second_try_that_reaches_nobody_does_not_call_the_first_unsaved(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    @contextmanager
    def gone(_self: Store, *_: object) -> Iterator[Connection]:
        raise Unreachable("The database server does not answer; nothing was saved.")
        yield

    with monkeypatch.context() as cut_off:
        cut_off.setattr(Store, "looking_up", gone)
        with _commit_fails(store, after=True), pytest.raises(NotKnown):
            _do(store, _write("a"), patience=0.3)
        cut_off.setattr(Store, "writing", gone)
        with pytest.raises(NotKnown) as caught:
            _do(store, _write("a"))
        # Another act was never sent before: of that it is certain.
        with pytest.raises(Unreachable, match="nothing was saved"):
            _do(store, _write("b"), token="t-2")

    assert "nothing was saved" not in str(caught.value)
    assert _do(store, _never).sentence == "a written."


def test_a_try_that_finds_its_token_new_settles_what_was_in_doubt(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    @contextmanager
    def gone(_self: Store) -> Iterator[Connection]:
        raise Unreachable("The database server does not answer.")
        yield

    def refuse(_conn: Connection, _operation: int) -> Done:
        raise NotEnough("There are only 3.")

    with monkeypatch.context() as cut_off:
        cut_off.setattr(Store, "looking_up", gone)
        with _commit_fails(store, after=False), pytest.raises(NotKnown):
            _do(store, _write("a"), patience=0.3)

    with pytest.raises(NotEnough):
        _do(store, refuse)
    assert _operations(store) == (0, 0)


def test_a_disk_that_fails_at_the_commit_is_told_after_looking(sqlite_store: Store) -> None:
    size = Path(sqlite_store.target).stat().st_size
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)

    def much(conn: Connection, _operation: int) -> Done:
        for i in range(100):
            conn.execute(insert(setting).values(name=f"big {i}", value="x" * 2000))
        return Done("much")

    resource.setrlimit(resource.RLIMIT_FSIZE, (size, hard))
    try:
        with pytest.raises(DiskFault, match="nothing was saved"):
            _do(sqlite_store, much)
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))

    assert _names(sqlite_store) == []
    assert _do(sqlite_store, much).sentence == "much"


def test_two_windows_sending_the_same_form_at_once_record_it_once(store: Store) -> None:
    other = open_store(store.target)
    at_once = threading.Barrier(2)
    answers: list[Done] = []

    def send(through: Store) -> None:
        at_once.wait()
        answers.append(_do(through, _write("a")))

    threads = [threading.Thread(target=send, args=(through,)) for through in (store, other)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    other.close()

    assert [answer.sentence for answer in answers] == ["a written."] * 2
    assert _names(store) == ["a"]


def test_a_form_that_is_still_being_saved_elsewhere_is_not_called_unsaved(pg_store: Store, pg_server: Server) -> None:
    name = str(_engine(pg_store).url.database)
    with pg_server.connect(name) as other, other.transaction():
        other.execute(
            "INSERT INTO operation (token, kind, digest, recorded_at, recorded_by, source) "
            "VALUES ('t-1', 'Test', 'd', '', '', '')"
        )
        with _short_lock_timeout(pg_store), pytest.raises(NotKnown):
            _do(pg_store, _write("a"), patience=0.3)


@contextmanager
def _short_lock_timeout(store: Store) -> Iterator[None]:
    def shorten(conn: Connection) -> None:
        conn.exec_driver_sql("SET LOCAL lock_timeout = '100ms'")

    event.listen(_engine(store), "begin", shorten)
    yield
    event.remove(_engine(store), "begin", shorten)


def test_a_deadlock_is_tried_again_until_it_goes_through(pg_store: Store) -> None:
    for name in ("one", "two"):
        _do(pg_store, _write(name), token=name)
    other = open_store(pg_store.target)
    at_once = threading.Barrier(2)
    tries: list[str] = []

    def crossing(first: str, second: str) -> Work:
        def work(conn: Connection, _operation: int) -> Done:
            tries.append(first)
            for name in (first, second):
                conn.execute(
                    setting.update().where(setting.c.name == name).values(value=func.concat(setting.c.value, "x"))
                )
                if name == first and tries.count(first) == 1:
                    at_once.wait()
            return Done("crossed")

        return work

    threads = [
        threading.Thread(target=_do, args=(pg_store, crossing("one", "two"), "a")),
        threading.Thread(target=_do, args=(other, crossing("two", "one"), "b")),
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    other.close()

    assert len(tries) > 2, "no deadlock came about, so nothing was tried again"
    with pg_store.reading() as conn:
        assert set(conn.execute(text("SELECT value FROM setting")).scalars()) == {"xx"}


def test_a_server_that_was_stopped_and_started_again_is_reached_again(pg_server: Server, pg_store: Store) -> None:
    if pg_server.folder is None:
        pytest.fail("the server named in REARLEDGER_TEST_PG cannot be stopped by a test; run this one without it")
    _do(pg_store, _write("a"), token="a")

    pg_server.stop("immediate")
    with pytest.raises(Unreachable, match="nothing was saved"):
        _do(pg_store, _write("b"), token="b")
    pg_server.start()

    _do(pg_store, _write("b"), token="b")
    assert _names(pg_store) == ["a", "b"]


def test_a_ledger_that_stays_locked_is_given_up_after_a_while(sqlite_store: Store) -> None:
    other = open_store(sqlite_store.target)

    with other.writing(), pytest.raises(Busy, match="nothing was saved"):
        _do(sqlite_store, _write("a"), patience=0.3)

    other.close()
    assert _operations(sqlite_store) == (0, 0)


def test_tokens_rise_with_time_and_never_repeat() -> None:
    tokens = [new_token(second * 1_000_000_000) for second in range(1000, 2000)]

    assert tokens == sorted(tokens)
    assert len({new_token(5) for _ in range(1000)}) == 1000
    assert {(uuid.UUID(token).version, uuid.UUID(token).variant) for token in tokens} == {(7, uuid.RFC_4122)}
    assert uuid.UUID(tokens[0]).int >> 80 == 1_000_000
