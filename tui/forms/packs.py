"""The form of a pack: animals of one or several lots sold together at one price."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from ledger.errors import BadInput, Refused
from ledger.selling.commands import PackOf, Paid, Sell
from ledger.selling.parts import Part
from ledger.text import quoted
from ledger.wording import say, strung
from tui.forms.leaving import LeavingForm
from tui.forms.left import SaysWhatIsLeft
from tui.forms.optional import or_none
from tui.forms.ways import ALL, LATER, OFFERED_CHANNELS, asking_why, is_free
from tui.how_many import is_number, number_of
from tui.tongue import on_paper
from tui.ways import METHODS
from tui.widgets.fields import FieldSpec, amount, amount_or_none, in_money, nothing_beside, text, whole
from tui.widgets.folded import FoldedForm


def _weights(typed: str) -> tuple[int, ...]:
    parts = typed.split(":") if typed.strip() else []
    if not all(is_number(part.strip()) for part in parts):
        raise BadInput(
            say("{typed} are no weights; write one number for each lot, such as 1:3.", typed=quoted(typed)),
            field="weights",
        )
    return tuple(number_of(part.strip(), "weights") for part in parts)


class PackSaleForm(SaysWhatIsLeft, FoldedForm, LeavingForm):
    """One pack is sold. Its price is split over the lots; each keeps its line, origin and cost.

    Args:
        subject: the animals that are likely, in words.
        name: the pack that is likely.
    """

    WHERE = "pack-sale"
    COUNTED = "picks"
    HELP = say(
        "A pack is handed over as one thing at one price: pair 1.1, group of 10, mixed box. Its animals "
        "may come from several lots; the price is split as they would be priced alone, or by weights of "
        "your own, and each lot keeps its line, its origin and its cost. Wild-origin and captive-bred "
        "animals are not mixed in one pack."
    )

    def __init__(self, subject: str = "", name: str = "") -> None:
        super().__init__(subject)
        self._pack = name

    def heading(self) -> str:
        return say("Sell a pack, from one lot or several")

    def specs(self) -> Sequence[FieldSpec]:
        money = self.desk.ledger.currency
        return (
            FieldSpec(
                "pack",
                say("pack"),
                text("pack", limit=80, needed=True),
                self._pack,
                nothing_beside,
                hint=say("group of 10"),
            ),
            replace(self.animals(say("animals"), say("P08 6 L3 and P09 4 L3")), beside=self.left_beside),
            FieldSpec(
                "price", say("price"), amount_or_none(money), "", in_money(money), hint=say("of all; empty: your list")
            ),
            self.whom(say("buyer"), say("or none")),
            FieldSpec("channel", say("how"), str, OFFERED_CHANNELS[0], choices=OFFERED_CHANNELS),
            FieldSpec("paid", say("paid"), str, ALL, choices=(ALL, LATER)),
            FieldSpec("method", say("by{method}", method=""), str, METHODS[0], choices=METHODS),
            self.when(),
            FieldSpec(
                "extra",
                say("extra"),
                or_none(whole("animals", least=0)),
                "",
                nothing_beside,
                hint=say("of them, on top"),
                seldom=True,
            ),
            FieldSpec(
                "discount",
                say("discount"),
                amount(money, empty=0),
                "",
                in_money(money),
                hint=say("off the price"),
                seldom=True,
            ),
            FieldSpec(
                "weights",
                say("weights"),
                _weights,
                "",
                nothing_beside,
                hint=say("1:3; else by their prices"),
                seldom=True,
            ),
            FieldSpec(
                "note",
                say("note"),
                text("note", limit=2000),
                "",
                nothing_beside,
                hint=say("of a price of 0: why"),
                seldom=True,
            ),
        )

    def matters(self, key: str) -> bool:
        """The note matters when there is a price to explain."""
        return key == "note" and is_free(self.typed("price"))

    def command(self, values: Mapping[str, Any]) -> Sell:
        free = values["price"] == 0
        pack = PackOf(
            values["pack"],
            values["picks"],
            values["price"],
            values["extra"],
            values["discount"] or 0,
            weights=values["weights"],
            price_zero_reason=values["note"] if free else "",
        )
        return Sell(
            (),
            values["on"],
            values["to"],
            values["channel"],
            paid=(Paid(None, values["method"]),) if values["paid"] == ALL else (),
            to_post=values["channel"] == "post",
            note="" if free else values["note"],
            packs=(pack,),
        )

    def _refused(self, refusal: Refused) -> None:
        super()._refused(asking_why(refusal))

    def also(self, plan: Any) -> Sequence[str]:
        """The origin of each line with its evidence, and the gaps behind it, as the receipt will state them."""
        lines: list[str] = []
        self._still_there = self._left_of_each(plan.draft)
        for line in plan.draft.lines:
            lines += [
                say("{words}: {text}", words=line.words, text=on_paper(line.stated.text)),
                on_paper(line.stated.sentence, ending=False),
            ]
        return tuple(dict.fromkeys(lines))

    def _left_of_each(self, draft: Any) -> str:
        """What would still be there of each lot the pack takes from."""
        of: dict[str, list[Part]] = {}
        for line in draft.lines:
            of.setdefault(line.part.lot.code, []).append(line.part)
        if len(of) == 1:
            (parts,) = of.values()
            return self.what_is_left(parts, draft.sold_on)
        left = (strung((lot, str(self.number_left(parts, draft.sold_on)))) for lot, parts in of.items())
        return say("then left: {lots}", lots=strung(left, ", "))
