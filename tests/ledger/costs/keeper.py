"""A small ledger with one species and one lot for the tests of what a keeper spends."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field
from typing import Any

import pytest

from ledger.act import Done
from ledger.costs.account import account
from ledger.costs.load import SpreadCost, spread_costs
from ledger.costs.result import Kind
from ledger.errors import Refused
from ledger.ledger import Ledger
from ledger.stock.commands import AddLot, Arrival, DescribeSpecies, StageSpec
from tests.rows import Rows, everything


def day(text: str) -> dt.date:
    return dt.date.fromisoformat(text)


@dataclass
class Keeper:
    """Says things to a ledger and looks at what came of them."""

    ledger: Ledger
    now: list[dt.datetime] = field(default_factory=list)

    def do(self, command: Any) -> Done:
        return self.ledger.do(command)

    def at(self, text: str) -> None:
        """Let it be that day."""
        self.now[:] = [dt.datetime.combine(day(text), dt.time(10, 0))]

    def spread(self, until: str) -> dict[int, SpreadCost]:
        return {cost.id: cost for cost in self.ledger.ask(spread_costs, day(until))}

    def carried(self, until: str, kind: Kind = Kind.ON_HAND) -> dict[int | None, int]:
        """Minor units by lot of one kind of closing line."""
        found: dict[int | None, int] = {}
        for row in self.ledger.ask(account, day(until)).shared.closing:
            if row.kind is kind:
                found[row.lot] = found.get(row.lot, 0) + sum(row.posted)
        return found

    def waiting(self, until: str) -> int:
        """Minor units not used up."""
        return sum(self.carried(until, Kind.NOT_USED_UP).values())

    def refused(self, command: Any) -> str:
        """The one sentence of a refusal that changed nothing."""
        before = self.rows()
        with pytest.raises(Refused) as refused:
            self.ledger.do(command)
        assert self.rows() == before
        sentence = refused.value.sentence
        assert sentence.endswith((".", "?", ")"))
        assert "\n" not in sentence
        assert len(sentence) < 400
        return sentence

    def rows(self) -> Rows:
        """Every row of every table."""
        return self.ledger.ask(everything)


BUG = DescribeSpecies(
    "BUG",
    "Species inventa",
    "bug",
    "beetle",
    (StageSpec("larva", saleable=True), StageSpec("adult", saleable=True)),
    "adult",
)


def keeper_of(ledger: Ledger) -> Keeper:
    """A keeper of ten larvae (BUG, lot L) there since 1 January 2025, on 2 June 2025."""
    now = [dt.datetime(2025, 6, 2, 10, 0)]
    keeper = Keeper(Ledger(ledger.store, clock=lambda: now[0], by="keeper"), now)
    keeper.do(BUG)
    keeper.do(AddLot("L", "BUG", day("2025-01-01"), (Arrival("collected", "larva", unsexed=10),)))
    return keeper
