"""Forms of what comes after a sale: a claim and its answer, and the note of an origin stated wrongly."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from ledger.act import Done
from ledger.money import amount_text
from ledger.selling.commands import DecideClaim, RecordClaim, TellOfSale
from ledger.selling.deciding import OUTCOMES
from ledger.text import clean_block
from tui.forms.ways import METHODS
from tui.widgets.fields import FieldSpec, amount_or_none, day, in_days, in_money, nothing_beside, text, whole
from tui.widgets.form import Form

if TYPE_CHECKING:
    from ledger.selling.doa import ClaimRow
    from tui.app import Desk

NOW, LATER = "at once", "later"


def hours(typed: str) -> int | None:
    """Hours from arrival to the report; nothing for not said."""
    return whole("hours", least=0)(typed) if typed.strip() else None


def _animals(typed: str) -> int | None:
    return whole("animals")(typed) if typed.strip() else None


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
    HELP = (
        "Write down what the buyer said. Rearing survival does not change: the animals had left. Enter records the "
        "claim and asks how it is answered; put that away and it waits in Due."
    )

    def heading(self) -> str:
        return f"{self.subject}: animals that arrived dead"

    def specs(self) -> Sequence[FieldSpec]:
        return (
            FieldSpec("position", "line", whole("the line"), "1", nothing_beside, hint="of the sale"),
            FieldSpec("dead", "how many dead", whole("animals"), "1", nothing_beside),
            FieldSpec("hours", "hours", hours, "", nothing_beside, hint="from arrival to the report"),
            FieldSpec(
                "evidence",
                "seen of it",
                lambda typed: clean_block(typed, limit=2000, field="evidence"),
                "",
                nothing_beside,
                hint="a picture, a film, their word",
            ),
            FieldSpec("on", "reported", day(self.desk.ledger.today, self.desk.order), "today", in_days),
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
    HELP = (
        "A refund gives back the price of the animals, without postage, unless you write another amount. A replacement "
        "is a sale free of charge. Goodwill is an amount, or animals sent free of charge. Declined means outside your "
        "terms; the buyer's legal rights may go further."
    )

    def __init__(self, claim: ClaimRow) -> None:
        super().__init__(str(claim.id))
        self._claim = claim

    def heading(self) -> str:
        one = self._claim
        after = f", {one.hours} h after arrival" if one.hours is not None else ""
        return f"Answer claim {one.id} on {one.number}: {one.dead} of {one.sold} of {one.lot} dead{after}"

    def specs(self) -> Sequence[FieldSpec]:
        money = self.desk.ledger.currency
        nought = amount_text(0, money)
        return (
            FieldSpec("outcome", "answer", str, OUTCOMES[0], choices=OUTCOMES),
            FieldSpec(
                "amount", "amount", amount_or_none(money), "", in_money(money), hint=f"of {nought} or more; refund: all"
            ),
            FieldSpec("animals", "animals", _animals, "", nothing_beside, hint="goodwill in animals: how many"),
            FieldSpec("refund", "money goes", str, NOW, choices=(NOW, LATER)),
            FieldSpec("method", "by", str, "cash", choices=METHODS),
            FieldSpec("lot", "others from", text("lot"), "", nothing_beside, hint="a lot, if not the same"),
            FieldSpec("tub", "from tub", text("tub"), "", nothing_beside, hint="if it matters"),
            FieldSpec("on", "when", day(self.desk.ledger.today, self.desk.order), "today", in_days),
            FieldSpec("note", "note", text("note", limit=2000), "", nothing_beside),
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
            values["tub"] or None,
            values["note"],
            values["animals"],
        )


class TellForm(Form):
    """The note that tells a buyer of an origin stated wrongly."""

    WHERE = "tell"
    HELP = "The line stays as it was sold; the note says what was stated then and what the records give now."

    def heading(self) -> str:
        return f"{self.subject}: tell the buyer of an origin stated wrongly"

    def specs(self) -> Sequence[FieldSpec]:
        return (
            FieldSpec("why", "why", text("reason", limit=500), "", nothing_beside, hint="what was found out"),
            FieldSpec("on", "when", day(self.desk.ledger.today, self.desk.order), "today", in_days),
        )

    def command(self, values: Mapping[str, Any]) -> TellOfSale:
        return TellOfSale(self.subject, values["on"], values["why"])
