"""Forms of the store: something bought is put in, some is weighed or counted out, a mistaken taking is put back."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from ledger.costs.commands import PutBack, Spend, TakeOut
from ledger.costs.store import in_words, thousandths
from ledger.errors import BadInput
from ledger.text import quoted
from ledger.wording import decimals, say
from tui.forms.optional import day_beside, or_none
from tui.forms.whom import supplier_field, whom_field
from tui.widgets.fields import FieldSpec, amount, day, in_days, in_money, nothing_beside, text
from tui.widgets.form import Form

if TYPE_CHECKING:
    from ledger.costs.store import StoreRow


class StoreInForm(Form):
    """Bought for the store.

    Args:
        row: the item it is bought again of; None: a new one.
    """

    WHERE = "store-in"
    HELP = say(
        "What is weighed or counted out as it is used goes in store; nothing of it reaches the animals "
        "before. It is taken out at the average price. Keep one unit for one thing: always kg, or always "
        "pieces."
    )

    def __init__(self, row: StoreRow | None = None) -> None:
        super().__init__(row.item if row is not None else "")
        self._row = row

    def heading(self) -> str:
        return say("Bought, and put in store")

    def specs(self) -> Sequence[FieldSpec]:
        ledger, row, words = self.desk.ledger, self._row, self.desk.jot_setting().vocabulary
        money = ledger.currency
        item = "" if row is None or row.item == row.category else row.item
        return (
            FieldSpec(
                "category",
                say("category"),
                text("category", limit=40, needed=True),
                row.category if row else "",
                nothing_beside,
                hint=say("feed, substrate"),
                known=list(words.categories),
            ),
            FieldSpec(
                "text", say("what it is"), text("text", limit=200), item, nothing_beside, hint=say("flake, white oak")
            ),
            FieldSpec(
                "quantity",
                say("how much"),
                read_quantity,
                f" {row.unit}" if row else "",
                nothing_beside,
                hint=say("10 kg, 24 pieces"),
            ),
            FieldSpec("gross", say("paid for it"), amount(money), "", in_money(money)),
            supplier_field(words),
            FieldSpec("bought_on", say("when"), day(ledger.today, self.desk.order), "today", in_days),
            FieldSpec("tax", say("tax in it"), amount(money, empty=0), "", in_money(money)),
            FieldSpec("paid", say("paid"), str, "now", choices=("now", say("not yet"))),
            FieldSpec("note", say("note"), text("note", limit=2000), "", nothing_beside),
        )

    def command(self, values: Mapping[str, Any]) -> Spend:
        number, unit = values["quantity"]
        return Spend(
            values["bought_on"],
            values["category"].casefold(),
            values["gross"],
            values["supplier"],
            values["text"],
            values["tax"],
            stored=True,
            quantity=number,
            unit=unit,
            note=values["note"],
            unpaid=values["paid"] != "now",
        )


def read_quantity(typed: str) -> tuple[str, str]:
    """'10 kg' as number and unit. Raises BadInput."""
    number, _, unit = typed.strip().partition(" ")
    if not number or not unit.strip():
        raise BadInput(say("Write how much with its unit, such as 10 kg or 24 pieces."), field="quantity")
    thousandths(number)
    return number, unit.strip()


class TakeOutForm(Form):
    """Weighed or counted out.

    Args:
        row: the item.
    """

    WHERE = "store-out"
    HELP = say("What is taken out is shared over the animals it is for, at the average price of what is in store.")

    def __init__(self, row: StoreRow) -> None:
        super().__init__(f"{row.category} {row.item}")
        self._row = row

    def heading(self) -> str:
        return say(
            "Out of the store: {item}, {in_words} there",
            item=self._row.item,
            in_words=in_words(self._row.quantity, self._row.unit),
        )

    def specs(self) -> Sequence[FieldSpec]:
        today, order = self.desk.ledger.today, self.desk.order
        return (
            FieldSpec(
                "quantity",
                say("how many {unit}", unit=self._row.unit),
                thousandths,
                "",
                lambda value: in_words(value, self._row.unit),
                hint=decimals("2.5"),
            ),
            whom_field(self.desk.jot_setting().vocabulary),
            FieldSpec("on", say("when"), day(today, order), "today", in_days),
            FieldSpec(
                "used_to",
                say("used up by"),
                or_none(day(today, order, ahead=True)),
                "",
                day_beside,
                hint=say("+7, or empty: that day"),
            ),
            FieldSpec("note", say("note"), text("note", limit=2000), "", nothing_beside),
        )

    def command(self, values: Mapping[str, Any]) -> TakeOut:
        row, whom = self._row, values["whom"]
        return TakeOut(
            row.category,
            values["quantity"],
            values["on"],
            "" if row.item == row.category else row.item,
            values["used_to"],
            whom.species,
            whom.lot,
            values["note"],
        )


class PutBackForm(Form):
    """Something was not taken out after all."""

    WHERE = "store-back"

    def heading(self) -> str:
        return say("Number {subject} was not taken out of the store", subject=self.subject)

    def specs(self) -> Sequence[FieldSpec]:
        return (FieldSpec("note", say("why"), text("note", limit=2000), "", nothing_beside, hint=say("if you like")),)

    def command(self, values: Mapping[str, Any]) -> PutBack:
        if not self.subject.isdigit():
            raise BadInput(say("{subject} is no number of a taking.", subject=quoted(self.subject)), field="note")
        return PutBack(int(self.subject), values["note"])
