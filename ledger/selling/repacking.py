"""Packs of a fair that lie packed again: after their sale, or their taking apart, turned out to be a mistake.

A pack that went is never brought back; another is put together of the very animals it had, under the same mark and at
the same price.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace

from sqlalchemy import Connection, insert, select

from ledger.act import Act, Done, Scene
from ledger.errors import NotEnough, Refused
from ledger.records import tables as t
from ledger.selling.alone import alone
from ledger.selling.commands import PackAgain
from ledger.selling.fair_packs import packed_again
from ledger.selling.fairs import check_open, find_fair, packs_that_never_were
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
    return list(
        conn.execute(select(sold.fair_pack_id).where(sold.operation_id == operation).order_by(sold.id)).scalars()
    )


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


def lying_instead(conn: Connection, operation: int) -> list[int]:
    """Earmarks of packs that lie instead of those an act put together, since their sale or taking apart was undone."""
    p, line = t.fair_pack.c, t.fair_pack_line.c
    packs = set(conn.execute(select(p.id).where(p.operation_id == operation)).scalars())
    instead: list[int] = []
    while packs:
        packs = set(_after(conn, packs))
        instead += sorted(packs)
    marks = conn.execute(
        select(line.earmark_id).where(line.fair_pack_id.in_(instead)).order_by(line.fair_pack_id, line.id)
    ).scalars()
    return [mark for mark in marks if not earmarks.get(conn, mark).ended]


def _after(conn: Connection, packs: Collection[int]) -> Iterator[int]:
    """The pack that an undo put in the place of each, in the order in which it did."""
    p, line, v, back = t.fair_pack.c, t.fair_pack_line.c, t.earmark_event.c, t.undone.c
    undone = conn.execute(
        select(back.act_id, back.operation_id)
        .join(t.earmark_event, v.operation_id == back.act_id)
        .join(t.fair_pack_line, line.earmark_id == v.earmark_id)
        .where(line.fair_pack_id.in_(packs), v.why.in_(("freed", "taken")))
        .distinct()
    ).all()
    for act, undo in undone:
        went = packs_sold_by(conn, act) or packs_taken_apart_by(conn, act)
        anew = conn.execute(select(p.id).where(p.operation_id == undo).order_by(p.id)).scalars().all()
        yield from (new for old, new in zip(went, anew, strict=False) if old in packs)


def plan_repack(conn: Connection, packs: Sequence[int], _scene: Scene, *, reopened: bool = False) -> RepackPlan:
    """Check that the fair of some packs goes on.

    Args:
        conn: of the ledger.
        packs: those that went.
        reopened: what ended the fair is being taken back in the same act.

    Raises:
        Refused: it is settled.
    """
    p = t.fair_pack.c
    rows = conn.execute(select(t.fair_pack).where(p.id.in_(list(packs)))).all()
    if not rows:
        raise Refused(say("There is no pack to put together again."), "packs")
    fair = find_fair(conn, str(rows[0].fair_id))
    if not reopened:
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


# --- packed again after they were brought back ----------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class PackAgainPlan:
    """Packs that came back and can lie packed again."""

    command: PackAgain
    repack: RepackPlan
    sentence: str
    cautions: tuple[str, ...] = ()


def plan_pack_again(conn: Connection, command: PackAgain, scene: Scene) -> PackAgainPlan:
    """Check that packs which were brought back can be put together again.

    Raises:
        NotFound, NotEnough, Refused: so many did not come back, or the fair is over.
    """
    fair = find_fair(conn, command.fair)
    check_open(fair)
    p, sold, credit = t.fair_pack.c, t.fair_pack_sale.c, t.credit.c
    rows = conn.execute(
        select(p.id, p.mark)
        .join(t.fair_pack_sale, sold.fair_pack_id == p.id)
        .join(t.credit, credit.sale_id == sold.sale_id)
        .where(p.fair_id == fair.id, credit.full == 1, p.id.not_in(packs_that_never_were()))
        .order_by(credit.id.desc())
    ).all()
    mark = command.mark.strip().casefold()
    again = packed_again(conn, fair)
    back = [row.id for row in rows if row.mark.casefold() == mark and row.id not in again]
    if type(command.packs) is not int or not 1 <= command.packs <= len(back):
        raise NotEnough(
            counted(
                len(back),
                "Of {name} {n} pack {mark} was brought back and credited in full.",
                "Of {name} {n} packs {mark} were brought back and credited in full.",
                name=fair.name,
                mark=command.mark,
            ),
            "packs",
        )
    repack = plan_repack(conn, back[: command.packs], scene)
    return PackAgainPlan(
        command,
        repack,
        counted(
            command.packs,
            "{name}: {n} pack {mark} that was brought back lies packed again.",
            "{name}: {n} packs {mark} that were brought back lie packed again.",
            name=fair.name,
            mark=command.mark,
        ),
    )


def commit_pack_again(conn: Connection, plan: PackAgainPlan, act: Act) -> Done:
    """Put them together again.

    Raises:
        NotEnough: the animals are no longer free.
    """
    if alone(conn, "fair", plan.repack.fair):
        plan = plan_pack_again(conn, plan.command, act.scene)
    return replace(commit_repack(conn, plan.repack, act), sentence=plan.sentence)
