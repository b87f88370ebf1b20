"""Accounting years as costing sees them: which were closed when something was recorded, and from which day it counts.

A closed year keeps its figures, so what is said later of its days counts from the first day after it. Reads only.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeVar

from sqlalchemy import Connection, select

from ledger.records import tables as t

T = TypeVar("T")


class Years:
    """Ends of the accounting years, and which were closed when something was recorded."""

    def __init__(self, conn: Connection) -> None:
        self.ends = [
            row.last_day.toordinal() for row in conn.execute(select(t.period.c.last_day).order_by(t.period.c.last_day))
        ]
        self._closed = conn.execute(
            select(t.closing.c.operation_id, t.period.c.last_day)
            .join(t.period, t.period.c.year == t.closing.c.year)
            .order_by(t.closing.c.operation_id)
        ).all()

    def locked(self, operation: int) -> int:
        """Last day of the years that were closed before an act; 0 if none was."""
        return max((row.last_day.toordinal() for row in self._closed if row.operation_id < operation), default=0)

    def counting(self, rows: Sequence[tuple[int, int, T]]) -> list[tuple[int, T]]:
        """From which days on dated facts count.

        Args:
            rows: (day, act, what is so from that day on), by day, those of one day as they were recorded.

        Returns:
            (Day, what is so), by day. What was said of a closed year counts from the day after it, unless something
            else was so by then.
        """
        found: list[tuple[int, T]] = []
        for day, act, value in reversed(rows):
            counts = max(day, self.locked(act) + 1)
            if not found or counts <= found[-1][0]:
                found.append((counts, value))
        return found[::-1]
