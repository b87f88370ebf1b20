"""Taking movements back: reverse, correct, undo. Nothing is edited; a reversal is an entry of its own.

By the day it happened a reversed pair is absent from every derivation; by the day it is accounted the reversal stands
on the first open day if the movement's year is closed, so a closed year never changes. A reversal is not reversed.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from sqlalchemy import Connection, func, select

from ledger.act import Act, Done, Scene
from ledger.errors import NotEnough, NotFound, Refused
from ledger.records import tables as t
from ledger.records.periods import accounting_day
from ledger.stock.commands import Correct, Reverse, Undo
from ledger.stock.drafts import Draft, ResolvedMove
from ledger.stock.journal import is_reversal_or_reversed
from ledger.stock.moving import taken_back_already
from ledger.stock.reasons import REASONS, Survival
from ledger.stock.recording import NOTE_LIMIT, EntriesPlan, Planner, commit_entries, references
from ledger.stock.story import MovementRow, movement_rows
from ledger.stock.tally import Tally
from ledger.stock.words import listed, when
from ledger.text import clean_block

_MOST_LISTED = 6


def reversal_drafts(conn: Connection, rows: Sequence[MovementRow], note: str = "") -> tuple[Draft, ...]:
    """The entries that take movements back, one for each entry they belong to; nothing is checked here."""
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
    return _plan(conn, Tally(conn, scene), rows, note)


def _plan(conn: Connection, tally: Tally, rows: Sequence[MovementRow], note: str) -> EntriesPlan:
    _nothing_relates(conn, tally, rows)
    drafts = reversal_drafts(conn, rows, note)
    try:
        tally.check_later_days(drafts)
        _enough_now(conn, drafts)
    except NotEnough as gap:
        raise _depends(conn, tally, rows, gap) from gap
    return EntriesPlan(drafts, f"Taken back: {_said(tally, rows)}.", _cautions(tally, drafts))


def _said(tally: Tally, rows: Sequence[MovementRow]) -> str:
    days = sorted({row.happened_on for row in rows})
    what = "; ".join(row.words(tally.scene.currency) for row in rows)
    return f"{what}, {listed([when(day) for day in days])}"


def _cautions(tally: Tally, drafts: Sequence[Draft]) -> tuple[str, ...]:
    late = sorted({draft.accounting_on for draft in drafts if draft.accounting_on != draft.happened_on} - {None})
    return tuple(f"It is accounted on {when(day)}; a closed year stays as it is." for day in late if day)


def _movement(conn: Connection, number: int) -> MovementRow:
    found = movement_rows(conn, movements=[number])
    if not found:
        raise NotFound(
            f"There is no movement {number}; look its number up in the story of the lot.",
            field="movement",
            facts={"movement": number},
        )
    row = found[0]
    if row.reverses is not None:
        raise Refused(
            f"Movement {number} takes movement {row.reverses} back, and that is not taken back in turn; record it "
            "again instead.",
            field="movement",
            facts={"movement": number},
        )
    if row.reversed_by is not None:
        raise taken_back_already(number)
    _not_of_a_sale(conn, row)
    return row


def _not_of_a_sale(conn: Connection, row: MovementRow) -> None:
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
    name = f"sale {sale}" if sale else "the sale"
    raise Refused(
        f"Movement {row.id} belongs to {name}; credit the sale instead.",
        field="movement",
        facts={"movement": row.id, "sale": sale},
    )


def _with_its_own(conn: Connection, row: MovementRow) -> list[MovementRow]:
    """The movement and those that make no sense without it: a whole merge, what hatched and what came out."""
    if row.reason == "merged":
        whole = [one for one in movement_rows(conn, entries=[row.entry]) if one.reason == "merged"]
        _untouched_since(conn, whole)
        return whole
    same = {row.id, row.relates_to} if row.reason == "hatched" else {row.id}
    return [
        one
        for one in movement_rows(conn, entries=[row.entry])
        if one.id in same or (row.reason == "hatched out" and one.relates_to == row.id)
    ]


def _untouched_since(conn: Connection, merged: Sequence[MovementRow]) -> None:
    target = merged[0].target
    assert target is not None
    own = {row.id for row in merged}
    later = [
        row for row in movement_rows(conn, lots=[target.key.lot_id]) if row.stands and row.id not in own
    ]
    if later:
        raise Refused(
            f"The merge into {target.lot} can be taken back only while {target.lot} has no other entry; take back "
            f"first: {_listed(later)}.",
            field="movement",
            facts={"lot": target.lot, "depends": tuple(row.id for row in later)},
        )


def _nothing_relates(conn: Connection, tally: Tally, rows: Sequence[MovementRow]) -> None:
    own = {row.id for row in rows}
    m = t.movement.c
    wanted = select(m.id).where(m.relates_to.in_(sorted(own)), m.id.not_in(own), ~is_reversal_or_reversed())
    related = movement_rows(conn, movements=conn.execute(wanted).scalars().all())
    if related:
        raise Refused(
            f"Movement {rows[0].id} can't be taken back while others rest on it; take back first: {_listed(related)}.",
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
        raise NotEnough("The animals are no longer there.")


def _depends(conn: Connection, tally: Tally, rows: Sequence[MovementRow], gap: NotEnough) -> Refused:
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
    return NotEnough(
        f"Movement {rows[0].id} can't be taken back: its animals have gone on since. These depend on it: "
        f"{_listed(later)}; take them back first, the last one first.",
        field="movement",
        facts={**gap.facts, "movement": rows[0].id, "depends": tuple(row.id for row in later)},
    )


def _listed(rows: Sequence[MovementRow]) -> str:
    shown = [f"movement {row.id} ({row.count} {REASONS[row.reason].done}, {when(row.happened_on)})" for row in rows]
    if len(shown) > _MOST_LISTED:
        shown = [*shown[: _MOST_LISTED - 1], f"{len(shown) - _MOST_LISTED + 1} more"]
    return listed(shown)


def plan_correct(conn: Connection, command: Correct, scene: Scene) -> EntriesPlan:
    """Check that a movement can be taken back and something else be recorded instead.

    Raises:
        NotFound, Refused: it cannot be taken back, or not be recorded like that.
    """
    row = _movement(conn, command.movement)
    if not REASONS[row.reason].by_hand or (row.relates_to is not None and row.reason == "hatched"):
        raise Refused(
            f"Movement {row.id} ({REASONS[row.reason].done}) is part of a larger act; take it back and record anew.",
            field="movement",
            facts={"movement": row.id},
        )
    tally = Tally(conn, scene)
    _nothing_relates(conn, tally, [row])
    back = reversal_drafts(conn, [row])
    for draft in back:
        for move in draft.moves:
            tally.move(draft.happened_on, move.source, move.target, move.count)
    instead = Planner(tally, frozenset({row.id})).record(command.instead)
    drafts = (*back, *instead.drafts)
    try:
        tally.check_later_days(drafts)
    except NotEnough as gap:
        raise _depends(conn, tally, [row], gap) from gap
    text = f"Taken back: {_said(tally, [row])}. Instead: {instead.sentence}"
    return EntriesPlan(drafts, text, tuple(dict.fromkeys((*_cautions(tally, back), *instead.cautions))))


@dataclass(frozen=True, slots=True)
class UndoPlan:
    """What an undo would take back, by the latest act of anybody; the act itself looks for one's own."""

    entries: EntriesPlan
    scene: Scene

    @property
    def sentence(self) -> str:
        """What would be taken back."""
        return self.entries.sentence

    @property
    def cautions(self) -> tuple[str, ...]:
        """What to know first."""
        return self.entries.cautions


def plan_undo(conn: Connection, command: Undo, scene: Scene) -> UndoPlan:
    """Check that the latest act on the stock can be taken back.

    Raises:
        NotFound: there is none.
        Refused: it is not one that can be undone, and what to do instead.
    """
    return UndoPlan(_plan_undo(conn, scene, None), scene)


def commit_undo(conn: Connection, plan: UndoPlan, act: Act) -> Done:
    """Take back the latest act of whoever asks, said in the same way (screen, command, ...)."""
    return commit_entries(conn, _plan_undo(conn, plan.scene, act.operation), act)


def _plan_undo(conn: Connection, scene: Scene, operation: int | None) -> EntriesPlan:
    last = _last_act(conn, operation)
    if last is None:
        raise NotFound("There is nothing of yours to undo in the stock.")
    rows = movement_rows(conn, operations=[last])
    first = next(row for row in rows if row.stands)
    if any(row.reverses is not None for row in rows):
        raise Refused(
            f"Your last act was a correction (movement {first.id}); correct it once more instead of undoing it.",
            facts={"movement": first.id},
        )
    for row in rows:
        _not_of_a_sale(conn, row)
    linked = all(REASONS[row.reason].survival is Survival.LINK for row in rows)
    made = conn.execute(select(t.lot.c.code).where(t.lot.c.operation_id == last)).scalars().all()
    if made and not linked:
        raise Refused(
            f"Your last act added lot {made[0]}, and a lot stays in the books; take back its movement {first.id} "
            "instead if the animals never came.",
            facts={"lot": made[0], "movement": first.id},
        )
    standing = [row for row in rows if row.stands]
    if any(row.reason == "merged" for row in standing):
        _untouched_since(conn, [row for row in standing if row.reason == "merged"])
    plan = _plan(conn, Tally(conn, scene), standing, "")
    stays = tuple(f"{code} stays in the books, without these animals." for code in made)
    marks = conn.execute(select(func.count()).where(t.observation.c.operation_id == last)).scalar_one()
    if marks:
        stays += ("The marks made with it stay: what was seen was seen.",)
    return EntriesPlan(plan.drafts, plan.sentence, (*plan.cautions, *stays))


def _last_act(conn: Connection, operation: int | None) -> int | None:
    """The latest operation with movements that stand: of the same person and source as `operation`, before it."""
    e, o, m = t.entry.c, t.operation, t.movement.c
    wanted = (
        select(func.max(e.operation_id))
        .join(t.movement, m.entry_id == e.id)
        .join(o, o.c.id == e.operation_id)
        .where(~is_reversal_or_reversed())
    )
    if operation is not None:
        mine = o.alias("mine")
        wanted = wanted.join(mine, mine.c.id == operation).where(
            o.c.id < operation, o.c.recorded_by == mine.c.recorded_by, o.c.source == mine.c.source
        )
    last: int | None = conn.execute(wanted).scalar()
    return last


def undo_movements(conn: Connection, movements: Collection[int], note: str = "") -> tuple[Draft, ...]:
    """Entries that take back movements of a sale, for a full credit; the caller has checked that they stand."""
    return reversal_drafts(conn, movement_rows(conn, movements=movements), note)


__all__ = ["commit_entries", "commit_undo", "plan_correct", "plan_reverse", "plan_undo", "references", "undo_movements"]
