"""Forms of the post: handed to the carrier, kept waiting, let go again, arrived; others in place of the dead."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any

from ledger.errors import BadInput
from ledger.selling.commands import HoldParcel, LetParcelGo, NoteArrival, PostSale, ReplaceShort, SellingCost
from ledger.text import quoted
from ledger.wording import say
from tui.forms.animals import NO_TUB, tub_of
from tui.forms.optional import day_beside, or_none
from tui.forms.whom import supplier_field
from tui.widgets.fields import FieldSpec, amount, day, in_days, in_money, nothing_beside, text, whole
from tui.widgets.form import Form


def degrees(typed: str) -> int | None:
    """Whole degrees Celsius expected on the way; nothing for not said."""
    plain = typed.strip().replace("−", "-").removesuffix("°C").rstrip()
    if not plain:
        return None
    if not re.fullmatch("-?[0-9]{1,2}", plain, flags=re.ASCII):
        raise BadInput(
            say("{typed} is no temperature; write whole degrees Celsius like -3 or 28.", typed=quoted(typed))
        )
    return int(plain)


def in_degrees(value: int | None) -> str:
    """Degrees in words for beside the field."""
    return "" if value is None else f"{value} °C"


class PostForm(Form):
    """A sale is handed to the carrier."""

    WHERE = "post"
    HELP = say(
        "Your own limits for weekday and temperature are looked at; none are set until you set them. "
        "Outside them the form asks why. Inside your limits does not make the journey safe."
    )

    def heading(self) -> str:
        return say("{subject}: posted", subject=self.subject)

    def specs(self) -> Sequence[FieldSpec]:
        money = self.desk.ledger.currency
        return (
            FieldSpec("on", say("when"), day(self.desk.ledger.today, self.desk.order), "today", in_days),
            FieldSpec(
                "cost", say("postage paid"), amount(money, empty=0), "", in_money(money), hint=say("what it cost you")
            ),
            supplier_field(self.desk.jot_setting().vocabulary, label=say("carrier")),
            FieldSpec(
                "packing", say("packing"), amount(money, empty=0), "", in_money(money), hint=say("what it cost you")
            ),
            FieldSpec("coldest", say("coldest"), degrees, "", in_degrees, hint=say("°C expected on the way")),
            FieldSpec("warmest", say("warmest"), degrees, "", in_degrees, hint=say("°C expected on the way")),
            FieldSpec(
                "anyway",
                say("posted anyway"),
                text("reason", limit=200),
                "",
                nothing_beside,
                hint=say("why, if outside"),
            ),
        )

    def command(self, values: Mapping[str, Any]) -> PostSale:
        costs = tuple(
            SellingCost(kind, values[key], values["supplier"] if key == "cost" else "")
            for kind, key in (("postage", "cost"), ("packing", "packing"))
            if values[key]
        )
        return PostSale(self.subject, values["on"], costs, values["coldest"], values["warmest"], values["anyway"])


class WaitForm(Form):
    """A parcel is kept waiting."""

    WHERE = "wait"
    HELP = say("A parcel that waits stays in Due, on the day to look again.")

    def heading(self) -> str:
        return say("{subject}: keep the parcel waiting", subject=self.subject)

    def specs(self) -> Sequence[FieldSpec]:
        today, order = self.desk.ledger.today, self.desk.order
        ahead = day(today, order, ahead=True)
        return (
            FieldSpec(
                "why", say("why"), text("reason", limit=200), "", nothing_beside, hint=say("heat, frost, a holiday")
            ),
            FieldSpec(
                "look_on",
                say("look again"),
                or_none(ahead),
                "",
                day_beside,
                hint=say("fri, or 15 jun"),
            ),
        )

    def command(self, values: Mapping[str, Any]) -> HoldParcel:
        return HoldParcel(self.subject, values["why"], self.desk.ledger.today, values["look_on"])


class ParcelGoForm(Form):
    """A parcel no longer waits."""

    WHERE = "parcel-go"

    def heading(self) -> str:
        return say("{subject}: the parcel waits no longer", subject=self.subject)

    def specs(self) -> Sequence[FieldSpec]:
        return (FieldSpec("on", say("from"), day(self.desk.ledger.today, self.desk.order), "today", in_days),)

    def command(self, values: Mapping[str, Any]) -> LetParcelGo:
        return LetParcelGo(self.subject, values["on"])


class ArrivedForm(Form):
    """A parcel arrived, as the buyer said."""

    WHERE = "arrived"

    def heading(self) -> str:
        return say("{subject}: arrived, as the buyer says", subject=self.subject)

    def specs(self) -> Sequence[FieldSpec]:
        return (
            FieldSpec("on", say("when"), day(self.desk.ledger.today, self.desk.order), "today", in_days),
            FieldSpec("clock", say("at"), text("time", limit=10), "", nothing_beside, hint=say("14:30, if known")),
            FieldSpec("note", say("note"), text("note", limit=500), "", nothing_beside),
        )

    def command(self, values: Mapping[str, Any]) -> NoteArrival:
        return NoteArrival(self.subject, values["on"], values["clock"], values["note"])


class ReplaceForm(Form):
    """Other animals in place of those of a sale that died before posting."""

    WHERE = "replace"

    def heading(self) -> str:
        return say("{subject}: set others aside in place of those that are gone", subject=self.subject)

    def specs(self) -> Sequence[FieldSpec]:
        return (
            FieldSpec("position", say("line"), whole(say("the line")), "1", nothing_beside),
            FieldSpec("tub", say("from tub"), tub_of(), "", nothing_beside, hint=say("2, or no tub"), known=[NO_TUB]),
        )

    def command(self, values: Mapping[str, Any]) -> ReplaceShort:
        return ReplaceShort(self.subject, values["position"], self.desk.ledger.today, values["tub"])
