"""Recording what happened to the animals of a lot: one entry of movements, and objects that hatch.

Each act is a plan, which checks and says it in words, and a commit, which writes it.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from sqlalchemy import Connection

from ledger.act import Act, Done, Scene
from ledger.errors import BadInput, NotEnough
from ledger.records.columns import MOST_ANIMALS
from ledger.stock.commands import HatchOut, Move, Record
from ledger.stock.drafts import Draft, EntryWritten, ResolvedMove
from ledger.stock.finds import FoundAgain
from ledger.stock.holdings import HoldingKey, read_tub
from ledger.stock.moving import write_entries
from ledger.stock.naming import LotRef, match_stage
from ledger.stock.packed import in_packs, short_now
from ledger.stock.phrases import Said, joined, sentence
from ledger.stock.purchases import write_purchases
from ledger.stock.reasons import REASONS, Survival
from ledger.stock.resolving import resolve
from ledger.stock.tally import Tally
from ledger.stock.words import when
from ledger.text import clean_block
from ledger.wording import counted, say, strung, word

NOTE_LIMIT = 2000


@dataclass(frozen=True, slots=True)
class EntriesPlan:
    """Entries that have been checked and can be written."""

    drafts: tuple[Draft, ...]
    sentence: str
    cautions: tuple[str, ...] = ()
    supplier: str = ""
    """For the cost of animals bought."""


@dataclass(slots=True)
class Planner:
    """Plans the records of one act one after the other, each knowing those before it."""

    tally: Tally
    without: frozenset[int] = frozenset()
    """Movements that are taken back in the same act."""
    again: FoundAgain = field(init=False)

    def __post_init__(self) -> None:
        self.again = FoundAgain(self.tally.conn, self.without)

    def record(self, command: Record) -> EntriesPlan:
        """Plan the movements of one lot."""
        if not command.moves:
            raise BadInput(say("Say what happened: at least one movement."), field="moves")
        lot = self.tally.lot(command.lot)
        on = self.days(lot, command.on, command.happened_from)
        self.tally.next_record()
        moves, said, aside = self._resolve_all(lot, command.moves, on)
        accounting_on, cautions = self.tally.accounting(on)
        note = clean_block(command.note, limit=NOTE_LIMIT, field="note")
        draft = Draft(on, tuple(moves), command.happened_from, note, accounting_on)
        if aside:
            cautions += (
                counted(
                    aside,
                    "{n} of them is held, kept back or to be posted: what they are set aside for goes along "
                    "if they move, and is short if they are gone.",
                    "{n} of them are held, kept back or to be posted: what they are set aside for goes along "
                    "if they move, and is short if they are gone.",
                ),
            )
            stages = {stage for move in moves for stage in self._stage(move)}
            packs = dict.fromkeys(one.words for one in in_packs(self.tally.conn, lot.id) if one.stage_id in stages)
            if packs:
                cautions += (say("Such animals lie in packs: {packs}.", packs=strung([*packs][:6], ", ")),)
        cautions += short_now(
            [words.pack for move, words in zip(moves, said, strict=True) if words.pack and _is_gone(move)]
        )
        text = sentence(lot.code, said, on, command.happened_from, self.tally.scene.currency)
        return EntriesPlan((draft,), text, (*cautions, *self.tally.cautions(on)))

    def _resolve_all(
        self, lot: LotRef, wanted: Sequence[Move], on: dt.date
    ) -> tuple[list[ResolvedMove], list[Said], int]:
        """The moves as movements, and how many animals set aside they take.

        In the order said, but a move whose animals only come with a later one waits for it.
        """
        moves: list[ResolvedMove] = []
        said: list[Said] = []
        aside = 0
        waiting = list(wanted)
        while waiting:
            still: list[Move] = []
            lacking: NotEnough | None = None
            for move in waiting:
                try:
                    parts = resolve(self.tally, lot, move, on, self.again)
                except NotEnough as refusal:
                    lacking = lacking or refusal
                    still.append(move)
                    continue
                for resolved, words in parts:
                    aside += self._set_aside(lot, resolved, on)
                    packed = resolved.earmark is not None
                    self.tally.move(on, resolved.source, resolved.target, resolved.count, aside=packed)
                    moves.append(resolved)
                    said.append(words)
            if lacking is not None and len(still) == len(waiting):
                raise lacking
            waiting = still
        return moves, said, aside

    def days(self, lot: LotRef, on: dt.date, happened_from: dt.date | None) -> dt.date:
        """The day of an entry, checked."""
        self.tally.day(on)
        if happened_from is not None and happened_from > on:
            raise BadInput(
                say(
                    "It cannot have begun on {first} and ended on {last}; swap the two days.",
                    first=when(happened_from),
                    last=when(on),
                ),
                field="happened_from",
            )
        if on < lot.started_from:
            raise BadInput(
                say(
                    "{lot} started on {started}; nothing happened to it on {day}. Choose a later day.",
                    lot=lot.code,
                    started=when(lot.started_from),
                    day=when(on),
                ),
                field="on",
                facts={"lot": lot.code, "started": lot.started_from, "date": on},
            )
        return on

    def _stage(self, move: ResolvedMove) -> tuple[int, ...]:
        """The stage a movement takes animals from; nothing where they come from outside."""
        if move.source is None:
            return ()
        key = move.source if isinstance(move.source, HoldingKey) else self.tally.key(move.source)
        return (key.stage_id,)

    def _set_aside(self, lot: LotRef, move: ResolvedMove, on: dt.date) -> int:
        """How many of the animals a movement takes are set aside."""
        if move.source is None or move.earmark is not None:
            return 0
        key = move.source if isinstance(move.source, HoldingKey) else self.tally.key(move.source)
        free = next((group.free for group in self.tally.groups(lot, on) if group.key == key), 0)
        return max(0, move.count - free)


def _is_gone(move: ResolvedMove) -> bool:
    """Whether its animals are no longer there for what they were set aside for."""
    return move.target is None or REASONS[move.reason].survival is Survival.LOST


def together(plans: Sequence[EntriesPlan]) -> EntriesPlan:
    """Several plans as one."""
    return EntriesPlan(
        tuple(draft for plan in plans for draft in plan.drafts),
        joined(plan.sentence for plan in plans),
        tuple(dict.fromkeys(caution for plan in plans for caution in plan.cautions)),
    )


def plan_record(conn: Connection, command: Record, scene: Scene) -> EntriesPlan:
    """Check movements of one lot and say them in full.

    Raises:
        NotFound, BadInput, NotEnough, Ambiguous: they cannot be recorded like that.
    """
    planner = Planner(Tally(conn, scene))
    plan = planner.record(command)
    planner.tally.check_later_days(plan.drafts)
    return plan


def commit_entries(conn: Connection, plan: EntriesPlan, act: Act) -> Done:
    """Write the entries of a plan."""
    written = write_entries(conn, act, plan.drafts)
    costs = write_purchases(conn, act, plan.drafts, written, plan.supplier)
    return Done(plan.sentence, references(written, costs), plan.cautions)


def references(written: Iterable[EntryWritten], costs: Sequence[int] = ()) -> dict[str, int | str]:
    """The numbers to find entries by: 'entry' and 'movement' the first, 'movements' all of them."""
    entries = list(written)
    movements = [number for entry in entries for number in entry.movement_ids]
    refs: dict[str, int | str] = {
        "entry": entries[0].entry_id,
        "movement": movements[0],
        "movements": strung(map(str, movements), " "),
    }
    if costs:
        refs["cost"] = costs[0]
    return refs


def plan_hatch(conn: Connection, command: HatchOut, scene: Scene) -> EntriesPlan:
    """Check that objects of a lot (ootheca, sac, clutch) hatch: they go out, and animals come in.

    Raises:
        NotFound, BadInput, NotEnough, Ambiguous: it cannot be recorded like that.
    """
    planner = Planner(Tally(conn, scene))
    tally = planner.tally
    lot = tally.lot(command.lot)
    on = planner.days(lot, command.on, command.happened_from)
    tally.next_record()
    for count, name in ((command.objects, "objects"), (command.animals, "animals")):
        if type(count) is not int or not 1 <= count <= MOST_ANIMALS:
            raise BadInput(
                say(
                    "The number of {name} must be from 1 to {most_animals}; objects nothing came out of have died.",
                    name=word(name),
                    most_animals=f"{MOST_ANIMALS:,}",
                ),
                field=name,
            )
    which = tally.asked(lot, command.stage, None, command.tub, ("object",))
    if which.stage is not None and which.stage.unit != "object":
        raise BadInput(
            say("{name} is not something that hatches whole; move them on instead.", name=which.stage.name),
            field="stage",
        )
    to_stage = match_stage(tally.stages(lot.species_id), command.to_stage, "to_stage")
    [(group, _)] = tally.choose(lot, which, command.objects, on, all_at_once=False)
    if to_stage.unit != "animal" or to_stage.position <= group.stage.position:
        raise BadInput(
            say(
                "{stage} cannot hatch into {later}; name a later stage.",
                stage=word(group.stage.name),
                later=word(to_stage.name),
            ),
            field="to_stage",
        )
    target = HoldingKey(lot.id, to_stage.id, "unsexed", "", read_tub(command.to_tub) or "")
    moves = (
        ResolvedMove("hatched out", command.objects, group.holding or group.key),
        ResolvedMove("hatched", command.animals, target=target, relates_to_move=0),
    )
    accounting_on, cautions = tally.accounting(on)
    note = clean_block(command.note, limit=NOTE_LIMIT, field="note")
    draft = Draft(on, moves, command.happened_from, note, accounting_on)
    tally.check_later_days([draft])
    said = [
        Said("hatched out", command.objects, group.stage.name, group.key, group.count),
        Said("hatched", command.animals, to_stage.name, target),
    ]
    text = sentence(lot.code, said, on, command.happened_from, scene.currency)
    return EntriesPlan((draft,), text, (*cautions, *tally.cautions(on)))
