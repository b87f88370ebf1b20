"""The fairs of the demo business: planned, packed for, sold at by packs, and settled with the cash counted."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import partial

from sqlalchemy import Connection

from demo.animals import Animal, Group, take
from demo.parameters import FAIR_FLOAT, FAIR_NAMES, FAIR_OFF, Pack
from demo.world import World
from ledger.selling.commands import EndFair, PackForFair, Pick, PlanFair, SellFairPack
from ledger.selling.fair_cash import expected_cash
from ledger.selling.fairs import find_fair

PLANNED_BEFORE = 21
"""Days before a fair on which it is planned."""
LEFT = 2
"""Packs of a fair that nobody takes."""


@dataclass(frozen=True, slots=True)
class Picked:
    """Animals chosen for one line."""

    group: Group
    animals: tuple[Animal, ...]


@dataclass(slots=True)
class Fair:
    """A fair as the demo plays it: the packs that stand ready, by their marks."""

    name: str
    first: dt.date
    last: dt.date
    ready: list[tuple[str, str, list[Picked]]] = field(default_factory=list)
    """Mark, species and animals of each pack."""
    marks: dict[tuple[str, int], str] = field(default_factory=dict)


class Fairs:
    """What is done for and at the fairs."""

    def __init__(self, world: World) -> None:
        self.world = world
        self.all = [Fair(*one) for one in FAIR_NAMES]

    def plan(self) -> None:
        """Put the planning of each fair on its day; what it costs needs it."""
        for fair in self.all:
            self.world.at(fair.first - dt.timedelta(days=PLANNED_BEFORE), partial(self._planned, fair))

    def _planned(self, fair: Fair) -> None:
        self.world.do(PlanFair(fair.name, fair.first, fair.last, FAIR_FLOAT))

    def on(self, today: dt.date) -> Fair | None:
        """The fair of a day."""
        return next((fair for fair in self.all if fair.first <= today <= fair.last), None)

    def pack(self, fair: Fair, pack: Pack, price: int, picked: Sequence[Picked]) -> None:
        """Put one pack together: its animals are kept back for the fair."""
        picks = tuple(
            Pick(
                one.group.code,
                len(one.animals),
                one.group.stage(one.animals[0]),
                one.animals[0].sex,
                one.animals[0].tub,
            )
            for one in picked
        )
        kind = (f"{pack.species} {pack.stage} {pack.name} {pack.sex}", price)
        mark = fair.marks.setdefault(kind, f"{pack.species[0]}{len(fair.marks) + 1}")
        self.world.do(PackForFair(fair.name, mark, pack.name, picks, price=price))
        for one in picked:
            for animal in one.animals:
                animal.reserved = animal.still = True
        fair.ready.append((mark, pack.species, list(picked)))

    def sell(self, fair: Fair, species: str, customer: str) -> bool:
        """Sell the next pack of a species, if one is left that somebody takes."""
        if len(fair.ready) <= LEFT:
            return False
        for number, (mark, of, picked) in enumerate(fair.ready):
            if of == species:
                self.world.do(SellFairPack(fair.name, mark, self.world.today, customer=customer))
                del fair.ready[number]
                for one in picked:
                    take(one.group, one.animals)
                return True
        return False

    def end(self, fair: Fair) -> None:
        """Count the cash; what was not sold comes back."""
        expected = self.world.book.ask(partial(_expected, fair.name))
        off = FAIR_OFF.get(fair.name, 0)
        note = "looked through twice; change given wrong, most likely" if off else ""
        self.world.do(EndFair(fair.name, self.world.today, expected + off, note))
        for _, _, picked in fair.ready:
            for one in picked:
                for animal in one.animals:
                    animal.reserved = animal.still = False
        fair.ready.clear()


def _expected(name: str, conn: Connection) -> int:
    return expected_cash(conn, find_fair(conn, name))
