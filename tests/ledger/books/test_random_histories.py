"""Whatever a keeper does, in whatever order, the books add up: histories made at random, each proved at its end."""

from __future__ import annotations

import datetime as dt
import random
from collections import Counter
from collections.abc import Callable

import pytest

from ledger.books.commands import CloseYear
from ledger.books.prove import prove
from ledger.costs.commands import (
    Dispose,
    EndWindow,
    NoteHours,
    PayCost,
    Power,
    PutBack,
    RefundCost,
    ReverseCost,
    SetMethod,
    Spend,
    TakeOut,
)
from ledger.errors import Refused
from ledger.ledger import Ledger
from ledger.records.store import Store
from ledger.selling.commands import (
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
    SellingCost,
    Swap,
    TakePayment,
)
from ledger.stock.commands import (
    AddLot,
    AddSpecies,
    Arrival,
    Move,
    OriginStatement,
    Part,
    Record,
    Reverse,
    SetFigure,
    SplitLot,
)
from tests.exports.small_business import Clock

STAGES = ("L1", "L2", "L3", "cocoon", "soft adult", "adult")


class Keeper:
    """Somebody who does things at random; what the ledger refuses is left undone."""

    def __init__(self, store: Store, seed: int) -> None:
        self.dice = random.Random(seed)
        self.clock = Clock()
        self.clock.today = dt.date(2023, 9, 1)
        self.ledger = Ledger(store, clock=self.clock, by="keeper")
        self.lots: list[str] = []
        self.sales: list[str] = []
        self.holds: list[tuple[str, str, int]] = []
        self.costs: list[int] = []
        self.movements: list[int] = []
        self.issues: list[int] = []
        self.closed = 2022
        self.done: Counter[str] = Counter()
        self.ledger.do(AddSpecies("PACH", "pachnoda-marginata"))
        self.ledger.do(AddSpecies("HIER", "hierodula-membranacea"))
        if self.dice.random() < 0.5:
            self.ledger.do(SetFigure("PACH", "L3", "loss rate", 150_000, self.clock.today))
        if self.dice.random() < 0.3:
            self.ledger.do(SetMethod("brood", "expense", dt.date(2023, 1, 1)))

    def live(self, acts: int) -> None:
        """Do so many things."""
        makers: tuple[Callable[[], object], ...] = (
            self.arrive, self.breed, self.move, self.move, self.lose, self.lose, self.leave, self.split, self.swap,
            self.sell, self.sell, self.sell, self.post, self.credit, self.credit, self.take_payment, self.hold,
            self.decide, self.spend, self.spend, self.spend, self.pay, self.refund, self.finish, self.dispose,
            self.take_cost_back, self.take_back, self.close, self.stock_up, self.take_out, self.take_out,
            self.put_back, self.power, self.own_hours,
        )  # fmt: skip
        for _ in range(acts):
            self.clock.today += dt.timedelta(days=self.dice.choice([0, 1, 2, 5, 9, 20]))
            maker = self.arrive if len(self.lots) < 3 else self.dice.choice(makers)
            try:
                command = maker()
                if command is None:
                    continue
                refs = self.ledger.do(command).refs
            except (Refused, IndexError):
                continue
            self.done[maker.__name__] += 1
            self._remember(command, refs)

    def _remember(self, command: object, refs: object) -> None:
        assert isinstance(refs, dict)
        if isinstance(command, (AddLot, SplitLot, Swap)):
            self.lots.append(self._next_code())
        if isinstance(command, (Sell, Swap)):
            self.sales.append(refs["number"])
        if isinstance(command, PlaceHold):
            self.holds.append((refs["number"], command.picks[0].lot, command.picks[0].count))
        if isinstance(command, (Spend, Power)):
            self.costs.append(refs["cost"])
        if isinstance(command, TakeOut):
            self.issues.append(refs["issue"])
        if isinstance(command, CloseYear):
            self.closed = command.year
        if "movement" in refs:
            self.movements.append(refs["movement"])

    def _next_code(self) -> str:
        return f"A{len(self.lots):02}"

    def _day(self, back: int = 30) -> dt.date:
        days = self.dice.choice([0, 0, 1, 3, self.dice.randint(0, back), self.dice.choice([0, 0, 0, 120])])
        return self.clock.today - dt.timedelta(days=days)

    def arrive(self) -> object:
        reason = self.dice.choice(["opening", "bought", "bought", "collected"])
        value = self.dice.choice([None, 0, self.dice.randint(1, 9999)]) if reason == "bought" else None
        arrival = Arrival(
            reason, self.dice.choice(["L2", "L3", "L3", "adult"]), unsexed=self.dice.randint(5, 60), value=value
        )
        purpose = self.dice.choice(["sale", "sale", "breeding"])
        return AddLot(
            self._next_code(), "PACH", self._day(), (arrival,), purpose=purpose, origin=OriginStatement("CBU")
        )

    def breed(self) -> object:
        young = Arrival("hatched", "L3", unsexed=self.dice.randint(1, 60))
        return AddLot(self._next_code(), "PACH", self._day(), (young,), mothers=(self.dice.choice(self.lots),))

    def move(self) -> object:
        place = self.dice.randrange(1, 5)
        stage, to_stage = STAGES[place], STAGES[self.dice.randint(place + 1, 5)]
        count = self.dice.randint(1, 12)
        return self._record(Move("next stage", count, stage=stage, to_stage=to_stage))

    def lose(self) -> object:
        reason = self.dice.choice(["died", "missing", "culled", "escaped"])
        return self._record(Move(reason, self.dice.randint(1, 8), stage=self.dice.choice(STAGES)))

    def leave(self) -> object:
        reason = self.dice.choice(["own use", "given away", "used as feed", "found", "dried"])
        stage = self.dice.choice(["L3", "adult"])
        to_stage = "dried specimen" if reason == "dried" else None
        return self._record(Move(reason, self.dice.randint(1, 4), stage=stage, to_stage=to_stage))

    def _record(self, move: Move) -> object:
        return Record(self.dice.choice(self.lots), (move,), self._day())

    def split(self) -> object:
        part = Part(self.dice.randint(1, 6), stage=self.dice.choice(["L2", "L3"]))
        return SplitLot(self.dice.choice(self.lots), self._next_code(), (part,), self._day(5))

    def swap(self) -> object:
        coming = Arrival("swapped in", "ootheca", unsexed=2)
        lot = AddLot(self._next_code(), "HIER", self.clock.today, (coming,), origin=OriginStatement("CF"))
        out = Pick(self.dice.choice(self.lots), self.dice.randint(1, 3), stage="L3")
        return Swap((out,), lot, self.dice.randint(1, 3000), self.clock.today)

    def sell(self) -> object:
        hold = self.dice.choice(self.holds) if self.holds and self.dice.random() < 0.3 else None
        number, lot, count = hold or (None, self.dice.choice(self.lots), self.dice.randint(1, 6))
        price = self.dice.randint(2, 5000)
        stage = "L3" if hold or self.dice.random() < 0.7 else "adult"
        extra = 0 if hold else self.dice.choice([0, 0, 1])
        return Sell(
            (LineOf(lot, count, price, stage=stage, extra=extra, discount=self.dice.choice([0, price // 7])),),
            self._day(10),
            customer=self.dice.choice(["Tarn", "Wren", ""]) if not hold else "Marlow",
            channel="post",
            charges=(Charge("postage", self.dice.randint(1, 700)),) if self.dice.random() < 0.4 else (),
            paid=(Paid(self.dice.randint(1, price)),) if self.dice.random() < 0.6 else (),
            selling_costs=(SellingCost("postage", self.dice.randint(1, 500)),) if self.dice.random() < 0.3 else (),
            to_post=self.dice.random() < 0.4,
            hold=number,
        )

    def post(self) -> object:
        return PostSale(self.dice.choice(self.sales), self._day(3))

    def credit(self) -> object:
        sale, count = self.dice.choice(self.sales), self.dice.randint(0, 2)
        line = CreditLine(1, self.dice.randint(1, 900), count=count, back=self.dice.randint(0, count))
        lines = () if self.dice.random() < 0.4 else (line,)
        return CreditSale(sale, self._day(3), "at random", lines, refund=self.dice.random() < 0.7)

    def take_payment(self) -> object:
        return TakePayment(self.dice.choice(self.sales), self.dice.randint(1, 900), self._day(5))

    def hold(self) -> object:
        until = self.clock.today + dt.timedelta(days=self.dice.choice([1, 30]))
        pick = Pick(self.dice.choice(self.lots), self.dice.randint(1, 5), stage="L3")
        deposit = self.dice.choice([0, self.dice.randint(1, 900)])
        return PlaceHold("Marlow", (pick,), self.clock.today, until.isoformat(), deposit=deposit)

    def decide(self) -> object:
        return DecideDeposit(self.dice.choice(self.holds)[0], self.dice.choice(["kept", "refunded"]), self._day(3))

    def spend(self) -> object:
        kind = self.dice.choice(["used up", "used up", "overhead", "lasting", "selling"])
        gross = self.dice.randint(1, 20000)
        lasting = kind == "lasting"
        scope = self.dice.choice(["all", "species", "lots"]) if kind != "selling" else "all"
        return Spend(
            self._day(),
            self.dice.choice(["feed", "heat", "tubs"]),
            gross,
            tax=self.dice.choice([0, gross // 6]),
            kind=kind,
            share=self.dice.choice([10000, 10000, 5000, 3333]),
            life_days=self.dice.randint(1, 700) if lasting else None,
            residual=self.dice.randint(0, gross // 8) if lasting else 0,
            scope=scope,
            species=("PACH",) if scope == "species" else (),
            lots=(self.dice.choice(self.lots),) if scope == "lots" else (),
            unpaid=self.dice.random() < 0.4,
        )

    def stock_up(self) -> object:
        quantity = str(self.dice.randint(1, 20))
        gross = self.dice.randint(1, 20000)
        share = self.dice.choice([10000, 3333])
        return Spend(self._day(), "feed", gross, text="flake", stored=True, quantity=quantity, unit="kg", share=share)

    def take_out(self) -> object:
        on = self._day()
        to = self.dice.choice(["all", "species", "lot"])
        return TakeOut(
            "flake",
            self.dice.choice([1, 333, 1000, 2500]),
            on,
            used_to=on + dt.timedelta(days=self.dice.choice([0, 0, 6, 40])),
            species="PACH" if to == "species" else None,
            lot=self.dice.choice(self.lots) if to == "lot" else None,
        )

    def put_back(self) -> object:
        return PutBack(self.dice.choice(self.issues))

    def power(self) -> object:
        on = self._day()
        return Power("heat", "", self.dice.randint(5, 400), 5000, 29_570, on - dt.timedelta(days=30), on, share=6000)

    def own_hours(self) -> object:
        return NoteHours(self._day(), self.dice.randint(1, 300))

    def pay(self) -> object:
        return PayCost(self.dice.choice(self.costs), self._day(3), self.dice.randint(1, 3000))

    def refund(self) -> object:
        return RefundCost(self.dice.choice(self.costs), self._day(3), self.dice.randint(1, 3000))

    def finish(self) -> object:
        return EndWindow(self.dice.choice(self.costs), self.clock.today, self._day(20))

    def dispose(self) -> object:
        return Dispose(self.dice.choice(self.costs), self._day(3), self.dice.randint(0, 3000))

    def take_cost_back(self) -> object:
        return ReverseCost(self.dice.choice(self.costs))

    def take_back(self) -> object:
        return Reverse(self.dice.choice(self.movements))

    def close(self) -> object:
        year = max(self.closed + 1, self.clock.today.year - 1)
        return CloseYear(year, self.clock.today)


@pytest.mark.parametrize("seed", range(6))
def test_a_history_made_at_random_adds_up(sqlite_store: Store, seed: int) -> None:
    keeper = Keeper(sqlite_store, seed)

    keeper.live(110)

    assert keeper.ledger.ask(prove) == ()
    assert sum(keeper.done.values()) > 30


def test_the_histories_reach_every_kind_of_act(sqlite_store: Store) -> None:
    keeper = Keeper(sqlite_store, 100)

    keeper.live(600)

    assert keeper.ledger.ask(prove) == ()
    assert len(keeper.done) >= 25, keeper.done
