"""Forms of promises: a hold, and what becomes of it and of its deposit."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from ledger.selling.commands import DecideDeposit, Pick, PlaceHold, ReleaseHold
from ledger.wording import say
from tui.forms.animals import LotForm
from tui.forms.left import SaysWhatIsLeft
from tui.jot_trade import read_until
from tui.ways import METHODS
from tui.widgets.fields import FieldSpec, amount, day, in_days, in_money, nothing_beside, text, whole
from tui.widgets.form import Form


class HoldForm(SaysWhatIsLeft, LotForm):
    """A promise of animals to a buyer."""

    WHERE = "hold"
    HELP = say("Held animals are off the ready list until the hold is taken up, lapses at its deadline or is released.")

    def heading(self) -> str:
        return say("Hold from {subject}", subject=self.subject)

    def specs(self) -> Sequence[FieldSpec]:
        money = self.desk.ledger.currency
        setting = self.desk.jot_setting()
        return (
            FieldSpec("count", say("how many"), whole("animals"), "1", self.left_beside),
            FieldSpec(
                "customer",
                say("buyer"),
                text("buyer", needed=True),
                "",
                nothing_beside,
                known=list(setting.vocabulary.customers),
            ),
            FieldSpec(
                "until",
                say("until"),
                lambda typed: read_until(typed, setting),
                "",
                str,
                hint=say("fri, or 15 jun 18:00"),
            ),
            FieldSpec("deposit", say("deposit"), amount(money, empty=0), "", in_money(money), hint=say("if any")),
            FieldSpec("method", say("by{method}", method=""), str, "cash", choices=METHODS),
            *self.which(),
            FieldSpec(
                "note", say("note"), text("note", limit=2000), "", nothing_beside, hint=say("stands on its paper")
            ),
        )

    def also(self, plan: Any) -> Sequence[str]:
        """Nothing below; beside the number what is left."""
        self._still_there = self.what_is_left([part for part, _ in plan.parts], plan.made_on, soft=True)
        return ()

    def command(self, values: Mapping[str, Any]) -> PlaceHold:
        pick = Pick(self.subject, values["count"], values["stage"], values["sex"], values["tub"])
        return PlaceHold(
            values["customer"],
            (pick,),
            self.desk.ledger.today,
            values["until"],
            values["deposit"],
            values["method"],
            values["note"],
        )


class ReleaseForm(Form):
    """Release a hold, or decide on the deposit of one that is over."""

    WHERE = "release"

    def __init__(self, subject: str, *, over: bool = False, deposit: int = 0) -> None:
        super().__init__(subject)
        self._over, self._deposit = over, deposit

    def heading(self) -> str:
        return (
            say("The deposit of {subject}", subject=self.subject)
            if self._over
            else say("Release {subject}: its animals are free again", subject=self.subject)
        )

    def specs(self) -> Sequence[FieldSpec]:
        held = (FieldSpec("deposit", say("deposit"), str, "refunded", choices=("refunded", "kept")),)
        return (
            *(held if self._deposit else ()),
            FieldSpec("on", say("when"), day(self.desk.ledger.today, self.desk.order), "today", in_days),
            FieldSpec("note", say("note"), text("note"), "", nothing_beside),
        )

    def command(self, values: Mapping[str, Any]) -> ReleaseHold | DecideDeposit:
        if self._over:
            return DecideDeposit(self.subject, values["deposit"], values["on"], values["note"])
        return ReleaseHold(self.subject, values["on"], values.get("deposit", "none"), values["note"])
