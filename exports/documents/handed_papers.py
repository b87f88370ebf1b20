"""Papers that go with animals that were not sold: of a hold, of a breeding loan, of a gift or a sample.

Origins are said as they were stated that day, and beside them what our records give now where that is another. What was
agreed is the keeper's; what the law gives the other side is left alone.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from exports.documents.house import House
from exports.documents.language import mark
from exports.documents.paper import Block, Column, Document, Facts, Row, Table, Text, ToFill
from exports.documents.receipt import unnamed
from exports.documents.recorded import paper_sentence
from exports.documents.words import stage, word
from ledger.books.handed_papers import GiftPaper, Handed, HoldPaper, LoanPaper, gift_paper, hold_paper, loan_paper
from ledger.books.papers import contact_of
from ledger.selling.deadlines import LAST_MINUTE, day_of
from ledger.text import safe_name

if TYPE_CHECKING:
    from exports.documents.language import Language
    from ledger.ledger import Ledger

_ENDED = {
    "lapsed": mark("This hold lapsed on %(day)s; the animals are free for others."),
    "released": mark("This hold was released on %(day)s; the animals are free for others."),
    "taken up": mark("These animals were sold to you on %(day)s, sale %(sale)s."),
}
_DEPOSITS = {
    "none": mark("There is no deposit on this hold."),
    "held": mark(
        "We keep your deposit of %(amount)s for you. It counts towards the price when you take the animals. If you do "
        "not take them by the day above, the hold ends by itself; whether the deposit is given back then follows "
        "what we agreed and the law."
    ),
    "undecided": mark(
        "The hold is over. What becomes of your deposit of %(amount)s is still to be settled between us."
    ),
    "applied": mark("Your deposit of %(amount)s counted towards the price of sale %(sale)s."),
    "refunded": mark("Your deposit of %(amount)s was given back on %(day)s."),
    "kept": mark("Your deposit of %(amount)s was kept on %(day)s."),
}
_OURS = mark("These animals are lent for breeding; they stay ours.")
_THEIRS = mark("These animals are lent to us for breeding. They stay their owner's; we do not sell them.")


def hold(ledger: Ledger, number: str, house: House) -> Document:
    """What is held for a buyer, until when, and what becomes of the deposit.

    Raises:
        NotFound: there is no such hold.
    """
    paper = ledger.ask(hold_paper, number, ledger.scene)
    held, language = paper.hold, house.language
    say = language.say
    title = say("Hold %(number)s", number=held.number)
    facts = [
        (say("Date"), language.day(held.made_on)),
        (say("For"), _person(ledger, held.customer, held.customer_id)),
        (say("Held until"), _moment(held.until, language)),
        (say("Note"), held.note),
        (say("Amounts in"), house.currency.code if _priced(paper) else ""),
    ]
    deposit = say(
        _DEPOSITS[held.deposit_state],
        amount=language.money(held.deposit, house.currency),
        sale=paper.sale,
        day=language.day(paper.decided_on) if paper.decided_on else "",
    )
    blocks: list[Block] = [
        Text(title, "title"),
        _facts(facts),
        Text(_standing(paper, language), "strong"),
        _held(paper, house),
        Text(say("The deposit"), "heading"),
        Text(deposit),
        *_ending(house, terms=house.terms, buyer=True, said_on=language.day(paper.stated_on or ledger.today)),
    ]
    cautions = list(unnamed(house))
    if paper.short:
        cautions.append(f"{paper.short} of the animals of {held.number} are lacking by now; tell {held.customer}.")
    return Document(f"hold-{safe_name(held.number)}", title, language, house.head, tuple(blocks), tuple(cautions))


def _standing(paper: HoldPaper, language: Language) -> str:
    held = paper.hold
    if held.open:
        return language.say("These animals are set aside for you until then; afterwards they are free for others.")
    return language.say(_ENDED[held.state], day=language.day(held.ended_on) if held.ended_on else "", sale=paper.sale)


def _priced(paper: HoldPaper) -> bool:
    return all(one.price is not None for one in paper.animals)


def _held(paper: HoldPaper, house: House) -> Table:
    """The animals, with what was promised they cost; without amounts where nothing was."""
    say, currency, language = house.language.say, house.currency, house.language
    if not _priced(paper):
        return _animals(paper.animals, house)
    prices = [one.price or 0 for one in paper.animals]
    rows = [
        Row((what(one, house), language.amount(one.price or 0, currency)), _origin(one, house)) for one in paper.animals
    ]
    rows.append(Row((say("Total"), language.amount(sum(prices), currency)), strong=True, rule=True))
    if paper.hold.open and paper.hold.deposit:
        rows.append(Row((say("Deposit received"), language.amount(-paper.hold.deposit, currency))))
        left = sum(prices) - paper.hold.deposit
        rows.append(Row((say("Still to pay when taken"), language.amount(left, currency)), strong=True, rule=True))
    return Table((Column(say("What"), 22), Column(currency.code, 2, figure=True)), tuple(rows))


def loan(ledger: Ledger, lot: str, house: House) -> Document:
    """A breeding loan: what, to whom or whose, since when and back when, with the origin.

    Raises:
        NotFound: that lot was never on loan.
    """
    paper = ledger.ask(loan_paper, lot)
    language = house.language
    say = language.say
    title = say("Breeding loan of lot %(lot)s", lot=paper.lot)
    facts = [
        (say("Date"), language.day(paper.since)),
        (say("Lent to") if paper.ours else say("Owner"), _person(ledger, paper.other, paper.customer_id)),
        (say("Back by"), _back_by(paper, language)),
        (
            say("Went back on") if not paper.ours else say("Came back on"),
            language.day(paper.back_on) if paper.back_on else "",
        ),
        (say("Agreed"), paper.terms),
    ]
    signed = (say("Handed over by"), say("Received by"))
    blocks: list[Block] = [
        Text(title, "title"),
        _facts(facts),
        Text(say(_OURS if paper.ours else _THEIRS), "strong"),
        _animals(paper.animals, house),
        ToFill(signed),
        *_ending(house, said_on=language.day(paper.stated_on or ledger.today)),
    ]
    cautions = list(unnamed(house))
    if not paper.other:
        cautions.append(f"Whose the animals of {paper.lot} are is not on record; write it on the paper by hand.")
    return Document(f"loan-{safe_name(paper.lot)}", title, language, house.head, tuple(blocks), tuple(cautions))


def _back_by(paper: LoanPaper, language: Language) -> str:
    if paper.back_by is not None:
        return language.day(paper.back_by)
    return "" if paper.back_on is not None else language.say("no day was agreed")


def gift(ledger: Ledger, entry: int, house: House) -> Document:
    """Animals given as a gift or as a sample: the origin of each kind, and no price.

    Raises:
        NotFound, Refused: nothing was given under that number, it was for own use, or was taken back.
    """
    paper = ledger.ask(gift_paper, entry)
    language = house.language
    say = language.say
    title = _title(paper, language)
    blocks: tuple[Block, ...] = (
        Text(title, "title"),
        _facts([(say("Date"), language.day(paper.on)), (say("For"), _person(ledger, paper.to, paper.customer_id))]),
        Text(say("Given free of charge.")),
        _animals(paper.animals, house),
        *_ending(house, said_on=language.day(paper.stated_on or ledger.today)),
    )
    stem = f"{safe_name(paper.kind)}-{paper.entry}"
    return Document(stem, title, language, house.head, blocks, unnamed(house))


def _title(paper: GiftPaper, language: Language) -> str:
    return (
        language.say("Animals given as a sample") if paper.kind == "sample" else language.say("Animals given as a gift")
    )


# --- what they share ------------------------------------------------------------------------------------------------


def what(one: Handed, house: House) -> str:
    """'2 L3, unsexed, sun beetle (Pachnoda marginata), lot P08'."""
    language = house.language
    return language.say(
        "%(number)s %(stage)s, %(sex)s, %(species)s, lot %(lot)s",
        number=language.number(one.count),
        stage=stage(one.stage, one.count, language),
        sex=word(one.sex, language),
        species=one.species,
        lot=one.lot,
    )


def _origin(one: Handed, house: House) -> tuple[str, ...]:
    language = house.language
    said = language.say("Origin: %(origin)s", origin=paper_sentence(one.origin, language))
    lines = (said, paper_sentence(one.provenance, language))
    if not one.corrected:
        return lines
    return (*lines, f"{language.say('By our records now')}: {paper_sentence(one.corrected, language)}")


def _animals(animals: tuple[Handed, ...], house: House) -> Table:
    rows = tuple(Row((what(one, house),), _origin(one, house)) for one in animals)
    return Table((Column(house.language.say("What"), 22),), rows)


def _person(ledger: Ledger, name: str, customer_id: int | None) -> str:
    return "\n".join(part for part in (name, ledger.ask(contact_of, customer_id)) if part)


def _facts(rows: list[tuple[str, str]]) -> Facts:
    return Facts(tuple(row for row in rows if row[1]))


def _moment(until: str, language: Language) -> str:
    day = language.day(day_of(until))
    if until.endswith(LAST_MINUTE):
        return language.say("%(day)s, the whole day", day=day)
    return language.say("%(day)s, %(time)s", day=day, time=until[11:16])


def _ending(house: House, *, said_on: str, terms: str = "", buyer: bool = False) -> tuple[Block, ...]:
    """The end of such a paper: the day its origins are of, and for a buyer what ends a paper of a sale."""
    as_of = Text(house.language.say("Origins as our records give them on %(day)s.", day=said_on), "small")
    if buyer:
        return (as_of, *house.closing(terms=terms))
    parts = (house.registration, house.ending, house.translated)
    return (as_of, *(Text(part, "small") for part in parts if part))
