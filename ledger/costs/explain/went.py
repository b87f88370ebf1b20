"""Where a cost entry went, or what a month of a category went to, asked for by name."""

from __future__ import annotations

import datetime as dt
import re

from sqlalchemy import Connection, Row, bindparam, select

from ledger.costs.explain import landing
from ledger.costs.explain.answers import Answer, Line
from ledger.costs.explain.landing import Landed
from ledger.costs.explain.load import Loaded, load
from ledger.costs.explain.naming import month_words, sales_of
from ledger.costs.explain.parts import Key, Part
from ledger.costs.given import ANIMALS
from ledger.costs.load import cost_lines
from ledger.costs.result import Closing, Kind, Posting
from ledger.days import long_day
from ledger.errors import BadInput, NotFound, Refused
from ledger.records import tables as t
from ledger.stock.reasons import REASONS
from ledger.stock.words import tub_order
from ledger.text import quoted
from ledger.wording import listed, say, strung, word

KINDS = {
    "on hand": say("still carried by living animals"),
    "sale": say("went with sales"),
    "out": say("went with animals given, used or taken out"),
    "written off": say("written off"),
    "brood": say("with breeders, for their next young"),
    "brood ended": say("breeders that ended; no young carry it"),
    "no animals": say("no animals to carry it"),
    "stranded": say("left when it was disposed of; no animal carries it"),
    "not used up": say("not used up yet"),
    "worth": say("what it will still be worth"),
}
"""Kinds of places a cost goes to, in the order they are listed."""
ORDER = tuple(KINDS)
TAKEN_BACK = say(
    "a movement of a closed year was taken back: the books size what it moved back by category, here it is followed "
    "for this cost alone"
)
OF_BOOKS = say(
    "the books of the year round all costs of a category together: what no animals carry may be a coin more or less "
    "there"
)
KIND, LOT, PLACE = "outcome", "lot", "detail"
WAYS = (KIND, LOT, PLACE)
"""By what the places are listed: what became of it; the lot it was borne by; each sale, lot and loss."""


_CHANGE = t.cost_change.c
_DISPOSED = select(_CHANGE.id).where(
    _CHANGE.cost_id == bindparam("number"),
    _CHANGE.kind == "disposal",
    _CHANGE.accounting_on <= bindparam("on", type_=_CHANGE.accounting_on.type),
)


def where_cost_went(conn: Connection, number: int, on: dt.date, *, by: str = KIND) -> Answer:
    """The places a cost entry went to, by a day.

    Args:
        conn: an open reading connection.
        number: of the cost.
        on: the last day that counts.
        by: one of `WAYS`.

    Raises:
        BadInput: no such way.
        NotFound: no such cost.
        Refused: it was taken back, takes one back, is accounted later, or goes to no animals at all.
    """
    row = conn.execute(select(t.cost).where(t.cost.c.id == number)).one_or_none()
    if row is None:
        raise NotFound(say("There is no cost {number}; rearledger costs lists them.", number=number), "cost")
    taken = conn.execute(select(t.cost.c.id).where(t.cost.c.reverses == number)).first()
    if taken is not None or row.reverses is not None:
        raise Refused(
            say("Cost {number} was taken back or takes another one back; nothing of it lands anywhere.", number=number),
            "cost",
        )
    if row.accounting_on > on:
        raise Refused(
            say(
                "Cost {number} is accounted on {accounting_on}, after that day.",
                number=number,
                accounting_on=long_day(row.accounting_on),
            ),
            "cost",
        )
    if row.kind == "selling":
        raise Refused(
            say("Cost {number} is a selling cost: it goes with the sale and never onto animals.", number=number), "cost"
        )
    loaded = load(conn, on)
    places = _Places(conn, loaded, by)
    if row.kind == "animals":
        event = loaded.events.get(row.movement_id)
        if event is None:
            raise Refused(
                say("The animals of cost {number} were taken back; nothing of it lands anywhere.", number=number),
                "cost",
            )
        found = landing.of_purchase(loaded.journal, event.id, places.called, _outcome)
    else:
        own = [cost for cost in loaded.costs if cost.id == number]
        gone = conn.execute(_DISPOSED, {"number": number, "on": on}).first() is not None
        beside = [(places.key("stranded" if gone else "worth"), row.residual)] if row.residual else []
        beside += [(places.key("stranded"), cost.spread.stranded) for cost in own if cost.spread.stranded]
        found = landing.of_lines(loaded.journal, cost_lines(own), places.called, beside, _outcome)
    return places.answer(_title(row), say("business part of the cost"), found)


def where_month_went(conn: Connection, category: str, month: str, on: dt.date, *, by: str = KIND) -> Answer:
    """The places that what was borne of a category in a month went to, by a day.

    Args:
        conn: an open reading connection.
        category: of spending.
        month: 2025-07.
        on: the last day that counts.
        by: one of `WAYS`.

    Raises:
        NotFound: nothing was spent on that category.
        BadInput: that is no month, or one after the day; or no such way.
    """
    if not re.fullmatch(r"\d{4}-(0[1-9]|1[0-2])", month):
        raise BadInput(say("{month} is no month; write it as 2025-07.", month=quoted(month)), "month")
    if month > on.isoformat()[:7]:
        raise BadInput(
            say(
                "{month} has not come by {on}; name an earlier month.",
                month=month_words(month),
                on=long_day(on),
            ),
            "month",
        )
    loaded = load(conn, on)
    wanted = category.strip().casefold()
    places = _Places(conn, loaded, by)
    if wanted == ANIMALS:
        raise BadInput(
            say("Animals bought are not borne by the month; name the cost: explain cost NUMBER."), "category"
        )
    lines = [line for line in loaded.journal.lines if line.category.casefold() == wanted]
    if not lines:
        known = sorted({line.category for line in loaded.journal.lines})
        raise NotFound(
            say("Nothing was spent on {category} that animals carry", category=quoted(category))
            + (say("; there is {known}.", known=listed(known, "and")) if known else "."),
            "category",
        )
    found = landing.of_month(loaded.journal, lines, month, places.called, _outcome)
    return places.answer(
        say("{category} of {month}", category=word(lines[0].category), month=month_words(month)),
        say("borne in that month"),
        found,
    )


def _title(row: Row) -> str:  # type: ignore[type-arg]
    what = strung((one for one in (row.supplier, row.text) if one), " ")
    return say(
        "cost {id}, {category}{what}, {day}",
        id=row.id,
        category=word(row.category),
        what=f" ({what})" if what else "",
        day=long_day(row.bought_on),
    )


def _outcome(key: Key) -> Key:
    """What became of what went to a place."""
    return Key(key.kind)


class _Places:
    """Names of the places of one ledger, listed one way."""

    def __init__(self, conn: Connection, loaded: Loaded, by: str) -> None:
        if by not in WAYS:
            raise BadInput(
                say("Where a cost went is not listed by {by}; choose {ways}.", by=quoted(by), ways=listed(WAYS, "or")),
                "by",
            )
        self._by = by
        self._loaded = loaded
        self._events = loaded.events
        self._sales = sales_of(conn, (event.id for event in self._events.values() if event.sale_line is not None))

    def key(self, kind: str, name: str = "", lot: int = 0) -> Key:
        """A key that sorts by what became of it."""
        return Key(f"{ORDER.index(kind)}", name, lot)

    def _listed(self, key: Key) -> Key:
        """What a place is listed as; by lot, those of lots come first."""
        if self._by == LOT and key.number:
            return Key("", "", key.number)
        return key if self._by == PLACE else _outcome(key)

    def called(self, row: Posting | Closing) -> Key:
        """The place of a row of the shared costs."""
        lot = row.lot or 0
        if isinstance(row, Posting) and row.kind is Kind.LEFT:
            return self._out(row, lot)
        kind = {
            Kind.ON_HAND: "on hand",
            Kind.WRITTEN_OFF: "written off",
            Kind.BROOD: "brood",
            Kind.BROOD_ENDED: "brood ended",
            Kind.NO_ANIMALS: "no animals",
            Kind.NOT_USED_UP: "not used up",
        }[row.kind]
        return self.key(kind, "", lot)

    def _out(self, row: Posting, lot: int) -> Key:
        assert row.event is not None
        event = self._events[row.event]
        origin = self._events.get(event.reverses or event.relates_to or event.id, event)
        sale = self._sales.get(origin.id)
        return self.key("sale", sale, lot) if sale else self.key("out", REASONS[origin.reason].done, lot)

    def answer(self, about: str, figure: str, found: Landed) -> Answer:
        """The places with their names."""
        found = landing.together(found, self._listed)
        # Kind by kind, and in it sale by sale and lot by lot as a keeper counts them.
        parts = sorted(found.parts, key=lambda part: (part.key.kind, part.key.name, tub_order(self._code(part.key))))
        lines = tuple(self._line(part) for part in parts)
        taken_back = any(event.reverses is not None for event in self._events.values())
        idle = any(line.kind == "no animals" and line.exact != line.shown for line in lines)
        notes = (*((TAKEN_BACK,) if taken_back else ()), *((OF_BOOKS,) if idle else ()))
        return Answer(about, figure, found.exact, found.shown, found.shown, None, self._by, WAYS, lines, notes)

    def _code(self, key: Key) -> str:
        return self._loaded.lots.get(key.number, "")

    def _line(self, part: Part) -> Line:
        code = self._code(part.key)
        name, about = self._named(part.key, code)
        kind = ORDER[int(part.key.kind)] if part.key.kind else LOT
        sale = part.key.name if kind == "sale" else ""
        return Line(kind, name, about, part.exact, part.shown, part.shown, part.categories, lot=code, sale=sale)

    def _named(self, key: Key, code: str) -> tuple[str, str]:
        if not key.kind:
            return say("lot {code}", code=code), say("its animals, wherever they went")
        kind = ORDER[int(key.kind)]
        if not code:
            return KINDS[kind], ""
        return {
            "on hand": (say("alive in lot {code}", code=code), say("cost so far")),
            "sale": (say("sale {name}", name=key.name), say("of lot {code}", code=code)),
            "out": (say("{happened}, lot {lot}", happened=word(key.name), lot=code), ""),
            "written off": (
                say("written off in lot {code}", code=code),
                say("losses beyond the expected, or the last animals"),
            ),
            "brood": (say("breeders of lot {code}", code=code), say("for their next young")),
            "brood ended": (say("breeders of lot {code} that ended", code=code), say("no young carry it")),
        }[kind]
