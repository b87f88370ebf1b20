"""How many animals were alive at the end of each month, of each species and of all."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from dataclasses import dataclass

from sqlalchemy import Connection, func, select

from ledger.days import month_ends
from ledger.records import tables as t

MONTHS = 24


@dataclass(frozen=True, slots=True)
class OverTime:
    """The stock of a species month by month."""

    species: str
    """Its code; empty: all species together."""
    months: tuple[tuple[dt.date, int], ...]
    """The last day of each month, of the present one the day looked at; and how many were alive at its end."""


def alive_over_time(conn: Connection, today: dt.date, months: int = MONTHS) -> tuple[OverTime, ...]:
    """All species together and then each by its code, over the last months; none where nothing was ever recorded.

    Args:
        conn: a connection.
        today: the day looked at.
        months: how many, the present one among them; earlier ones without animals are left out.
    """
    changes: dict[str, dict[dt.date, int]] = defaultdict(lambda: defaultdict(int))
    for side, sign in ((t.movement.c.to_holding_id, 1), (t.movement.c.from_holding_id, -1)):
        rows = conn.execute(
            select(t.species.c.code, t.entry.c.happened_on, func.sum(t.movement.c.count))
            .join(t.entry, t.entry.c.id == t.movement.c.entry_id)
            .join(t.holding, t.holding.c.id == side)
            .join(t.stage, t.stage.c.id == t.holding.c.stage_id)
            .join(t.species, t.species.c.id == t.stage.c.species_id)
            .where(t.stage.c.unit != "specimen", t.entry.c.happened_on <= today)
            .group_by(t.species.c.code, t.entry.c.happened_on)
        )
        for code, on, many in rows:
            changes[code][on] += sign * int(many)
            changes[""][on] += sign * int(many)
    first = today.year * 12 + today.month - months
    ends = sorted(month_ends(dt.date(first // 12, first % 12 + 1, 1), today))
    return tuple(OverTime(code, _since_the_first(_alive(changes[code], ends))) for code in sorted(changes))


def _alive(changes: dict[dt.date, int], ends: list[dt.date]) -> list[tuple[dt.date, int]]:
    found, alive, waiting = [], 0, sorted(changes.items(), reverse=True)
    for end in ends:
        while waiting and waiting[-1][0] <= end:
            alive += waiting.pop()[1]
        found.append((end, alive))
    return found


def _since_the_first(months: list[tuple[dt.date, int]]) -> tuple[tuple[dt.date, int], ...]:
    first = next((at for at, (_, alive) in enumerate(months) if alive), len(months) - 1)
    return tuple(months[first:])
