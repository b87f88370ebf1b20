"""A loft with an invented beetle, kept through the front door, on days the test chooses."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field

from ledger.act import Done
from ledger.ledger import Ledger
from ledger.records.store import Store
from ledger.stock.commands import AddLot, Arrival, DescribeSpecies, Move, Record, StageSpec

START = dt.date(2025, 1, 1)


@dataclass(slots=True)
class _Clock:
    day: dt.date

    def __call__(self) -> dt.datetime:
        return dt.datetime.combine(self.day, dt.time(10, 0))


@dataclass
class Loft:
    """Says commands on the days of a clock that starts on 1 January 2025."""

    store: Store
    clock: _Clock = field(default_factory=lambda: _Clock(START))

    def __post_init__(self) -> None:
        self.ledger = Ledger(self.store, clock=self.clock, by="keeper")

    def on(self, day: int) -> dt.date:
        """A day after the first; the clock goes there."""
        self.clock.day = START + dt.timedelta(days=day)
        return self.clock.day

    def do(self, command: object) -> Done:
        return self.ledger.do(command)

    def lot(
        self, code: str, day: int, count: int, stage: str = "larva", *, reason: str = "hatched", **more: object
    ) -> None:
        on = self.on(day)
        self.do(AddLot(code, "BEET", on, (Arrival(reason, stage, unsexed=count),), **more))  # type: ignore[arg-type]

    def move(self, code: str, day: int, count: int, stage: str, to: str) -> None:
        self.do(Record(code, (Move("next stage", count, stage=stage, to_stage=to),), self.on(day)))

    def gone(self, code: str, day: int, count: int, reason: str = "died", stage: str = "larva") -> None:
        self.do(Record(code, (Move(reason, count, stage=stage),), self.on(day)))

    def course(self, code: str, day: int, *, reared: int, lost: int, slow: int = 0) -> None:
        """A lot of larvae from hatching to adults: pupae from day 28, adults from day 49, a few deaths of each."""
        self.lot(code, day, reared + lost)
        if lost:
            self.gone(code, day + 14, lost)
        half = reared // 2
        self.move(code, day + 28 + slow, half, "larva", "pupa")
        self.move(code, day + 35 + slow, reared - half, "larva", "pupa")
        self.move(code, day + 49 + slow, half, "pupa", "adult")
        self.move(code, day + 56 + slow, reared - half, "pupa", "adult")


def beetle(**more: object) -> DescribeSpecies:
    """Larvae of 25 to 35 days, pupae of 18 to 24, adults that harden for seven days."""
    stages = (
        StageSpec("larva", saleable=True, days_low=25, days_high=35, planning_survival=800_000),
        StageSpec("pupa", days_low=18, days_high=24, planning_survival=900_000),
        StageSpec("adult", saleable=True, hardening_days=7),
    )
    return DescribeSpecies("BEET", "Inventus beetle", "loft beetle", "beetle", stages, "adult", source="a guess")
