"""Animals on the way to being ready: by lot, stage and days in it, what is promised of them, and what is left out.

Of today from what is kept, of a past day from the journal. Reads only.
"""

from __future__ import annotations

import datetime as dt
from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import Connection, or_, select

from ledger.records import tables as t
from ledger.selling.deadlines import end_of
from ledger.selling.not_ready_then import set_aside_on
from ledger.selling.standing import is_set, lent_to_us
from ledger.stock.figures import lot_facts
from ledger.stock.journal import counts_on, newest_day
from ledger.stock.layering import layers_of, layers_on
from ledger.stock.layers import Layers
from ledger.stock.naming import StageRef
from ledger.stock.words import stage_words
from ledger.wording import counted, say

if TYPE_CHECKING:
    from ledger.rearing.outlook import Group


@dataclass(frozen=True, slots=True)
class Living:
    """Animals on the way, and soft ones at the end of it."""

    layers: Mapping[tuple[int, int, int], Layers]
    """By lot, stage and holding."""
    codes: Mapping[int, str]
    """Of those lots, by number."""
    objects: tuple[str, ...]
    """What is no animal yet, such as oothecae, in words: nobody knows how many will hatch."""
    barred: tuple[str, ...]
    """Lots that are left out, each with why."""


def living(
    conn: Connection, species_id: int, way: Sequence[StageRef], ready: StageRef, on: dt.date, now: str
) -> Living:
    """The animals of a species that are on the way to a stage on a day, and those that are not counted among them."""
    h = t.holding.c
    rows = conn.execute(
        select(h.id, h.lot_id, h.stage_id, h.count, t.lot.c.code, t.stage.c.unit, t.stage.c.position, t.stage.c.name)
        .join(t.lot, t.lot.c.id == h.lot_id)
        .join(t.stage, t.stage.c.id == h.stage_id)
        .where(t.lot.c.species_id == species_id)
        .order_by(t.lot.c.code, t.stage.c.position, h.id)
    ).all()
    last = newest_day(conn)
    past = on.isoformat() < now[:10] and last is not None and last > on
    then = counts_on(conn, on, [row.id for row in rows]) if past else {row.id: row[3] for row in rows}
    facts = lot_facts(conn, on)
    lent = lent_to_us(conn, {row.lot_id for row in rows})
    steps = {stage.id for stage in way} | {ready.id}
    alive = [row for row in rows if then.get(row.id)]
    why = {row.lot_id: _why_not(facts, row.lot_id, lent) for row in alive}
    barred = {row.code: why[row.lot_id] for row in alive if why[row.lot_id] and row.stage_id in steps - {ready.id}}
    meant = [row for row in alive if row.stage_id in steps and not why[row.lot_id]]
    ids = [row.id for row in meant]
    layers = layers_on(conn, ids, on) if past else layers_of(conn, ids)
    objects: Counter[str] = Counter()
    for row in alive:
        if row.unit == "object" and row.position < ready.position and not why[row.lot_id]:
            objects[row[7]] += then[row.id]
    return Living(
        {(row.lot_id, row.stage_id, row.id): layers[row.id] for row in meant if layers.get(row.id)},
        {row.lot_id: row.code for row in meant},
        tuple(
            counted(
                n,
                "{n} {stage} is left out: nobody knows how many hatch.",
                "{n} {stage} are left out: nobody knows how many hatch.",
                stage=stage_words(name, n),
            )
            for name, n in objects.items()
        ),
        tuple(
            say("{code} is left out: {reason}.", code=code, reason=reason) for code, reason in sorted(barred.items())
        ),
    )


def _why_not(facts: Mapping[tuple[int, str], str], lot: int, lent: set[int]) -> str:
    purpose = facts.get((lot, "purpose"), "sale")
    if purpose == "breeding":
        return say("it is kept for breeding")
    if purpose == "quarantine":
        return say("it is in quarantine")
    if is_set(facts.get((lot, "lent out"), "")):
        return say("it is lent out")
    return say("it holds animals lent to us") if lot in lent else ""


def set_aside(conn: Connection, on: dt.date, now: str) -> dict[int, int]:
    """Animals set aside by holding: held and not lapsed, kept back, sold and to post."""
    found: Counter[int] = Counter()
    if on.isoformat() < now[:10]:
        for holding, _, n in set_aside_on(conn, on, end_of(on)):
            found[holding] += n
        return dict(found)
    k, o, ho = t.earmark.c, t.earmark_on.c, t.hold.c
    rows = conn.execute(
        select(o.holding_id, o.count)
        .select_from(t.earmark_on)
        .join(t.earmark, k.id == o.earmark_id)
        .outerjoin(t.hold_line, t.hold_line.c.id == k.hold_line_id)
        .outerjoin(t.hold, ho.id == t.hold_line.c.hold_id)
        .where(or_(ho.until.is_(None), ho.until >= now[:16]))
    )
    for holding, n in rows:
        found[holding] += n
    return dict(found)


def groups_of(
    here: Living,
    way: Sequence[StageRef],
    ready: StageRef,
    wait: int,
    unknown: Mapping[int, str],
    aside: Mapping[int, int],
    on: dt.date,
) -> tuple[list[Group], list[tuple[int, int]], dict[str, list[tuple[str, int, int]]], int, Counter[str]]:
    """Groups for the outlook, soft ones by days ahead, by lot (stage, animals, group or -1), promises, left out."""
    from ledger.rearing.outlook import Group

    place = {stage.id: at for at, stage in enumerate(way)}
    last_unknown = max(unknown, default=-1)
    ages: dict[tuple[int, int], Counter[int]] = defaultdict(Counter)
    due: Counter[int] = Counter()
    members: dict[str, list[tuple[str, int, int]]] = defaultdict(list)
    dropped: Counter[str] = Counter()
    promised = 0
    for (lot, stage_id, holding), layers in sorted(here.layers.items()):
        if stage_id == ready.id:
            wakes = [(wait - (on - layer.entered_on).days, layer.count) for layer in layers if layer.soft]
            soft = [(days, n) for days, n in wakes if days > 0]
            number = sum(n for _, n in soft)
            hard = sum(layer.count for layer in layers) - number
            for days, n in soft:
                due[days] += n
                members[here.codes[lot]].append((ready.name, n, -days))
            promised += max(0, min(aside.get(holding, 0) - hard, number))
            continue
        at = place[stage_id]
        count = sum(layer.count for layer in layers)
        if at <= last_unknown:
            dropped[way[at].name] += count
            continue
        promised += min(aside.get(holding, 0), count)
        for layer in layers:
            ages[lot, at][max(0, (on - layer.entered_on).days)] += layer.count
    groups: list[Group] = []
    for (lot, at), counts in sorted(ages.items()):
        for age, n in sorted(counts.items()):
            members[here.codes[lot]].append((way[at].name, n, len(groups)))
            groups.append(Group(lot, at, age, n))
    return groups, sorted(due.items()), members, promised, dropped
