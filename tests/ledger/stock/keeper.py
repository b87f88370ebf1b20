"""A keeper who says commands to a ledger of the stock alone, on days the test chooses."""

from __future__ import annotations

import datetime as dt
import time
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, TypeVar

import pytest
from sqlalchemy import Connection

from ledger.act import Act, Done, Plan, Scene
from ledger.errors import Refused
from ledger.records.operations import new_token, perform
from ledger.records.store import Store
from ledger.stock.commands import (
    AddLot,
    Arrival,
    DescribeSpecies,
    Move,
    Record,
    StageSpec,
)
from ledger.stock.handlers import HANDLERS
from ledger.stock.queries import find_lot, lot_rows, stock_on
from ledger.stock.rebuild import Difference, differences
from tests.rows import Rows, everything

T = TypeVar("T")
TODAY = dt.date(2025, 6, 2)


def day(text: str) -> dt.date:
    """2025-03-12 as a date."""
    return dt.date.fromisoformat(text)


@dataclass
class Keeper:
    """Says commands and looks at what came of them."""

    store: Store
    today: dt.date = TODAY
    by: str = "wren"
    source: str = "screen"

    @property
    def scene(self) -> Scene:
        return Scene(self.today, f"{self.today}T10:00", self.store.currency)

    def do(self, command: object) -> Done:
        handler = HANDLERS[type(command)]
        scene = self.scene

        def work(conn: Connection, operation: int) -> Done:
            return handler.commit(conn, handler.plan(conn, command, scene), Act(operation, scene))

        return perform(
            self.store,
            token=new_token(time.time_ns()),
            kind=type(command).__name__,
            digest=repr(command)[:60],
            source=self.source,
            by=self.by,
            work=work,
        )

    def act(self, work: Callable[[Connection, Act], T]) -> T:
        """One act written by hand, as another part of the ledger would."""
        got: list[T] = []

        def all_of_it(conn: Connection, operation: int) -> Done:
            got[:] = [work(conn, Act(operation, self.scene))]
            return Done("done")

        perform(
            self.store,
            token=new_token(time.time_ns()),
            kind="by hand",
            digest="",
            source=self.source,
            by=self.by,
            work=all_of_it,
        )
        return got[0]

    def preview(self, command: object) -> Plan:
        with self.store.reading() as conn:
            return HANDLERS[type(command)].plan(conn, command, self.scene)

    def ask(self, question: Callable[..., T], *args: object, **more: object) -> T:
        with self.store.reading() as conn:
            return question(conn, *args, **more)

    def record(self, lot: str, *moves: Move, on: dt.date | None = None, **more: Any) -> Done:
        return self.do(Record(lot, moves, on or self.today, **more))

    def counts(self, lot: str, on: dt.date | None = None) -> dict[str, int]:
        """{'L3': 14, 'adult male': 2, 'adult female in F05': 1} of a lot."""
        number = self.ask(find_lot, lot).id
        found: dict[str, int] = {}
        for row in self.ask(stock_on, on, lots=[number]):
            sex = "" if row.sex == "unsexed" else f" {row.sure} {row.sex}" if row.sure == "probable" else f" {row.sex}"
            found[f"{row.stage}{sex}{f' in {row.tub}' if row.tub else ''}"] = row.count
        return found

    def alive(self, lot: str) -> int:
        rows = self.ask(lot_rows, self.today, today=self.today, lots=[self.ask(find_lot, lot).id])
        return rows[0].animals if rows else 0

    def everything(self) -> Rows:
        """Every row of every table."""
        return self.ask(everything)

    def refused(self, command: object, kind: type[Refused] = Refused) -> Refused:
        """The refusal of a command, both before and when it is recorded; and that nothing changed."""
        before = self.everything()
        with pytest.raises(kind) as seen:
            self.do(command)
        assert self.everything() == before
        return seen.value

    def proof(self) -> list[Difference]:
        return self.ask(differences)


def beetle() -> DescribeSpecies:
    """An invented beetle: egg, L1, L2, L3, pupa, soft adult, adult, dried specimen."""
    return DescribeSpecies(
        "BEET",
        "Inventus beetle",
        "loft beetle",
        "beetle",
        (
            StageSpec("egg", care_weight=50),
            StageSpec("L1"),
            StageSpec("L2"),
            StageSpec("L3", saleable=True),
            StageSpec("pupa", do_not_post=True),
            StageSpec("soft adult", do_not_post=True),
            StageSpec("adult", saleable=True, hardening_days=10),
            StageSpec("dried specimen", unit="specimen", saleable=True),
        ),
        "adult",
        stored_sperm_days=210,
    )


def mantid() -> DescribeSpecies:
    """An invented mantid whose oothecae hatch."""
    return DescribeSpecies(
        "MANT",
        "Inventus mantis",
        "loft mantid",
        "mantid",
        (StageSpec("ootheca", unit="object", saleable=True), StageSpec("L1"), StageSpec("adult", saleable=True)),
        "adult",
    )


def settled(keeper: Keeper) -> Keeper:
    keeper.do(beetle())
    keeper.do(AddLot("P08", "BEET", day("2025-03-01"), (Arrival("hatched", "L3", unsexed=14),), line="north shelf"))
    return keeper
