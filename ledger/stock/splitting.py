"""Splitting a lot: part of it becomes a lot of its own, with the same clock.

Age layers, costs and origin go along in proportion; the engines read that from the movements.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from sqlalchemy import Connection

from ledger.act import Act, Done, Scene
from ledger.errors import BadInput
from ledger.records.columns import MOST_ANIMALS
from ledger.stock.commands import SplitLot
from ledger.stock.drafts import Draft, ResolvedMove
from ledger.stock.facts import purpose
from ledger.stock.figures import lot_fact
from ledger.stock.holdings import HoldingKey, read_tub
from ledger.stock.moving import write_entries
from ledger.stock.opening import NewLot, free_code, open_lot
from ledger.stock.phrases import Said, phrases
from ledger.stock.recording import NOTE_LIMIT, Planner, references
from ledger.stock.tally import Tally
from ledger.stock.words import when
from ledger.text import clean_block
from ledger.wording import say

NOT_YET = 0
"""Stands for the id of a lot that has no row yet."""


@dataclass(frozen=True, slots=True)
class RelotPlan:
    """Animals that go to a lot that is opened for them; their targets name it by `NOT_YET`."""

    new: NewLot
    draft: Draft
    sentence: str
    cautions: tuple[str, ...]


def plan_split(conn: Connection, command: SplitLot, scene: Scene) -> RelotPlan:
    """Check that part of a lot can become a lot of its own.

    Raises:
        NotFound, BadInput, NotEnough, Ambiguous: which animals is not clear, or they are not there.
        Refused: the code is taken.
    """
    planner = Planner(Tally(conn, scene))
    tally = planner.tally
    lot = tally.lot(command.lot)
    on = planner.days(lot, command.on, None)
    code = free_code(conn, command.new_code, "new_code")
    if not command.parts:
        raise BadInput(say("Say which animals go to the new lot."), field="parts")
    tally.next_record()
    moves: list[ResolvedMove] = []
    said: list[Said] = []
    for part in command.parts:
        if type(part.count) is not int or not 1 <= part.count <= MOST_ANIMALS:
            raise BadInput(
                say("The number must be from 1 to {most_animals}.", most_animals=f"{MOST_ANIMALS:,}"), field="count"
            )
        which = tally.asked(lot, part.stage, part.sex, part.tub, ("animal", "object", "specimen"))
        to_tub = read_tub(part.to_tub)
        for group, n in tally.choose(lot, which, part.count, on):
            tub = group.key.tub if to_tub is None else to_tub
            target = HoldingKey(NOT_YET, group.stage.id, group.key.sex, group.key.sure, tub)
            tally.move(on, group.holding or group.key, None, n)
            moves.append(ResolvedMove("split", n, group.holding or group.key, target))
            said.append(Said("split", n, group.stage.name, group.key, group.count))
    facts = [("purpose", purpose(command.purpose or lot_fact(conn, lot.id, "purpose", on) or "sale"))]
    place = lot_fact(conn, lot.id, "place", on)
    if place:
        facts.append(("place", place))
    note = clean_block(command.note, limit=NOTE_LIMIT, field="note")
    new = NewLot(
        code,
        lot.species_id,
        lot.started_from,
        lot.started_on,
        lot.line,
        note,
        lot.depth + 1,
        tuple(facts),
        ((lot.id, "split"),),
    )
    accounting_on, cautions = tally.accounting(on)
    draft = Draft(on, tuple(moves), None, note, accounting_on)
    tally.check_later_days([draft._replace(moves=tuple([move._replace(target=None) for move in moves]))])
    text = say(
        "{lot}: {animals} as {code}, {day}.",
        lot=lot.code,
        animals=phrases(said, scene.currency),
        code=code,
        day=when(on),
    )
    return RelotPlan(new, draft, text, (*cautions, *tally.cautions(on)))


def commit_relot(conn: Connection, plan: RelotPlan, act: Act) -> Done:
    """Open the new lot and move the animals into it."""
    lot_id = open_lot(conn, act, plan.new, plan.draft.happened_on)

    def placed(move: ResolvedMove) -> ResolvedMove:
        assert isinstance(move.target, HoldingKey)
        return move._replace(target=move.target._replace(lot_id=lot_id))

    draft = plan.draft._replace(moves=tuple([placed(move) for move in plan.draft.moves]))
    written = write_entries(conn, act, [draft])
    return Done(plan.sentence, {"lot": plan.new.code, **references(written)}, plan.cautions)


def clock(days: list[tuple[dt.date, dt.date]]) -> tuple[dt.date, dt.date]:
    """The range that holds the starts of several lots."""
    return min(first for first, _ in days), max(last for _, last in days)
