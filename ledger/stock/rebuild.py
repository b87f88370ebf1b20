"""Proof that what is kept beside the journals is what they say: counts, earmarks, age layers, built anew, compared.

Takes a way of its own: plain sums in SQL, and a walk through every movement in the order of `events.ordered`; nothing
here is used when entries are written, except the pure rules of age layers. Reads only.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from dataclasses import dataclass
from typing import Any

from sqlalchemy import BigInteger, ColumnElement, Connection, Select, cast, func, select

from ledger.records import tables as t
from ledger.records.undone import stands
from ledger.stock.events import Event, ordered, without_reversed
from ledger.stock.journal import depths, events
from ledger.stock.layers import Act, Flow, SeenHard, State, play_day
from ledger.wording import say, strung


@dataclass(frozen=True, slots=True)
class Difference:
    """Something kept that the journals do not say."""

    what: str
    """count, earmarked, earmark, layers, below nothing, or depth."""
    where: str
    """Which holding, lot or earmark, by number and in words."""
    kept: str
    rebuilt: str

    @property
    def sentence(self) -> str:
        """What is wrong, in words."""
        return say(
            "{what} of {where}: {kept} is kept, {rebuilt} follows from the journal.",
            what=self.what,
            where=self.where,
            kept=self.kept,
            rebuilt=self.rebuilt,
        )


def differences(conn: Connection) -> list[Difference]:
    """Everything the stock keeps that its journals do not bear out; empty when all adds up."""
    names = _names(conn)
    moved = events(conn)
    return [
        *_counts(conn, names),
        *_earmarks(conn, names),
        *_layers(conn, names, moved),
        *_below_nothing(conn, names, moved),
        *_depths(conn),
    ]


def _names(conn: Connection) -> dict[int, str]:
    h = t.holding.c
    rows = conn.execute(
        select(h.id, t.lot.c.code, t.stage.c.name, h.sex, h.sure, h.tub)
        .join(t.lot, t.lot.c.id == h.lot_id)
        .join(t.stage, t.stage.c.id == h.stage_id)
    )
    return {
        row[0]: say("holding {number} ({what})", number=row[0], what=" ".join(part for part in row[1:] if part))
        for row in rows
    }


def _counts(conn: Connection, names: dict[int, str]) -> list[Difference]:
    m, h = t.movement.c, t.holding.c
    came = _sums(conn, select(m.to_holding_id, _whole(m.count)).group_by(m.to_holding_id))
    went = _sums(conn, select(m.from_holding_id, _whole(m.count)).group_by(m.from_holding_id))
    found = []
    for holding, count in conn.execute(select(h.id, h.count)):
        rebuilt = came.get(holding, 0) - went.get(holding, 0)
        if count != rebuilt:
            found.append(Difference("count", names[holding], str(count), str(rebuilt)))
    return found


def _whole(column: ColumnElement[int]) -> ColumnElement[int]:
    return cast(func.sum(column), BigInteger)


def _sums(conn: Connection, wanted: Select[Any]) -> dict[int, int]:
    return {row[0]: row[1] for row in conn.execute(wanted) if row[0] is not None}


def _earmarks(conn: Connection, names: dict[int, str]) -> list[Difference]:
    v, o, h = t.earmark_event.c, t.earmark_on.c, t.holding.c
    by_place = select(v.earmark_id, v.holding_id, _whole(v.change)).group_by(v.earmark_id, v.holding_id)
    rebuilt = {(row[0], row[1]): row[2] for row in conn.execute(by_place) if row[2]}
    kept = {(row[0], row[1]): row[2] for row in conn.execute(select(o.earmark_id, o.holding_id, o.count))}
    found = [
        Difference(
            "earmark",
            say("earmark {earmark} on {names}", earmark=earmark, names=names[holding]),
            str(kept.get((earmark, holding), 0)),
            str(rebuilt.get((earmark, holding), 0)),
        )
        for earmark, holding in sorted(rebuilt.keys() | kept.keys())
        if rebuilt.get((earmark, holding), 0) != kept.get((earmark, holding), 0)
    ]
    aside = _sums(conn, select(v.holding_id, _whole(v.change)).group_by(v.holding_id))
    for holding, earmarked in conn.execute(select(h.id, h.earmarked)):
        if earmarked != aside.get(holding, 0):
            found.append(Difference("earmarked", names[holding], str(earmarked), str(aside.get(holding, 0))))
    return found


def _layers(conn: Connection, names: dict[int, str], moved: list[Event]) -> list[Difference]:
    kept: dict[int, list[tuple[dt.date, bool, int]]] = defaultdict(list)
    y = t.layer.c
    for holding, entered_on, hard, count in conn.execute(select(y.holding_id, y.entered_on, y.hard, y.count)):
        kept[holding].append((entered_on, not hard, count))
    rebuilt = _replayed(conn, moved)
    found = []
    for holding in sorted(names):
        now = sorted(kept.get(holding, []))
        then = [(layer.entered_on, layer.soft, layer.count) for layer in rebuilt.get(holding, ())]
        if now != then:
            found.append(Difference("layers", names[holding], _said(now), _said(then)))
    return found


def _said(layers: list[tuple[dt.date, bool, int]]) -> str:
    words = [
        say("{number} since {day}", number=count, day=str(day))
        if soft
        else say("{number} since {day} (seen hard)", number=count, day=str(day))
        for day, soft, count in layers
    ]
    return strung(words, ", ") or say("none")


def _replayed(conn: Connection, moved: list[Event]) -> State:
    """All layers, from every movement and mark there is."""
    h, e, o = t.holding.c, t.entry.c, t.observation.c
    where = {row[0]: (row[1], row[2], row[3]) for row in conn.execute(select(h.id, h.lot_id, h.stage_id, h.tub))}
    operation = {row[0]: row[1] for row in conn.execute(select(e.id, e.operation_id))}
    days: dict[int, dict[tuple[int, int, int], list[Flow] | SeenHard]] = defaultdict(dict)
    for event in without_reversed(moved, by="happened_on"):
        flows = days[event.happened_on].setdefault((operation[event.entry], 1, event.entry), [])
        assert isinstance(flows, list)
        source, target = event.from_holding, event.to_holding
        stays = source is not None and target is not None and where[source][1] == where[target][1]
        flows.append(
            Flow(
                event.count,
                source,
                target,
                dt.date.fromordinal(event.happened_on),
                keeps_age=stays,
                in_proportion=source is not None and target is not None and where[source][0] != where[target][0],
            )
        )
    of_lot: dict[tuple[int, int], list[int]] = defaultdict(list)
    for holding, (lot, stage, _) in sorted(where.items()):
        of_lot[lot, stage].append(holding)
    marks = select(o.id, o.operation_id, o.happened_on, o.lot_id, o.stage_id, o.tub).where(
        o.kind == "seen hard", stands(o.operation_id)
    )
    for number, act, on, lot, stage, tub in conn.execute(marks):
        meant = tuple(holding for holding in of_lot[lot, stage] if tub in ("", where[holding][2]))
        days[on.toordinal()][act, 0, number] = SeenHard(meant)
    state: State = {}
    for day in sorted(days):
        acts: list[Act] = [act for _, act in sorted(days[day].items(), key=lambda one: one[0])]
        play_day(state, acts)
    return state


def _below_nothing(conn: Connection, names: dict[int, str], moved: list[Event]) -> list[Difference]:
    """Holdings below nothing at a day's end, and (lot, stage) at any step."""
    walk = ordered(without_reversed(moved, by="happened_on"), depths(conn), by="happened_on")
    codes = {row[0]: row[1] for row in conn.execute(select(t.lot.c.id, t.lot.c.code))}
    found: dict[tuple[str, str], Difference] = {}
    counts: dict[int, int] = defaultdict(int)
    buckets: dict[tuple[int, int], int] = defaultdict(int)
    touched: set[int] = set()
    for place, event in enumerate(walk):
        day = dt.date.fromordinal(event.happened_on)
        for holding, lot, stage, change in (
            (event.to_holding, event.to_lot, event.to_stage, event.count),
            (event.from_holding, event.from_lot, event.from_stage, -event.count),
        ):
            if holding is None or lot is None or stage is None:
                continue
            counts[holding] += change
            touched.add(holding)
            buckets[lot, stage] += change
        if event.from_lot is not None and event.from_stage is not None:
            left = buckets[event.from_lot, event.from_stage]
            if left < 0:
                where = say(
                    "{lot}, stage {stage}, on {day}", lot=codes[event.from_lot], stage=event.from_stage + 1, day=day
                )
                found.setdefault(("step", where), Difference("below nothing", where, str(left), say("0 or more")))
        if place + 1 == len(walk) or walk[place + 1].happened_on != event.happened_on:
            for holding in sorted(touched):
                if counts[holding] < 0:
                    where = say("{holding} on {day}", holding=names[holding], day=day)
                    gap = Difference("below nothing", where, str(counts[holding]), say("0 or more"))
                    found.setdefault(("day", where), gap)
            touched.clear()
    return list(found.values())


def _depths(conn: Connection) -> list[Difference]:
    """A lot must lie deeper than every lot it is made from."""
    s = t.lot_source.c
    source, made = t.lot.alias("source"), t.lot.alias("made")
    rows = conn.execute(
        select(made.c.code, made.c.depth, source.c.depth)
        .join(t.lot_source, s.lot_id == made.c.id)
        .join(source, source.c.id == s.source_id)
        .where(made.c.depth <= source.c.depth)
    )
    return [
        Difference("depth", say("lot {code}", code=row[0]), str(row[1]), say("more than {number}", number=row[2]))
        for row in rows
    ]
