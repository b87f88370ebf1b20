"""The receipt of a sale: typed rows for documents, and plain text. Prints what was sold as it was sold.

Amounts are written as plain decimals with the currency's code. Ends with what an origin statement is, and is not.
"""

from __future__ import annotations

import datetime as dt
import textwrap
from dataclasses import dataclass

from sqlalchemy import Connection

from ledger.days import long_day
from ledger.money import Currency, amount_text, said
from ledger.origin.rules import ENDING
from ledger.records.settings import setting, settings
from ledger.selling.doa import terms_as_sold
from ledger.selling.sale import IN_KIND, LineOfSale, Sale, find_sale
from ledger.stock.words import stage_words

LEAST_WIDTH = 32


@dataclass(frozen=True, slots=True)
class ReceiptLine:
    """One line as printed."""

    position: int
    what: str
    """'10 + 1 extra L3, unsexed, sun beetle (Pachnoda marginata), lot P08'."""
    pack: str
    price: int
    each: int | None
    """Price of one; `None` where it says nothing of its own."""
    each_is_exact: bool
    discount: int
    net: int
    origin: str
    provenance: str


@dataclass(frozen=True, slots=True)
class ReceiptAmount:
    """A charge, payment or credit as printed."""

    text: str
    amount: int


@dataclass(frozen=True, slots=True)
class Receipt:
    """A receipt, ready to be laid out. Amounts in minor units of `currency`."""

    number: str
    date: str
    business: str
    address: tuple[str, ...]
    customer: str
    channel: str
    posting: str
    """'to be posted', 'posted 12 March 2025', or nothing."""
    currency: Currency
    lines: tuple[ReceiptLine, ...]
    charges: tuple[ReceiptAmount, ...]
    total: int
    credits: tuple[ReceiptAmount, ...]
    payments: tuple[ReceiptAmount, ...]
    owed: int
    """Positive: owed by the buyer; negative: to be given back."""
    pay_by: str
    """The day it is to be paid by, where the keeper set one and something is owed; else nothing."""
    terms: str
    note: str
    ending: str


def receipt(conn: Connection, number: str, currency: Currency) -> Receipt:
    """The receipt of a sale.

    Raises:
        NotFound: there is no such sale.
    """
    sale = find_sale(conn, number)
    known = settings(conn)
    posted = f"posted {long_day(sale.posted_on)}" if sale.posted_on else "to be posted" if sale.waits_for_post else ""
    payments = [
        ReceiptAmount(_payment_text(paid.amount, paid.method, long_day(paid.paid_on)), paid.amount)
        for paid in sale.payments
    ]
    if sale.deposit:
        payments.insert(0, ReceiptAmount(f"Deposit of {sale.hold_number}", sale.deposit))
    return Receipt(
        sale.number,
        long_day(sale.sold_on),
        known["business name"],
        tuple(line for line in known["address"].splitlines() if line.strip()),
        sale.customer_name,
        sale.channel,
        posted,
        currency,
        tuple(_line(line) for line in sale.lines),
        tuple(ReceiptAmount(charge.text or charge.kind.capitalize(), charge.amount) for charge in sale.charges),
        sale.total,
        tuple(
            ReceiptAmount(f"Credit {credit.number}, {long_day(credit.credited_on)}: {credit.reason}", -credit.amount)
            for credit in sale.credits
        ),
        tuple(payments),
        sale.owed,
        long_day(by) if (by := pay_by(conn, sale)) else "",
        terms_as_sold(conn, sale),
        sale.note,
        ENDING,
    )


def _line(line: LineOfSale) -> ReceiptLine:
    number = f"{line.count} + {line.extra} extra" if line.extra else str(line.count)
    stage = stage_words(line.stage_text, line.animals)
    what = f"{number} {stage}, {line.sex_text}, {line.species_text}, lot {line.lot_code}"
    return ReceiptLine(
        line.position,
        what,
        line.pack,
        line.price,
        line.each,
        line.each_is_exact,
        line.discount,
        line.net,
        line.origin_text,
        line.provenance_text,
    )


def pay_by(conn: Connection, sale: Sale) -> dt.date | None:
    """The day by which what is still owed is to be paid, counted from that of the sale.

    `None`: nothing is owed, or the keeper set no days. What a term of payment may be is for local rules to say.
    """
    days = setting(conn, "days to pay")
    return sale.sold_on + dt.timedelta(days=int(days)) if days and sale.owed > 0 else None


def _payment_text(amount: int, method: str, day: str) -> str:
    if method == IN_KIND:
        return f"Settled in animals, {day}" if amount > 0 else f"Settlement in animals taken back, {day}"
    return f"{'Paid' if amount > 0 else 'Given back'} ({method}), {day}"


def receipt_text(paper: Receipt, width: int = 72) -> str:
    """The receipt as plain text, no line longer than `width` (32 at least)."""
    width = max(width, LEAST_WIDTH)
    out: list[str] = []

    def say(text: str, indent: str = "") -> None:
        for part in text.splitlines() or [""]:
            wrapped = textwrap.wrap(part, width, initial_indent=indent, subsequent_indent=indent)
            out.extend(wrapped or [""])

    def amount(text: str, minor: int) -> None:
        figure = amount_text(minor, paper.currency)
        *before, last = textwrap.wrap(text, width - len(figure) - 2) or [""]
        out.extend(before)
        out.append(f"{last}{figure:>{width - len(last)}}")

    for line in (paper.business, *paper.address):
        if line:
            say(line)
    say("")
    say(f"Receipt {paper.number}, {paper.date}")
    if paper.customer:
        say(f"For {paper.customer}")
    say(f"By {paper.channel}{', ' + paper.posting if paper.posting else ''}")
    say(f"Amounts in {paper.currency.code}")
    say("")
    for row in paper.lines:
        amount(f"{row.position}. {row.what}{', ' + row.pack if row.pack else ''}", row.price)
        if row.discount:
            amount("   Discount", -row.discount)
        if row.each is not None:
            about = "" if row.each_is_exact else "about "
            say(f"{about}{amount_text(row.each, paper.currency)} each", "   ")
        say(f"Origin: {row.origin}", "   ")
        say(row.provenance, "   ")
    for charge in paper.charges:
        amount(charge.text, charge.amount)
    amount("Total", paper.total)
    for credit in paper.credits:
        amount(credit.text, credit.amount)
    for payment in paper.payments:
        amount(payment.text, -payment.amount)
    if paper.owed > 0:
        amount("Still owed", paper.owed)
        if paper.pay_by:
            say(f"To be paid by {paper.pay_by}")
    elif paper.owed < 0:
        amount("To be given back", -paper.owed)
    else:
        say(f"Nothing owed: {said(0, paper.currency)}")
    for text in (paper.note, paper.terms):
        if text:
            say("")
            say(text)
    say("")
    say(f"Origins: {paper.ending[0].lower()}{paper.ending[1:]}")
    return "\n".join(out) + "\n"
