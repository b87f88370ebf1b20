"""A pack of a fair is sold: the next whole one with its mark, as it was packed or at another price."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import Connection, insert, select

from ledger.act import Act, Done, Scene
from ledger.errors import BadInput, NotEnough, NotFound
from ledger.records import tables as t
from ledger.selling.alone import alone
from ledger.selling.commands import PackOf, Paid, Pick, Sell, SellFairPack
from ledger.selling.fair_packs import standing_packs
from ledger.selling.fairs import Fair, check_open, find_fair
from ledger.selling.lines import sex_text
from ledger.selling.selling import SellPlan, carry_out, plan_sell
from ledger.stock import earmarks
from ledger.text import quoted
from ledger.wording import counted, say


@dataclass(frozen=True, slots=True)
class SellPackPlan:
    """A pack that can be sold."""

    command: SellFairPack
    fair: Fair
    pack: int
    marks: tuple[int, ...]
    sale: SellPlan
    left: int
    sentence: str
    cautions: tuple[str, ...]


def plan_sell_pack(conn: Connection, command: SellFairPack, scene: Scene) -> SellPackPlan:
    """Check the sale of the next whole pack with a mark.

    Raises:
        NotFound, NotEnough, Refused, BadInput: there is none, or it cannot be sold like that.
    """
    fair = find_fair(conn, command.fair)
    check_open(fair)
    if not fair.held_on <= command.on <= fair.last_on:
        raise BadInput(say("{name} is not on that day; sell it otherwise, or unpack it first.", name=fair.name), "on")
    there = standing_packs(conn, fair, command.mark, command.lots)
    if not there:
        raise NotFound(
            say("{name} has no pack {mark} left.", name=fair.name, mark=quoted(command.mark)),
            "mark",
            {"fair": fair.name},
        )
    whole = [one for one in there if not one.short]
    if not whole:
        raise NotEnough(
            counted(
                there[0].short,
                "The packs {mark} of {name} lack {n} animal; unpack them and put whole ones together.",
                "The packs {mark} of {name} lack {n} animals; unpack them and put whole ones together.",
                mark=command.mark,
                name=fair.name,
            ),
            "mark",
        )
    one = whole[0]
    picks = tuple(pick for mark in one.marks for pick in _picks(conn, mark))
    price = one.price if command.price is None else command.price
    paid = (Paid(None, command.method),) if command.method else ()
    sell = Sell(
        (), command.on, command.customer, "fair", paid=paid, packs=(PackOf(one.pack, picks, price, one.extra or None),)
    )
    plan = plan_sell(conn, sell, scene, one.marks)
    left = len(whole) - 1
    return SellPackPlan(
        command,
        fair,
        one.id,
        one.marks,
        plan,
        left,
        counted(
            left,
            "{mark}: {sale} {n} pack {mark} left.",
            "{mark}: {sale} {n} packs {mark} left.",
            mark=one.mark,
            sale=plan.sentence,
        ),
        plan.cautions,
    )


def _picks(conn: Connection, mark: int) -> list[Pick]:
    """The animals of an earmark where they are now."""
    where = dict(earmarks.get(conn, mark).on)
    h = t.holding.c
    rows = conn.execute(
        select(h.id, t.lot.c.code, t.stage.c.name, h.sex, h.sure, h.tub)
        .join(t.lot, t.lot.c.id == h.lot_id)
        .join(t.stage, t.stage.c.id == h.stage_id)
        .where(h.id.in_(sorted(where)))
        .order_by(h.id)
    )
    return [Pick(row.code, where[row.id], row.name, sex_text(row.sex, row.sure), row.tub) for row in rows]


def commit_sell_pack(conn: Connection, plan: SellPackPlan, act: Act) -> Done:
    """Sell a pack.

    Raises:
        NotFound: somebody sold the last one meanwhile.
    """
    if alone(conn, "fair", plan.fair.id):
        plan = plan_sell_pack(conn, plan.command, act.scene)
    written = carry_out(conn, act, plan.sale.draft, None, plan.marks)
    conn.execute(
        insert(t.fair_pack_sale).values(fair_pack_id=plan.pack, sale_id=written.sale_id, operation_id=act.operation)
    )
    refs: dict[str, int | str] = {"sale": written.sale_id, "number": written.number, "left": plan.left}
    if written.entry is not None:
        refs["entry"] = written.entry
    return Done(say("{number}: {sentence}", number=written.number, sentence=plan.sentence), refs, plan.cautions)
