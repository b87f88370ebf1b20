"""Checks: a tub or lot was fed, looked at, counted or estimated, or its animals were seen hard.

Only looked and counted narrow when something happened; feeding is not looking. A count that agrees is worth keeping;
one that does not agree is kept too and changes nothing by itself.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import Connection, func, insert, select

from ledger.act import Act
from ledger.errors import Ambiguous, BadInput, NotEnough, NotFound
from ledger.records import tables as t
from ledger.records.columns import MOST_ANIMALS
from ledger.records.undone import stands
from ledger.stock.afterwards import what_is_later
from ledger.stock.commands import Mark
from ledger.stock.figures import figures
from ledger.stock.holdings import Asked, read_tub
from ledger.stock.layering import KeptLayers, rebuild_layers
from ledger.stock.layers import seen_hard
from ledger.stock.locks import lock
from ledger.stock.naming import LotRef, StageRef, match_stage
from ledger.stock.tally import Tally
from ledger.stock.words import place, stage_words, tub_order, when
from ledger.text import clean_block, quoted
from ledger.wording import counted, listed, say, strung, word

KINDS = ("fed", "looked", "counted", "estimated", "seen hard")
_COUNTS = ("counted", "estimated")
ROUNDS = 2
"""How many of the last rounds tell when the next is due."""


@dataclass(frozen=True, slots=True)
class MarkPlan:
    """One checked mark."""

    lot: LotRef
    stage: StageRef | None
    tub: str
    kind: str
    count: int | None
    note: str

    @property
    def words(self) -> str:
        """'P08/07: 12 L3 counted', 'P08: looked at (cleaned)'."""
        where = place(self.lot.code, self.tub)
        of = stage_words(self.stage.name, 2 if self.count is None else self.count) if self.stage else ""
        if self.count is not None:
            number = say("about {number}", number=self.count) if self.kind == "estimated" else str(self.count)
            parts = (f"{where}:", number, of, word(self.kind))
        else:
            parts = (f"{where}:", "", of, say("looked at") if self.kind == "looked" else word(self.kind))
        said = strung(part for part in parts if part)
        return say("{mark} ({note})", mark=said, note=self.note) if self.note else said


def fed_already(conn: Connection, marks: Sequence[MarkPlan], on: dt.date) -> list[MarkPlan]:
    """Those of the marks that say 'fed' of what was marked as fed on that day before."""
    fed = [mark for mark in marks if mark.kind == "fed"]
    if not fed:
        return []
    o = t.observation.c
    rows = conn.execute(select(o.lot_id, o.tub).where(o.happened_on == on, o.kind == "fed", stands(o.operation_id)))
    before = {(row.lot_id, row.tub) for row in rows}
    return [mark for mark in fed if (mark.lot.id, mark.tub) in before]


def plan_mark(tally: Tally, mark: Mark, on: dt.date) -> MarkPlan:
    """Check one mark.

    Raises:
        NotFound, BadInput, NotEnough, Ambiguous: it cannot be kept like that.
    """
    lot = tally.lot(mark.lot)
    if mark.kind not in KINDS:
        raise BadInput(
            say("{kind} is no mark; choose one of: {kinds}.", kind=quoted(mark.kind), kinds=strung(KINDS, ", ")),
            field="kind",
        )
    if mark.kind in _COUNTS:
        if type(mark.count) is not int or not 0 <= mark.count <= MOST_ANIMALS:
            raise BadInput(
                say(
                    "Say how many were {kind}, from 0 to {most_animals}.",
                    kind=word(mark.kind),
                    most_animals=f"{MOST_ANIMALS:,}",
                ),
                field="count",
            )
    elif mark.count is not None:
        raise BadInput(say("“{kind}” takes no number; leave it out.", kind=mark.kind), field="count")
    tub = read_tub(mark.tub) or ""
    if tub:
        _known_tub(tally, lot, tub)
    stage = match_stage(tally.stages(lot.species_id), mark.stage) if mark.stage else None
    if mark.kind == "seen hard":
        stage = _hardening(tally, lot, stage, tub, on)
    return MarkPlan(lot, stage, tub, mark.kind, mark.count, clean_block(mark.note, limit=2000, field="note"))


def _known_tub(tally: Tally, lot: LotRef, tub: str) -> None:
    h = t.holding.c
    known = set(tally.conn.execute(select(h.tub).where(h.lot_id == lot.id).distinct()).scalars())
    if tub not in known:
        labels = sorted(known - {""}, key=tub_order)
        hint = say("it has {labels}", labels=listed(labels[:12])) if labels else say("it has no labelled tubs")
        raise NotFound(
            say("{code} has no tub {tub}; {hint}.", code=lot.code, tub=quoted(tub), hint=hint),
            field="tub",
            facts={"lot": lot.code, "tubs": tuple(labels)},
        )


def _hardening(tally: Tally, lot: LotRef, stage: StageRef | None, tub: str, on: dt.date) -> StageRef:
    """The stage whose animals were seen hard: the one said, or the one there that has to harden."""
    which = Asked(stage, tub=tub or None, units=frozenset({"animal"}))
    here = {group.stage.id: group.stage for group in tally.groups(lot, on) if which.fits(group)}
    if not here:
        raise NotEnough(
            say(
                "{place} has no {kind} on {when} to be seen hard.",
                place=place(lot.code, tub),
                kind=which.kind(2),
                when=when(on),
            ),
            field="stage",
            facts={"lot": lot.code, "date": on},
        )
    if len(here) > 1:
        known = figures(tally.conn, on)
        waiting = {number: one for number, one in here.items() if known.hardening_days(lot.species_id, number)}
        here = waiting or here
    if len(here) > 1:
        names = tuple(one.name for one in sorted(here.values(), key=lambda one: one.position))
        raise Ambiguous(
            say("{place}: say which were seen hard: {names}.", place=place(lot.code, tub), names=listed(names, "or")),
            field="stage",
            choices=names,
        )
    return next(iter(here.values()))


def differs(tally: Tally, mark: MarkPlan, on: dt.date) -> str | None:
    """What to say when a count does not agree with the records; None when it does."""
    if mark.kind != "counted":
        return None
    which = Asked(mark.stage, tub=mark.tub or None, units=frozenset({"animal", "object"}))
    there = sum(group.count for group in tally.groups(mark.lot, on) if which.fits(group))
    if there == mark.count:
        return None
    assert mark.count is not None
    off = abs(there - mark.count)
    if there > mark.count:
        return counted(
            there,
            "{counted}, but {n} is recorded; record {off} as missing if that is so.",
            "{counted}, but {n} are recorded; record {off} as missing if that is so.",
            counted=mark.words,
            off=off,
        )
    return counted(
        there,
        "{counted}, but {n} is recorded; record {off} as found if that is so.",
        "{counted}, but {n} are recorded; record {off} as found if that is so.",
        counted=mark.words,
        off=off,
    )


def write_marks(conn: Connection, act: Act, marks: Sequence[MarkPlan], on: dt.date) -> None:
    """Write marks; those of animals seen hard change their age layers."""
    if not marks:
        return
    conn.execute(
        insert(t.observation),
        [
            {
                "lot_id": mark.lot.id,
                "stage_id": mark.stage.id if mark.stage else None,
                "tub": mark.tub,
                "happened_on": on,
                "kind": mark.kind,
                "count": mark.count,
                "note": mark.note,
                "operation_id": act.operation,
            }
            for mark in marks
        ],
    )
    hard = [mark for mark in marks if mark.kind == "seen hard"]
    if hard:
        _harden(conn, act, hard, on)


def soften(conn: Connection, operation: int) -> None:
    """Reckon the age layers anew of animals that an act, undone since, said were seen hard."""
    o = t.observation.c
    rows = conn.execute(
        select(o.lot_id, o.stage_id, o.tub).where(o.operation_id == operation, o.kind == "seen hard")
    ).all()
    holdings = {holding for row in rows for holding in _meant(conn, row.lot_id, row.stage_id, row.tub)}
    if holdings:
        rebuild_layers(conn, holdings)


def _meant(conn: Connection, lot_id: int, stage_id: int, tub: str) -> set[int]:
    h = t.holding.c
    meant = select(h.id).where(h.lot_id == lot_id, h.stage_id == stage_id)
    return set(conn.execute(meant.where(h.tub == tub) if tub else meant).scalars())


def _harden(conn: Connection, act: Act, marks: Sequence[MarkPlan], on: dt.date) -> None:
    holdings: set[int] = set()
    for mark in marks:
        assert mark.stage is not None
        holdings |= _meant(conn, mark.lot.id, mark.stage.id, mark.tub)
    lock(conn, holdings)
    later = what_is_later(conn, act, on, {mark.lot.id for mark in marks})
    if later.entries or later.marks or later.mixed:
        rebuild_layers(conn, holdings)
        return
    kept = KeptLayers.read(conn, holdings)
    kept.state = {holding: seen_hard(layers) for holding, layers in kept.state.items()}
    kept.write()


def last_rounds(conn: Connection, on: dt.date) -> dict[tuple[int, str], tuple[dt.date, ...]]:
    """The last two days up to a day on which each tub (or a lot as a whole: tub empty) was fed or looked at, newest
    first, by (lot, tub)."""
    o = t.observation.c
    kinds = ("fed", "looked", "counted")
    days = (
        select(o.lot_id, o.tub, o.happened_on)
        .where(o.happened_on <= on, o.kind.in_(kinds), stands(o.operation_id))
        .group_by(o.lot_id, o.tub, o.happened_on)
        .subquery()
    )
    place = func.row_number().over(partition_by=(days.c.lot_id, days.c.tub), order_by=days.c.happened_on.desc())
    numbered = select(days, place.label("place")).subquery()
    newest = select(numbered).where(numbered.c.place <= ROUNDS).order_by(numbered.c.place)
    found: dict[tuple[int, str], list[dt.date]] = {}
    for row in conn.execute(newest):
        found.setdefault((row.lot_id, row.tub), []).append(row.happened_on)
    return {where: tuple(rounds) for where, rounds in found.items()}
