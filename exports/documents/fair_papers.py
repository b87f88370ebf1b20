"""Papers for the table of a fair: a label for each pack that stands ready, and the price list of the packs.

Both say of a pack its mark, what is in it with the sexes, its price, and the origin of its animals; no lots, and not
how many are left.
"""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from exports.documents.house import RIGHTS, House
from exports.documents.labels import Label
from exports.documents.language import Language
from exports.documents.paper import Block, Column, Document, Row, Table, Text
from exports.documents.recorded import origin_label
from exports.documents.words import pack, species_name, stage, word
from ledger.errors import Refused
from ledger.selling.fair_packs import FairPackRow, PackedAnimals

if TYPE_CHECKING:
    from ledger.ledger import Ledger


def pack_labels(ledger: Ledger, fair: str, house: House) -> tuple[Label, ...]:
    """A label for each pack of a fair that stands ready, by their marks.

    Raises:
        NotFound, Refused: there is no such fair, or no pack of it stands ready.
    """
    names, origins = _names(ledger), dict(ledger.fair_result(fair).origins)
    made: list[Label] = []
    for row in _ready(ledger, fair):
        price = house.language.money(row.price, house.currency)
        lines = (
            f"{pack(row.pack, house.language)}: {price}",
            *_inside(row, names, house.language),
            *_origins(row, origins, house.language),
        )
        made += [Label(row.mark, lines)] * row.ready
    return tuple(made)


def fair_prices(ledger: Ledger, fair: str, house: House) -> Document:
    """The price list of the packs of a fair that stand ready.

    Raises:
        NotFound, Refused: there is no such fair, or no pack of it stands ready.
    """
    language, result = house.language, ledger.fair_result(fair)
    say = language.say
    names, origins = _names(ledger), dict(result.origins)
    rows = []
    for row in _ready(ledger, fair):
        what = "\n".join(f"{names[one.species]}: {_animals(one, language)}" for one in _all_of(row))
        said = "\n".join(_origins(row, origins, language))
        cells = row.mark, f"{pack(row.pack, language)}\n{what}", said, language.amount(row.price, house.currency)
        rows.append(Row(cells))
    title = say("Price list, %(day)s", day=language.day(result.fair.held_on))
    columns = (
        Column("", 2),
        Column(say("Pack"), 6),
        Column(say("Origin"), 6),
        Column(house.currency.code, 2, figure=True),
    )
    blocks: list[Block] = [
        Text(title, "title"),
        Text(result.fair.name),
        Text(say("Prices in %(currency)s.", currency=house.currency.code)),
        Table(columns, tuple(rows)),
    ]
    closing = [house.terms, say(RIGHTS), say("While stocks last."), house.ending, house.translated]
    blocks += [Text(text, "small") for text in closing if text]
    return Document(f"price-list-fair-{result.fair.held_on}", title, language, house.head, tuple(blocks))


def _ready(ledger: Ledger, fair: str) -> list[FairPackRow]:
    rows = sorted((row for row in ledger.fair_packs(fair) if row.ready), key=lambda row: row.mark)
    if not rows:
        raise Refused("No pack of this fair stands ready; put packs together first.", "fair")
    return rows


def _names(ledger: Ledger) -> dict[str, str]:
    return {row.code: species_name(row.common, row.scientific) for row in ledger.species()}


def _all_of(row: FairPackRow) -> list[PackedAnimals]:
    """What one pack is of: like animals of several lots in one, so that no animal is lost or said twice."""
    counts: Counter[tuple[str, str, str, str]] = Counter()
    for one in row.of:
        counts[one.species, one.stage, one.sex, one.sure] += one.count
    return [
        PackedAnimals("", species, count, stage, sex, sure) for (species, stage, sex, sure), count in counts.items()
    ]


def _inside(row: FairPackRow, names: dict[str, str], language: Language) -> list[str]:
    """Each species once, with its animals below it."""
    animals = _all_of(row)
    return [
        line
        for species in dict.fromkeys(one.species for one in animals)
        for line in (names[species], *(_animals(one, language) for one in animals if one.species == species))
    ]


def _animals(one: PackedAnimals, language: Language) -> str:
    """'1 male adult', '2 probable females'."""
    sex = "" if one.sex == "unsexed" else f"{word(one.sex, language)} "
    sure = f"{word('probable', language)} " if one.sure == "probable" else ""
    return f"{language.number(one.count)} {sure}{sex}{stage(one.stage, one.count, language)}"


def _origins(row: FairPackRow, origins: dict[str, str], language: Language) -> list[str]:
    return list(dict.fromkeys(origin_label(origins[lot].partition(";")[0], language) for lot in row.lots))
