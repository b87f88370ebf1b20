"""Packs put together for a fair: their animals are kept back for it, and each is sold by one key.

A pack holds its animals by earmarks, as other animals that are kept back; what dies makes it short, and a short pack
is taken apart, not sold. They are put together and taken apart in `fair_packing`.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Collection
from dataclasses import dataclass

from sqlalchemy import Connection, select

from ledger.records import tables as t
from ledger.records.undone import stands
from ledger.selling.fairs import Fair, find_fair, packs_that_never_were
from ledger.stock import earmarks
from ledger.stock.words import animals
from ledger.wording import listed, say


@dataclass(frozen=True, slots=True)
class PackedAnimals:
    """Animals of one lot in a pack."""

    lot: str
    species: str
    """Its code."""
    count: int
    """What is given on top included."""
    stage: str
    sex: str
    sure: str

    @property
    def words(self) -> str:
        """'1 male adult of E03'."""
        return say("{animals} of {lot}", animals=animals(self.count, self.stage, self.sex, self.sure), lot=self.lot)


@dataclass(frozen=True, slots=True)
class FairPackRow:
    """Packs of a fair that share a mark and a price. Amounts in minor units."""

    mark: str
    pack: str
    price: int
    what: str
    """'10 L3 of P08', of one pack."""
    of: tuple[PackedAnimals, ...]
    """The same in parts."""
    packed: int
    """Put together and not taken apart since."""
    sold: int
    """Less those that were brought back."""
    ready: int
    """Whole and not sold."""
    short: int
    """Not sold, with animals lacking."""
    back: int
    """Sold, brought back and credited in full, and not packed again."""
    unsold: int
    """Came back when the fair was settled."""

    @property
    def lots(self) -> tuple[str, ...]:
        """Lots of its animals."""
        return tuple(dict.fromkeys(one.lot for one in self.of))


@dataclass(frozen=True, slots=True)
class StandingPack:
    """A pack that was neither sold nor taken apart."""

    id: int
    mark: str
    pack: str
    price: int
    marks: tuple[int, ...]
    extra: int
    short: int


def fair_packs(conn: Connection, typed: str) -> tuple[FairPackRow, ...]:
    """The packs of a fair by their marks. Raises NotFound."""
    fair = find_fair(conn, typed)
    p, line, k, sold, credit = t.fair_pack.c, t.fair_pack_line.c, t.earmark.c, t.fair_pack_sale.c, t.credit.c
    credited = select(credit.id).where(credit.sale_id == sold.sale_id, credit.full == 1).exists()
    rows = conn.execute(
        select(p.id, p.mark, p.pack, p.price, k.asked, k.id.label("earmark"))
        .add_columns(sold.sale_id.label("sale"), credited.label("credited"))
        .join(t.fair_pack_line, line.fair_pack_id == p.id)
        .join(t.earmark, k.id == line.earmark_id)
        .outerjoin(t.fair_pack_sale, sold.fair_pack_id == p.id)
        .where(p.fair_id == fair.id, p.id.not_in(packs_that_never_were()))
        .order_by(p.id, line.id)
    ).all()
    known = {row.id: row for row in rows}
    of: dict[int, list[PackedAnimals]] = defaultdict(list)
    for row in rows:
        of[row.id].append(_packed(conn, row.earmark, row.asked))
    standing = {one.id: one for one in standing_packs(conn, fair)}
    unsold = _unsold(conn, fair)
    again = packed_again(conn, fair)
    kinds: dict[tuple[str, str, int, str], list[int]] = defaultdict(list)
    for number, row in known.items():
        kinds[row.mark, row.pack, row.price, listed(one.words for one in of[number])].append(number)
    found = []
    for (mark, pack, price, what), ids in kinds.items():
        ready = sum(number in standing and not standing[number].short for number in ids)
        short = sum(number in standing and standing[number].short > 0 for number in ids)
        gone = sum(known[number].sale is not None and not known[number].credited for number in ids)
        back = sum(bool(known[number].credited) and number not in again for number in ids)
        left = sum(number in unsold for number in ids)
        packed = gone + ready + short + back + left
        if packed:
            found.append(
                FairPackRow(mark, pack, price, what, tuple(of[ids[0]]), packed, gone, ready, short, back, left)
            )
    return tuple(found)


def _unsold(conn: Connection, fair: Fair) -> set[int]:
    """Packs that were taken apart when a fair was settled."""
    p, line, v, e = t.fair_pack.c, t.fair_pack_line.c, t.earmark_event.c, t.fair_end.c
    wanted = (
        select(p.id)
        .join(t.fair_pack_line, line.fair_pack_id == p.id)
        .join(t.earmark_event, v.earmark_id == line.earmark_id)
        .join(t.fair_end, e.operation_id == v.operation_id)
        .where(p.fair_id == fair.id, e.fair_id == fair.id, v.why == "freed", stands(e.operation_id))
    )
    return set(conn.execute(wanted).scalars())


def packed_again(conn: Connection, fair: Fair) -> set[int]:
    """Packs that were brought back, and instead of which others were packed: of each mark and price the first ones."""
    p, sold, credit, o = t.fair_pack.c, t.fair_pack_sale.c, t.credit.c, t.operation.c
    anew = conn.execute(
        select(p.mark, p.pack, p.price)
        .join(t.operation, o.id == p.operation_id)
        .where(p.fair_id == fair.id, o.kind == "PackAgain", stands(p.operation_id))
    ).all()
    number = Counter((row.mark, row.pack, row.price) for row in anew)
    back = conn.execute(
        select(p.id, p.mark, p.pack, p.price)
        .join(t.fair_pack_sale, sold.fair_pack_id == p.id)
        .join(t.credit, credit.sale_id == sold.sale_id)
        .where(p.fair_id == fair.id, credit.full == 1, p.id.not_in(packs_that_never_were()))
        .order_by(credit.id)
    )
    found = set()
    for row in back:
        kind = (row.mark, row.pack, row.price)
        if number[kind]:
            number[kind] -= 1
            found.add(row.id)
    return found


def _packed(conn: Connection, earmark: int, asked: int) -> PackedAnimals:
    """What an earmark is of."""
    v, h = t.earmark_event.c, t.holding.c
    row = conn.execute(
        select(t.lot.c.code, t.species.c.code.label("species"), t.stage.c.name, h.sex, h.sure)
        .select_from(t.earmark_event)
        .join(t.holding, h.id == v.holding_id)
        .join(t.lot, t.lot.c.id == h.lot_id)
        .join(t.species, t.species.c.id == t.lot.c.species_id)
        .join(t.stage, t.stage.c.id == h.stage_id)
        .where(v.earmark_id == earmark)
        .order_by(v.id)
        .limit(1)
    ).one()
    return PackedAnimals(row.code, row.species, asked, row.name, row.sex, row.sure)


def standing_packs(
    conn: Connection, fair: Fair, mark: str | None = None, lots: Collection[str] = ()
) -> list[StandingPack]:
    """Packs of a fair, or those with a mark and of some lots, that were neither sold nor taken apart."""
    p, line, sold = t.fair_pack.c, t.fair_pack_line.c, t.fair_pack_sale.c
    wanted = (
        select(p.id, p.mark, p.pack, p.price, line.earmark_id, line.extra)
        .join(t.fair_pack_line, line.fair_pack_id == p.id)
        .outerjoin(t.fair_pack_sale, sold.fair_pack_id == p.id)
        .where(p.fair_id == fair.id, sold.id.is_(None))
        .order_by(p.id, line.id)
    )
    found: dict[int, StandingPack] = {}
    for row in conn.execute(wanted).all():
        if mark is not None and row.mark.casefold() != mark.strip().casefold():
            continue
        one = earmarks.get(conn, row.earmark_id)
        if one.ended:
            continue
        before = found.get(row.id, StandingPack(row.id, row.mark, row.pack, row.price, (), 0, 0))
        found[row.id] = StandingPack(
            row.id,
            row.mark,
            row.pack,
            row.price,
            (*before.marks, row.earmark_id),
            before.extra + row.extra,
            before.short + one.short,
        )
    if not lots:
        return list(found.values())
    return [one for one in found.values() if {_packed(conn, mark, 0).lot for mark in one.marks} == set(lots)]
