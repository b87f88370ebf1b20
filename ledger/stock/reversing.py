"""Taking movements back, alone or to record something else instead. Nothing is edited; a reversal is an entry.

By the day it happened a reversed pair is absent from every derivation; by the day it is accounted the reversal stands
on the first open day if the movement's year is closed, so a closed year never changes. A reversal is not reversed.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence

from sqlalchemy import Connection, select

from ledger.act import Scene
from ledger.errors import NotEnough, NotFound, Refused
from ledger.records import tables as t
from ledger.records.periods import accounting_day
from ledger.stock.commands import Correct, Reverse
from ledger.stock.drafts import Draft, ResolvedMove
from ledger.stock.journal import is_reversal_or_reversed
from ledger.stock.moving import taken_back_already
from ledger.stock.reasons import REASONS, Survival
from ledger.stock.recording import NOTE_LIMIT, EntriesPlan, Planner
from ledger.stock.story import MovementRow, movement_rows
from ledger.stock.tally import Tally
from ledger.stock.words import when
from ledger.text import clean_block
from ledger.wording import listed, say, strung, word

_MOST_LISTED = 6


def reversal_drafts(conn: Connection, movements: Collection[int], note: str = "") -> tuple[Draft, ...]:
    """The entries that take movements back, one for each entry they belong to, ready for `write_entries`.

    Checks nothing but what the writer checks: a full credit takes the movements of its sale back with it.
    """
    return _drafts(conn, movement_rows(conn, movements=movements), note)


def _drafts(conn: Connection, rows: Sequence[MovementRow], note: str = "") -> tuple[Draft, ...]:
    drafts = []
    for entry in sorted({row.entry for row in rows}):
        mine = [row for row in rows if row.entry == entry]
        first = mine[0]
        moves = tuple(
            ResolvedMove(
                row.reason,
                row.count,
                row.target.holding if row.target else None,
                row.source.holding if row.source else None,
                cause=row.cause,
                value=row.value,
                estimated=row.estimated,
                explained=row.explained,
                reverses=row.id,
            )
            for row in mine
        )
        accounted = accounting_day(conn, first.accounting_on)
        drafts.append(Draft(first.happened_on, moves, first.happened_from, note, accounted))
    return tuple(drafts)


def plan_reverse(conn: Connection, command: Reverse, scene: Scene) -> EntriesPlan:
    """Check that a movement can be taken back, and with it those that are one act with it.

    Raises:
        NotFound: there is no such movement.
        Refused: it cannot be taken back, and what stands in the way.
    """
    rows = _with_its_own(conn, _movement(conn, command.movement))
    note = clean_block(command.note, limit=NOTE_LIMIT, field="note")
    return plan_back(conn, Tally(conn, scene), rows, note)


def plan_back(conn: Connection, tally: Tally, rows: Sequence[MovementRow], note: str) -> EntriesPlan:
    """Check that movements can be taken back together; raises Refused with what depends on them."""
    _nothing_relates(conn, rows)
    drafts = _drafts(conn, rows, note)
    try:
        tally.check_later_days(drafts)
        _enough_now(conn, drafts)
    except NotEnough as gap:
        raise _depends(conn, rows, gap) from gap
    return EntriesPlan(drafts, say("Taken back: {tally}.", tally=_said(tally, rows)), _cautions(drafts))


def _said(tally: Tally, rows: Sequence[MovementRow]) -> str:
    days = sorted({row.happened_on for row in rows})
    what = strung((row.words(tally.scene.currency) for row in rows), "; ")
    return say("{what}, {days}", what=what, days=listed([when(day) for day in days]))


def _cautions(drafts: Sequence[Draft]) -> tuple[str, ...]:
    late = {draft.accounting_on for draft in drafts if draft.accounting_on not in (None, draft.happened_on)}
    return tuple(
        say("It is accounted on {when}; a closed year stays as it is.", when=when(day))
        for day in late
        if day is not None
    )


def _movement(conn: Connection, number: int) -> MovementRow:
    found = movement_rows(conn, movements=[number])
    if not found:
        raise NotFound(
            say("There is no movement {number}; look its number up in the story of the lot.", number=number),
            field="movement",
            facts={"movement": number},
        )
    row = found[0]
    if row.reverses is not None:
        raise Refused(
            say(
                "Movement {number} takes movement {reverses} back, and that is not taken back in turn; record it "
                "again instead.",
                number=number,
                reverses=row.reverses,
            ),
            field="movement",
            facts={"movement": number},
        )
    if row.reversed_by is not None:
        raise taken_back_already(number)
    not_of_a_sale(conn, row)
    return row


def not_of_a_sale(conn: Connection, row: MovementRow) -> None:
    """Refuse what only a credit takes back."""
    o = row.operation
    sale = conn.execute(
        select(t.sale.c.number)
        .where(
            t.sale.c.operation_id.in_([o])
            | t.sale.c.id.in_(select(t.posting.c.sale_id).where(t.posting.c.operation_id == o))
            | t.sale.c.id.in_(select(t.credit.c.sale_id).where(t.credit.c.operation_id == o))
        )
        .limit(1)
    ).scalar()
    known = REASONS[row.reason]
    if sale is None and (known.by_hand or known.survival in (Survival.LINK, Survival.TRANSITION)):
        return
    name = say("sale {sale}", sale=sale) if sale else say("the sale")
    raise Refused(
        say("Movement {id} belongs to {name}; credit the sale instead.", id=row.id, name=name),
        field="movement",
        facts={"movement": row.id, "sale": sale},
    )


def _with_its_own(conn: Connection, row: MovementRow) -> list[MovementRow]:
    """The movement and those that make no sense without it: a whole merge, what hatched and what came out."""
    if row.reason == "merged":
        whole = [one for one in movement_rows(conn, entries=[row.entry]) if one.reason == "merged"]
        untouched_since(conn, whole)
        return whole
    same = {row.id, row.relates_to} if row.reason == "hatched" else {row.id}
    return [
        one
        for one in movement_rows(conn, entries=[row.entry])
        if one.id in same or (row.reason == "hatched out" and one.relates_to == row.id)
    ]


def untouched_since(conn: Connection, merged: Sequence[MovementRow]) -> None:
    """Refuse to take a merge back once its lot has another entry."""
    target = merged[0].target
    assert target is not None
    own = {row.id for row in merged}
    later = [row for row in movement_rows(conn, lots=[target.key.lot_id]) if row.stands and row.id not in own]
    if later:
        raise Refused(
            say(
                "The merge into {lot} can be taken back only while {lot} has no other entry; take back first: {later}.",
                lot=target.lot,
                later=_listed(later),
            ),
            field="movement",
            facts={"lot": target.lot, "depends": tuple(row.id for row in later)},
        )


def _nothing_relates(conn: Connection, rows: Sequence[MovementRow]) -> None:
    own = {row.id for row in rows}
    m = t.movement.c
    wanted = select(m.id).where(m.relates_to.in_(sorted(own)), m.id.not_in(own), ~is_reversal_or_reversed())
    related = movement_rows(conn, movements=conn.execute(wanted).scalars().all())
    if related:
        raise Refused(
            say(
                "Movement {id} can't be taken back while others rest on it; take back first: {related}.",
                id=rows[0].id,
                related=_listed(related),
            ),
            field="movement",
            facts={"movement": rows[0].id, "depends": tuple(row.id for row in related)},
        )


def _enough_now(conn: Connection, drafts: Sequence[Draft]) -> None:
    """Whether the animals are still where the movements took them."""
    needed: dict[int, int] = {}
    for draft in drafts:
        for move in draft.moves:
            for place, change in ((move.source, move.count), (move.target, -move.count)):
                if isinstance(place, int):
                    needed[place] = needed.get(place, 0) + change
    h = t.holding.c
    rows = conn.execute(select(h.id, h.count).where(h.id.in_(sorted(needed))))
    if any(count < needed[holding] for holding, count in rows):
        raise NotEnough(say("The animals are no longer there."))


def _depends(conn: Connection, rows: Sequence[MovementRow], gap: NotEnough) -> Refused:
    """The refusal that lists what was done with the animals since."""
    own = {row.id for row in rows}
    holdings = {row.target.holding for row in rows if row.target is not None}
    since = min(row.happened_on for row in rows)
    later = [
        row
        for row in movement_rows(conn, holdings=holdings)
        if row.stands
        and row.id not in own
        and row.happened_on >= since
        and row.source is not None
        and row.source.holding in holdings
    ]
    if not later:
        return gap
    return NotEnough(
        say(
            "Movement {id} can't be taken back: its animals have gone on since. These depend on it: {later}; "
            "take them back first, the last one first.",
            id=rows[0].id,
            later=_listed(later),
        ),
        field="movement",
        facts={**gap.facts, "movement": rows[0].id, "depends": tuple(row.id for row in later)},
    )


def _listed(rows: Sequence[MovementRow]) -> str:
    shown = [
        say(
            "movement {id} of entry {entry} ({number} {happened}, {day})",
            id=row.id,
            entry=row.entry,
            number=row.count,
            happened=word(REASONS[row.reason].done),
            day=when(row.happened_on),
        )
        for row in rows
    ]
    if len(shown) > _MOST_LISTED:
        shown = [*shown[: _MOST_LISTED - 1], say("{number} more", number=len(shown) - _MOST_LISTED + 1)]
    return listed(shown)


def plan_correct(conn: Connection, command: Correct, scene: Scene) -> EntriesPlan:
    """Check that a movement can be taken back and something else be recorded instead.

    Raises:
        NotFound, Refused: it cannot be taken back, or not be recorded like that.
    """
    row = _movement(conn, command.movement)
    if not REASONS[row.reason].by_hand or (row.relates_to is not None and row.reason == "hatched"):
        raise Refused(
            say(
                "Movement {id} ({done}) is part of a larger act; take it back and record anew.",
                id=row.id,
                done=word(REASONS[row.reason].done),
            ),
            field="movement",
            facts={"movement": row.id},
        )
    tally = Tally(conn, scene)
    _nothing_relates(conn, [row])
    back = _drafts(conn, [row])
    for draft in back:
        for move in draft.moves:
            tally.move(draft.happened_on, move.source, move.target, move.count)
    instead = Planner(tally, frozenset({row.id})).record(command.instead)
    drafts = (*back, *instead.drafts)
    try:
        tally.check_later_days(drafts)
    except NotEnough as gap:
        raise _depends(conn, [row], gap) from gap
    text = say("Taken back: {tally}. Instead: {sentence}", tally=_said(tally, [row]), sentence=instead.sentence)
    return EntriesPlan(drafts, text, tuple(dict.fromkeys((*_cautions(back), *instead.cautions))))
