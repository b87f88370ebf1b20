"""Who has a claim on animals: held for whom until when, kept back and why, sold and still to be posted.

Reads the earmarks of holdings together with the holds and sales they belong to. A hold whose deadline has passed is
no claim, even before a writer has recorded that it lapsed.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from sqlalchemy import Connection, bindparam, select

from ledger.records import tables as t
from ledger.selling.deadlines import has_passed, moment_in_words
from ledger.stock.journal import in_parts
from ledger.wording import counted, listed, say


@dataclass(frozen=True, slots=True)
class Claim:
    """Animals of one holding that are set aside."""

    holding_id: int
    count: int
    kind: str
    """held, kept or to post."""
    earmark_id: int
    hold_id: int | None
    number: str
    """Of the hold or the sale; empty for animals kept back."""
    who: str
    """Buyer, or why kept back."""
    until: str
    """Deadline of a hold; empty otherwise."""


_CLAIMS = (
    select(
        t.earmark_on.c.holding_id,
        t.earmark_on.c.count.label("n"),
        t.earmark.c.kind,
        t.earmark.c.id.label("earmark_id"),
        t.earmark.c.note,
        t.hold.c.id.label("hold_id"),
        t.hold.c.number.label("hold_number"),
        t.hold.c.until,
        t.customer.c.name,
        t.sale.c.number.label("sale_number"),
        t.sale.c.customer_name,
    )
    .select_from(t.earmark_on)
    .join(t.earmark, t.earmark.c.id == t.earmark_on.c.earmark_id)
    .outerjoin(t.hold_line, t.hold_line.c.id == t.earmark.c.hold_line_id)
    .outerjoin(t.hold, t.hold.c.id == t.hold_line.c.hold_id)
    .outerjoin(t.customer, t.customer.c.id == t.hold.c.customer_id)
    .outerjoin(t.sale_line, t.sale_line.c.id == t.earmark.c.sale_line_id)
    .outerjoin(t.sale, t.sale.c.id == t.sale_line.c.sale_id)
    .where(t.earmark_on.c.holding_id.in_(bindparam("wanted", expanding=True)))
    .order_by(t.earmark.c.id)
)


def claims_on(conn: Connection, holdings: Iterable[int], now: str) -> dict[int, list[Claim]]:
    """What is set aside in each holding, oldest first, without holds that have lapsed."""
    found: dict[int, list[Claim]] = defaultdict(list)
    for part in in_parts(holdings):
        for row in conn.execute(_CLAIMS, {"wanted": part}):
            if row.until is not None and has_passed(row.until, now):
                continue
            number = row.hold_number or row.sale_number or ""
            who = row.name or row.customer_name or row.note
            found[row.holding_id].append(
                Claim(row.holding_id, row.n, row.kind, row.earmark_id, row.hold_id, number, who, row.until or "")
            )
    return dict(found)


def claims_in_words(claims: Sequence[Claim], total: int, today: dt.date) -> str:
    """'3 of the 5 are held for Tarn until Friday 6 June, 18:00; 1 is kept back (old)'."""
    counts: dict[str, int] = defaultdict(int)
    for claim in claims:
        counts[_why(claim, today)] += claim.count
    parts: list[str] = []
    for why, count in counts.items():
        some = say("{number} of the {total}", number=count, total=total) if not parts else str(count)
        parts.append(counted(count, "{some} is {why}", "{some} are {why}", some=some, why=why))
    return listed(parts)


def _why(claim: Claim, today: dt.date) -> str:
    if claim.kind == "held":
        return say("held for {who} until {until}", who=claim.who, until=moment_in_words(claim.until, today))
    if claim.kind == "to post":
        return (
            say("sold to {who} and to be posted", who=claim.who)
            if claim.who
            else say("sold ({number}) and to be posted", number=claim.number)
        )
    return say("kept back ({who})", who=claim.who) if claim.who else say("kept back")
