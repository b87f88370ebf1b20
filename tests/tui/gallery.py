"""Every screen of the program, each made as its own place makes it, over a loft in which something of everything
happened: for tests that look at all of them."""

from __future__ import annotations

import inspect
from collections.abc import Callable, Iterator
from typing import Any

from ledger.books.commands import Counted, CountStock
from ledger.costs.commands import NoteHours, Spend
from ledger.ledger import Ledger
from ledger.records.commands import SetSetting
from ledger.selling.commands import FlagSpecies, JoinQueue, LineOf, PackForFair, Pick, PlanFair, RecordClaim, Sell
from tests.tui.business import TODAY, day
from tui import key_table
from tui.forms.bring_in import BringInForm
from tui.forms.settings import SettingForm
from tui.frame import Framed, Place
from tui.places.settings import POST
from tui.widgets.foot import Answer

SALE = "S-2025-0001"
MORE = (
    Sell((LineOf("P08", 1, stage="L3"),), day("2025-06-02"), "Tarn", "post", to_post=True),
    RecordClaim(SALE, 1, 1, day("2025-05-12"), 3, "Bild"),
    JoinQueue("R-001", "Nim", TODAY),
    PlanFair("Lenzmarkt", TODAY, None, 5000),
    PackForFair("Lenzmarkt", "A", "single", (Pick("P08", 1, stage="L3"),), 1, 150),
    Spend(day("2025-05-01"), "substrate", 1800, "Ombrel", text="Flocken", stored=True, quantity="10.5", unit="kg"),
    Spend(day("2025-05-01"), "equipment", 14500, "Nib", kind="lasting", life_days=1825, text="Brutkasten"),
    NoteHours(day("2025-06-01"), 90, "Putzen"),
    FlagSpecies("PACH", "permit", day("2025-01-01"), "laut Amt", "12", day("2025-07-01")),
    SetSetting("post days", "Mon Tue"),
    SetSetting("post temperature", "5 to 28"),
    SetSetting("kilometre rate", "0.30"),
)
"""What happened besides in the loft."""

NO_SCREENS = {"Aside", "WhatIf", "ExplainPage", "LookPage", "TakeBackPage", "VersusPage", "WritePage"}
"""What other screens are made from, and those that need a sheet brought in, two reared lots or a file being written."""


def happen(ledger: Ledger) -> None:
    """Let something of everything happen."""
    for number, command in enumerate(MORE):
        ledger.do(command, token=f"more-{number}", source="demo")


class _Walked:
    long, token = 0, "walked"

    def command(self) -> object:
        return NoteHours(TODAY, 30)

    def lines(self) -> list[str]:
        return []

    def why_line(self) -> str:
        return ""

    def say_why(self) -> None: ...

    def save(self) -> None: ...

    def was_saved(self) -> None: ...

    def not_saved(self, refusal: object) -> None: ...


async def _answered(_: dict[str, Any]) -> None: ...


def screens() -> list[type[Framed[Any]]]:
    """Every class of a screen that lies on top of a place."""
    return [
        one
        for one in key_table.screens()
        if issubclass(one, Framed)
        and one.__name__ not in NO_SCREENS
        and one.__dict__.get("WHERE")
        and not issubclass(one, Place)
    ]


def made(ledger: Ledger) -> Iterator[tuple[str, Callable[[], Framed[Any]]]]:
    """The name of each screen and how it is made."""
    fair, claim = ledger.fairs()[0], ledger.claims()[0]
    cost = next(row for row in ledger.costs() if row.category == "feed")
    item, line = ledger.store_items()[0], ledger.to_count()[0]
    asked: dict[str, Any] = {
        "answered": _answered,
        "lot": "P08",
        "code": "P08",
        "species": "PACH",
        "stage": "L3",
        "fact": "colony",
        "fair": 1,
        "mark": "A",
        "price": 150,
        "owed": 600,
        "number": SALE,
        "said": "PACH",
        "place": 1,
        "customer": "Nim",
        "claim": claim,
        "row": item,
        "heading": "x",
        "command": NoteHours(TODAY, 30),
        "year": 2025,
        "name": "Lenzmarkt",
        "cost": cost.id,
        "category": "feed",
        "month": "2025-05",
        "counts": (Counted(line.lot, line.stage, line.expected, sex=line.sex, tub=line.tub),),
        "on": TODAY,
        "title": "x",
        "names": POST,
        "walked": _Walked(),
        "question": lambda: (),
        "lines": lambda _=None: ["x"],
        "write": lambda _: None,
        "said_of": lambda _: Answer(""),
        "subject": "P08",
    }
    of_class: dict[str, dict[str, Any]] = {
        "LongCountForm": {"lines": 400},
        "LongCountPage": {"command": CountStock(TODAY, asked["counts"]), "done": lambda: None},
        "CorrectCostForm": {"row": cost},
        "ChangeFairForm": {"fair": fair},
        "FairPage": {"fair": fair},
        "FairSalesPage": {"fair": fair},
        "CustomerPage": {"name": "Tarn"},
        "PartedForm": {"number": 1},
        "EndReminderForm": {"number": 1},
        "CountLineForm": {"row": line, "mark": None},
        **{name: {"subject": SALE} for name in _OF_A_SALE},
        **{name: {"subject": str(cost.id)} for name in _OF_A_COST},
        **{name: {"subject": "R-001"} for name in ("ReleaseForm", "JoinForm", "OfferForm")},
        "WhyPage": {"lot": "P08"},
        "RearingPage": {"lot": "P08"},
        "WordForm": {"subject": "brood"},
        "SettingForm": {"subject": "post days"},
        "TypeYearForm": {"subject": "2024"},
        "EraseForm": {"subject": "Tarn"},
        "TakeBackForm": {"subject": "3"},
        "PutBackForm": {"subject": "1"},
        "SaleForm": {"subject": ""},
        "SpendForm": {"subject": "feed"},
        **{name: {"subject": "P08 1 L3"} for name in ("PackSaleForm", "GiveForm", "LendForm", "SwapForm")},
    }
    for one in screens():
        key = "ClaimForm of an origin" if one.__module__ == "tui.forms.origin" and one.__name__ == "ClaimForm" else ""
        own = {} if key else of_class.get(one.__name__, {})
        wanted = inspect.signature(one.__init__).parameters
        given = {
            name: own.get(name, asked.get(name))
            for name, parameter in wanted.items()
            if name != "self" and (parameter.default is parameter.empty or name in own or name == "subject")
        }
        given = {name: value for name, value in given.items() if name not in ("args", "kwargs") and value is not None}
        if one.__name__ == "CountLineForm":
            given["mark"] = None
        yield key or one.__name__, lambda one=one, given=given: one(**given)  # type: ignore[misc]
    yield "BringInForm", lambda: BringInForm(_answered)
    for name in ("post temperature", "kilometre rate", "locale", "screen language"):
        yield f"SettingForm {name}", lambda name=name: SettingForm(name)  # type: ignore[misc]


_OF_A_SALE = (
    *("ClaimForm", "TellForm", "ArrivedForm", "ParcelGoForm", "PostForm", "ReplaceForm", "WaitForm", "CreditForm"),
    *("PaymentForm",),
)
_OF_A_COST = ("DisposeForm", "PayCostForm", "RefundForm", "TakeBackCostForm", "UsedUpForm")
