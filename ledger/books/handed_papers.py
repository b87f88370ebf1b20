"""What the papers of a hold, of a breeding loan and of a gift need: the animals with their origin, and what was agreed.

Origins are those that were stated when the animals were held, lent or given, and beside them what the records say since
where that is another. Of animals lent to us, and of acts that are older than the keeping of it, they are those the
records give on the day of asking. Reads only; nothing is worded here.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from sqlalchemy import Connection, select

from ledger.act import Scene
from ledger.errors import NotFound, Refused
from ledger.origin.service import Said, said_of
from ledger.records import tables as t
from ledger.selling.borrowing import BorrowedRow, borrowed
from ledger.selling.handing import StatedOrigin, stated_in
from ledger.selling.holds import Hold, find_hold
from ledger.selling.lending import LoanRow, loans
from ledger.selling.lines import sex_text
from ledger.stock import earmarks
from ledger.stock.queries import find_lot
from ledger.stock.stock_rows import stock_on
from ledger.wording import say


@dataclass(frozen=True, slots=True)
class Handed:
    """Animals of one lot, stage and sex on such a paper."""

    count: int
    stage: str
    sex: str
    species: str
    """'sun beetle (Pachnoda marginata)'."""
    lot: str
    origin: str
    provenance: str
    """In one sentence."""
    corrected: str
    """What the records give now, if it is no longer what was stated."""
    price: int | None
    """What was promised with a hold, minor units; `None`: nothing was."""


@dataclass(frozen=True, slots=True)
class HoldPaper:
    """A hold with what is promised."""

    hold: Hold
    animals: tuple[Handed, ...]
    short: int
    """How many of them are lacking by now."""
    sale: str
    """Number of the sale that took it up; empty: none did."""
    decided_on: dt.date | None
    """When it was decided what becomes of the deposit."""
    stated_on: dt.date | None
    """The day its origins are of; `None`: the day of asking."""


@dataclass(frozen=True, slots=True)
class LoanPaper:
    """A breeding loan: one of ours to somebody, or of somebody's to us."""

    lot: str
    other: str
    """Who has them; of animals lent to us, whose they are."""
    customer_id: int | None
    ours: bool
    since: dt.date
    back_by: dt.date | None
    back_on: dt.date | None
    terms: str
    animals: tuple[Handed, ...]
    stated_on: dt.date | None


@dataclass(frozen=True, slots=True)
class GiftPaper:
    """Animals given away in one act."""

    entry: int
    """Its first number in the list of what was given."""
    on: dt.date
    kind: str
    """gift or sample."""
    to: str
    customer_id: int | None
    animals: tuple[Handed, ...]
    stated_on: dt.date | None


def hold_paper(conn: Connection, number: str, scene: Scene) -> HoldPaper:
    """What the paper of a hold says.

    Raises:
        NotFound: there is no such hold.
    """
    hold = find_hold(conn, number, scene.now)
    lots = {line.lot: find_lot(conn, line.lot).id for line in hold.lines}
    d, s = t.deposit_decision.c, t.sale.c
    stated = stated_in(conn, hold.operation_id)
    return HoldPaper(
        hold,
        _handed(
            conn,
            [
                (lots[line.lot], line.lot, line.stage, sex_text(line.sex, line.sure), line.count, line.price)
                for line in hold.lines
            ],
            stated,
        ),
        sum(earmarks.get(conn, line.earmark_id).short for line in hold.lines) if hold.open else 0,
        conn.execute(select(s.number).where(s.hold_id == hold.id)).scalar() or "",
        conn.execute(select(d.happened_on).where(d.hold_id == hold.id)).scalar(),
        hold.made_on if stated else None,
    )


def loan_paper(conn: Connection, lot: str) -> LoanPaper:
    """What the paper of the latest loan of a lot says.

    Raises:
        NotFound: there is no such lot, or it was never on loan.
    """
    code = find_lot(conn, lot).code
    ours = [one for one in loans(conn) if one.lot == code]
    if ours:
        return _ours(conn, ours[-1])
    theirs = [one for one in borrowed(conn) if one.lot == code]
    if theirs:
        return _theirs(conn, theirs[-1])
    raise NotFound(
        say("{code} was never on a breeding loan, neither with others nor here.", code=code), "lot", {"lot": code}
    )


def _ours(conn: Connection, row: LoanRow) -> LoanPaper:
    lot_id = find_lot(conn, row.lot).id
    c = t.customer.c
    who = conn.execute(select(c.id).where(c.name == row.to, c.erased_on.is_(None))).scalar()
    stated = stated_in(conn, row.operation_id)
    animals = _there(conn, lot_id, row.lent_on, stated)
    on = row.lent_on if stated else None
    return LoanPaper(row.lot, row.to, who, True, row.lent_on, row.back_by, row.back_on, row.terms, animals, on)


def _theirs(conn: Connection, row: BorrowedRow) -> LoanPaper:
    animals = _there(conn, row.lot_id, row.came_on, {})
    return LoanPaper(row.lot, row.owner, None, False, row.came_on, None, row.left_on, "", animals, None)


def _there(conn: Connection, lot_id: int, on: dt.date, stated: Mapping[int, StatedOrigin]) -> tuple[Handed, ...]:
    """What was in a lot at the end of a day."""
    counts: dict[tuple[str, str, str], int] = {}
    for row in stock_on(conn, on, lots=[lot_id]):
        key = (row.lot, row.stage, sex_text(row.sex, row.sure))
        counts[key] = counts.get(key, 0) + row.count
    return _handed(conn, [(lot_id, *key, count, None) for key, count in counts.items()], stated)


def gift_paper(conn: Connection, entry: int) -> GiftPaper:
    """What the paper of animals given away says: all that was given in the same act.

    Raises:
        NotFound: nothing was given under that number.
        Refused: it was for the keeper's own use, or was taken back.
    """
    g, e, m, h = t.giving.c, t.entry.c, t.movement.c, t.holding.c
    given = conn.execute(
        select(g.operation_id, g.kind, g.customer_id, t.customer.c.name)
        .outerjoin(t.customer, t.customer.c.id == g.customer_id)
        .where(g.entry_id == entry)
    ).one_or_none()
    if given is None:
        raise NotFound(
            say("Nothing was given under number {entry}; `give list` has the numbers.", entry=entry), "entry"
        )
    if given.kind == "own use":
        raise Refused(say("What was taken for own use went to nobody; there is no paper of it."), "entry")
    back = t.movement.alias("back")
    rows = conn.execute(
        select(g.entry_id, e.happened_on, h.lot_id, t.lot.c.code, t.stage.c.name, h.sex, h.sure, m.count.label("n"))
        .join(t.entry, e.id == g.entry_id)
        .join(t.movement, m.entry_id == e.id)
        .join(t.holding, h.id == m.from_holding_id)
        .join(t.lot, t.lot.c.id == h.lot_id)
        .join(t.stage, t.stage.c.id == h.stage_id)
        .outerjoin(back, back.c.reverses == m.id)
        .where(g.operation_id == given.operation_id, back.c.id.is_(None))
        .order_by(g.entry_id, m.id)
    ).all()
    if not rows:
        raise Refused(
            say("What was given under number {entry} was taken back; there is no paper of it.", entry=entry), "entry"
        )
    stated = stated_in(conn, given.operation_id)
    animals = _handed(
        conn, [(row.lot_id, row.code, row.name, sex_text(row.sex, row.sure), row.n, None) for row in rows], stated
    )
    on = rows[0].happened_on
    name = given.name or ""
    return GiftPaper(rows[0].entry_id, on, given.kind, name, given.customer_id, animals, on if stated else None)


def _handed(
    conn: Connection,
    rows: Iterable[tuple[int, str, str, str, int, int | None]],
    stated: Mapping[int, StatedOrigin],
) -> tuple[Handed, ...]:
    """Rows of (lot's id, lot, stage, sex, count, price) with what was, or else may be, said of them."""
    wanted = list(rows)
    ids = {row[0] for row in wanted}
    said = said_of(conn, ids)
    sp = t.species.c
    species = {
        row.id: say("{common} ({scientific})", common=row.common, scientific=row.scientific)
        if row.scientific
        else row.common
        for row in conn.execute(
            select(t.lot.c.id, sp.common, sp.scientific)
            .join(t.species, sp.id == t.lot.c.species_id)
            .where(t.lot.c.id.in_(ids))
        )
    }
    return tuple(
        Handed(count, stage, sex, species[lot_id], lot, *_said(stated.get(lot_id), said[lot_id]), price)
        for lot_id, lot, stage, sex, count, price in wanted
    )


def _said(stated: StatedOrigin | None, now: Said) -> tuple[str, str, str]:
    """Origin, provenance, and what the records give now if that is another."""
    if stated is None:
        return now.text, now.sentence, ""
    return stated.text, stated.sentence, "" if stated.reads_like(now.derived.origin) else now.text
