"""Acts of recording: each counts once, whatever is retried, and "not saved" is never said of something saved.

The row of the operation, with the token made when the form opened, is written before anything else of the act; the
answer is written last, in the same transaction. An error while committing says nothing of whether the commit took
place, so the token is looked up before anybody is told.
"""

from __future__ import annotations

import datetime as dt
import json
import os
import random
import time
import uuid
from collections.abc import Callable
from functools import cache
from typing import TYPE_CHECKING, Any

from sqlalchemy import Connection, bindparam, insert, select
from sqlalchemy.exc import DBAPIError

from ledger.act import Done
from ledger.errors import Busy, NotKnown, Refused, SaidDifferently
from ledger.records.engines import PATIENCE
from ledger.records.faults import is_lock_wait, is_replaced, refusal
from ledger.records.store import NOT_KNOWN, Store
from ledger.records.tables import operation, outcome
from ledger.wording import say

if TYPE_CHECKING:
    from sqlalchemy.sql.dml import ReturningInsert


class _InFlight(Exception):
    """The same token is being recorded by another transaction at this moment."""


def new_token(now_ns: int) -> str:
    """A token for one act: unique, and rising with time, which keeps its index compact (RFC 9562, version 7).

    Args:
        now_ns: nanoseconds since 1970, as `time.time_ns()` gives them.
    """
    milliseconds = (now_ns // 1_000_000) & (2**48 - 1)
    bits = (milliseconds << 80) | int.from_bytes(os.urandom(10), "big")
    bits = (bits & ~(0xF << 76)) | (0x7 << 76)
    bits = (bits & ~(0x3 << 62)) | (0x2 << 62)
    return str(uuid.UUID(int=bits))


def perform(
    store: Store,
    *,
    token: str,
    kind: str,
    digest: str,
    source: str,
    by: str,
    work: Callable[[Connection, int], Done],
    recorded_at: str | None = None,
    patience: float = PATIENCE,
) -> Done:
    """Do the work of one act in one transaction, once.

    Args:
        store: the ledger.
        token: made when the form opened (`new_token`); at most 64 characters.
        kind: what is recorded, for the log of operations.
        digest: fingerprint of the content; at most 64 characters.
        source: screen, command, demo, import.
        by: who records.
        work: writes the rows, given the connection and the id of the operation; it may be called again after a
            rollback, so it must keep nothing from an earlier call.
        recorded_at: ISO 8601; None: the computer's clock.
        patience: seconds to go on trying while others write.

    Returns:
        What `work` answered; for a token that was recorded before, what was answered then.

    Raises:
        SaidDifferently: the token was recorded before with another digest.
        Busy, DiskFull, ReadOnly, ...: nothing was saved, and why.
        NotKnown: whether it was saved could not be found out.
    """
    stamp = recorded_at or dt.datetime.now(dt.UTC).isoformat(timespec="seconds")
    row = {"token": token, "kind": kind, "digest": digest, "recorded_at": stamp, "recorded_by": by, "source": source}
    try:
        done = _until_answered(store, row, work, time.monotonic() + patience)
    except NotKnown:
        store.in_doubt.add(token)
        raise
    except SaidDifferently:
        raise
    except Refused as refused:
        # This try saved nothing; an earlier one with the same token may have, and nobody could be asked.
        if token in store.in_doubt:
            raise NotKnown(NOT_KNOWN) from refused
        raise
    store.in_doubt.discard(token)
    return done


def answer_of(store: Store, *, token: str, kind: str, digest: str, source: str, by: str) -> Done | None:
    """Whether an act that another process was at was saved: what was answered then, or None for certainly not.

    Arguments as for `perform`.

    Raises:
        SaidDifferently: the token was recorded with another digest.
        NotKnown: the ledger could not be asked.
    """
    stamp = dt.datetime.now(dt.UTC).isoformat(timespec="seconds")
    row = {"token": token, "kind": kind, "digest": digest, "recorded_at": stamp, "recorded_by": by, "source": source}
    return _find_out(store, row, time.monotonic() + PATIENCE)


def _until_answered(
    store: Store, row: dict[str, str], work: Callable[[Connection, int], Done], deadline: float
) -> Done:
    while True:
        try:
            return _attempt(store, row, work, max(0.0, deadline - time.monotonic()))
        except (Busy, _InFlight) as stopped:
            if isinstance(stopped, _InFlight):
                store.in_doubt.add(row["token"])
            if time.monotonic() >= deadline:
                raise NotKnown(NOT_KNOWN) if isinstance(stopped, _InFlight) else stopped from None
        except NotKnown as unclear:
            known = _find_out(store, row, deadline)
            if known is not None:
                return known
            store.in_doubt.discard(row["token"])
            cause = unclear.__cause__ or unclear
            refused = refusal(cause, saving=True, place=store.place)
            if not isinstance(refused, Busy) or time.monotonic() >= deadline:
                raise refused or cause from cause.__cause__
        time.sleep(random.uniform(0.005, 0.03))


def perform_within(
    conn: Connection,
    *,
    token: str,
    kind: str,
    digest: str,
    source: str,
    by: str,
    work: Callable[[Connection, int], Done],
) -> Done:
    """Do the work of one of many acts that are saved together, in a transaction that is open already.

    A refused act leaves nothing behind and the others stand; whether all of them are saved is decided by whoever ends
    the transaction. Arguments and errors as for `perform`.
    """
    stamp = dt.datetime.now(dt.UTC).isoformat(timespec="seconds")
    row = {"token": token, "kind": kind, "digest": digest, "recorded_at": stamp, "recorded_by": by, "source": source}
    with conn.begin_nested():
        return _record(conn, row, work)


def _attempt(store: Store, row: dict[str, str], work: Callable[[Connection, int], Done], patience: float) -> Done:
    def certain(conn: Connection, number: int) -> Done:
        # The row of this token is new: no earlier try with it was saved.
        store.in_doubt.discard(row["token"])
        return work(conn, number)

    with store.writing(patience) as conn:
        return _record(conn, row, certain)


def _record(conn: Connection, row: dict[str, str], work: Callable[[Connection, int], Done]) -> Done:
    number = _write_operation(conn, row)
    if number is None:
        known = _answer(conn, row)
        if known is None:
            raise _InFlight
        return known
    done = work(conn, number)
    conn.execute(insert(outcome), {"operation_id": number, "answer": _as_json(done)})
    return done


_ANSWERED = (
    select(operation.c.digest, outcome.c.answer)
    .join(outcome, outcome.c.operation_id == operation.c.id)
    .where(operation.c.token == bindparam("of_token"))
)


@cache
def _new_operation(dialect: str) -> ReturningInsert[int]:
    if dialect == "sqlite":
        return insert(operation).returning(operation.c.id)
    from sqlalchemy.dialects import postgresql

    # A server would give the whole transaction up for a double; this waits for the other one, then answers nothing.
    skipping = postgresql.insert(operation).on_conflict_do_nothing(index_elements=[operation.c.token])
    return skipping.returning(operation.c.id)


def _write_operation(conn: Connection, row: dict[str, str]) -> int | None:
    """The first row of an act: its number, or None where the token was recorded before.

    The only thing it can wait for is the same token in another transaction.
    """
    try:
        new = conn.execute(_new_operation(conn.dialect.name), row).one_or_none()
        return None if new is None else new.id
    except DBAPIError as error:
        if is_replaced(error):
            return None
        if is_lock_wait(error):
            raise _InFlight from error
        raise


def _find_out(store: Store, row: dict[str, str], deadline: float) -> Done | None:
    """Whether the token was recorded after all: its answer, or None for certainly not.

    On a server the lost transaction may still be on its way to its commit. Writing the token again waits for it.

    Raises:
        NotKnown: the ledger could not be asked.
    """
    while True:
        try:
            with store.looking_up() as conn:
                known = _answer(conn, row)
                if known is None and store.dialect == "postgresql" and _write_operation(conn, row) is None:
                    known = _answer(conn, row)
                return known
        except SaidDifferently:
            raise
        except (Refused, _InFlight) as error:
            if time.monotonic() >= deadline:
                raise NotKnown(NOT_KNOWN) from error
        time.sleep(0.1)


def _answer(conn: Connection, row: dict[str, str]) -> Done | None:
    found = conn.execute(_ANSWERED, {"of_token": row["token"]}).one_or_none()
    if found is None:
        return None
    if found.digest != row["digest"]:
        raise SaidDifferently(
            say(
                "This form was saved before with other content, and that stands. Look at what was saved, then "
                "open a new form for the rest."
            ),
            facts={"token": row["token"]},
        )
    return _from_json(found.answer)


def _as_json(done: Done) -> str:
    return json.dumps(
        {"sentence": done.sentence, "refs": dict(done.refs), "cautions": list(done.cautions)}, ensure_ascii=False
    )


def _from_json(answer: str) -> Done:
    if not answer:
        return Done(say("This was recorded before; its answer named somebody whose particulars were erased since."))
    said: dict[str, Any] = json.loads(answer)
    return Done(said["sentence"], said["refs"], tuple(said["cautions"]))
