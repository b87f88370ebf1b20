"""Verbs that show what things stand at and what an act would change: equipment, valuation, try."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from ledger.money import said
from tui.verbs import answer, typed
from tui.verbs.parser import Parser, common, with_day
from tui.verbs.place import to_read, to_write
from tui.verbs.said import from_line, words

if TYPE_CHECKING:
    from ledger.books.changes import FigureChange
    from ledger.books.valuation import ValuationRow
    from ledger.costs.equipment import EquipmentRow


def add(top: Parser) -> None:
    """Add these verbs."""
    parser = common(top.verb("equipment", "List lasting things with what is left of each.", equipment))
    with_day(parser, "on", "as it was on that day; else today")
    parser = common(
        top.verb("valuation", "Show a year's stock at actual and at standard cost. For your adviser.", valuation)
    )
    parser.add_argument("year", metavar="YEAR")
    parser = top.verb(
        "try",
        "Say which costs a line would change and by how much; nothing is saved.",
        attempt,
        epilog='rearledger try "P08 3 L3 died" --date 2025-01-10\nrearledger try heat 90.00 --date 2025-02-01',
    )
    common(parser).add_argument("words", metavar="WORDS", nargs="+", help="what happened or was spent")
    with_day(parser, "date", "the day it happened, if the line names none; else today")


def equipment(args: argparse.Namespace) -> int:
    """The register of equipment."""
    with to_read(args) as ledger:
        rows = ledger.equipment(typed.day(args.on, ledger, "on"))
        currency = ledger.currency

    def money(name: str, title: str | None = None, *, listed: bool = True) -> answer.Column[EquipmentRow]:
        return answer.Column(
            name, lambda row: answer.money(getattr(row, name), currency), title, figure=True, listed=listed
        )

    columns: tuple[answer.Column[EquipmentRow], ...] = (
        answer.Column("cost", lambda row: row.cost, figure=True),
        answer.Column("bought_on", lambda row: answer.day(row.bought_on), "bought on"),
        answer.Column("item", lambda row: row.item),
        money("basis", f"cost {currency.code}"),
        money("residual", listed=False),
        answer.Column("life_days", lambda row: row.life_days, figure=True),
        money("used_up"),
        money("left"),
        answer.Column("declining", lambda row: answer.rounded(row.declining, currency), "declining", figure=True),
        answer.Column("disposed_on", lambda row: answer.day(row.disposed_on), "gone on"),
        money("expensed", listed=False),
        money("proceeds", listed=False),
    )
    answer.write_rows(rows, columns, args.format, none="There is no equipment.")
    if args.format == "text" and rows:
        answer.say("")
        answer.say("Declining balance stands here for comparison only; costs go by equal parts a day.")
    return 0


def valuation(args: argparse.Namespace) -> int:
    """The stock of a year on both valuations."""
    year = typed.year(args.year)
    with to_read(args) as ledger:
        found = ledger.valuation(year)
        currency = ledger.currency

    def money(name: str, title: str | None = None, *, listed: bool = True) -> answer.Column[ValuationRow]:
        return answer.Column(
            name, lambda row: answer.money(getattr(row, name), currency), title, figure=True, listed=listed
        )

    columns: tuple[answer.Column[ValuationRow], ...] = (
        answer.Column("lot", lambda row: row.lot),
        answer.Column("species", lambda row: row.species, listed=False),
        answer.Column("stage", lambda row: row.stage),
        answer.Column("source", lambda row: row.source, listed=False),
        answer.Column("at_start", lambda row: row.at_start, "start", figure=True),
        answer.Column("at_end", lambda row: row.at_end, "end", figure=True),
        money("actual_at_start", listed=False),
        money("actual_at_end", f"actual {currency.code}"),
        money("standard_at_start", listed=False),
        money("standard_at_end", f"standard {currency.code}"),
        answer.Column("has_standard", lambda row: row.has_standard, listed=False),
        money("realisable", "would fetch"),
        money("lower_by", "lower by"),
    )
    if args.format == "json":
        answer.write_json(
            {
                "year": found.year,
                "currency": currency.code,
                "actual_change": answer.money(found.actual_change, currency),
                "standard_change": answer.money(found.standard_change, currency),
                "actual_result": answer.money(found.actual_result, currency),
                "standard_result": answer.money(found.standard_result, currency),
                "selling_part": float(found.selling_part),
                "lower_by": answer.money(found.lower_by, currency),
                "rows": [{one.key: one.value(row) for one in columns} for row in found.rows],
            }
        )
        return 0
    answer.write_rows(found.rows, columns, args.format, none="No animals at the start or the end of that year.")
    if args.format == "text":
        answer.say("")
        for name, change, result in (
            ("actual", found.actual_change, found.actual_result),
            ("standard", found.standard_change, found.standard_result),
        ):
            answer.say(
                f"At {name} cost: stock changed by {answer.money(change, currency)}, "
                f"result {answer.money(result, currency)} {currency.code}"
            )
        if any(not row.has_standard for row in found.rows):
            answer.say("Where no standard cost is set, the actual cost stands in its column.")
        if found.lower_by:
            answer.say(
                f"Caution: some would fetch less than they cost, {answer.money(found.lower_by, currency)} in all; "
                "this is not booked."
            )
        answer.say("The books stand at actual cost. Which valuation may be used is for local rules; ask.")
    return 0


def attempt(args: argparse.Namespace) -> int:
    """What a line would change."""
    with to_write(args) as ledger:
        found = ledger.what_changes(from_line(ledger, words(args), args.date))
        currency = ledger.currency
    coin = said(1, currency)
    columns: tuple[answer.Column[FigureChange], ...] = (
        answer.Column("figure", lambda row: row.figure),
        answer.Column("of", lambda row: row.of),
        answer.Column("before", lambda row: answer.rounded(row.before, currency), figure=True),
        answer.Column("after", lambda row: answer.rounded(row.after, currency), figure=True),
        answer.Column("by", lambda row: answer.money(row.shown_by, currency), figure=True),
    )
    if args.format == "json":
        answer.write_json(
            {
                "sentence": found.sentence,
                "cautions": list(found.cautions),
                "saved": False,
                "changes": [{one.key: one.value(row) for one in columns} for row in found.changes],
            }
        )
        return 0
    if args.format == "text":
        answer.say(f"Not saved: {found.sentence}")
        for caution in found.cautions:
            answer.say(f"Caution: {caution}")
        answer.say("")
    seen = [row for row in found.changes if args.format != "text" or 2 * abs(row.by) >= 1]
    less = len(found.changes) - len(seen)
    by_less = f" by enough to show, half of {coin} or more" if less else ""
    answer.write_rows(seen, columns, args.format, none=f"No figure of the costing would change{by_less}.")
    if seen and less:
        answer.say(f"and {less} more by less than half of {coin}")
    return 0
