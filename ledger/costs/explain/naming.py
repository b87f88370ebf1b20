"""What the parts of a figure are called: costs by what was bought, movements by what was done, stages by name."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Sequence
from fractions import Fraction

from sqlalchemy import Connection, select

from ledger.costs.explain.answers import Line
from ledger.costs.explain.load import Loaded
from ledger.costs.explain.parts import Part, apportion, rounded
from ledger.days import long_day
from ledger.records import tables as t
from ledger.stock.events import Event
from ledger.stock.reasons import REASONS
from ledger.stock.words import animals
from ledger.wording import a_day, say, strung, word

FIXED = {
    "losses": (say("losses"), say("lost animals whose cost one reared adult carries")),
    "brood": (say("breeders"), say("the keep of breeders, and their own price as they are used up")),
    "rest": (
        say("put right later"),
        say("moved when a movement of a closed year was taken back; its size is known by category"),
    ),
    "rounding": (say("rounding"), say("there by rounding alone")),
}
"""Name of a part of one kind, and what to know of it."""

_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


class Names:
    """Names of parts; those of costs are read for the parts at hand only."""

    def __init__(self, conn: Connection, loaded: Loaded, parts: Iterable[Part]) -> None:
        self._loaded = loaded
        self._events = loaded.events
        parts = list(parts)
        self._kinds = {part.key.name for part in parts if part.key.kind == "stage"}
        self._costs = {
            row.id: row
            for row in conn.execute(
                select(t.cost).where(t.cost.c.id.in_([part.key.number for part in parts if part.key.kind == "cost"]))
            )
        }
        self._bought = {
            row.movement_id: row
            for row in conn.execute(
                select(t.cost).where(
                    t.cost.c.movement_id.in_([part.key.number for part in parts if part.key.kind == "bought"])
                )
            )
        }

    def lines(self, parts: Sequence[Part], number: int | None = None, whole_of: int | None = None) -> tuple[Line, ...]:
        """Parts as they are read; `number`: of reared adults to give them for as well; `whole_of`: what those sum to,
        where it is not the sum of the parts but what is shown of a part they are of."""
        if number is None:
            in_all = [part.shown for part in parts]
        else:
            whole = [part.exact * number for part in parts]
            total = rounded(sum(whole, Fraction(0))) if whole_of is None else whole_of
            in_all = apportion(total, whole) if parts else []
        return tuple(self._line(part, all_of_it) for part, all_of_it in zip(parts, in_all, strict=True))

    def _line(self, part: Part, in_all: int) -> Line:
        name, about, cost, movement, lot = self._named(part)
        return Line(
            part.key.kind,
            name,
            about,
            part.exact,
            part.shown,
            in_all,
            part.categories,
            cost,
            movement,
            lot,
            key=part.key,
        )

    def _named(self, part: Part) -> tuple[str, str, int | None, int | None, str]:
        key = part.key
        lots = self._loaded.lots
        match key.kind:
            case "category":
                return word(key.name), "", None, None, ""
            case "came with":
                return (
                    say("came with: {category}", category=word(key.name)),
                    say("what they had cost when they came"),
                    None,
                    None,
                    "",
                )
            case "spent":
                return (
                    say("spent: {category}", category=word(key.name)),
                    say("on each that was reared or lost"),
                    None,
                    None,
                    "",
                )
            case "month":
                return month_words(key.name), "", None, None, ""
            case "stage":
                species = int(key.name)
                about = self._loaded.species[species] if len(self._kinds) > 1 else ""
                return word(self._loaded.stages[species, key.number]), about, None, None, ""
            case "day":
                return long_day(dt.date.fromordinal(key.number)), "", None, None, ""
            case "reared":
                return self._reared(int(key.name), key.number)
            case "cost":
                row = self._costs[key.number]
                bought = say("bought {day}", day=long_day(row.bought_on))
                about = strung((one for one in (row.supplier, row.text, bought) if one), ", ")
                return say("cost {id}: {category}", id=row.id, category=word(row.category)), about, row.id, None, ""
            case "bought":
                event = self._events[key.number]
                number = self._bought[key.number].id if key.number in self._bought else None
                return (
                    say("{event}, lot {lot}", event=self.said(event), lot=lots[event.lot]),
                    _day(event),
                    number,
                    event.id,
                    lots[event.lot],
                )
            case "movement":
                event = self._events[key.number]
                return (
                    say("{event}, lot {lot}", event=self.said(event), lot=lots[event.lot]),
                    _day(event),
                    None,
                    event.id,
                    lots[event.lot],
                )
            case _:
                name, about = FIXED[key.kind]
                return name, about, None, None, ""

    def _reared(self, day: int, lot: int) -> tuple[str, str, int | None, int | None, str]:
        """Those of a lot that reached the reared stage on a day of the books."""
        species = self._loaded.journal.lots[lot].species
        reared = self._loaded.journal.reared[species]
        number, first = 0, None
        for event in self._events.values():
            before, after = event.from_stage, event.to_stage
            if event.accounting_on != day or event.lot != lot or before is None or after is None:
                continue
            moved = (before < reared <= after) - (after < reared <= before)
            number += moved * event.count
            if moved and first is None:
                first = event.id
        name = say(
            "{animals} reared, lot {lot}",
            animals=animals(number, self._loaded.stages[species, reared]),
            lot=self._loaded.lots[lot],
        )
        return name, long_day(dt.date.fromordinal(day)), None, first, self._loaded.lots[lot]

    def said(self, event: Event) -> str:
        """'3 larvae died'."""
        species = self._loaded.journal.lots[event.lot].species
        stage = self._loaded.stages.get((species, event.stage), "")
        happened = say(
            "{animals} {happened}", animals=animals(event.count, stage), happened=word(REASONS[event.reason].done)
        )
        return happened if event.reverses is None else say("taken back: {happened}", happened=happened)


def month_words(month: str) -> str:
    """'Jul 2025' for 2025-07."""
    year, number = month.split("-")
    return a_day(dt.date(int(year), int(number), 1), f"{_MONTHS[int(number) - 1]} {year}", "yMMM")


def _day(event: Event) -> str:
    return long_day(dt.date.fromordinal(event.happened_on))


def sales_of(conn: Connection, movements: Iterable[int]) -> dict[int, str]:
    """Number of the sale by each of those movements that took animals out with one."""
    wanted = sorted(set(movements))
    found: dict[int, str] = defaultdict(str)
    for start in range(0, len(wanted), 500):
        rows = conn.execute(
            select(t.sale_movement.c.movement_id, t.sale.c.number)
            .join(t.sale_line, t.sale_line.c.id == t.sale_movement.c.sale_line_id)
            .join(t.sale, t.sale.c.id == t.sale_line.c.sale_id)
            .where(t.sale_movement.c.movement_id.in_(wanted[start : start + 500]))
        )
        found.update({row.movement_id: row.number for row in rows})
    return found
