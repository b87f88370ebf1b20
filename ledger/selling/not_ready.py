"""What of the animals at saleable stages is not ready now: still soft, held, kept back, or sold and to be posted.

Age layers are read only as far as they are still soft, earmarks only where there are any.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from dataclasses import dataclass

from sqlalchemy import ColumnElement, Connection, and_, func, or_, select

from ledger.records import tables as t

Dates = tuple[tuple[dt.date, int], ...]
"""(day, how many), soonest first."""


@dataclass(frozen=True, slots=True)
class Stage:
    """A stage that is for sale on the day, or that animals only pass through while they harden."""

    id: int
    species_id: int
    species: str
    common: str
    name: str
    rank: int
    """Order on the list."""
    hardening: int
    """Days before sale."""
    sold: bool = True
    """False: nothing is sold at this stage; its animals are listed as soft until they are seen to be in the next."""


Key = tuple[int, int, str, str]
"""Lot, stage, sex, sure."""


@dataclass(slots=True)
class Aside:
    """What is not ready among the animals of a key."""

    held: int = 0
    kept: int = 0
    to_post: int = 0
    not_ready: int = 0
    hardening: int = 0
    pending: Dates = ()


def aside_now(conn: Connection, stages: dict[int, Stage], on: dt.date, now: str) -> dict[Key, Aside]:
    """What is soft on a day, or set aside at a moment. Only holdings of which anything is are looked at."""
    soft = _soft(conn, stages, on)
    marks = _marks(conn, stages, now)
    keys: dict[int, tuple[Key, int]] = {}
    for holding, (key, count, _) in soft.items():
        keys[holding] = (key, count)
    for holding, (key, count, _) in marks.items():
        keys[holding] = (key, count)
    found: dict[Key, Aside] = {}
    for holding, (key, count) in keys.items():
        layers = soft[holding][2] if holding in soft else []
        mark = marks[holding][2] if holding in marks else Aside()
        count_in(found.setdefault(key, Aside()), mark, count, layers)
    return found


def packed_now(conn: Connection) -> dict[Key, int]:
    """Animals that lie in packs for a fair."""
    h, on, line = t.holding.c, t.earmark_on.c, t.fair_pack_line.c
    rows = conn.execute(
        select(h.lot_id, h.stage_id, h.sex, h.sure, func.sum(on.count).label("n"))
        .join(t.earmark_on, on.holding_id == h.id)
        .join(t.fair_pack_line, line.earmark_id == on.earmark_id)
        .group_by(h.lot_id, h.stage_id, h.sex, h.sure)
    )
    return {(lot, stage, sex, sure): int(n) for lot, stage, sex, sure, n in rows}


def count_in(total: Aside, mark: Aside, count: int, soft: list[tuple[dt.date, int]]) -> None:
    """Count a holding in: set-aside animals are the hard ones first, then those due soonest, as in `layers.readiness`.

    Args:
        total: of its lot, stage and sex; changes.
        mark: what is set aside in the holding.
        count: its animals.
        soft: (day due to be hard, how many) of those still soft.
    """
    hard = count - sum(n for _, n in soft)
    set_aside = mark.held + mark.kept + mark.to_post
    left = max(0, set_aside - hard)
    pending: dict[dt.date, int] = defaultdict(int, total.pending)
    for day, n in sorted(soft):
        part = min(left, n)
        left -= part
        if n > part:
            pending[day] += n - part
    total.held += mark.held
    total.kept += mark.kept
    total.to_post += mark.to_post
    total.not_ready += count - max(0, hard - set_aside)
    total.hardening = sum(pending.values())
    total.pending = tuple(sorted(pending.items()))


def _soft(
    conn: Connection, stages: dict[int, Stage], on: dt.date
) -> dict[int, tuple[Key, int, list[tuple[dt.date, int]]]]:
    """By holding: its key and count, and (day due to be hard, how many) of its layers that are still soft."""
    cuts: dict[dt.date, list[int]] = defaultdict(list)
    for stage in stages.values():
        if stage.hardening and stage.sold:
            cuts[on - dt.timedelta(days=stage.hardening)].append(stage.id)
    passed = [stage.id for stage in stages.values() if not stage.sold]
    if not cuts and not passed:
        return {}
    h, layer = t.holding.c, t.layer.c
    still_soft: list[ColumnElement[bool]] = [
        and_(h.stage_id.in_(ids), layer.hard == 0, layer.entered_on > cut) for cut, ids in cuts.items()
    ]
    if passed:
        still_soft.append(h.stage_id.in_(passed))
    rows = conn.execute(
        select(h.id, h.lot_id, h.stage_id, h.sex, h.sure, h.count, layer.entered_on, layer.count)
        .join(t.layer, layer.holding_id == h.id)
        .where(h.count > 0, or_(*still_soft))
    )
    found: dict[int, tuple[Key, int, list[tuple[dt.date, int]]]] = {}
    for holding, lot, stage, sex, sure, count, entered_on, n in rows:
        _, _, layers = found.setdefault(holding, ((lot, stage, sex, sure), count, []))
        layers.append((entered_on + dt.timedelta(days=stages[stage].hardening), n))
    return found


def _marks(conn: Connection, stages: dict[int, Stage], now: str) -> dict[int, tuple[Key, int, Aside]]:
    """By holding with earmarks: its key and count, and what is held, kept and to post; lapsed holds left out."""
    h, o, k, ho = t.holding.c, t.earmark_on.c, t.earmark.c, t.hold.c
    rows = conn.execute(
        select(h.id, h.lot_id, h.stage_id, h.sex, h.sure, h.count, k.kind, o.count)
        .select_from(t.earmark_on)
        .join(t.holding, h.id == o.holding_id)
        .join(t.earmark, k.id == o.earmark_id)
        .outerjoin(t.hold_line, t.hold_line.c.id == k.hold_line_id)
        .outerjoin(t.hold, ho.id == t.hold_line.c.hold_id)
        .where(or_(ho.until.is_(None), ho.until >= now[:16]))
    )
    found: dict[int, tuple[Key, int, Aside]] = {}
    for holding, lot, stage, sex, sure, count, kind, n in rows:
        if stage not in stages:
            continue
        _, _, mark = found.setdefault(holding, ((lot, stage, sex, sure), count, Aside()))
        mark_aside(mark, kind, n)
    return found


def mark_aside(mark: Aside, kind: str, count: int) -> None:
    """Count animals of an earmark in."""
    if kind == "held":
        mark.held += count
    elif kind == "kept":
        mark.kept += count
    else:
        mark.to_post += count
