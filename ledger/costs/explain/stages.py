"""At which stage the cost in a figure had been borne.

The engine keeps stages apart in what is there, not in what left. What leaves a bucket takes the same share of every
part of it; so the bucket is looked at as it stood just before: all its animals are set aside into a lot that bears
nothing, and what they carry is read there.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import replace
from fractions import Fraction

from ledger.costs.explain.figure import Carried, Figure, Gone, Reared
from ledger.costs.explain.parts import Cell, Key
from ledger.costs.explain.replay import Journal
from ledger.costs.given import LotInfo
from ledger.costs.grid import GRID
from ledger.costs.result import BucketCost, Posting, Reached, Shared
from ledger.stock.events import Event
from ledger.stock.reasons import REASONS, Cost

Shares = Mapping[str, Mapping[int, int]]
"""By category, by stage: steps of the grid, of which only the proportions count."""


def by_stage(journal: Journal, figure: Figure, plain: Shared) -> Iterator[tuple[Cell, Fraction]]:
    """A figure by the stage its cost was borne at; not a brood pool, and not what had no animals."""
    found: dict[Cell, Fraction] = defaultdict(Fraction)
    if isinstance(figure, Carried | Reared):
        staged = journal.shared(by_stage=True)
        rows: list[BucketCost | Reached] = [row for row in staged.reached if row.lot in figure.lots]
        if isinstance(figure, Carried):
            rows = [row for row in staged.buckets if row.lot in figure.lots and figure.stage in (None, row.stage)]
        for row in rows:
            for stage, cost in enumerate(row.by_stage):
                for category, amount in zip(staged.categories, cost, strict=True):
                    if amount:
                        found[category, stage_key(journal, row.lot, stage)] += Fraction(amount, GRID)
    else:
        assert isinstance(figure, Gone)
        _stages_gone(journal, figure, plain, found)
    yield from found.items()


def _stages_gone(journal: Journal, figure: Gone, plain: Shared, found: dict[Cell, Fraction]) -> None:
    known = {event.id: event for event in journal.events}
    seen: dict[int, Shares] = {}
    for row in figure.rows(plain):
        start = _left_by(known, row)
        if start is not None and start.id not in seen:
            seen[start.id] = shares_before(journal, start)
        for category, amount in zip(plain.categories, row.cost, strict=True):
            if not amount:
                continue
            shares = seen[start.id].get(category, {}) if start is not None else {}
            total = sum(shares.values())
            if start is not None and total:
                for stage, share in shares.items():
                    key = stage_key(journal, start.lot, stage)
                    found[category, key] += Fraction(amount * share, total * GRID)
            else:
                found[category, _no_stage(journal, row, known)] += Fraction(amount, GRID)


def _left_by(known: Mapping[int, Event], row: Posting) -> Event | None:
    """The movement by which the cost of a posting first left: what comes back, comes back as it went."""
    if row.event is None:
        return None
    event = known[row.event]
    if event.reverses is not None:
        event = known[event.reverses]
    if REASONS[event.reason].cost is Cost.BACK:
        return None if event.relates_to is None else known[event.relates_to]
    return event if event.to_lot is None or REASONS[event.reason].cost is Cost.DRIED else None


def _no_stage(journal: Journal, row: Posting, known: Mapping[int, Event]) -> Key:
    if row.event is None:
        return Key("brood")
    return stage_key(journal, known[row.event].lot, known[row.event].stage)


def stage_key(journal: Journal, lot: int, stage: int) -> Key:
    """The key of a stage of a lot's species."""
    return Key("stage", str(journal.lots[lot].species), stage)


def shares_before(journal: Journal, event: Event) -> Shares:
    """What the animals carried where a movement starts, just before it, by category and by stage it was borne at.

    Args:
        journal: with the movement.
        event: a movement out of a lot.
    """
    assert event.from_lot is not None
    assert event.from_stage is not None
    place = next(at for at, one in enumerate(journal.events) if one.id == event.id)
    before = list(journal.events[:place])
    aside = max(journal.lots) + 1
    kind = max(info.species for info in journal.lots.values()) + 1
    set_aside = [
        replace(
            event,
            reason="split",
            count=count,
            to_lot=aside,
            to_stage=event.from_stage,
            tub_from=tub,
            tub_to="",
            cause=None,
            reverses=None,
            relates_to=None,
            value=None,
        )
        for (lot, stage, tub), count in _counts(before).items()
        if count and (lot, stage) == (event.from_lot, event.from_stage)
    ]
    known = {one.id for one in before}
    # Young that come later on the day take their share of the brood pool beside those that came before.
    later = [
        one
        for one in journal.events[place + 1 :]
        if one.accounting_on == event.accounting_on
        and one.from_lot is None
        and REASONS[one.reason].cost is Cost.BROOD
        and (one.relates_to is None or one.relates_to in known)
        and one.reverses is None
    ]
    shared = replace(
        journal,
        events=[*before, *set_aside, *later],
        lots={**journal.lots, aside: LotInfo(species=kind)},
        until=event.accounting_on,
        specimens=[*journal.specimens, (kind, event.from_stage)],
    ).shared(by_stage=True)
    (bucket,) = [row for row in shared.buckets if row.lot == aside]
    return {
        category: {stage: cost[at] for stage, cost in enumerate(bucket.by_stage) if cost[at]}
        for at, category in enumerate(shared.categories)
    }


def _counts(events: list[Event]) -> Counter[tuple[int, int, str]]:
    """Animals by lot, stage and tub."""
    counts: Counter[tuple[int, int, str]] = Counter()
    for event in events:
        if event.from_lot is not None and event.from_stage is not None:
            counts[event.from_lot, event.from_stage, event.tub_from] -= event.count
        if event.to_lot is not None and event.to_stage is not None:
            counts[event.to_lot, event.to_stage, event.tub_to] += event.count
    return counts
