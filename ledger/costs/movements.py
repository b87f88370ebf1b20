"""What each kind of movement does to the cost carried by (lot, stage): arrivals, moves, exits, deaths.

One function for each; which applies is read from the reason table and from the two ends of the movement, never from
the reason's name. Weighted average as in process costing: what leaves n animals takes its share of their cost.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from ledger.costs.allowance import ANIMAL, lost_share, normal
from ledger.costs.clutches import take_share
from ledger.costs.given import figure_on
from ledger.costs.result import Kind
from ledger.costs.sharing import Sharing
from ledger.costs.state import MIXED, MOTHERS, NOT_KNOWN, Bucket, Lot, Memo
from ledger.stock.events import Event
from ledger.stock.reasons import REASONS, Cost, Direction, Reason


def arrive(s: Sharing, event: Event) -> None:
    """Animals come in from outside at no cost."""
    _enter(s, event, 0, None)


def arrive_unknown(s: Sharing, event: Event) -> None:
    """Animals were here when the books began: part of the cost of their lot is not known."""
    _enter(s, event, 0, None).marks |= NOT_KNOWN


def arrive_lent(s: Sharing, event: Event) -> None:
    """Animals of others come in; they need a lot of their own.

    Raises:
        ValueError: the lot is not marked as lent in.
    """
    lot = whither(s, event)[0]
    if not lot.info.lent:
        raise ValueError(f"movement {event.id}: lot {lot.id} takes animals on loan and is not marked lent")
    _enter(s, event, 0, None)


def arrive_bought(s: Sharing, event: Event) -> None:
    """Animals come in with their price."""
    value = event.value or 0
    s.bought += value
    _enter(s, event, value * s.price, None)


def begin_life(s: Sharing, event: Event) -> None:
    """Young come in with their share of the brood pools of their mothers, or of the objects they hatched from."""
    lot = whither(s, event)[0]
    s.touch(lot)  # before its marks change
    if event.relates_to is not None:
        _enter(s, event, 0, None, carried=_from_objects(s, event, lot))
    elif lot.info.mothers:
        brood = _brood_share(s, event, lot)
        _enter(s, event, sum(brood.values()) if brood else 0, brood)
    else:
        _enter(s, event, 0, None)


def come_back(s: Sharing, event: Event) -> None:
    """Returned alive: the cost at which they left leaves again with a minus, and comes in here."""
    lot = whither(s, event)[0]
    s.touch(lot)
    if event.relates_to is None:
        _enter(s, event, 0, None)
        lot.marks |= NOT_KNOWN
        return
    sale = s.memos[event.relates_to]
    _mark_move(s.lots[sale.event.lot], lot)
    cost = s.whole.share(sale.cost, event.count, sale.event.count)
    s.post(Kind.LEFT, event.id, lot.id, -s.by_category(cost), s.day)
    _enter(s, event, 0, None, carried=cost)


def _enter(s: Sharing, event: Event, cost: int, brood: Mapping[int, int] | None, *, carried: int = 0) -> Lot:
    """Animals come in with a cost by category, which accrues at their stage, and one that accrued before."""
    lot, bucket = whither(s, event)
    if event.value is not None and REASONS[event.reason].cost is not Cost.PRICE:
        raise ValueError(f"movement {event.id}: only animals bought have a price")
    s.settle(bucket)
    if cost:
        carried += cost << bucket.shift
    if lot.collects:
        s.bring(bucket, carried)
    elif carried:
        bucket.balance += carried
    count = event.count
    bucket.entrants += ANIMAL * count
    s.change(bucket, count, event.tub_to)
    if event.id in s.kept:
        s.memos[event.id] = Memo(event, carried, brood=brood)
    return lot


def move(s: Sharing, event: Event) -> None:
    """Animals move from one lot or stage to another, with k B/n of the cost."""
    number, stage = event.from_lot, event.to_stage
    assert number is not None
    assert stage is not None
    if event.to_lot == number:
        if event.from_stage == stage:
            move_tub(s, event)
            return
        lot = s.lots[number]
        if not lot.collects and not s.others:
            _move_on(s, event, lot, stage)
            return
    source, (lot, target) = whence(s, event), whither(s, event)
    s.settle(source)
    s.settle(target)
    k, n = event.count, source.count
    cost, link, brood = s.take_plain(source, k, n), None, None
    s.bring(target, cost)
    if source.lasting:
        cost += _move_lasting(s, source, target, k, n)
    if source.stage != target.stage:
        target.entrants += ANIMAL * k
        reach(s, source, target, k, cost)
    else:
        link = (source.entrants * k // n, source.early * k // n, source.used * k // n)
        shift_allowance(source, target, link)
    if source.lot is not lot:
        if source.lot.marks:
            _mark_move(source.lot, lot)
        if source.lot.collects and lot.collects:
            brood = _move_brood(s, source.lot, lot, k)
    s.shift(source, target, event)
    if event.id in s.kept:
        s.memos[event.id] = Memo(event, cost, link=link, brood=brood)


def _move_on(s: Sharing, event: Event, lot: Lot, stage: int) -> None:
    """The commonest movement, to another stage of a lot that does not breed; written out, as most time goes here."""
    source = whence(s, event)
    target = lot.buckets.get(stage) or s.bucket(lot, stage)
    if lot.saved != s.serial:
        s.undo.keep(lot)
    s.settlements += 2
    bundle, day = lot.bundle, s.day
    if bundle.day != day:
        bundle.refresh(day)
    costs, seen = bundle.costs, source.seen
    balance = source.balance
    if costs is not seen:
        if source.units:
            due = source.units * (costs - seen)
            balance += due << source.shift if source.shift else due
        source.seen = costs
    seen = target.seen
    if costs is not seen:
        if target.units:
            due = target.units * (costs - seen)
            target.balance += due << target.shift if target.shift else due
        target.seen = costs
    k, n = event.count, source.count
    if balance:
        cost = balance if k == n else s.whole.share(balance, k, n)
        target.balance += cost
        source.balance = balance - cost
    else:
        cost = 0
    source.count = n - k
    target.count += k
    target.entrants += ANIMAL * k
    less, more = k * source.weight, k * target.weight
    source.units -= less
    target.units += more
    bundle.units += more - less
    reared = lot.reared
    if reared is not None and (source.stage < reared) is not (stage < reared):
        reach(s, source, target, k, cost)
    if event.id in s.kept:
        s.memos[event.id] = Memo(event, cost)


def move_tub(s: Sharing, event: Event) -> None:
    """Animals move inside one lot and stage: to another tub, perhaps, and nothing else."""
    if s.others and event.tub_from != event.tub_to:
        bucket = whither(s, event)[1]
        s.settle(bucket)
        s.change(bucket, -event.count, event.tub_from)
        s.change(bucket, event.count, event.tub_to)


def leave(s: Sharing, event: Event) -> None:
    """Animals leave alive with k B/n of the cost: sold, given away, own use, back to their owner."""
    bucket = whence(s, event)
    s.settle(bucket)
    k = event.count
    cost = s.take(bucket, k, bucket.count)
    bucket.early += ANIMAL * k
    s.post(Kind.LEFT, event.id, bucket.lot.id, cost if s.stages == 1 else s.by_category(cost), s.day)
    s.change(bucket, -k, event.tub_from)
    if event.id in s.kept:
        s.memos[event.id] = Memo(event, cost)


def hatch_out(s: Sharing, event: Event) -> None:
    """Objects hatch: their cost waits for the animals hatched from them, which follow on the same day."""
    bucket = whence(s, event)
    s.settle(bucket)
    s.hatched[event.id] = None
    s.transit[event.id] = (s.take(bucket, event.count, bucket.count), bucket)
    s.change(bucket, -event.count, event.tub_from)
    if event.id in s.kept:
        s.memos[event.id] = Memo(event, 0)


def die(s: Sharing, event: Event) -> None:
    """Animals die: carried by the survivors within the expected loss, written off beyond it."""
    bucket = whence(s, event)
    s.settle(bucket)
    if event.to_lot is not None:
        specimens = whither(s, event)[1]
        s.settle(specimens)
        specimens.entrants += ANIMAL * event.count
        s.change(specimens, event.count, event.tub_to)
    k, cost, loss = event.count, 0, bucket.loss
    rate = loss if loss is None or isinstance(loss, int) else figure_on(loss, s.day, None)
    carried = normal(k, event.cause, rate, bucket.entrants, bucket.early, bucket.used)
    bucket.used += carried
    if carried != ANIMAL * k or k == bucket.count:
        cost = s.take(bucket, *lost_share(bucket.count, k, carried))
        write_off(s, event.id, bucket, s.by_category(cost))
    s.change(bucket, -k, event.tub_from)
    if event.id in s.kept:
        s.memos[event.id] = Memo(event, cost, normal=carried)


def write_off(s: Sharing, event: int, bucket: Bucket, cost: int) -> None:
    """Note cost by category that is lost with animals of a bucket, and what was lost before they were reared."""
    lot = bucket.lot
    s.post(Kind.WRITTEN_OFF, event, lot.id, cost, s.day)
    if lot.reared is not None and bucket.stage < lot.reared:
        lot.lost += cost


def reach(s: Sharing, source: Bucket, target: Bucket, animals: int, cost: int) -> None:
    """Note animals that pass into the reared stage, with their cost; out of it, when that is taken back."""
    reared = source.lot.reared
    if reared is None or (source.stage < reared) == (target.stage < reared) or not target.living:
        return
    sign = 1 if source.stage < reared else -1
    lot = source.lot if sign > 0 else target.lot
    lot.reached += sign * animals
    lot.reached_cost += sign * cost
    key = (lot.id, s.day)
    count, sofar = s.reached.get(key, (0, 0))
    s.reached[key] = (count + sign * animals, sofar + sign * cost)


def shift_allowance(source: Bucket, target: Bucket, link: tuple[int, int, int]) -> None:
    """Move entrants, early exits and used allowance along with animals that stay in their stage."""
    entrants, early, used = link
    source.entrants -= entrants
    source.early -= early
    source.used -= used
    target.entrants += entrants
    target.early += early
    target.used += used


def whence(s: Sharing, event: Event) -> Bucket:
    """The bucket a movement starts at; it must hold as many animals as leave.

    Raises:
        ValueError: more leave than are there.
    """
    assert event.from_lot is not None
    assert event.from_stage is not None
    lot = s.lots[event.from_lot]
    bucket = lot.buckets.get(event.from_stage) or s.bucket(lot, event.from_stage)
    if event.count > bucket.count:
        raise ValueError(
            f"movement {event.id}: {event.count} leave lot {event.from_lot}, stage {event.from_stage}, "
            f"where there are {bucket.count}"
        )
    return bucket


def whither(s: Sharing, event: Event) -> tuple[Lot, Bucket]:
    """The lot and the bucket a movement goes to."""
    assert event.to_lot is not None
    assert event.to_stage is not None
    lot = s.lots[event.to_lot]
    return lot, lot.buckets.get(event.to_stage) or s.bucket(lot, event.to_stage)


def _from_objects(s: Sharing, event: Event, lot: Lot) -> int:
    """The share that animals of one movement take of the cost of the objects they hatched from."""
    objects = event.relates_to
    assert objects is not None
    waiting = s.transit.pop(objects, None)
    if waiting is None:
        if objects not in s.hatched:
            raise ValueError(f"movement {event.id}: its objects must hatch out before the animals come of them")
        return 0
    assert s.young is not None
    cost, home = waiting
    _mark_move(home.lot, lot)
    animals = s.young.out_of_objects[objects]
    s.young.out_of_objects[objects] = animals - event.count
    part = s.whole.share(cost, event.count, animals)
    if event.count < animals:
        s.transit[objects] = (cost - part, home)
    return part


def _brood_share(s: Sharing, event: Event, lot: Lot) -> dict[int, int] | None:
    """What young take of their mothers' brood pools, by mother; `None` when upkeep is expensed."""
    mothers = [s.lots[number] for number in lot.info.mothers]
    for mother in mothers:
        if mother.collects:
            s.settle_brood(mother)
        else:
            s.touch(mother)
        if mother.marks & (NOT_KNOWN | MIXED):
            lot.marks |= MOTHERS
    if not s.to_offspring(s.day):
        return None
    assert s.young is not None
    return take_share(s.young, lot, event.count, mothers, s.categories)


def _move_lasting(s: Sharing, source: Bucket, target: Bucket, k: int, n: int) -> int:
    """Breeders' cost not yet used up moves along; among breeders it keeps the day it ends."""
    if source.lot is target.lot and target.living:
        return s.hand_over_lasting(source, target, k, n)
    moved = 0
    for end, amount in s.take_lasting(source, k, n):
        moved += amount
        if target.lot.collects and figure_on(target.lot.info.breeding_life_days, s.day, None) is not None:
            s.bring_lasting(target, amount, end)
        else:
            target.balance += amount
    return moved


def _move_brood(s: Sharing, source: Lot, target: Lot, k: int) -> dict[int, int]:
    """Breeders that move to another breeding lot take their share of the brood pool along; by the lot it was in."""
    n = sum(bucket.count for bucket in source.buckets.values() if bucket.living)
    part = s.categories.share(source.brood, k, n)
    source.brood -= part
    target.brood += part
    return {source.id: part}


def _mark_move(source: Lot, target: Lot) -> None:
    if source is target:
        return
    if source.marks & (NOT_KNOWN | MIXED):
        target.marks |= MIXED
    target.marks |= source.marks & MOTHERS


ACTS: dict[Cost, Callable[[Sharing, Event], None]] = {
    Cost.NOT_KNOWN: arrive_unknown,
    Cost.PRICE: arrive_bought,
    Cost.BROOD: begin_life,
    Cost.NOTHING: arrive,
    Cost.BACK: come_back,
    Cost.MOVE: move,
    Cost.STAY: move,
    Cost.DEATH: die,
    Cost.DRIED: die,
    Cost.LEAVE: leave,
    Cost.HATCH: hatch_out,
}
"""What a movement does, by what its reason does to cost."""


def act_of(reason: Reason) -> Callable[[Sharing, Event], None]:
    """What a movement for a reason does."""
    if reason.cost is Cost.LOAN:
        return arrive_lent if reason.direction is Direction.IN else leave
    return ACTS[reason.cost]
