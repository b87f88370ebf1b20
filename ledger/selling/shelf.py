"""What can be taken from the lots during one plan or one act: each line knows what the lines before it took."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from sqlalchemy import Connection

from ledger.act import Scene
from ledger.errors import BadInput, NotEnough
from ledger.origin.fresh import kept
from ledger.records.columns import MOST_ANIMALS
from ledger.selling.parts import Part
from ledger.selling.plain import Plain, plain
from ledger.selling.standing import Standing, Taken, check_for_sale, choose_free, choose_ready, standing
from ledger.stock.figures import Figures, figures
from ledger.stock.holdings import Asked, Group, asked
from ledger.stock.naming import LotRef, StageRef, find_lot, stages
from ledger.stock.words import when
from ledger.wording import say

_UNITS = frozenset({"animal", "object", "specimen"})


@dataclass(slots=True)
class Shelf:
    """The lots as they stand, less what was taken in this plan.

    Args:
        conn: a connection.
        scene: when.
        on: the day by which hardness and purpose are judged.
        own: holds whose animals count as free.
        preferred: animals of these holdings are meant before others (those of the hold that is taken up).
        own_marks: earmarks whose animals count as free.
    """

    conn: Connection
    scene: Scene
    on: dt.date
    own: tuple[int, ...] = ()
    preferred: Mapping[int, int] = field(default_factory=dict)
    own_marks: tuple[int, ...] = ()
    _figures: Figures | None = None
    _lots: dict[str, LotRef] = field(default_factory=dict)
    _there: dict[int, list[Standing]] = field(default_factory=dict)
    _taken: dict[int, int] = field(default_factory=dict)
    """Of holdings in lots that were not looked at yet."""
    _kept: dict[object, object] | None = None

    @property
    def kept(self) -> dict[object, object]:
        """What is known of species, lots and origins since the last act that is not mere trade."""
        if self._kept is None:
            self._kept = kept(self.conn, self.scene.memo)
        return self._kept

    @property
    def figures(self) -> Figures:
        """Figures in force on the day."""
        if self._figures is None:
            found = self.kept.get(("figures", self.on))
            if not isinstance(found, Figures):
                found = self.kept["figures", self.on] = figures(self.conn, self.on)
            self._figures = found
        return self._figures

    def lot(self, code: str) -> LotRef:
        """A lot that is for sale on the day. Raises NotFound and Refused."""
        key = code.strip().upper()
        if key not in self._lots:
            for_sale = self.kept.get(("for sale", key, self.on))
            if isinstance(for_sale, LotRef):
                self._lots[key] = for_sale
                return for_sale
            lot = find_lot(self.conn, code)
            if self.on < lot.started_from:
                raise BadInput(
                    say(
                        "{code} started on {started}; nothing of it was there on {day}.",
                        code=lot.code,
                        started=when(lot.started_from),
                        day=when(self.on),
                    ),
                    "on",
                    {"lot": lot.code},
                )
            check_for_sale(self.conn, lot, self.on)
            self.kept["for sale", key, self.on] = self._lots[key] = lot
        return self._lots[key]

    def ready(self, code: str, count: int, stage: str | None, sex: str | None, tub: str | None) -> list[Part]:
        """Take ready animals. Raises Refused, NotEnough and Ambiguous."""
        key = ("plain", code, stage, sex, tub)
        part = self._plain_part(key, count)
        if part is not None:
            return [part]
        lot, which = self._asked(code, count, stage, sex, tub)
        there = self._of(lot)
        mine = [one for one in there if self.preferred.get(one.holding) and which.fits(one.group)]
        if sum([min(one.ready, self.preferred[one.holding]) for one in mine]) >= count:
            there = [replace(one, ready=min(one.ready, self.preferred[one.holding])) for one in mine]
        parts = self._take(lot, choose_ready(lot, there, which, count, self.on, self.scene.today))
        known = plain(self.conn, which, parts, self._ladder(lot), self.figures)
        if known is not None:
            self.kept[key] = known
        return parts

    def _plain_part(self, key: object, count: int) -> Part | None:
        """The animals of a line like one before it, where only their number can stop it."""
        known = self.kept.get(key)
        if not isinstance(known, Plain) or self.preferred or known.lot.id in self._there or type(count) is not int:
            return None
        taken = self._taken.get(known.held.id, 0) + count
        if count < 1 or not known.has(taken, self.on):
            return None
        self._taken[known.held.id] = taken
        return known.part(count)

    def free(self, code: str, count: int, stage: str | None, sex: str | None, tub: str | None) -> list[Part]:
        """Take animals nobody has a claim on, hard or soft. Raises NotEnough and Ambiguous."""
        lot, which = self._asked(code, count, stage, sex, tub)
        return self._take(lot, choose_free(lot, self._of(lot), which, count, self.on, self.scene.today))

    def again(self, parts: Iterable[Part], *, ready: bool) -> None:
        """Check that what a plan chose can still be taken; the holdings must be locked.

        Raises:
            NotEnough: somebody was quicker; says who has the animals.
        """
        for part in parts:
            there = self._of(part.lot)
            for holding, count in part.picks:
                one = next((one for one in there if one.holding == holding), None)
                have = 0 if one is None else one.ready if ready else one.free
                if have < count:
                    self._refuse(part, there, ready)
            self._take(part.lot, [Taken(one, n) for h, n in part.picks for one in there if one.holding == h])

    def _refuse(self, part: Part, there: Sequence[Standing], ready: bool) -> None:
        which = Asked(part.stage, part.sex, part.sure)
        today = self.scene.today
        tubs = {holding for holding, _ in part.picks}
        there = [one for one in there if one.holding in tubs]
        (choose_ready if ready else choose_free)(part.lot, there, which, part.count, self.on, today)
        raise NotEnough(
            say("{code}: the animals have changed meanwhile; look again and repeat.", code=part.lot.code), "count"
        )

    def _asked(
        self, code: str, count: int, stage: str | None, sex: str | None, tub: str | None
    ) -> tuple[LotRef, Asked]:
        if type(count) is not int or not 1 <= count <= MOST_ANIMALS:
            raise BadInput(
                say("The number must be from 1 to {most_animals}.", most_animals=f"{MOST_ANIMALS:,}"),
                "count",
                {"count": count},
            )
        lot = self.lot(code)
        return lot, asked(self._ladder(lot), stage, sex, tub, _UNITS)

    def _ladder(self, lot: LotRef) -> tuple[StageRef, ...]:
        """The stages of its species."""
        ladder = self.kept.get(("stages", lot.species_id))
        if not isinstance(ladder, tuple):
            ladder = self.kept["stages", lot.species_id] = stages(self.conn, lot.species_id)
        return ladder

    def _of(self, lot: LotRef) -> list[Standing]:
        if lot.id not in self._there:
            there = standing(self.conn, lot, self.figures, self.scene.now, own=self.own, marks=self.own_marks)
            self._there[lot.id] = [_less(one, self._taken.get(one.holding, 0)) for one in there]
        return self._there[lot.id]

    def _take(self, lot: LotRef, taken: Sequence[Taken]) -> list[Part]:
        used: dict[int, int] = defaultdict(int)
        for one in taken:
            used[one.standing.holding] += one.count
        self._there[lot.id] = [_less(one, used[one.holding]) for one in self._of(lot)]
        parts: dict[tuple[int, str, str], list[Taken]] = defaultdict(list)
        for one in taken:
            key = one.standing.group.key
            parts[key.stage_id, key.sex, key.sure].append(one)
        return [
            Part(
                lot,
                group[0].standing.group.stage,
                group[0].standing.group.key.sex,
                group[0].standing.group.key.sure,
                tuple((one.standing.holding, one.count) for one in group),
                tuple(due for one in group if one.count > one.standing.ready for due in one.standing.soft),
            )
            for group in parts.values()
        ]


def _less(one: Standing, count: int) -> Standing:
    if not count:
        return one
    was = one.group
    group = Group(was.key, was.stage, was.holding, was.count - count, max(0, was.free - count))
    return Standing(group, one.saleable, max(0, one.ready - count), max(0, one.free - count), one.soft, one.claims)
