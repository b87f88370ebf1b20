"""Movements with everything said of them, and the whole story of a lot. Reads only."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection
from dataclasses import dataclass

from sqlalchemy import ColumnElement, Connection, or_, select

from ledger.money import Currency
from ledger.records import tables as t
from ledger.records.undone import stands
from ledger.stock.holdings import HoldingKey
from ledger.stock.journal import in_lots
from ledger.stock.kin import ties
from ledger.stock.naming import LotRef
from ledger.stock.phrases import Said, phrases
from ledger.stock.words import place, stage_words
from ledger.wording import say, strung, word


@dataclass(frozen=True, slots=True)
class End:
    """The holding a movement comes from or goes to."""

    holding: int
    key: HoldingKey
    lot: str
    stage: str
    position: int


@dataclass(frozen=True, slots=True)
class MovementRow:
    """One movement with its entry."""

    id: int
    entry: int
    operation: int
    happened_from: dt.date | None
    happened_on: dt.date
    accounting_on: dt.date
    reason: str
    count: int
    cause: str | None
    value: int | None
    estimated: bool
    explained: bool
    relates_to: int | None
    reverses: int | None
    reversed_by: int | None
    note: str
    by: str
    recorded_at: str
    source: End | None
    target: End | None
    reverses_entry: int | None = None
    """The entry of the movement it takes back."""
    reversed_in: int | None = None
    """The entry that takes it back."""

    @property
    def stands(self) -> bool:
        """Neither taken back nor a taking back."""
        return self.reverses is None and self.reversed_by is None

    @property
    def where(self) -> End:
        """The holding the animals were in, or came into."""
        end = self.source or self.target
        assert end is not None
        return end

    @property
    def said(self) -> Said:
        """What happened, for a sentence; a reversal says what it takes back."""
        source, target = (self.target, self.source) if self.reverses else (self.source, self.target)
        if source is None:
            assert target is not None
            return Said(self.reason, self.count, target.stage, target.key, value=self.value, estimated=self.estimated)
        other = target if target is not None and target.key != source.key else None
        same_sex = other is None or (other.key.sex, other.key.sure) == (source.key.sex, source.key.sure)
        same_tub = other is None or other.key.tub == source.key.tub or other.key.lot_id != source.key.lot_id
        return Said(
            self.reason,
            self.count,
            source.stage,
            source.key,
            to_stage=other.stage if other is not None and other.stage != source.stage else None,
            to_sex=None if other is None or same_sex else (other.key.sex, other.key.sure),
            to_tub=None if other is None or same_tub else other.key.tub,
            cause=self.cause,
            estimated=self.estimated,
        )

    def words(self, currency: Currency) -> str:
        """'P08/07: 3 L3 died'."""
        where = self.where if self.reverses is None else (self.target or self.where)
        return say(
            "{place}: {phrases}",
            place=place(where.lot, where.key.tub),
            phrases=phrases([self.said], currency, say_tubs=False),
        )


_BACK = t.movement.alias("back")
_GONE = t.movement.alias("gone")
_MOVEMENTS = (
    select(
        t.movement.c.id,
        t.movement.c.entry_id,
        t.entry.c.operation_id,
        t.entry.c.happened_from,
        t.entry.c.happened_on,
        t.entry.c.accounting_on,
        t.movement.c.reason,
        t.movement.c.count,
        t.movement.c.cause,
        t.movement.c.value,
        t.movement.c.estimated,
        t.movement.c.explained,
        t.movement.c.relates_to,
        t.movement.c.reverses,
        _BACK.c.id,
        t.entry.c.note,
        t.operation.c.recorded_by,
        t.operation.c.recorded_at,
        t.movement.c.from_holding_id,
        t.movement.c.to_holding_id,
        _GONE.c.entry_id.label("reverses_entry"),
        _BACK.c.entry_id.label("reversed_in"),
    )
    .join(t.entry, t.entry.c.id == t.movement.c.entry_id)
    .join(t.operation, t.operation.c.id == t.entry.c.operation_id)
    .outerjoin(_BACK, _BACK.c.reverses == t.movement.c.id)
    .outerjoin(_GONE, _GONE.c.id == t.movement.c.reverses)
    .order_by(t.entry.c.happened_on, t.movement.c.id)
)


def movement_rows(
    conn: Connection,
    *,
    movements: Collection[int] | None = None,
    entries: Collection[int] | None = None,
    operations: Collection[int] | None = None,
    lots: Collection[int] | None = None,
    holdings: Collection[int] | None = None,
) -> list[MovementRow]:
    """Movements that meet every condition given, by day and number."""
    conditions: list[ColumnElement[bool]] = []
    m = t.movement.c
    for column, allowed in ((m.id, movements), (m.entry_id, entries), (t.entry.c.operation_id, operations)):
        if allowed is not None:
            conditions.append(column.in_(sorted(set(allowed))))
    if lots is not None:
        conditions.append(in_lots(lots))
    if holdings is not None:
        inside = sorted(set(holdings))
        conditions.append(or_(m.from_holding_id.in_(inside), m.to_holding_id.in_(inside)))
    rows = conn.execute(_MOVEMENTS.where(*conditions)).all()
    ends_of = _ends(conn, {row[place_of] for row in rows for place_of in (18, 19)} - {None})
    return [
        MovementRow(
            row[0],
            row[1],
            row[2],
            row[3],
            row[4],
            row[5],
            row[6],
            row[7],
            row[8],
            row[9],
            bool(row[10]),
            bool(row[11]),
            row[12],
            row[13],
            row[14],
            row[15],
            row[16],
            row[17],
            ends_of.get(row[18]),
            ends_of.get(row[19]),
            row[20],
            row[21],
        )
        for row in rows
    ]


def _ends(conn: Connection, holdings: Collection[int]) -> dict[int, End]:
    h = t.holding.c
    rows = conn.execute(
        select(h.id, h.lot_id, h.stage_id, h.sex, h.sure, h.tub, t.lot.c.code, t.stage.c.name, t.stage.c.position)
        .join(t.lot, t.lot.c.id == h.lot_id)
        .join(t.stage, t.stage.c.id == h.stage_id)
        .where(h.id.in_(sorted(holdings)))
    )
    return {row[0]: End(row[0], HoldingKey(*row[1:6]), row[6], row[7], row[8]) for row in rows}


@dataclass(frozen=True, slots=True)
class StoryRow:
    """One thing in the story of a lot."""

    on: dt.date
    since: dt.date | None
    """First day of a range of days."""
    kind: str
    """movement, check, fact or link (who was with whom, parents, young)."""
    text: str
    entry: int | None
    movement: int | None
    stands: bool
    """False for a movement that was taken back and for the taking back."""
    by: str
    recorded_at: str
    note: str


def lot_story(conn: Connection, lot: LotRef, currency: Currency) -> tuple[StoryRow, ...]:
    """Everything recorded of a lot's animals, oldest first: movements, checks, dated facts, what ties it to others."""
    rows = [*_movements(conn, lot, currency), *_checks(conn, lot), *_facts(conn, lot), *_links(conn, lot)]
    return tuple(sorted(rows, key=lambda row: (row.on, row.movement or 0)))


def _movements(conn: Connection, lot: LotRef, currency: Currency) -> list[StoryRow]:
    found = []
    for row in movement_rows(conn, lots=[lot.id]):
        text = row.words(currency)
        other = row.target if row.target is not None and row.target.lot != lot.code else row.source
        if other is not None and other.lot != lot.code:
            text = (
                say("{event} (to {lot})", event=text, lot=other.lot)
                if other is row.target
                else say("{event} (from {lot})", event=text, lot=other.lot)
            )
        if row.reverses is not None:
            text = say("taken back (entry {entry}): {event}", entry=row.reverses_entry, event=text)
        elif row.reversed_in is not None:
            text = say("taken back by entry {entry}: {event}", entry=row.reversed_in, event=text)
        found.append(
            StoryRow(
                row.happened_on,
                row.happened_from,
                "movement",
                text,
                row.entry,
                row.id,
                row.stands,
                row.by,
                row.recorded_at,
                row.note,
            )
        )
    return found


def _checks(conn: Connection, lot: LotRef) -> list[StoryRow]:
    o = t.observation.c
    rows = conn.execute(
        select(o.happened_on, o.tub, o.kind, o.count, o.note, t.stage.c.name, t.operation.c.recorded_by,
               t.operation.c.recorded_at)
        .join(t.operation, t.operation.c.id == o.operation_id)
        .outerjoin(t.stage, t.stage.c.id == o.stage_id)
        .where(o.lot_id == lot.id, stands(o.operation_id))
        .order_by(o.happened_on, o.id)
    )  # fmt: skip
    found = []
    for on, tub, kind, count, note, stage, by, at in rows:
        of = stage_words(stage, 2 if count is None else count) if stage else ""
        parts = ("" if count is None else str(count), of, word(kind))
        found.append(
            StoryRow(
                on,
                None,
                "check",
                strung((place(lot.code, tub), strung(part for part in parts if part)), ": "),
                None,
                None,
                True,
                by,
                at,
                note,
            )
        )
    return found


def _links(conn: Connection, lot: LotRef) -> list[StoryRow]:
    return [
        StoryRow(
            tie.on,
            None,
            "link",
            say("{lot}: {event}", lot=lot.code, event=tie.words),
            None,
            None,
            True,
            tie.by,
            tie.recorded_at,
            "",
        )
        for tie in ties(conn, lot)
    ]


def _facts(conn: Connection, lot: LotRef) -> list[StoryRow]:
    f = t.lot_fact.c
    rows = conn.execute(
        select(f.from_on, f.fact, f.value, t.operation.c.recorded_by, t.operation.c.recorded_at)
        .join(t.operation, t.operation.c.id == f.operation_id)
        .where(f.lot_id == lot.id, stands(f.operation_id))
        .order_by(f.from_on, f.id)
    )
    return [
        StoryRow(
            on,
            None,
            "fact",
            say(
                "{lot}: {fact}: {value}",
                lot=lot.code,
                fact=word(fact),
                value=word(value) if fact == "purpose" else value,
            ),
            None,
            None,
            True,
            by,
            at,
            "",
        )
        for on, fact, value, by, at in rows
    ]
