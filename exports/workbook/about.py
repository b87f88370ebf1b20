"""The first sheet: what the workbook is, what it rests on, the inputs the formulas use, and where to find what."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from xlsxwriter.worksheet import Worksheet

from exports.workbook.sheet import FIRST_ROW, Cell, Column, Shown, Styles, Table, cell_name, money
from ledger.books.helps import CONTAINS, LABEL, TaxHelps
from ledger.books.year import YearBooks
from ledger.days import long_day
from ledger.money import Currency, said
from ledger.text import count_words

INPUTS = ("First_day", "Last_day", "Opening_animals", "Opening_cost")
"""Names that formulas use, in the order of their rows."""


_LABEL = f"{LABEL.capitalize()}."
_LIVE = "Formulas are live; what is typed over shows under Checks."
_PLAIN = "Values only: the formulas are left out, so nothing here is worked out again."


@dataclass(frozen=True, slots=True)
class Facts:
    """What is told of the workbook itself."""

    business: str
    made_at: str
    """Local date and minute, ISO 8601."""
    revision: int
    version: str
    """Of the program."""
    checksum: str
    """SHA-256 over the figures of the year."""
    cost_basis: str
    brood: str


def about(
    books: YearBooks, currency: Currency, facts: Facts, contents: Sequence[Table], *, plain: bool = False
) -> Table:
    """The rows of the first sheet: inputs first, in the order of INPUTS, contents last."""
    given, control = books.given, books.controls
    before = "from last year's closing" if control.from_closing else "reckoned now; last year is not closed"
    rows: list[list[Cell]] = [
        ["First day", Shown(given.first, "date"), "Name in formulas: First_day"],
        ["Last day", Shown(given.last, "date"), "Name in formulas: Last_day"],
        [
            "Animals at the start",
            Shown(control.animals_at_start, "whole"),
            f"Name in formulas: Opening_animals; {before}",
        ],
        [
            "Cost so far at the start",
            Shown(money(control.cost_at_start, currency), "money"),
            f"Name in formulas: Opening_cost; with brood; {before}",
        ],
        ["Business", facts.business, ""],
        ["Accounting year", given.period.name, f"{long_day(given.first)} to {long_day(given.last)}"],
        _state(books, facts),
        ["Currency", currency.code, f"{currency.digits} decimals; one currency in one workbook"],
        ["Basis", "cash and accruals, side by side", "Which one counts is for your adviser to say."],
        [
            "Valuation",
            "cost so far",
            "Weighted average by lot and stage; shared costs by animal-days and care weights. The sharing is a choice.",
        ],
        ["Amounts spent count", facts.cost_basis, "Gross, or net where tax is reclaimed."],
        ["Upkeep of breeders", facts.brood, "To their offspring, or expensed."],
        ["Made on", facts.made_at, f"Revision {facts.revision}"],
        ["Program", f"Rearledger {facts.version}", ""],
        ["Checksum", facts.checksum, "SHA-256 over the figures of the year, as kept when it is closed"],
        ["Your own hours", "in no total", "A memo beside the cost per reared adult on the sheet Rearing."],
        ["Own use, gifts", "may be taxable; ask", ""],
    ]
    rows += list(_helps(books.helps, currency))
    rows += [[table.name, table.title, table.sentence] for table in contents]
    return Table(
        "About",
        f"{facts.business or 'Year end'}: {given.period.name}",
        f"Year-end working paper, not a tax return. {_PLAIN if plain else _LIVE}",
        (
            Column("Item", "text", 26),
            Column("What it says", "wide", 44),
            Column("Remark", "wide", 84),
        ),
        rows,
    )


def _state(books: YearBooks, facts: Facts) -> list[Cell]:
    """Whether it is closed; of one that is not over, up to which day its figures are reckoned."""
    given, stands = books.given, "The figures of a closed year stand."
    if given.period.closed:
        return ["State", "closed", stands]
    if facts.made_at[:10] > given.last.isoformat():
        return ["State", "still open", stands]
    return [
        "State",
        f"still open; reckoned to {long_day(given.last)}",
        "Costs of days to come until then, such as of feed in use, count as used up: what a lot cost so far is less "
        f"today. {stands}",
    ]


def _helps(helps: TaxHelps, currency: Currency) -> Iterator[list[Cell]]:
    for one in helps.thresholds:
        yield [
            f"Threshold: {one.name}",
            f"{said(one.threshold, currency)}; in the year {said(one.year_total, currency)}; most in any twelve months "
            f"{said(one.highest, currency)}, to {long_day(one.highest_on)}",
            f"{_LABEL} As entered from {long_day(one.from_on)}{': ' + one.note if one.note else ''}. "
            f"The totals are {CONTAINS}.",
        ]
    for year in helps.keep:
        if helps.on == year.last_day:
            years = count_words(year.years, "year", "years")
            yield ["Keep these records until", long_day(year.keep_until), f"{_LABEL} {years}, as entered."]


def name_inputs(styles: Styles) -> None:
    """Give the inputs the names that formulas use."""
    for place, name in enumerate(INPUTS):
        row = cell_name(FIRST_ROW + place, 1)
        styles.book.define_name(name, f"=About!${row[0]}${row[1:]}")


def link_contents(sheet: Worksheet, styles: Styles, table: Table, contents: Sequence[Table]) -> None:
    """Make the names of the sheets lead to them."""
    first = FIRST_ROW + len(table.rows) - len(contents)
    for row, target in enumerate(contents, start=first):
        sheet.write_url(row, 0, f"internal:'{target.name}'!A1", styles.link, target.name)
