"""What the demo business sells day by day: 220 sales from what is on hand; those of fixed days are in `fixed_days`."""

from __future__ import annotations

import datetime as dt
import random
from collections import Counter, deque
from collections.abc import Sequence
from dataclasses import dataclass

from demo.animals import Group, take
from demo.fairs import Fair, Fairs, Picked
from demo.fixed_days import FixedDays
from demo.parameters import (
    CHANNELS,
    CLAIM_FROM,
    CLAIM_ON,
    FAIRS,
    FIRST,
    FIXED,
    LAST,
    MONTH_WEIGHTS,
    NO_POST,
    PACKS,
    PAIR_FROM,
    PAIR_ON,
    PAIR_OUT_OF,
    POSTAGE,
    PRICE_CHANGE,
    RESERVED,
    SALES_BY_SPECIES,
    SHOPS,
    SYLLABLES,
    Pack,
)
from demo.world import World
from ledger.selling.commands import (
    AddCustomer,
    Charge,
    HoldParcel,
    LetParcelGo,
    LineOf,
    Paid,
    PostSale,
    Sell,
    SetPrice,
)

Day = dt.date


@dataclass(slots=True)
class Wish:
    """Somebody wants animals of a species from a day on."""

    on: Day
    species: str
    channel: str
    tries: int = 0


@dataclass(slots=True)
class ToPost:
    """A sale that is to be posted."""

    sold_on: Day
    number: str
    picked: list[Picked]
    at_once: bool = False
    """It goes on the day it was sold."""
    waits: bool = False
    """For better weather."""


POST_DAYS = (0, 1, 2)


def _bad_weather(today: Day) -> Day | None:
    """Last day of the time without post that a day is in; `None`: it is in none."""
    return next((last for first, last in NO_POST if first <= today <= last), None)


class Trade:
    """The selling side of the demo."""

    def __init__(self, world: World) -> None:
        self.world = world
        self.draw = random.Random(world.draw.random())
        self.people = self._people()
        self.wishes = deque(self._wishes())
        self.waiting: list[Wish] = []
        self.to_post: list[ToPost] = []
        self.sold: Counter[str] = Counter()
        self.fairs = Fairs(world)
        self.fixed = FixedDays(self)

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
        # who wants mantids can wait for a hatch; who comes to a fair cannot
        can_wait = [wish for wish in wishes if wish.channel != "fair" and wish.species in ("PACH", "EXTA", "PORC")]
        at_fairs = [wish for wish in wishes if wish.channel == "fair" and wish.species == "HIER"]
        for one, other in zip(at_fairs, can_wait, strict=False):
            one.species, other.species = other.species, one.species
        return sorted((wish for wish in wishes if wish.species), key=lambda wish: wish.on)

    def plan(self) -> None:
        """Prices, people and the sales on fixed days."""
        world = self.world
        self.fairs.plan()
        world.at(FIRST, self._prices)
        world.at(FIRST, self._customers)
        world.at(PRICE_CHANGE, self._new_prices)
        self.fixed.plan()

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

    def wait_for_post(self, number: str, picked: list[Picked]) -> None:
        """A sale made today goes with the next post."""
        self.to_post.append(ToPost(self.world.today, number, picked))

    # --- the day's trade ---

    def day(self, today: Day) -> None:
        """Post what is to be posted, then serve who waits and who comes today."""
        self._post(today)
        self.fixed.shop(today)
        while self.wishes and self.wishes[0].on <= today:
            self.waiting.append(self.wishes.popleft())
        fair = self.fairs.on(today)
        if fair is not None and fair.first == today:
            self._pack_for(fair)
        still = []
        for wish in self.waiting:
            if wish.channel == "post" and today.weekday() not in POST_DAYS:
                still.append(wish)
            elif self._serve(wish, today):
                continue
            elif wish.channel != "fair" and wish.tries < 90:
                wish.tries += 1
                still.append(wish)
        self.waiting = still
        if fair is not None and fair.last == today:
            self.fairs.end(fair)
        self._wait_for_weather(today)

    def _may_post(self, today: Day) -> bool:
        return today.weekday() in POST_DAYS and _bad_weather(today) is None

    def _wait_for_weather(self, today: Day) -> None:
        """Parcels that are sold while it is too hot or too cold wait for better days."""
        last = _bad_weather(today)
        if last is None:
            return
        why = "heat on the way" if today.month in (7, 8) else "frost on the way"
        for parcel in self.to_post:
            if not parcel.waits:
                self.world.do(HoldParcel(parcel.number, why, today, last + dt.timedelta(days=1)))
                parcel.waits = True

    def _pack_for(self, fair: Fair) -> None:
        """Put a pack together for half of those who will come, and two more that come back."""
        there = [wish for wish in (*self.waiting, *self.wishes) if wish.channel == "fair"]
        coming = [wish for wish in there if fair.first <= wish.on <= fair.last]
        half = coming[: max(1, len(coming) // 2)]
        for species in [*(wish.species for wish in half), half[0].species, half[-1].species]:
            packs = [pack for pack in PACKS if pack.species == species and self._fits(pack, half[0])]
            self.draw.shuffle(packs)
            for pack in packs:
                picked = self._pick(pack)
                if picked:
                    self.fairs.pack(fair, pack, self._price_of(pack, fair.first, "fair"), picked)
                    break

    def _serve(self, wish: Wish, today: Day) -> bool:
        fair = self.fairs.on(today) if wish.channel == "fair" else None
        if fair is not None and self.fairs.sell(fair, wish.species, ""):
            self.sold[wish.species] += 1
            return True
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
        return sorted(rest, key=lambda name: self.sold[name] / SALES_BY_SPECIES[name])

    def _fits(self, pack: Pack, wish: Wish) -> bool:
        if wish.channel == "trade":
            return pack.animals >= 10
        return pack.stage != "dried specimen" and pack.animals <= 25

    def _pick(self, pack: Pack) -> list[Picked]:
        """Animals for a pack from one lot, or for a pair a male and a female of one lot; empty if there are none."""
        groups = [
            group
            for group in self.world.groups.values()
            if group.species == pack.species and not group.breeding and not self._kept_for_story(group)
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

    def _kept_for_story(self, group: Group) -> bool:
        """Whether its animals are for the sales and the hold of fixed days."""
        if group.code == PAIR_FROM:
            return self.world.today < PAIR_ON and len(group.animals) <= PAIR_OUT_OF
        if group.code in ("P09", "P10"):  # some must be left to be mixed up
            return len(group.animals) <= 30
        if group.code == CLAIM_FROM:
            return self.world.today < CLAIM_ON
        return group.code == RESERVED

    def lines(self, picked: Sequence[Picked], total: int, pack: str, extra: int = 0) -> tuple[LineOf, ...]:
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
        return self.sell(channel, today, self.lines(picked, total, pack.name, extra), picked, customer)

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
            self.wait_for_post(number, picked)
        else:
            for one in picked:
                take(one.group, one.animals)
        return number

    def _post(self, today: Day) -> None:
        if not self._may_post(today):
            return
        still = []
        for parcel in self.to_post:
            if parcel.sold_on == today and not parcel.at_once and self.draw.random() < 0.4:
                still.append(parcel)
                continue
            if parcel.waits:
                self.world.do(LetParcelGo(parcel.number, today))
            self.world.do(PostSale(parcel.number, today))
            for one in parcel.picked:
                take(one.group, one.animals)
        self.to_post = still
