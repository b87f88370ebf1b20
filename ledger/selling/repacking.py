"""Packs of a fair that lie packed again: after their sale, or their taking apart, turned out to be a mistake.

A pack that went is never brought back; another is put together of the very animals it had, under the same mark and at
the same price.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import Connection, insert, select

from ledger.act import Act, Done, Scene
from ledger.errors import Refused
from ledger.records import tables as t
from ledger.selling.alone import alone
from ledger.selling.fairs import check_open, find_fair
from ledger.stock import earmarks
from ledger.wording import counted, say


@dataclass(frozen=True, slots=True)
class RepackPlan:
    """Packs to be put together again."""

    fair: int
    packs: tuple[int, ...]
    """The packs that went."""
    sentence: str
    cautions: tuple[str, ...] = ()


def packs_sold_by(conn: Connection, operation: int) -> list[int]:
    """Packs that an act sold."""
    sold = t.fair_pack_sale.c
    return list(conn.execute(select(sold.fair_pack_id).where(sold.operation_id == operation)).scalars())


def packs_taken_apart_by(conn: Connection, operation: int) -> list[int]:
    """Packs whose animals an act gave free."""
    v, line = t.earmark_event.c, t.fair_pack_line.c
    wanted = (
        select(line.fair_pack_id)
        .join(t.earmark_event, v.earmark_id == line.earmark_id)
        .where(v.operation_id == operation, v.why == "freed")
        .distinct()
    )
    return list(conn.execute(wanted.order_by(line.fair_pack_id)).scalars())


def plan_repack(conn: Connection, packs: Sequence[int], _scene: Scene) -> RepackPlan:
    """Check that the fair of some packs goes on.

    Raises:
        Refused: it is settled.
    """
    p = t.fair_pack.c
    rows = conn.execute(select(t.fair_pack).where(p.id.in_(list(packs)))).all()
    if not rows:
        raise Refused(say("There is no pack to put together again."), "packs")
    fair = find_fair(conn, str(rows[0].fair_id))
    check_open(fair)

    return RepackPlan(
        fair.id,
        tuple(packs),
        counted(
            len(rows),
            "Taken back: {n} pack {mark} of {name} lies packed again.",
            "Taken back: {n} packs {mark} of {name} lie packed again.",
            mark=rows[0].mark,
            name=fair.name,
        ),
    )


def commit_repack(conn: Connection, plan: RepackPlan, act: Act) -> Done:
    """Put them together of the animals they had.

    Raises:
        NotEnough: the animals are no longer free.
    """
    alone(conn, "fair", plan.fair)
    p, line = t.fair_pack.c, t.fair_pack_line.c
    for old in plan.packs:
        pack = conn.execute(select(t.fair_pack).where(p.id == old)).one()
        values = {"fair_id": pack.fair_id, "mark": pack.mark, "pack": pack.pack, "price": pack.price}
        number = conn.execute(
            insert(t.fair_pack).values(**values, operation_id=act.operation).returning(p.id)
        ).scalar_one()
        for row in conn.execute(select(t.fair_pack_line).where(line.fair_pack_id == old).order_by(line.id)).all():
            was = earmarks.get(conn, row.earmark_id)
            picks = earmarks.ended_with(conn, row.earmark_id)
            earmark = earmarks.make(conn, act, "kept", was.asked, picks, note=was.note)
            conn.execute(insert(t.fair_pack_line).values(fair_pack_id=number, earmark_id=earmark, extra=row.extra))
    return Done(plan.sentence, {"fair": plan.fair}, plan.cautions)
