"""Forms of the post: handed to the carrier, kept waiting, let go again, arrived; others in place of the dead."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any

from ledger.errors import BadInput
from ledger.selling.commands import HoldParcel, LetParcelGo, NoteArrival, PostSale, ReplaceShort, SellingCost
from ledger.text import quoted
from tui.forms.animals import said
from tui.widgets.fields import FieldSpec, amount, day, in_days, in_money, nothing_beside, text, whole
from tui.widgets.form import Form


def degrees(typed: str) -> int | None:
    """Whole degrees Celsius expected on the way; nothing for not said."""
    plain = typed.strip().replace("−", "-").removesuffix("°C").rstrip()
    if not plain:
        return None
    if not re.fullmatch("-?[0-9]{1,2}", plain, flags=re.ASCII):
        raise BadInput(f"{quoted(typed)} is no temperature; write whole degrees Celsius like -3 or 28.")
    return int(plain)


def in_degrees(value: int | None) -> str:
    """Degrees in words for beside the field."""
    return "" if value is None else f"{value} °C"


class PostForm(Form):
    """A sale is handed to the carrier."""

    WHERE = "post"
    HELP = (
        "Your own limits for weekday and temperature are looked at; none are set until you set them. Outside them the "
        "form asks why. Inside your limits does not make the journey safe."
    )

    def heading(self) -> str:
        return f"{self.subject}: posted"

    def specs(self) -> Sequence[FieldSpec]:
        money = self.desk.ledger.currency
        return (
            FieldSpec("on", "when", day(self.desk.ledger.today, self.desk.order), "today", in_days),
            FieldSpec("cost", "postage paid", amount(money, empty=0), "", in_money(money), hint="what it cost you"),
            FieldSpec("supplier", "to whom", text("supplier"), "", nothing_beside, known=self.desk.ledger.suppliers()),
            FieldSpec("packing", "packing", amount(money, empty=0), "", in_money(money), hint="what it cost you"),
            FieldSpec("coldest", "coldest", degrees, "", in_degrees, hint="°C expected on the way"),
            FieldSpec("warmest", "warmest", degrees, "", in_degrees, hint="°C expected on the way"),
            FieldSpec("anyway", "posted anyway", text("reason", limit=200), "", nothing_beside, hint="why, if outside"),
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
    HELP = "A parcel that waits stays in Due, on the day to look again."

    def heading(self) -> str:
        return f"{self.subject}: keep the parcel waiting"

    def specs(self) -> Sequence[FieldSpec]:
        today, order = self.desk.ledger.today, self.desk.order
        ahead = day(today, order, ahead=True)
        return (
            FieldSpec("why", "why", text("reason", limit=200), "", nothing_beside, hint="heat, frost, a holiday"),
            FieldSpec(
                "look_on",
                "look again",
                lambda typed: ahead(typed) if typed.strip() else None,
                "",
                lambda value: in_days(value) if value else "",
                hint="fri, or 15 jun",
            ),
        )

    def command(self, values: Mapping[str, Any]) -> HoldParcel:
        return HoldParcel(self.subject, values["why"], self.desk.ledger.today, values["look_on"])


class ParcelGoForm(Form):
    """A parcel no longer waits."""

    WHERE = "parcel-go"

    def heading(self) -> str:
        return f"{self.subject}: the parcel waits no longer"

    def specs(self) -> Sequence[FieldSpec]:
        return (FieldSpec("on", "from", day(self.desk.ledger.today, self.desk.order), "today", in_days),)

    def command(self, values: Mapping[str, Any]) -> LetParcelGo:
        return LetParcelGo(self.subject, values["on"])


class ArrivedForm(Form):
    """A parcel arrived, as the buyer said."""

    WHERE = "arrived"

    def heading(self) -> str:
        return f"{self.subject}: arrived, as the buyer says"

    def specs(self) -> Sequence[FieldSpec]:
        return (
            FieldSpec("on", "when", day(self.desk.ledger.today, self.desk.order), "today", in_days),
            FieldSpec("clock", "at", text("time", limit=10), "", nothing_beside, hint="14:30, if known"),
            FieldSpec("note", "note", text("note", limit=500), "", nothing_beside),
        )

    def command(self, values: Mapping[str, Any]) -> NoteArrival:
        return NoteArrival(self.subject, values["on"], values["clock"], values["note"])


class ReplaceForm(Form):
    """Other animals in place of those of a sale that died before posting."""

    WHERE = "replace"

    def heading(self) -> str:
        return f"{self.subject}: set others aside in place of those that are gone"

    def specs(self) -> Sequence[FieldSpec]:
        return (
            FieldSpec("position", "line", whole("the line"), "1", nothing_beside),
            FieldSpec("tub", "from tub", said, "", nothing_beside, hint="if it matters"),
        )

    def command(self, values: Mapping[str, Any]) -> ReplaceShort:
        return ReplaceShort(self.subject, values["position"], self.desk.ledger.today, values["tub"])
