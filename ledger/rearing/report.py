"""The rearing report: for each lot and species how many reached adulthood, how surely, and what each one cost.

Brings together the survival of `survival` (by the day things happened) and the costs of `costs` (by the day they are
accounted on). Numbers come with what they rest on; where there is no figure there is a `why` in words.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from sqlalchemy import Connection, select

from ledger.costs.account import CostAccount, account
from ledger.costs.explain.parts import apportion, for_each
from ledger.costs.grid import GRID
from ledger.costs.hours import OwnTime, own_time
from ledger.costs.memo import CostMemo
from ledger.costs.result import Kind, Shared
from ledger.errors import Refused
from ledger.origin.rules import label as origin_label
from ledger.origin.service import origins_of
from ledger.rearing.cohort import LotHistory, Tie, lot_flows
from ledger.rearing.plain_words import none_yet
from ledger.rearing.pooling import LotSurvival, PooledSurvival, nothing_yet, pool_lots
from ledger.records import tables as t
from ledger.stock.events import Event, without_reversed
from ledger.stock.journal import events
from ledger.stock.naming import StageRef, find_lot, find_species, stages
from ledger.wording import say, word


@dataclass(frozen=True, slots=True)
class CostPart:
    """A part of the cost per reared adult, exact, in minor units each."""

    name: str
    each: Fraction
    shown: int
    """Whole minor units; those of all parts sum to the figure shown."""


@dataclass(frozen=True, slots=True)
class RearingRow:
    """One lot, or one species (lot empty)."""

    lot: str
    species: str
    origin: str
    entered: int
    reached: int
    lost: int
    missing: int
    """Of the lost, those missing at a count and not found since."""
    left_early: int
    pending: int
    survival: float | None
    """Estimated share that reaches the reared stage, those who left young like those who stayed. None while none has
    reached it and not all are lost: then only its limits are known."""
    low: float | None
    high: float | None
    n_eff: float | None
    counted_from: str
    """'from first count, L2'."""
    cost_per_reared: Fraction | None
    """Cost that moved into the reared stage by each that reached it, in minor units."""
    cost_without_losses: Fraction | None
    """Same spending, had none been lost: finished lots only."""
    naive_cost: Fraction | None
    """All spending that could concern the species by reared adults; species rows only."""
    by_category: tuple[CostPart, ...]
    by_stage: tuple[CostPart, ...]
    cost_reached: int
    """Animals that reached the reared stage by accounting date: what the cost is divided by."""
    finished: bool
    """Nothing is rearing any more."""
    so_far: str
    """'so far; 12 still rearing; may rise', or empty when finished."""
    why: str
    """Why there is no figure, in words; empty when there is."""
    notes: tuple[str, ...]
    """What stands under the figures."""
    own_minutes: Fraction | None = None
    """The keeper's own time in each reared adult, in minutes: a memo; `None`: none was noted."""
    cost_shown: int | None = None
    """Cost per reared adult in whole minor units, as an explanation and the workbook have it."""
    cost_lost: Fraction | None = None
    """Of lots that are finished: what was written off for animals lost before the reared stage, minor units."""
    with_own_time: Fraction | None = None
    """Cost per reared adult and that time at the keeper's own rate: a memo; `None`: no rate was said."""


ASSUMES = say("assumes those sold were like those kept; selling the biggest breaks this")
BEFORE = say("what was spent before the ledger was opened is not known")
SHARING = say("adds up to the cent; the sharing is a choice (by animal-days and care weights); your hours not counted")
OWN_TIME = say("your hours stand beside the cost as a memo and are in no total")


def rearing(
    conn: Connection,
    on: dt.date,
    *,
    species: str | None = None,
    lot: str | None = None,
    memo: CostMemo | None = None,
) -> tuple[RearingRow, ...]:
    """The rearing report up to and including a day.

    Args:
        conn: an open reading connection.
        on: last day looked at.
        species: code of one species only.
        lot: code of one lot only.
        memo: costs kept by the open ledger.

    Returns:
        For each species its own row (lot empty) and then its lots, oldest first; with `lot`, that lot's row alone.

    Raises:
        NotFound: no such species or lot.
    """
    wanted = find_species(conn, species).id if species else None
    if lot is not None:
        return tuple(
            row for row in _rows(conn, on, find_lot(conn, lot).species_id, memo) if row.lot == find_lot(conn, lot).code
        )
    return tuple(_rows(conn, on, wanted, memo))


def history_of(conn: Connection, lot_id: int, on: dt.date, journal: Sequence[Event] | None = None) -> LotHistory:
    """The counts of one lot on its own clock."""
    row = conn.execute(select(t.lot).where(t.lot.c.id == lot_id)).one()
    ladder = stages(conn, row.species_id)
    reared = next(stage.position for stage in ladder if stage.reared)
    rows = without_reversed(events(conn, {lot_id}) if journal is None else journal, by="happened_on")
    return lot_flows(rows, {lot_id}, clock_day(row.started_from, row.started_on), ladder, reared, on.toordinal())


def clock_day(started_from: dt.date, started_on: dt.date) -> int:
    """Ordinal of the day a lot's clock starts: the middle of the range it started in (the earlier of two)."""
    return (started_from.toordinal() + started_on.toordinal()) // 2


def _rows(conn: Connection, on: dt.date, wanted: int | None, memo: CostMemo | None) -> Iterable[RearingRow]:
    costs = account(conn, on, by_stage=True, memo=memo)
    time = own_time(conn, on)
    by_lot: dict[int, list[Event]] = defaultdict(list)
    for event in without_reversed(events(conn), by="happened_on"):
        for lot_id in {event.from_lot, event.to_lot}:
            if lot_id is not None:
                by_lot[lot_id].append(event)
    lots: dict[int, list[tuple[int, str, int]]] = defaultdict(list)
    for row in conn.execute(select(t.lot).where(t.lot.c.started_from <= on).order_by(t.lot.c.started_on, t.lot.c.id)):
        lots[row.species_id].append((row.id, row.code, clock_day(row.started_from, row.started_on)))
    origins = origins_of(conn, [lot_id for group in lots.values() for lot_id, _, _ in group])
    for kind in conn.execute(select(t.species).order_by(t.species.c.code)):
        if wanted not in (None, kind.id) or not lots[kind.id]:
            continue
        ladder = stages(conn, kind.id)
        reared = next(stage.position for stage in ladder if stage.reared)
        histories: dict[int, LotHistory] = {}
        faults: dict[int, str] = {}
        for lot_id, _, clock in lots[kind.id]:
            try:
                histories[lot_id] = lot_flows(by_lot[lot_id], {lot_id}, clock, ladder, reared, on.toordinal())
            except Refused as refused:
                faults[lot_id] = refused.sentence
        own = {lot_id for lot_id, _, _ in lots[kind.id]}
        reckoned = Reckoned(costs, own, kind.id, ladder, [event for lot_id in own for event in by_lot[lot_id]], time)
        pooled = pool_lots(list(histories.values()))
        # Each lot's figure was reckoned for the species already.
        figures = {id(one.history): one for one in pooled.lots}
        yield _species_row(kind.code, histories, pooled, reckoned)
        for lot_id, code, _ in lots[kind.id]:
            label = origin_label(origins[lot_id])
            if lot_id in histories:
                history = histories[lot_id]
                yield _lot_row(code, kind.code, label, history, figures.get(id(history)), reckoned, lot_id)
            else:
                yield _without(code, kind.code, label, faults[lot_id])


@dataclass(frozen=True, slots=True)
class Each:
    """The cost per reared adult of some lots, and its parts; no figure where none were reared or part is not known."""

    number: int
    exact: Fraction | None = None
    shown: int | None = None
    by_category: tuple[CostPart, ...] = ()
    by_stage: tuple[CostPart, ...] = ()


class Reckoned:
    """What the shared costs say of the lots of one species."""

    def __init__(
        self,
        costs: CostAccount,
        lots: set[int],
        species: int,
        ladder: Sequence[StageRef],
        journal: Sequence[Event],
        time: OwnTime | None = None,
    ) -> None:
        self.time = time
        shared = costs.shared
        self.shared: Shared = shared
        self.lots = lots
        self.stage_names = [stage.name for stage in ladder]
        width = len(shared.categories)
        self.count: dict[int, int] = defaultdict(int)
        self.cost: dict[int, list[int]] = defaultdict(lambda: [0] * width)
        self.at_stage: dict[int, list[int]] = defaultdict(lambda: [0] * (len(ladder) + 1))
        for row in shared.reached:
            if row.lot not in lots:
                continue
            self.count[row.lot] += row.count
            for place, amount in enumerate(row.cost):
                self.cost[row.lot][place] += amount
            for stage, amounts in enumerate(row.by_stage):
                if any(amounts):
                    self.at_stage[row.lot][stage] += sum(amounts)
        self.written_off = _losses(shared, journal, next(stage.position for stage in ladder if stage.reared))
        self.naive = _naive(costs, lots, species) + sum(
            event.value for event in journal if event.value is not None and event.to_lot in lots
        )

    def unknown(self, lots: Iterable[int]) -> bool:
        """Whether part of what these lots cost was spent before the ledger was opened."""
        return bool(set(lots) & (self.shared.not_known | self.shared.mixed))

    def each(self, lots: Iterable[int]) -> Each:
        """Number reached, cost per reared adult, and the same by category and by stage."""
        lots = list(lots)
        number = sum(self.count[lot] for lot in lots)
        if number <= 0 or self.unknown(lots):
            return Each(number)
        total = [sum(column) for column in zip(*(self.cost[lot] for lot in lots), strict=True)]
        stages = [sum(column) for column in zip(*(self.at_stage[lot] for lot in lots), strict=True)]
        shown = for_each(Fraction(sum(total), GRID), number)
        # By name, and by stage in their order: as an explanation of the same figure goes through its parts.
        by_category = sorted(zip(self.shared.categories, total, strict=True))
        by_stage = zip([*self.stage_names, "other"], stages, strict=True)
        return Each(
            number,
            Fraction(sum(total), GRID * number),
            shown,
            _parts(by_category, number, shown),
            _parts(by_stage, number, shown),
        )

    def without_losses(self, lots: Iterable[int], tie: Tie) -> Fraction | None:
        """Cost that reached the reared stage and the losses written off, by all that reached it or were lost."""
        lots = list(lots)
        if tie.pending or not tie.reached or self.unknown(lots):
            return None
        return self.spent(lots) / (tie.reached + tie.lost)

    def lost(self, lots: Iterable[int]) -> Fraction:
        """What was written off for animals lost before the reared stage, in minor units."""
        return Fraction(sum(self.written_off.get(lot, 0) for lot in lots), GRID)

    def spent(self, lots: Iterable[int]) -> Fraction:
        """Cost that reached the reared stage and the losses written off before it, in minor units."""
        return Fraction(sum(sum(self.cost[lot]) + self.written_off.get(lot, 0) for lot in lots), GRID)

    def own_minutes(self, lots: Iterable[int]) -> Fraction | None:
        """The keeper's own time in each reared adult, in minutes."""
        lots = list(lots)
        number = sum(self.count[lot] for lot in lots)
        if self.time is None or number <= 0:
            return None
        return sum((self.time.minutes.get(lot, Fraction(0)) for lot in lots), Fraction(0)) / number


def _parts(named: Iterable[tuple[str, int]], number: int, shown: int) -> tuple[CostPart, ...]:
    kept = [(name, Fraction(amount, GRID * number)) for name, amount in named if amount]
    if not kept:
        return ()
    shares = apportion(shown, [exact for _, exact in kept])
    return tuple(CostPart(name, exact, share) for (name, exact), share in zip(kept, shares, strict=True))


def _losses(shared: Shared, journal: Iterable[Event], reared: int) -> dict[int, int]:
    """By lot, what was written off for animals lost before the reared stage, in steps of the grid."""
    young = {event.id for event in journal if event.from_stage is not None and event.from_stage < reared}
    lost: dict[int, int] = defaultdict(int)
    for lot, event, cost in shared.postings.of(Kind.WRITTEN_OFF):
        if lot is not None and event in young:
            lost[lot] += sum(cost)
    return lost


def _naive(costs: CostAccount, lots: set[int], species: int) -> int:
    """Full shared purchases whose scope takes in the species: what a quick sum would take."""
    total = 0
    for cost in costs.costs:
        scope = cost.scope
        if (
            scope.kind == "all"
            or (scope.kind == "species" and species in scope.ids)
            or (scope.kind in ("lots", "brood") and scope.ids & lots)
        ):
            total += sum(part.amount for part in cost.spread.parts)
    return total


def _sum_ties(ties: Iterable[Tie]) -> Tie:
    names = Tie.__dataclass_fields__
    rows = list(ties)
    return Tie(**{name: sum(getattr(row, name) for row in rows) for name in names})


def _lot_row(
    code: str,
    species: str,
    origin: str,
    history: LotHistory,
    figure: LotSurvival | None,
    reckoned: Reckoned,
    lot_id: int,
) -> RearingRow:
    return _row(code, species, origin, history.tie, figure, reckoned, [lot_id], history.first_stage or "")


def _species_row(
    species: str, histories: Mapping[int, LotHistory], pooled: PooledSurvival, reckoned: Reckoned
) -> RearingRow:
    return _row(
        "", species, "", _sum_ties(one.tie for one in histories.values()), pooled, reckoned, list(histories), ""
    )


def _row(
    code: str,
    species: str,
    origin: str,
    tie: Tie,
    figure: LotSurvival | PooledSurvival | None,
    reckoned: Reckoned,
    lots: Sequence[int],
    first_stage: str,
) -> RearingRow:
    whole = not code
    known = [lot for lot in lots if not reckoned.unknown([lot])] if whole else list(lots)
    found = reckoned.each(known)
    each = found.exact
    interval = figure.interval if figure is not None else None
    survival = figure.reached if figure is not None and figure.size is not None else None
    low = interval.low if interval is not None else None
    high = interval.high if interval is not None else None
    why = ""
    if figure is None:
        why = say("no animal entered before the reared stage")
    elif isinstance(figure, PooledSurvival) and figure.why:
        why = figure.why
    elif survival is None:
        why = nothing_yet(tie.reached, tie.lost) or say("too little is known yet")
    elif isinstance(figure, LotSurvival) and figure.at_most is not None:
        survival, low, high = None, 0.0, figure.at_most
        why = none_yet(tie, figure.at_most)
    notes = []
    if each is None:
        if reckoned.unknown(known or lots):
            notes.append(BEFORE)
        else:
            notes.append(say("none reared"))
    elif whole and len(known) < len(lots):
        notes.append(say("cost per reared adult from the lots started here; {before}", before=BEFORE))
    if tie.left_early:
        notes.append(ASSUMES)
    if each is not None:
        notes.append(SHARING)
    minutes = reckoned.own_minutes(known)
    worth = None if minutes is None or reckoned.time is None else reckoned.time.worth(minutes)
    if minutes:
        notes.append(OWN_TIME)
    without = reckoned.without_losses(lots, tie)
    return RearingRow(
        lot=code,
        species=species,
        origin=origin,
        entered=tie.entered,
        reached=tie.reached,
        lost=tie.lost,
        missing=tie.missing,
        left_early=tie.left_early,
        pending=tie.pending,
        survival=survival,
        low=low,
        high=high,
        n_eff=figure.size if figure is not None else None,
        counted_from=say("from first count, {stage}", stage=word(first_stage)) if first_stage else "",
        cost_per_reared=each,
        cost_without_losses=without,
        naive_cost=Fraction(reckoned.naive, tie.reached) if whole and tie.reached else None,
        by_category=found.by_category,
        by_stage=found.by_stage,
        cost_reached=found.number,
        finished=tie.pending == 0,
        so_far=say("so far; {number} still rearing; may rise", number=tie.pending) if tie.pending else "",
        why=why,
        notes=tuple(notes),
        own_minutes=minutes,
        cost_shown=found.shown,
        cost_lost=None if without is None else reckoned.lost(lots),
        with_own_time=None if each is None or worth is None else each + worth,
    )


def _without(code: str, species: str, origin: str, why: str) -> RearingRow:
    return RearingRow(
        code,
        species,
        origin,
        0,
        0,
        0,
        0,
        0,
        0,
        None,
        None,
        None,
        None,
        "",
        None,
        None,
        None,
        (),
        (),
        0,
        False,
        "",
        why,
        (),
    )
