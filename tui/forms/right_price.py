"""A sale was written at too high a price: the right one, and the difference is credited."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from ledger.money import amount_text
from ledger.selling.commands import CreditSale
from ledger.selling.repricing import lines_to_price
from ledger.wording import say
from tui.ways import METHODS
from tui.widgets.fields import FieldSpec, amount, day, in_days, in_money, nothing_beside, text
from tui.widgets.form import Form


class RightPriceForm(Form):
    """What the animals of a sale should have cost.

    Args:
        number: of the sale.
        price: what they cost as the sale stands, minor units.
    """

    WHERE = "right-price"
    HELP = say(
        "Write what the animals should have cost. The difference is credited over the lines, the animals stay sold, "
        "and the money is given back. A price that was too low cannot be raised: credit the sale and sell anew."
    )

    def __init__(self, number: str, price: int) -> None:
        super().__init__(number)
        self._price = price

    def heading(self) -> str:
        return say("{subject}: the right price", subject=self.subject)

    def specs(self) -> Sequence[FieldSpec]:
        money = self.desk.ledger.currency
        return (
            FieldSpec("price", say("price"), amount(money), "", in_money(money), hint=amount_text(self._price, money)),
            FieldSpec(
                "reason",
                say("why"),
                text("reason", limit=500, needed=True),
                say("price written wrongly"),
                nothing_beside,
            ),
            FieldSpec("on", say("when"), day(self.desk.ledger.today, self.desk.order), "today", in_days),
            FieldSpec("refund", say("money"), str, say("given back now"), choices=(say("given back now"), "later")),
            FieldSpec("method", say("by{method}", method=""), str, "cash", choices=METHODS),
        )

    def command(self, values: Mapping[str, Any]) -> CreditSale:
        lines = self.desk.ledger.ask(lines_to_price, self.subject, values["price"])
        refund = values["refund"] != "later"
        return CreditSale(self.subject, values["on"], values["reason"], lines, refund, values["method"])
