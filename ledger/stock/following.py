"""What movements do to earmarks: shortened by deaths and exits, taken along by moves, restored by a reversal.

Used by the writer of movements only; the holdings must be locked.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, field

from sqlalchemy import Connection, func, select

from ledger.act import Act
from ledger.records import tables as t
from ledger.stock.earmarks import get, write_events

_NONE: frozenset[int] = frozenset()


@dataclass(slots=True)
class Following:
    """The earmarks on the holdings of an act, while its movements are carried out."""

    conn: Connection
    act: Act
    aside: dict[int, int]
    """How many of each holding are set aside; changes as movements are carried out."""
    _on: dict[int, dict[int, int]] | None = None
    """{holding: {earmark: count}}, read when first needed."""
    _events: list[tuple[int, int, int, str]] = field(default_factory=list)

    def shorten(self, holding: int, count: int, of: int | None = None) -> None:
        """So many set-aside animals of a holding are no more; the newest earmarks lack them, those of packs last.

        Args:
            holding: where they were.
            count: how many.
            of: the earmark that lacks them, where it is known.
        """
        for earmark_id, part in self._newest(holding, count, of, packs_last=True):
            self._change(earmark_id, holding, -part, "shortened")

    def follow(self, source: int, target: int, count: int, of: int | None = None) -> None:
        """So many set-aside animals of a holding went to another; the newest earmarks, or one that is known, go
        along."""
        for earmark_id, part in self._newest(source, count, of):
            self._change(earmark_id, source, -part, "followed")
            self._change(earmark_id, target, part, "followed")

    def undo(self, operation: int, source: int | None, target: int | None, count: int, free: int) -> int:
        """A movement of an earlier operation from `source` to `target` is taken back: earmarks go back as they came.

        Args:
            operation: that earlier operation.
            source: where the animals are again; None: nowhere.
            target: where they had gone; None: out.
            count: how many.
            free: animals at `source`, these included, that nobody has set aside.

        Returns:
            How many of the animals leaving `target` were set aside and went along.
        """
        if source is None:
            return 0
        v = t.earmark_event.c
        wanted = (
            select(v.earmark_id, v.why, func.sum(v.change))
            .where(v.operation_id == operation, v.holding_id == source, v.why.in_(("followed", "shortened")))
            .group_by(v.earmark_id, v.why)
            .order_by(v.earmark_id)
        )
        gone = 0
        for earmark_id, why, lost in self.conn.execute(wanted).all():
            if why == "followed" and target is not None:
                here = self._places().get(target, {}).get(earmark_id, 0)
                part = max(0, min(-int(lost), here, count - gone))
                gone += part
                self._change(earmark_id, target, -part, "followed")
                self._change(earmark_id, source, part, "followed")
            elif why == "shortened":
                pending = sum(change for which, _, change, _ in self._events if which == earmark_id)
                part = max(0, min(-int(lost), count, free, get(self.conn, earmark_id).short - pending))
                free -= part
                self._change(earmark_id, source, part, "shortened")
        return gone

    def write(self) -> None:
        """Write what changed; the holdings' own counts are left to the caller."""
        if self._events:
            write_events(self.conn, self.act, self._events)

    def _places(self) -> dict[int, dict[int, int]]:
        if self._on is None:
            o = t.earmark_on.c
            self._on = {}
            rows = select(o.holding_id, o.earmark_id, o.count).where(o.holding_id.in_(sorted(self.aside)))
            for holding, earmark_id, count in self.conn.execute(rows):
                self._on.setdefault(holding, {})[earmark_id] = count
        return self._on

    def _newest(
        self, holding: int, count: int, of: int | None = None, *, packs_last: bool = False
    ) -> list[tuple[int, int]]:
        parts = []
        places = self._places().get(holding, {})
        packed = self._packed(places) if packs_last and of is None else _NONE
        newest = sorted(places.items(), key=lambda one: (one[0] in packed, -one[0]))
        for earmark_id, here in newest if of is None else [(of, places.get(of, 0))]:
            part = min(here, count)
            count -= part
            if part:
                parts.append((earmark_id, part))
        return parts

    def _packed(self, marks: Collection[int]) -> frozenset[int]:
        """Those of the earmarks that a pack of a fair holds its animals by."""
        line = t.fair_pack_line.c.earmark_id
        return frozenset(self.conn.execute(select(line).where(line.in_(sorted(marks)))).scalars()) if marks else _NONE

    def _change(self, earmark_id: int, holding: int, change: int, why: str) -> None:
        if change:
            here = self._places().setdefault(holding, {})
            here[earmark_id] = here.get(earmark_id, 0) + change
            self.aside[holding] += change
            self._events.append((earmark_id, holding, change, why))
