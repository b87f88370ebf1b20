"""A movement taken back after its year was closed: it moves back the cost originally moved, as far as it is there.

The closed year keeps its figures, so the pair does not vanish; the counter-movement stands on its own day. When the
last animals of a bucket leave by it, all their cost goes along; what the origin is not owed is written off.
"""

from __future__ import annotations

from ledger.costs.allowance import ANIMAL
from ledger.costs.lasting import up_to
from ledger.costs.movements import move_tub, reach, shift_allowance, whence, whither, write_off
from ledger.costs.result import Kind
from ledger.costs.sharing import Sharing
from ledger.costs.state import Bucket, Memo
from ledger.stock.events import Event
from ledger.stock.reasons import REASONS, Cost


def take_back(s: Sharing, event: Event) -> None:
    """Play a counter-movement.

    Raises:
        ValueError: the movement it takes back is not in the journal before it.
    """
    if event.from_lot is not None and (event.from_lot, event.from_stage) == (event.to_lot, event.to_stage):
        move_tub(s, event)
        return
    assert event.reverses is not None
    memo = s.memos.get(event.reverses)
    if memo is None:
        raise ValueError(f"movement {event.id} takes back movement {event.reverses}, which is not before it")
    effect = REASONS[memo.event.reason].cost
    if event.from_lot is None:
        _come_back(s, event, memo, effect)
    elif event.to_lot is None:
        _go_again(s, event, memo, effect)
    else:
        _move_back(s, event, memo, effect)


def _come_back(s: Sharing, event: Event, memo: Memo, effect: Cost) -> None:
    """An exit or a death did not happen: the animals are here again."""
    bucket = whither(s, event)[1]
    s.settle(bucket)
    if effect is Cost.HATCH:
        s.unhatched[memo.event.id] = bucket
    elif effect is Cost.DEATH:
        bucket.used -= memo.normal
        _write_back(s, event, bucket, memo.cost)
    else:
        bucket.early -= ANIMAL * event.count
        s.post(Kind.LEFT, event.id, bucket.lot.id, -s.by_category(memo.cost), s.day)
    s.bring(bucket, memo.cost)
    s.change(bucket, event.count, event.tub_to)


def _go_again(s: Sharing, event: Event, memo: Memo, effect: Cost) -> None:
    """An arrival did not happen: its cost goes back to where it came from."""
    bucket = whence(s, event)
    s.settle(bucket)
    gone = s.take_up_to(bucket, memo.cost, event.count)
    bucket.entrants -= ANIMAL * event.count
    s.change(bucket, -event.count, event.tub_from)
    cost = s.by_category(gone)
    if effect is Cost.BACK:
        s.post(Kind.LEFT, event.id, bucket.lot.id, cost, s.day)
        return
    home = s.unhatched.get(memo.event.relates_to) if memo.event.relates_to is not None else None
    if home is not None and home.count:
        s.settle(home)
        s.bring(home, gone)
        return
    owed = 0
    if effect is Cost.PRICE:
        s.bought -= memo.event.value or 0
        owed = s.by_category(memo.cost)
    for number, part in (memo.brood or {}).items():
        mother = s.lots[number]
        s.touch(mother)
        mother.brood += part
        owed += part
        s.to_check.append(mother)
    s.post(Kind.WRITTEN_OFF, event.id, bucket.lot.id, cost - owed, s.day)


def _move_back(s: Sharing, event: Event, memo: Memo, effect: Cost) -> None:
    """A move between lots or stages did not happen."""
    source, target = whence(s, event), whither(s, event)[1]
    s.settle(source)
    s.settle(target)
    if effect is Cost.DRIED:
        gone = s.take_up_to(source, 0, event.count)
        source.entrants -= ANIMAL * event.count
        target.used -= memo.normal
        _write_back(s, event, target, memo.cost)
        s.bring(target, memo.cost)
    else:
        gone = s.take_up_to(source, memo.cost, event.count)
        if memo.link is None:
            source.entrants -= ANIMAL * event.count
            reach(s, source, target, event.count, gone)
        else:
            shift_allowance(source, target, memo.link)
        _brood_back(s, source, memo)
    s.bring(target, gone)
    s.shift(source, target, event)


def _write_back(s: Sharing, event: Event, bucket: Bucket, cost: int) -> None:
    write_off(s, event.id, bucket, -s.by_category(cost))


def _brood_back(s: Sharing, source: Bucket, memo: Memo) -> None:
    """Breeders that go back take back what they brought to the brood pool, as far as it is there."""
    for number, part in (memo.brood or {}).items():
        home = s.lots[number]
        s.touch(home)
        s.settle_brood(source.lot)
        back = s.categories.together(up_to(s.categories.apart(source.lot.brood), s.categories.apart(part)))
        source.lot.brood -= back
        home.brood += back
        s.to_check.append(home)
