"""Receipt and invoice of a sale, and how its lines are said on every paper.

What was sold is said as it was sold; amounts come from the sale as it stands. Nothing is derived anew.
"""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING, Literal

from exports.documents.house import House
from exports.documents.paper import Block, Column, Document, Facts, Row, Table, Text
from exports.documents.recorded import paper_sentence
from exports.documents.words import capitalised, pack, stage, word
from ledger.books.papers import contact_of
from ledger.selling.doa import terms_as_sold
from ledger.selling.receipt import pay_by
from ledger.selling.sale import IN_KIND, LineOfSale, PaymentOfSale, Sale, find_sale
from ledger.selling.swapping import came_in
from ledger.text import safe_name

if TYPE_CHECKING:
    from ledger.ledger import Ledger

Kind = Literal["receipt", "invoice"]


def receipt(ledger: Ledger, number: str, house: House, kind: Kind = "receipt") -> Document:
    """The receipt or invoice of a sale: what was sold, with its origin, and what was paid and is owed.

    Raises:
        NotFound: there is no such sale.
    """
    sale = ledger.ask(find_sale, number)
    say = house.language.say
    named = {"receipt": say("Receipt %(number)s", number=sale.number)}
    named["invoice"] = say("Invoice %(number)s", number=sale.number)
    blocks: list[Block] = [
        Text(named[kind], "title"),
        _facts(ledger, sale, house),
        Table(
            (Column("", 1), Column(say("What"), 22), Column(house.currency.code, 2, figure=True)),
            tuple(row for line in sale.lines for row in _rows(line, house))
            + _sums(sale, house, ledger.ask(pay_by, sale)),
            wide=1,
        ),
    ]
    if sale.channel == "swap":
        for one in ledger.ask(came_in, sale.operation_id):
            text = say(
                "In exchange: %(number)s %(stage)s, %(species)s, our lot %(lot)s",
                number=house.language.number(one.count),
                stage=stage(one.stage, one.count, house.language),
                species=one.species,
                lot=one.lot,
            )
            blocks.append(Text(text))
    if sale.note:
        blocks.append(Text(sale.note))
    cautions = unnamed(house)
    if kind == "invoice" and sale.owed > 0:
        if house.payment_details:
            blocks += [Text(say("How to pay"), "heading"), Text(house.payment_details)]
        else:
            cautions += ("How to pay is not set, so the invoice does not say it; see `setting`.",)
    blocks += house.closing(terms=ledger.ask(terms_as_sold, sale))
    return Document(
        f"{kind}-{safe_name(sale.number)}", named[kind], house.language, house.head, tuple(blocks), cautions
    )


def unnamed(house: House) -> tuple[str, ...]:
    """A paper of a sale should say who sells."""
    if house.head.name and house.head.lines:
        return ()
    return ("The business name or address is not set, so the paper does not say who sells; see `setting`.",)


def _facts(ledger: Ledger, sale: Sale, house: House) -> Facts:
    say, day = house.language.say, house.language.day
    contact = ledger.ask(contact_of, sale.customer_id)
    posted = ""
    if sale.posted_on:
        posted = say("posted %(day)s", day=day(sale.posted_on))
    elif sale.waits_for_post:
        posted = say("to be posted")
    rows = [
        (say("Date"), day(sale.sold_on)),
        (say("For"), "\n".join(part for part in (sale.customer_name, contact) if part)),
        (say("By"), ", ".join(part for part in (word(sale.channel, house.language), posted) if part)),
        (say("Amounts in"), house.currency.code),
    ]
    return Facts(tuple(row for row in rows if row[1]))


def what(line: LineOfSale, house: House) -> str:
    """'10 + 1 extra L3, unsexed, sun beetle (Pachnoda marginata), lot P08'."""
    language = house.language
    number = language.number(line.count)
    if line.extra:
        number = language.say("%(count)s + %(extra)s extra", count=number, extra=language.number(line.extra))
    text = language.say(
        "%(number)s %(stage)s, %(sex)s, %(species)s, lot %(lot)s",
        number=number,
        stage=stage(line.stage_text, line.animals, language),
        sex=word(line.sex_text, language),
        species=line.species_text,
        lot=line.lot_code,
    )
    return f"{text}, {pack(line.pack, language)}" if line.pack else text


def _rows(line: LineOfSale, house: House) -> list[Row]:
    language = house.language
    under = (*_each(line, house), *origin_lines(line, house))
    rows = [Row((f"{line.position}.", what(line, house), language.amount(line.price, house.currency)), under)]
    if line.discount:
        rows.append(Row(("", language.say("Discount"), language.amount(-line.discount, house.currency))))
    return rows


def _each(line: LineOfSale, house: House) -> tuple[str, ...]:
    """The price of one, below a line of several."""
    if line.each is None:
        return ()
    amount = house.language.amount(line.each, house.currency)
    if line.each_is_exact:
        return (house.language.say("%(amount)s each", amount=amount),)
    return (house.language.say("about %(amount)s each", amount=amount),)


def origin_lines(line: LineOfSale, house: House) -> tuple[str, str]:
    """What a line states: its origin, and the provenance in one sentence."""
    said = paper_sentence(line.origin_text, house.language)
    return (
        house.language.say("Origin: %(origin)s", origin=said),
        paper_sentence(line.provenance_text, house.language),
    )


def _sums(sale: Sale, house: House, by: dt.date | None) -> tuple[Row, ...]:
    language = house.language
    say, currency = language.say, house.currency

    def amount(text: str, minor: int, *, strong: bool = False, rule: bool = False) -> Row:
        return Row(("", text, language.amount(minor, currency)), strong=strong, rule=rule)

    rows = [amount(one.text or capitalised(one.kind, language), one.amount) for one in sale.charges]
    rows.append(amount(say("Total"), sale.total, strong=True, rule=True))
    for credit in sale.credits:
        text = say(
            "Credit %(number)s, %(day)s: %(reason)s",
            number=credit.number,
            day=language.day(credit.credited_on),
            reason=credit.reason,
        )
        rows.append(amount(text, -credit.amount))
    if sale.deposit:
        rows.append(amount(say("Deposit of %(hold)s", hold=sale.hold_number), -sale.deposit))
    rows += [amount(_payment(one, house), -one.amount) for one in sale.payments]
    if sale.owed > 0:
        rows.append(amount(say("Still owed"), sale.owed, strong=True, rule=True))
        if by is not None:
            rows.append(Row(("", say("To be paid by %(day)s", day=language.day(by)), "")))
    elif sale.owed < 0:
        rows.append(amount(say("To be given back"), -sale.owed, strong=True, rule=True))
    else:
        rows.append(amount(say("Nothing owed"), 0, strong=True, rule=True))
    return tuple(rows)


def _payment(paid: PaymentOfSale, house: House) -> str:
    say, day = house.language.say, house.language.day(paid.paid_on)
    if paid.method == IN_KIND:
        if paid.amount > 0:
            return say("Settled in animals, %(day)s", day=day)
        return say("Settlement in animals taken back, %(day)s", day=day)
    method = word(paid.method, house.language)
    if paid.amount > 0:
        return say("Paid (%(method)s), %(day)s", method=method, day=day)
    return say("Given back (%(method)s), %(day)s", method=method, day=day)
