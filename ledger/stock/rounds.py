"""Saving a round: its marks, and the movements found in it, in one act."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import Connection

from ledger.act import Act, Done, Scene
from ledger.errors import BadInput
from ledger.stock.checks import MarkPlan, differs, fed_already, plan_mark, write_marks
from ledger.stock.commands import SaveRound
from ledger.stock.moving import write_entries
from ledger.stock.purchases import write_purchases
from ledger.stock.recording import EntriesPlan, Planner, references, together
from ledger.stock.tally import Tally
from ledger.stock.words import place, when
from ledger.wording import counted, say, strung, word

_SAY_EACH = 3
"""Up to so many marks are said one by one."""


@dataclass(frozen=True, slots=True)
class RoundPlan:
    """A checked round."""

    on: dt.date
    marks: tuple[MarkPlan, ...]
    entries: EntriesPlan
    sentence: str
    cautions: tuple[str, ...]


def plan_round(conn: Connection, command: SaveRound, scene: Scene) -> RoundPlan:
    """Check the marks and records of a round; a count that does not agree is a caution, not a refusal.

    Raises:
        NotFound, BadInput, NotEnough, Ambiguous: one of them cannot be kept like that.
    """
    if not command.marks and not command.records:
        raise BadInput(say("There is nothing to save: mark a tub first."), field="marks")
    planner = Planner(Tally(conn, scene))
    tally = planner.tally
    on = tally.day(command.on)
    # Marks first: what was seen hard was there before the movements of the round.
    marks = tuple(plan_mark(tally, mark, on) for mark in command.marks)
    entries = together([planner.record(record) for record in command.records])
    tally.check_later_days(entries.drafts)
    disagree = [said for mark in marks if (said := differs(tally, mark, on))]
    twice = _said_twice(fed_already(conn, marks, on))
    text = strung((part for part in (_marks_said(marks, on), entries.sentence) if part), " ")
    return RoundPlan(on, marks, entries, text, (*disagree, *twice, *entries.cautions))


def _marks_said(marks: Sequence[MarkPlan], on: dt.date) -> str:
    if not marks:
        return ""
    if len(marks) <= _SAY_EACH:
        return say("{marks}, {day}.", marks=strung((mark.words for mark in marks), "; "), day=when(on))
    counts: dict[tuple[str, str], int] = {}
    for mark in marks:
        counts[mark.kind, mark.note] = counts.get((mark.kind, mark.note), 0) + 1
    kinds = strung((_kind_said(*kind, count) for kind, count in counts.items()), ", ")
    return say("Round of {day}: {kinds}.", day=when(on), kinds=kinds)


def _kind_said(kind: str, note: str, count: int) -> str:
    if kind == "fed":
        said = counted(count, "{n} tub fed", "{n} tubs fed")
    elif kind == "looked":
        said = counted(count, "{n} tub seen", "{n} tubs seen")
    else:
        said = strung((str(count), word(kind)))
    return say("{mark} ({note})", mark=said, note=note) if note else said


def _said_twice(marks: Sequence[MarkPlan]) -> tuple[str, ...]:
    """A second feeding on one day may be meant, and may be a line sent twice."""
    if not marks:
        return ()
    first = place(marks[0].lot.code, marks[0].tub)
    return (
        counted(
            len(marks),
            "{first} was marked as fed on that day already.",
            "{n} of them were marked as fed on that day already, {first} the first.",
            first=first,
        ),
    )


def commit_round(conn: Connection, plan: RoundPlan, act: Act) -> Done:
    """Write the marks, then the entries."""
    write_marks(conn, act, plan.marks, plan.on)
    refs: dict[str, int | str] = {}
    if plan.entries.drafts:
        written = write_entries(conn, act, plan.entries.drafts)
        refs = references(written, write_purchases(conn, act, plan.entries.drafts, written))
    return Done(plan.sentence, refs, plan.cautions)
