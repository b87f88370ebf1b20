"""The lines of a sale: which animals, stated as what, for how much. Reads only."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from sqlalchemy import Connection, bindparam, select

from ledger.errors import BadInput, NotEnough, NotFound
from ledger.money import largest_remainder
from ledger.origin.service import said_of
from ledger.records import tables as t
from ledger.records.columns import MOST_MONEY
from ledger.selling.commands import LineOf
from ledger.selling.holds import Hold
from ledger.selling.prices import PriceList, counts_by_sex
from ledger.selling.shelf import Part, Shelf
from ledger.selling.stating import Stated, stated
from ledger.stock import earmarks
from ledger.stock.words import animals, sex_words
from ledger.text import clean


@dataclass(frozen=True, slots=True)
class LineDraft:
    """One line, decided."""

    part: Part
    species_text: str
    count: int
    """Paid for."""
    extra: int
    """Given on top."""
    pack: str
    price: int
    discount: int
    stated: Stated
    free_because: str
    """Why it is free of charge; empty if it is not."""

    @property
    def net(self) -> int:
        """What it comes to."""
        return self.price - self.discount

    @property
    def words(self) -> str:
        """'10 L3 of P08', '10 + 1 extra L3 of P08'."""
        some = animals(self.part.count, self.part.stage.name, self.part.sex, self.part.sure)
        if self.extra:
            some = some.replace(str(self.part.count), f"{self.count} + {self.extra} extra", 1)
        return f"{some} of {self.part.lot.code}"


def sex_text(sex: str, sure: str) -> str:
    """'female', 'probable female', 'unsexed': the sex as it is stated."""
    return sex_words(sex, sure) or "unsexed"


def resolve_lines(
    conn: Connection,
    shelf: Shelf,
    lines: Sequence[LineOf],
    prices: PriceList,
    buyer: str,
    promised: Mapping[tuple[str, str, str, int], int],
) -> tuple[LineDraft, ...]:
    """What the lines of a sale mean.

    Args:
        conn: a connection.
        shelf: what can be taken.
        lines: as the keeper said them.
        prices: the list of the day.
        buyer: retail or trade.
        promised: prices of a hold, by (lot, stage, sex, count).

    Raises:
        Refused: an animal cannot be sold, an origin not be stated, a price is missing.
    """
    drafts = [draft for line in lines for draft in _resolve(shelf, line)]
    said = said_of(conn, {draft.part.lot.id for draft in drafts}, shelf.kept)
    species = _species_texts(conn, {draft.part.lot.species_id for draft in drafts}, shelf.kept)
    priced = _priced(shelf, drafts, prices, buyer, promised)
    found = []
    for draft, price in zip(drafts, priced, strict=True):
        if draft.discount > price:
            raise BadInput("A discount cannot be more than the price of the line; lower it.", "discount")
        reason = clean(draft.line.price_zero_reason, limit=200, field="price_zero_reason")
        if price - draft.discount == 0 and not reason:
            raise BadInput(
                f"{draft.part.lot.code}: the line is free of charge; say why (sample, replacement, gift), "
                "or give its price.",
                "price_zero_reason",
            )
        lot = draft.part.lot
        found.append(
            LineDraft(
                draft.part,
                species[lot.species_id],
                draft.count,
                draft.extra,
                clean(draft.line.pack, limit=80, field="pack"),
                price,
                draft.discount,
                stated(lot.code, draft.line.claim, said[lot.id], said[lot.id].country),
                reason if price - draft.discount == 0 else "",
            )
        )
    return tuple(found)


def lines_of_hold(conn: Connection, hold: Hold) -> tuple[LineOf, ...]:
    """What a hold promised as the lines of a sale: its animals as they are now, which may have moved on or died.

    Raises:
        NotEnough: none of them is left.
    """
    h = t.holding.c
    lines = []
    for line in hold.lines:
        where = dict(earmarks.get(conn, line.earmark_id).on)
        counts: dict[tuple[str, str, str, str], int] = defaultdict(int)
        rows = conn.execute(
            select(h.id, t.lot.c.code, t.stage.c.name, h.sex, h.sure)
            .join(t.lot, t.lot.c.id == h.lot_id)
            .join(t.stage, t.stage.c.id == h.stage_id)
            .where(h.id.in_(sorted(where)))
            .order_by(h.id)
        )
        for row in rows:
            counts[row.code, row.name, row.sex, row.sure] += where[row.id]
        for (lot, stage, sex, sure), count in counts.items():
            lines.append(LineOf(lot, count, stage=stage, sex=sex_text(sex, sure)))
    if not lines:
        raise NotEnough(f"None of the animals of {hold.number} is left; release it.", "hold", {"hold": hold.number})
    return tuple(lines)


@dataclass(frozen=True, slots=True)
class _Draft:
    line: LineOf
    part: Part
    count: int
    extra: int
    price: int | None
    discount: int


def _resolve(shelf: Shelf, line: LineOf) -> list[_Draft]:
    """The parts one line falls into: more than one when it takes all that is there of several kinds."""
    for amount, name in ((line.price, "price"), (line.discount, "discount")):
        if amount is not None and not 0 <= amount <= MOST_MONEY:
            raise BadInput(f"The {name} must be nothing or more, and within reason.", name)
    if type(line.extra) is not int or line.extra < 0:
        raise BadInput("The number given on top must be nothing or more.", "extra")
    if type(line.count) is not int or line.count < 1:
        raise BadInput("The number sold must be 1 or more.", "count")
    parts = shelf.ready(line.lot, line.count + line.extra, line.stage, line.sex, line.tub)
    paid_for = _paid_for(parts, line.count)
    if line.price is None:
        shares: Sequence[int | None] = [None] * len(parts)
    else:
        shares = largest_remainder(line.price, paid_for)
    discounts = largest_remainder(line.discount, paid_for)
    return [
        _Draft(line, part, count, part.count - count, price, discount)
        for part, count, price, discount in zip(parts, paid_for, shares, discounts, strict=True)
    ]


def _paid_for(parts: Sequence[Part], count: int) -> list[int]:
    """How many of each part are paid for; every line of a paper has at least one."""
    left = count - len(parts)
    if left < 0:
        raise BadInput("So few animals cannot be of so many kinds; sell them line by line.", "count")
    counts = []
    for part in parts:
        more = min(left, part.count - 1)
        counts.append(1 + more)
        left -= more
    return counts


def _priced(
    shelf: Shelf,
    drafts: Sequence[_Draft],
    prices: PriceList,
    buyer: str,
    promised: Mapping[tuple[str, str, str, int], int],
) -> list[int]:
    """The price of each line: as said, else as promised by a hold, else from the list."""
    found = [draft.price for draft in drafts]
    for places in _sold_together(drafts).values():
        first = drafts[places[0]]
        counts: dict[str, int] = defaultdict(int)
        for place in places:
            counts[drafts[place].part.sex] += drafts[place].count
        total = prices.price_by_sex(first.part.lot.species_id, first.part.stage.id, first.line.pack, counts, buyer)
        if total is not None:
            shares = largest_remainder(total, [drafts[place].count for place in places])
            for place, share in zip(places, shares, strict=True):
                found[place] = share
    for place, draft in enumerate(drafts):
        if found[place] is None:
            found[place] = promised.get(_promise_key(draft.part, draft.count))
        if found[place] is None:
            part = draft.part
            found[place] = prices.price_of(part.lot.species_id, part.stage.id, part.sex, draft.count, buyer)
    for price, draft in zip(found, drafts, strict=True):
        if price is None:
            raise NotFound(
                f"The price list of {shelf.on} has no price for {draft.count} "
                f"{animals(draft.count, draft.part.stage.name, draft.part.sex, draft.part.sure).split(' ', 1)[1]} of "
                f"{draft.part.lot.code}; give the price of the line, or set one.",
                "price",
                {"lot": draft.part.lot.code, "count": draft.count},
            )
    return [price for price in found if price is not None]


def _promise_key(part: Part, count: int) -> tuple[str, str, str, int]:
    return part.lot.code, part.stage.name, part.sex, count


def _sold_together(drafts: Sequence[_Draft]) -> dict[tuple[int, int, str], list[int]]:
    """Places of unpriced lines of one species and stage that name the same pack by sex, such as 'pair 1.1'."""
    packs: dict[tuple[int, int, str], list[int]] = defaultdict(list)
    for place, draft in enumerate(drafts):
        if draft.price is None and counts_by_sex(draft.line.pack) is not None:
            packs[draft.part.lot.species_id, draft.part.stage.id, draft.line.pack].append(place)
    return packs


def _species_texts(conn: Connection, ids: set[int], kept: dict[object, object]) -> dict[int, str]:
    """'sun beetle (Pachnoda marginata)'."""
    missing = sorted(number for number in ids if ("species", number) not in kept)
    if missing:
        for row in conn.execute(_SPECIES, {"ids": missing}):
            both = f"{row.common} ({row.scientific})" if row.scientific else row.common
            kept["species", row.id] = both
    return {number: str(kept["species", number]) for number in ids}


_SPECIES = select(t.species.c.id, t.species.c.common, t.species.c.scientific).where(
    t.species.c.id.in_(bindparam("ids", expanding=True))
)
