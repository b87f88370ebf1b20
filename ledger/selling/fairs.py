"""Fairs as they are on record: planned, planned anew or called off, and settled. What is sold and spent is elsewhere.

`fair_plans` plans them, `fair_packs` has their packs, `fair_packing` makes these, `fair_sell` sells from them,
`fair_cash` has their cash, `fair_costs` what they cost, `fair_end` settles them, and `fair_results` says what they
come to.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, replace

from sqlalchemy import Connection, Select, or_, select

from ledger.days import long_day
from ledger.errors import NotFound, Refused
from ledger.records import tables as t
from ledger.records.undone import stands
from ledger.text import quoted
from ledger.wording import say

LICENCE = say("Selling at fairs may be barred or licensed, especially vertebrates; ask your local authority first.")


@dataclass(frozen=True, slots=True)
class Fair:
    """One fair as it is planned now, and its end if it is over. Amounts in minor units."""

    id: int
    name: str
    held_on: dt.date
    last_on: dt.date
    cash_float: int
    note: str
    called_off: bool = False
    ended_on: dt.date | None = None
    counted: int | None = None
    expected: int | None = None
    put_in: int = 0
    """Other cash put in, as said when it was settled."""
    taken_out: int = 0
    why: str = ""
    end_note: str = ""
    """Written down when it was settled."""

    @property
    def open(self) -> bool:
        """Neither settled nor called off."""
        return self.ended_on is None and not self.called_off


def fairs(conn: Connection, *, without: int = 0) -> tuple[Fair, ...]:
    """Every fair, oldest first; `without`: as if the changes recorded by that act were undone."""
    f, e, c = t.fair.c, t.fair_end.c, t.fair_change.c
    first = select(f.id, f.name, f.held_on, f.last_on, f.cash_float, f.note).where(stands(f.operation_id))
    found = {
        row.id: Fair(row.id, row.name, row.held_on, row.last_on, row.cash_float, row.note)
        for row in conn.execute(first.order_by(f.id))
    }
    anew = select(c.fair_id, c.name, c.held_on, c.last_on, c.cash_float, c.note, c.called_off)
    for row in conn.execute(anew.where(stands(c.operation_id), c.operation_id != without).order_by(c.id)):
        if row.fair_id in found:
            plan = row.name, row.held_on, row.last_on, row.cash_float, row.note, bool(row.called_off)
            found[row.fair_id] = Fair(row.fair_id, *plan)
    ends = select(e.fair_id, e.ended_on, e.counted, e.expected, e.put_in, e.taken_out, e.why, e.note)
    for end in conn.execute(ends.where(stands(e.operation_id)).order_by(e.id)):
        if end.fair_id in found:
            found[end.fair_id] = replace(
                found[end.fair_id],
                ended_on=end.ended_on,
                counted=end.counted,
                expected=end.expected,
                put_in=end.put_in,
                taken_out=end.taken_out,
                why=end.why,
                end_note=end.note,
            )
    return tuple(sorted(found.values(), key=lambda one: (one.held_on, one.id)))


def find_fair(conn: Connection, typed: str) -> Fair:
    """A fair by its name or number; of several with one name, the latest that is gone to.

    Raises:
        NotFound: there is none.
    """
    wanted = " ".join(typed.casefold().split())
    fit = [one for one in fairs(conn) if wanted in (one.name.casefold(), str(one.id))]
    if not fit:
        raise NotFound(
            say("There is no fair {typed}; plan it first, or look at the list of fairs.", typed=quoted(typed)), "fair"
        )
    return max(fit, key=lambda one: (not one.called_off, one.held_on, one.id))


def boxes_on(conn: Connection, on: dt.date) -> list[Fair]:
    """Fairs of a day whose cash was not counted yet."""
    return [one for one in fairs(conn) if one.open and one.held_on <= on <= one.last_on]


def check_open(fair: Fair) -> None:
    """Refuse a fair that is over.

    Raises:
        Refused: it was settled, or called off.
    """
    if fair.called_off:
        raise Refused(say("{name} was called off; plan a new fair.", name=fair.name), "fair")
    if fair.ended_on is not None:
        raise Refused(
            say("{name} was settled on {ended_on}; plan a new fair.", name=fair.name, ended_on=long_day(fair.ended_on)),
            "fair",
        )


def packs_that_never_were() -> Select[tuple[int]]:
    """Packs made, sold or taken apart by an act that was undone; instead of those sold or taken apart others lie."""
    p, line, v, back = t.fair_pack.c, t.fair_pack_line.c, t.earmark_event.c, t.undone.c
    made = select(p.id).join(t.undone, back.act_id == p.operation_id)
    ended = (
        select(line.fair_pack_id)
        .join(t.earmark_event, v.earmark_id == line.earmark_id)
        .join(t.undone, back.act_id == v.operation_id)
        .where(v.why.in_(("freed", "taken")))
    )
    return select(made.union(ended).subquery().c[0])


def sales_of(conn: Connection, fair: Fair) -> list[int]:
    """Ids of the sales of a fair: its packs, and what else was sold by fair on its days, unless it was called off."""
    s, sold, p = t.sale.c, t.fair_pack_sale.c, t.fair_pack.c
    packed = select(sold.sale_id).join(t.fair_pack, p.id == sold.fair_pack_id)
    of_packs = s.id.in_(packed.where(p.fair_id == fair.id))
    others = (s.channel == "fair") & s.sold_on.between(fair.held_on, fair.last_on) & s.id.not_in(packed)
    wanted = select(s.id).where(of_packs if fair.called_off else or_(of_packs, others))
    return list(conn.execute(wanted.order_by(s.id)).scalars())
