"""What the demo business sells: 220 sales from what is on hand, with the fixed ones on their days."""

from __future__ import annotations

import datetime as dt
import random
from collections import Counter, deque
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial

from demo.animals import Group, take
from demo.fairs import Fair, Fairs, Picked
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
    DecideClaim,
    DecideDeposit,
    HoldParcel,
    JoinQueue,
    LeaveQueue,
    LetParcelGo,
    LineOf,
    NoteArrival,
    PackOf,
    Paid,
    Pick,
    PlaceHold,
    PostSale,
    RecordClaim,
    Sell,
    SetPrice,
    Swap,
)
from ledger.selling.queue import queue
from ledger.stock.commands import AddLot, Arrival, OriginStatement

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
        self.shop_from = SHOP_FROM
        self.shop_left = 3

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
        world.at(Day(2024, 5, 27), partial(self._fixed, "H02", "L1-3 nymph", 10, 3000, "Tarmel Wickoll"))
        world.at(Day(2024, 6, 10), partial(self._fixed, "H02", "L1-3 nymph", 4, 1600, "Osbram Fenlun"))
        world.at(Day(2024, 7, 6), self._correction_notes)
        world.at(CLAIM_ON, self._first_claim)
        world.at(Day(2024, 11, 9), self._swap)
        world.at(Day(2025, 1, 20), self._second_claim)
        world.at(PAIR_ON, self._hold)
        world.at(Day(2025, 6, 7), self._second_buyer)
        world.at(Day(2025, 6, 16), self._deposit)
        world.at(Day(2025, 6, 17), self._leaves)
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
        self._shop(today)
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
            self.to_post.append(ToPost(today, number, picked))
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
        self._claimed(
            self._some(CLAIM_FROM, "L1-3 nymph", 10),
            3000,
            "Melving Dalsor",
            arrival="10:10",
            hours=2,
            reported_after=0,
            evidence="Three photos in the opened box, sent at 12:00: 1 hour 50 after arrival, inside the terms.",
            decide=lambda claim, _: DecideClaim(
                claim,
                "refund",
                self.world.today,
                method="transfer",
                note="the animals are refunded, not the postage",
            ),
        )

    def _second_claim(self) -> None:
        self._claimed(
            self._first("E", "L1-3 nymph", 10),
            1800,
            "Quoreth Lunpim",
            arrival="09:30",
            hours=26,
            reported_after=1,
            evidence="One photo, taken the next day; reported 26 hours after arrival, outside the terms.",
            decide=self._goodwill,
        )

    def _claimed(
        self,
        picked: list[Picked],
        price: int,
        customer: str,
        *,
        arrival: str,
        hours: int,
        reported_after: int,
        evidence: str,
        decide: Callable[[int, Picked], DecideClaim],
    ) -> None:
        """Ten nymphs go by post today and arrive in two days, three of them dead."""
        if not picked:
            return
        today = self.world.today
        number = self.sell("post", today, self._lines(picked, price, "group of 10"), picked, customer)
        self.to_post[-1].at_once = True
        arrived = today + dt.timedelta(days=2)
        reported = arrived + dt.timedelta(days=reported_after)

        def claim() -> None:
            done = self.world.do(RecordClaim(number, 1, 3, reported, hours, evidence))
            decided = decide(int(done.refs["claim"]), picked[0])
            met = self.world.do(decided)
            if decided.outcome == "replacement":
                self.to_post.append(ToPost(reported, str(met.refs["number"]), [self.replaced]))

        self.world.at(arrived, lambda: self.world.do(NoteArrival(number, arrived, arrival)))
        self.world.at(reported, claim)

    def _goodwill(self, claim: int, sold: Picked) -> DecideClaim:
        """Three nymphs of the same lot go free of charge; they wait for the next day of posting."""
        [one] = self._some(sold.group.code, "L1-3 nymph", 3)
        for animal in one.animals:
            animal.reserved = animal.still = True
        self.replaced = one
        return DecideClaim(
            claim,
            "replacement",
            self.world.today,
            lot=one.group.code,
            tub=one.animals[0].tub,
            note="outside the terms: nymphs sent as goodwill, free of charge",
        )

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

    replaced: Picked

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
            self.world.do(JoinQueue("R-014", "Ollrud Tarquor", self.world.today, note="asked for the same pair"))
            return
        raise AssertionError("a promised pair was sold")

    def _leaves(self) -> None:
        """Told that the pair is free, the second buyer has found another."""
        for row in self.world.book.ask(partial(queue, now=f"{self.world.today}T12:00", hold="R-014")):
            self.world.do(LeaveQueue(row.place, self.world.today))

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

    def _shop(self, today: Day) -> None:
        """A shop takes fifty grubs three times over, each at least four weeks after the last, by the trade list."""
        if today < self.shop_from or self.shop_left == 0:
            return
        picked = self._first("P", "L3", 50)
        if not picked:
            return
        one = picked[0]
        pick = Pick(one.group.code, 50, "L3", one.animals[0].sex, one.animals[0].tub)
        paid = (Paid(None, "transfer"),)
        self.world.do(Sell((), today, SHOPS[0], "trade", paid=paid, packs=(PackOf("group of 50", (pick,)),)))
        take(one.group, one.animals)
        self.sold["PACH"] += 1
        self.shop_left -= 1
        self.shop_from = today + dt.timedelta(days=28)


SHOP_FROM = Day(2025, 4, 22)
"""From this day on a shop waits for grubs."""
PAIR_FROM, PAIR_OUT_OF, PAIR_ON = "G02", 5, Day(2025, 6, 1)
"""So many geckos of this lot are not sold before the day on which a pair is promised."""
CLAIM_FROM, CLAIM_ON = "H03", Day(2024, 7, 8)
"""Lot of the nymphs of which some arrive dead, not sold before they are posted."""
RESERVED = "H02"
"""Sold only in the two sales whose origin is corrected later."""

FIXED: Counter[str] = Counter({"HIER": 3, "EXTA": 2, "PACH": 5, "collection": 2, "post": 3, "trade": 3})
"""Sales of fixed days that count towards the numbers of a species or channel."""
