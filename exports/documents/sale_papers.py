"""Papers that follow a sale: credit, packing note, and the note that corrects a stated origin.

What was sold is said as it was sold. Nothing is derived anew.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from exports.documents.house import RIGHTS, House
from exports.documents.language import mark
from exports.documents.paper import Block, Column, Document, Facts, Row, Table, Text, ToFill
from exports.documents.receipt import origin_lines, unnamed, what
from exports.documents.recorded import paper_sentence
from exports.documents.words import capitalised, stage
from ledger.books.papers import (
    CorrectionNote,
    CreditedLine,
    Packed,
    contact_of,
    correction_notes,
    credit_paper,
    parcel,
)
from ledger.errors import NotFound
from ledger.selling.doa import terms_as_sold
from ledger.text import safe_name

if TYPE_CHECKING:
    from ledger.ledger import Ledger

_NO_LONGER = mark(
    "An origin that we stated to you no longer reads as our records give it. Please keep this note with the animals "
    "and with your papers."
)


def credit(ledger: Ledger, number: str, house: House) -> Document:
    """The credit that corrects a sale.

    Raises:
        NotFound: there is no such credit.
    """
    paper = ledger.ask(credit_paper, number)
    language = house.language
    say, currency = language.say, house.currency
    title = say("Credit %(number)s", number=paper.number)
    contact = ledger.ask(contact_of, paper.sale.customer_id)
    facts = [
        (say("Date"), language.day(paper.credited_on)),
        (say("For"), "\n".join(part for part in (paper.sale.customer_name, contact) if part)),
        (
            say("Corrects"),
            say("sale %(number)s of %(day)s", number=paper.sale.number, day=language.day(paper.sale.sold_on)),
        ),
        (say("Reason"), paper.reason),
        (say("Amounts in"), currency.code),
    ]
    if paper.full:
        rows = [
            Row((what(line, house), language.amount(line.net, currency)), origin_lines(line, house))
            for line in paper.sale.lines
        ]
        rows += [
            Row((one.text or capitalised(one.kind, language), language.amount(one.amount, currency)))
            for one in paper.sale.charges
        ]
    else:
        rows = [_credited(one, house) for one in paper.lines]
    rows.append(Row((say("Credited"), language.amount(paper.amount, currency)), strong=True, rule=True))
    blocks: list[Block] = [
        Text(title, "title"),
        Facts(tuple(row for row in facts if row[1])),
        Text(say("The whole sale is taken back.") if paper.full else "", "strong"),
        Table((Column(say("What"), 12), Column(currency.code, 2, figure=True)), tuple(rows)),
        *house.closing(terms=""),
    ]
    blocks = [block for block in blocks if not (isinstance(block, Text) and not block.text)]
    return Document(f"credit-{safe_name(paper.number)}", title, language, house.head, tuple(blocks), unnamed(house))


def _credited(one: CreditedLine, house: House) -> Row:
    language = house.language
    amount = language.amount(one.amount, house.currency)
    if one.line is None:
        return Row((one.text or language.say("Charges"), amount))
    if not one.count:
        text = language.say("Line %(line)s of the sale, lot %(lot)s", line=one.line.position, lot=one.line.lot_code)
        return Row((text, amount))
    text = language.say(
        "%(number)s %(stage)s, %(species)s, lot %(lot)s (line %(line)s of the sale)",
        number=language.number(one.count),
        stage=stage(one.line.stage_text, one.count, language),
        species=one.line.species_text,
        lot=one.line.lot_code,
        line=one.line.position,
    )
    under = (language.counted("%(n)s of them came back alive", "%(n)s of them came back alive", one.back),)
    return Row((text, amount), under if one.back else ())


def packing(ledger: Ledger, number: str, house: House) -> Document:
    """What goes into a parcel, to tick off while packing; without prices.

    Raises:
        NotFound: there is no such sale.
    """
    parts = ledger.ask(parcel, number)
    sale, language = parts.sale, house.language
    say = language.say
    title = say("Packing note %(number)s", number=sale.number)
    contact = ledger.ask(contact_of, sale.customer_id)
    facts = [
        (say("To"), "\n".join(part for part in (sale.customer_name, contact) if part)),
        (say("Sold on"), language.day(sale.sold_on)),
        (say("Posted on"), language.day(sale.posted_on) if sale.posted_on else ""),
    ]
    lines = [one for one in parts.lines if one.left]
    number_of = Column(say("Number"), 2, figure=True)
    columns = (Column("", 1), Column(say("What"), 18), number_of, Column(say("From tub"), 4))
    blocks: list[Block] = [Text(title, "title"), Facts(tuple(row for row in facts if row[1]))]
    if any(one.living for one in lines):
        blocks.append(Text(say("Living animals: open at once."), "strong"))
    blocks += [
        Table(
            columns,
            tuple(_packed(one, house) for one in lines),
            wide=1,
        ),
        ToFill((say("Packed on"), say("Packed by"))),
        *house.closing(terms=ledger.ask(terms_as_sold, sale)),
    ]
    cautions = list(unnamed(house))
    if not contact:
        cautions.append("No address of the buyer is on record; write it on the parcel by hand.")
    if sale.undone:
        cautions.append(f"{sale.number} was credited in full: there is nothing to pack.")
    return Document(f"packing-{safe_name(sale.number)}", title, language, house.head, tuple(blocks), tuple(cautions))


def _packed(one: Packed, house: House) -> Row:
    language = house.language
    return Row(
        ("☐", what(one.line, house), language.number(one.left), ", ".join(one.tubs)),
        (language.say("Origin: %(origin)s", origin=paper_sentence(one.line.origin_text, language)),),
    )


def correction(ledger: Ledger, number: int, house: House) -> Document:
    """The note that tells a buyer of an origin that was stated wrongly.

    Args:
        ledger: the ledger.
        number: of the note.
        house: who writes.

    Raises:
        NotFound: there is no such note.
    """
    note = find_note(ledger, number)
    language = house.language
    say = language.say
    title = say("Correction of a stated origin")
    contact = ledger.ask(contact_of, note.customer_id)
    facts = [
        (say("Date"), language.day(note.written_on)),
        (say("For"), "\n".join(part for part in (note.customer, contact) if part)),
        (
            say("About"),
            say(
                "line %(line)s of sale %(number)s of %(day)s",
                line=note.line.position,
                number=note.number,
                day=language.day(note.sold_on),
            ),
        ),
        (say("Sold"), what(note.line, house)),
        (say("Stated then"), paper_sentence(note.was, language)),
        (say("By our records now"), paper_sentence(note.now, language)),
        (say("Why"), note.why),
    ]
    blocks: tuple[Block, ...] = (
        Text(title, "title"),
        Text(say(_NO_LONGER)),
        Facts(tuple(row for row in facts if row[1])),
        Text(say(RIGHTS), "small"),
        Text(house.ending, "small"),
        *((Text(house.translated, "small"),) if house.translated else ()),
    )
    stem = f"correction-{safe_name(note.number)}-line-{note.line.position}"
    return Document(stem, title, language, house.head, blocks, unnamed(house))


def find_note(ledger: Ledger, number: int) -> CorrectionNote:
    """A correction note by its number.

    Raises:
        NotFound: there is none.
    """
    notes = ledger.ask(correction_notes)
    found = next((one for one in notes if one.id == number), None)
    if found is None:
        known = f"; the last one is {notes[0].id}" if notes else "; none was written yet, `tell` writes one"
        raise NotFound(f"There is no correction note {number}{known}.", "note")
    return found
