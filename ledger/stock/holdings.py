"""Which animals: what is in a lot on a day, and the one resolver of words to holdings.

Several stages, sexes or tubs and no word which is refused with the choices; nothing is ever guessed. Reads only.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from sqlalchemy import Connection, bindparam, select

from ledger.errors import Ambiguous, BadInput, NotEnough
from ledger.records import tables as t
from ledger.records.later import recall
from ledger.stock.at_hand import at_hand
from ledger.stock.journal import counts_on
from ledger.stock.naming import LotRef, StageRef, find_lot, match_stage, stage_ref, stages
from ledger.stock.words import SEXES, SURE, animals, place, sex_words, stage_words, tub_order, when
from ledger.text import clean_code, quoted
from ledger.wording import counted, listed, say, strung, word


class HoldingKey(NamedTuple):
    """What makes a holding one: lot, stage, sex and tub."""

    lot_id: int
    stage_id: int
    sex: str
    sure: str
    """probable or confirmed; empty for the unsexed."""
    tub: str
    """Empty: in no labelled tub."""


@dataclass(frozen=True, slots=True)
class Group:
    """The animals of a holding on a day."""

    key: HoldingKey
    stage: StageRef
    holding: int | None
    """None: no row yet, the animals come with what is being planned."""
    count: int
    free: int
    """Not set aside for anybody."""

    def words(self, lot: str, *, sex: bool = True, tub: bool = True) -> str:
        """'P08/07 L3 female': the animals as they can be typed."""
        where = place(lot, self.key.tub) if tub else lot
        sex_part = (sex_words(self.key.sex, self.key.sure) or "unsexed") if sex else ""
        loose = "in no tub" if tub and not self.key.tub else ""
        return strung((part for part in (where, self.stage.name, sex_part, loose) if part), " ")


@dataclass(frozen=True, slots=True)
class Asked:
    """Which animals were asked for, as far as said; None: not said."""

    stage: StageRef | None = None
    sex: str | None = None
    sure: str | None = None
    tub: str | None = None
    units: frozenset[str] = frozenset({"animal", "object", "specimen"})
    """Units of stage that can be meant."""
    before: int | None = None
    """Only stages before this position."""
    other_sex: tuple[str, str] | None = None
    """Not of this sex, equally sure."""
    sexes: frozenset[str] = frozenset()
    """Only of one of these; empty: of any."""
    other_tub: str | None = None
    """Not in this tub."""

    def fits(self, group: Group) -> bool:
        """Whether a group can be what was asked for."""
        return (
            group.count > 0
            and (group.stage.id == self.stage.id if self.stage else group.stage.unit in self.units)
            and self.sex in (None, group.key.sex)
            and self.sure in (None, group.key.sure)
            and (not self.sexes or group.key.sex in self.sexes)
            and self.tub in (None, group.key.tub)
            and (self.before is None or group.stage.position < self.before)
            and (group.key.sex, group.key.sure) != self.other_sex
            and group.key.tub != self.other_tub
        )

    def kind(self, count: int) -> str:
        """'L3', 'male animals': what was asked for, after a count."""
        noun = stage_words(self.stage.name, count) if self.stage else word("animal" if count == 1 else "animals")
        if self.before is not None and not self.stage:
            noun = say("animal of an earlier stage") if count == 1 else say("animals of an earlier stage")
        sex = sex_words(self.sex or "unsexed", self.sure or "")
        return strung((sex, noun)) if sex else noun


def read_sex(text: str | None) -> tuple[str | None, str | None]:
    """(sex, how sure) of 'female' or 'probable female'; None: not said.

    Raises:
        BadInput: it is no sex.
    """
    if text is None:
        return None, None
    head, _, last = text.strip().casefold().rpartition(" ")
    if last not in SEXES or (head and head not in SURE) or (head and last == "unsexed"):
        raise BadInput(
            say("{text} is no sex; choose one of: {sexes}.", text=quoted(text), sexes=strung(SEXES, ", ")),
            field="sex",
            facts={"text": text},
        )
    return last, head or None


def read_tub(text: str | None) -> str | None:
    """A tub label in capitals; empty for no labelled tub; None: not said. Raises BadInput."""
    return clean_code(text, field="tub") if text else text


def asked(
    known: Sequence[StageRef], stage: str | None, sex: str | None, tub: str | None, units: Collection[str]
) -> Asked:
    """The words of a command as a question. Raises NotFound and BadInput."""
    which = match_stage(known, stage) if stage is not None else None
    return Asked(which, *read_sex(sex), read_tub(tub), frozenset(units))


def choose(
    lot: str,
    groups: Sequence[Group],
    which: Asked,
    count: int,
    on: dt.date,
    *,
    free_only: bool = False,
    all_at_once: bool = True,
) -> list[tuple[Group, int]]:
    """The animals that were meant: of the one group that fits, or all there are of several.

    Args:
        lot: its code, for the sentences.
        groups: what is in the lot on that day.
        which: what was asked for.
        count: how many.
        on: the day, for the sentences.
        free_only: animals set aside may not be taken.
        all_at_once: several groups may be meant when their animals add up to `count`.

    Raises:
        NotEnough: fewer are there.
        Ambiguous: several fit; `choices` says them as they can be typed, `facts['groups']` field by field.
    """
    fit = sorted((group for group in groups if which.fits(group)), key=_in_order)
    there = sum(group.count for group in fit)
    free = sum(group.free for group in fit)
    if count > there or (free_only and count > free):
        stages_there = {group.stage.id: group.stage for group in fit}
        said = replace(which, stage=next(iter(stages_there.values()))) if len(stages_there) == 1 else which
        if not fit and which.sex is not None:
            other = [group for group in groups if replace(which, sex=None, sure=None).fits(group)]
            if other:
                raise _of_another_sex(lot, which, count, other, on)
        raise _too_few(lot, said, count, there, free, on)
    if len(fit) == 1 or (all_at_once and count == (free if free_only else there)):
        shares = [(group, min(count, group.free if free_only else group.count)) for group in fit]
        return [(group, share) for group, share in shares if share]
    raise _several(lot, fit)


def _in_order(group: Group) -> tuple[int, tuple[tuple[bool, int, str], ...], str, str]:
    return group.stage.position, tub_order(group.key.tub), group.key.sex, group.key.sure


def _too_few(lot: str, which: Asked, count: int, there: int, free: int, on: dt.date) -> NotEnough:
    where = place(lot, which.tub or "")
    facts = {"lot": lot, "tub": which.tub, "date": on, "there": there, "free": free, "asked": count}
    if count <= there:
        aside = there - free
        return NotEnough(
            say(
                "{where}: {count} {kind} asked for, but of {there} {free}; {aside}. Take fewer, or free some first.",
                where=where,
                count=count,
                kind=which.kind(count),
                there=there,
                free=counted(free, "only {n} is free", "only {n} are free"),
                aside=counted(
                    aside, "{n} is held, kept back or to be posted", "{n} are held, kept back or to be posted"
                ),
            ),
            field="count",
            facts=facts,
        )
    kind = which.kind(there)
    have = say("only {number} {kind}", number=there, kind=kind) if there else say("no {kind}", kind=kind)
    return NotEnough(
        say(
            "{where} has {have} on {day}, not {count}; choose another day or number, or record more as "
            "found at count first.",
            where=where,
            have=have,
            day=when(on),
            count=count,
        ),
        field="count",
        facts={**facts, "offer": "found"},
    )


def _of_another_sex(lot: str, which: Asked, count: int, other: Sequence[Group], on: dt.date) -> NotEnough:
    """Animals of a sex were asked for, and there are only others: to find more at a count would be bad advice."""
    where = place(lot, which.tub or "")
    shown = [animals(group.count, group.stage.name, group.key.sex, group.key.sure) for group in other]
    return NotEnough(
        say(
            "{where} has no {kind} on {day}; it has {animals}. Leave the sex out, or say the one they are recorded as.",
            where=where,
            kind=which.kind(0),
            day=when(on),
            animals=listed(shown[:4]),
        ),
        field="sex",
        facts={"lot": lot, "tub": which.tub, "date": on, "there": 0, "free": 0, "asked": count},
    )


def _shown(group: Group, by_tub: bool) -> str:
    here = animals(group.count, group.stage.name, group.key.sex, group.key.sure)
    if not by_tub:
        return here
    if not group.key.tub:
        return say("{animals} in no tub", animals=here)
    return say("{animals} in tub {tub}", animals=here, tub=group.key.tub)


def _several(lot: str, fit: Sequence[Group]) -> Ambiguous:
    by_stage = len({group.stage.id for group in fit}) > 1
    by_sex = len({(group.key.sex, group.key.sure) for group in fit}) > 1
    by_tub = len({group.key.tub for group in fit}) > 1
    shown = [_shown(group, by_tub) for group in fit]
    if len(shown) > 6:
        shown = [*shown[:5], say("{number} more", number=len(shown) - 5)]
    words = [name for name, many in (("stage", by_stage), ("sex", by_sex), ("tub", by_tub)) if many]
    return Ambiguous(
        say(
            "{lot} has {animals}; say which {what}.",
            lot=lot,
            animals=listed(shown),
            what=listed(map(word, words), "or"),
        ),
        field=words[0],
        facts={
            "lot": lot,
            "groups": tuple(
                {
                    "stage": group.stage.name,
                    "sex": group.key.sex,
                    "sure": group.key.sure,
                    "tub": group.key.tub,
                    "count": group.count,
                }
                for group in fit
            ),
        },
        choices=tuple(group.words(lot, sex=by_sex, tub=by_tub) for group in fit),
    )


_EVER_THERE = (
    select(
        t.holding.c.id.label("holding"),
        t.holding.c.sex,
        t.holding.c.sure,
        t.holding.c.tub,
        t.holding.c.count.label("now"),
        t.holding.c.earmarked,
        *t.stage.c,
    )
    .join(t.stage, t.stage.c.id == t.holding.c.stage_id)
    .where(t.holding.c.lot_id == bindparam("lot"))
    .order_by(t.holding.c.stage_id, t.holding.c.sex, t.holding.c.sure, t.holding.c.tub)
)
_THERE_NOW = _EVER_THERE.where(t.holding.c.count > 0)


def groups_of(conn: Connection, lot_id: int, on: dt.date | None = None) -> list[Group]:
    """What is in a lot: now, or at the end of a past day."""
    hand = at_hand(conn)
    if hand is not None and on is None:
        known = _stages_of_lot(conn, lot_id)
        return [
            Group(
                HoldingKey(lot_id, held.stage, held.sex, held.sure, held.tub),
                known[held.stage],
                held.id,
                held.count,
                max(0, held.count - held.earmarked),
            )
            for held in hand.of_lot(conn, lot_id)
            if held.count > 0
        ]
    rows = conn.execute(_THERE_NOW if on is None else _EVER_THERE, {"lot": lot_id}).all()
    then = {} if on is None else counts_on(conn, on, [row.holding for row in rows])
    found = []
    for row in rows:
        count = row.now if on is None else then.get(row.holding, 0)
        if count > 0:
            key = HoldingKey(lot_id, row.id, row.sex, row.sure, row.tub)
            found.append(Group(key, stage_ref(row), row.holding, count, max(0, min(count, row.now - row.earmarked))))
    return found


def _stages_of_lot(conn: Connection, lot_id: int) -> dict[int, StageRef]:
    def ask() -> dict[int, StageRef]:
        wanted = select(t.lot.c.species_id).where(t.lot.c.id == lot_id)
        return {stage.id: stage for stage in stages(conn, conn.execute(wanted).scalar_one())}

    return recall(conn, ("stages of lot", lot_id), (t.stage.name,), ask)


@dataclass(frozen=True, slots=True)
class Chosen:
    """Animals of one holding that were meant."""

    holding_id: int
    count: int
    there: int
    """How many the holding has."""
    key: HoldingKey
    stage: StageRef


def choose_holdings(
    conn: Connection,
    lot: LotRef | str,
    stage: str | None = None,
    sex: str | None = None,
    tub: str | None = None,
    count: int = 1,
    *,
    today: dt.date,
    on: dt.date | None = None,
    free_only: bool = False,
    units: Collection[str] = ("animal", "object", "specimen"),
) -> tuple[Chosen, ...]:
    """The holdings that words mean, now or (with `on`) at the end of a past day.

    Args:
        conn: a connection.
        lot: the lot or its code.
        stage, sex, tub: as far as said; `tub=''` means the animals in no labelled tub.
        count: how many animals.
        today: for the sentences.
        on: the day, if past.
        free_only: animals set aside may not be taken (sales, holds).
        units: units of stage that can be meant when none is named.

    Raises:
        NotFound, BadInput: a word means nothing here.
        NotEnough: fewer are there, or free.
        Ambiguous: several fit; the choices say which.
    """
    ref = lot if isinstance(lot, LotRef) else find_lot(conn, lot)
    past = on if on is not None and on < today else None
    groups = groups_of(conn, ref.id, past)
    known = stages(conn, ref.species_id) if stage is not None else ()
    which = asked(known, stage, sex, tub, units)
    return tuple(
        Chosen(group.holding, n, group.count, group.key, group.stage)
        for group, n in choose(ref.code, groups, which, count, past or today, free_only=free_only)
        if group.holding is not None
    )
