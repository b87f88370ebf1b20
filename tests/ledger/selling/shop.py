"""A keeper who sells, on days the test chooses: says commands, and looks at what came of them."""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, TypeVar

import pytest
from sqlalchemy import Connection, select

from ledger.act import Act, Done, Plan, Scene
from ledger.costs.handlers import HANDLERS as COSTS
from ledger.errors import Refused
from ledger.origin.handlers import HANDLERS as ORIGIN
from ledger.records.handlers import HANDLERS as RECORDS
from ledger.records.operations import perform
from ledger.records.store import Store
from ledger.records.tables import metadata
from ledger.selling.handlers import HANDLERS as SELLING
from ledger.selling.ready import ReadyRow, ready
from ledger.selling.sale import Sale, find_sale
from ledger.stock.commands import AddLot, Arrival, DescribeSpecies, Move, OriginStatement, Record, StageSpec
from ledger.stock.handlers import HANDLERS as STOCK
from ledger.stock.queries import find_lot, stock_on
from ledger.stock.rebuild import Difference, differences
from tests.rows import Rows, everything

T = TypeVar("T")
HANDLERS = {**RECORDS, **STOCK, **ORIGIN, **COSTS, **SELLING}
TODAY = dt.date(2025, 6, 2)


def day(text: str) -> dt.date:
    """2025-03-12 as a date."""
    return dt.date.fromisoformat(text)


@dataclass
class Shop:
    """Says commands and looks at what came of them."""

    store: Store
    today: dt.date = TODAY
    clock: str = "10:00"
    by: str = "wren"

    @property
    def scene(self) -> Scene:
        return Scene(self.today, f"{self.today}T{self.clock}", self.store.currency)

    def do(self, command: object) -> Done:
        handler = HANDLERS[type(command)]
        scene = self.scene

        def work(conn: Connection, operation: int) -> Done:
            return handler.commit(conn, handler.plan(conn, command, scene), Act(operation, scene))

        return perform(
            self.store,
            token=str(uuid.uuid4()),
            kind=type(command).__name__,
            digest="",
            source="screen",
            by=self.by,
            work=work,
            recorded_at=f"{self.today}T{self.clock}:00+00:00",
        )

    def preview(self, command: object) -> Plan:
        with self.store.reading() as conn:
            return HANDLERS[type(command)].plan(conn, command, self.scene)

    def ask(self, question: Callable[..., T], *args: object, **more: object) -> T:
        with self.store.reading() as conn:
            return question(conn, *args, **more)

    def record(self, lot: str, *moves: Move, on: dt.date | None = None) -> Done:
        return self.do(Record(lot, moves, on or self.today))

    def ready(self, on: dt.date | None = None) -> tuple[ReadyRow, ...]:
        return self.ask(ready, on or self.today, self.scene.now)

    def ready_of(self, lot: str, stage: str | None = None, sex: str | None = None) -> ReadyRow | None:
        rows = [row for row in self.ready() if row.lot == lot and stage in (None, row.stage) and sex in (None, row.sex)]
        assert len(rows) < 2
        return rows[0] if rows else None

    def sale(self, number: str) -> Sale:
        return self.ask(find_sale, number)

    def alive(self, lot: str) -> int:
        return sum(row.count for row in self.ask(stock_on, None, lots=[self.ask(find_lot, lot).id]))

    def rows(self, table: str) -> list[Any]:
        with self.store.reading() as conn:
            return list(conn.execute(select(metadata.tables[table]).order_by(*metadata.tables[table].primary_key)))

    def everything(self) -> Rows:
        """Every row of every table."""
        return self.ask(everything)

    def refused(self, command: object, kind: type[Refused] = Refused) -> Refused:
        """The refusal of a command, when it is previewed and when it is recorded; and that nothing changed."""
        before = self.everything()
        with pytest.raises(kind) as previewed:
            self.preview(command)
        with pytest.raises(kind) as seen:
            self.do(command)
        assert str(previewed.value) == str(seen.value)
        assert self.everything() == before
        return seen.value

    def proof(self) -> list[Difference]:
        """What the stock keeps that its journal does not bear out."""
        return self.ask(differences)


def beetle() -> DescribeSpecies:
    """An invented beetle whose adults are soft for ten days."""
    return DescribeSpecies(
        "BEET",
        "Inventus beetle",
        "loft beetle",
        "beetle",
        (
            StageSpec("egg"),
            StageSpec("L3", saleable=True),
            StageSpec("pupa", do_not_post=True),
            StageSpec("adult", saleable=True, hardening_days=10),
        ),
        "adult",
        stored_sperm_days=210,
    )


def stocked(shop: Shop) -> Shop:
    """P08: 14 L3 of unknown origin; E03: 3 males and 4 females, adult and hard, stated wild-collected from XB."""
    shop.do(beetle())
    shop.do(AddLot("P08", "BEET", day("2025-03-01"), (Arrival("hatched", "L3", unsexed=14),)))
    shop.do(
        AddLot(
            "E03",
            "BEET",
            day("2025-04-01"),
            (Arrival("bought", "adult", males=3, females=4, value=7000),),
            origin=OriginStatement("WC", country="XB", supplier="Tavrin Boxes"),
        )
    )
    return shop
