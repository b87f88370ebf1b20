"""Carrying movements out: counts, earmarks and age layers change as each movement finds its animals there.

Used by the writer of movements only, with the holdings locked and the journal rows written.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from sqlalchemy import Connection, bindparam, select, update

from ledger.act import Act
from ledger.errors import NotEnough
from ledger.records import tables as t
from ledger.records.columns import Whole
from ledger.stock.at_hand import change_count
from ledger.stock.balance import named
from ledger.stock.drafts import Draft, ResolvedMove
from ledger.stock.following import Following
from ledger.stock.holdings import HoldingKey
from ledger.stock.layering import KeptLayers, flow_of, rebuild_layers
from ledger.stock.layers import Flow, carry, in_turn, total
from ledger.stock.locks import Locked, Spot
from ledger.stock.reasons import REASONS, Survival
from ledger.stock.words import when
from ledger.wording import counted, say

_MORE, _ASIDE = bindparam("more", type_=Whole()), bindparam("aside", type_=Whole())
_GUARD = (
    update(t.holding)
    .where(
        t.holding.c.id == bindparam("holding"),
        t.holding.c.count + _MORE >= t.holding.c.earmarked + _ASIDE,
        t.holding.c.earmarked + _ASIDE >= 0,
    )
    .values(count=t.holding.c.count + _MORE, earmarked=t.holding.c.earmarked + _ASIDE)
)


@dataclass(frozen=True, slots=True)
class Step(Flow):
    """A movement on its way."""

    move: ResolvedMove = field(kw_only=True)


@dataclass(slots=True)
class Work:
    """What the movements of an act do to the holdings they touch."""

    conn: Connection
    act: Act
    locked: dict[int, Locked]
    counts: dict[int, int] = field(init=False)
    spots: dict[int, Spot] = field(init=False)
    following: Following = field(init=False)
    done: list[Step] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.counts = {holding: was.count for holding, was in self.locked.items()}
        self.spots = {holding: was.spot for holding, was in self.locked.items()}
        aside = {holding: was.earmarked for holding, was in self.locked.items()}
        self.following = Following(self.conn, self.act, aside)

    def carry_out(self, drafts: Sequence[Draft]) -> None:
        """Change counts and earmarks movement by movement, each when its animals are there."""
        steps = [self._step(draft, move) for draft in drafts for move in draft.moves]
        stuck = in_turn(steps, self.counts.__getitem__, self._make)
        if stuck:
            raise self._lacking(stuck)

    def _step(self, draft: Draft, move: ResolvedMove) -> Step:
        assert not isinstance(move.source, HoldingKey)
        assert not isinstance(move.target, HoldingKey)
        flow = flow_of(self.spots, move.source, move.target, move.count, draft.happened_on)
        return Step(flow.count, flow.source, flow.target, flow.on, flow.keeps_age, flow.in_proportion, move=move)

    def _make(self, step: Step) -> None:
        self.done.append(step)
        move, count = step.move, step.count
        if step.target is not None:
            self.counts[step.target] += count
        if step.source is not None:
            if move.earmark is not None:
                self._shorten_or_follow(step, count, move.earmark)
            gone = self._take_back_earmarks(step) if move.reverses else 0
            free = self.counts[step.source] - self.following.aside[step.source] - gone
            overflow = count - gone - free
            if overflow > 0:
                self._disturb(step, overflow, free)
            self.counts[step.source] -= count
        elif move.reverses:
            self._take_back_earmarks(step)

    def _disturb(self, step: Step, overflow: int, free: int) -> None:
        """Animals that are set aside have to go."""
        assert step.source is not None
        if step.move.free_only:
            what = named(self.conn, [step.source])[step.source]
            raise NotEnough(
                counted(
                    free,
                    "{where}: {animals} asked for, but only {n} is free; the others are held, kept back or to "
                    "be posted. Take fewer, or free some first.",
                    "{where}: {animals} asked for, but only {n} are free; the others are held, kept back or to "
                    "be posted. Take fewer, or free some first.",
                    where=what.where,
                    animals=what.some(step.count),
                ),
                field="count",
                facts={"lot": what.lot, "tub": what.tub, "stage": what.stage, "free": free, "asked": step.count},
            )
        self._shorten_or_follow(step, overflow)

    def _shorten_or_follow(self, step: Step, count: int, earmark: int | None = None) -> None:
        """So many of the animals of a step were set aside, perhaps under an earmark that is known."""
        assert step.source is not None
        lost = REASONS[step.move.reason].survival is Survival.LOST
        if step.target is None or (lost and not step.move.reverses):
            self.following.shorten(step.source, count, earmark)
        else:
            self.following.follow(step.source, step.target, count, earmark)

    def _take_back_earmarks(self, step: Step) -> int:
        wanted = (
            select(t.entry.c.operation_id)
            .join(t.movement, t.movement.c.entry_id == t.entry.c.id)
            .where(t.movement.c.id == step.move.reverses)
        )
        operation = self.conn.execute(wanted).scalar_one()
        back = step.target
        free = 0 if back is None else self.counts[back] - self.following.aside[back]
        return self.following.undo(operation, back, step.source, step.count, free)

    def _lacking(self, stuck: Sequence[Step]) -> NotEnough:
        first = stuck[0]
        assert first.source is not None
        asked = sum(step.count for step in stuck if step.source == first.source)
        there = self.counts[first.source]
        what = named(self.conn, [first.source])[first.source]
        return NotEnough(
            say(
                "{where} has only {some}, not {asked}; choose another number, or record more as found at count "
                "first ({when}).",
                where=what.where,
                some=what.some(there),
                asked=asked,
                when=when(first.on),
            ),
            field="count",
            facts={
                "lot": what.lot,
                "tub": what.tub,
                "stage": what.stage,
                "date": first.on,
                "there": there,
                "asked": asked,
                "offer": "found",
            },
        )

    def write_counts(self) -> None:
        """Write the counts, lowest id first, guarded; then what became of earmarks."""
        for holding, was in sorted(self.locked.items()):
            more = self.counts[holding] - was.count
            aside = self.following.aside[holding] - was.earmarked
            if not more and not aside:
                continue
            count, earmarked = was.count + more, was.earmarked + aside
            if count >= earmarked >= 0 and change_count(self.conn, holding, count, earmarked):
                continue
            if self.conn.execute(_GUARD, {"holding": holding, "more": more, "aside": aside}).rowcount != 1:
                what = named(self.conn, [holding])[holding]
                raise NotEnough(
                    say(
                        "{where}: the {kind} have changed meanwhile; look again and repeat.",
                        where=what.where,
                        kind=what.kind,
                    )
                )
        self.following.write()

    def write_layers(self, *, afresh: bool) -> None:
        """Bring the age layers up to date: by these movements, or from the journal where the past was touched."""
        if not afresh:
            kept = KeptLayers.read(self.conn, self.locked)
            afresh = any(total(kept.state[holding]) != was.count for holding, was in self.locked.items())
        if afresh:
            rebuild_layers(self.conn, self.locked)
            return
        for step in self.done:
            carry(kept.state, step)
        kept.write()
