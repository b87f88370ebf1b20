"""What an act recorded, and which part of the books takes each of it back.

An act is known by its rows alone, so that one with several lines is taken back like one with a single line. Of what an
act recorded only what still stands is taken back; rows that cannot be taken back refuse the whole act.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, bindparam, literal, select, union_all

from ledger.act import Scene
from ledger.books.commands import TakeBackFile
from ledger.books.undo_instead import BY_KIND, CannotUndo
from ledger.books.undo_refused import refuse_what_stays
from ledger.books.undo_rows import (
    MISTAKE,
    Part,
    by_command,
    costs_of,
    movements_of,
    payments_of,
    repacked,
    set_aside_by,
    standing_costs,
    standing_sales,
)
from ledger.books.undo_said import SAID, said_of
from ledger.costs.correcting import commit_uncorrect, plan_uncorrect
from ledger.records import tables as t
from ledger.records.bringing import standing_file
from ledger.records.commands import SetSetting
from ledger.records.handlers import HANDLERS as RECORDS
from ledger.records.settings import setting
from ledger.selling.commands import CreditSale
from ledger.selling.handlers import HANDLERS as SELLING
from ledger.selling.repacking import packs_sold_by
from ledger.wording import say


@dataclass(frozen=True, slots=True)
class Parts:
    """All that an act recorded and that still stands."""

    each: tuple[Part, ...]
    said: str
    """What no longer counts: '3 marks, 1 price'; empty: nothing of the kind."""
    credits: bool
    """Whether a sale is credited: its number is then part of what is said."""
    lot_stays: bool = False
    """Whether the act made a lot: it stays in the books with all that was said of it, and so does the act."""


_WROTE = union_all(
    *(
        select(literal(name).label("name"))
        .where(select(table.c.operation_id).where(table.c.operation_id == bindparam("act")).exists())
        .correlate(None)
        for name, table in sorted(t.metadata.tables.items())
        if "operation_id" in table.c and name not in ("outcome", "undone")
    )
)
"""The tables that one act wrote rows into, in one question."""
_TAKEN_BACK = {
    *("sale", "payment", "cost", "cost_change", "store_issue", "own_hours"),
    *("movement", "entry", "hold", "earmark", "queue_place", "fair_pack"),
    *SAID,
}
"""Tables of which an act that recorded in them was taken back when nothing of it stands."""


def parts_of(conn: Connection, act: int, kind: str, answer: Mapping[str, Any], scene: Scene) -> Parts | None:
    """What undoing an act takes back; `None`: all it recorded was taken back already.

    Raises:
        CannotUndo: something of it cannot be taken back.
    """
    wrote = set(conn.execute(_WROTE, {"act": act}).scalars())
    if kind == "CorrectCost":
        return _uncorrect(conn, act)
    if kind == "SetSetting":
        return Parts((_of_setting(conn, answer),), "", False)
    if "bring_in" in wrote:
        number = standing_file(conn, act)
        return None if number is None else Parts((_back_file(number),), "", False)
    refuse_what_stays(conn, act, kind, wrote)
    each: list[Part] = []
    sales = standing_sales(conn, act) if "sale" in wrote else []
    packed = "fair_pack_sale" in wrote
    each += [
        by_command(SELLING, CreditSale(number, scene.today, MISTAKE, repacked=packed, never=True)) for number in sales
    ]
    if packed and sales:
        each.append(repacked(packs_sold_by(conn, act)))
    each += payments_of(conn, act, wrote)
    each += costs_of(conn, act, wrote)
    each += set_aside_by(conn, act, kind, wrote)
    each += movements_of(conn, act, wrote)
    said = said_of(conn, act, wrote)
    if each or said:
        return Parts(tuple(each), said, bool(sales), "lot" in wrote)
    if wrote & _TAKEN_BACK:
        return None
    raise CannotUndo(BY_KIND.get(kind) or say("record what is right instead"))


def _back_file(number: int) -> Part:
    from ledger.books.bringing_back import commit_back, plan_back

    return Part(lambda conn, scene: plan_back(conn, TakeBackFile(number, scene.today), scene), commit_back)


def _uncorrect(conn: Connection, act: int) -> Parts | None:
    standing = standing_costs(conn, act)
    if not standing:
        return None
    c = t.cost.c
    # Not from the answer, which is gone where it named somebody erased since.
    old = conn.execute(select(c.reverses).where(c.operation_id == act, c.reverses.is_not(None))).scalar_one()
    new = standing[0]
    return Parts((Part(lambda conn, scene: plan_uncorrect(conn, new, old, scene), commit_uncorrect),), "", False)


def _of_setting(conn: Connection, answer: Mapping[str, Any]) -> Part:
    refs = answer.get("refs", {})
    name, before, after = (str(refs[key]) if key in refs else None for key in ("setting", "before", "after"))
    if name is None or before is None or setting(conn, name) != after:
        raise CannotUndo(say("it has been set anew since; set it as it should be"))
    return by_command(RECORDS, SetSetting(name, before))
