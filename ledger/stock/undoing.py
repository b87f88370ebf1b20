"""Undo: take back one's own latest act on the stock, as long as it is one that leaves nothing behind."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from sqlalchemy import Connection, select

from ledger.act import Act, Done, Scene
from ledger.errors import NotFound, Refused
from ledger.records import tables as t
from ledger.stock.commands import Undo
from ledger.stock.journal import is_reversal_or_reversed
from ledger.stock.recording import EntriesPlan, commit_entries
from ledger.stock.reversing import not_of_a_sale, plan_back, untouched_since
from ledger.stock.story import movement_rows
from ledger.stock.tally import Tally
from ledger.wording import say


@dataclass(frozen=True, slots=True)
class UndoPlan:
    """What an undo takes back; before it is recorded it is not known whose, so it shows the latest act of all."""

    target: int
    """The operation."""
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
    target = last_act(conn, running(conn))
    if target is None:
        raise NotFound(NOTHING)
    return UndoPlan(target, take_back(conn, scene, target), scene)


def commit_undo(conn: Connection, plan: UndoPlan, act: Act) -> Done:
    """Take back the latest act of whoever asks, said in the same way (screen, command, ...)."""
    own = last_act(conn, act.operation)
    if own is None:
        raise NotFound(NOTHING)
    entries = plan.entries if own == plan.target else take_back(conn, plan.scene, own)
    return commit_entries(conn, entries, act)


def take_back(conn: Connection, scene: Scene, target: int, apart: Collection[int] = ()) -> EntriesPlan:
    """Check that the movements of an act can be taken back: all that stand, but those `apart`, and none of a sale.

    Raises:
        Refused: something was done with the animals since, or the act is one that is corrected otherwise.
    """
    rows = [row for row in movement_rows(conn, operations=[target]) if row.id not in apart]
    first = next(row for row in rows if row.stands)
    if any(row.reverses is not None for row in rows):
        raise Refused(
            say(
                "Your last act was a correction (movement {id}); correct it once more instead of undoing it.",
                id=first.id,
            ),
            facts={"movement": first.id},
        )
    for row in rows if not apart else ():
        not_of_a_sale(conn, row)
    made = conn.execute(select(t.lot.c.code).where(t.lot.c.operation_id == target)).scalars().all()
    standing = [row for row in rows if row.stands]
    if any(row.reason == "merged" for row in standing):
        untouched_since(conn, [row for row in standing if row.reason == "merged"])
    plan = plan_back(conn, Tally(conn, scene), standing, "")
    stays = tuple(say("{code} stays in the books, without these animals.", code=code) for code in made)
    return EntriesPlan(plan.drafts, plan.sentence, (*plan.cautions, *stays))


NOTHING = say("There is nothing of yours to undo in the stock.")


def last_act(conn: Connection, operation: int | None) -> int | None:
    """The latest operation with movements that stand: of the same person and source as `operation`, before it."""
    e, o, m = t.entry.c, t.operation, t.movement.c
    wanted = (
        select(e.operation_id)
        .join(t.movement, m.entry_id == e.id)
        .join(o, o.c.id == e.operation_id)
        .where(~is_reversal_or_reversed())
    )
    if operation is not None:
        mine = o.alias("mine")
        wanted = wanted.join(mine, mine.c.id == operation).where(
            o.c.id < operation, o.c.recorded_by == mine.c.recorded_by, o.c.source == mine.c.source
        )
    last: int | None = conn.execute(wanted.order_by(e.operation_id.desc()).limit(1)).scalar()
    return last


def running(conn: Connection) -> int | None:
    """The act being recorded in this transaction: the one operation without an outcome. None: a preview."""
    latest = select(t.operation.c.id).order_by(t.operation.c.id.desc()).limit(20).subquery()
    wanted = (
        select(latest.c.id)
        .outerjoin(t.outcome, t.outcome.c.operation_id == latest.c.id)
        .where(t.outcome.c.id.is_(None))
    )
    found: int | None = conn.execute(wanted.order_by(latest.c.id.desc()).limit(1)).scalar()
    return found
