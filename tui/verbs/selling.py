"""Verbs about sales that are made: posted, paid, credit, receipt, and the list of sales."""

from __future__ import annotations

import argparse
import re
from typing import TYPE_CHECKING

from ledger.errors import BadInput
from ledger.text import quoted
from ledger.wording import say
from tui.verbs import answer, typed
from tui.verbs.parser import Parser, common, with_day
from tui.verbs.place import to_read, to_write

if TYPE_CHECKING:
    from collections.abc import Sequence

    from ledger.money import Currency
    from ledger.selling.commands import CreditLine, SellingCost
    from ledger.selling.listing import SaleRow
    from ledger.selling.receipt import Receipt, ReceiptAmount, ReceiptLine


def add(top: Parser) -> None:
    """Add these verbs."""
    parser = common(top.verb("posted", "Record that a sale was posted; its animals leave now.", posted))
    parser.add_argument("number", metavar="NUMBER", help="of the sale")
    with_day(parser, "date", "the day of posting; else today")
    parser.add_argument("--postage", metavar="AMOUNT", help="what the carrier took")
    parser.add_argument("--packing", metavar="AMOUNT", help="what the packing cost")
    with_degrees(parser)
    parser.add_argument("--anyway", metavar="WHY", default="", help="why, outside the limits you have set")
    parser = common(top.verb("replace", "Set animals aside in place of sold ones that died before posting.", replace))
    parser.add_argument("number", metavar="NUMBER", help="of the sale")
    parser.add_argument("line", metavar="LINE", help="number of the line, from 1")
    parser.add_argument("--tub", metavar="TUB", help="from that tub")
    with_day(parser, "date", "the day of it; else today")
    parser = common(top.verb("paid", "Record that a buyer paid.", paid))
    parser.add_argument("number", metavar="NUMBER", help="of the sale")
    parser.add_argument("amount", metavar="AMOUNT")
    parser.add_argument("--by", metavar="METHOD", default="cash", help="cash, card, transfer, ...")
    with_day(parser, "date", "the day it was paid; else today")
    parser.add_argument("--note", metavar="WORDS", default="")
    parser.add_argument("--fee", metavar="AMOUNT", help="what the bank or card company kept of it")
    parser.add_argument("--overpaid", action="store_true", help="it really is more than is owed")
    parser = common(top.verb("refund", "Record that money paid too much for a sale went back.", refund))
    parser.add_argument("number", metavar="NUMBER", help="of the sale")
    parser.add_argument("amount", metavar="AMOUNT")
    parser.add_argument("--by", metavar="METHOD", default="cash", help="cash, transfer, ...")
    with_day(parser, "date", "the day of it; else today")
    parser.add_argument("--note", metavar="WORDS", default="")
    parser = top.verb(
        "credit",
        "Correct a sale, in full or by lines; the sale itself stays as it was.",
        credit,
        epilog='rearledger credit S-2025-0014 --reason "wrong buyer"\n'
        'rearledger credit S-2025-0014 --reason "3 dead on arrival" --line 1:3:9.00\n'
        'rearledger credit S-2025-0014 --reason "2 sent back alive" --line 1:2:6.00:2',
    )
    common(parser).add_argument("number", metavar="NUMBER", help="of the sale")
    parser.add_argument("--reason", metavar="WORDS", required=True)
    parser.add_argument(
        "--line",
        metavar="N:COUNT:AMOUNT[:BACK]",
        action="append",
        default=[],
        help="line N of the sale (0: a charge), how many, how much, how many came back alive; may be repeated",
    )
    parser.add_argument("--owed", action="store_true", help="the money does not go back at once")
    parser.add_argument("--by", metavar="METHOD", default="cash", help="how it goes back")
    with_day(parser, "date", "the day of the credit; else today")
    parser = common(top.verb("receipt", "Write the receipt of a sale.", receipt))
    parser.add_argument("number", metavar="NUMBER", help="of the sale")
    parser = common(top.verb("tell", "Write the note that tells a buyer of an origin stated wrongly.", tell))
    parser.add_argument("line", metavar="NUMBER", help="of the sale, or what `affected` lists under “note for”")
    parser.add_argument("--why", metavar="WORDS", default="")
    with_day(parser, "date", "the day of the note; else today")
    parser = common(top.verb("sales", "List the sales, newest first.", list_sales))
    with_page(parser)


def with_page(parser: Parser) -> None:
    """Options of a long list."""
    parser.add_argument("--limit", metavar="N", help="most rows; else 200, and as CSV all of them")
    parser.add_argument("--before", metavar="ID", help="only those before this id, to go on where a page ended")


EVERY_ROW = 10**9
"""More than any list has: a file for a spreadsheet that lacked its older rows would be added up all the same."""


def page(args: argparse.Namespace) -> tuple[int, int | None]:
    """(most rows, id to go on from)."""
    before = None if args.before is None else typed.whole(args.before, "an id", "before", most=10**12)
    if args.limit is None:
        return EVERY_ROW if args.format == "csv" else 200, before
    return typed.whole(args.limit, "a number of rows", "limit", most=10_000), before


def posted(args: argparse.Namespace) -> int:
    """Record a posting."""
    from ledger.selling.commands import PostSale

    coldest, warmest = read_degrees(args)
    with to_write(args) as ledger:
        costs = _selling_costs(args, ledger.currency)
        on = typed.day_or_today(args.date, ledger)
        return answer.done(ledger.do(PostSale(args.number, on, costs, coldest, warmest, args.anyway)), args.format)


def with_degrees(parser: Parser) -> None:
    """Options for the temperatures expected on the way."""
    parser.add_argument("--cold", metavar="DEGREES", help="coldest expected on the way, in °C, as you read it")
    parser.add_argument("--warm", metavar="DEGREES", help="warmest expected on the way, in °C")


def read_degrees(args: argparse.Namespace) -> tuple[int | None, int | None]:
    """(coldest, warmest) as typed; `None`: not said."""
    return _degrees(args.cold, "cold"), _degrees(args.warm, "warm")


def _degrees(text: str | None, field: str) -> int | None:
    if text is None:
        return None
    plain = text.strip().replace("−", "-")
    if not re.fullmatch("-?[0-9]{1,2}", plain, flags=re.ASCII):
        raise BadInput(f"{quoted(text)} is no temperature; write whole degrees Celsius like -3 or 28.", field=field)
    return int(plain)


def _selling_costs(args: argparse.Namespace, currency: Currency) -> tuple[SellingCost, ...]:
    from ledger.selling.commands import SellingCost

    named = [(name, getattr(args, name)) for name in ("postage", "packing")]
    return tuple(SellingCost(name, typed.amount(text, currency, name)) for name, text in named if text is not None)


def replace(args: argparse.Namespace) -> int:
    """Set others aside."""
    from ledger.selling.commands import ReplaceShort

    line = typed.whole(args.line, "the number of a line", "line", most=1000)
    with to_write(args) as ledger:
        on = typed.day_or_today(args.date, ledger)
        return answer.done(ledger.do(ReplaceShort(args.number, line, on, args.tub)), args.format)


def tell(args: argparse.Namespace) -> int:
    """Write a correction note."""
    from ledger.origin.commands import WriteCorrectionNote
    from ledger.selling.commands import TellOfSale

    if not args.line.isdigit():
        with to_write(args) as ledger:
            on = typed.day_or_today(args.date, ledger)
            return answer.done(ledger.do(TellOfSale(args.line, on, args.why)), args.format)
    line = typed.whole(args.line, "a number of `affected`", "sale_line", most=10**12)
    with to_write(args) as ledger:
        on = typed.day_or_today(args.date, ledger)
        return answer.done(ledger.do(WriteCorrectionNote(line, on, args.why)), args.format)


def paid(args: argparse.Namespace) -> int:
    """Record a payment."""
    from ledger.selling.commands import TakePayment

    with to_write(args) as ledger:
        amount = typed.amount(args.amount, ledger.currency)
        on = typed.day_or_today(args.date, ledger)
        fee = 0 if args.fee is None else typed.amount(args.fee, ledger.currency, "fee")
        command = TakePayment(args.number, amount, on, args.by, args.note, fee, args.overpaid)
        return answer.done(ledger.do(command), args.format)


def refund(args: argparse.Namespace) -> int:
    """Record money that went back."""
    from ledger.selling.commands import TakePayment

    with to_write(args) as ledger:
        amount = typed.amount(args.amount, ledger.currency)
        on = typed.day_or_today(args.date, ledger)
        return answer.done(ledger.do(TakePayment(args.number, -amount, on, args.by, args.note)), args.format)


def credit(args: argparse.Namespace) -> int:
    """Credit a sale."""
    from ledger.selling.commands import CreditSale

    with to_write(args) as ledger:
        lines = tuple(read_credit_line(text, ledger.currency) for text in args.line)
        on = typed.day_or_today(args.date, ledger)
        command = CreditSale(args.number, on, args.reason, lines, not args.owed, args.by)
        return answer.done(ledger.do(command), args.format)


def read_credit_line(text: str, currency: Currency) -> CreditLine:
    """'1:3:9.00' or '1:3:9.00:2'."""
    from ledger.selling.commands import CreditLine

    parts = text.split(":")
    if len(parts) not in (3, 4):
        raise BadInput(
            say("{typed} is no line of a credit; write it like 1:3:9.00, or 1:3:9.00:2.", typed=quoted(text)),
            field="line",
        )
    return CreditLine(
        typed.whole(parts[0], say("the number of a line"), "line", least=0, most=1000),
        typed.amount(parts[2], currency),
        typed.whole(parts[1], say("a number of animals"), "count", least=0),
        typed.whole(parts[3], say("a number of animals"), "back", least=0) if len(parts) == 4 else 0,
    )


def list_sales(args: argparse.Namespace) -> int:
    """The sales."""
    limit, before = page(args)
    with to_read(args) as ledger:
        rows = ledger.sales(limit, before)
        currency = ledger.currency

    def money(name: str) -> answer.Column[SaleRow]:
        return answer.Column(name, lambda row: answer.money(getattr(row, name), currency), figure=True, listed=False)

    columns: tuple[answer.Column[SaleRow], ...] = (
        answer.Column("id", lambda row: row.id, figure=True, listed=False),
        answer.Column("number", lambda row: row.number),
        answer.Column("sold_on", lambda row: answer.day(row.sold_on), "sold on"),
        answer.Column("customer", lambda row: row.customer),
        answer.Column("channel", lambda row: row.channel),
        answer.Column("animals", lambda row: row.animals, figure=True),
        answer.Column("extra", lambda row: row.extra, figure=True, listed=False),
        answer.Column("lots", lambda row: list(row.lots)),
        money("goods"),
        money("charges"),
        answer.Column("total", lambda row: answer.money(row.total, currency), f"total {currency.code}", figure=True),
        money("credited"),
        money("paid"),
        answer.Column("owed", lambda row: answer.money(row.owed, currency), figure=True),
        answer.Column("to_post", lambda row: row.to_post, listed=False),
        answer.Column("posted_on", lambda row: answer.day(row.posted_on), listed=False),
        answer.Column("undone", lambda row: row.undone, listed=False),
        answer.Column("state", _state),
        answer.Column("hold", lambda row: row.hold or None, listed=False),
        answer.Column("note", lambda row: row.note, listed=False),
        answer.Column("own_note", lambda row: row.own_note, "for you only", listed=False),
    )
    hint = "Sell: rearledger sell E03 5 at 18.00 to Tarn paid"
    answer.write_rows(rows, columns, args.format, none="Nothing has been sold yet.", hint=hint)
    return 0


def _state(row: SaleRow) -> str:
    if row.undone:
        return "credited in full"
    if row.waits:
        return "to post"
    return f"posted {row.posted_on}" if row.posted_on is not None else "handed over"


def receipt(args: argparse.Namespace) -> int:
    """The receipt of a sale."""
    with to_read(args) as ledger:
        paper = ledger.receipt(args.number)
    if args.format == "text":
        from ledger.selling.receipt import receipt_text

        for line in receipt_text(paper).splitlines():
            answer.say(line)
        return 0
    currency = paper.currency
    if args.format == "csv":
        columns: tuple[answer.Column[ReceiptLine], ...] = (
            answer.Column("line", lambda row: row.position, figure=True),
            answer.Column("what", lambda row: row.what),
            answer.Column("pack", lambda row: row.pack),
            answer.Column("price", lambda row: answer.money(row.price, currency), figure=True),
            answer.Column("discount", lambda row: answer.money(row.discount, currency), figure=True),
            answer.Column("net", lambda row: answer.money(row.net, currency), figure=True),
            answer.Column("origin", lambda row: row.origin),
            answer.Column("provenance", lambda row: row.provenance),
        )
        answer.write_rows(paper.lines, columns, "csv", none="")
        return 0
    answer.write_json(_as_json(paper))
    return 0


def _as_json(paper: Receipt) -> answer.Json:
    def money(minor: int) -> str | None:
        return answer.money(minor, paper.currency)

    def amounts(rows: Sequence[ReceiptAmount]) -> answer.Json:
        return [{"text": row.text, "amount": money(row.amount)} for row in rows]

    return {
        "number": paper.number,
        "date": paper.date,
        "business": paper.business,
        "address": list(paper.address),
        "customer": paper.customer,
        "channel": paper.channel,
        "posting": paper.posting,
        "currency": paper.currency.code,
        "lines": [
            {
                "line": row.position,
                "what": row.what,
                "pack": row.pack,
                "price": money(row.price),
                "each": None if row.each is None else money(row.each),
                "each_is_exact": row.each_is_exact,
                "discount": money(row.discount),
                "net": money(row.net),
                "origin": row.origin,
                "provenance": row.provenance,
            }
            for row in paper.lines
        ],
        "charges": amounts(paper.charges),
        "total": money(paper.total),
        "credits": amounts(paper.credits),
        "payments": amounts(paper.payments),
        "owed": money(paper.owed),
        "pay_by": paper.pay_by or None,
        "terms": paper.terms,
        "note": paper.note,
        "ending": paper.ending,
    }
