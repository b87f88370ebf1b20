"""Animals that leave without a sale: gifts, samples for schools, own use; and to whom they went.

Their cost leaves with them on a line of its own; whether their value is taxed is for the keeper's adviser.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from sqlalchemy import Connection, insert, select

from ledger.act import Act, Done, Scene
from ledger.errors import BadInput
from ledger.origin.fresh import kept
from ledger.records import tables as t
from ledger.selling.commands import GiveAway
from ledger.selling.customers import clean_name, find_or_add
from ledger.selling.flags import warnings
from ledger.selling.handing import state_origins
from ledger.selling.holds import sweep_lapsed
from ledger.stock.commands import Move, Record
from ledger.stock.naming import find_lot
from ledger.stock.recording import EntriesPlan, Planner, commit_entries, together
from ledger.stock.tally import Tally
from ledger.text import clean_block
from ledger.wording import say, strung, unended, word

REASONS = {"gift": "given away", "sample": "given away", "own use": "own use"}
_TAX = say("Animals given away or taken for own use may count for tax at their value; ask your adviser.")


@dataclass(frozen=True, slots=True)
class GivenRow:
    """Animals that left without a sale."""

    entry: int
    on: dt.date
    kind: str
    to: str
    animals: int
    lots: tuple[str, ...]
    note: str


def given(conn: Connection) -> tuple[GivenRow, ...]:
    """Everything given away by this verb, oldest first, without what was taken back."""
    g, e, m, h = t.giving.c, t.entry.c, t.movement.c, t.holding.c
    back = t.movement.alias("back")
    # What was given leads: joined from the other side every movement would be looked at.
    rows = conn.execute(
        select(g.entry_id, e.happened_on, g.kind, t.customer.c.name, m.count.label("n"), t.lot.c.code, e.note)
        .select_from(t.giving)
        .outerjoin(t.entry, e.id == g.entry_id)
        .outerjoin(t.movement, m.entry_id == e.id)
        .outerjoin(t.holding, h.id == m.from_holding_id)
        .outerjoin(t.lot, t.lot.c.id == h.lot_id)
        .outerjoin(t.customer, t.customer.c.id == g.customer_id)
        .outerjoin(back, back.c.reverses == m.id)
        .where(back.c.id.is_(None))
        .order_by(g.entry_id, m.id)
    )
    found: dict[int, GivenRow] = {}
    for entry, on, kind, to, count, lot, note in rows:
        if lot is None:
            continue
        so_far = found.get(entry)
        animals = count + (so_far.animals if so_far else 0)
        lots = tuple(dict.fromkeys((*(so_far.lots if so_far else ()), lot)))
        found[entry] = GivenRow(entry, on, kind, to or "", animals, lots, note)
    return tuple(found.values())


@dataclass(frozen=True, slots=True)
class GivePlan:
    """Animals that can be given away."""

    entries: EntriesPlan
    kind: str
    to: str
    sentence: str
    cautions: tuple[str, ...]


def plan_give(conn: Connection, command: GiveAway, scene: Scene) -> GivePlan:
    """Check animals that leave without a sale.

    Raises:
        BadInput, NotFound, NotEnough, Ambiguous: they cannot leave like that.
    """
    if command.kind not in REASONS:
        raise BadInput(say("Animals are given as one of: {reasons}.", reasons=strung(REASONS, ", ")), "kind")
    if not command.picks:
        raise BadInput(say("Say what is given: at least one kind of animal."), "picks")
    to = clean_name(command.to, "to")
    if to and command.kind == "own use":
        raise BadInput(say("What is for own use goes to nobody; leave the name out, or call it a gift."), "to")
    note = clean_block(command.note, limit=1900, field="note")
    planner = Planner(Tally(conn, scene))
    plans = []
    for pick in command.picks:
        move = Move(REASONS[command.kind], pick.count, pick.stage, pick.sex, pick.tub)
        plans.append(planner.record(Record(pick.lot, (move,), command.on, note=note or command.kind)))
    entries = together(plans)
    planner.tally.check_later_days(entries.drafts)
    species = {find_lot(conn, pick.lot).species_id for pick in command.picks}
    rules = warnings(conn, species, command.on, by_post=False, kept=kept(conn, scene.memo))
    kind = word(command.kind)
    how = say(" ({kind} to {customer}).", kind=kind, customer=to) if to else say(" ({kind}).", kind=kind)
    return GivePlan(
        entries,
        command.kind,
        to,
        strung((unended(entries.sentence), how), ""),
        (*entries.cautions, *rules.cautions, _TAX),
    )


def commit_give(conn: Connection, plan: GivePlan, act: Act) -> Done:
    """Write that they left, and to whom."""
    sweep_lapsed(conn, act)
    done = commit_entries(conn, plan.entries, act)
    customer_id = find_or_add(conn, plan.to) if plan.to else None
    e = t.entry.c
    entries = conn.execute(select(e.id).where(e.operation_id == act.operation).order_by(e.id)).scalars().all()
    conn.execute(
        insert(t.giving),
        [
            {"entry_id": entry, "kind": plan.kind, "customer_id": customer_id, "operation_id": act.operation}
            for entry in entries
        ],
    )
    if plan.kind != "own use":
        h, m = t.holding.c, t.movement.c
        lots = select(h.lot_id).join(t.movement, m.from_holding_id == h.id).where(m.entry_id.in_(entries))
        state_origins(conn, act, conn.execute(lots).scalars())
    return Done(plan.sentence, done.refs, plan.cautions)
