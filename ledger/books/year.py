"""The books of one accounting year: the rows of every sheet, the income, and the checks that hold them together.

One reading for screens, exports and the closing of a year; each shows the same rows.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import Connection

from ledger.books.closing import differing
from ledger.books.controls import Controls, controls
from ledger.books.helps import TaxHelps, tax_helps
from ledger.books.income import Income, YearRows, income_of, year_rows
from ledger.books.late import LateFact, late_facts
from ledger.books.material import Material, material
from ledger.books.paper_rows import SalesRow
from ledger.books.stock_count import CountRow, count_rows
from ledger.costs.explain.parts import rounded
from ledger.rearing.report import BEFORE, RearingRow, rearing


@dataclass(frozen=True, slots=True)
class OriginRow:
    """What was sold under one stated origin."""

    number: int
    origin: str
    lines: int
    animals: int
    net: int


@dataclass(frozen=True, slots=True)
class RearedRow:
    """A row of the rearing report with its cost in whole minor units."""

    row: RearingRow
    known: bool
    """False where part of the cost was spent before the ledger was opened."""
    moved: int
    """Cost that moved into the reared stage, minor units."""


@dataclass(frozen=True, slots=True)
class YearBooks:
    """Everything about one accounting year."""

    given: Material
    rows: YearRows
    income: Income
    controls: Controls
    origins: tuple[OriginRow, ...]
    reared: tuple[RearedRow, ...]
    counts: tuple[CountRow, ...]
    """Counts of the year, with what they differed by."""
    late_here: tuple[LateFact, ...]
    """Facts of earlier years that are accounted in this one."""
    late_elsewhere: tuple[LateFact, ...]
    """Facts of this year that are accounted in a later one, since it was closed."""
    differing: tuple[str, ...] | None
    """Figures that come out otherwise now than they were kept at closing; `None`: it is not closed."""
    helps: TaxHelps


def year_books(conn: Connection, year: int) -> YearBooks:
    """The books of an accounting year, closed or still open.

    Raises:
        BadInput: there is no such year.
    """
    given = material(conn, year)
    rows = year_rows(conn, given)
    result = income_of(given, rows)
    return YearBooks(
        given=given,
        rows=rows,
        income=result,
        controls=controls(conn, given),
        origins=_origins(rows.sales),
        reared=tuple(_reared(row) for row in rearing(conn, given.last)),
        counts=count_rows(conn, given.first, given.last),
        late_here=late_facts(conn, accounted=(given.first, given.last), after=given.eve),
        late_elsewhere=late_facts(conn, happened=(given.first, given.last), after=given.last),
        differing=differing(conn, given, result),
        helps=tax_helps(conn, given.last),
    )


def _origins(sales: Sequence[SalesRow]) -> tuple[OriginRow, ...]:
    found: dict[str, list[SalesRow]] = {}
    for row in sales:
        if row.origin:
            found.setdefault(row.origin, []).append(row)
    return tuple(
        OriginRow(
            number=number,
            origin=origin,
            lines=len(found[origin]),
            animals=sum(row.animals + row.extra for row in found[origin]),
            net=sum(row.net for row in found[origin]),
        )
        for number, origin in enumerate(sorted(found), start=1)
    )


def _reared(row: RearingRow) -> RearedRow:
    each = row.cost_per_reared
    moved = 0 if each is None else rounded(each * row.cost_reached)
    return RearedRow(row, BEFORE not in row.notes, moved)
