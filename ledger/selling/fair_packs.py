"""Packs put together for a fair: their animals are kept back for it, and each is sold by one key.

A pack holds its animals by earmarks, as other animals that are kept back; what dies makes it short, and a short pack
is taken apart, not sold.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

from sqlalchemy import Connection, insert, select

from ledger.act import Act, Done, Scene
from ledger.errors import BadInput, NotEnough, Refused
from ledger.money import said
from ledger.records import tables as t
from ledger.records.columns import MOST_MONEY
from ledger.records.undone import stands
from ledger.selling.alone import alone
from ledger.selling.choosing import Draft, resolve_pack
from ledger.selling.commands import PackForFair, PackOf, Unpack
from ledger.selling.fairs import Fair, check_open, find_fair, packs_that_never_were
from ledger.selling.holds import sweep_lapsed
from ledger.selling.packs import with_sexes
from ledger.selling.parts import Part
from ledger.selling.prices import PriceList, prices_on
from ledger.selling.shelf import Shelf
from ledger.stock import earmarks
from ledger.stock.words import animals
from ledger.text import clean, quoted
from ledger.wording import counted, listed, say, strung

_MOST_PACKS = 500


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


# --- putting together -----------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class PackPlan:
    """Packs that can be put together."""

    fair: Fair
    mark: str
    pack: str
    price: int
    packs: tuple[tuple[tuple[Part, int], ...], ...]
    """Of each, its parts with how many of them are given on top."""
    sentence: str
    cautions: tuple[str, ...] = ()


def plan_pack(conn: Connection, command: PackForFair, scene: Scene) -> PackPlan:
    """Check packs for a fair.

    Raises:
        NotFound, NotEnough, Ambiguous, BadInput, Refused: they cannot be put together like that.
    """
    fair = find_fair(conn, command.fair)
    check_open(fair)
    mark = clean(command.mark, limit=12, field="mark")
    if not mark or " " in mark:
        raise BadInput(say("Give the pack a mark of one word, such as A or L3x10."), "mark")
    if type(command.packs) is not int or not 1 <= command.packs <= _MOST_PACKS:
        raise BadInput(say("Put 1 to {most_packs} packs together at once.", most_packs=_MOST_PACKS), "packs")
    shelf = Shelf(conn, scene, min(max(scene.today, fair.held_on), fair.last_on))
    prices = prices_on(conn, fair.held_on)
    of = PackOf(command.pack, command.picks, command.price, command.extra or None)
    each = [resolve_pack(shelf, of, 1, prices, "retail") for _ in range(command.packs)]
    price = sum(draft.price or 0 for draft in each[0])
    if not 1 <= price <= MOST_MONEY:
        raise BadInput(say("A pack for a fair has a price; give things away without one."), "price")
    name = _named(each[0])
    for other in standing_packs(conn, fair, mark):
        if (other.pack, other.price) != (name, price):
            raise Refused(
                say(
                    "{mark} is the mark of {pack} at {price}; choose another.",
                    mark=quoted(mark),
                    pack=other.pack,
                    price=said(other.price, scene.currency),
                ),
                "mark",
            )
    counts: Counter[tuple[str, str, str, str]] = Counter()
    for draft in each[0]:
        counts[draft.part.lot.code, draft.part.stage.name, draft.part.sex, draft.part.sure] += draft.part.count
    what = strung(
        (say("{animals} of {lot}", animals=animals(n, *kind), lot=lot) for (lot, *kind), n in counts.items()),
        say(" and "),
    )
    return PackPlan(
        fair,
        mark,
        name,
        price,
        tuple(tuple((draft.part, draft.extra) for draft in drafts) for drafts in each),
        counted(
            command.packs,
            "{name}: {n} pack {mark} ({pack}: {animals}) at {price} each.",
            "{name}: {n} packs {mark} ({pack}: {animals}) at {price} each.",
            name=fair.name,
            mark=mark,
            pack=name,
            animals=what,
            price=said(price, scene.currency),
        ),
        _other_price(shelf, of, prices, price, scene) if command.price is not None else (),
    )


def _named(drafts: Sequence[Draft]) -> str:
    """The name of a pack; several animals that nobody named are no single, whatever they are priced by."""
    name, paid = drafts[0].line.pack, sum(draft.count for draft in drafts)
    if name.casefold() != "single" or paid == 1:
        return name
    sexes = Counter[str]()
    for draft in drafts:
        sexes[draft.part.sex] += draft.part.count
    usual = {2: "pair", 3: "trio"}.get(paid, "")
    one_kind = len({draft.part.lot.species_id for draft in drafts}) == 1
    sexed = with_sexes(usual, sexes) if one_kind and sexes.total() == paid else usual
    return sexed if sexed != usual else f"group of {paid}"


def _other_price(shelf: Shelf, of: PackOf, prices: PriceList, price: int, scene: Scene) -> tuple[str, ...]:
    """What the price list says of such a pack, where that is something else."""
    bare = Shelf(shelf.conn, scene, shelf.on)
    try:
        listed = sum(draft.price or 0 for draft in resolve_pack(bare, replace(of, price=None), 1, prices, "retail"))
    except Refused:
        return ()
    return (
        ()
        if listed == price
        else (say("The price list says {listed} for such a pack.", listed=said(listed, scene.currency)),)
    )


def commit_pack(conn: Connection, plan: PackPlan, act: Act) -> Done:
    """Put packs together: their animals are kept back for the fair."""
    alone(conn, "fair", plan.fair.id)
    parts = [part for pack in plan.packs for part, _ in pack]
    sweep_lapsed(conn, act, {holding for part in parts for holding, _ in part.picks})
    check_open(find_fair(conn, str(plan.fair.id)))
    for pack in plan.packs:
        number = int(
            conn.execute(
                insert(t.fair_pack)
                .values(
                    fair_id=plan.fair.id, mark=plan.mark, pack=plan.pack, price=plan.price, operation_id=act.operation
                )
                .returning(t.fair_pack.c.id)
            ).scalar_one()
        )
        for part, extra in pack:
            note = say("packed for {name}", name=plan.fair.name)[:500]
            earmark = earmarks.make(conn, act, "kept", part.count, part.picks, note=note)
            conn.execute(insert(t.fair_pack_line).values(fair_pack_id=number, earmark_id=earmark, extra=extra))
    return Done(plan.sentence, {"fair": plan.fair.id}, plan.cautions)


@dataclass(frozen=True, slots=True)
class UnpackPlan:
    """Packs that can be taken apart."""

    fair: Fair
    marks: tuple[int, ...]
    sentence: str
    cautions: tuple[str, ...] = ()


def plan_unpack(conn: Connection, command: Unpack, _scene: Scene) -> UnpackPlan:
    """Check that packs can be taken apart; short ones first.

    Raises:
        NotFound, NotEnough: there are not so many.
    """
    fair = find_fair(conn, command.fair)
    there = sorted(standing_packs(conn, fair, command.mark, command.lots), key=lambda one: (one.short == 0, -one.id))
    if type(command.packs) is not int or not 1 <= command.packs <= len(there):
        raise NotEnough(
            counted(
                len(there),
                "{name} has {n} pack {mark} that can be taken apart.",
                "{name} has {n} packs {mark} that can be taken apart.",
                name=fair.name,
                mark=command.mark,
            ),
            "packs",
        )
    chosen = there[: command.packs]
    return UnpackPlan(
        fair,
        tuple(mark for one in chosen for mark in one.marks),
        counted(
            len(chosen),
            "{name}: {n} pack {mark} taken apart; the animals are free again.",
            "{name}: {n} packs {mark} taken apart; the animals are free again.",
            name=fair.name,
            mark=command.mark,
        ),
    )


def commit_unpack(conn: Connection, plan: UnpackPlan, act: Act) -> Done:
    """Take packs apart."""
    for mark in plan.marks:
        earmarks.free(conn, act, mark)
    return Done(plan.sentence, {"fair": plan.fair.id})
