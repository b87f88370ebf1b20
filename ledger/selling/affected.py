"""Sales whose stated origin no longer reads as the records now give it, and the notes that tell their buyers.

The line itself stays as sold. A line on which the keeper stated less than the records gave is listed only once even
that is more than they give now. Rests on the derivation, and so on every correction of a fact behind it.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, replace

from sqlalchemy import Connection, insert, select

from ledger.act import Act, Done, Scene
from ledger.days import long_day
from ledger.errors import BadInput, NotFound, Refused
from ledger.origin.commands import WriteCorrectionNote
from ledger.origin.rules import Code, Origin, may_claim
from ledger.origin.service import origins_of, said_of
from ledger.records import tables as t
from ledger.selling.commands import TellOfSale
from ledger.selling.sale import find_sale
from ledger.text import clean_block
from ledger.wording import say, strung


@dataclass(frozen=True, slots=True)
class AffectedRow:
    """A line of a sale that states an origin which no longer holds as stated."""

    sale_line: int
    number: str
    sold_on: dt.date
    customer: str
    position: int
    lot: str
    animals: int
    was: str
    """As stated on the line."""
    now: str
    """As the records give it now."""
    noted_on: dt.date | None
    """When a note saying just that was written; None: still to be written."""


def affected_sales(conn: Connection, *, sale: int | None = None) -> tuple[AffectedRow, ...]:
    """Every line of a sale not undone whose stated origin differs from what the records give now, oldest first.

    Args:
        conn: an open connection.
        sale: only of the sale with this id.
    """
    return _affected(conn, sale=sale)


def _affected(conn: Connection, sale_line: int | None = None, sale: int | None = None) -> tuple[AffectedRow, ...]:
    line, s, h = t.sale_line.c, t.sale.c, t.holding.c
    undone = select(t.credit.c.id).where(t.credit.c.sale_id == s.id, t.credit.c.full == 1).exists()
    wanted = (
        select(
            line.id,
            s.number,
            s.sold_on,
            s.customer_name,
            line.position,
            line.lot_code,
            (line.count + line.extra).label("animals"),
            line.origin_code,
            line.origin_generation,
            line.origin_or_later,
            line.origin_lowered,
            line.origin_text,
            h.lot_id,
        )
        .join(t.sale, s.id == line.sale_id)
        .join(t.holding, h.id == line.holding_id)
        .where(~undone)
        .order_by(s.id, line.position)
    )
    if sale_line is not None:
        wanted = wanted.where(line.id == sale_line)
    if sale is not None:
        wanted = wanted.where(line.sale_id == sale)
    rows = conn.execute(wanted).all()
    derived = origins_of(conn, {row.lot_id for row in rows})
    changed = [row for row in rows if not _holds(row, derived[row.lot_id])]
    said = said_of(conn, {row.lot_id for row in changed})
    n = t.correction_note.c
    notes = select(n.sale_line_id, n.now, n.written_on).where(n.sale_line_id.in_([row.id for row in changed]))
    noted = {(note.sale_line_id, note.now): note.written_on for note in conn.execute(notes.order_by(n.id))}
    return tuple(
        AffectedRow(
            row.id,
            row.number,
            row.sold_on,
            row.customer_name,
            row.position,
            row.lot_code,
            row.animals,
            row.origin_text,
            said[row.lot_id].text,
            noted.get((row.id, said[row.lot_id].text)),
        )
        for row in changed
    )


def _holds(row, now: Origin) -> bool:  # type: ignore[no-untyped-def]
    """Whether what a line states may still be stated."""
    stated = Origin(Code(row.origin_code), row.origin_generation, bool(row.origin_or_later))
    if (stated.code, stated.generation, stated.at_least) == (now.code, now.generation, now.at_least):
        return True
    if not row.origin_lowered:
        return False
    return may_claim(replace(stated, stated=now.stated and stated.code is not Code.UNK), now) is None


@dataclass(frozen=True, slots=True)
class NotePlan:
    """A correction note that can be written."""

    row: AffectedRow
    why: str
    written_on: dt.date
    sentence: str
    cautions: tuple[str, ...] = ()


def plan_note(conn: Connection, command: WriteCorrectionNote, scene: Scene) -> NotePlan:
    """Check a note for the buyer of a line whose origin was stated otherwise than it now reads.

    Raises:
        NotFound: there is no such line.
        Refused: what it states still holds, or a note says so already.
    """
    rows = _affected(conn, command.sale_line)
    if not rows:
        line, s = t.sale_line.c, t.sale.c
        known = conn.execute(
            select(s.number, line.position).join(t.sale_line, line.sale_id == s.id).where(line.id == command.sale_line)
        ).one_or_none()
        if known is None:
            raise NotFound(
                say("There is no line {sale_line} of any sale; choose one from the list.", sale_line=command.sale_line),
                "sale_line",
            )
        raise Refused(
            say(
                "Line {position} of {number} states what the records give; there is nothing to correct.",
                position=known.position,
                number=known.number,
            ),
            "sale_line",
            {"sale": known.number},
        )
    row = rows[0]
    if row.noted_on is not None:
        raise Refused(
            say(
                "A note for line {position} of {number} was written on {noted_on} already.",
                position=row.position,
                number=row.number,
                noted_on=long_day(row.noted_on),
            ),
            "sale_line",
            {"sale": row.number},
        )
    if not row.sold_on <= command.written_on <= scene.today:
        raise BadInput(
            say("Write the note on a day from the sale ({sold_on}) up to today.", sold_on=row.sold_on), "written_on"
        )
    why = clean_block(command.why, limit=2000, field="why")
    title = say("Correction note for {customer}", customer=row.customer) if row.customer else say("Correction note")
    return NotePlan(
        row,
        why,
        command.written_on,
        say(
            "{title}: line {position} of {number} ({lot}) was sold as “{was}” and by our records "
            "is “{now}”{why}, {day}.",
            title=title,
            position=row.position,
            number=row.number,
            lot=row.lot,
            was=row.was,
            now=row.now,
            why=f" ({why})" if why else "",
            day=long_day(command.written_on),
        ),
    )


@dataclass(frozen=True, slots=True)
class NotesPlan:
    """The correction notes of a sale that can be written."""

    notes: tuple[NotePlan, ...]
    sentence: str
    cautions: tuple[str, ...] = ()


def plan_notes(conn: Connection, command: TellOfSale, scene: Scene) -> NotesPlan:
    """Check the notes for the buyer of a sale, one for each line that is affected and not told of yet.

    Raises:
        NotFound: there is no such sale.
        Refused: none of its lines is affected, or all are told of.
        BadInput: the day does not fit.
    """
    sale = find_sale(conn, command.sale)
    mine = affected_sales(conn, sale=sale.id)
    left = [row for row in mine if row.noted_on is None]
    if not left:
        why = say("every note for it was written already") if mine else say("it states what the records give")
        raise Refused(
            say("There is nothing to tell of {number}: {why}.", number=sale.number, why=why),
            "sale",
            {"sale": sale.number},
        )
    notes = [plan_note(conn, WriteCorrectionNote(row.sale_line, command.on, command.why), scene) for row in left]
    return NotesPlan(tuple(notes), strung((note.sentence for note in notes), " "))


def commit_notes(conn: Connection, plan: NotesPlan, act: Act) -> Done:
    """Write the correction notes of a sale."""
    done = [commit_note(conn, note, act) for note in plan.notes]
    return Done(plan.sentence, {**done[0].refs, "notes": len(done)})


def commit_note(conn: Connection, plan: NotePlan, act: Act) -> Done:
    """Write a correction note."""
    number = conn.execute(
        insert(t.correction_note)
        .values(
            sale_line_id=plan.row.sale_line,
            was=plan.row.was,
            now=plan.row.now,
            why=plan.why,
            written_on=plan.written_on,
            operation_id=act.operation,
        )
        .returning(t.correction_note.c.id)
    ).scalar_one()
    return Done(plan.sentence, {"note": number, "number": plan.row.number}, plan.cautions)
