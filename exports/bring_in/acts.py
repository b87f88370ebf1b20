"""From what rows say to the commands of the ledger, the same a keeper gives on a screen.

Rows of one lot make one lot, rows of one sale (by the keeper's own number) one sale; everything else is row by row.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import lru_cache

from exports.bring_in.kinds import COSTS, CUSTOMERS, PRICES, SALES, STOCK, Kind
from exports.bring_in.records import Said
from exports.bring_in.values import Unclear
from ledger.costs.commands import Spend
from ledger.errors import Refused
from ledger.selling.commands import AddCustomer, Charge, LineOf, Paid, Sell, SetPrice
from ledger.stock.commands import AddLot, Arrival, OriginStatement
from ledger.text import quoted


@dataclass(frozen=True, slots=True)
class Group:
    """Rows that are recorded by one command."""

    rows: tuple[Said, ...]

    @property
    def first(self) -> Said:
        """The first of them."""
        return self.rows[0]


def groups(kind: Kind, rows: list[Said]) -> list[Group]:
    """Rows that belong together, in the order of their days, else of the file."""
    if kind is STOCK or kind is SALES:
        by_key: dict[tuple[str, object], list[Said]] = {}
        for said in rows:
            key: tuple[str, object] = ("row", said.row)
            if kind is STOCK:
                key = ("lot", said.text("lot"))
            elif said.reference:
                key = ("sale", said.reference)
            elif said.follows:
                key = ("row", said.follows)
            by_key.setdefault(key, []).append(said)
        made = [Group(tuple(rows_)) for rows_ in by_key.values()]
    else:
        made = [Group((said,)) for said in rows]
    if kind is SALES or kind is COSTS:
        made.sort(key=lambda group: group.first.day("date") or dt.date.max)
    return made


def command(kind: Kind, group: Group, categories: Mapping[str, str]) -> object:
    """What a group records.

    Args:
        kind: what the rows hold.
        group: the rows.
        categories: the kind of each category of spending that is known.

    Raises:
        Unclear: the rows do not agree, or something is missing that only the keeper can say.
    """
    return _MAKERS[kind.name](group, categories)


_CALLED = {
    STOCK.name: {
        "code": "lot",
        "value": "price",
        "started_from": "started",
        "started_on": "started",
        "arrived_on": "counted",
        "evidence": "documents",
    },
    SALES.name: {"sold_on": "date", "charges": "postage", "price_zero_reason": "free because"},
    COSTS.name: {
        "bought_on": "date",
        "paid_on": "date",
        "window_from": "from",
        "window_to": "to",
        "life_days": "life",
    },
    PRICES.name: {"amount": "price", "from_on": "from", "pack_size": "animals"},
}
"""Columns by what the ledger calls them, where it does so otherwise."""


def column_of(kind: Kind, field: str | None) -> str:
    """The column that the ledger means by a field of a command; it may be none of the kind."""
    return _CALLED.get(kind.name, {}).get(field or "", field or "")


def meant(group: Group, refused: Refused, column: str) -> Said:
    """The row of a group that a refusal speaks of, by its lot or by what stands in the column; else the first."""
    for one in group.rows:
        if one.text("lot") == refused.facts.get("lot") or (
            one.text(column) and quoted(one.text(column)) in refused.sentence
        ):
            return one
    return group.first


def _agreed(group: Group, *names: str) -> None:
    if len(group.rows) == 1:
        return
    for name in names:
        said = [one.values[name] for one in group.rows if name in one.values]
        if any(one is not said[0] and repr(one) != repr(said[0]) for one in said[1:]):
            rows = ", ".join(str(one.row) for one in group.rows)
            raise Unclear(f"The rows {rows} belong together and do not agree on {name}.")


def _any(group: Group, name: str) -> str:
    for one in group.rows:
        if text := one.text(name):
            return text
    return ""


def _stock(group: Group, _categories: Mapping[str, str]) -> AddLot:
    _agreed(group, "species", "started", "counted", "origin", "generation", "supplier", "country", "locality")
    _agreed(group, "documents", "place", "purpose", "note")
    first = group.first
    started = first.day("started")
    assert started is not None
    code = _any(group, "origin")
    generation = next((n for one in group.rows if (n := one.number("generation")) is not None), None)
    documents = _any(group, "documents")
    if not code and (generation is not None or documents):
        raise Unclear("A generation or documents need an origin beside them, such as CB.")
    supplier = _any(group, "supplier")
    if supplier and not code:
        # Who they came from is worth keeping where nothing else is known.
        code = "UNK"
    origin = OriginStatement(
        code,
        generation,
        2 if documents else 1,
        _any(group, "country"),
        _any(group, "locality"),
        supplier,
        documents,
    )
    arrivals = tuple([_arrival(one) for one in group.rows])
    return AddLot(
        first.text("lot"),
        first.text("species"),
        started,
        arrivals,
        purpose=_any(group, "purpose") or "sale",
        place=_any(group, "place"),
        note=_any(group, "note"),
        origin=origin if code else None,
        arrived_on=next((day for one in group.rows if (day := one.day("counted"))), None),
    )


_LAID = frozenset({"egg", "ootheca", "clutch", "sac", "egg sac"})
"""Stages that are laid; all others hatch."""


def _came(said: Said) -> str:
    """The reason for which the animals of a row come in."""
    how = said.text("how") or "opening"
    if said.number("price") is not None and how != "bought":
        raise Unclear(f"A price is of animals that were bought, and these are {how}; leave it out, or write bought.")
    if how == "bred":
        return "laid" if said.text("stage").casefold() in _LAID else "hatched"
    return how


def _arrival(said: Said) -> Arrival:
    counts = said.counts("count")
    return Arrival(
        _came(said),
        said.text("stage"),
        unsexed=counts.unsexed,
        males=counts.males,
        females=counts.females,
        tub=said.text("tub"),
        value=said.number("price"),
        estimated=counts.about,
    )


def _sale(group: Group, _categories: Mapping[str, str]) -> Sell:
    _agreed(group, "date", "customer", "channel", "method", "postage")
    rows, first = group.rows, group.first
    sold_on = first.day("date")
    assert sold_on is not None
    postage = next((amount for one in rows if (amount := one.number("postage"))), 0)
    paid = False not in [one.values.get("paid", True) for one in rows]
    if not paid and any(one.values.get("paid") for one in rows):
        _agreed(group, "paid")
    notes = list(dict.fromkeys([note for one in rows if (note := one.text("note"))]))
    if first.reference:
        notes.insert(0, f"Own number {first.reference}.")
    return Sell(
        tuple([line for one in rows for line in _lines(one)]),
        sold_on,
        _any(group, "customer"),
        _any(group, "channel") or "collection",
        (Charge("postage", postage),) if postage else (),
        _payments(group, postage) if paid else (),
        note="\n".join(notes),
    )


def _payments(group: Group, postage: int) -> tuple[Paid, ...]:
    """How a sale was paid: by the word under Paid by, or under Paid; in parts, where its rows were paid otherwise."""
    ways = dict.fromkeys(way for one in group.rows if isinstance(way := one.values.get("paid"), str))
    if method := _any(group, "method"):
        return (_paid_in_full(method),)
    if len(ways) < 2:
        return (_paid_in_full(next(iter(ways), "cash")),)
    parts = dict.fromkeys(ways, 0)
    usual = next(iter(ways))
    parts[usual] += postage
    for one in group.rows:
        way, price = one.values.get("paid"), _net(one)
        if price is None:
            rows = ", ".join(str(each.row) for each in group.rows)
            raise Unclear(f"The rows {rows} are one sale paid in several ways; give each its price.")
        parts[way if isinstance(way, str) else usual] += price
    return tuple(Paid(amount, way) for way, amount in parts.items() if amount)


def _net(said: Said) -> int | None:
    """What a row comes to without its discount; None: no price is said."""
    price, each = said.number("price"), said.number("each")
    if price is None and each is not None:
        price = each * said.counts("count").all
    return None if price is None else price - (said.number("discount") or 0)


@lru_cache(100)
def _paid_in_full(method: str) -> Paid:
    return Paid(None, method)


def _lines(said: Said) -> list[LineOf]:
    counts, price, each = said.counts("count"), said.number("price"), said.number("each")
    discount, sex = said.number("discount") or 0, said.text("sex")
    wanted = [(sex, counts.all)]
    if counts.males or counts.females:
        wanted = [(name, count) for name, count in (("male", counts.males), ("female", counts.females)) if count]
        if counts.unsexed:
            wanted.append(("unsexed", counts.unsexed))
        if sex:
            raise Unclear("The sex is said twice, in the count and in its own column; leave one out.")
    if counts.about:
        raise Unclear("A sale is of a number of animals that is known; leave out the about.")
    if len(wanted) > 1 and (price is not None or discount):
        raise Unclear("One price for several sexes cannot be shared out; give Price each, or a row for each sex.")
    if price is not None and each is not None and price != each * counts.all:
        raise Unclear("The price and the price each do not agree; leave one out.")
    return [
        LineOf(
            said.text("lot"),
            count,
            each * count if each is not None else price,
            said.text("stage") or None,
            sex or None,
            said.text("tub") or None,
            discount=discount,
            price_zero_reason=said.text("free because"),
        )
        for sex, count in wanted
    ]


def _cost(group: Group, categories: Mapping[str, str]) -> Spend:
    said = group.first
    bought_on, gross = said.day("date"), said.number("amount")
    assert bought_on is not None
    assert gross is not None
    category = said.text("category").lower()
    kind = said.text("kind") or ("lasting" if said.number("life") else categories.get(category, ""))
    if not kind:
        raise Unclear(
            f"The category {category} is new; say of which kind it is in a column Kind: "
            "used up, lasting, overhead or selling."
        )
    lots, species = _codes(said.text("lots")), _codes(said.text("species"))
    if lots and species:
        raise Unclear("A cost is for lots or for species, not for both; make two rows.")
    note = said.text("note")
    if said.reference:
        note = f"Own number {said.reference}.\n{note}".strip()
    return Spend(
        bought_on,
        category,
        gross,
        said.text("supplier"),
        said.text("text"),
        said.number("tax") or 0,
        kind=kind,
        scope="none" if kind == "selling" else "lots" if lots else "species" if species else "all",
        species=species,
        lots=lots,
        window_from=said.day("from"),
        window_to=said.day("to"),
        life_days=said.number("life"),
        quantity=said.text("quantity"),
        note=note,
        share=said.number("share"),
        unpaid=said.values.get("paid") is False,
    )


def _codes(text: str) -> tuple[str, ...]:
    return tuple(text.replace(",", " ").replace(";", " ").split()) if text else ()


def _customer(group: Group, _categories: Mapping[str, str]) -> AddCustomer:
    said = group.first
    return AddCustomer(said.text("name"), said.text("contact"), said.text("kind") or "retail", said.text("note"))


def _price(group: Group, _categories: Mapping[str, str]) -> SetPrice:
    said = group.first
    from_on, amount = said.day("from"), said.number("price")
    assert from_on is not None
    assert amount is not None
    return SetPrice(
        said.text("species"),
        said.text("stage"),
        amount,
        from_on,
        said.number("animals") or 1,
        said.text("sex") or "any",
        said.text("pack") or "single",
        said.text("buyer") or "retail",
    )


_MAKERS: dict[str, Callable[[Group, Mapping[str, str]], object]] = {
    STOCK.name: _stock,
    SALES.name: _sale,
    COSTS.name: _cost,
    CUSTOMERS.name: _customer,
    PRICES.name: _price,
}
