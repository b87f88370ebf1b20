"""Plays the two years of the demo business day by day and records them through the ledger's own commands."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Callable, Sequence

from demo.animals import Animal, Event, Fate, Group, check, take
from demo.parameters import FIRST, LAST, LIVES, SEED
from ledger.act import Done
from ledger.ledger import Ledger, Together
from ledger.stock.commands import AddLot, Arrival, Mark, Move, OriginStatement, Record, SaveRound

CHECK_EVERY = {"PACH": 13, "EXTA": 14, "HIER": 11, "PORC": 19, "GECK": 10}

ROUNDS_FROM = dt.date(2025, 10, 1)
"""Rounds are written down from this day on."""
ROUND_DAYS = (0, 3)
COLONIES = ("C01", "C02", "C03")
FORGOTTEN = ("E08", "G13")
"""Lots whose rounds nobody wrote down: they show as due."""

MONTH = 30
"""Days that are saved together."""


class World:
    """The loft: its groups of animals, what is fixed to happen on which day, and the ledger it is written into."""

    def __init__(self, ledger: Ledger, set_clock: Callable[[dt.datetime], None]) -> None:
        self.ledger = ledger
        self.book: Together
        """The stretch of days that is being written."""
        self.set_clock = set_clock
        self.fate = Fate(SEED)
        self.draw = self.fate.draw
        self.groups: dict[str, Group] = {}
        self.plans: dict[dt.date, list[Event]] = defaultdict(list)
        self.today = FIRST
        self.specimens_wanted = 0
        """How many beetles that die of old age are still to be kept as specimens."""
        self.specimens: list[tuple[str, str]] = []
        """Lot and sex of each specimen kept and not sold."""

    # --- time ---

    def at(self, day: dt.date, event: Event) -> None:
        """Let something happen on a day."""
        self.plans[day].append(event)

    def play(self, trade: Callable[[dt.date], None], progress: Callable[[float], None]) -> None:
        """Live through all days: what was fixed, then the checks, then the day's trade."""
        days = (LAST - FIRST).days + 1
        for start in range(0, days, MONTH):
            with self.ledger.together("demo") as self.book:
                for number in range(start, min(start + MONTH, days)):
                    self._live(number, trade)
                    progress((number + 1) / days)

    def _live(self, number: int, trade: Callable[[dt.date], None]) -> None:
        self.today = FIRST + dt.timedelta(days=number)
        self.set_clock(dt.datetime.combine(self.today, dt.time(12, 0)))
        for event in self.plans.pop(self.today, []):
            event()
        for group in list(self.groups.values()):
            if (number - group.offset) % group.every == 0:
                self.check(group)
        trade(self.today)
        if self.today >= ROUNDS_FROM and self.today.weekday() in ROUND_DAYS:
            self._round()

    def _round(self) -> None:
        """Feeding and cleaning day: every lot with animals is fed and looked at, but for those forgotten."""
        alive = [group.code for group in self.groups.values() if group.animals or group.code in COLONIES]
        marks = [Mark(code, kind) for code in alive if code not in FORGOTTEN for kind in ("fed", "looked")]
        self.do(SaveRound(tuple(marks), self.today))

    def do(self, command: object) -> Done:
        """Record something."""
        return self.book.do(command)

    # --- animals ---

    def lot(
        self,
        code: str,
        species: str,
        arrivals: Sequence[Arrival],
        *,
        origin: OriginStatement | None = None,
        mothers: tuple[str, ...] = (),
        started_from: dt.date | None = None,
        purpose: str = "sale",
        part: float = 0.0,
        place: str = "",
        colony: str | None = None,
        laid: tuple[dt.date, dt.date] | None = None,
        **own: object,
    ) -> Group:
        """A new lot with its first animals; arrivals that are no animals (an ootheca, a colony) are only recorded."""
        self.do(
            AddLot(
                code,
                species,
                self.today,
                tuple(arrivals),
                started_from=started_from,
                purpose=purpose,
                place=place,
                origin=origin,
                mothers=mothers,
                colony=colony,
                laid_from=laid[0] if laid else None,
                laid_on=laid[1] if laid else None,
            )
        )
        group = Group(code, species, LIVES[species], CHECK_EVERY[species], self.draw.randrange(CHECK_EVERY[species]))
        group.breeding = purpose == "breeding"
        for name, value in own.items():
            setattr(group, name, value)
        stages = {step.stage for step in group.steps}
        for arrival in arrivals:
            if arrival.stage not in stages:
                continue
            for sex, count in (("unsexed", arrival.unsexed), ("male", arrival.males), ("female", arrival.females)):
                self.fate.add(group, arrival.stage, count, self.today.toordinal(), sex=sex, tub=arrival.tub, part=part)
        self.groups[code] = group
        return group

    def join(self, code: str, species: str, stage: str, count: int, *, part: float = 0.0) -> None:
        """Animals of a lot that was recorded together with something else."""
        group = Group(code, species, LIVES[species], CHECK_EVERY[species], self.draw.randrange(CHECK_EVERY[species]))
        self.fate.add(group, stage, count, self.today.toordinal(), part=part)
        self.groups[code] = group

    def check(self, group: Group) -> None:
        """One check of a lot: what moved on and what died goes into the ledger as one entry."""
        moved, died = check(group, self.fate, self.today.toordinal())
        moves = [
            Move(
                "next stage",
                count,
                stage=stage,
                sex=sex,
                tub=tub,
                to_stage=later,
                to_sex=new if new != sex else None,
            )
            for (stage, sex, tub, later, new), count in sorted(moved.items())
        ]
        for (stage, sex, tub, old), count in sorted(died.items()):
            moves.extend(self._deaths(group, stage, sex, tub, old, count))
        if moves:
            self.do(Record(group.code, tuple(moves), self.today))

    def _deaths(self, group: Group, stage: str, sex: str, tub: str, old: bool, count: int) -> list[Move]:
        if stage == "adult" and group.species == "PACH" and old and self.specimens_wanted > 0:
            kept = min(count, self.specimens_wanted)
            self.specimens_wanted -= kept
            self.specimens.extend([(group.code, sex)] * kept)
            moves = [Move("dried", kept, stage=stage, sex=sex, tub=tub, to_stage="dried specimen")]
            return moves + ([Move("died", count - kept, stage=stage, sex=sex, tub=tub)] if count > kept else [])
        cause = "ordinary" if old else "exceptional" if stage in group.survival else None
        return [Move("died", count, stage=stage, sex=sex, tub=tub, cause=cause)]

    def leave(self, group: Group, animals: Sequence[Animal]) -> None:
        """Animals are gone: sold, given away, swapped."""
        take(group, animals)
