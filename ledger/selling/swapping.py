"""Swaps: animals out against animals in at an agreed value each way, in one act and without cash.

The books see two halves of the same value. Out: a sale of channel 'swap', its lines at the agreed value, paid by a
payment of method 'swap', which settles and is no cash. In: movements 'swapped in' that carry the value, with a cost
of animals beside each, settled by the swap. Nothing is owed either way.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from sqlalchemy import Connection, func, insert, select

from ledger.act import Act, Done, Plan, Scene
from ledger.days import long_day
from ledger.errors import BadInput
from ledger.money import largest_remainder, said
from ledger.origin.rules import label
from ledger.records import tables as t
from ledger.records.columns import MOST_MONEY
from ledger.records.periods import accounting_day
from ledger.records.undone import reverses_nothing
from ledger.selling.commands import LineOf, Swap
from ledger.selling.customers import clean_name
from ledger.selling.lines import resolve_lines
from ledger.selling.prices import PriceList
from ledger.selling.sale import IN_KIND
from ledger.selling.selling import carry_out
from ledger.selling.shelf import Shelf
from ledger.selling.writing import PaidDraft, SaleDraft
from ledger.stock.commands import AddLot, Arrival
from ledger.stock.handlers import HANDLERS
from ledger.stock.purchases import CATEGORY
from ledger.text import clean_block
from ledger.wording import listed, say

SETTLED_BY_SWAP = "settled by swap"
"""Note of the payment beside a cost that no cash was spent on."""
_REASON = "swapped in"
_TAX = say("A swap may count as income at its value; ask your adviser.")


@dataclass(frozen=True, slots=True)
class SwapPlan:
    """A swap that has been checked and can be written."""

    draft: SaleDraft
    arriving: Plan
    sentence: str
    cautions: tuple[str, ...]


def plan_swap(conn: Connection, command: Swap, scene: Scene) -> SwapPlan:
    """Check a swap and say it in full.

    Raises:
        BadInput, NotFound, NotEnough, Ambiguous, Refused: it cannot be made like that.
    """
    if not isinstance(command.into_lot, AddLot):
        raise BadInput(say("Say what came in: a new lot of animals swapped in."), "into_lot")
    if command.on > scene.today:
        raise BadInput(say("{on} is still to come; a swap is recorded when it is made.", on=long_day(command.on)), "on")
    if not 1 <= command.value <= MOST_MONEY:
        raise BadInput(say("Agree on a value for the swap: more than nothing, and within reason."), "value")
    if not command.out:
        raise BadInput(say("Say what went out: at least one kind of animal."), "out")
    lines = [
        LineOf(pick.lot, pick.count, price, pick.stage, pick.sex, pick.tub)
        for pick, price in zip(
            command.out, largest_remainder(command.value, [pick.count for pick in command.out]), strict=True
        )
    ]
    shelf = Shelf(conn, scene, command.on)
    drafts = resolve_lines(conn, shelf, lines, PriceList(()), "retail", {})
    partner = clean_name(command.partner, "partner")
    draft = SaleDraft(
        drafts,
        command.on,
        partner,
        "swap",
        (),
        (PaidDraft(command.value, IN_KIND, command.on),),
        (),
        False,
        None,
        clean_block(command.note, limit=2000, field="note"),
        "swapped out",
    )
    coming = _with_value(command.into_lot, command)
    arriving = HANDLERS[AddLot].plan(conn, coming, scene)
    what = listed(
        [say("{animals} ({origin})", animals=line.words, origin=label(line.stated.origin)) for line in drafts]
    )
    parts = {
        "what": what,
        "on": long_day(command.on),
        "amount": said(command.value, scene.currency),
        "sentence": arriving.sentence,
    }
    return SwapPlan(
        draft,
        arriving,
        say(
            "{what} swapped with {partner}, {on}, at {amount} each way, without cash. {sentence}",
            partner=partner,
            **parts,
        )
        if partner
        else say("{what} swapped, {on}, at {amount} each way, without cash. {sentence}", **parts),
        (*arriving.cautions, _TAX),
    )


def commit_swap(conn: Connection, plan: SwapPlan, act: Act) -> Done:
    """Write a swap: animals out, animals in, and what the books see of both."""
    written = carry_out(conn, act, plan.draft, None)
    arrived = HANDLERS[AddLot].commit(conn, plan.arriving, act)
    _write_costs(conn, act, plan)
    assert written.entry is not None
    refs = {**arrived.refs, "sale": written.sale_id, "number": written.number, "entry": written.entry}
    return Done(say("{number}: {sentence}", number=written.number, sentence=plan.sentence), refs, plan.cautions)


def _with_value(coming: AddLot, command: Swap) -> AddLot:
    """The lot that comes in, its arrivals swapped in at the agreed value."""
    if not coming.arrivals or any(one.reason != _REASON for one in coming.arrivals):
        raise BadInput(say("What comes in by a swap is “swapped in”; record other animals by themselves."), "into_lot")
    if (coming.arrived_on or coming.started_on) != command.on:
        coming = replace(coming, arrived_on=command.on)
    if any(one.value is not None for one in coming.arrivals):
        if sum(one.value or 0 for one in coming.arrivals) != command.value:
            raise BadInput(say("The values of what comes in must come to the agreed value; leave them out."), "value")
        return coming
    shares = largest_remainder(command.value, [_number(one) for one in coming.arrivals])
    return replace(
        coming,
        arrivals=tuple(replace(one, value=share) for one, share in zip(coming.arrivals, shares, strict=True)),
    )


def _number(arrival: Arrival) -> int:
    return arrival.unsexed + arrival.males + arrival.females + arrival.hermaphrodites


def _write_costs(conn: Connection, act: Act, plan: SwapPlan) -> None:
    """A cost of animals beside each movement that came in, settled without cash."""
    m, e = t.movement.c, t.entry.c
    rows: Sequence[tuple[int, int]] = [
        (row[0], row[1])
        for row in conn.execute(
            select(m.id, m.value)
            .join(t.entry, e.id == m.entry_id)
            .where(e.operation_id == act.operation, m.reason == _REASON, m.value > 0)
            .order_by(m.id)
        )
    ]
    on = plan.draft.sold_on
    accounted = accounting_day(conn, on)
    for movement, value in rows:
        cost_id = conn.execute(
            insert(t.cost)
            .values(
                bought_on=on,
                accounting_on=accounted,
                supplier=plan.draft.customer,
                category=CATEGORY,
                text="swap",
                net=value,
                tax=0,
                gross=value,
                basis=value,
                share=10000,
                quantity="",
                unit="",
                kind="animals",
                scope="none",
                residual=0,
                movement_id=movement,
                original_currency="",
                original_amount="",
                rate="",
                note="",
                operation_id=act.operation,
            )
            .returning(t.cost.c.id)
        ).scalar_one()
        conn.execute(
            insert(t.cost_change).values(
                cost_id=cost_id,
                kind="paid",
                happened_on=on,
                accounting_on=accounted,
                amount=value,
                note=SETTLED_BY_SWAP,
                operation_id=act.operation,
            )
        )


# --- the other leg ----------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class CameIn:
    """Animals that came in by a swap."""

    lot: str
    species: str
    """'sun beetle (Pachnoda marginata)'."""
    stage: str
    count: int
    value: int
    """Agreed, minor units."""


def came_in(conn: Connection, operation: int) -> tuple[CameIn, ...]:
    """What came in by the act that a swapped sale was made in; nothing for any other sale."""
    m, e, h, sp = t.movement.c, t.entry.c, t.holding.c, t.species.c
    rows = conn.execute(
        select(
            t.lot.c.code,
            sp.common,
            sp.scientific,
            t.stage.c.name,
            func.sum(m.count).label("n"),
            func.sum(m.value).label("worth"),
        )
        .join(t.entry, e.id == m.entry_id)
        .join(t.holding, h.id == m.to_holding_id)
        .join(t.lot, t.lot.c.id == h.lot_id)
        .join(t.stage, t.stage.c.id == h.stage_id)
        .join(t.species, sp.id == t.lot.c.species_id)
        .where(e.operation_id == operation, m.reason == _REASON, reverses_nothing(m.reverses))
        .group_by(t.lot.c.code, sp.common, sp.scientific, t.stage.c.name, t.stage.c.position)
        .order_by(t.lot.c.code, t.stage.c.position)
    )
    return tuple(
        CameIn(
            row.code,
            say("{common} ({scientific})", common=row.common, scientific=row.scientific)
            if row.scientific
            else row.common,
            row.name,
            int(row.n),
            int(row.worth or 0),
        )
        for row in rows
    )
