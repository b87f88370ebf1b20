"""Animals of which only their number can stop a sale: what was found out for one sale holds for the next.

They are known by what the ordinary way answered (`shelf`), and only while many sales are written together: all that was
asked for lies in one holding and no other can ever be meant, nobody has set any of it aside, animals of the stage are
sold as soon as they are in it, and neither figures nor facts of the lot change between two days. Whatever else is
recorded in the meantime makes it forgotten (`origin.fresh`).
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import Connection

from ledger.records.later import remembers
from ledger.selling.parts import Part
from ledger.stock.at_hand import Held, at_hand
from ledger.stock.figures import Figures, same_from_to
from ledger.stock.holdings import Asked, Group, HoldingKey
from ledger.stock.naming import LotRef, StageRef


@dataclass(frozen=True, slots=True)
class Plain:
    """Animals of one lot, stage and sex, all in one holding."""

    lot: LotRef
    stage: StageRef
    held: Held
    first: dt.date
    """From this day on the same is known of them."""
    last: dt.date

    def has(self, count: int, on: dt.date) -> bool:
        """Whether so many can be taken on a day without looking any further."""
        return count <= self.held.count and not self.held.earmarked and self.first <= on <= self.last

    def part(self, count: int) -> Part:
        """So many of them."""
        return Part(self.lot, self.stage, self.held.sex, self.held.sure, ((self.held.id, count),))


def plain(
    conn: Connection, asked: Asked, parts: Sequence[Part], known: Sequence[StageRef], figures: Figures
) -> Plain | None:
    """What the next sale may rest on; `None`: it has to look for itself.

    Args:
        conn: a connection.
        asked: which animals were asked for.
        parts: those that were found.
        known: stages of the species.
        figures: of the day.
    """
    hand = at_hand(conn) if remembers(conn) else None
    if hand is None or len(parts) != 1 or len(parts[0].picks) != 1:
        return None
    lot, stage, ((holding, _),) = parts[0].lot, parts[0].stage, parts[0].picks
    if figures.hardening_days(lot.species_id, stage.id):
        return None
    stages = {one.id: one for one in known}
    # Those that are empty just now count too: animals may come into them.
    meant = [held for held in hand.of_lot(conn, lot.id) if asked.fits(_one_animal(held, stages[held.stage]))]
    if [held.id for held in meant] != [holding]:
        return None
    first, last = same_from_to(conn, lot.id, figures.on)
    return Plain(lot, stage, meant[0], max(first, lot.started_from), last)


def _one_animal(held: Held, stage: StageRef) -> Group:
    return Group(HoldingKey(held.lot, held.stage, held.sex, held.sure, held.tub), stage, held.id, 1, 1)
