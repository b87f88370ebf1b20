"""Acts that stay in the books: which of them undo refuses, by what they recorded."""

from __future__ import annotations

from sqlalchemy import Connection, select

from ledger.books.undo_instead import BY_KIND, INSTEAD, CannotUndo
from ledger.books.undo_said import SAID
from ledger.records import tables as t
from ledger.selling.fair_plans import SETTLED, holds_something, stays_changed
from ledger.selling.fairs import fairs
from ledger.wording import say

_KEPT_BY_A_YEAR = ("figure", "method", "lot_fact", "cost_change")
"""Tables whose rows change the costs of a year, also after it was closed."""


def refuse_what_stays(conn: Connection, act: int, kind: str, wrote: set[str]) -> None:
    """Refuse an act that recorded what cannot be taken back.

    Raises:
        CannotUndo: with what to do instead.
    """
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
