"""Forms of the queue at a hold: another buyer waits, waits no longer, or is offered the animals."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from ledger.selling.commands import JoinQueue, LeaveQueue, OfferNext
from ledger.wording import say
from tui.forms.optional import or_none
from tui.jot_trade import read_until
from tui.ways import METHODS
from tui.widgets.fields import FieldSpec, amount, day, in_days, in_money, nothing_beside, text, whole
from tui.widgets.form import Form


class JoinForm(Form):
    """Another buyer would take the animals of a hold if it ends."""

    WHERE = "queue-join"
    HELP = say("A place in a queue is no promise: the animals are offered in turn once the hold before is over.")

    def heading(self) -> str:
        return say("{subject}: another buyer waits for its animals", subject=self.subject)

    def specs(self) -> Sequence[FieldSpec]:
        buyers = list(self.desk.jot_setting().vocabulary.customers)
        return (
            FieldSpec("customer", say("buyer"), text("buyer", needed=True), "", nothing_beside, known=buyers),
            FieldSpec(
                "count", say("how many"), or_none(whole("animals")), "", nothing_beside, hint=say("empty: all of them")
            ),
            FieldSpec("on", say("asked"), day(self.desk.ledger.today, self.desk.order), "today", in_days),
            FieldSpec("note", say("note"), text("note", limit=500), "", nothing_beside),
        )

    def command(self, values: Mapping[str, Any]) -> JoinQueue:
        return JoinQueue(self.subject, values["customer"], values["on"], values["count"], values["note"])


class LeaveForm(Form):
    """A buyer waits no longer.

    Args:
        place: number of the place in the queue.
        customer: who waits there.
    """

    WHERE = "queue-leave"

    def __init__(self, place: int, customer: str) -> None:
        super().__init__(str(place))
        self._place, self._customer = place, customer

    def heading(self) -> str:
        return say("{customer} waits no longer", customer=self._customer)

    def specs(self) -> Sequence[FieldSpec]:
        return (FieldSpec("on", say("when"), day(self.desk.ledger.today, self.desk.order), "today", in_days),)

    def command(self, values: Mapping[str, Any]) -> LeaveQueue:
        return LeaveQueue(self._place, values["on"])


class OfferForm(Form):
    """The first who waits gets a hold of their own."""

    WHERE = "queue-offer"
    HELP = say("The animals of a hold that is over are held for the first who waits. A deposit is theirs alone.")

    def heading(self) -> str:
        return say("{subject} is over: hold its animals for the next in its queue", subject=self.subject)

    def specs(self) -> Sequence[FieldSpec]:
        setting = self.desk.jot_setting()
        money = self.desk.ledger.currency
        return (
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
        )

    def command(self, values: Mapping[str, Any]) -> OfferNext:
        today = self.desk.ledger.today
        return OfferNext(self.subject, today, values["until"], values["deposit"], values["method"])
