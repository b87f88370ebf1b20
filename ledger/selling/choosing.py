"""The animals of a line or a pack, chosen from what is ready, with the price as far as it is known. Reads only."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence
from typing import NamedTuple

from ledger.errors import BadInput, NotFound
from ledger.money import largest_remainder
from ledger.records.columns import MOST_MONEY
from ledger.selling.commands import LineOf, PackOf
from ledger.selling.packs import check_unit, counts_by_sex, read_pack, split, with_sexes
from ledger.selling.parts import Part
from ledger.selling.prices import PriceList
from ledger.selling.shelf import Shelf
from ledger.stock.words import by_sex as in_sexes
from ledger.text import clean, count_words
from ledger.wording import capital, say, word


class Draft(NamedTuple):
    """One line before it has its price."""

    line: LineOf
    part: Part
    count: int  # type: ignore[assignment]  # of animals; that of a tuple is not asked for
    """Paid for."""
    extra: int
    price: int | None
    """`None`: still to be found."""
    discount: int
    together: int = 0
    """Number of the pack it is part of; 0: none."""


def resolve_line(shelf: Shelf, line: LineOf) -> list[Draft]:
    """The parts one line falls into: more than one when it takes all that is there of several kinds."""
    for amount, name in ((line.price, "price"), (line.discount, "discount")):
        if amount is not None and not 0 <= amount <= MOST_MONEY:
            raise BadInput(say("The {name} must be nothing or more, and within reason.", name=name), name)
    if type(line.extra) is not int or line.extra < 0:
        raise BadInput(say("The number given on top must be nothing or more."), "extra")
    if type(line.count) is not int or line.count < 1:
        raise BadInput(say("The number sold must be 1 or more."), "count")
    parts = shelf.ready(line.lot, line.count + line.extra, line.stage, line.sex, line.tub)
    if len(parts) == 1:
        return [Draft(line, parts[0], line.count, line.extra, line.price, line.discount)]
    counts = paid_for(parts, line.count)
    if line.price is None:
        shares: Sequence[int | None] = [None] * len(parts)
    else:
        shares = largest_remainder(line.price, counts)
    discounts = largest_remainder(line.discount, counts)
    return [
        Draft(line, part, count, part.count - count, price, discount)
        for part, count, price, discount in zip(parts, counts, shares, discounts, strict=True)
    ]


def paid_for(parts: Sequence[Part], count: int) -> list[int]:
    """How many of each part are paid for; every line of a paper has at least one."""
    left = count - len(parts)
    if left < 0:
        raise BadInput(say("So few animals cannot be of so many kinds; sell them line by line."), "count")
    counts = []
    for part in parts:
        more = min(left, part.count - 1)
        counts.append(1 + more)
        left -= more
    return counts


_SEXES = ("male", "female", "unsexed")


def resolve_pack(shelf: Shelf, pack: PackOf, number: int, prices: PriceList, buyer: str) -> list[Draft]:
    """The lines of a pack: one for each lot, stage and sex in it, the price of the whole split over them.

    Args:
        shelf: what can be taken.
        pack: as the keeper said it.
        number: of the pack on its sale, from 1.
        prices: the list of the day.
        buyer: retail or trade.

    Raises:
        BadInput: the animals are no whole number of such packs, or the weights do not fit.
        NotFound: the list has no price for such a pack.
        Refused, NotEnough, Ambiguous: the animals cannot be taken.
    """
    name = clean(pack.name, limit=80, field="pack") or "single"
    _check_amounts(pack)
    chosen = [shelf.ready(pick.lot, pick.count, pick.stage, pick.sex, pick.tub) for pick in pack.picks]
    parts = [part for some in chosen for part in some]
    total = sum(part.count for part in parts)
    sexes: Counter[str] = Counter()
    for part in parts:
        sexes[part.sex] += part.count
    name = with_sexes(name, sexes)
    kinds = {(part.lot.species_id, part.stage.id) for part in parts}
    kind = read_pack(name, total - (pack.extra or 0))
    for part in parts:
        check_unit(kind, name, part.stage.name, part.stage.unit)
    listed = None
    if len(kinds) == 1:
        listed = prices.pack_named(*next(iter(kinds)), name, {part.sex for part in parts}, buyer)
    extra_each = listed.extra if listed is not None else kind.extra
    extra = pack.extra
    if extra is None:
        extra = total // (kind.animals + extra_each) * extra_each if extra_each else 0
    times, rest = divmod(total - extra, kind.animals)
    if kind.by_sex is not None and not _whole(parts, kind.by_sex):
        raise BadInput(
            say(
                "{pack} takes {wanted} (males.females.unsexed); {chosen} were chosen. Choose as many as make whole "
                "packs.",
                pack=capital(word(name)),
                wanted=in_sexes(dict(zip(_SEXES, kind.by_sex, strict=True))),
                chosen=in_sexes(_by_sex(parts)),
            ),
            "packs",
            {"pack": name, "animals": total},
        )
    if rest or times < 1:
        raise BadInput(
            say(
                "{pack} has {animals}{extra}; {total} were chosen. Choose as many as make whole packs.",
                pack=capital(word(name)),
                animals=count_words(kind.animals, "animal", "animals"),
                extra=say(" and {extra} on top", extra=extra_each) if extra_each else "",
                total=total,
            ),
            "packs",
            {"pack": name, "animals": total},
        )
    price = pack.price
    if price is None:
        if listed is None:
            raise NotFound(
                say(
                    "The price list of {on} has no price for “{name}” of these animals; give the price of the pack, "
                    "or set one.",
                    on=shelf.on,
                    name=name,
                ),
                "price",
                {"pack": name},
            )
        price = times * listed.amount
    if pack.discount > price:
        raise BadInput(say("A discount cannot be more than the price of the pack; lower it."), "discount")
    counts = paid_for(parts, total - extra)
    shares = _shares(pack, chosen, parts, counts, price, prices, buyer)
    discounts = largest_remainder(pack.discount, shares if sum(shares) else counts)
    return [
        Draft(
            LineOf(part.lot.code, count, share, pack=name, price_zero_reason=pack.price_zero_reason),
            part,
            count,
            part.count - count,
            share,
            discount,
            number,
        )
        for part, count, share, discount in zip(parts, counts, shares, discounts, strict=True)
    ]


def _check_amounts(pack: PackOf) -> None:
    if not pack.picks:
        raise BadInput(say("Say what is in the pack: at least one kind of animal."), "packs")
    for amount, field in ((pack.price, say("price")), (pack.discount, say("discount"))):
        if amount is not None and not 0 <= amount <= MOST_MONEY:
            raise BadInput(say("The {amount} must be nothing or more, and within reason.", amount=field), field)
    if pack.extra is not None and (type(pack.extra) is not int or pack.extra < 0):
        raise BadInput(say("The number given on top must be nothing or more."), "extra")
    if pack.weights and (len(pack.weights) != len(pack.picks) or min(pack.weights) < 0 or not sum(pack.weights)):
        raise BadInput(
            say("Give one weight for each kind of animal in the pack, none below nought and not all nought."), "weights"
        )


def _whole(parts: Sequence[Part], wanted: tuple[int, int, int]) -> bool:
    """Whether animals are a whole number of packs by sex."""
    return whole_packs(_by_sex(parts), wanted)


def _by_sex(parts: Sequence[Part]) -> dict[str, int]:
    counts: dict[str, int] = defaultdict(int)
    for part in parts:
        counts[part.sex] += part.count
    return counts


def whole_packs(counts: dict[str, int], wanted: tuple[int, int, int]) -> bool:
    """Whether counts by sex are a whole number of packs of so many males, females and unsexed."""
    there = tuple(counts.get(sex, 0) for sex in _SEXES)
    times = next((have // want for have, want in zip(there, wanted, strict=True) if want), 0)
    return times >= 1 and there == tuple(times * want for want in wanted) and sum(there) == sum(counts.values())


def _shares(
    pack: PackOf,
    chosen: Sequence[Sequence[Part]],
    parts: Sequence[Part],
    counts: Sequence[int],
    price: int,
    prices: PriceList,
    buyer: str,
) -> list[int]:
    """The price of each line of a pack."""
    if not pack.weights:
        alone = [
            prices.price_of(part.lot.species_id, part.stage.id, part.sex, count, buyer)
            for part, count in zip(parts, counts, strict=True)
        ]
        return list(split(price, counts, alone))
    by_pick = largest_remainder(price, list(pack.weights))
    return [
        share
        for some, of_pick in zip(chosen, by_pick, strict=True)
        for share in largest_remainder(of_pick, [part.count for part in some])
    ]


def pair_up(drafts: list[Draft], taken: int) -> None:
    """Number the lines that together are a pack by sex, such as 'pair 1.1': of one lot where that makes whole packs.

    Args:
        drafts: changes.
        taken: numbers that are taken already.
    """
    packs: dict[tuple[int, int, str, bool], dict[str, list[int]]] = defaultdict(lambda: defaultdict(list))
    for place, draft in enumerate(drafts):
        if draft.line.pack and not draft.together and counts_by_sex(draft.line.pack) is not None:
            of = draft.part.lot.species_id, draft.part.stage.id, draft.line.pack, draft.price is None
            packs[of][draft.part.lot.code].append(place)
    number = taken
    for (_, _, name, _), lots in packs.items():
        by_sex = counts_by_sex(name)
        assert by_sex is not None
        groups = [places for places in lots.values() if whole_packs(_counts(drafts, places), by_sex)]
        rest = [place for places in lots.values() if places not in groups for place in places]
        if rest and whole_packs(_counts(drafts, rest), by_sex):
            groups.append(rest)
        for places in groups:
            number += 1
            for place in places:
                drafts[place] = drafts[place]._replace(together=number)


def _counts(drafts: Sequence[Draft], places: Sequence[int]) -> dict[str, int]:
    counts: dict[str, int] = defaultdict(int)
    for place in places:
        counts[drafts[place].part.sex] += drafts[place].count
    return counts
