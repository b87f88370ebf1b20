"""The origin that was stated of animals that were promised, lent or given: kept as a sale keeps that of its lines.

Written by the act itself, so that a paper made anew says what was said then, and what the records say since.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from sqlalchemy import Connection, insert, select

from ledger.act import Act
from ledger.origin.fresh import kept
from ledger.origin.rules import Code, Origin
from ledger.origin.service import said_of
from ledger.records import tables as t
from ledger.selling.stating import reads_as


@dataclass(frozen=True, slots=True)
class StatedOrigin:
    """What was stated of one lot."""

    origin: Origin
    text: str
    sentence: str

    def reads_like(self, now: Origin) -> bool:
        """Whether the records still give what was stated."""
        mine = self.origin
        return (mine.code, mine.generation, mine.at_least) == (now.code, now.generation, now.at_least)


def state_origins(conn: Connection, act: Act, lots: Iterable[int]) -> None:
    """Keep what the records give of lots whose animals are handed over or promised in this act."""
    wanted = set(lots) - set(stated_in(conn, act.operation))
    said = said_of(conn, wanted, kept(conn, act.scene.memo))
    rows = [
        {
            "lot_id": lot_id,
            **reads_as(said[lot_id].derived.origin),
            "origin_text": said[lot_id].text,
            "provenance_text": said[lot_id].sentence,
            "operation_id": act.operation,
        }
        for lot_id in sorted(wanted)
    ]
    if rows:
        conn.execute(insert(t.stated_origin), rows)


def stated_in(conn: Connection, act: int) -> dict[int, StatedOrigin]:
    """What an act stated, by lot; nothing of acts that are older than this is kept."""
    s = t.stated_origin.c
    return {
        row.lot_id: StatedOrigin(
            Origin(Code(row.origin_code), row.origin_generation, bool(row.origin_or_later), row.origin_evidence),
            row.origin_text,
            row.provenance_text,
        )
        for row in conn.execute(select(t.stated_origin).where(s.operation_id == act).order_by(s.id))
    }
