"""Verbs that take the keeper's own words: record, sell, spend, hold, undo."""

from __future__ import annotations

import argparse
import sys
from dataclasses import replace
from typing import Any

from ledger.errors import BadInput, Refused
from ledger.text import quoted
from tui.verbs import answer, typed
from tui.verbs.parser import Parser, common, with_day
from tui.verbs.place import to_read, to_write
from tui.verbs.said import from_line, words

MOST_LINES = 10_000
LONGEST = 2_000
"""Most characters of a line."""


def add(top: Parser) -> None:
    """Add these verbs."""
    parser = top.verb(
        "record",
        "Record what happened, in one line of your own words.",
        record,
        epilog='rearledger record "P08 3 died"\nrearledger record P08 12 L3 to cocoon --date yesterday\n'
        "rearledger record - < notes.txt      many lines, all or none",
    )
    _words(parser, "what happened; - reads lines from standard input")
    with_day(parser, "date", "the day it happened, if the line names none; else today")
    parser = top.verb(
        "sell",
        "Sell animals with their origin stated.",
        sell,
        epilog="rearledger sell E03 5 at 18.00 to Tarn by post postage 8.50 paid\n"
        "rearledger sell E03 2.3 adult at 4.00 each to Tarn paid card --hold 7",
    )
    _words(parser, "what, at which price, to whom")
    with_day(parser, "date", "the day of the sale; else today")
    parser.add_argument("--hold", metavar="NUMBER", help="the hold that is taken up; its deposit counts as paid")
    parser.add_argument("--claim", metavar="ORIGIN", help="an origin to state that claims less than the records, as CBU")
    parser = top.verb(
        "spend",
        "Record what was bought or paid for.",
        spend,
        epilog="rearledger spend feed 24.00 Ombrel\nrearledger spend equipment 145 Nib lasts 5 years --text incubator\n"
        "rearledger spend power 96 --from 2025-01-01 --to 2025-03-31 --share 40%",
    )
    _words(parser, "on what, how much, from whom, for which lots or species")
    with_day(parser, "date", "the day it was bought; else today")
    with_day(parser, "from", "first day it is used up on")
    with_day(parser, "to", "last day it is used up on; else until the next is opened")
    parser.add_argument("--brood", action="store_true", help="for the young of the lots named, not for the lots")
    parser.add_argument("--share", metavar="PART", help="the part that is for the business, such as 60%%")
    parser.add_argument("--life", metavar="DAYS", help="how many days a lasting thing will last")
    parser.add_argument("--residual", metavar="AMOUNT", help="what a lasting thing will still be worth then")
    parser.add_argument("--text", metavar="WORDS", help="what it was")
    parser.add_argument("--quantity", metavar="WORDS", help="how much of it, such as '20 l'")
    parser.add_argument("--sale", metavar="NUMBER", help="the sale that a selling cost belongs to")
    parser = top.verb(
        "hold",
        "Promise animals to a buyer until a day; list the holds, release one.",
        hold,
        epilog="rearledger hold E03 5 for Tarn until fri\nrearledger hold list\n"
        "rearledger hold release 7 --deposit refunded\nrearledger hold deposit 7 --deposit kept",
    )
    _words(parser, "what, for whom, until when; or: list; release NUMBER; deposit NUMBER")
    with_day(parser, "date", "the day of the release; else today")
    parser.add_argument("--deposit", metavar="refunded|kept", help="what becomes of the deposit")
    parser.add_argument("--number", metavar="NUMBER", help="a number of your own for the hold")
    common(top.verb("undo", "Take back your own last act on the stock.", undo))


def _words(parser: Parser, help_words: str) -> None:
    common(parser).add_argument("words", metavar="WORDS", nargs="+", help=help_words)


def record(args: argparse.Namespace) -> int:
    """One line, or many from standard input."""
    if args.words == ["-"]:
        return _record_many(args)
    line = words(args)
    with to_write(args) as ledger:
        return answer.done(ledger.do(from_line(ledger, line, args.date)), args.format)


def _record_many(args: argparse.Namespace) -> int:
    """Lines of standard input as one act: all are recorded, or none."""
    lines = _lines()
    with to_write(args) as ledger:
        done = ledger.do_all(
            [(f"line {number}", _reader(line, number, args.date)) for number, line in lines],
            content="\n".join([args.date or "", *(line for _, line in lines)]),
        )
    if args.format == "json":
        answer.write_json([{"sentence": d.sentence, "refs": dict(d.refs), "cautions": list(d.cautions)} for d in done])
        return 0
    for one in done:
        answer.done(one, args.format)
    return 0
