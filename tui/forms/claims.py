"""Forms of what comes after a sale: a claim and its answer, and the note of an origin stated wrongly."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from ledger.act import Done
from ledger.selling.commands import DecideClaim, RecordClaim, TellOfSale
from ledger.selling.deciding import OUTCOMES
from ledger.text import clean_block
from ledger.wording import say
from tui.forms.animals import NO_TUB, tub_of
from tui.forms.optional import or_none
from tui.ways import METHODS
from tui.widgets.fields import FieldSpec, amount_or_none, day, in_days, in_money, nothing_beside, text, whole
from tui.widgets.form import Form

if TYPE_CHECKING:
    from ledger.selling.doa import ClaimRow
    from tui.app import Desk

NOW, LATER = say("at once"), "later"


def after_claim(desk: Desk) -> Callable[[Done | None], None]:
    """Once a claim is written down, ask for its answer."""

    def then(done: Done | None) -> None:
        if done is None:
            return
        row = next((one for one in desk.ledger.claims(only_open=True) if one.id == done.refs.get("claim")), None)
        if row is not None:
            desk.call_later(desk.open_form, AnswerForm(row))

    return then


class ClaimForm(Form):
    """Animals of a sale arrived dead, as the buyer said; once written down, its answer is asked for."""

    WHERE = "claim"
    HELP = say(
        "Write down what the buyer said. Rearing survival does not change: the animals had left. Enter "
        "records the claim and asks how it is answered; put that away and it waits in Due."
    )

    def heading(self) -> str:
        return say("{subject}: animals that arrived dead", subject=self.subject)

    def specs(self) -> Sequence[FieldSpec]:
        return (
            FieldSpec("position", say("line"), whole(say("the line")), "1", nothing_beside, hint=say("of the sale")),
            FieldSpec("dead", say("how many dead"), whole("animals"), "1", nothing_beside),
            FieldSpec(
                "hours",
                say("hours"),
                or_none(whole("hours", least=0)),
                "",
                nothing_beside,
                hint=say("from arrival to the report"),
            ),
            FieldSpec(
                "evidence",
                say("seen of it"),
                lambda typed: clean_block(typed, limit=2000, field="evidence"),
                "",
                nothing_beside,
                hint=say("a picture, a film, their word"),
            ),
            FieldSpec("on", say("reported"), day(self.desk.ledger.today, self.desk.order), "today", in_days),
        )

    def command(self, values: Mapping[str, Any]) -> RecordClaim:
        return RecordClaim(
            self.subject, values["position"], values["dead"], values["on"], values["hours"], values["evidence"]
        )


class AnswerForm(Form):
    """What is done about a claim.

    Args:
        claim: as it stands.
    """

    WHERE = "claim-answer"
    HELP = say(
        "A refund gives back the price of the animals, without postage, unless you write another amount. "
        "A replacement is a sale free of charge. Goodwill is an amount, or animals sent free of charge. "
        "Declined means outside your terms; the buyer's legal rights may go further."
    )

    def __init__(self, claim: ClaimRow) -> None:
        super().__init__(str(claim.id))
        self._claim = claim

    def heading(self) -> str:
        one = self._claim
        after = say(", {hours} h after arrival", hours=one.hours) if one.hours is not None else ""
        return say(
            "Answer claim {id} on {number}: {dead} of {sold} of {lot} dead{after}",
            id=one.id,
            number=one.number,
            dead=one.dead,
            sold=one.sold,
            lot=one.lot,
            after=after,
        )

    def specs(self) -> Sequence[FieldSpec]:
        money = self.desk.ledger.currency
        return (
            FieldSpec("outcome", say("answer"), str, OUTCOMES[0], choices=OUTCOMES),
            FieldSpec(
                "amount",
                say("amount"),
                amount_or_none(money),
                "",
                in_money(money),
                hint=say("refund: empty is the price of the dead; goodwill: how much"),
            ),
            FieldSpec(
                "animals",
                say("animals"),
                or_none(whole("animals")),
                "",
                nothing_beside,
                hint=say("goodwill in animals: how many"),
            ),
            FieldSpec("refund", say("money goes"), str, NOW, choices=(NOW, LATER)),
            FieldSpec("method", say("by{method}", method=""), str, "cash", choices=METHODS),
            FieldSpec("lot", say("others from"), text("lot"), "", nothing_beside, hint=say("a lot, if not the same")),
            FieldSpec("tub", say("from tub"), tub_of(), "", nothing_beside, hint=say("2, or no tub"), known=[NO_TUB]),
            FieldSpec("on", say("when"), day(self.desk.ledger.today, self.desk.order), "today", in_days),
            FieldSpec("note", say("note"), text("note", limit=2000), "", nothing_beside),
        )

    def command(self, values: Mapping[str, Any]) -> DecideClaim:
        return DecideClaim(
            self._claim.id,
            values["outcome"],
            values["on"],
            values["amount"],
            values["refund"] == NOW,
            values["method"],
            values["lot"] or None,
            values["tub"],
            values["note"],
            values["animals"],
        )


class TellForm(Form):
    """The note that tells a buyer of an origin stated wrongly."""

    WHERE = "tell"
    HELP = say("The line stays as it was sold; the note says what was stated then and what the records give now.")

    def heading(self) -> str:
        return say("{subject}: tell the buyer of an origin stated wrongly", subject=self.subject)

    def specs(self) -> Sequence[FieldSpec]:
        return (
            FieldSpec("why", say("why"), text("reason", limit=500), "", nothing_beside, hint=say("what was found out")),
            FieldSpec("on", say("when"), day(self.desk.ledger.today, self.desk.order), "today", in_days),
        )

    def command(self, values: Mapping[str, Any]) -> TellOfSale:
        return TellOfSale(self.subject, values["on"], values["why"])
