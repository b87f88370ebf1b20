"""What an entry about origin would change: the lots that would read otherwise, found before anything is written."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from typing import Any

from sqlalchemy import Connection, Table, insert, select

from ledger.act import Act, Done
from ledger.origin.derive import Derived, affected
from ledger.origin.load import Facts, load
from ledger.origin.rules import evidence_in_words, label
from ledger.origin.service import derive
from ledger.records import tables as t
from ledger.wording import say

_NAMED = 6
"""Changed lots named one by one before the rest is only counted."""

Change = Callable[[Facts], Facts]


@dataclass(frozen=True, slots=True)
class OriginPlan:
    """Rows about origin that have been checked and can be written."""

    table: Table
    rows: tuple[dict[str, Any], ...]
    sentence: str
    cautions: tuple[str, ...]
    refs: tuple[tuple[str, int | str], ...] = ()


def commit_rows(conn: Connection, plan: OriginPlan, act: Act) -> Done:
    """Write the rows of a plan."""
    conn.execute(insert(plan.table), [{**row, "operation_id": act.operation} for row in plan.rows])
    return Done(plan.sentence, dict(plan.refs), plan.cautions)


def with_lot(facts: Facts, lot_id: int, **changed: Any) -> Facts:
    """The facts with something else on record of one lot."""
    return replace(facts, lots={**facts.lots, lot_id: replace(facts.lots[lot_id], **changed)})


def descendants(conn: Connection, lot_ids: Iterable[int]) -> set[int]:
    """The lots and every lot that may come from them: made from them, or young of their animals or of their mates."""
    after: dict[int, set[int]] = defaultdict(set)
    x = t.exposure.c
    for wanted in (
        select(t.lot_source.c.source_id, t.lot_source.c.lot_id),
        select(t.parent.c.parent_lot_id, t.parent.c.lot_id),
        select(x.male_lot_id, x.female_lot_id),
        select(x.female_lot_id, x.male_lot_id),
    ):
        for before, made in conn.execute(wanted):
            after[before].add(made)
    known: set[int] = set()
    nearest = set(lot_ids)
    while nearest:
        known |= nearest
        nearest = {made for one in nearest for made in after[one]} - known
    return known


def what_changes(conn: Connection, lot_ids: Iterable[int], change: Change, also: Iterable[int] = ()) -> tuple[str, ...]:
    """The lots that would read otherwise, one sentence each, and what to do about their sales.

    Args:
        conn: a connection.
        lot_ids: lots the entry is about.
        change: what it does to the facts.
        also: lots it names that these did not come from before.
    """
    facts = load(conn, {*descendants(conn, lot_ids), *also})
    before, after = derive(facts), derive(change(facts))
    changed = affected(before, after)
    said = [
        say("{code} will read {after}.", code=one.code, after=_words(after[one.lot_id], before[one.lot_id]))
        for one in changed
    ]
    if len(said) > _NAMED:
        said = [*said[: _NAMED - 1], say("{number} more lots will read otherwise.", number=len(said) - _NAMED + 1)]
    if changed:
        said.append(say("Look at the sales of these lots whose stated origin this changes, and tell the buyers."))
    return tuple(said)


def _words(now: Derived, was: Derived) -> str:
    if label(now.origin) != label(was.origin):
        return say("“{origin}”, not “{before}”", origin=label(now.origin), before=label(was.origin))
    return say(
        "evidence: {evidence}, not {before}",
        evidence=evidence_in_words(now.origin),
        before=evidence_in_words(was.origin),
    )
