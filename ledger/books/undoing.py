"""Undo: take back one's own latest act, whatever it recorded, in one act of its own.

What the act recorded is found by its rows (`undo_parts`), and each part of the books takes its own rows back: a sale
is credited in full, a cost or payment reversed, movements reversed, a hold released, a pack packed again; marks, prices
and dated figures no longer count. All of it or nothing. An act that cannot be taken back is never reached past to an
older one; the refusal says what to do instead.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, Row, select

from ledger.act import Act, Done, Plan, Scene
from ledger.books.undo_instead import CannotUndo
from ledger.books.undo_parts import Parts, parts_of
from ledger.costs.methods import forget
from ledger.errors import NotFound, Refused
from ledger.records import tables as t
from ledger.records.bringing import standing_file
from ledger.records.undone import write_undone
from ledger.stock.checks import soften
from ledger.stock.commands import Undo
from ledger.stock.undoing import running
from ledger.wording import say, strung

BROUGHT_IN = "bring-in"
"""Where acts that brought in a file were said: whoever asks at a screen did it there, too."""
PASSED_OVER = ("Undo", "KeepOutlook")
"""Acts that a keeper does not think of as one: after an undo the next goes one act further back."""
_AT_ONCE = 20


@dataclass(frozen=True, slots=True)
class UndoPlan:
    """What an undo does, planned by the parts of the books that do it."""

    target: int
    """The act that is taken back."""
    kind: str
    answer: dict[str, Any]
    """What was answered to it."""
    parts: Parts
    plans: tuple[Plan, ...]
    sentence: str
    cautions: tuple[str, ...]


def plan_undo(conn: Connection, command: Undo, scene: Scene) -> UndoPlan:
    """Check that the latest act of whoever asks can be taken back; a preview shows the latest act of all.

    Raises:
        NotFound: there is none.
        Refused: it is not one that can be undone, and what to do instead.
    """
    asking = running(conn)
    for found in _acts(conn, asking):
        if found.source == BROUGHT_IN and not _is_from(conn, asking, BROUGHT_IN):
            file = standing_file(conn, found.id)
            if file is None:
                continue
            raise Refused(
                say(
                    "Not undone: your last act brought in file {number}. A file is taken back as a whole, by x in the "
                    "list of files (7 Year, _) or rearledger bring-in undo {number}.",
                    number=file,
                ),
                facts={"file": file},
            )
        answer = json.loads(found.answer) if found.answer else {}
        try:
            parts = parts_of(conn, found.id, found.kind, answer, scene)
        except CannotUndo as why:
            said = str(answer.get("sentence", "")).rstrip(".") or say("of somebody erased since")
            raise Refused(
                say(
                    "Not undone: your last act was “{act}”; {instead}. An older act is set right by its number: a "
                    "movement or a cost is taken back, a sale is credited.",
                    act=said,
                    instead=why.instead,
                )
            ) from None
        if parts is None:
            continue
        plans = tuple(part.plan(conn, scene) for part in parts.each)
        text = _sentence(found.kind, answer, parts, plans)
        return UndoPlan(found.id, found.kind, answer, parts, plans, text, _cautions(plans))
    raise NotFound(say("There is nothing of yours to undo."))


def commit_undo(conn: Connection, plan: UndoPlan, act: Act) -> Done:
    """Take it back, part by part; each is checked again once those before it are done."""
    each: list[Done] = []
    for place, (part, first) in enumerate(zip(plan.parts.each, plan.plans, strict=True)):
        each.append(part.commit(conn, part.plan(conn, act.scene) if place else first, act))
    if not plan.parts.lot_stays:
        write_undone(conn, act, plan.target)
    soften(conn, plan.target)
    forget(conn)
    refs = {name: value for done in each for name, value in done.refs.items()}
    return Done(_sentence(plan.kind, plan.answer, plan.parts, each), refs, _cautions(each))


def _is_from(conn: Connection, asking: int | None, source: str) -> bool:
    """Whether the act that asks was said there; not known before it is recorded."""
    if asking is None:
        return False
    found = conn.execute(select(t.operation.c.source).where(t.operation.c.id == asking)).scalar()
    return bool(found == source)


def _sentence(kind: str, answer: dict[str, Any], parts: Parts, each: Sequence[Plan | Done]) -> str:
    """What is taken back: by the one part that does it, or as the act itself was said."""
    said = str(answer.get("sentence", ""))
    if len(each) == 1 and not parts.said:
        return each[0].sentence
    if kind != "lines" and said and not parts.credits:
        return say("Taken back: {act}", act=said)
    words = [one.sentence for one in each]
    return strung([*words, *([say("Taken back: {act}.", act=parts.said)] if parts.said else [])], " ")


def _cautions(each: Sequence[Plan | Done]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(caution for one in each for caution in one.cautions))


def _acts(conn: Connection, asking: int | None) -> Iterator[Row[Any, Any, Any, Any]]:
    """Acts that were answered and not undone, newest first: of the same person and source as the one that asks."""
    o = t.operation.c
    wanted = (
        select(o.id, o.kind, o.source, t.outcome.c.answer)
        .join(t.outcome, t.outcome.c.operation_id == o.id)
        .outerjoin(t.undone, t.undone.c.act_id == o.id)
        .where(o.kind.not_in(PASSED_OVER), t.undone.c.id.is_(None))
        .order_by(o.id.desc())
    )
    if asking is not None:
        mine = t.operation.alias("mine")
        wanted = wanted.join(mine, mine.c.id == asking).where(
            o.recorded_by == mine.c.recorded_by, o.source.in_((mine.c.source, BROUGHT_IN))
        )
    before = asking
    while True:
        page = conn.execute((wanted if before is None else wanted.where(o.id < before)).limit(_AT_ONCE)).all()
        yield from page
        if len(page) < _AT_ONCE:
            return
        before = page[-1].id
