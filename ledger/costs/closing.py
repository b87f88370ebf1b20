"""The end of a run: all buckets settled, what is there listed in whole minor units, and the result made."""

from __future__ import annotations

from collections.abc import Sequence

from ledger.costs.allowance import allowed
from ledger.costs.given import ANIMALS, CostLine, figure_on
from ledger.costs.grid import GRID, rounded, whole_lines
from ledger.costs.lasting import left
from ledger.costs.result import Amounts, BucketCost, Closing, Kind, NoAnimals, Postings, Reached, Shared
from ledger.costs.sharing import Sharing
from ledger.costs.state import MIXED, MOTHERS, NOT_KNOWN, Bucket
from ledger.costs.turns import cut


def close(s: Sharing, until: int) -> Shared:
    """Close a run at the end of the day `until`."""
    settlements = s.settlements
    s.day = until + 1
    cut(s)
    for lot in s.lots.values():
        for bucket in lot.buckets.values():
            s.settle(bucket)

    came_in = [0] * s.width
    came_in[s.column[ANIMALS]] += s.bought
    for line in s.given.costs:
        came_in[s.column[line.category]] += line.amount
    gone = s.categories.apart(sum(s.out_cost))
    left_over = [amount - rounded(out) for amount, out in zip(came_in, gone, strict=True)]
    by_stage = s.given.by_stage
    buckets = tuple(
        _bucket_cost(s, bucket, until, by_stage=by_stage)
        for lot in s.lots.values()
        for _, bucket in sorted(lot.buckets.items())
    )
    return Shared(
        until=until,
        categories=s.names,
        came_in=tuple(came_in),
        buckets=buckets,
        postings=Postings(s.out_kind[:], s.out_day[:], s.out_event[:], s.out_lot[:], s.out_cost[:], s.categories),
        closing=_closing(s, buckets, until, left_over),
        reached=tuple(
            Reached(lot_id, day, count, _amounts(s, cost), _stages(s, cost) if by_stage else ())
            for (lot_id, day), (count, cost) in s.reached.items()
        ),
        no_animals=_no_animals(s),
        not_known=_marked(s, NOT_KNOWN),
        mixed=_marked(s, MIXED),
        mothers_not_known=_marked(s, MOTHERS),
        settlements=settlements,
    )


def _no_animals(s: Sharing) -> tuple[NoAnimals, ...]:
    """Times without animals, those that follow each other as one."""
    found: list[NoAnimals] = []
    for scope, pool in s.all_pools():
        for category, parts in zip(s.names, pool.spells, strict=True):
            spells: list[list[int]] = []
            for first, last, cost in parts:
                if spells and spells[-1][1] == first - 1:
                    spells[-1][1] = last
                    spells[-1][2] += cost
                else:
                    spells.append([first, last, cost])
            found.extend(NoAnimals(scope.kind, scope.ids, category, *spell) for spell in spells)
    return tuple(sorted(found, key=lambda one: (one.first, one.last, one.kind, sorted(one.ids), one.category)))


def _marked(s: Sharing, mark: int) -> frozenset[int]:
    return frozenset(lot.id for lot in s.lots.values() if lot.marks & mark)


def _amounts(s: Sharing, cost: int) -> Amounts:
    return tuple(s.categories.apart(s.by_category(cost)))


def _stages(s: Sharing, cost: int) -> tuple[Amounts, ...]:
    amounts = s.whole.apart(cost)
    return tuple(tuple(amounts[place : place + s.width]) for place in range(0, len(amounts), s.width))


def _bucket_cost(s: Sharing, bucket: Bucket, until: int, *, by_stage: bool) -> BucketCost:
    cost = bucket.balance + left(bucket.lasting, s.day)
    rate = figure_on(bucket.loss, until, None)
    return BucketCost(
        lot=bucket.lot.id,
        stage=bucket.stage,
        count=bucket.count,
        units=bucket.units,
        cost=_amounts(s, cost),
        by_stage=_stages(s, cost) if by_stage else (),
        entrants=bucket.entrants,
        early_exits=bucket.early,
        expected_used=bucket.used,
        allowed=None if rate is None else allowed(rate, bucket.entrants, bucket.early),
    )


def _closing(s: Sharing, buckets: Sequence[BucketCost], until: int, left_over: Sequence[int]) -> tuple[Closing, ...]:
    """Lines of what is there, in whole minor units that sum to what has not gone out."""
    lines: list[tuple[Kind, int | None, int | None, int | None, Sequence[int]]] = []
    lines.extend((Kind.ON_HAND, row.lot, row.stage, None, row.cost) for row in buckets)
    lines.extend(
        (Kind.BROOD, lot.id, None, None, s.categories.apart(lot.brood)) for lot in s.lots.values() if lot.brood
    )
    for line in s.given.costs:
        cost = [0] * s.width
        cost[s.column[line.category]] = _not_used_up(line, until)
        lines.append((Kind.NOT_USED_UP, None, None, line.id, cost))
    waiting = s.categories.apart(sum(measure.waiting() for measure in s.others))
    for _, pool in s.all_pools():
        waiting = [amount + rest for amount, rest in zip(waiting, pool.rest, strict=True)]
    lines.append((Kind.NOT_USED_UP, None, None, None, waiting))
    lines = [line for line in lines if any(line[4])]
    columns = [whole_lines(total, [line[4][place] for line in lines]) for place, total in enumerate(left_over)]
    return tuple(
        Closing(kind, lot, stage, cost_line, tuple(cost), tuple(column[place] for column in columns))
        for place, (kind, lot, stage, cost_line, cost) in enumerate(lines)
    )


def _not_used_up(line: CostLine, until: int) -> int:
    if until < line.first:
        return line.amount * GRID
    if until >= line.last:
        return 0
    daily, over = divmod(line.amount * GRID, line.last - line.first + 1)
    return line.amount * GRID - daily * (until - line.first + 1) - over
