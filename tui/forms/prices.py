"""The form of a price from a day on."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from ledger.selling.commands import SetPrice
from ledger.wording import say, word
from tui.widgets.fields import FieldSpec, amount, day, in_days, in_money, nothing_beside, text, whole
from tui.widgets.form import Form

if TYPE_CHECKING:
    from ledger.selling.listing import PriceRow


class PriceForm(Form):
    """A price from a day on, for one animal or a pack.

    Args:
        species, stage: of what is sold.
        like: a price on the list that is changed; `None`: a new one.
    """

    WHERE = "price"
    HELP = say(
        "A price counts from its day on; sales keep the price they were made at. The pack is what stands "
        "on the list, such as pair 1.1 or ootheca; left empty, it is named by how many animals are in it."
    )

    def __init__(self, species: str, stage: str, like: PriceRow | None = None) -> None:
        super().__init__(f"{species} {stage}" + (f" {like.pack} {like.sex} {like.buyer}" if like else ""))
        self._species, self._stage, self._like = species, stage, like

    def heading(self) -> str:
        return say("Price of {stage} of {species}", stage=word(self._stage), species=self._species)

    def specs(self) -> Sequence[FieldSpec]:
        money, like = self.desk.ledger.currency, self._like
        animals, sex, buyer = (like.animals, like.sex, like.buyer) if like else (1, "any", "retail")
        return (
            FieldSpec("amount", say("price"), amount(money), "", in_money(money)),
            FieldSpec("animals", say("for how many"), whole("animals"), str(animals), nothing_beside),
            FieldSpec("sex", say("sex"), str, sex, choices=("any", "male", "female", "unsexed")),
            FieldSpec("buyer", say("buyers"), str, buyer, choices=("retail", "trade")),
            FieldSpec(
                "from_on", say("from"), day(self.desk.ledger.today, self.desk.order, ahead=True), "today", in_days
            ),
            FieldSpec(
                "pack",
                say("pack"),
                text("pack"),
                like.pack if like else "",
                nothing_beside,
                hint=say("if it has a name"),
            ),
            FieldSpec(
                "extra",
                say("extra"),
                whole("animals", least=0),
                str(like.extra) if like else "0",
                nothing_beside,
                hint=say("given on top"),
            ),
        )

    def command(self, values: Mapping[str, Any]) -> SetPrice:
        animals = values["animals"]
        return SetPrice(
            self._species,
            self._stage,
            values["amount"],
            values["from_on"],
            animals,
            values["sex"],
            values["pack"] or ("single" if animals == 1 else say("pack of {animals}", animals=animals)),
            values["buyer"],
            values["extra"],
        )
