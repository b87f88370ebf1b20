"""The ready list: what can be sold now or on a day, what is promised or kept, what is still soft, and at what price.

Now, it reads what is kept (holdings, age layers, earmarks, dated figures and facts) in a fixed number of questions;
age layers only as far as they are still soft, earmarks only as far as there are any. A past day is read from the
journal. Origins come from the derivation over the ancestors of the lots listed, and of no others; give an
`OriginMemo` to keep them between two lists.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from sqlalchemy import Connection, func, select

from ledger.origin.memo import OriginMemo
from ledger.origin.rules import Origin, label
from ledger.origin.service import origins_of
from ledger.records import tables as t
from ledger.records.undone import stands
from ledger.selling.not_ready import Aside, Dates, Key, Stage, aside_now, packed_now
from ledger.selling.not_ready_then import aside_on, counts_of
from ledger.selling.prices import Pack, PriceList, prices_on
from ledger.selling.standing import is_set, lent_to_us

_SEX_ORDER = {"male": 0, "female": 1, "hermaphrodite": 2, "unsexed": 3}


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
    pairs: tuple[Pack, ...] = ()
    """Retail prices of pairs, trios and the like that they can be part of."""
    packed: int = 0
    """Of those kept back, how many lie in packs for a fair."""

    @property
    def hardens_on(self) -> dt.date | None:
        """The first day more are due to be hard."""
        return self.pending[0][0] if self.pending else None

    @property
    def price_each(self) -> int | None:
        """The price of one, minor units; `None`: not known, or only packs have a price."""
        return self.packs[-1].amount if self.packs and self.packs[-1].animals == 1 else None


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
    counts = counts_of(conn, stages, on) if past else _counts(conn, stages)
    aside = aside_on(conn, stages, on) if past else aside_now(conn, stages, on, now)
    lots = {key[0] for key, _, _ in counts}
    barred = _not_for_sale(conn, on, lots)
    said = _said(conn, lots - barred, origins)
    prices = prices_on(conn, on)
    counts.sort(key=lambda one: (stages[one[0][1]].rank, one[1], _SEX_ORDER[one[0][2]], one[0][3]))
    rows = []
    packs: dict[tuple[int, str], tuple[Pack, ...]] = {}
    pairs: dict[tuple[int, str], tuple[Pack, ...]] = {}
    packed = {} if past else packed_now(conn)
    nothing = Aside()
    for key, code, count in counts:
        lot_id, stage_id, sex, sure = key
        if lot_id in barred:
            continue
        stage = stages[stage_id]
        less = aside.get(key, nothing)
        offer = packs.get((stage_id, sex))
        if offer is None:
            offer = packs[stage_id, sex] = _offer(prices, stage, sex)
            pairs[stage_id, sex] = prices.pairs(stage.species_id, stage.id, sex)
        origin, origin_code = said[lot_id]
        rows.append(
            ReadyRow(
                stage.species,
                stage.common,
                stage.name,
                sex,
                sure,
                code,
                lot_id,
                origin,
                origin_code,
                count - less.not_ready,
                less.held,
                less.kept,
                less.to_post,
                less.hardening,
                less.pending,
                offer,
                pairs[stage_id, sex],
                packed.get(key, 0),
            )
        )
    return tuple(rows)


def _stages(conn: Connection, on: dt.date) -> dict[int, Stage]:
    """The stages that are for sale on the day or lead there by hardening, by id."""
    f, s, k = t.figure.c, t.stage.c, t.species.c
    newest: dict[tuple[int, str], int] = {}
    wanted = select(f.stage_id, f.name, f.value).where(
        f.name.in_(("saleable", "hardening days")), f.stage_id.is_not(None), f.from_on <= on, stands(f.operation_id)
    )
    for stage_id, name, value in conn.execute(wanted.order_by(f.from_on, f.id)):
        newest[stage_id, name] = value
    rows = conn.execute(
        select(s.id, s.species_id, k.code, k.common, s.name)
        .join(t.species, k.id == s.species_id)
        .order_by(k.code, s.position)
    )
    stages = {}
    for rank, row in enumerate(rows):
        hardening = newest.get((row[0], "hardening days"), 0)
        sold = newest.get((row[0], "saleable")) == 1
        if sold or hardening:
            stages[row[0]] = Stage(*row, rank, hardening, sold)
    return stages


def _offer(prices: PriceList, stage: Stage, sex: str) -> tuple[Pack, ...]:
    return prices.packs(stage.species_id, stage.id, sex)


def _counts(conn: Connection, stages: Iterable[int]) -> list[tuple[Key, str, int]]:
    h = t.holding.c
    here = (
        select(h.lot_id, h.stage_id, h.sex, h.sure, func.sum(h.count).label("n"))
        .where(h.stage_id.in_(list(stages)), h.count > 0)
        .group_by(h.lot_id, h.stage_id, h.sex, h.sure)
        .subquery()
    )
    rows = conn.execute(select(here, t.lot.c.code).join(t.lot, t.lot.c.id == here.c.lot_id))
    return [((lot, stage, sex, sure), code, int(n)) for lot, stage, sex, sure, n, code in rows]


def _not_for_sale(conn: Connection, on: dt.date, lots: set[int]) -> set[int]:
    """Lots that breed, are in quarantine, lent out, or not ours."""
    f = t.lot_fact.c
    newest: dict[tuple[int, str], str] = {}
    ever = select(f.lot_id).where(((f.fact == "purpose") & (f.value != "sale")) | (f.fact == "lent out"))
    wanted = select(f.lot_id, f.fact, f.value).where(
        f.lot_id.in_(ever), f.fact.in_(("purpose", "lent out")), f.from_on <= on, stands(f.operation_id)
    )
    for lot_id, fact, value in conn.execute(wanted.order_by(f.from_on, f.id)):
        newest[lot_id, fact] = value
    barred = {lot for (lot, fact), value in newest.items() if fact == "purpose" and value != "sale"}
    barred |= {lot for (lot, fact), value in newest.items() if fact == "lent out" and is_set(value)}
    return (barred | lent_to_us(conn, lots)) & lots


def _said(conn: Connection, lots: set[int], memo: OriginMemo | None) -> dict[int, tuple[str, str]]:
    found = origins_of(conn, lots) if memo is None else memo.origins_of(conn, lots)
    words: dict[Origin, tuple[str, str]] = {}
    for origin in found.values():
        if origin not in words:
            words[origin] = (label(origin), str(origin.code))
    return {lot: words[origin] for lot, origin in found.items()}
