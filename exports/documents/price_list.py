"""The price list of a day, as handed to buyers: by species, with stage, sex, pack and price; no lots and no counts."""

from __future__ import annotations

import datetime as dt
from itertools import groupby
from typing import TYPE_CHECKING

from exports.documents.house import RIGHTS, House
from exports.documents.language import Language
from exports.documents.paper import Block, Column, Document, Row, Table, Text
from exports.documents.recorded import origin_label
from exports.documents.words import pack, species_name, stage, word
from ledger.errors import BadInput, Refused
from ledger.selling.customers import KINDS
from ledger.selling.listing import PriceRow
from ledger.text import quoted

if TYPE_CHECKING:
    from ledger.ledger import Ledger


def price_list(ledger: Ledger, house: House, on: dt.date, buyer: str = "retail", *, ready: bool = False) -> Document:
    """The price list of a day.

    Args:
        ledger: the ledger.
        house: who writes.
        on: the day whose prices count.
        buyer: retail or trade; trade buyers pay retail where no trade price is set.
        ready: only what can be sold on that day, with its origin.

    Raises:
        BadInput: there is no such kind of buyer.
        Refused: no price counts on that day, or nothing is ready.
    """
    if buyer not in KINDS:
        raise BadInput(f"{quoted(buyer)} is no kind of buyer; write {' or '.join(KINDS)}.", "buyer")
    language = house.language
    say = language.say
    rows = _offered(ledger.prices(on), buyer)
    if not rows:
        raise Refused(f"No {buyer} price counts on {on}; set one with `price set`.", "on", {"on": on})
    origins = _ready_origins(ledger, on) if ready else {}
    if ready:
        rows = [row for row in rows if (row.species, row.stage) in origins]
        if not rows:
            raise Refused(f"Nothing that has a price is ready to sell on {on}.", "on", {"on": on})
    names = {row.code: (row.common, row.scientific) for row in ledger.species()}
    title = say("Price list, %(day)s", day=language.day(on))
    blocks: list[Block] = [
        Text(title, "title"),
        Text(
            say("Prices in %(currency)s.", currency=house.currency.code)
            + (" " + say("For the trade.") if buyer == "trade" else "")
        ),
    ]
    by_sex = any(row.sex != "any" for row in rows)
    for code, some in groupby(rows, key=lambda row: row.species):
        common, scientific = names[code]
        blocks.append(Text(species_name(common, scientific), "heading"))
        blocks.append(_table(list(some), origins, house, by_sex=by_sex))
    closing = [house.terms, say(RIGHTS), say("While stocks last.")]
    closing += [house.ending, house.translated] if ready else []
    blocks += [Text(text, "small") for text in closing if text]
    return Document(f"price-list-{buyer}-{on}", title, language, house.head, tuple(blocks))


def _offered(prices: tuple[PriceRow, ...], buyer: str) -> list[PriceRow]:
    """Prices for a buyer: those of the trade stand in place of retail ones of the same pack."""
    best: dict[tuple[str, str, str, str, int], PriceRow] = {}
    for row in prices:
        if row.buyer not in (buyer, "retail"):
            continue
        key = (row.species, row.stage, row.sex, row.pack, row.animals)
        if key not in best or row.buyer == buyer:
            best[key] = row
    return list(best.values())


def _ready_origins(ledger: Ledger, on: dt.date) -> dict[tuple[str, str], list[str]]:
    """Species and stages of which something is ready, with the origins of what is."""
    found: dict[tuple[str, str], list[str]] = {}
    for row in ledger.ready(on):
        if row.ready > 0:
            known = found.setdefault((row.species, row.stage), [])
            if row.origin not in known:
                known.append(row.origin)
    return found


def _table(rows: list[PriceRow], origins: dict[tuple[str, str], list[str]], house: House, *, by_sex: bool) -> Table:
    """Stage, pack and price; sex where a price of the list depends on it, and the origins of what is ready."""
    language = house.language
    say = language.say
    columns = [Column(say("Stage"), 4)]
    columns += [Column(say("Sex"), 3)] if by_sex else []
    columns.append(Column(say("Pack"), 3))
    columns += [Column(say("Origin"), 6)] if origins else []
    columns.append(Column(house.currency.code, 2, figure=True))
    made = []
    for row in rows:
        cells = [_capital(stage(row.stage, row.animals, language))]
        cells += ["" if row.sex == "any" else word(row.sex, language)] if by_sex else []
        cells.append(_pack(row, language))
        if origins:
            cells.append("\n".join(origin_label(text, language) for text in origins[row.species, row.stage]))
        cells.append(language.amount(row.amount, house.currency))
        made.append(Row(tuple(cells)))
    return Table(tuple(columns), tuple(made))


def _pack(row: PriceRow, language: Language) -> str:
    said = pack(row.pack, language)
    if row.animals == 1 or str(row.animals) in row.pack or any(letter.isdigit() for letter in row.pack):
        return said
    return f"{said} ({language.number(row.animals)})"


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
