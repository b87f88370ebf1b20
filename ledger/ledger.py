"""The front door: open a ledger, say what happened, ask what is so.

Screens, commands, imports and the demo all come through here. A command is planned (`preview`) or recorded (`do`),
each in one transaction; each question is one function of a part, asked through `ask` with a connection of its own.
"""

from __future__ import annotations

import datetime as dt
import getpass
import hashlib
import time
from collections.abc import Callable
from functools import cache
from types import TracebackType
from typing import Concatenate, ParamSpec, TypeVar

from sqlalchemy import Connection

from ledger.act import Act, Done, Handler, Plan, Scene
from ledger.errors import BadInput
from ledger.money import Currency
from ledger.records.operations import new_token, perform
from ledger.records.settings import setting
from ledger.records.store import Store, create, open_store

P = ParamSpec("P")
T = TypeVar("T")


@cache
def handlers() -> dict[type, Handler]:
    """Every command a ledger knows, with how it is planned and written."""
    from ledger.books.handlers import HANDLERS as books
    from ledger.costs.handlers import HANDLERS as costs
    from ledger.origin.handlers import HANDLERS as origin
    from ledger.records.handlers import HANDLERS as records
    from ledger.selling.handlers import HANDLERS as selling
    from ledger.stock.handlers import HANDLERS as stock

    return {**records, **stock, **origin, **costs, **selling, **books}


def digest_of(command: object) -> str:
    """Fingerprint of a command's content: the same token with another one is refused."""
    return hashlib.sha256(repr(command).encode("utf-8", "surrogatepass")).hexdigest()


class Ledger:
    """One open ledger.

    Args:
        store: the opened database.
        clock: gives the local time; the demo and the tests pass their own.
        by: who records, kept with each act.
    """

    def __init__(self, store: Store, *, clock: Callable[[], dt.datetime] | None = None, by: str | None = None) -> None:
        self.store = store
        self.by = by if by is not None else getpass.getuser()
        self._clock = clock or self._own_clock()

    @classmethod
    def open(cls, target: str, *, read_only: bool = False, clock: Callable[[], dt.datetime] | None = None) -> Ledger:
        """Open an existing ledger (a path or a database URL).

        Raises:
            NotALedger, NewerLedger, Busy: it cannot be used, and why.
        """
        return cls(open_store(target, read_only=read_only), clock=clock)

    @classmethod
    def create(
        cls, target: str, *, currency: str, name: str, clock: Callable[[], dt.datetime] | None = None
    ) -> Ledger:
        """Make a new ledger; its currency never changes afterwards.

        Raises:
            Refused: there is something at that place already, or it cannot be written.
        """
        return cls(create(target, currency=Currency.of(currency).code, name=name), clock=clock)

    def _own_clock(self) -> Callable[[], dt.datetime]:
        """The computer's clock, or the day the demo business lives in."""
        with self.store.reading() as conn:
            pretended = setting(conn, "pretend today", "")
        if pretended:
            moment = dt.datetime.combine(dt.date.fromisoformat(pretended), dt.time(12, 0))
            return lambda: moment
        return dt.datetime.now

    def close(self) -> None:
        """Let go of the database."""
        self.store.close()

    def __enter__(self) -> Ledger:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None) -> None:
        self.close()

    @property
    def name(self) -> str:
        """The name of the business."""
        with self.store.reading() as conn:
            return setting(conn, "business name", "")

    @property
    def currency(self) -> Currency:
        """The currency of every amount in this ledger."""
        return self.store.currency

    @property
    def today(self) -> dt.date:
        """The day it is for this ledger."""
        return self._clock().date()

    @property
    def scene(self) -> Scene:
        """What a plan may know besides the ledger."""
        moment = self._clock()
        return Scene(moment.date(), moment.strftime("%Y-%m-%dT%H:%M"), self.currency)

    def preview(self, command: object) -> Plan:
        """Check a command and say what would be recorded; writes nothing.

        Raises:
            Refused: it cannot be recorded, and why.
        """
        handler = self._handler(command)
        with self.store.reading() as conn:
            return handler.plan(conn, command, self.scene)

    def do(self, command: object, *, token: str | None = None, source: str = "command") -> Done:
        """Record a command in one transaction.

        Args:
            command: what is to be recorded.
            token: made when the form opened; the same token records once, whatever is retried.
            source: where it was said: screen, command, demo, import.

        Raises:
            Refused: it was not recorded, and why; nothing changed.
        """
        handler = self._handler(command)
        scene = self.scene

        def work(conn: Connection, operation: int) -> Done:
            plan = handler.plan(conn, command, scene)
            return handler.commit(conn, plan, Act(operation, scene))

        return perform(
            self.store,
            token=token or new_token(time.time_ns()),
            kind=type(command).__name__,
            digest=digest_of(command),
            source=source,
            by=self.by,
            work=work,
        )

    def ask(self, question: Callable[Concatenate[Connection, P], T], *args: P.args, **kwargs: P.kwargs) -> T:
        """Answer a question (a query function of one of the parts) on a connection of its own."""
        with self.store.reading() as conn:
            return question(conn, *args, **kwargs)

    @staticmethod
    def _handler(command: object) -> Handler:
        try:
            return handlers()[type(command)]
        except KeyError:
            raise BadInput(f"{type(command).__name__} is not something a ledger records.") from None
