"""The price list: dated prices per species, stage, sex, pack and buyer, and what a number of animals comes to.

Of each pack the newest price not after the day counts. A pack whose name holds counts by sex (pair 1.1, trio 1.2) is
priced as a whole; all others make up any number of animals, the largest packs first.
Packs and discounts by size after the sellers' lists of the trade.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from sqlalchemy import Connection, select

from ledger.records.tables import price
from ledger.records.undone import stands
from ledger.selling.packs import counts_by_sex

_SEXES = ("male", "female", "unsexed")


@dataclass(frozen=True, slots=True)
class Pack:
    """One price of the list that counts on the day asked for."""

    species_id: int
    stage_id: int
    sex: str
    """male, female, unsexed or any."""
    pack: str
    animals: int
    buyer: str
    amount: int
    """For the whole pack, minor units."""
    from_on: dt.date
    extra: int = 0
    """Given on top of each."""

    @property
    def by_sex(self) -> tuple[int, int, int] | None:
        """Males, females and unsexed of a pack such as 'pair 1.1'; `None`: animals of one kind."""
        return counts_by_sex(self.pack)


class PriceList:
    """The prices that count on one day, by species and stage."""

    def __init__(self, packs: Sequence[Pack]) -> None:
        self._by_kind: dict[tuple[int, int], list[Pack]] = {}
        for one in packs:
            self._by_kind.setdefault((one.species_id, one.stage_id), []).append(one)
        self._choices: dict[tuple[int, int, str, str], tuple[Pack, ...]] = {}

    def all(self) -> tuple[Pack, ...]:
        """Every price, by species, stage, sex, size of the pack and buyer."""
        rows = [one for packs in self._by_kind.values() for one in packs]
        return tuple(
            sorted(rows, key=lambda one: (one.species_id, one.stage_id, one.sex, one.animals, one.pack, one.buyer))
        )

    def packs(self, species_id: int, stage_id: int, sex: str, buyer: str = "retail") -> tuple[Pack, ...]:
        """Prices that may make up a number of animals of one sex, largest pack first, one per size.

        A price for the sex itself beats one for any sex; a trade price beats a retail one for a trade buyer, who
        pays retail where no trade price is set.
        """
        key = (species_id, stage_id, sex, buyer)
        known = self._choices.get(key)
        if known is None:
            known = self._choices[key] = self._chosen(*key)
        return known

    def pairs(self, species_id: int, stage_id: int, sex: str) -> tuple[Pack, ...]:
        """Retail prices of pairs, trios and the like that take animals of this sex."""
        if sex not in _SEXES:
            return ()
        return tuple(
            one
            for one in self._by_kind.get((species_id, stage_id), ())
            if one.by_sex is not None and one.by_sex[_SEXES.index(sex)] and one.buyer == "retail"
        )

    def _chosen(self, species_id: int, stage_id: int, sex: str, buyer: str) -> tuple[Pack, ...]:
        best: dict[int, tuple[tuple[bool, bool, dt.date], Pack]] = {}
        for one in self._by_kind.get((species_id, stage_id), ()):
            if one.by_sex is not None or one.sex not in (sex, "any") or one.buyer not in (buyer, "retail"):
                continue
            rank = (one.buyer == buyer, one.sex == sex, one.from_on)
            if one.animals not in best or rank > best[one.animals][0]:
                best[one.animals] = (rank, one)
        return tuple(best[size][1] for size in sorted(best, reverse=True))

    def price_of(self, species_id: int, stage_id: int, sex: str, count: int, buyer: str = "retail") -> int | None:
        """What `count` animals of one sex come to, minor units; `None`: the list does not say.

        As many of the largest pack as fit, then of the next; if that does not come out even, the largest pack that
        does. Three animals of which only tens are priced have no price.
        """
        packs = self.packs(species_id, stage_id, sex, buyer)
        left, total = count, 0
        for one in packs:
            times, left = divmod(left, one.animals)
            total += times * one.amount
        if packs and left == 0:
            return total
        return next((count // one.animals * one.amount for one in packs if count % one.animals == 0), None)

    def price_by_sex(
        self, species_id: int, stage_id: int, pack: str, counts: Mapping[str, int], buyer: str = "retail"
    ) -> int | None:
        """What animals sold together as `pack` ('pair 1.1') come to; `None`: no such price, or other counts.

        Args:
            counts: animals by sex; a whole number of packs, neither more nor less.
        """
        wanted = counts_by_sex(pack)
        if wanted is None:
            return None
        sold = tuple(counts.get(sex, 0) for sex in _SEXES)
        times = next((have // want for have, want in zip(sold, wanted, strict=True) if want), 0)
        if times < 1 or sold != tuple(times * want for want in wanted) or sum(counts.values()) != sum(sold):
            return None
        found = [
            one
            for one in self._by_kind.get((species_id, stage_id), ())
            if one.by_sex == wanted and one.buyer in (buyer, "retail")
        ]
        if not found:
            return None
        return times * max(found, key=lambda one: (one.buyer == buyer, one.pack == pack, one.from_on)).amount

    def pack_named(
        self, species_id: int, stage_id: int, name: str, sexes: Collection[str], buyer: str = "retail"
    ) -> Pack | None:
        """The pack of that name (whatever its case) fit for animals of these sexes; `None`: the list has none."""
        wanted = " ".join(name.casefold().split())
        by_sex = counts_by_sex(wanted)
        fit = [
            one
            for one in self._by_kind.get((species_id, stage_id), ())
            if one.buyer in (buyer, "retail")
            and (one.sex == "any" or set(sexes) == {one.sex})
            and (one.pack.casefold() == wanted or (by_sex is not None and one.by_sex == by_sex))
        ]
        return max(fit, key=lambda one: (one.buyer == buyer, one.sex != "any", one.from_on)) if fit else None


def prices_on(conn: Connection, on: dt.date) -> PriceList:
    """The price list as it stood on a day."""
    rows = conn.execute(
        select(
            price.c.species_id,
            price.c.stage_id,
            price.c.sex,
            price.c.pack,
            price.c.animals,
            price.c.buyer,
            price.c.amount,
            price.c.from_on,
            price.c.extra,
        )
        .where(price.c.from_on <= on, stands(price.c.operation_id))
        .order_by(price.c.from_on, price.c.id)
    )
    newest: dict[tuple[int, int, str, str, int, str], Pack] = {}
    for row in rows:
        one = Pack(*row)
        newest[one.species_id, one.stage_id, one.sex, one.pack, one.animals, one.buyer] = one
    return PriceList(tuple(newest.values()))
