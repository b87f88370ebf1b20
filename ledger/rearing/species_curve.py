"""The survival curve of the lots of a species together, with the band that belongs to each day. Reads only.

Lots counted from the same stage, pooled each to its own last day; the band is Wilson's interval on the effective
number, divided by how much more the lots differ than chance would have it (see pooling.py).
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from dataclasses import dataclass

from sqlalchemy import Connection, select

from ledger.errors import Refused
from ledger.rearing.band import ReachedBy, band
from ledger.rearing.cohort import LotHistory
from ledger.rearing.interval import Z95, t_quantile
from ledger.rearing.pooling import PooledSurvival, pool_lots
from ledger.rearing.report import history_of
from ledger.records import tables as t
from ledger.stock.naming import find_species
from ledger.wording import say


@dataclass(frozen=True, slots=True)
class SpeciesCurve:
    """The curve of the lots counted from one stage."""

    species: str
    counted_from: str
    lots: int
    """Lots the spread was taken from."""
    design_effect: float
    drawn: tuple[ReachedBy, ...]
    """Days on the lots' common clock."""


def species_curve(conn: Connection, species: str, on: dt.date) -> SpeciesCurve:
    """The curve of the lots of a species; of those counted from different stages the most lots.

    Args:
        conn: an open reading connection.
        species: its code.
        on: last day looked at.

    Raises:
        NotFound: no such species.
        Refused: its lots have no common figure, and why.
    """
    kind = find_species(conn, species)
    groups: dict[str, list[LotHistory]] = defaultdict(list)
    rows = select(t.lot.c.id).where(t.lot.c.species_id == kind.id, t.lot.c.started_from <= on).order_by(t.lot.c.id)
    for lot_id in conn.execute(rows).scalars().all():
        try:
            history = history_of(conn, lot_id, on)
        except Refused:
            continue
        if any(history.start) and history.first_stage is not None:
            groups[history.first_stage].append(history)
    if not groups:
        raise Refused(
            say("{code} has no lot with animals before the reared stage yet, so it has no curve.", code=kind.code)
        )
    stage, histories = max(groups.items(), key=lambda group: len(group[1]))
    pooled = pool_lots(histories)
    if pooled.curve is None or pooled.design_effect is None:
        raise Refused(say("{code} has no common curve: {why}.", code=kind.code, why=pooled.why))
    return SpeciesCurve(kind.code, stage, pooled.compared, pooled.design_effect, _drawn(pooled, histories))


def _drawn(pooled: PooledSurvival, histories: list[LotHistory]) -> tuple[ReachedBy, ...]:
    curve, effect = pooled.curve, pooled.design_effect
    assert curve is not None
    assert effect is not None
    return band(
        curve,
        resolved=sum(history.tie.reached + history.tie.lost for history in histories),
        animals=sum(history.tie.entered for history in histories),
        design_effect=effect,
        z=t_quantile(0.975, pooled.compared - 1) if effect > 1 else Z95,
    )
