"""The lines of a sale: which animals, stated as what, for how much. Reads only."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from functools import cache
from typing import NamedTuple

from sqlalchemy import Connection, bindparam, select

from ledger.errors import BadInput, NotEnough, NotFound
from ledger.money import largest_remainder
from ledger.origin.service import Said, said_of
from ledger.records import tables as t
from ledger.selling.choosing import Draft, pair_up, resolve_line, resolve_pack
from ledger.selling.commands import LineOf, PackOf
from ledger.selling.holds import Hold
from ledger.selling.packs import check_origins
from ledger.selling.parts import Part
from ledger.selling.prices import PriceList
from ledger.selling.shelf import Shelf
from ledger.selling.stating import Stated, stated
from ledger.stock import earmarks
from ledger.stock.words import animals, sex_words, stage_words
from ledger.text import clean
from ledger.wording import say, strung


class LineDraft(NamedTuple):
    """One line, decided."""

    part: Part
    species_text: str
    count: int  # type: ignore[assignment]  # of animals; that of a tuple is not asked for
    """Paid for."""
    extra: int
    """Given on top."""
    pack: str
    price: int
    discount: int
    stated: Stated
    free_because: str
    """Why it is free of charge; empty if it is not."""
    together: int = 0
    """Lines with the same number above 0 are one pack at one price."""

    @property
    def net(self) -> int:
        """What it comes to."""
        return self.price - self.discount

    @property
    def words(self) -> str:
        """'10 L3 of P08', '10 + 1 extra L3 of P08'."""
        some = animals(self.part.count, self.part.stage.name, self.part.sex, self.part.sure)
        if self.extra:
            some = strung(
                part
                for part in (
                    say("{count} + {extra} extra", count=self.count, extra=self.extra),
                    sex_words(self.part.sex, self.part.sure),
                    stage_words(self.part.stage.name, self.part.count),
                )
                if part
            )
        return say("{animals} of {lot}", animals=some, lot=self.part.lot.code)


@cache
def sex_text(sex: str, sure: str) -> str:
    """'female', 'probable female', 'unsexed': the sex as it is stated."""
    return sex_words(sex, sure) or say("unsexed")


def resolve_lines(
    conn: Connection,
    shelf: Shelf,
    lines: Sequence[LineOf],
    prices: PriceList,
    buyer: str,
    promised: Mapping[tuple[str, str, str, int], int],
    packs: Sequence[PackOf] = (),
) -> tuple[LineDraft, ...]:
    """What the lines of a sale mean.

    Args:
        conn: a connection.
        shelf: what can be taken.
        lines: as the keeper said them.
        prices: the list of the day.
        buyer: retail or trade.
        promised: prices of a hold, by (lot, stage, sex, count).
        packs: what is sold together at one price.

    Raises:
        Refused: an animal cannot be sold, an origin not be stated, a price is missing, a pack mixes origins.
    """
    drafts = [draft for line in lines for draft in resolve_line(shelf, line)]
    for number, pack in enumerate(packs, start=1):
        drafts += resolve_pack(shelf, pack, number, prices, buyer)
    pair_up(drafts, len(packs))
    lots = [draft.part.lot for draft in drafts]
    said = said_of(conn, {lot.id for lot in lots}, shelf.kept)
    species = _species_texts(conn, {lot.species_id for lot in lots}, shelf.kept)
    priced = _priced(shelf, drafts, prices, buyer, promised)
    totals = _check_packs(drafts, priced, said, len(packs))
    found = []
    for draft, price in zip(drafts, priced, strict=True):
        if draft.discount > price:
            raise BadInput(say("A discount cannot be more than the price of the line; lower it."), "discount")
        reason = clean(draft.line.price_zero_reason, limit=200, field="price_zero_reason")
        net = totals.get(draft.together, price - draft.discount)
        if net == 0 and not reason:
            raise BadInput(
                say(
                    "{code}: the line is free of charge; say why (sample, replacement, gift), or give its price.",
                    code=draft.part.lot.code,
                ),
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
                reason if net == 0 else "",
                draft.together,
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
        raise NotEnough(
            say("None of the animals of {number} is left; release it.", number=hold.number),
            "hold",
            {"hold": hold.number},
        )
    return tuple(lines)


def _priced(
    shelf: Shelf,
    drafts: Sequence[Draft],
    prices: PriceList,
    buyer: str,
    promised: Mapping[tuple[str, str, str, int], int],
) -> list[int]:
    """The price of each line: as said, else as promised by a hold, else from the list."""
    found = [draft.price for draft in drafts]
    if None not in found:
        return [price for price in found if price is not None]
    for places in _unpriced_together(drafts).values():
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
                say(
                    "The price list of {on} has no price for {count} {split} of {code}; give the price of the line, "
                    "or set one.",
                    on=shelf.on,
                    count=draft.count,
                    split=animals(draft.count, draft.part.stage.name, draft.part.sex, draft.part.sure).split(" ", 1)[1],
                    code=draft.part.lot.code,
                ),
                "price",
                {"lot": draft.part.lot.code, "count": draft.count},
            )
    return [price for price in found if price is not None]


def _promise_key(part: Part, count: int) -> tuple[str, str, str, int]:
    return part.lot.code, part.stage.name, part.sex, count


def _unpriced_together(drafts: Sequence[Draft]) -> dict[int, list[int]]:
    """Places of the lines of each pack by sex whose price is still to be found."""
    packs: dict[int, list[int]] = defaultdict(list)
    for place, draft in enumerate(drafts):
        if draft.together and draft.price is None:
            packs[draft.together].append(place)
    return packs


def _check_packs(
    drafts: Sequence[Draft], priced: Sequence[int], said: Mapping[int, Said], whole: int
) -> dict[int, int]:
    """What each of the `whole` packs with one price comes to; refuses any that mixes wild-origin and captive-bred."""
    packs: dict[int, list[int]] = {}
    for place, draft in enumerate(drafts):
        if draft.together:
            packs.setdefault(draft.together, []).append(place)
    for places in packs.values():
        lots = [drafts[place].part.lot for place in places]
        check_origins(drafts[places[0]].line.pack, [(lot.code, said[lot.id].derived.origin.code) for lot in lots])
    return {
        number: sum(priced[place] - drafts[place].discount for place in places)
        for number, places in packs.items()
        if number <= whole
    }


def _species_texts(conn: Connection, ids: set[int], kept: dict[object, object]) -> dict[int, str]:
    """'sun beetle (Pachnoda marginata)'."""
    missing = [number for number in ids if ("species", number) not in kept]
    if missing:
        for row in conn.execute(_SPECIES, {"ids": sorted(missing)}):
            both = (
                say("{common} ({scientific})", common=row.common, scientific=row.scientific)
                if row.scientific
                else row.common
            )
            kept["species", row.id] = both
    return {number: str(kept["species", number]) for number in ids}


_SPECIES = select(t.species.c.id, t.species.c.common, t.species.c.scientific).where(
    t.species.c.id.in_(bindparam("ids", expanding=True))
)
