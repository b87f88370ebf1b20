"""Trying many acts one after another, to say of each whether the ledger would record it; nothing of it is saved.

Each is planned and written as it would be, with those before it counted in, so what is said is what would be done.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import replace

from sqlalchemy import Connection

from ledger.act import Act, Done
from ledger.errors import Busy, Refused
from ledger.ledger import Ledger, plan_out
from ledger.records.later import kept_back
from ledger.records.operations import new_token, perform_within

_TOGETHER = 500
"""Acts tried with one mark to go back to; where the writing of one of them is refused, they are tried one by one."""


class _TakenBack(Exception):
    """Ends a trial: everything in it is rolled back."""


class _NotWritten(Exception):
    """An act that its plan allowed was refused when it was written."""


def try_all(
    ledger: Ledger,
    commands: Sequence[object],
    *,
    source: str,
    told: Callable[[int], None] = lambda done: None,
    sentences: bool = True,
) -> tuple[Done | Refused, ...]:
    """Try commands in one transaction, which is taken back.

    Args:
        ledger: open for recording.
        commands: in the order in which they would be recorded.
        source: where they come from.
        told: how many have been tried.
        sentences: whether the sentences of the answers are read; if not, they may be left out.

    Returns:
        For each what would be answered, or why it would not be recorded.

    Raises:
        Busy, ReadOnly: the ledger cannot be written to just now.
    """
    answers: list[Done | Refused] = []

    def work(conn: Connection, operation: int) -> Done:
        act = Act(operation, replace(ledger.scene, sentences=sentences))
        while len(answers) < len(commands):
            try:
                with kept_back(conn):
                    for start in range(len(answers), len(commands), _TOGETHER):
                        told(start)
                        with conn.begin_nested():
                            part = commands[start : start + _TOGETHER]
                            said = [_tried(ledger, conn, command, act) for command in part]
                        answers.extend(said)
            except _NotWritten:
                part = commands[len(answers) : len(answers) + _TOGETHER]
                answers.extend([_alone(ledger, conn, command, act) for command in part])
        raise _TakenBack

    try:
        with ledger.store.writing() as conn:
            token = new_token(time.time_ns())
            perform_within(conn, token=token, kind="trial", digest="", source=source, by=ledger.by, work=work)
    except _TakenBack:
        pass
    return tuple(answers)


def _tried(ledger: Ledger, conn: Connection, command: object, act: Act) -> Done | Refused:
    handler = ledger.handler(command)
    try:
        plan = plan_out(conn, handler, command, act)
    except Busy:
        raise
    except Refused as refused:
        return refused
    try:
        return handler.commit(conn, plan, act)
    except Busy:
        raise
    except Refused as refused:
        raise _NotWritten from refused


def _alone(ledger: Ledger, conn: Connection, command: object, act: Act) -> Done | Refused:
    try:
        with conn.begin_nested():
            handler = ledger.handler(command)
            return handler.commit(conn, plan_out(conn, handler, command, act), act)
    except Busy:
        raise
    except Refused as refused:
        return refused
