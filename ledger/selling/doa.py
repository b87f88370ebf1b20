"""Claims of animals that arrived dead: what the buyer said, with the terms as sold; and the list of claims.

No movement is written by a claim: rearing survival ends when animals leave, and what arrived has a line of its own
(`arrivals`). What is done about a claim is in `deciding`. What the law gives the buyer is left alone.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from sqlalchemy import Connection, func, insert, select

from ledger.act import Act, Done, Scene
from ledger.days import long_day
from ledger.errors import BadInput, NotFound, Refused
from ledger.records import tables as t
from ledger.records.undone import stands
from ledger.selling.commands import RecordClaim
from ledger.selling.sale import LineOfSale, Sale, find_sale
from ledger.selling.writing import locked_sale
from ledger.stock.words import stage_words
from ledger.text import clean_block
from ledger.wording import say

LAW = say("The buyer's legal rights may go further than the terms as sold; a promise of live arrival adds to them.")
_MOST_HOURS = 10_000


@dataclass(frozen=True, slots=True)
class ClaimRow:
    """One claim as it stands."""

    id: int
    number: str
    """Of the sale."""
    customer: str
    position: int
    lot: str
    sold: int
    """Animals of the line, what was given on top included."""
    dead: int
    reported_on: dt.date
    hours: int | None
    evidence: str
    terms: str
    """As sold; empty: none were set."""
    outcome: str
    """refund, replacement, goodwill or declined; empty: to be decided."""
    decided_on: dt.date | None
    paper: str
    """Number of the credit, or of the sale of a replacement; empty: none."""
    note: str


def claims(conn: Connection, *, only_open: bool = False, sale: str | None = None) -> tuple[ClaimRow, ...]:
    """Claims, oldest first.

    Args:
        conn: a connection.
        only_open: only those that are still to be decided.
        sale: only those of this sale.

    Raises:
        NotFound: there is no such sale.
    """
    c, o, line, s, instead = t.claim.c, t.claim_outcome.c, t.sale_line.c, t.sale.c, t.sale.alias("instead")
    wanted = (
        select(
            c.id,
            s.number,
            s.customer_name,
            line.position,
            line.lot_code,
            (line.count + line.extra).label("sold"),
            c.dead,
            c.reported_on,
            c.hours,
            c.evidence,
            c.terms,
            func.coalesce(o.outcome, ""),
            o.decided_on,
            func.coalesce(t.credit.c.number, instead.c.number, ""),
            func.coalesce(o.note, ""),
        )
        .join(t.sale_line, line.id == c.sale_line_id)
        .join(t.sale, s.id == line.sale_id)
        .outerjoin(t.claim_outcome, o.claim_id == c.id)
        .outerjoin(t.credit, t.credit.c.id == o.credit_id)
        .outerjoin(instead, instead.c.id == o.sale_id)
        .where(stands(c.operation_id))
        .order_by(c.id)
    )
    if only_open:
        wanted = wanted.where(o.id.is_(None))
    if sale is not None:
        wanted = wanted.where(s.id == find_sale(conn, sale).id)
    return tuple(ClaimRow(*list(row)) for row in conn.execute(wanted))


def terms_as_sold(conn: Connection, sale: Sale) -> str:
    """The terms of sale as they stood when a sale was recorded; empty: none were set."""
    row = conn.execute(
        select(t.terms.c.text)
        .where(t.terms.c.operation_id <= sale.operation_id)
        .order_by(t.terms.c.operation_id.desc())
        .limit(1)
    ).scalar()
    return row or ""


# --- reported -------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class ClaimPlan:
    """A claim to be written down."""

    sale: Sale
    line: LineOfSale
    dead: int
    on: dt.date
    hours: int | None
    evidence: str
    terms: str
    sentence: str
    cautions: tuple[str, ...]


def plan_claim(conn: Connection, command: RecordClaim, scene: Scene) -> ClaimPlan:
    """Check a claim.

    Raises:
        NotFound, BadInput, Refused: there is no such line, it has not left, or so many cannot have arrived dead.
    """
    sale = find_sale(conn, command.sale)
    line = next((one for one in sale.lines if one.position == command.position), None)
    if line is None:
        raise NotFound(
            say(
                "{number} has no line {position}; it has {lines}.",
                number=sale.number,
                position=command.position,
                lines=len(sale.lines),
            ),
            "position",
        )
    if sale.undone:
        raise Refused(say("{number} was credited in full; nothing is left to claim on.", number=sale.number), "sale")
    if sale.waits_for_post:
        raise Refused(say("{number} was not posted yet; nothing of it can have arrived.", number=sale.number), "sale")
    first = sale.posted_on or sale.sold_on
    if not first <= command.on <= scene.today:
        raise BadInput(
            say(
                "{number} left on {first}; it was reported from that day up to today.",
                number=sale.number,
                first=long_day(first),
            ),
            "on",
        )
    if command.hours is not None and (type(command.hours) is not int or not 0 <= command.hours <= _MOST_HOURS):
        raise BadInput(
            say(
                "Say the hours from arrival to the report as a whole number up to {most_hours}.",
                most_hours=f"{_MOST_HOURS:,}",
            ),
            "hours",
        )
    _check_dead(conn, sale, line, command.dead)
    evidence = clean_block(command.evidence, limit=2000, field="evidence")
    terms = terms_as_sold(conn, sale)
    after = say(", {hours} hours after arrival", hours=command.hours) if command.hours is not None else ""
    cautions = [LAW]
    if not evidence:
        cautions.append(say("No evidence was noted; say what was seen of it: a picture, a film, the buyer's word."))
    if terms:
        cautions.append(say("Terms as sold: {terms}", terms=" ".join(terms.split())[:300]))
    return ClaimPlan(
        sale,
        line,
        command.dead,
        command.on,
        command.hours,
        evidence,
        terms,
        say(
            "{number}, line {position}: {dead} of {animals} {stage_text} of {lot_code} dead on arrival, "
            "reported {on}{after}.",
            number=sale.number,
            position=line.position,
            dead=command.dead,
            animals=line.animals,
            stage_text=stage_words(line.stage_text, line.animals),
            lot_code=line.lot_code,
            on=long_day(command.on),
            after=after,
        ),
        tuple(cautions),
    )


def _check_dead(conn: Connection, sale: Sale, line: LineOfSale, dead: int) -> None:
    c = t.claim.c
    claimed = select(func.coalesce(func.sum(c.dead), 0)).where(c.sale_line_id == line.id, stands(c.operation_id))
    before = int(conn.execute(claimed).scalar_one())
    left = line.animals - max(before, line.credited)
    if type(dead) is not int or not 1 <= dead <= max(left, 0):
        raise BadInput(
            say(
                "Line {position} of {number} has {animals} animals, {left} of them not claimed or credited yet; "
                "say how many arrived dead.",
                position=line.position,
                number=sale.number,
                animals=line.animals,
                left=max(left, 0),
            ),
            "dead",
            {"sale": sale.number, "left": left},
        )


def commit_claim(conn: Connection, plan: ClaimPlan, act: Act) -> Done:
    """Write a claim down."""
    sale = locked_sale(conn, plan.sale.id)
    line = next(one for one in sale.lines if one.id == plan.line.id)
    _check_dead(conn, sale, line, plan.dead)
    number = conn.execute(
        insert(t.claim)
        .values(
            sale_line_id=line.id,
            reported_on=plan.on,
            dead=plan.dead,
            hours=plan.hours,
            evidence=plan.evidence,
            terms=plan.terms,
            operation_id=act.operation,
        )
        .returning(t.claim.c.id)
    ).scalar_one()
    return Done(plan.sentence, {"claim": int(number), "sale": sale.id, "number": sale.number}, plan.cautions)
