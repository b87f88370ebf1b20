"""Animals set aside: held for a buyer, kept back, or sold and to be posted.

An earmark never blocks what happens to animals. Deaths and exits take animals nobody has set aside first and then
shorten the newest earmark, those of packs last (`packed` asks in which one they lay); moves take them first too, and
then the newest earmark goes along. An earmark counts
animals of a holding and not of its age layers; `layers.readiness` takes them to be the hard ones first. Every change
is a row of its own (`earmark_event`); what stands now is a cache of their sum.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import ColumnElement, Connection, delete, insert, select, update

from ledger.act import Act
from ledger.errors import NotEnough, NotFound, Refused
from ledger.records import tables as t
from ledger.stock.balance import named
from ledger.stock.locks import lock
from ledger.wording import counted, say

Picks = Sequence[tuple[int, int]]
"""(holding, how many)."""


@dataclass(frozen=True, slots=True)
class Earmark:
    """An earmark and where its animals are now."""

    id: int
    kind: str
    """held, kept or to post."""
    asked: int
    now: int
    on: tuple[tuple[int, int], ...]
    """(holding, how many), by holding."""
    hold_line_id: int | None
    sale_line_id: int | None
    note: str
    ended: bool
    """Freed, or taken by a sale."""

    @property
    def short(self) -> int:
        """How many animals it lacks."""
        return 0 if self.ended else max(0, self.asked - self.now)


def make(
    conn: Connection,
    act: Act,
    kind: str,
    asked: int,
    picks: Picks,
    hold_line_id: int | None = None,
    sale_line_id: int | None = None,
    note: str = "",
) -> int:
    """Set animals aside.

    Args:
        conn: the transaction of the act.
        act: the act.
        kind: held, kept or to post.
        asked: how many the earmark is for.
        picks: animals and where they are; they must be free.
        hold_line_id, sale_line_id: what it belongs to, of the kinds held and to post.
        note: why, for animals kept back.

    Returns:
        The number of the earmark.

    Raises:
        NotEnough: fewer are free.
    """
    earmark_id: int = conn.execute(
        insert(t.earmark)
        .values(
            kind=kind,
            asked=asked,
            hold_line_id=hold_line_id,
            sale_line_id=sale_line_id,
            note=note,
            operation_id=act.operation,
        )
        .returning(t.earmark.c.id)
    ).scalar_one()
    add(conn, act, earmark_id, picks)
    return earmark_id


def add(conn: Connection, act: Act, earmark_id: int, picks: Picks) -> None:
    """Set more animals aside under an earmark, such as a replacement for one that died.

    Raises:
        NotEnough: fewer are free.
    """
    wanted: dict[int, int] = defaultdict(int)
    for holding, count in picks:
        wanted[holding] += count
    write_events(conn, act, [(earmark_id, holding, count, "made") for holding, count in sorted(wanted.items())])
    h = t.holding.c
    for holding, count in sorted(wanted.items()):
        guard = (
            update(t.holding)
            .where(h.id == holding, h.count - h.earmarked >= count)
            .values(earmarked=h.earmarked + count)
        )
        if conn.execute(guard).rowcount != 1:
            raise _not_free(conn, holding, count)


def _not_free(conn: Connection, holding: int, count: int) -> NotEnough:
    here = lock(conn, [holding])[holding]
    what = named(conn, [holding])[holding]
    have, free = here.count, here.count - here.earmarked
    return NotEnough(
        counted(
            free,
            "{where}: {animals} asked for, but only {n} of {have} is free; the others are held, kept "
            "back or to be posted. Take fewer, or free some first.",
            "{where}: {animals} asked for, but only {n} of {have} are free; the others are held, kept "
            "back or to be posted. Take fewer, or free some first.",
            where=what.where,
            animals=what.some(count),
            have=have,
        ),
        field="count",
        facts={"lot": what.lot, "tub": what.tub, "stage": what.stage, "there": have, "free": free, "asked": count},
    )


def free(conn: Connection, act: Act, earmark_id: int) -> None:
    """Give the animals of an earmark free again; it ends.

    Raises:
        Refused: it has ended already.
    """
    _end(conn, act, earmark_id, "freed")


def take(conn: Connection, act: Act, earmark_id: int) -> list[tuple[int, int]]:
    """End an earmark because its animals now go out; call `write_entry` next, in the same transaction.

    Returns:
        (holding, how many) as they are now, which may be fewer than asked for.

    Raises:
        Refused: it has ended already.
    """
    return _end(conn, act, earmark_id, "taken")


def ended_with(conn: Connection, earmark_id: int) -> list[tuple[int, int]]:
    """(holding, how many) of an earmark at the moment it ended."""
    v = t.earmark_event.c
    wanted = select(v.holding_id, v.change).where(v.earmark_id == earmark_id, v.why.in_(("freed", "taken")))
    return [(holding, -change) for holding, change in conn.execute(wanted.order_by(v.id)) if change]


def _end(conn: Connection, act: Act, earmark_id: int, why: str) -> list[tuple[int, int]]:
    known = {holding for holding, _ in _standing(conn, earmark_id)}
    while True:
        lock(conn, known)
        # Until they are locked its animals may still move to another holding.
        standing = _standing(conn, earmark_id)
        if {holding for holding, _ in standing} <= known:
            break
        known |= {holding for holding, _ in standing}
    found = get(conn, earmark_id)
    if found.ended:
        raise Refused(
            say("Earmark {earmark_id} has ended already; its animals were freed or went out.", earmark_id=earmark_id),
            facts={"earmark": earmark_id},
        )
    events = [(earmark_id, holding, -count, why) for holding, count in standing]
    # One that was shortened to nothing still ends with a row that says so.
    write_events(conn, act, events or [(earmark_id, _last_place(conn, earmark_id), 0, why)])
    h = t.holding.c
    for holding, count in standing:
        conn.execute(update(t.holding).where(h.id == holding).values(earmarked=h.earmarked - count))
    return standing


def _standing(conn: Connection, earmark_id: int) -> list[tuple[int, int]]:
    o = t.earmark_on.c
    rows = conn.execute(select(o.holding_id, o.count).where(o.earmark_id == earmark_id).order_by(o.holding_id))
    return [(row[0], row[1]) for row in rows]


def _last_place(conn: Connection, earmark_id: int) -> int:
    v = t.earmark_event.c
    wanted = select(v.holding_id).where(v.earmark_id == earmark_id).order_by(v.id.desc()).limit(1)
    holding: int = conn.execute(wanted).scalar_one()
    return holding


def write_events(conn: Connection, act: Act, events: Sequence[tuple[int, int, int, str]]) -> None:
    """Write (earmark, holding, change, why) and bring `earmark_on` up to date; holdings are left to the caller."""
    conn.execute(
        insert(t.earmark_event),
        [
            {
                "earmark_id": earmark_id,
                "holding_id": holding,
                "change": change,
                "why": why,
                "operation_id": act.operation,
            }
            for earmark_id, holding, change, why in events
        ],
    )
    changes: dict[tuple[int, int], int] = defaultdict(int)
    for earmark_id, holding, change, _ in events:
        changes[earmark_id, holding] += change
    o = t.earmark_on.c
    for (earmark_id, holding), change in changes.items():
        here = (o.earmark_id == earmark_id) & (o.holding_id == holding)
        if change and conn.execute(update(t.earmark_on).where(here).values(count=o.count + change)).rowcount == 0:
            conn.execute(insert(t.earmark_on).values(earmark_id=earmark_id, holding_id=holding, count=change))
        if change < 0:
            conn.execute(delete(t.earmark_on).where(here, o.count == 0))


def get(conn: Connection, earmark_id: int) -> Earmark:
    """One earmark.

    Raises:
        NotFound: there is none of that number.
    """
    found = _select(conn, t.earmark.c.id == earmark_id)
    if not found:
        raise NotFound(
            say("There is no earmark {earmark_id}.", earmark_id=earmark_id),
            field="earmark",
            facts={"earmark": earmark_id},
        )
    return found[0]


def earmarks(conn: Connection, kind: str | None = None) -> tuple[Earmark, ...]:
    """Earmarks that have not ended, oldest first."""
    every = _select(conn, t.earmark.c.kind == kind if kind is not None else t.earmark.c.id.is_not(None))
    return tuple(one for one in every if not one.ended)


def shorts(conn: Connection) -> tuple[Earmark, ...]:
    """Earmarks with fewer animals than they are for, oldest first."""
    return tuple(one for one in earmarks(conn) if one.short)


def _select(conn: Connection, condition: ColumnElement[bool]) -> list[Earmark]:
    k, v, o = t.earmark.c, t.earmark_event.c, t.earmark_on.c
    ended = select(v.id).where(v.earmark_id == k.id, v.why.in_(("freed", "taken"))).exists()
    rows = conn.execute(select(t.earmark, ended.label("ended")).where(condition).order_by(k.id)).all()
    standing: dict[int, list[tuple[int, int]]] = defaultdict(list)
    places = select(o.earmark_id, o.holding_id, o.count).join(t.earmark, k.id == o.earmark_id).where(condition)
    for row in conn.execute(places.order_by(o.holding_id)):
        standing[row[0]].append((row[1], row[2]))
    return [
        Earmark(
            row.id,
            row.kind,
            row.asked,
            sum(count for _, count in standing[row.id]),
            tuple(standing[row.id]),
            row.hold_line_id,
            row.sale_line_id,
            row.note,
            bool(row.ended),
        )
        for row in rows
    ]
