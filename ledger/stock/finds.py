"""Animals found at a count: where they belong, and which missing animals they turn out to be.

Reads only. A find cancels animals missing earlier in the same lot, the newest first, each up to its number; what is
found beyond that is an excess of its own.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Sequence
from dataclasses import dataclass, field, replace

from sqlalchemy import Connection, func, select

from ledger.errors import Ambiguous, BadInput
from ledger.records import tables as t
from ledger.stock.holdings import Asked, Group, HoldingKey
from ledger.stock.journal import is_reversal_or_reversed
from ledger.stock.naming import LotRef, StageRef
from ledger.stock.tally import Tally
from ledger.wording import listed, say


@dataclass(frozen=True, slots=True)
class Loss:
    """Animals missing at a count and not found since."""

    movement: int
    since: dt.date
    count: int
    holding: int


@dataclass(frozen=True, slots=True)
class Part:
    """Animals that come in, and the missing ones they are."""

    count: int
    missing: int | None = None
    since: dt.date | None = None


@dataclass(slots=True)
class FoundAgain:
    """The losses a find may cancel; each is used up as finds are planned."""

    conn: Connection
    without: frozenset[int] = frozenset()
    """Movements to look away from: they are about to be taken back."""
    _open: dict[int, list[Loss]] = field(default_factory=dict)
    """By lot, newest first."""

    def of(self, lot: LotRef, on: dt.date) -> list[Loss]:
        """What of a lot went missing up to a day and was not found again, newest first."""
        if lot.id not in self._open:
            self._open[lot.id] = self._read(lot)
        return [loss for loss in self._open[lot.id] if loss.since <= on and loss.count > 0]

    def _read(self, lot: LotRef) -> list[Loss]:
        m, e, h = t.movement.c, t.entry.c, t.holding.c
        stands = ~is_reversal_or_reversed() & m.id.not_in(self.without)
        missing = self.conn.execute(
            select(m.id, e.happened_on, m.count, m.from_holding_id)
            .join(t.entry, e.id == m.entry_id)
            .join(t.holding, h.id == m.from_holding_id)
            .where(h.lot_id == lot.id, m.reason == "missing", stands)
            .order_by(e.happened_on.desc(), m.id.desc())
        ).all()
        if not missing:
            return []
        found = (
            select(m.relates_to, func.sum(m.count))
            .where(m.relates_to.in_([row[0] for row in missing]), stands)
            .group_by(m.relates_to)
        )
        again = {row[0]: int(row[1]) for row in self.conn.execute(found)}
        return [Loss(row[0], row[1], row[2] - again.get(row[0], 0), row[3]) for row in missing]

    def use(self, lot: LotRef, on: dt.date, count: int, named: int | None) -> list[Part]:
        """Share found animals over losses; what is left over is the last part.

        Raises:
            BadInput: the loss that was named is none of this lot, or was found already.
        """
        here = [loss for loss in self.of(lot, on) if named in (None, loss.movement)]
        if named is not None and not here:
            raise BadInput(
                say(
                    "Movement {named} is no open loss of {code}: it must be animals missing there that were not "
                    "found since. Leave the number out.",
                    named=named,
                    code=lot.code,
                ),
                field="relates_to",
                facts={"movement": named, "lot": lot.code},
            )
        parts: list[Part] = []
        for loss in here:
            part = min(count, loss.count)
            if part:
                parts.append(Part(part, loss.movement, loss.since))
                at = self._open[lot.id].index(loss)
                self._open[lot.id][at] = replace(loss, count=loss.count - part)
                count -= part
        return [*parts, Part(count)] if count else parts


def only_stage(lot: LotRef, known: Sequence[StageRef]) -> StageRef:
    """The stage animals come in at when none is said; raises Ambiguous unless there is just one."""
    if len(known) == 1:
        return known[0]
    names = tuple(stage.name for stage in known)
    raise Ambiguous(
        say("{code}: say in which stage they come in: {names}.", code=lot.code, names=listed(names, "or")),
        field="stage",
        facts={"lot": lot.code},
        choices=names,
    )


def place_of_find(
    tally: Tally, lot: LotRef, which: Asked, on: dt.date, again: FoundAgain
) -> tuple[HoldingKey, StageRef]:
    """Where found animals belong: the one holding that fits, or what was said, or where they went missing.

    Raises:
        Ambiguous: several holdings fit.
    """
    known = {stage.id: stage for stage in tally.stages(lot.species_id)}
    which = replace(which, units=frozenset({"animal", "object"}))
    fit = [group for group in tally.groups(lot, on) if which.fits(group)]
    if len(fit) == 1:
        return fit[0].key, fit[0].stage
    if fit:
        raise _several_finds(lot, fit)
    if which.stage is None:
        holdings = {loss.holding for loss in again.of(lot, on)}
        keys = [key for key in map(tally.key, holdings) if which.fits(Group(key, known[key.stage_id], None, 1, 1))]
        if len(keys) == 1:
            return keys[0], known[keys[0].stage_id]
        return _key_said(lot, which, only_stage(lot, list(known.values())))
    return _key_said(lot, which, which.stage)


def _key_said(lot: LotRef, which: Asked, stage: StageRef) -> tuple[HoldingKey, StageRef]:
    sex = which.sex or "unsexed"
    return HoldingKey(lot.id, stage.id, sex, which.sure or "", which.tub or ""), stage


def _several_finds(lot: LotRef, fit: Collection[Group]) -> Ambiguous:
    choices = tuple(group.words(lot.code) for group in fit)
    return Ambiguous(
        say("{code}: say which the found animals are: {choices}.", code=lot.code, choices=listed(choices, "or")),
        field="stage",
        facts={"lot": lot.code},
        choices=choices,
    )
