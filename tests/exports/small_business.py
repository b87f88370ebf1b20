"""A little invented business over a year and a bit, with every kind of row a year end has to show.

Amounts are minor units and the same in every currency. Said through the front door only, as a keeper would.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable

from ledger.act import Done
from ledger.books.commands import CloseYear
from ledger.costs.commands import Dispose, PayCost, RefundCost, ReverseCost, Spend
from ledger.ledger import Ledger
from ledger.records.commands import SetSetting
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
    HatchOut,
    Mark,
    Move,
    OriginStatement,
    Part,
    Record,
    Reverse,
    SaveRound,
    SetFigure,
    SplitLot,
)

HOSTILE = '=HYPERLINK("http://localhost","pay")'
"""A customer whose name would be a formula if it were not written as text."""


class Clock:
    """The day the business lives in; moved on by the story."""

    def __init__(self) -> None:
        self.today = dt.date(2024, 11, 1)

    def __call__(self) -> dt.datetime:
        return dt.datetime.combine(self.today, dt.time(12, 0))


class Story:
    """Says things to a ledger, each on its day."""

    def __init__(self, store: Store) -> None:
        self.clock = Clock()
        self.ledger = Ledger(store, clock=self.clock, by="keeper")
        self.refs: dict[str, Done] = {}

    def say(self, day: str, make: Callable[[dt.date], object], name: str = "") -> Done:
        """Record what `make` makes of the day."""
        on = dt.date.fromisoformat(day)
        self.clock.today = max(self.clock.today, on)
        done = self.ledger.do(make(on))
        if name:
            self.refs[name] = done
        return done

    def number(self, name: str) -> str:
        """Number of the sale or hold recorded under a name."""
        return str(self.refs[name].refs["number"])


def first_year(story: Story) -> None:
    """Late 2024: what was there, what was bought, and a first sale."""
    say = story.say
    say("2024-11-01", lambda on: SetSetting("business name", "Tallow Lane Beetles"))
    say("2024-11-01", lambda on: AddSpecies("PACH", "pachnoda-marginata"))
    say("2024-11-01", lambda on: AddSpecies("HIER", "hierodula-membranacea"))
    say("2024-11-01", lambda on: SetFigure("PACH", "L2", "loss rate", 100_000, on))
    say(
        "2024-11-01",
        lambda on: AddLot(
            "A01",
            "PACH",
            on,
            (Arrival("opening", "L3", unsexed=20), Arrival("opening", "adult", males=3, females=4)),
            purpose="sale",
            origin=OriginStatement("CBU", supplier="the keeper before"),
        ),
    )
    say(
        "2024-11-05",
        lambda on: AddLot(
            "B01",
            "PACH",
            on,
            (Arrival("bought", "L2", unsexed=30, value=4500),),
            origin=OriginStatement("CB", generation=2, evidence=2, supplier="Ombrel Insects"),
        ),
    )
    say(
        "2024-11-05",
        lambda on: AddLot(
            "E01",
            "PACH",
            on,
            (Arrival("bought", "adult", males=2, females=3, value=3000),),
            purpose="breeding",
            origin=OriginStatement("CB", generation=1, evidence=2, supplier="Ombrel Insects"),
        ),
    )
    say(
        "2024-11-10",
        lambda on: Spend(on, "feed", 2400, supplier="Ombrel", text="leaf mould", window_to=dt.date(2025, 2, 20)),
    )
    say(
        "2024-11-12",
        lambda on: Spend(
            on, "heating mat", 9000, text="mat and thermostat", kind="lasting", life_days=1000, residual=1000
        ),
        "mat",
    )
    say(
        "2024-11-15",
        lambda on: Spend(on, "heat", 7301, kind="overhead", share=4000, unpaid=True, text="power"),
        "power",
    )
    say("2024-12-01", lambda on: Record("B01", (Move("died", 2, cause="unknown"),), on))
    say(
        "2024-12-10",
        lambda on: Sell(
            (LineOf("A01", 5, 2500, stage="L3"),),
            on,
            customer="Tarn",
            paid=(Paid(2500),),
        ),
    )
    say(
        "2024-12-20",
        lambda on: AddLot(
            "P01",
            "PACH",
            on,
            (Arrival("hatched", "L1", unsexed=40),),
            mothers=("E01",),
            started_from=dt.date(2024, 12, 15),
        ),
    )


def second_year(story: Story) -> None:
    """2025: everything else, up to a parcel that waits over the year's end."""
    say = story.say
    say("2025-01-08", lambda on: PayCost(int(story.refs["power"].refs["cost"]), on, 7301))
    say("2025-02-03", lambda on: Spend(on, "feed", 2790, supplier="Ombrel", text="leaf mould, big bag"), "feed")
    say("2025-02-10", lambda on: RefundCost(int(story.refs["feed"].refs["cost"]), on, 333, note="torn bag"))
    say(
        "2025-02-11",
        lambda on: Spend(on, "tubs", 1999, kind="lasting", life_days=730, text="ten tubs", share=5000),
        "tubs",
    )
    say("2025-02-12", lambda on: Spend(on, "feed", 999, text="entered twice"), "wrong")
    say("2025-02-13", lambda on: ReverseCost(int(story.refs["wrong"].refs["cost"])))
    say(
        "2025-02-14",
        lambda on: Record("P01", (Move("next stage", 36, stage="L1", to_stage="L2"), Move("died", 4, stage="L1")), on),
    )
    say("2025-03-01", lambda on: Record("B01", (Move("next stage", 26, stage="L2", to_stage="L3"),), on))
    say(
        "2025-03-05",
        lambda on: Sell(
            (
                LineOf("B01", 10, 4000, stage="L3", discount=150, extra=1, pack="ten"),
                LineOf("A01", 3, 1350, stage="L3"),
            ),
            on,
            customer=HOSTILE,
            channel="post",
            charges=(Charge("postage", 590),),
            paid=(Paid(3000, "bank"),),
            selling_costs=(SellingCost("postage", 475, text="parcel"),),
        ),
        "partly paid",
    )
    say("2025-03-20", lambda on: Record("P01", (Move("died", 9, stage="L2", cause="exceptional"),), on), "outbreak")
    say("2025-04-02", lambda on: Record("P01", (Move("next stage", 27, stage="L2", to_stage="L3"),), on))
    say("2025-04-10", lambda on: Record("A01", (Move("next stage", 8, stage="L3", to_stage="cocoon"),), on))
    say("2025-04-20", lambda on: SplitLot("P01", "P02", (Part(7, stage="L3"),), on))
    say("2025-04-22", lambda on: Record("P02", (Move("missing", 2, stage="L3"),), on), "missing")
    say("2025-04-25", lambda on: Record("P02", (Move("found", 1, stage="L3"),), on))
    say(
        "2025-05-01",
        lambda on: PlaceHold("Wren", (Pick("P01", 4, stage="L3"),), on, "2025-05-20", deposit=500),
        "kept hold",
    )
    say(
        "2025-05-02",
        lambda on: PlaceHold("Marlow", (Pick("P01", 5, stage="L3"),), on, "2025-06-20", deposit=1000),
        "hold",
    )
    say("2025-05-25", lambda on: DecideDeposit(story.number("kept hold"), "kept", on))
    say(
        "2025-05-26",
        lambda on: PlaceHold("Wren", (Pick("P01", 1, stage="L3"),), on, "2026-02-01", deposit=300),
        "open hold",
    )
    say(
        "2025-06-01",
        lambda on: Sell(
            (LineOf("P01", 5, 3500, stage="L3"),),
            on,
            customer="Marlow",
            hold=story.number("hold"),
            paid=(Paid(2500),),
        ),
    )
    say(
        "2025-06-05",
        lambda on: Swap(
            (Pick("P01", 2, stage="L3"),),
            AddLot(
                "H01",
                "HIER",
                dt.date(2025, 5, 20),
                (Arrival("swapped in", "ootheca", unsexed=2),),
                arrived_on=on,
                origin=OriginStatement("CB", generation=3, evidence=1),
            ),
            1300,
            on,
            partner="Alder",
        ),
    )
    say("2025-06-20", lambda on: HatchOut("H01", 1, 60, "L1-3 nymph", on))
    say(
        "2025-06-25",
        lambda on: Spend(on, "fruit flies", 1200, scope="species", species=("HIER",), window_to=dt.date(2025, 9, 30)),
    )
    say(
        "2025-07-01",
        lambda on: Record(
            "H01", (Move("used as feed", 10, stage="L1-3 nymph"), Move("given away", 5, stage="L1-3 nymph")), on
        ),
    )
    say(
        "2025-07-02",
        lambda on: Record(
            "B01", (Move("next stage", 9, stage="L3", to_stage="cocoon"), Move("own use", 1, stage="L3")), on
        ),
    )
    say(
        "2025-08-01",
        lambda on: Record(
            "B01", (Move("next stage", 8, stage="cocoon", to_stage="soft adult"), Move("died", 1, stage="cocoon")), on
        ),
    )
    say("2025-08-12", lambda on: Record("B01", (Move("next stage", 8, stage="soft adult", to_stage="adult"),), on))
    say(
        "2025-08-20",
        lambda on: Sell((LineOf("B01", 2, 1800, stage="adult"),), on, customer="Tarn", paid=(Paid(1800),)),
        "returned",
    )
    say(
        "2025-08-24",
        lambda on: CreditSale(
            story.number("returned"), on, "one too old, one dead", (CreditLine(1, 1500, count=2, back=1),)
        ),
    )
    say("2025-09-01", lambda on: Dispose(int(story.refs["mat"].refs["cost"]), on, 2500))
    say("2025-09-02", lambda on: Record("B01", (Move("dried", 1, stage="adult", to_stage="dried specimen"),), on))
    say("2025-09-03", lambda on: Record("A01", (Move("next stage", 8, stage="cocoon", to_stage="soft adult"),), on))
    say("2025-09-15", lambda on: Record("A01", (Move("next stage", 8, stage="soft adult", to_stage="adult"),), on))
    say("2025-09-16", lambda on: SaveRound((Mark("A01", "counted", count=8, stage="adult"),), on))
    say(
        "2025-09-20",
        lambda on: Sell((LineOf("A01", 1, 900, stage="adult", sex="unsexed"),), on, paid=(Paid(900),)),
        "undone",
    )
    say("2025-09-21", lambda on: CreditSale(story.number("undone"), on, "entered by mistake"))
    say(
        "2025-10-01",
        lambda on: Spend(on, "crickets", 700, scope="lots", lots=("H01",), window_to=dt.date(2026, 1, 31), unpaid=True),
    )
    say("2025-10-02", lambda on: Record("H01", (Move("died", 45, stage="L1-3 nymph"),), on))
    say("2025-10-03", lambda on: Record("H01", (Move("died", 1, stage="ootheca"),), on))
    say("2025-11-01", lambda on: Record("P02", (Move("died", 1, stage="L3"),), on), "mistake")
    say("2025-11-02", lambda on: Reverse(int(story.refs["mistake"].refs["movement"])))
    say(
        "2025-12-28",
        lambda on: Sell(
            (LineOf("P01", 3, 2100, stage="L3"),),
            on,
            customer="Linnet",
            channel="post",
            to_post=True,
            charges=(Charge("postage", 600),),
            paid=(Paid(2700, "bank"),),
        ),
        "parcel",
    )


def after(story: Story) -> None:
    """January 2026: the parcel goes, and last year's debt is paid."""
    story.say("2026-01-05", lambda on: PostSale(story.number("parcel"), on, (SellingCost("postage", 480),)))
    story.say("2026-01-06", lambda on: TakePayment(story.number("partly paid"), 2000, on))


def close(story: Story, year: int) -> Done:
    """Close a year early in the next one."""
    return story.say(f"{year + 1}-01-20", lambda on: CloseYear(year, on))


def tell(store: Store, *, closed: bool = False) -> Story:
    """The whole story; with `closed`, 2024 is closed in January 2025."""
    story = Story(store)
    first_year(story)
    if closed:
        close(story, 2024)
    second_year(story)
    after(story)
    return story
