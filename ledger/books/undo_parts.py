"""What an act recorded, and which part of the books takes each of it back.

An act is known by its rows alone, so that one with several lines is taken back like one with a single line. Of what an
act recorded only what still stands is taken back; rows that cannot be taken back refuse the whole act.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, Table, bindparam, literal, select, union_all

from ledger.act import Act, Done, Handler, Plan, Scene
from ledger.books.commands import TakeBackFile
from ledger.books.undo_instead import BY_KIND, INSTEAD
from ledger.costs.changing import commit_unpay_cost, plan_unpay_cost
from ledger.costs.commands import DropHours, PutBack, ReverseCost
from ledger.costs.correcting import commit_uncorrect, plan_uncorrect, stands_instead
from ledger.costs.handlers import HANDLERS as COSTS
from ledger.records import tables as t
from ledger.records.commands import SetSetting
from ledger.records.handlers import HANDLERS as RECORDS
from ledger.records.settings import setting
from ledger.selling.commands import CreditSale, LeaveQueue
from ledger.selling.fair_plans import SETTLED, holds_something, stays_changed
from ledger.selling.fairs import fairs
from ledger.selling.handlers import HANDLERS as SELLING
from ledger.selling.repacking import commit_repack, lying_instead, packs_sold_by, packs_taken_apart_by, plan_repack
from ledger.selling.unholding import commit_unhold, plan_unhold
from ledger.selling.unpaying import commit_unpay, plan_unpay
from ledger.stock.commands import FreeKept
from ledger.stock.handlers import HANDLERS as STOCK
from ledger.stock.keeping import commit_keep, plan_keep_again
from ledger.stock.recording import commit_entries
from ledger.stock.undoing import take_back
from ledger.wording import counted, say, strung

MISTAKE = "entered by mistake"


class CannotUndo(Exception):
    """An act holds something that cannot be taken back."""

    def __init__(self, instead: str) -> None:
        super().__init__(instead)
        self.instead = instead
        """Why, and what to do instead."""


@dataclass(frozen=True, slots=True)
class Part:
    """One thing an act recorded, and how it is taken back."""

    plan: Callable[[Connection, Scene], Plan]
    commit: Callable[[Connection, Any, Act], Done]


@dataclass(frozen=True, slots=True)
class Parts:
    """All that an act recorded and that still stands."""

    each: tuple[Part, ...]
    said: str
    """What no longer counts: '3 marks, 1 price'; empty: nothing of the kind."""
    credits: bool
    """Whether a sale is credited: its number is then part of what is said."""
    lot_stays: bool = False
    """Whether the act made a lot: it stays in the books with all that was said of it, and so does the act."""


SAID: Mapping[str, tuple[str, str]] = {
    "observation": (say("mark"), say("marks")),
    "price": (say("price"), say("prices")),
    "figure": (say("figure"), say("figures")),
    "method": (say("figure of method"), say("figures of method")),
    "lot_fact": (say("fact of a lot"), say("facts of lots")),
    "post_wait": (say("wait of a parcel"), say("waits of parcels")),
    "arrival": (say("arrival"), say("arrivals")),
    "claim": (say("claim"), say("claims")),
    "species_flag": (say("reminder"), say("reminders")),
    "species_flag_end": (say("end of a reminder"), say("ends of reminders")),
    "fair": (say("fair"), say("fairs")),
    "fair_change": (say("change of a fair"), say("changes of fairs")),
    "fair_end": (say("settling of a fair"), say("settlings of fairs")),
}
"""By table whose rows no longer count once their act is undone, what one and several are called."""
_KEPT_BY_A_YEAR = ("figure", "method", "lot_fact", "cost_change")
"""Tables whose rows change the costs of a year, also after it was closed."""

_WROTE = union_all(
    *(
        select(literal(name).label("name"))
        .where(select(table.c.operation_id).where(table.c.operation_id == bindparam("act")).exists())
        .correlate(None)
        for name, table in sorted(t.metadata.tables.items())
        if "operation_id" in table.c and name not in ("outcome", "undone")
    )
)


def parts_of(conn: Connection, act: int, kind: str, answer: Mapping[str, Any], scene: Scene) -> Parts | None:
    """What undoing an act takes back; `None`: all it recorded was taken back already.

    Raises:
        CannotUndo: something of it cannot be taken back.
    """
    wrote = set(conn.execute(_WROTE, {"act": act}).scalars())
    if kind == "CorrectCost":
        return _uncorrect(conn, act)
    if kind == "SetSetting":
        return Parts((_of_setting(conn, answer),), "", False)
    if "bring_in" in wrote:
        number = int(conn.execute(select(t.bring_in.c.id).where(t.bring_in.c.operation_id == act)).scalar_one())
        undone = select(t.bring_in_undone.c.id).where(t.bring_in_undone.c.bring_in_id == number)
        return None if conn.execute(undone).first() else Parts((_back_file(number),), "", False)
    _refuse(conn, act, kind, wrote)
    each: list[Part] = []
    sales = _standing_sales(conn, act) if "sale" in wrote else []
    packed = "fair_pack_sale" in wrote
    each += [_by(SELLING, CreditSale(number, scene.today, MISTAKE, repacked=packed)) for number in sales]
    if packed and sales:
        each.append(_again(packs_sold_by(conn, act)))
    each += _payments(conn, act, wrote)
    each += _costs(conn, act, wrote)
    each += _aside(conn, act, kind, wrote)
    each += _movements(conn, act, scene, wrote)
    said = _said(conn, act, wrote)
    if each or said:
        return Parts(tuple(each), said, bool(sales), "lot" in wrote)
    if wrote & _TAKEN_BACK:
        return None
    raise CannotUndo(BY_KIND.get(kind) or say("record what is right instead"))


_TAKEN_BACK = {
    "sale",
    "payment",
    "cost",
    "cost_change",
    "store_issue",
    "own_hours",
    "movement",
    "entry",
    "hold",
    "earmark",
}
_TAKEN_BACK |= {"queue_place", "fair_pack", *SAID}
"""Tables of which an act that recorded in them was taken back when nothing of it stands."""


def _by(handlers: Mapping[type, Handler], command: object) -> Part:
    handler = handlers[type(command)]
    return Part(lambda conn, scene: handler.plan(conn, command, scene), handler.commit)


def _back_file(number: int) -> Part:
    from ledger.books.bringing_back import commit_back, plan_back

    return Part(lambda conn, scene: plan_back(conn, TakeBackFile(number, scene.today), scene), commit_back)


def _uncorrect(conn: Connection, act: int) -> Parts | None:
    standing = _costs_standing(conn, act)
    if not standing:
        return None
    c = t.cost.c
    # Not from the answer, which is gone where it named somebody erased since.
    old = conn.execute(select(c.reverses).where(c.operation_id == act, c.reverses.is_not(None))).scalar_one()
    new = standing[0]
    return Parts((Part(lambda conn, scene: plan_uncorrect(conn, new, old, scene), commit_uncorrect),), "", False)


def _again(packs: list[int], *, reopened: bool = False) -> Part:
    return Part(lambda conn, scene: plan_repack(conn, packs, scene, reopened=reopened), commit_repack)


def _refuse(conn: Connection, act: int, kind: str, wrote: set[str]) -> None:
    """Refuse an act that recorded what cannot be taken back."""
    if kind in ("Reverse", "ReverseCost", "PutBack", "DropHours", "TakeBackFile", "ReplaceShort"):
        raise CannotUndo(BY_KIND[kind])
    # A lot stays in the books with what was said of it; its animals are taken back.
    beside = {"origin_fact", "parent", "lot_fact"} if "lot" in wrote else set()
    if "sale" in wrote:
        beside |= {"hold_fate"}
    if "hold_fate" in wrote:
        ended = select(t.hold_fate.c.id).where(t.hold_fate.c.operation_id == act, t.hold_fate.c.fate != "lapsed")
        beside |= set() if conn.execute(ended).first() else {"hold_fate"}
    if "fair" in wrote:
        number = conn.execute(select(t.fair.c.id).where(t.fair.c.operation_id == act)).scalar_one()
        if any(one.id == number and one.ended_on is not None for one in fairs(conn)):
            raise CannotUndo(SETTLED)
        beside |= set() if holds_something(conn, number) else {"fair"}
    if "fair_change" in wrote and (why := stays_changed(conn, act)):
        raise CannotUndo(why)
    for table in INSTEAD:
        if table in wrote - beside:
            raise CannotUndo(INSTEAD[table])
    if "lot" in wrote and wrote & (set(SAID) - {"lot_fact"}):
        raise CannotUndo(say("it made a lot, which stays, and more; take back its lines one by one"))
    if wrote & set(_KEPT_BY_A_YEAR) and "lot" not in wrote:
        later = select(t.closing.c.id).where(t.closing.c.operation_id > act)
        windows = select(t.cost_change.c.id).where(
            t.cost_change.c.operation_id == act, t.cost_change.c.kind == "window"
        )
        method = wrote & {"figure", "method", "lot_fact"} or conn.execute(windows).first()
        if method and conn.execute(later).first():
            raise CannotUndo(
                say("a year was closed since and keeps its figures; set it anew from a day in an open year")
            )


def _of_setting(conn: Connection, answer: Mapping[str, Any]) -> Part:
    refs = answer.get("refs", {})
    name, before, after = (str(refs[key]) if key in refs else None for key in ("setting", "before", "after"))
    if name is None or before is None or setting(conn, name) != after:
        raise CannotUndo(say("it has been set anew since; set it as it should be"))
    return _by(RECORDS, SetSetting(name, before))


def _standing_sales(conn: Connection, act: int) -> list[str]:
    s = t.sale.c
    credited = select(t.credit.c.id).where(t.credit.c.sale_id == s.id, t.credit.c.full == 1).exists()
    return list(conn.execute(select(s.number).where(s.operation_id == act, ~credited).order_by(s.id.desc())).scalars())


def _standing(conn: Connection, act: int, table: Table, *more: Any) -> list[Any]:
    """Rows of an act that take nothing back and were not taken back, newest first."""
    back = table.alias("back")
    wanted = select(table).where(
        table.c.operation_id == act,
        table.c.reverses.is_(None),
        ~select(back.c.id).where(back.c.reverses == table.c.id).exists(),
        *more,
    )
    return list(conn.execute(wanted.order_by(table.c.id.desc())).all())


def _payments(conn: Connection, act: int, wrote: set[str]) -> list[Part]:
    """Payments on their own: those of a sale or a hold of the same act go with it."""
    if "payment" not in wrote:
        return []
    sales = set(conn.execute(select(t.sale.c.id).where(t.sale.c.operation_id == act)).scalars())
    holds = set(conn.execute(select(t.hold.c.id).where(t.hold.c.operation_id == act)).scalars())
    rows = _standing(conn, act, t.payment)
    return [_unpay(row.id) for row in rows if row.sale_id not in sales and row.hold_id not in holds]


def _unpay(payment: int) -> Part:
    return Part(lambda conn, scene: plan_unpay(conn, payment, scene), commit_unpay)


def _unpay_cost(change: int) -> Part:
    return Part(lambda conn, scene: plan_unpay_cost(conn, change, scene), commit_unpay_cost)


def _costs(conn: Connection, act: int, wrote: set[str]) -> list[Part]:
    """Costs, payments of older costs, what came out of the store, and hours. The price of animals goes with them."""
    each: list[Part] = []
    if "cost_change" in wrote:
        of_older = t.cost_change.c.cost_id.not_in(select(t.cost.c.id).where(t.cost.c.operation_id == act))
        for row in _standing(conn, act, t.cost_change, of_older):
            again = stands_instead(conn, row.cost_id)
            if again not in (None, row.cost_id):
                raise CannotUndo(
                    say("that cost was corrected and counts again as cost {number}; correct that one", number=again)
                )
            if row.kind == "paid":
                each.append(_unpay_cost(row.id))
            elif row.kind != "window":
                raise CannotUndo(BY_KIND["RefundCost"])
    if "cost" in wrote:
        each += [_by(COSTS, ReverseCost(number, MISTAKE)) for number in _costs_standing(conn, act)]
    if "store_issue" in wrote:
        each += [_by(COSTS, PutBack(row.id, MISTAKE)) for row in _standing(conn, act, t.store_issue)]
    if "own_hours" in wrote:
        each += [_by(COSTS, DropHours(row.id)) for row in _standing(conn, act, t.own_hours)]
    return each


def _costs_standing(conn: Connection, act: int) -> list[int]:
    """Costs of an act that stand, or others in their place since a correction of them was undone, newest first."""
    c = t.cost.c
    wanted = select(c.id).where(c.operation_id == act, c.reverses.is_(None), c.kind != "animals")
    found = [stands_instead(conn, number) for number in conn.execute(wanted.order_by(c.id.desc())).scalars().all()]
    return [number for number in found if number is not None]


def _aside(conn: Connection, act: int, kind: str, wrote: set[str]) -> list[Part]:
    """Holds, animals kept back or freed, packs of a fair, places in a queue."""
    each: list[Part] = []
    if "queue_place" in wrote:
        q, end = t.queue_place.c, t.queue_end.c
        ended = select(end.id).where(end.queue_place_id == q.id).exists()
        for place in conn.execute(select(q.id, q.asked_on).where(q.operation_id == act, ~ended)).all():
            each.append(_by(SELLING, LeaveQueue(place.id, place.asked_on)))
    if "hold" in wrote:
        ended = select(t.hold_fate.c.id).where(t.hold_fate.c.hold_id == t.hold.c.id).exists()
        holds = select(t.hold.c.number).where(t.hold.c.operation_id == act, ~ended).order_by(t.hold.c.id.desc())
        each += [_unhold(number) for number in conn.execute(holds).scalars()]
    if "earmark" in wrote:
        v = t.earmark_event.c
        ended = select(v.id).where(v.earmark_id == t.earmark.c.id, v.why.in_(("freed", "taken"))).exists()
        kept = select(t.earmark.c.id).where(t.earmark.c.operation_id == act, t.earmark.c.kind == "kept", ~ended)
        each += [_free(number) for number in conn.execute(kept.order_by(t.earmark.c.id)).scalars()]
        if "fair_pack" in wrote:
            each += [_free(number) for number in lying_instead(conn, act)]
    elif wrote & {"fair_end", "fair_change"}:
        packs = packs_taken_apart_by(conn, act)
        each += [_again(packs, reopened=True)] if packs else []
    elif kind == "Unpack":
        each.append(_again(packs_taken_apart_by(conn, act)))
    elif kind == "FreeKept":
        freed = select(t.earmark_event.c.earmark_id).where(t.earmark_event.c.operation_id == act)
        each += [_keep_again(number) for number in conn.execute(freed.distinct()).scalars()]
    return each


def _unhold(number: str) -> Part:
    return Part(lambda conn, scene: plan_unhold(conn, number, scene), commit_unhold)


def _free(earmark: int) -> Part:
    handler = STOCK[FreeKept]
    return Part(lambda conn, scene: handler.plan(conn, FreeKept(earmark, scene.today), scene), handler.commit)


def _keep_again(earmark: int) -> Part:
    return Part(lambda conn, scene: plan_keep_again(conn, earmark, scene), commit_keep)


def _movements(conn: Connection, act: int, scene: Scene, wrote: set[str]) -> list[Part]:
    """Movements that stand and belong to no sale of the same act."""
    if "entry" not in wrote:
        return []
    m, e = t.movement.c, t.entry.c
    of_sale: Any = select(t.sale_movement.c.movement_id)
    if "sale" in wrote:
        of_sale = of_sale.union(select(m.id).where(m.reason == "swapped in"))
    back = t.movement.alias("back")
    rows = conn.execute(
        select(m.id, m.id.in_(of_sale).label("sold"), back.c.id.label("back"), m.reverses)
        .join(t.entry, e.id == m.entry_id)
        .outerjoin(back, back.c.reverses == m.id)
        .where(e.operation_id == act)
    ).all()
    apart = {row.id for row in rows if row.sold} if "sale" in wrote else set()
    if not any(row.back is None and row.reverses is None and row.id not in apart for row in rows):
        return []
    return [Part(lambda conn, scene: take_back(conn, scene, act, apart), commit_entries)]


def _said(conn: Connection, act: int, wrote: set[str]) -> str:
    """What no longer counts, in words; a lot keeps what was said of it."""
    words = []
    for name, (one, several) in SAID.items():
        if name in wrote and "lot" not in wrote:
            table = t.metadata.tables[name]
            if name == "claim":
                decided = select(t.claim_outcome.c.id).join(t.claim, t.claim.c.id == t.claim_outcome.c.claim_id)
                if conn.execute(decided.where(t.claim.c.operation_id == act)).first():
                    raise CannotUndo(say("the claim has been decided; record what is right as a payment or a credit"))
            rows = len(conn.execute(select(table.c.id).where(table.c.operation_id == act)).all())
            words.append(strung((str(rows), one if rows == 1 else several)))
    if "cost_change" in wrote:
        c = t.cost_change.c
        ends = len(conn.execute(select(c.id).where(c.operation_id == act, c.kind == "window")).all())
        of_older = c.cost_id.not_in(select(t.cost.c.id).where(t.cost.c.operation_id == act))
        if ends and conn.execute(select(c.id).where(c.operation_id == act, of_older)).first():
            words.append(counted(ends, "{n} day of being used up", "{n} days of being used up"))
    return strung(words, ", ")
