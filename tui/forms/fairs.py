"""Forms of fairs: planned, packs put together and taken apart, a pack sold otherwise than as packed, costs, the end."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from ledger.errors import BadInput, Refused
from ledger.money import amount_text
from ledger.records.settings import setting
from ledger.selling.commands import (
    CallOffFair,
    ChangeFair,
    DriveToFair,
    EndFair,
    PackAgain,
    PackForFair,
    PlanFair,
    SellFairPack,
    SpendOnFair,
    Unpack,
)
from ledger.selling.fair_costs import MILEAGE, categories_of_fairs
from ledger.selling.fairs import Fair
from ledger.wording import decimals, say
from tui.forms.optional import day_beside, or_none
from tui.forms.ways import about_picks
from tui.jot_trade import read_picks
from tui.look import short
from tui.ways import METHODS
from tui.widgets.fields import (
    FieldSpec,
    amount,
    amount_or_none,
    day,
    in_days,
    in_money,
    nothing_beside,
    text,
    whole,
)
from tui.widgets.form import Form

NOT_YET = say("not yet")
OFF = say("called off")
YES, NO = say("yes"), say("no")
USUAL = say("table fee")


class PlanFairForm(Form):
    """A fair is planned."""

    WHERE = "fair-plan"
    HELP = say(
        "A fair has its days and the change you take along. Selling at fairs may be barred or licensed, "
        "especially vertebrates; ask your local authority first."
    )

    def heading(self) -> str:
        return say("Plan a fair")

    def specs(self) -> Sequence[FieldSpec]:
        money, ahead = self.desk.ledger.currency, day(self.desk.ledger.today, self.desk.order, ahead=True)
        return (
            FieldSpec("name", say("name"), text("name", needed=True), "", nothing_beside),
            FieldSpec("held_on", say("its day"), ahead, "today", in_days),
            FieldSpec(
                "last_on",
                say("last day"),
                or_none(ahead),
                "",
                day_beside,
                hint=say("if it has several"),
            ),
            FieldSpec(
                "cash_float", say("float"), amount(money, empty=0), "", in_money(money), hint=say("change taken along")
            ),
            FieldSpec("note", say("note"), text("note", limit=2000), "", nothing_beside),
        )

    def command(self, values: Mapping[str, Any]) -> PlanFair:
        return PlanFair(values["name"], values["held_on"], values["last_on"], values["cash_float"] or 0, values["note"])


class ChangeFairForm(PlanFairForm):
    """A fair is planned anew, or called off.

    Args:
        fair: as it is planned now.
    """

    WHERE = "fair-change"
    HELP = say(
        "Whatever was planned wrong is set right here as long as the cash is not counted: the name, the days, the "
        "change taken along. A fair that is not gone to is called off; its packs are taken apart."
    )

    def __init__(self, fair: Fair) -> None:
        super().__init__()
        self.subject, self._fair = str(fair.id), fair

    def heading(self) -> str:
        return say("{name}: plan it anew", name=self._fair.name)

    def specs(self) -> Sequence[FieldSpec]:
        fair, order = self._fair, self.desk.order
        last = short(fair.last_on, order) if fair.last_on != fair.held_on else ""
        start = {
            "name": fair.name,
            "held_on": short(fair.held_on, order),
            "last_on": last,
            "cash_float": amount_text(fair.cash_float, self.desk.ledger.currency),
            "note": fair.note,
        }
        going = FieldSpec("going", say("it is"), str, say("gone to"), choices=(say("gone to"), OFF))
        return (*(replace(spec, start=start[spec.key]) for spec in super().specs()), going)

    def command(self, values: Mapping[str, Any]) -> ChangeFair | CallOffFair:  # type: ignore[override]
        if values["going"] == OFF:
            return CallOffFair(self.subject)
        plan = super().command(values)
        return ChangeFair(
            self.subject, plan.name, plan.held_on, plan.last_on or plan.held_on, plan.cash_float, plan.note
        )


class FairForm(Form):
    """A form about one fair.

    Args:
        fair: its number.
        name: its name.
    """

    def __init__(self, fair: int, name: str) -> None:
        super().__init__(str(fair))
        self._name = name


class PackForm(FairForm):
    """Packs are put together for a fair."""

    WHERE = "fair-pack"
    HELP = say(
        "Write the pack as its price list has it (single, pair 1.1, group of 10) and the animals of one "
        "pack, such as P08 10 L3; of a tub G04/T3 2; of both sexes E03 1.1 adult. Its animals are kept back for the "
        "fair. Extra: how many of the animals written are given on top, and not paid for."
    )

    def heading(self) -> str:
        return say("{name}: put packs together", name=self._name)

    def specs(self) -> Sequence[FieldSpec]:
        money, setting = self.desk.ledger.currency, self.desk.jot_setting()
        return (
            FieldSpec(
                "mark", say("mark"), text("mark", limit=12, needed=True), "", nothing_beside, hint="A, L3x10, ..."
            ),
            FieldSpec(
                "picks",
                say("animals"),
                lambda typed: tuple(read_picks(typed, setting)),
                "",
                nothing_beside,
                hint="P08 10 L3, G04/T3",
                known=tuple(setting.vocabulary.stages),
                several=True,
            ),
            FieldSpec(
                "pack",
                say("pack"),
                text("pack", needed=True),
                "single",
                nothing_beside,
                hint=say("pair 1.1, group of 10"),
            ),
            FieldSpec("packs", say("how many packs"), whole("packs"), "1", nothing_beside),
            FieldSpec(
                "price", say("price of one"), amount_or_none(money), "", in_money(money), hint=say("empty: price list")
            ),
            FieldSpec(
                "extra",
                say("extra"),
                whole("animals", least=0),
                "0",
                nothing_beside,
                hint=say("how many of these are free"),
            ),
        )

    def explained(self, refusal: Refused) -> Refused:
        return about_picks(refusal)

    def command(self, values: Mapping[str, Any]) -> PackForFair:
        return PackForFair(
            self.subject,
            values["mark"],
            values["pack"],
            values["picks"],
            values["packs"],
            values["price"],
            values["extra"],
        )


class PackOfFair(FairForm):
    """A form about the packs of a fair with one mark.

    Args:
        fair: its number.
        name: its name.
        mark: of the packs.
        price: of one, minor units.
        lots: of its animals.
    """

    def __init__(self, fair: int, name: str, mark: str, price: int, lots: tuple[str, ...] = ()) -> None:
        super().__init__(fair, name)
        self._mark, self._price, self._lots = mark, price, lots

    @property
    def draft_name(self) -> str:
        return f"{self.WHERE}:{self.subject}:{self._mark}"


class SellPackForm(PackOfFair):
    """A pack is sold with another price, buyer or way to pay."""

    WHERE = "fair-sell"

    def heading(self) -> str:
        return say("{name}: sell one pack {mark}", name=self._name, mark=self._mark)

    def specs(self) -> Sequence[FieldSpec]:
        money = self.desk.ledger.currency
        buyers = list(self.desk.jot_setting().vocabulary.customers)
        return (
            FieldSpec("price", say("price"), amount(money), amount_text(self._price, money), in_money(money)),
            FieldSpec("method", say("by{method}", method=""), str, METHODS[0], choices=(*METHODS, NOT_YET)),
            FieldSpec("customer", say("buyer"), text("buyer"), "", nothing_beside, hint=say("or none"), known=buyers),
            FieldSpec("on", say("when"), day(self.desk.ledger.today, self.desk.order), "today", in_days),
        )

    def command(self, values: Mapping[str, Any]) -> SellFairPack:
        method = "" if values["method"] == NOT_YET else values["method"]
        return SellFairPack(
            self.subject, self._mark, values["on"], method, values["price"], values["customer"], self._lots
        )


class UnpackForm(PackOfFair):
    """Packs are taken apart."""

    WHERE = "fair-unpack"

    def heading(self) -> str:
        return say("{name}: take packs {mark} apart", name=self._name, mark=self._mark)

    def specs(self) -> Sequence[FieldSpec]:
        return (FieldSpec("packs", say("how many packs"), whole("packs"), "1", nothing_beside),)

    def command(self, values: Mapping[str, Any]) -> Unpack:
        return Unpack(self.subject, self._mark, values["packs"], self._lots)


class PackAgainForm(PackOfFair):
    """Packs that were brought back lie packed again."""

    WHERE = "fair-again"

    def heading(self) -> str:
        return say("{name}: pack {mark} again", name=self._name, mark=self._mark)

    def specs(self) -> Sequence[FieldSpec]:
        return (FieldSpec("packs", say("how many packs"), whole("packs"), "1", nothing_beside),)

    def command(self, values: Mapping[str, Any]) -> PackAgain:
        return PackAgain(self.subject, self._mark, values["packs"])


class SpendOnFairForm(FairForm):
    """Table fee and the like as an amount, or the drive there by its kilometres."""

    WHERE = "fair-spend"
    HELP = say(
        "Write an amount, or the kilometres driven: they are reckoned at the rate of a kilometre, which "
        "is your own (setting kilometre rate; there is none until you set it). All of it comes off the "
        "margin of the fair."
    )

    def heading(self) -> str:
        return say("{name}: what it cost", name=self._name)

    def specs(self) -> Sequence[FieldSpec]:
        money = self.desk.ledger.currency
        rate = self.desk.ledger.ask(setting, "kilometre rate", "")
        named = self.desk.ledger.ask(categories_of_fairs)
        usual = next((one for one in named if one != MILEAGE), USUAL)
        return (
            FieldSpec("category", say("category"), text("category", needed=True), usual, nothing_beside, known=named),
            FieldSpec(
                "amount", say("how much"), amount_or_none(money), "", in_money(money), hint=say("or the kilometres")
            ),
            FieldSpec(
                "km", say("kilometres"), text("kilometres"), "", nothing_beside, hint=say("84: the drive, as mileage")
            ),
            FieldSpec(
                "rate",
                say("of each"),
                text("rate"),
                decimals(rate),
                nothing_beside,
                hint=say("your own rate, such as 0.30"),
            ),
            FieldSpec("from_cash", say("from its cash"), str, NO, choices=(NO, YES)),
            FieldSpec("on", say("when"), day(self.desk.ledger.today, self.desk.order), "today", in_days),
            FieldSpec("text", say("note"), text("note"), "", nothing_beside),
        )

    def _look(self) -> None:
        if any(row.typed.strip() for row in self.rows if row.spec.key in ("amount", "km")):
            super()._look()
        else:
            self._show("", "")

    def command(self, values: Mapping[str, Any]) -> SpendOnFair | DriveToFair:
        amount, km = values["amount"], values["km"]
        if amount is not None and km:
            raise BadInput(
                say("Write only one of the two, the amount or the kilometres; record the other as a line of its own."),
                "km",
            )
        if amount is None and not km:
            raise BadInput(say("Write how much it was, or the kilometres driven."), "amount")
        from_cash = values["from_cash"] == YES
        if km:
            if from_cash:
                raise BadInput(say("A drive is reckoned and not paid; leave the cash of the fair out."), "from_cash")
            return DriveToFair(self.subject, km, values["on"], values["rate"], values["text"])
        return SpendOnFair(self.subject, values["category"], amount, values["on"], values["text"], from_cash)


class EndFairForm(FairForm):
    """The cash is counted, and the fair is over."""

    WHERE = "fair-end"
    HELP = say(
        "Count all the cash, the float included. What there should be is said line by line: sales, deposits, money "
        "given back, costs paid from it (-). What nothing else tells goes into other in and out, with its reason. "
        "What was not sold comes back to the ready list. A difference is said and kept; it is not booked away. "
        "ctrl-z right after it takes a mistyped count back."
    )

    def heading(self) -> str:
        return say("{name}: count the cash and end it", name=self._name)

    def specs(self) -> Sequence[FieldSpec]:
        money = self.desk.ledger.currency
        return (
            FieldSpec("counted", say("counted"), amount(money), "", in_money(money), hint=say("the float included")),
            FieldSpec("put_in", say("other in"), amount(money, empty=0), "", in_money(money), hint=say("cash put in")),
            FieldSpec(
                "taken_out", say("other out"), amount(money, empty=0), "", in_money(money), hint=say("cash taken out")
            ),
            FieldSpec("why", say("what for"), text("what for", limit=500), "", nothing_beside),
            FieldSpec("on", say("when"), day(self.desk.ledger.today, self.desk.order), "today", in_days),
            FieldSpec("note", say("note"), text("note", limit=2000), "", nothing_beside),
        )

    def command(self, values: Mapping[str, Any]) -> EndFair:
        return EndFair(
            self.subject,
            values["on"],
            values["counted"],
            values["note"],
            values["put_in"] or 0,
            values["taken_out"] or 0,
            values["why"],
        )

    def also(self, plan: Any) -> Sequence[str]:
        return (say("Expected: {made_of}.", made_of=plan.made_of),)
