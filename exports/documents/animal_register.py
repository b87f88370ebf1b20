"""The animal register of a period as a document: one block a lot, with everything that came, went and was done.

Renders the rows of `ledger.books.register`. Says nowhere that it is what a law asks for.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from exports.documents.house import House
from exports.documents.language import Language, mark
from exports.documents.paper import Block, Column, Document, Facts, Row, Table, Text
from exports.documents.recorded import arrival, evidence, origin_label, parentage, whence
from exports.documents.words import capitalised, permit, species_name, stage, word
from ledger.books.register import Alive, InOrOut, Register, RegisterLot

if TYPE_CHECKING:
    import datetime as dt

_WHAT_IT_IS = mark(
    "Who from, when in, sex, age, parents, marks, treatments, when out and to whom, as recorded. What has to be kept, "
    "and for how long, differs from place to place: check your local rules."
)
_COUNTS = mark("Counts by sex are males.females.unsexed.")


def animal_register(book: Register, house: House, *, species: str | None = None) -> Document:
    """A register as a document.

    Args:
        book: the rows.
        house: who keeps the animals.
        species: code it was narrowed to, for the file's name.
    """
    language = house.language
    say = language.say
    title = say("Animal register, %(first)s to %(last)s", first=language.day(book.first), last=language.day(book.last))
    blocks: list[Block] = [
        Text(title, "title"),
        Text(f"{say(_WHAT_IT_IS)} {say(_COUNTS)}", "small"),
        Facts(tuple(row for row in _summary(book, house) if row[1])),
    ]
    for lot in book.lots:
        blocks += _lot(lot, language)
    if not book.lots:
        blocks.append(Text(say("No animals were here in this time."), "strong"))
    blocks += [Text(part, "small") for part in (house.registration, house.ending, house.translated) if part]
    cautions = [
        f"The counts of {lot.code} do not add up: {lot.count_before} + {lot.came} - {lot.went} is not "
        f"{lot.count_after}; see `prove`."
        for lot in book.lots
        if not lot.adds_up
    ]
    which = f"{species.lower()}-" if species else ""
    stem = f"register-{which}{book.first}-{book.last}"
    return Document(stem, title, language, house.head, tuple(blocks), tuple(cautions), landscape=True)


def _summary(book: Register, house: House) -> list[tuple[str, str]]:
    language = house.language
    say = language.say
    rows = [
        (say("Lots"), language.number(len(book.lots))),
        (say("Here at the start"), language.number(sum(lot.count_before for lot in book.lots))),
        (say("Came in"), language.number(sum(lot.came for lot in book.lots))),
        (say("Went out"), language.number(sum(lot.went for lot in book.lots))),
        (say("Here at the end"), language.number(sum(lot.count_after for lot in book.lots))),
    ]
    rows += [(say("Permit, as entered"), f"{one.species}: {permit(one, language)}") for one in book.permits]
    return rows


def _lot(lot: RegisterLot, language: Language) -> list[Block]:
    say = language.say
    facts = [
        (say("Origin"), origin_label(lot.row.origin, language)),
        (say("Evidence"), evidence(lot.row.evidence, language)),
        (say("How it came"), arrival(lot.row.came, language)),
        (say("Age counted from"), _days(lot.started_from, lot.started_on, language)),
        (say("As stated"), whence(lot.row.whence, language)),
        (say("Parents"), "\n".join(parentage(one, language) for one in lot.row.parents)),
        (say("Marks"), "\n".join(f"{language.short_day(on)}: {text}" for on, text in lot.marks)),
        (say("Treatments"), "\n".join(f"{language.short_day(on)}: {text}" for on, text in lot.treatments)),
        (say("At the start"), _alive(lot.before, language)),
        (say("At the end"), _alive(lot.after, language)),
    ]
    name = species_name(lot.common, lot.scientific)
    blocks: list[Block] = [Text(f"{lot.code}, {name}", "heading"), Facts(tuple(row for row in facts if row[1]))]
    if lot.moved:
        blocks.append(_moved(lot, language))
    return blocks


def _moved(lot: RegisterLot, language: Language) -> Table:
    say = language.say
    rows = [_act(one, language) for one in lot.moved]
    total = (language.number(lot.came), language.number(lot.went))
    rows.append(Row((say("Total"), *total, "", "", "", "", "", ""), strong=True, rule=True))
    return Table(
        (
            Column(say("Day"), 6),
            Column(say("In"), 2, figure=True),
            Column(say("Out"), 2, figure=True),
            Column(say("What happened"), 7),
            Column(say("Stage"), 6),
            Column(say("By sex"), 4),
            Column(say("Tubs"), 5),
            Column(say("From or to whom"), 8),
            Column(say("Paper or lot"), 6),
        ),
        tuple(rows),
        wide=3,
        dense=True,
    )


def _act(one: InOrOut, language: Language) -> Row:
    count = language.number(one.count)
    return Row(
        (
            _days(one.since or one.on, one.on, language),
            count if one.came else "",
            "" if one.came else count,
            capitalised(one.what, language),
            stage(one.stage, one.count, language),
            one.by_sex,
            ", ".join(one.tubs),
            one.who,
            one.paper,
        ),
        (word(one.note, language),) if one.note else (),
    )


def _days(first: dt.date, last: dt.date, language: Language) -> str:
    if first == last:
        return language.short_day(last)
    return language.say("%(first)s to %(last)s", first=language.short_day(first), last=language.short_day(last))


def _alive(rows: tuple[Alive, ...], language: Language) -> str:
    lines = []
    for one in rows:
        text = f"{language.number(one.count)} {stage(one.stage, one.count, language)} ({one.by_sex})"
        if one.tubs:
            tubs = ", ".join(one.tubs)
            text += ", " + language.counted("tub %(tubs)s", "tubs %(tubs)s", len(one.tubs), tubs=tubs)
        lines.append(text)
    return "\n".join(lines) or language.say("none")
