"""What the demo business sells: 220 sales from what is on hand, with the fixed ones on their days."""

from __future__ import annotations

import datetime as dt
import random
from collections import Counter, deque
from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial

from demo.animals import Animal, Group, take
from demo.parameters import (
    CHANNELS,
    FAIRS,
    FIRST,
    LAST,
    MONTH_WEIGHTS,
    NO_POST,
    PACKS,
    POSTAGE,
    PRICE_CHANGE,
    SALES_BY_SPECIES,
    SHOPS,
    SYLLABLES,
    Pack,
)
from demo.world import World
from ledger.errors import Refused
from ledger.origin.commands import WriteCorrectionNote
from ledger.selling.affected import affected_sales
from ledger.selling.commands import (
    AddCustomer,
    Charge,
    CreditLine,
    CreditSale,
    DecideDeposit,
    LineOf,
    Paid,
    Pick,
    PlaceHold,
    PostSale,
    Sell,
    SetPrice,
    Swap,
)
from ledger.stock.commands import AddLot, Arrival, OriginStatement

Day = dt.date


@dataclass(slots=True)
class Wish:
    """Somebody wants animals of a species from a day on."""

    on: Day
    species: str
    channel: str
    tries: int = 0


@dataclass(frozen=True, slots=True)
class Picked:
    """Animals chosen for one line."""

    group: Group
    animals: tuple[Animal, ...]


class Trade:
    """The selling side of the demo."""

    def __init__(self, world: World) -> None:
        self.world = world
        self.draw = random.Random(world.draw.random())
        self.people = self._people()
        self.wishes = deque(self._wishes())
        self.waiting: list[Wish] = []
        self.to_post: list[tuple[Day, str, list[Picked], bool]] = []
        self.sold: Counter[str] = Counter()

    # --- set-up ---

    def _people(self) -> list[str]:
        names: set[str] = set()
        while len(names) < 64:
            first = "".join(self.draw.sample(SYLLABLES, 2)).capitalize()
            last = "".join(self.draw.sample(SYLLABLES, 2)).capitalize()
            names.add(f"{first} {last}")
        return sorted(names)

    def _wishes(self) -> list[Wish]:
        species = [name for name, count in SALES_BY_SPECIES.items() for _ in range(count - FIXED[name])]
        self.draw.shuffle(species)
        fairs = [day for day, count in FAIRS for _ in range(count)]
        channels = [channel for channel in ("post", "collection") for _ in range(CHANNELS[channel] - FIXED[channel])]
        channels += ["trade"] * (CHANNELS["trade"] - FIXED["trade"])
        self.draw.shuffle(channels)
        days = [FIRST + dt.timedelta(days=n) for n in range(55, (LAST - FIRST).days - 2)]
        weights = [MONTH_WEIGHTS[day.month - 1] for day in days]
        wishes = [Wish(day, "", "fair") for day in fairs]
        wishes += [
            Wish(day, "", channel)
            for day, channel in zip(self.draw.choices(days, weights, k=len(channels)), channels, strict=True)
        ]
        geckos = [wish for wish in wishes if wish.channel != "fair" and wish.on > Day(2024, 6, 1)]
        self.draw.shuffle(geckos)
        for wish in geckos[: species.count("GECK")]:
            wish.species = "GECK"
        rest = [name for name in species if name != "GECK"]
        for wish, name in zip([wish for wish in wishes if not wish.species], rest, strict=False):
            wish.species = name
        return sorted((wish for wish in wishes if wish.species), key=lambda wish: wish.on)

    def plan(self) -> None:
        """Prices, people and the sales on fixed days."""
        world = self.world
        world.at(FIRST, self._prices)
        world.at(FIRST, self._customers)
        world.at(PRICE_CHANGE, self._new_prices)
        world.at(Day(2024, 5, 27), partial(self._fixed, "H02", "L1-3 nymph", 10, 3000, "Tarmel Wickoll"))
        world.at(Day(2024, 6, 10), partial(self._fixed, "H02", "L1-3 nymph", 4, 1600, "Osbram Fenlun"))
        world.at(Day(2024, 7, 6), self._correction_notes)
        world.at(Day(2024, 7, 8), self._first_claim)
        world.at(Day(2024, 11, 9), self._swap)
        world.at(Day(2025, 1, 20), self._second_claim)
        world.at(Day(2025, 6, 1), self._hold)
        world.at(Day(2025, 6, 7), self._second_buyer)
        world.at(Day(2025, 6, 16), self._deposit)
        world.at(Day(2025, 9, 9), self._shop)
        for day in (Day(2025, 4, 13), Day(2025, 10, 12)):
            world.at(day, self._specimens)

    def _prices(self) -> None:
        for pack in PACKS:
            self._price(pack, pack.price, FIRST)
            if pack.trade is not None:
                self._price(pack, pack.trade, FIRST, "trade")

    def _new_prices(self) -> None:
        for pack in PACKS:
            if pack.later is not None:
                self._price(pack, pack.later, PRICE_CHANGE)

    def _price(self, pack: Pack, amount: int, on: Day, buyer: str = "retail") -> None:
        self.world.do(
            SetPrice(pack.species, pack.stage, amount, on, pack.animals, sex=pack.sex, pack=pack.name, buyer=buyer)
        )

    def _customers(self) -> None:
        for name in SHOPS:
            self.world.do(AddCustomer(name, kind="trade"))

    # --- the day's trade ---

    def day(self, today: Day) -> None:
        """Post what is to be posted, then serve who waits and who comes today."""
        self._post(today)
        while self.wishes and self.wishes[0].on <= today:
            self.waiting.append(self.wishes.popleft())
        still = []
        for wish in self.waiting:
            if wish.channel == "post" and not self._may_post(today):
                still.append(wish)
            elif self._serve(wish, today):
                continue
            elif wish.channel != "fair" and wish.tries < 90:
                wish.tries += 1
                still.append(wish)
        self.waiting = still

    def _may_post(self, today: Day) -> bool:
        return today.weekday() < 3 and not any(first <= today <= last for first, last in NO_POST)

    def _serve(self, wish: Wish, today: Day) -> bool:
        for species in [wish.species, *(self._others(wish))]:
            packs = [pack for pack in PACKS if pack.species == species and self._fits(pack, wish)]
            self.draw.shuffle(packs)
            for pack in packs:
                picked = self._pick(pack)
                if picked:
                    self._sell(wish.channel, today, pack, picked)
                    return True
        return False

    def _others(self, wish: Wish) -> list[str]:
        """At a fair people take what is there."""
        if wish.channel != "fair":
            return []
        rest = [name for name in SALES_BY_SPECIES if name not in (wish.species, "GECK")]
        self.draw.shuffle(rest)
        return rest

    def _fits(self, pack: Pack, wish: Wish) -> bool:
        if wish.channel == "trade":
            return pack.animals >= 10
        return pack.stage != "dried specimen" and pack.animals <= 25

    def _pick(self, pack: Pack) -> list[Picked]:
        """Animals for a pack from one lot, or for a pair a male and a female of one lot; empty if there are none."""
        groups = [
            group
            for group in self.world.groups.values()
            if group.species == pack.species and not group.breeding and group.code != RESERVED
        ]
        self.draw.shuffle(groups)
        for group in groups:
            if pack.name == "pair 1.1":
                males, females = group.alive(pack.stage, "male"), group.alive(pack.stage, "female")
                if males and females:
                    return [Picked(group, (males[0],)), Picked(group, (females[0],))]
                continue
            for sex in ("unsexed", "male", "female") if pack.sex == "any" else (pack.sex,):
                there = group.alive(pack.stage, sex)
                tubs = Counter(animal.tub for animal in there)
                for tub, count in tubs.items():
                    if count >= pack.animals:
                        chosen = [animal for animal in there if animal.tub == tub][: pack.animals]
                        return [Picked(group, tuple(chosen))]
        return []

    def _lines(self, picked: Sequence[Picked], total: int, pack: str, extra: int = 0) -> tuple[LineOf, ...]:
        parts = [total // len(picked)] * len(picked)
        parts[0] += total - sum(parts)
        return tuple(
            LineOf(
                one.group.code,
                len(one.animals) - (extra if number == 0 else 0),
                price=price,
                stage=one.group.stage(one.animals[0]),
                sex=one.animals[0].sex,
                tub=one.animals[0].tub,
                extra=extra if number == 0 else 0,
                pack=pack,
            )
            for number, (one, price) in enumerate(zip(picked, parts, strict=True))
        )

    def _price_of(self, pack: Pack, today: Day, channel: str) -> int:
        if channel == "trade" and pack.trade is not None:
            return pack.trade
        return pack.later if pack.later is not None and today >= PRICE_CHANGE else pack.price

    def _sell(self, channel: str, today: Day, pack: Pack, picked: list[Picked], customer: str = "") -> str:
        total = self._price_of(pack, today, channel)
        extra = 0
        if pack.animals == 10 and self.draw.random() < 0.35:
            chosen = picked[0].animals
            alike = picked[0].group.alive(pack.stage, chosen[0].sex)
            more = [a for a in alike if a not in chosen and a.tub == chosen[0].tub]
            if more:
                picked = [Picked(picked[0].group, (*picked[0].animals, more[0])), *picked[1:]]
                extra = 1
        return self.sell(channel, today, self._lines(picked, total, pack.name, extra), picked, customer)

    def sell(
        self, channel: str, today: Day, lines: tuple[LineOf, ...], picked: list[Picked], customer: str = ""
    ) -> str:
        """Record a sale; animals to be posted stay until their day."""
        if not customer:
            customer = self.draw.choice(SHOPS) if channel == "trade" else self.draw.choice(self.people)
        if channel == "fair" and self.draw.random() < 0.7:
            customer = ""
        goods = sum(line.price or 0 for line in lines)
        charges = (Charge("postage", POSTAGE),) if channel == "post" and goods else ()
        whole = goods + sum(charge.amount for charge in charges)
        paid: tuple[Paid, ...] = ()
        if whole and not (channel == "trade" and self.draw.random() < 0.5):
            paid = (Paid(whole, "cash" if channel in ("fair", "collection") else "transfer"),)
        done = self.world.do(Sell(lines, today, customer, channel, charges, paid, to_post=channel == "post"))
        number = str(done.refs["number"])
        self.sold[picked[0].group.species] += 1
        if channel == "post":
            for one in picked:
                for animal in one.animals:
                    animal.reserved = animal.still = True
            self.to_post.append((today, number, picked, False))
        else:
            for one in picked:
                take(one.group, one.animals)
        return number

    def _post(self, today: Day) -> None:
        if not self._may_post(today):
            return
        still = []
        for sold_on, number, picked, _ in self.to_post:
            if sold_on == today and self.draw.random() < 0.4:
                still.append((sold_on, number, picked, False))
                continue
            self.world.do(PostSale(number, today))
            for one in picked:
                take(one.group, one.animals)
        self.to_post = still

    # --- fixed days ---

    def _some(self, code: str, stage: str, count: int, sex: str | None = None) -> list[Picked]:
        group = self.world.groups[code]
        there = group.alive(stage, sex)
        tubs = Counter((animal.tub, animal.sex) for animal in there)
        for (tub, of), number in tubs.items():
            if number >= count:
                return [Picked(group, tuple(a for a in there if (a.tub, a.sex) == (tub, of))[:count])]
        return []

    def _first(self, letter: str, stage: str, count: int) -> list[Picked]:
        """As many animals of a stage from the first lot that has them."""
        lots = (code for code in self.world.groups if code.startswith(letter))
        return next((found for found in (self._some(code, stage, count) for code in lots) if found), [])

    def _fixed(self, code: str, stage: str, count: int, price: int, customer: str) -> None:
        picked = self._some(code, stage, count)
        if picked:
            pack = "single" if count < 10 else f"group of {count}"
            self.sell("collection", self.world.today, self._lines(picked, price, pack), picked, customer)

    def _correction_notes(self) -> None:
        for row in self.world.book.ask(affected_sales):
            self.world.do(WriteCorrectionNote(row.sale_line, self.world.today, "her mating was not known"))

    def _first_claim(self) -> None:
        picked = self._some("H03", "L1-3 nymph", 10)
        if not picked:
            return
        today = self.world.today
        number = self.sell("post", today, self._lines(picked, 3000, "group of 10"), picked, "Melving Dalsor")
        self.world.at(today + dt.timedelta(days=2), partial(self._credit_dead, number))

    def _credit_dead(self, number: str) -> None:
        self.world.do(
            CreditSale(
                number,
                self.world.today,
                "3 of 10 dead on arrival, reported after 1 h 50 with photos: the animals are refunded, not the postage",
                (CreditLine(1, 900, count=3, text="dead on arrival"),),
                method="transfer",
            )
        )

    def _second_claim(self) -> None:
        picked = self._first("E", "L1-3 nymph", 3)
        if not picked:
            return
        lines = tuple(
            LineOf(
                one.group.code,
                len(one.animals),
                price=0,
                stage=one.group.stage(one.animals[0]),
                sex=one.animals[0].sex,
                tub=one.animals[0].tub,
                pack="goodwill",
                price_zero_reason="reported after 26 hours, outside the terms: goodwill",
            )
            for one in picked
        )
        self.sell("post", self.world.today, lines, picked, "Quoreth Lunpim")

    def _swap(self) -> None:
        picked = self._first("P", "L3", 15)
        if not picked:
            return
        world = self.world
        group = picked[0].group
        lot = AddLot(
            "E11",
            "EXTA",
            world.today,
            (Arrival("swapped in", "L1-3 nymph", unsexed=10, value=1800),),
            origin=OriginStatement("CBU", evidence=1, supplier="Pimwick Rudfen", country="XA"),
        )
        world.do(
            Swap(
                (Pick(group.code, 15, "L3", picked[0].animals[0].sex, picked[0].animals[0].tub),),
                lot,
                1800,
                world.today,
                partner="Pimwick Rudfen",
            )
        )
        take(group, picked[0].animals)
        world.join("E11", "EXTA", "L1-3 nymph", 10, part=0.3)

    def _hold(self) -> None:
        """A pair of geckos is promised with a deposit, and never fetched."""
        pair = self._gecko_pair()
        if pair is None:
            return
        male, female = pair
        self.world.do(
            PlaceHold(
                "Ethwick Sorbram",
                tuple(
                    Pick(one.group.code, 1, "adult", one.animals[0].sex, one.animals[0].tub) for one in (male, female)
                ),
                self.world.today,
                "2025-06-15T18:00",
                2750,
                "transfer",
                number="R-014",
            )
        )
        for one in pair:
            one.animals[0].reserved = one.animals[0].still = True
        self.promised = pair

    promised: tuple[Picked, Picked] | None = None

    def _gecko_pair(self) -> tuple[Picked, Picked] | None:
        found: dict[str, Picked] = {}
        for group in self.world.groups.values():
            if group.species == "GECK" and not group.breeding:
                for animal in group.alive("adult"):
                    found.setdefault(animal.sex, Picked(group, (animal,)))
        return (found["male"], found["female"]) if {"male", "female"} <= set(found) else None

    def _second_buyer(self) -> None:
        """Somebody else asks for the same pair and cannot have it."""
        if self.promised is None:
            return
        male, female = self.promised
        try:
            self.world.do(
                Sell(
                    tuple(
                        LineOf(one.group.code, 1, 5500, "adult", one.animals[0].sex, one.animals[0].tub)
                        for one in (male, female)
                    ),
                    self.world.today,
                    "Ollrud Tarquor",
                )
            )
        except Refused:
            return
        raise AssertionError("a promised pair was sold")

    def _deposit(self) -> None:
        if self.promised is None:
            return
        self.world.do(DecideDeposit("R-014", "kept", self.world.today, "not fetched, terms as agreed"))
        for one in self.promised:
            one.animals[0].reserved = one.animals[0].still = False

    def _specimens(self) -> None:
        """Three dried beetles are sold at a fair."""
        three = self.world.specimens[:3]
        del self.world.specimens[:3]
        if not three:
            return
        lines = tuple(LineOf(code, 1, 300, "dried specimen", sex, "", pack="single") for code, sex in three)
        self.sell("fair", self.world.today, lines, [Picked(self.world.groups[three[0][0]], ())])

    def _shop(self) -> None:
        """A shop takes three times fifty grubs."""
        picked: list[Picked] = []
        for code, group in self.world.groups.items():
            if code.startswith("P") and not group.breeding:
                there = [a for a in group.alive("L3", "unsexed") if not a.tub]
                if len(there) >= 25:
                    picked.append(Picked(group, tuple(there[:50])))
        if not picked:
            return
        lines = tuple(
            LineOf(one.group.code, len(one.animals), 76 * len(one.animals), "L3", "unsexed", "", pack="group of 50")
            for one in picked[:3]
        )
        self.sell("trade", self.world.today, lines, picked[:3], SHOPS[0])


RESERVED = "H02"
"""Sold only in the two sales whose origin is corrected later."""

FIXED: Counter[str] = Counter({"HIER": 3, "EXTA": 1, "PACH": 4, "collection": 2, "post": 2, "trade": 1})
"""Sales of fixed days that count towards the numbers of a species or channel."""
