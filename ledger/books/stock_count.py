"""A count of the stock: differences are recorded with a reason, in one act with the counts themselves.

What agrees is kept as a count; what differs becomes a movement of the reason given ('missing' or 'found' if none is),
so that after it the records say what was counted. The differences of a year are read back from the journal.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, Row, select

from ledger.act import Act, Done, Scene
from ledger.books.commands import Counted, CountStock
from ledger.errors import BadInput, Refused
from ledger.records import tables as t
from ledger.records.columns import MOST_ANIMALS
from ledger.records.periods import period_of
from ledger.records.undone import stands
from ledger.stock.commands import Mark, Move, Record, SaveRound
from ledger.stock.events import Event
from ledger.stock.holdings import Asked
from ledger.stock.journal import events
from ledger.stock.naming import match_stage
from ledger.stock.rounds import RoundPlan, commit_round, plan_round
from ledger.stock.stock_rows import stock_on
from ledger.stock.tally import Tally
from ledger.stock.words import place, stage_words, when
from ledger.text import clean, quoted
from ledger.wording import counted, listed, say, strung, word

FEWER = ("missing", "died", "culled", "escaped", "given away", "own use", "used as feed")
"""Reasons for fewer than recorded; the first is taken where none is said."""
MORE = ("found", "miscounted before")
"""Reasons for more; the same."""
_LOOSE = "in no tub"
"""Stands for the animals in no tub of a stage that has some in tubs as well."""


@dataclass(frozen=True, slots=True)
class CountPlan:
    """A checked count of the stock."""

    round: RoundPlan
    sentence: str
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ToCount:
    """One line of the list to count by."""

    lot: str
    species: str
    stage: str
    unit: str
    sex: str
    tub: str
    expected: int
    counted_on: dt.date | None
    """When the lot was last counted."""


def to_count(conn: Connection, on: dt.date) -> tuple[ToCount, ...]:
    """What is in stock at the end of a day, line by line, to be counted."""
    o = t.observation.c
    last: dict[int, dt.date] = {}
    for row in conn.execute(
        select(o.lot_id, o.happened_on)
        .where(o.kind == "counted", o.happened_on <= on, stands(o.operation_id))
        .order_by(o.happened_on)
    ):
        last[row.lot_id] = row.happened_on
    found: dict[tuple[str, str, str, str, str, str, int], int] = defaultdict(int)
    for there in stock_on(conn, on):
        key = there.lot, there.species, there.stage, there.unit, there.sex, there.tub, there.lot_id
        found[key] += there.count
    return tuple(ToCount(*key[:6], n, last.get(key[6])) for key, n in found.items() if n)


def plan_count(conn: Connection, command: CountStock, scene: Scene) -> CountPlan:
    """Check a count of the stock, and say every difference.

    Raises:
        BadInput, NotFound, NotEnough, Ambiguous: a line that cannot be kept like that, or one counted twice;
            `facts['line']` says which, from 0.
    """
    if not command.counts:
        raise BadInput(say("Nothing was counted; say at least one lot, stage and number."), field="counts")
    tally = Tally(conn, scene)
    on = tally.day(command.on)
    note = clean(command.note, limit=500, field="note")
    seen: list[tuple[int, Asked]] = []
    parts: dict[tuple[str, str, str], list[int]] = {}
    marks, said = [], []
    moves: dict[str, list[Move]] = defaultdict(list)
    line = -1
    try:
        for one in command.counts:
            line += 1
            lot, stage = tally.lot(one.lot), match_stage(tally.stages(tally.lot(one.lot).species_id), one.stage)
            if type(one.count) is not int or not 0 <= one.count <= MOST_ANIMALS:
                raise BadInput(
                    say("Say how many were counted of {code} {name}, from 0 on.", code=lot.code, name=stage.name),
                    field="count",
                )
            which = tally.asked(lot, one.stage, one.sex, one.tub, (stage.unit,))
            if any(_overlap((lot.id, which), other) for other in seen):
                raise BadInput(
                    say("{code} {name} is counted twice in one count; leave one out.", code=lot.code, name=stage.name),
                    field="counts",
                )
            seen.append((lot.id, which))
            there = sum(group.count for group in tally.groups(lot, on) if which.fits(group))
            reason = _reason(one, there, lot.code, stage.name)
            where = place(lot.code, which.tub or "")
            if one.count != there:
                moves[lot.code].append(_difference(one, stage.name, abs(one.count - there), reason))
                what = stage_words(stage.name, one.count)
                said.append(
                    say(
                        "{where}: {count} {what} counted, {there} recorded, {abs} {reason}",
                        where=where,
                        count=one.count,
                        what=what,
                        there=there,
                        abs=abs(one.count - there),
                        reason=reason,
                    )
                )
            whole = Asked(stage, tub=which.tub, units=frozenset({stage.unit}))
            tubs = {group.key.tub for group in tally.groups(lot, on) if group.stage.id == stage.id}
            loose = which.tub == "" and tubs != {""}
            part = parts.setdefault(
                (lot.code, _LOOSE if loose else which.tub or "", stage.name),
                [0, sum(group.count for group in tally.groups(lot, on) if whole.fits(group)), 0],
            )
            part[0] += one.count
            part[1] += one.count - there
            part[2] += one.count - there
    except Refused as refused:
        refused.facts["line"] = line
        raise
    for (code, tub, name), (number, left, _) in parts.items():
        if tub == _LOOSE:
            # A mark knows no 'in no tub': with those of its tubs, if they were counted too, the stage is counted whole.
            lot = tally.lot(code)
            all_of = Asked(match_stage(tally.stages(lot.species_id), name))
            of_stage = [part for (one, _, stage_name), part in parts.items() if (one, stage_name) == (code, name)]
            tub, number = "", sum(part[0] for part in of_stage)
            left = sum(group.count for group in tally.groups(lot, on) if all_of.fits(group)) + sum(
                part[2] for part in of_stage
            )
        # A mark knows no sex: a stage of which only some sexes were counted was no more than looked at.
        if number == left:
            marks.append(Mark(code, "counted", tub=tub, stage=name, count=number, note=note))
        else:
            marks.append(Mark(code, "looked", tub=tub, stage=name, note=note))
    records = tuple(Record(code, tuple(part), on, note=note) for code, part in moves.items())
    planned = plan_round(conn, SaveRound(tuple(marks), on, records), scene)
    agree = len(command.counts) - len(said)

    head = counted(
        len(command.counts),
        "Stock count of {day}: {n} line counted, {agree} as recorded",
        "Stock count of {day}: {n} lines counted, {agree} as recorded",
        day=when(on),
        agree=agree,
    )
    text = strung([head, *said], "; ") + "."
    year = period_of(conn, on)
    # What differs says itself where it is accounted; a count that agrees is no movement.
    kept = (
        (
            say(
                "{year} is closed and its figures stay as they are; the count is kept with its date.",
                year=year.year,
            ),
        )
        if year.closed
        else ()
    )
    return CountPlan(planned, text, (*kept, *planned.cautions))


def _overlap(one: tuple[int, Asked], other: tuple[int, Asked]) -> bool:
    """Whether two lines count some animals both: a line without a sex or tub takes in all of them."""
    (lot, first), (other_lot, second) = one, other
    if lot != other_lot or first.stage != second.stage:
        return False
    pairs = ((first.sex, second.sex), (first.sure, second.sure), (first.tub, second.tub))
    return all(a is None or b is None or a == b for a, b in pairs)


def _reason(one: Counted, there: int, lot: str, stage: str) -> str:
    allowed = FEWER if one.count < there else MORE
    wanted = one.reason.strip().casefold()
    if one.count == there and wanted:
        raise BadInput(
            say("{lot} {stage} counts as recorded and needs no reason; leave it out.", lot=lot, stage=stage),
            field="reason",
        )
    if wanted and wanted not in allowed:
        names = {
            "reason": quoted(one.reason),
            "lot": lot,
            "stage": word(stage),
            "allowed": listed(map(word, allowed), "or"),
        }
        raise BadInput(
            say("{reason} is no reason for fewer of {lot} {stage} than recorded; choose {allowed}.", **names)
            if one.count < there
            else say("{reason} is no reason for more of {lot} {stage} than recorded; choose {allowed}.", **names),
            field="reason",
        )
    return wanted or allowed[0]


def _difference(one: Counted, stage: str, count: int, reason: str) -> Move:
    explained = reason == MORE[1]
    return Move("found" if explained else reason, count, stage=stage, sex=one.sex, tub=one.tub, explained=explained)


def commit_count(conn: Connection, plan: CountPlan, act: Act) -> Done:
    """Write the counts and the differences."""
    return Done(plan.sentence, commit_round(conn, plan.round, act).refs, plan.cautions)


# --- read back ------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class CountRow:
    """One count, with what the records said before it."""

    on: dt.date
    lot: str
    stage: str
    """Empty: the whole lot."""
    tub: str
    counted: int
    expected: int
    """What the records said when it was entered, before its own differences."""
    recorded: int
    """What was recorded of the difference, in the same act or later; negative: fewer."""
    again: int
    """What else of it a later count no longer found: that one came out as recorded, or recorded its own difference."""
    reasons: str
    note: str

    @property
    def difference(self) -> int:
        """Counted less expected."""
        return self.counted - self.expected

    @property
    def left(self) -> int:
        """What of the difference nobody has recorded, and no later count has settled."""
        return self.difference - self.recorded - self.again


def count_rows(conn: Connection, first: dt.date, last: dt.date) -> tuple[CountRow, ...]:
    """Every count made from one day to another, in the order they were entered."""
    o = t.observation.c
    counts = conn.execute(
        select(t.observation, t.lot.c.code, t.stage.c.name, t.stage.c.position)
        .join(t.lot, t.lot.c.id == o.lot_id)
        .outerjoin(t.stage, t.stage.c.id == o.stage_id)
        .where(o.kind == "counted", o.happened_on.between(first, last), stands(o.operation_id))
        .order_by(o.id)
    ).all()
    if not counts:
        return ()
    act_of = {row.id: row.operation_id for row in conn.execute(select(t.entry.c.id, t.entry.c.operation_id))}
    living = {
        (row.id, row.position)
        for row in conn.execute(
            select(t.lot.c.id, t.stage.c.position)
            .join(t.stage, t.stage.c.species_id == t.lot.c.species_id)
            .where(t.stage.c.unit != "specimen")
        )
    }
    end = last.toordinal()
    by_lot: dict[int, list[Event]] = defaultdict(list)
    taken_back: set[int] = set()
    for event in events(conn, lots={row.lot_id for row in counts}, until=last):
        if event.reverses is not None:
            taken_back.add(event.reverses)
        for lot_id in {event.from_lot, event.to_lot} - {None}:
            by_lot[lot_id].append(event)  # type: ignore[index]
    made = []
    for row in counts:
        expected = recorded = 0
        reasons: list[str] = []
        later: list[tuple[Event, int]] = []
        for event in by_lot[row.lot_id]:
            change = _change(event, row._mapping, living)
            if act_of[event.entry] > row.operation_id:
                if change and event.reverses is None and event.id not in taken_back and event.accounting_on <= end:
                    later.append((event, change))
            elif event.happened_on > row.happened_on.toordinal():
                continue
            elif act_of[event.entry] < row.operation_id:
                expected += change
            elif change and event.id not in taken_back:
                recorded += change
                reasons.append(strung((str(event.count), word(event.reason))))
        open_part = row._mapping["count"] - expected - recorded
        for event, change in later:
            if open_part and (change < 0) == (open_part < 0) and _explains(event, row.happened_on.toordinal()):
                part = max(change, open_part) if change < 0 else min(change, open_part)
                recorded, open_part = recorded + part, open_part - part
                reasons.append(strung((str(abs(part)), word(event.reason))))
        made.append(_Made(row, expected, recorded, open_part, strung(reasons, ", ")))

    def whole(of: Row[Any]) -> int:
        """The living animals of a lot when it was counted."""
        lot = {"lot_id": of.lot_id, "tub": "", "position": None}
        return sum(
            _change(event, lot, living)
            for event in by_lot[of.lot_id]
            if event.happened_on <= of.happened_on.toordinal() and act_of[event.entry] <= of.operation_id
        )

    return tuple(
        CountRow(
            one.row.happened_on,
            one.row.code,
            one.row.name or "",
            one.row.tub,
            one.row._mapping["count"],
            one.expected,
            one.recorded,
            one.open if one.open and _counted_again(one, made, whole) else 0,
            one.reasons,
            one.row.note,
        )
        for one in made
    )


@dataclass(frozen=True, slots=True)
class _Made:
    """One count before the later ones are looked at."""

    row: Row[Any]
    expected: int
    recorded: int
    open: int
    reasons: str


def _explains(event: Event, counted_on: int) -> bool:
    """Whether a movement entered after a count may be what the count had shown.

    What happened before its day is, whatever it was; on the day itself what was sold may have left after the count;
    and of a later day only what was missed or found again is.
    """
    if event.happened_on < counted_on:
        return True
    if event.happened_on == counted_on:
        return event.sale_line is None
    return event.reason in (FEWER[0], MORE[0])


def _counted_again(one: _Made, made: Sequence[_Made], whole: Callable[[Row[Any]], int]) -> bool:
    """Whether the same animals were counted later, and nothing was then left open.

    The same stage, or the whole lot, in the same tub or in all of them; or, when they have moulted since, every animal
    of the lot stage by stage in one act.
    """
    row = one.row
    of_act: dict[int, list[_Made]] = defaultdict(list)
    for other in made:
        if other.row.lot_id == row.lot_id and (other.row.happened_on, other.row.id) > (row.happened_on, row.id):
            of_act[other.row.operation_id].append(other)
    for others in of_act.values():
        if any(other.open for other in others):
            others = [other for other in others if not other.open]
        elif sum(other.row._mapping["count"] for other in others) == whole(others[0].row):
            return True
        if any(
            other.row.position in (None, row.position) and (not other.row.tub or other.row.tub == row.tub)
            for other in others
        ):
            return True
    return False


def _change(event: Event, count: Mapping[Any, Any], living: set[tuple[int, int]]) -> int:
    """What a movement does to the animals a count takes in."""
    total = 0
    for lot, stage, tub, sign in (
        (event.from_lot, event.from_stage, event.tub_from, -1),
        (event.to_lot, event.to_stage, event.tub_to, 1),
    ):
        if lot != count["lot_id"] or stage is None or (count["tub"] and tub != count["tub"]):
            continue
        position = count["position"]
        if stage == position if position is not None else (lot, stage) in living:
            total += sign * event.count
    return total
