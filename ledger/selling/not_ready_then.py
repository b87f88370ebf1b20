"""What was there, soft and set aside on a past day, from the journal and from the rows of earmarks, holds and sales.

The day of a row is that of the hold, sale, posting or entry it was written with; animals kept back were set aside on
the day that was recorded, as no other day is on record of them.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from typing import Any

from sqlalchemy import Connection, func, select

from ledger.records import tables as t
from ledger.selling.deadlines import end_of
from ledger.selling.not_ready import Aside, Key, Stage, count_in, mark_aside
from ledger.stock.journal import counts_on
from ledger.stock.layering import layers_on
from ledger.stock.layers import readiness


def set_aside_on(conn: Connection, on: dt.date, moment: str) -> list[tuple[int, str, int]]:
    """(holding, kind, how many) of every earmark that stood at the end of a day.

    Args:
        conn: a connection.
        on: the day.
        moment: its last minute, by which deadlines of holds are judged.
    """
    marks = {row.id: row for row in conn.execute(_marks())}
    standing = {number for number, row in marks.items() if _stood(row, on, moment)}
    v = t.earmark_event.c
    entered = select(t.entry.c.operation_id, func.min(t.entry.c.happened_on).label("day"))
    entered_on = entered.group_by(t.entry.c.operation_id).subquery()
    rows = conn.execute(
        select(v.earmark_id, v.holding_id, v.change, v.why, entered_on.c.day, t.operation.c.recorded_at)
        .join(t.operation, t.operation.c.id == v.operation_id)
        .outerjoin(entered_on, entered_on.c.operation_id == v.operation_id)
        .where(v.why.in_(("made", "followed", "shortened")))
        .order_by(v.id)
    )
    counts: dict[tuple[int, int], int] = defaultdict(int)
    begun: set[int] = set()
    for earmark_id, holding, change, why, day, recorded_at in rows:
        if earmark_id not in standing:
            continue
        first = why == "made" and earmark_id not in begun
        begun.add(earmark_id)
        if first or (day or dt.date.fromisoformat(recorded_at[:10])) <= on:
            counts[earmark_id, holding] += change
    return [(holding, marks[mark].kind, count) for (mark, holding), count in counts.items() if count > 0]


def _marks() -> Any:
    """Every earmark with the days it began and ended."""
    k, ho, fate, sa = t.earmark.c, t.hold.c, t.hold_fate.c, t.sale.c
    credited = (
        select(func.min(t.credit.c.credited_on))
        .join(t.credit_line, t.credit_line.c.credit_id == t.credit.c.id)
        .where(t.credit_line.c.sale_line_id == k.sale_line_id)
        .scalar_subquery()
    )
    v = t.earmark_event.alias("ending")
    ended = v.c.why.in_(("freed", "taken")) & (v.c.earmark_id == k.id)
    freed = t.operation.alias("freed")
    return (
        select(
            k.id,
            k.kind,
            ho.made_on,
            ho.until,
            fate.happened_on.label("over_on"),
            sa.sold_on,
            t.posting.c.posted_on,
            credited.label("credited_on"),
            v.c.id.label("end"),
            t.operation.c.recorded_at,
            freed.c.recorded_at.label("freed_at"),
        )
        .select_from(t.earmark)
        .join(t.operation, t.operation.c.id == k.operation_id)
        .outerjoin(t.hold_line, t.hold_line.c.id == k.hold_line_id)
        .outerjoin(t.hold, ho.id == t.hold_line.c.hold_id)
        .outerjoin(t.hold_fate, fate.hold_id == ho.id)
        .outerjoin(t.sale_line, t.sale_line.c.id == k.sale_line_id)
        .outerjoin(t.sale, sa.id == t.sale_line.c.sale_id)
        .outerjoin(t.posting, t.posting.c.sale_id == sa.id)
        .outerjoin(v, ended & (v.c.id == _first_ending(k.id)))
        .outerjoin(freed, freed.c.id == v.c.operation_id)
    )


def _first_ending(earmark_id: Any) -> Any:
    v = t.earmark_event.c
    ending = select(func.min(v.id)).where(v.earmark_id == earmark_id, v.why.in_(("freed", "taken")))
    return ending.correlate(t.earmark).scalar_subquery()


def _stood(row: Any, on: dt.date, moment: str) -> bool:
    """Whether an earmark stood at the end of a day."""
    began = row.made_on or row.sold_on or dt.date.fromisoformat(row.recorded_at[:10])
    if began > on or (row.until is not None and row.until < moment):
        return False
    if row.end is None:
        return True
    known = row.over_on or row.posted_on or row.credited_on
    over = known or dt.date.fromisoformat(row.freed_at[:10])
    return bool(over > on)


def counts_of(conn: Connection, stages: dict[int, Stage], on: dt.date) -> list[tuple[Key, str, int]]:
    """(key, code of the lot, how many) of the animals at saleable stages at the end of a past day."""
    counts: dict[Key, int] = defaultdict(int)
    for key, count in _past_holdings(conn, stages, on).values():
        counts[key] += count
    codes = {row[0]: row[1] for row in conn.execute(select(t.lot.c.id, t.lot.c.code))}
    return [(key, codes[key[0]], count) for key, count in counts.items()]


def _past_holdings(conn: Connection, stages: dict[int, Stage], on: dt.date) -> dict[int, tuple[Key, int]]:
    """By holding of a saleable stage that had animals at the end of the day: its key and count."""
    h = t.holding.c
    rows = conn.execute(select(h.id, h.lot_id, h.stage_id, h.sex, h.sure).where(h.stage_id.in_(list(stages)))).all()
    then = counts_on(conn, on)
    return {row[0]: ((row[1], row[2], row[3], row[4]), then[row[0]]) for row in rows if row[0] in then}


def aside_on(conn: Connection, stages: dict[int, Stage], on: dt.date) -> dict[Key, Aside]:
    """What was soft or set aside at the end of a past day."""
    holdings = _past_holdings(conn, stages, on)
    waiting = [number for number, (key, _) in holdings.items() if stages[key[1]].hardening]
    layers = layers_on(conn, waiting, on)
    marks: dict[int, Aside] = defaultdict(Aside)
    for holding, kind, n in set_aside_on(conn, on, end_of(on)):
        mark_aside(marks[holding], kind, n)
    found: dict[Key, Aside] = {}
    for holding in {*layers, *marks} & holdings.keys():
        key, count = holdings[holding]
        stage = stages[key[1]]
        if stage.sold:
            soft = readiness(layers.get(holding, ()), 0, stage.hardening, on).soft
        else:
            wait = dt.timedelta(days=stage.hardening)
            soft = tuple((layer.entered_on + wait, layer.count) for layer in layers.get(holding, ()))
        count_in(found.setdefault(key, Aside()), marks[holding], count, list(soft))
    return found
