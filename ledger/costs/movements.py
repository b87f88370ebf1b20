"""What each kind of movement does to the cost carried by (lot, stage): arrivals, moves, exits, deaths.

One function for each; which applies is read from the reason table and from the two ends of the movement, never from
the reason's name. Weighted average as in process costing: what leaves n animals takes its share of their cost.
"""

from __future__ import annotations

from ledger.costs.allowance import ANIMAL, lost_share, normal
from ledger.costs.clutches import Ahead, take_share
from ledger.costs.given import figure_on
from ledger.costs.grid import GRID
from ledger.costs.result import Kind
from ledger.costs.sharing import Sharing
from ledger.costs.state import MIXED, MOTHERS, NOT_KNOWN, Bucket, Lot, Memo
from ledger.stock.events import Event
from ledger.stock.reasons import Cost


def arrive(s: Sharing, event: Event, effect: Cost, ahead: Ahead) -> None:
    """Animals come in from outside, with their price, their brood share, what they left at, or nothing."""
    lot, bucket = whither(s, event)
    if event.value is not None and effect is not Cost.PRICE:
        raise ValueError(f"movement {event.id}: only animals bought have a price")
    if effect is Cost.LOAN and not lot.info.lent:
        raise ValueError(f"movement {event.id}: lot {lot.id} takes animals on loan and is not marked lent")
    s.settle(bucket)
    cost, brood = 0, None
    if effect is Cost.BROOD:
        if event.relates_to is not None:
            cost = _from_objects(s, event, lot, ahead)
        elif lot.info.mothers:
            brood = _brood_share(s, event, lot, ahead)
            cost = sum(brood.values()) << bucket.shift if brood else 0
    elif effect is Cost.PRICE:
        cost = _price(s, event, bucket)
    elif effect is Cost.BACK:
        cost = _come_back(s, event, lot)
    elif effect is Cost.NOT_KNOWN:
        lot.marks |= NOT_KNOWN
    s.bring(bucket, cost)
    bucket.entrants += ANIMAL * event.count
    s.change(bucket, event.count)
    if event.id in ahead.kept:
        s.memos[event.id] = Memo(event, cost, brood=brood)


def move(s: Sharing, event: Event, ahead: Ahead) -> None:
    """Animals move from one lot or stage to another, with k B/n of the cost."""
    if event.from_stage == event.to_stage and event.from_lot == event.to_lot:
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
    s.shift(source, target, k)
    if event.id in ahead.kept:
        s.memos[event.id] = Memo(event, cost, link=link, brood=brood)


def leave(s: Sharing, event: Event, ahead: Ahead) -> None:
    """Animals leave alive with k B/n of the cost: sold, given away, own use, back to their owner."""
    bucket = whence(s, event)
    s.settle(bucket)
    cost = s.take(bucket, event.count, bucket.count)
    bucket.early += ANIMAL * event.count
    s.post(Kind.LEFT, event.id, bucket.lot.id, s.by_category(cost), s.day)
    s.change(bucket, -event.count)
    if event.id in ahead.kept:
        s.memos[event.id] = Memo(event, cost)


def hatch_out(s: Sharing, event: Event, ahead: Ahead) -> None:
    """Objects hatch: their cost waits for the animals hatched from them, which follow on the same day."""
    bucket = whence(s, event)
    s.settle(bucket)
    s.transit[event.id] = (s.take(bucket, event.count, bucket.count), bucket.lot)
    s.change(bucket, -event.count)
    if event.id in ahead.kept:
        s.memos[event.id] = Memo(event, 0)


def die(s: Sharing, event: Event, ahead: Ahead) -> None:
    """Animals die: carried by the survivors within the expected loss, written off beyond it."""
    bucket = whence(s, event)
    s.settle(bucket)
    if event.to_lot is not None:
        specimens = whither(s, event)[1]
        s.settle(specimens)
        specimens.entrants += ANIMAL * event.count
        s.change(specimens, event.count)
    rate = figure_on(bucket.loss, s.day, None)
    carried = normal(event.count, event.cause, rate, bucket.entrants, bucket.early, bucket.used)
    bucket.used += carried
    numerator, denominator = lost_share(bucket.count, event.count, carried)
    cost = s.take(bucket, numerator, denominator) if numerator else 0
    if cost:
        s.post(Kind.WRITTEN_OFF, event.id, bucket.lot.id, s.by_category(cost), s.day)
    s.change(bucket, -event.count)
    if event.id in ahead.kept:
        s.memos[event.id] = Memo(event, cost, normal=carried)


def reach(s: Sharing, source: Bucket, target: Bucket, animals: int, cost: int) -> None:
    """Note animals that pass into the reared stage, with their cost; out of it, when that is taken back."""
    reared = source.lot.reared
    if reared is None or (source.stage < reared) == (target.stage < reared) or not target.living:
        return
    sign = 1 if source.stage < reared else -1
    key = (source.lot.id if sign > 0 else target.lot.id, s.day)
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
    """The bucket a movement starts at; it must hold as many animals as leave."""
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


def _price(s: Sharing, event: Event, bucket: Bucket) -> int:
    value = event.value or 0
    s.bought += value
    return value * GRID << s.animals_at << bucket.shift


def _from_objects(s: Sharing, event: Event, lot: Lot, ahead: Ahead) -> int:
    """The share that animals of one movement take of the cost of the objects they hatched from."""
    assert event.relates_to is not None
    waiting = s.transit.pop(event.relates_to, None)
    if waiting is None:
        return 0
    cost, home = waiting
    _mark_move(home, lot)
    animals = ahead.out_of_objects[event.relates_to]
    ahead.out_of_objects[event.relates_to] = animals - event.count
    part = s.whole.share(cost, event.count, animals)
    if event.count < animals:
        s.transit[event.relates_to] = (cost - part, home)
    return part


def _brood_share(s: Sharing, event: Event, lot: Lot, ahead: Ahead) -> dict[int, int] | None:
    """What young take of their mothers' brood pools, by mother; `None` when upkeep is expensed."""
    mothers = [s.lots[number] for number in lot.info.mothers]
    for mother in mothers:
        if mother.collects:
            s.settle_brood(mother)
        if mother.marks & (NOT_KNOWN | MIXED):
            lot.marks |= MOTHERS
    return take_share(ahead, event, mothers, s.categories) if s.to_offspring else None


def _come_back(s: Sharing, event: Event, lot: Lot) -> int:
    """Returned alive: the cost at which they left leaves again with a minus, and comes in here."""
    if event.relates_to is None:
        lot.marks |= NOT_KNOWN
        return 0
    sale = s.memos[event.relates_to]
    _mark_move(s.lots[sale.event.lot], lot)
    cost = s.whole.share(sale.cost, event.count, sale.event.count)
    s.post(Kind.LEFT, event.id, lot.id, -s.by_category(cost), s.day)
    return cost


def _move_lasting(s: Sharing, source: Bucket, target: Bucket, k: int, n: int) -> int:
    """Breeders' cost not yet used up moves along; among breeders it keeps the day it ends."""
    if source.lot is target.lot and target.living:
        return s.hand_over_lasting(source, target, k, n)
    moved = 0
    for end, amount in s.take_lasting(source, k, n):
        moved += amount
        if target.lot.collects and target.lot.info.breeding_life_days is not None:
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
