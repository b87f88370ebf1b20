"""The events of the demo that fall on a fixed day: sales under a wrong origin, claims, a swap, a promised pair, dried
beetles, a shop. None of them draws lots, so that the days of trade around them stay as they are.
"""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

from demo.animals import take
from demo.fairs import Picked
from demo.parameters import CLAIM_FROM, CLAIM_ON, PAIR_ON, SHOP_FROM, SHOPS
from ledger.errors import Refused
from ledger.origin.commands import WriteCorrectionNote
from ledger.selling.affected import affected_sales
from ledger.selling.commands import (
    DecideClaim,
    DecideDeposit,
    JoinQueue,
    LeaveQueue,
    LineOf,
    NoteArrival,
    PackOf,
    Paid,
    Pick,
    PlaceHold,
    RecordClaim,
    Sell,
    Swap,
)
from ledger.selling.queue import queue
from ledger.stock.commands import AddLot, Arrival, OriginStatement

if TYPE_CHECKING:
    from demo.trade import Trade

Day = dt.date


class FixedDays:
    """What happens on fixed days.

    Args:
        trade: the selling side of the demo, which keeps what waits to be posted.
    """

    def __init__(self, trade: Trade) -> None:
        self.trade = trade
        self.world = trade.world
        self.promised: tuple[Picked, Picked] | None = None
        self.sent: Picked | None = None
        """Nymphs that go as goodwill."""
        self.shop_from = SHOP_FROM
        self.shop_left = 3

    def plan(self) -> None:
        """Put each on its day."""
        world = self.world
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
            self.trade.sell("collection", self.world.today, self.trade.lines(picked, price, pack), picked, customer)

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
        number = self.trade.sell("post", today, self.trade.lines(picked, price, "group of 10"), picked, customer)
        self.trade.to_post[-1].at_once = True
        arrived = today + dt.timedelta(days=2)
        reported = arrived + dt.timedelta(days=reported_after)

        def claim() -> None:
            done = self.world.do(RecordClaim(number, 1, 3, reported, hours, evidence))
            decided = decide(int(done.refs["claim"]), picked[0])
            met = self.world.do(decided)
            if decided.animals is not None and self.sent is not None:
                self.trade.wait_for_post(str(met.refs["number"]), [self.sent])

        self.world.at(arrived, lambda: self.world.do(NoteArrival(number, arrived, arrival)))
        self.world.at(reported, claim)

    def _goodwill(self, claim: int, sold: Picked) -> DecideClaim:
        """Three nymphs of the same lot go free of charge; they wait for the next day of posting."""
        [one] = self._some(sold.group.code, "L1-3 nymph", 3)
        for animal in one.animals:
            animal.reserved = animal.still = True
        self.sent = one
        return DecideClaim(
            claim,
            "goodwill",
            self.world.today,
            lot=one.group.code,
            tub=one.animals[0].tub,
            note="outside the terms: nymphs sent as goodwill, free of charge",
            animals=len(one.animals),
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
            )
        )
        for one in pair:
            one.animals[0].reserved = one.animals[0].still = True
        self.promised = pair

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
        self.trade.sell("fair", self.world.today, lines, [Picked(self.world.groups[three[0][0]], ())])

    def shop(self, today: Day) -> None:
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
        self.trade.sold["PACH"] += 1
        self.shop_left -= 1
        self.shop_from = today + dt.timedelta(days=28)
