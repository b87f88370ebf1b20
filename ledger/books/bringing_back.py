"""Taking a file back: all that its rows recorded is credited, taken back or erased, or nothing of it.

Nothing is deleted. Sales are credited in full on their own day, costs and movements taken back, customers erased who
bought nothing since; prices go back to those before. Whatever was recorded since and rests on it refuses the whole.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, Row, func, insert, select

from ledger.act import Act, Done, Handler, Scene
from ledger.books.commands import TakeBackFile
from ledger.costs.commands import ReverseCost
from ledger.costs.correcting import stands_instead
from ledger.costs.handlers import HANDLERS as COSTS
from ledger.errors import BadInput, Busy, NotFound, Refused
from ledger.records import tables as t
from ledger.records.bringing import erase_customers_of, newer_file
from ledger.records.lateness import late
from ledger.records.undone import stands
from ledger.selling.commands import CreditSale, SetPrice
from ledger.selling.handlers import HANDLERS as SELLING
from ledger.stock.commands import Reverse
from ledger.stock.handlers import HANDLERS as STOCK
from ledger.text import count_words
from ledger.wording import counted, say

_WHY = "brought in by mistake"


@dataclass(frozen=True, slots=True)
class BackPlan:
    """A file that can be taken back, as far as can be seen before it is tried."""

    number: int
    kind: str
    operation: int
    on: dt.date
    scene: Scene
    sentence: str
    cautions: tuple[str, ...]


def plan_back(conn: Connection, command: TakeBackFile, scene: Scene) -> BackPlan:
    """Find the file.

    Raises:
        NotFound: there is none of that number.
        Refused: it was taken back already.
    """
    b = t.bring_in.c
    found = conn.execute(select(t.bring_in).where(b.id == command.number)).one_or_none()
    if found is None:
        raise NotFound(
            say("No file {number} was brought in; rearledger bring-in list says which were.", number=command.number),
            "file",
        )
    if conn.execute(select(t.bring_in_undone.c.id).where(t.bring_in_undone.c.bring_in_id == found.id)).first():
        raise Refused(
            say("File {id} ({file_name}) was taken back already.", id=found.id, file_name=found.file_name), "file"
        )
    if command.on > scene.today:
        raise BadInput(say("A file is taken back on a day that has come."), "date")
    rows = count_words(found[4], "row", "rows")
    first = _first_day(conn, found.operation_id)
    cautions = list(late(conn, first)) if first is not None else []
    if found.kind == "stock":
        cautions.append(say("The lots stay in the books, without these animals."))
    if found.kind == "prices" and _first_prices(conn, found.operation_id):
        cautions.append(say("Prices that had none before them stay; set them anew where they are wrong."))
    return BackPlan(
        found.id,
        found.kind,
        found.operation_id,
        command.on,
        scene,
        say(
            "File {id} taken back: {rows} of {kind} from {file_name}.",
            id=found.id,
            rows=rows,
            kind=found.kind,
            file_name=found.file_name,
        ),
        tuple(cautions),
    )


def commit_back(conn: Connection, plan: BackPlan, act: Act) -> Done:
    """Take back what its rows recorded.

    Raises:
        Refused: something recorded since rests on it.
    """
    for handler, command in _commands(conn, plan):
        try:
            handler.commit(conn, handler.plan(conn, command, plan.scene), act)
        except Refused as no:
            newer = newer_file(conn, plan.number)
            if isinstance(no, Busy) or newer is None:
                raise
            raise Refused(
                say(
                    "{sentence} File {number} was brought in after it: take that back first if it rests on this one.",
                    sentence=no.sentence,
                    number=newer,
                ),
                "file",
                {"file": newer},
            ) from no
    cautions = plan.cautions
    if plan.kind == "customers":
        stay = erase_customers_of(conn, plan.number, plan.on)
        if stay:
            cautions += (
                counted(
                    stay,
                    "{n} customer stays, having bought something since.",
                    "{n} customers stay, having bought something since.",
                ),
            )
    conn.execute(insert(t.bring_in_undone).values(bring_in_id=plan.number, operation_id=act.operation))
    return Done(plan.sentence, {"file": plan.number}, cautions)


def _commands(conn: Connection, plan: BackPlan) -> Iterator[tuple[Handler, object]]:
    """What takes it back, newest first; each is made when those before it have been carried out."""
    operation = plan.operation
    credited = select(t.credit.c.id).where(t.credit.c.sale_id == t.sale.c.id, t.credit.c.full == 1).exists()
    sales = select(t.sale.c.number).where(t.sale.c.operation_id == operation, ~credited).order_by(t.sale.c.id.desc())
    for number in list(conn.execute(sales).scalars()):
        yield SELLING[CreditSale], CreditSale(number, plan.on, _WHY, never=True)
    costs = (
        select(t.cost.c.id)
        .where(
            t.cost.c.operation_id == operation,
            t.cost.c.reverses.is_(None),
            t.cost.c.movement_id.is_(None),
            t.cost.c.sale_id.is_(None),
        )
        .order_by(t.cost.c.id.desc())
    )
    for cost in list(conn.execute(costs).scalars()):
        # A row that was corrected since is taken back with its correction: the same sheet may be brought in again.
        standing = stands_instead(conn, cost, corrected=True)
        if standing is not None:
            yield COSTS[ReverseCost], ReverseCost(standing, _WHY)
    for movement in _movements(conn, operation):
        yield STOCK[Reverse], Reverse(movement, _WHY)
    for price in _prices_before(conn, operation):
        yield SELLING[SetPrice], price


def _first_day(conn: Connection, operation: int) -> dt.date | None:
    """The first day of anything a file recorded; None where nothing it recorded has one."""
    days = (
        select(func.min(t.sale.c.sold_on)).where(t.sale.c.operation_id == operation),
        select(func.min(t.cost.c.bought_on)).where(t.cost.c.operation_id == operation),
        select(func.min(t.entry.c.happened_on)).where(t.entry.c.operation_id == operation),
    )
    found = [day for one in days if (day := conn.execute(one).scalar()) is not None]
    return min(found, default=None)


def _movements(conn: Connection, operation: int) -> list[int]:
    """Movements of the file that stand and belong to no sale, newest first."""
    m, e, back = t.movement.c, t.entry.c, t.movement.alias("back")
    rows = conn.execute(
        select(m.id)
        .join(t.entry, e.id == m.entry_id)
        .where(
            e.operation_id == operation,
            m.reverses.is_(None),
            ~select(back.c.id).where(back.c.reverses == m.id).exists(),
            ~select(t.sale_movement.c.id).where(t.sale_movement.c.movement_id == m.id).exists(),
        )
        .order_by(m.id.desc())
    )
    return [int(number) for number in rows.scalars()]


def _prices_before(conn: Connection, operation: int) -> list[SetPrice]:
    """The prices that stood before those of a file, where there were any."""
    found = []
    for row, before in _with_before(conn, operation):
        if before is not None:
            found.append(
                SetPrice(
                    row.species_code, row.stage_name, before, row.from_on, row.animals, row.sex, row.pack, row.buyer
                )
            )
    return found


def _first_prices(conn: Connection, operation: int) -> bool:
    return any(before is None for _, before in _with_before(conn, operation))


def _with_before(conn: Connection, operation: int) -> list[tuple[Row[Any], int | None]]:
    p = t.price.c
    rows = conn.execute(
        select(t.price, t.species.c.code.label("species_code"), t.stage.c.name.label("stage_name"))
        .join(t.species, t.species.c.id == p.species_id)
        .join(t.stage, t.stage.c.id == p.stage_id)
        .where(p.operation_id == operation)
        .order_by(p.id)
    ).all()
    found = []
    for row in rows:
        same = (p.species_id == row.species_id, p.stage_id == row.stage_id, p.sex == row.sex, p.pack == row.pack)
        before = conn.execute(
            select(p.amount)
            .where(*same, p.animals == row.animals, p.buyer == row.buyer, p.from_on <= row.from_on)
            .where(p.operation_id != operation, p.id < row.id, stands(p.operation_id))
            .order_by(p.from_on.desc(), p.id.desc())
            .limit(1)
        ).scalar()
        found.append((row, before))
    return found
