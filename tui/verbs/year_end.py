"""Verbs on the way to a year end: count the stock, see late facts, the keeper's own tax figures."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from ledger.errors import BadInput, Refused
from tui.verbs import answer, typed
from tui.verbs.parser import Parser, common, with_day
from tui.verbs.place import to_read, to_write

if TYPE_CHECKING:
    from ledger.books.helps import KeepRow, ThresholdRow
    from ledger.books.late import BothWays, LateFact
    from ledger.books.stock_count import ToCount


def add(top: Parser) -> None:
    """Add these verbs."""
    parser = top.verb(
        "stock-count",
        "List the stock to be counted, or record what was counted; what differs is recorded with its reason.",
        stock_count,
        epilog="rearledger stock-count --date 2025-12-31 --format csv > count.csv\n"
        "rearledger stock-count --date 2025-12-31 --from count.csv\n"
        "rearledger stock-count P08 L3 12 --reason died",
    )
    common(parser).add_argument("words", metavar="LOT STAGE NUMBER", nargs="*", help="what was counted; else the list")
    with_day(parser, "date", "the day it was counted; else today")
    parser.add_argument("--sex", metavar="SEX", help="if only those were counted")
    parser.add_argument("--tub", metavar="TUB", help="the same")
    parser.add_argument("--reason", metavar="WORDS", default="", help="of the difference; else missing, or found")
    parser.add_argument("--from", metavar="FILE", dest="file", help="the list, filled in: .csv, .xlsx or .ods")
    parser.add_argument("--note", metavar="WORDS", default="")
    parser = common(
        top.verb("late", "List facts of a year recorded after it was closed, and its stock at the end both ways.", late)
    )
    parser.add_argument("year", metavar="YEAR")
    helps = common(top.verb("tax-helps", "Show your own thresholds and dates to keep records; check your local rules."))
    parser = helps.verb(
        "threshold",
        "Set a threshold to compare the year and any twelve months with; none takes it away.",
        set_threshold,
        epilog='rearledger tax-helps threshold "small seller" 10000.00 --from 2025-01-01 --note "leaflet of 2025"',
    )
    common(parser).add_argument("name", metavar="NAME", help="your own name for it")
    parser.add_argument("amount", metavar="AMOUNT|none")
    with_day(parser, "from", "the day from which it counts; else today")
    parser.add_argument("--note", metavar="WORDS", default="", help="where it comes from")
    parser = common(helps.verb("keep", "Set for how many years records are kept; none takes it away.", set_keep))
    parser.add_argument("years", metavar="YEARS|none")
    with_day(parser, "from", "the day from which it counts; else today")
    parser.add_argument("--note", metavar="WORDS", default="", help="where it comes from")
    helps.set_defaults(run=tax_helps)


# --- counting -------------------------------------------------------------------------------------------------------


def stock_count(args: argparse.Namespace) -> int:
    """The list to count by, or a count."""
    from ledger.books.commands import Counted, CountStock

    if args.file is not None and args.words:
        raise BadInput("Name either a file or one lot, stage and number; keep one of them.", field="file")
    if args.file is None and not args.words:
        return _list_to_count(args)
    lines: list[int] = []
    if args.file is not None:
        from exports.bring_in.count_list import counted_in

        found = counted_in(Path(args.file))
        lines, counts = [row for row, _ in found], tuple(one for _, one in found)
    elif len(args.words) < 3:
        raise BadInput("Say the lot, the stage and how many were counted, such as P08 L3 12.", field="words")
    else:
        lot, *stage, number = args.words
        count = typed.whole(number, "a number counted", "count", least=0)
        counts = (Counted(lot, " ".join(stage), count, args.reason, args.sex, args.tub),)
    with to_write(args) as ledger:
        command = CountStock(typed.day_or_today(args.date, ledger), counts, args.note)
        try:
            return answer.done(ledger.do(command, source="command"), args.format)
        except Refused as refused:
            line = refused.facts.get("line")
            if not lines or not isinstance(line, int):
                raise
            sentence = f"{Path(args.file).name}, row {lines[line]}: {refused.sentence}"
            raise BadInput(sentence, refused.field, refused.facts) from refused


def _list_to_count(args: argparse.Namespace) -> int:
    with to_read(args) as ledger:
        rows = ledger.to_count(typed.day(args.date, ledger, "date"))
    columns: tuple[answer.Column[ToCount], ...] = (
        answer.Column("lot", lambda row: row.lot),
        answer.Column("species", lambda row: row.species, listed=False),
        answer.Column("stage", lambda row: row.stage),
        answer.Column("sex", lambda row: row.sex),
        answer.Column("tub", lambda row: row.tub),
        answer.Column("recorded", lambda row: row.expected, figure=True),
        answer.Column("counted_on", lambda row: answer.day(row.counted_on), "last counted"),
        answer.Column("counted", lambda row: None, listed=False),
        answer.Column("reason", lambda row: "", listed=False),
    )
    answer.write_rows(rows, columns, args.format, none="There is nothing to count.")
    return 0


# --- late facts -----------------------------------------------------------------------------------------------------


def late(args: argparse.Namespace) -> int:
    """Late facts of a year."""
    year = typed.year(args.year)
    with to_read(args) as ledger:
        found, currency = ledger.late(year), ledger.currency
    facts: tuple[answer.Column[LateFact], ...] = (
        answer.Column("happened_on", lambda row: answer.day(row.happened_on), "happened"),
        answer.Column("accounted_on", lambda row: answer.day(row.accounted_on), "accounted"),
        answer.Column("recorded_at", lambda row: row.recorded_at, listed=False),
        answer.Column("kind", lambda row: row.kind),
        answer.Column("number", lambda row: row.number),
        answer.Column("what", lambda row: row.what),
        answer.Column("amount", lambda row: answer.money(row.amount, currency), figure=True),
    )
    stock: tuple[answer.Column[BothWays], ...] = (
        answer.Column("lot", lambda row: row.lot),
        answer.Column("stage", lambda row: row.stage),
        answer.Column("in_books", lambda row: row.in_books, figure=True),
        answer.Column("known_now", lambda row: row.known_now, figure=True),
        answer.Column("differs", lambda row: row.differs, figure=True),
    )
    if args.format == "json":
        answer.write_json(
            {
                "year": year,
                "closed": found.period.closed,
                "facts": [{one.key: one.value(row) for one in facts} for row in found.facts],
                "stock": [{one.key: one.value(row) for one in stock} for row in found.stock],
            }
        )
        return 0
    answer.write_rows(found.facts, facts, args.format, none=f"Nothing of {year} was recorded after it was closed.")
    if args.format == "text":
        differing = [row for row in found.stock if row.differs]
        answer.say("")
        answer.say(f"Stock at the end of {answer.day(found.period.last_day)}, by the books and as known now")
        answer.write_rows(differing, stock, "text", none="The same both ways.")
    return 0


# --- tax helps ------------------------------------------------------------------------------------------------------


def tax_helps(args: argparse.Namespace) -> int:
    """What the keeper compares with."""
    from ledger.books.helps import CONTAINS, LABEL

    with to_read(args) as ledger:
        found = ledger.tax_helps()
        currency = ledger.currency
    thresholds: tuple[answer.Column[ThresholdRow], ...] = (
        answer.Column("threshold", lambda row: row.name),
        answer.Column("amount", lambda row: answer.money(row.threshold, currency), currency.code, figure=True),
        answer.Column("year", lambda row: answer.money(row.year_total, currency), "this year", figure=True),
        answer.Column("twelve_months", lambda row: answer.money(row.rolling, currency), figure=True),
        answer.Column("highest", lambda row: answer.money(row.highest, currency), "most in any twelve", figure=True),
        answer.Column("highest_on", lambda row: answer.day(row.highest_on), listed=False),
        answer.Column("reached", lambda row: row.reached),
        answer.Column("from_on", lambda row: answer.day(row.from_on), listed=False),
        answer.Column("note", lambda row: row.note),
    )
    keep: tuple[answer.Column[KeepRow], ...] = (
        answer.Column("year", lambda row: row.year, figure=True),
        answer.Column("keep_until", lambda row: answer.day(row.keep_until)),
        answer.Column("years", lambda row: row.years, figure=True),
        answer.Column("note", lambda row: row.note),
    )
    if args.format == "json":
        answer.write_json(
            {
                "on": answer.day(found.on),
                "label": LABEL,
                "contains": CONTAINS,
                "currency": currency.code,
                "thresholds": [{one.key: one.value(row) for one in thresholds} for row in found.thresholds],
                "keep": [{one.key: one.value(row) for one in keep} for row in found.keep],
            }
        )
        return 0
    answer.write_rows(found.thresholds, thresholds, args.format, none="No threshold was set.")
    if args.format == "text":
        if found.keep:
            answer.say("")
            answer.write_rows(found.keep, keep, "text", none="")
        answer.say("")
        answer.say(f"{LABEL[0].upper()}{LABEL[1:]}. The totals are {CONTAINS}.")
    return 0


def set_threshold(args: argparse.Namespace) -> int:
    """A threshold."""
    from ledger.books.commands import SetTaxHelp

    with to_write(args) as ledger:
        none = args.amount.strip().casefold() == "none"
        amount = None if none else typed.amount(args.amount, ledger.currency)
        day = typed.day(vars(args)["from"], ledger, "from") or ledger.today
        return answer.done(ledger.do(SetTaxHelp(f"threshold {args.name}", amount, day, args.note)), args.format)


def set_keep(args: argparse.Namespace) -> int:
    """How long records are kept."""
    from ledger.books.commands import SetTaxHelp

    none = args.years.strip().casefold() == "none"
    years = None if none else typed.whole(args.years, "a number of years", "years", most=100)
    with to_write(args) as ledger:
        day = typed.day(vars(args)["from"], ledger, "from") or ledger.today
        return answer.done(ledger.do(SetTaxHelp("keep years", years, day, args.note)), args.format)
