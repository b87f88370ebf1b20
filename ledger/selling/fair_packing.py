"""Putting packs together for a fair, and taking them apart."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

from sqlalchemy import Connection, insert

from ledger.act import Act, Done, Scene
from ledger.errors import BadInput, NotEnough, Refused
from ledger.money import said
from ledger.records import tables as t
from ledger.records.columns import MOST_MONEY
from ledger.selling.alone import alone
from ledger.selling.choosing import Draft, resolve_pack
from ledger.selling.commands import PackForFair, PackOf, Unpack
from ledger.selling.fair_packs import standing_packs
from ledger.selling.fairs import Fair, check_open, find_fair
from ledger.selling.holds import sweep_lapsed
from ledger.selling.packs import with_sexes
from ledger.selling.parts import Part
from ledger.selling.prices import PriceList, prices_on
from ledger.selling.shelf import Shelf
from ledger.stock import earmarks
from ledger.stock.words import animals
from ledger.text import clean, quoted
from ledger.wording import counted, say, strung

_MOST_PACKS = 500


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
