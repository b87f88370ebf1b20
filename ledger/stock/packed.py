"""Animals that lie packed for a fair: which pack they were in when they die or leave, said by its mark.

A pack keeps its animals by earmarks. What is said to have happened in a pack is taken from that pack's own; what is
not said to is taken from animals that lie in none, and only where there are too few of those it is asked. Reads only.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

from sqlalchemy import Connection, func, select

from ledger.errors import Ambiguous, NotEnough, NotFound
from ledger.records import tables as t
from ledger.records.undone import stands
from ledger.stock.holdings import Asked, Group, choose
from ledger.stock.naming import LotRef
from ledger.stock.tally import Tally
from ledger.stock.words import animals
from ledger.text import clean, quoted
from ledger.wording import counted, listed, say

_SHOWN = 6


@dataclass(frozen=True, slots=True)
class InPack:
    """Animals of one holding in one pack."""

    earmark: int
    holding: int
    stage_id: int
    count: int
    mark: str
    fair: str

    @property
    def words(self) -> str:
        """'A for Fenlow spring fair'."""
        return say("{mark} for {fair}", mark=self.mark, fair=self.fair)


def in_packs(conn: Connection, lot: int) -> list[InPack]:
    """What of a lot lies in packs that were neither sold nor taken apart, those packed last first."""
    h, on, line, p, f, c = (
        t.holding.c,
        t.earmark_on.c,
        t.fair_pack_line.c,
        t.fair_pack.c,
        t.fair.c,
        t.fair_change.c,
    )
    anew = select(c.name).where(c.fair_id == f.id, stands(c.operation_id)).correlate(t.fair)
    name = func.coalesce(anew.order_by(c.id.desc()).limit(1).scalar_subquery(), f.name).label("name")
    rows = conn.execute(
        select(on.earmark_id, on.holding_id, h.stage_id, on.count, p.mark, name)
        .join(t.fair_pack_line, line.earmark_id == on.earmark_id)
        .join(t.fair_pack, p.id == line.fair_pack_id)
        .join(t.fair, f.id == p.fair_id)
        .join(t.holding, h.id == on.holding_id)
        .where(h.lot_id == lot, on.count > 0)
        .order_by(on.earmark_id.desc(), on.holding_id)
    )
    return [InPack(*row) for row in rows]


def choose_in_pack(
    tally: Tally, lot: LotRef, which: Asked, mark: str, count: int, on: dt.date
) -> list[tuple[Group, int, InPack]]:
    """The animals meant, of the pack with a mark: (where they are, how many, in which pack).

    Raises:
        NotFound: no animal of the lot lies in such a pack.
        Ambiguous: packs of several fairs have the mark, or several kinds of animals lie in it.
        NotEnough: fewer lie in it.
    """
    typed = clean(mark, limit=12, field="pack")
    every = in_packs(tally.conn, lot.id)
    meant = [one for one in every if one.mark.casefold() == typed.casefold()]
    if not meant:
        raise _no_such_pack(lot, typed, every)
    fairs = list(dict.fromkeys(one.fair for one in meant))
    if len(fairs) > 1:
        raise Ambiguous(
            say(
                "Packs {mark} stand for {fairs}; take the one it was in apart first, then record what happened.",
                mark=typed,
                fairs=listed(fairs),
            ),
            field="pack",
        )
    groups = {group.holding: group for group in tally.groups(lot, on) if group.holding is not None}
    there = [one for one in meant if one.holding in groups and which.fits(groups[one.holding])]
    packed: dict[int, int] = {}
    for one in there:
        packed[one.holding] = packed.get(one.holding, 0) + one.count
    if count > sum(packed.values()):
        raise _too_few(lot, meant[0], which, count, sum(packed.values()))
    held = [replace(groups[holding], count=n, free=0) for holding, n in packed.items()]
    found = []
    for group, n in choose(lot.code, held, which, count, on):
        for one in there:
            part = min(n, one.count) if one.holding == group.holding else 0
            if part:
                n -= part
                found.append((groups[one.holding], part, one))
    return found


def ask_which_pack(conn: Connection, lot: LotRef, group: Group, count: int) -> None:
    """Ask in which pack animals lay that are gone, where too few lie in none and it could be several.

    Args:
        conn: a connection.
        lot: whose they are.
        group: where they were, as it stands without them gone.
        count: how many are gone.

    Raises:
        Ambiguous: it has to be said.
    """
    if count <= group.free:
        return
    here = [one for one in in_packs(conn, lot.id) if one.holding == group.holding]
    packs = list(dict.fromkeys((one.mark, one.fair) for one in here))
    loose = group.count - sum(one.count for one in here)
    if len(packs) < 2 or count <= loose:
        return
    marks = list(dict.fromkeys(mark for mark, _ in packs))
    what = animals(group.count, group.stage.name, group.key.sex, group.key.sure)
    raise Ambiguous(
        say(
            "{lot}: of {animals} {loose} in no pack, and {gone}; say which pack they lay in, such as "
            "{example}, or take one apart first. There are {packs}.",
            lot=lot.code,
            animals=what,
            loose=counted(loose, "only {n} lies", "only {n} lie") if loose else say("none lies"),
            gone=counted(count, "{n} is gone", "{n} are gone"),
            example=quoted(f"in pack {marks[0]}"),
            packs=_shown(here),
        ),
        field="pack",
        facts={"lot": lot.code, "packs": tuple(marks)},
        choices=tuple(f"{lot.code} in pack {mark}" for mark in marks),
    )


def short_now(packs: Sequence[InPack]) -> tuple[str, ...]:
    """What becomes of packs that lack animals now."""
    names = list(dict.fromkeys(one.words for one in packs))
    if not names:
        return ()
    return (
        counted(
            len({one.earmark for one in packs}),
            "A pack lacks animals now and is not sold like that: {packs}. Take it apart, and pack it anew.",
            "{n} packs lack animals now and are not sold like that: {packs}. Take them apart, and pack them anew.",
            packs=listed(names),
        ),
    )


def _no_such_pack(lot: LotRef, typed: str, every: Sequence[InPack]) -> NotFound:
    if not every:
        return NotFound(
            say("No animals of {lot} lie in a pack; leave the pack out.", lot=lot.code), "pack", {"lot": lot.code}
        )
    return NotFound(
        say(
            "No animals of {lot} lie in a pack {mark}; there are {packs}.",
            lot=lot.code,
            mark=quoted(typed),
            packs=_shown(every),
        ),
        "pack",
        {"lot": lot.code},
    )


def _too_few(lot: LotRef, pack: InPack, which: Asked, count: int, there: int) -> NotEnough:
    return NotEnough(
        say(
            "{lot} has {there} {kind} in pack {pack}, not {count}; choose another number, or record the others "
            "without the pack.",
            lot=lot.code,
            there=there,
            kind=which.kind(there),
            pack=pack.words,
            count=count,
        ),
        "count",
        {"lot": lot.code, "there": there, "asked": count},
    )


def _shown(packs: Collection[InPack]) -> str:
    names = list(dict.fromkeys(one.words for one in packs))
    more = [say("{n} more", n=len(names) - _SHOWN + 1)] if len(names) > _SHOWN else []
    return listed([*names[: _SHOWN - 1], *more] if more else names)
