"""The ready list: what can be sold now or on a day, what is promised or kept, what is still soft, and at what price.

Now, it reads what is kept (holdings, age layers, earmarks, dated figures and facts) in a fixed number of questions;
age layers only as far as they are still soft, earmarks only as far as there are any. A past day is read from the
journal. Origins come from the derivation over the ancestors of the lots listed, and of no others; give an
`OriginMemo` to keep them between two lists.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from sqlalchemy import ColumnElement, Connection, and_, func, or_, select

from ledger.origin.memo import OriginMemo
from ledger.origin.rules import Origin, label
from ledger.origin.service import origins_of
from ledger.records import tables as t
from ledger.selling.deadlines import end_of
from ledger.selling.past import set_aside_on
from ledger.selling.prices import Pack, PriceList, prices_on
from ledger.selling.standing import is_set, lent_to_us
from ledger.stock.journal import counts_on
from ledger.stock.layering import layers_on
from ledger.stock.layers import readiness

_SEX_ORDER = {"male": 0, "female": 1, "hermaphrodite": 2, "unsexed": 3}

Dates = tuple[tuple[dt.date, int], ...]


@dataclass(frozen=True, slots=True)
class ReadyRow:
    """The animals of one lot, stage and sex that can be sold, or will be. Animals nobody may sell are not listed."""

    species: str
    """Code of the species."""
    common: str
    stage: str
    sex: str
    sure: str
    """probable or confirmed; empty for the unsexed."""
    lot: str
    lot_id: int
    origin: str
    """In full words."""
    origin_code: str
    ready: int
    held: int
    kept: int
    to_post: int
    hardening: int
    """Not set aside and still soft."""
    pending: Dates
    """(day due to be hard, how many), soonest first: a guess by the calendar, look first."""
    packs: tuple[Pack, ...]
    """Prices for retail buyers that can make up a number of them, largest pack first."""

    @property
    def hardens_on(self) -> dt.date | None:
        """The first day more are due to be hard."""
        return self.pending[0][0] if self.pending else None

    @property
    def price_known(self) -> bool:
        """Whether the list has any price for them."""
        return bool(self.packs)

    @property
    def price_each(self) -> int | None:
        """The price of one, minor units; `None`: not known, or only packs have a price."""
        return self.packs[-1].amount if self.packs and self.packs[-1].animals == 1 else None


@dataclass(frozen=True, slots=True)
class _Stage:
    id: int
    species_id: int
    species: str
    common: str
    name: str
    rank: int
    """Order on the list."""
    hardening: int
    """Days before sale."""


_Key = tuple[int, int, str, str]
"""Lot, stage, sex, sure."""


@dataclass(slots=True)
class _Aside:
    """What is not ready among the animals of a key."""

    held: int = 0
    kept: int = 0
    to_post: int = 0
    not_ready: int = 0
    pending: tuple[tuple[dt.date, int], ...] = ()


def ready(conn: Connection, on: dt.date, now: str, origins: OriginMemo | None = None) -> tuple[ReadyRow, ...]:
    """What can be sold on a day, by species, stage, lot and sex.

    Args:
        conn: a connection.
        on: the day; a past one is read from the journal.
        now: local date and minute, by which deadlines of holds are judged and the past is told from the present.
        origins: kept from an earlier list; None: derived anew.
    """
    stages = _stages(conn, on)
    if not stages:
        return ()
    past = on.isoformat() < now[:10]
    counts = _past_counts(conn, stages, on) if past else _counts(conn, stages)
    aside = _past_aside(conn, stages, on) if past else _aside(conn, stages, on, now)
    lots = {key[0] for key, _ in counts}
    barred = _not_for_sale(conn, on, lots)
    codes = _codes(conn, lots)
    listed = lots - barred
    said = _said(conn, listed, origins)
    prices = prices_on(conn, on)
    rows = []
    packs: dict[tuple[int, str], tuple[Pack, ...]] = {}
    nothing = _Aside()
    for key, count in counts:
        lot_id, stage_id, sex, sure = key
        if lot_id in barred:
            continue
        stage = stages[stage_id]
        less = aside.get(key, nothing)
        offer = packs.get((stage_id, sex))
        if offer is None:
            offer = packs[stage_id, sex] = _offer(prices, stage, sex)
        origin, code = said[lot_id]
        rows.append(
            ReadyRow(
                stage.species,
                stage.common,
                stage.name,
                sex,
                sure,
                codes[lot_id],
                lot_id,
                origin,
                code,
                count - less.not_ready,
                less.held,
                less.kept,
                less.to_post,
                sum(n for _, n in less.pending),
                less.pending,
                offer,
            )
        )
    ranks = {(stage.species, stage.name): stage.rank for stage in stages.values()}
    rows.sort(key=lambda row: (ranks[row.species, row.stage], row.lot, _SEX_ORDER[row.sex], row.sure))
    return tuple(rows)


def _stages(conn: Connection, on: dt.date) -> dict[int, _Stage]:
    """The stages that are for sale on the day, by id."""
    f, s, k = t.figure.c, t.stage.c, t.species.c
    newest: dict[tuple[int, str], int] = {}
    wanted = select(f.stage_id, f.name, f.value).where(
        f.name.in_(("saleable", "hardening days")), f.stage_id.is_not(None), f.from_on <= on
    )
    for stage_id, name, value in conn.execute(wanted.order_by(f.from_on, f.id)):
        newest[stage_id, name] = value
    rows = conn.execute(
        select(s.id, s.species_id, k.code, k.common, s.name)
        .join(t.species, k.id == s.species_id)
        .order_by(k.code, s.position)
    )
    return {
        row[0]: _Stage(*row, rank, newest.get((row[0], "hardening days"), 0))
        for rank, row in enumerate(rows)
        if newest.get((row[0], "saleable")) == 1
    }


def _offer(prices: PriceList, stage: _Stage, sex: str) -> tuple[Pack, ...]:
    return prices.packs(stage.species_id, stage.id, sex)


def _counts(conn: Connection, stages: Iterable[int]) -> list[tuple[_Key, int]]:
    h = t.holding.c
    rows = conn.execute(
        select(h.lot_id, h.stage_id, h.sex, h.sure, func.sum(h.count))
        .where(h.stage_id.in_(list(stages)), h.count > 0)
        .group_by(h.lot_id, h.stage_id, h.sex, h.sure)
    )
    return [((row[0], row[1], row[2], row[3]), int(row[4])) for row in rows]


def _aside(conn: Connection, stages: dict[int, _Stage], on: dt.date, now: str) -> dict[_Key, _Aside]:
    """What is soft or set aside now. Only holdings of which anything is are looked at."""
    soft = _soft(conn, stages, on)
    marks = _marks(conn, stages, now)
    keys: dict[int, tuple[_Key, int]] = {}
    for holding, (key, count, _) in soft.items():
        keys[holding] = (key, count)
    for holding, (key, count, _) in marks.items():
        keys[holding] = (key, count)
    found: dict[_Key, _Aside] = {}
    for holding, (key, count) in keys.items():
        layers = soft[holding][2] if holding in soft else []
        mark = marks[holding][2] if holding in marks else _Aside()
        _add(found.setdefault(key, _Aside()), mark, count, layers)
    return found


def _add(total: _Aside, mark: _Aside, count: int, soft: list[tuple[dt.date, int]]) -> None:
    """Count one holding in: set-aside animals are the hard ones first, then those due soonest (`readiness`)."""
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
    total.pending = tuple(sorted(pending.items()))


def _soft(
    conn: Connection, stages: dict[int, _Stage], on: dt.date
) -> dict[int, tuple[_Key, int, list[tuple[dt.date, int]]]]:
    """By holding: its key and count, and (day due to be hard, how many) of its layers that are still soft."""
    cuts: dict[dt.date, list[int]] = defaultdict(list)
    for stage in stages.values():
        if stage.hardening:
            cuts[on - dt.timedelta(days=stage.hardening)].append(stage.id)
    if not cuts:
        return {}
    h, layer = t.holding.c, t.layer.c
    still_soft: list[ColumnElement[bool]] = [
        and_(h.stage_id.in_(ids), layer.entered_on > cut) for cut, ids in cuts.items()
    ]
    rows = conn.execute(
        select(h.id, h.lot_id, h.stage_id, h.sex, h.sure, h.count, layer.entered_on, layer.count)
        .join(t.layer, layer.holding_id == h.id)
        .where(h.count > 0, layer.hard == 0, or_(*still_soft))
    )
    found: dict[int, tuple[_Key, int, list[tuple[dt.date, int]]]] = {}
    for holding, lot, stage, sex, sure, count, entered_on, n in rows:
        _, _, layers = found.setdefault(holding, ((lot, stage, sex, sure), count, []))
        layers.append((entered_on + dt.timedelta(days=stages[stage].hardening), n))
    return found


def _marks(conn: Connection, stages: dict[int, _Stage], now: str) -> dict[int, tuple[_Key, int, _Aside]]:
    """By holding with earmarks: its key and count, and what is held, kept and to post; lapsed holds left out."""
    h, o, k, ho = t.holding.c, t.earmark_on.c, t.earmark.c, t.hold.c
    rows = conn.execute(
        select(h.id, h.lot_id, h.stage_id, h.sex, h.sure, h.count, k.kind, o.count)
        .select_from(t.earmark_on)
        .join(t.holding, h.id == o.holding_id)
        .join(t.earmark, k.id == o.earmark_id)
        .outerjoin(t.hold_line, t.hold_line.c.id == k.hold_line_id)
        .outerjoin(t.hold, ho.id == t.hold_line.c.hold_id)
        .where(h.stage_id.in_(list(stages)), h.count > 0, or_(ho.until.is_(None), ho.until >= now[:16]))
    )
    found: dict[int, tuple[_Key, int, _Aside]] = {}
    for holding, lot, stage, sex, sure, count, kind, n in rows:
        _, _, mark = found.setdefault(holding, ((lot, stage, sex, sure), count, _Aside()))
        _set_aside(mark, kind, n)
    return found


def _set_aside(mark: _Aside, kind: str, count: int) -> None:
    if kind == "held":
        mark.held += count
    elif kind == "kept":
        mark.kept += count
    else:
        mark.to_post += count


def _not_for_sale(conn: Connection, on: dt.date, lots: set[int]) -> set[int]:
    """Lots that breed, are in quarantine, lent out, or not ours."""
    f = t.lot_fact.c
    newest: dict[tuple[int, str], str] = {}
    wanted = select(f.lot_id, f.fact, f.value).where(f.fact.in_(("purpose", "lent out")), f.from_on <= on)
    for lot_id, fact, value in conn.execute(wanted.order_by(f.from_on, f.id)):
        newest[lot_id, fact] = value
    barred = {lot for (lot, fact), value in newest.items() if fact == "purpose" and value != "sale"}
    barred |= {lot for (lot, fact), value in newest.items() if fact == "lent out" and is_set(value)}
    return (barred | lent_to_us(conn, lots)) & lots


def _codes(conn: Connection, lots: set[int]) -> dict[int, str]:
    wanted = select(t.lot.c.id, t.lot.c.code)
    if len(lots) <= 500:
        wanted = wanted.where(t.lot.c.id.in_(sorted(lots)))
    return {row[0]: row[1] for row in conn.execute(wanted)}


def _said(conn: Connection, lots: set[int], memo: OriginMemo | None) -> dict[int, tuple[str, str]]:
    found = origins_of(conn, lots) if memo is None else memo.origins_of(conn, lots)
    words: dict[Origin, tuple[str, str]] = {}
    for origin in found.values():
        if origin not in words:
            words[origin] = (label(origin), str(origin.code))
    return {lot: words[origin] for lot, origin in found.items()}


# --- a past day -----------------------------------------------------------------------------------------------------


def _past_counts(conn: Connection, stages: dict[int, _Stage], on: dt.date) -> list[tuple[_Key, int]]:
    counts: dict[_Key, int] = defaultdict(int)
    for key, count in _past_holdings(conn, stages, on).values():
        counts[key] += count
    return list(counts.items())


def _past_holdings(conn: Connection, stages: dict[int, _Stage], on: dt.date) -> dict[int, tuple[_Key, int]]:
    """By holding of a saleable stage that had animals at the end of the day: its key and count."""
    h = t.holding.c
    rows = conn.execute(select(h.id, h.lot_id, h.stage_id, h.sex, h.sure).where(h.stage_id.in_(list(stages)))).all()
    then = counts_on(conn, on)
    return {row[0]: ((row[1], row[2], row[3], row[4]), then[row[0]]) for row in rows if row[0] in then}


def _past_aside(conn: Connection, stages: dict[int, _Stage], on: dt.date) -> dict[_Key, _Aside]:
    holdings = _past_holdings(conn, stages, on)
    waiting = [number for number, (key, _) in holdings.items() if stages[key[1]].hardening]
    layers = layers_on(conn, waiting, on)
    marks: dict[int, _Aside] = defaultdict(_Aside)
    for holding, kind, n in set_aside_on(conn, on, end_of(on)):
        _set_aside(marks[holding], kind, n)
    found: dict[_Key, _Aside] = {}
    for holding in {*layers, *marks} & holdings.keys():
        key, count = holdings[holding]
        soft = readiness(layers.get(holding, ()), 0, stages[key[1]].hardening, on).soft
        _add(found.setdefault(key, _Aside()), marks[holding], count, list(soft))
    return found
