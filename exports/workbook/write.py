"""Puts the sheets together and writes the file, after the program has made every check itself.

A year that does not add up is still written, since somebody must be able to look: each of its titles says so.
"""

from __future__ import annotations

import datetime as dt
import io
from collections.abc import Callable
from dataclasses import dataclass, replace
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

from xlsxwriter import Workbook

from exports.files import write_revision
from exports.workbook import about, animals, chart, counting, papers, results, spending
from exports.workbook.sheet import CHECKED, Overall, Styles, Table, add_table
from ledger.books.checks import Check, checks_of
from ledger.books.closing import digest_of, figures_from
from ledger.books.year import YearBooks, year_books
from ledger.costs.methods import method
from ledger.days import long_day
from ledger.errors import BadInput
from ledger.ledger import Ledger
from ledger.money import Currency
from ledger.records.periods import period_by_year
from ledger.text import safe_name

DRAFT = "DRAFT, does not add up: "


@dataclass(frozen=True, slots=True)
class Written:
    """A workbook that was written."""

    path: Path
    checks: tuple[Check, ...]

    @property
    def draft(self) -> bool:
        """Whether a check does not hold, so that every title says it is a draft."""
        return not all(check.holds for check in self.checks)


Progress = Callable[[str, int, int], None]
"""Told of each sheet that is begun: its name, how many came before it, and how many there are."""


def _untold(_sheet: str, _done: int, _all: int) -> None:
    """Nobody wants to know."""


@dataclass(frozen=True, slots=True)
class Made:
    """A workbook that is to be written."""

    content: bytes
    checks: tuple[Check, ...]


def write(
    ledger: Ledger,
    year: int,
    to: Path,
    *,
    plain: bool = False,
    progress: Progress = _untold,
    make: Callable[[int], Made] | None = None,
) -> Written:
    """Write the workbook of an accounting year.

    Args:
        ledger: open, for reading at least.
        year: closed or still open.
        to: folder; the name is made from the business, the last day, the currency and a revision.
        plain: values only, and neither frozen panes nor filters, for readers that stumble over them.
        progress: told of each sheet that is begun.
        make: gives revision n in place of `made`, for who has it made elsewhere.

    Raises:
        BadInput: there is no such year, it has not begun, or nothing can be written there.
        DiskFull, DiskFault: it could not be written; nothing is left behind.
    """
    period = ledger.ask(period_by_year, year)
    if period.first_day > ledger.today:
        raise BadInput(f"{year} begins on {long_day(period.first_day)}; there is nothing to write of it yet.", "year")
    stem = f"{safe_name(ledger.name)}-year-end-{period.last_day.isoformat()}-{ledger.currency.code.lower()}"
    checks: tuple[Check, ...] = ()

    def content_of(number: int) -> bytes:
        nonlocal checks
        found = make(number) if make is not None else made(ledger, year, number, plain=plain, told=progress)
        checks = found.checks
        return found.content

    return Written(write_revision(to, stem, ".xlsx", content_of), checks)


def made(ledger: Ledger, year: int, revision: int, *, plain: bool = False, told: Progress = _untold) -> Made:
    """A revision of the workbook, and what its checks found.

    Raises:
        BadInput: there is no such year.
    """
    books = ledger.ask(year_books, year)
    found = checks_of(books)
    facts = about.Facts(
        business=ledger.name,
        made_at=ledger.scene.now,
        revision=revision,
        version=_version(),
        checksum=digest_of(figures_from(books.given, books.income)),
        cost_basis=ledger.ask(method, "cost basis", books.given.last),
        brood=ledger.ask(method, "brood", books.given.last),
    )
    return Made(content(books, found, facts, ledger.currency, plain=plain, progress=told), found)


def content(
    books: YearBooks,
    found: tuple[Check, ...],
    facts: about.Facts,
    currency: Currency,
    *,
    plain: bool = False,
    progress: Progress = _untold,
) -> bytes:
    """The workbook as bytes; the same for the same arguments."""
    tables = [
        results.income(books, currency),
        results.checks(found, currency),
        papers.sales(books, currency),
        papers.receipts(books, currency),
        spending.costs(books, currency),
        animals.movements(books, currency),
        animals.stock(books, currency),
        counting.counts(books),
        animals.rearing(books, currency),
        papers.origins(books, currency),
        spending.equipment(books, currency),
        papers.owed(books, currency),
        counting.late(books, currency),
    ]
    first = about.about(books, currency, facts, tables, plain=plain)
    if not all(check.holds for check in found):
        tables = [_draft(table) for table in tables]
        first = _draft(first)
    out = io.BytesIO()
    book = Workbook(out, {"in_memory": True})
    made = dt.datetime.fromisoformat(facts.made_at)
    book.set_properties({"title": first.title, "subject": first.sentence, "author": facts.business, "created": made})
    styles = Styles(book, currency, plain)
    summary = results.overall(found)
    cover = add_table(styles, first, Overall(CHECKED, summary.value))
    about.link_contents(cover, styles, first, tables)
    if not plain:
        about.name_inputs(styles)
    for done, table in enumerate(tables):
        progress(table.name, done, len(tables))
        is_checks = table.name == "Checks"
        sheet = add_table(styles, table, summary if is_checks else Overall(CHECKED, summary.value))
        if is_checks and not plain:
            open_checks = sum(1 for check in found if not check.holds)
            sheet.write_formula(2, 3, results.OPEN, styles.of("whole"), open_checks)
            book.define_name(results.OVERALL_NAME, "=Checks!$D$3")
    chart.add(styles, books, summary.value)
    book.close()
    return out.getvalue()


def _draft(table: Table) -> Table:
    return replace(table, title=DRAFT + table.title)


def _version() -> str:
    try:
        return version("rearledger")
    except PackageNotFoundError:
        return "not installed"
