"""Fairs: which are planned or over, and the page of one, where a prepared pack is sold by one key."""

from __future__ import annotations

import time
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from ledger.errors import Refused
from ledger.money import Currency, amount_text
from ledger.records.operations import new_token
from ledger.wording import counted, say, strung
from tui.actions import Act
from tui.aside import Aside
from tui.forms.fairs import EndFairForm, PackForm, PlanFairForm, SellPackForm, SpendOnFairForm, UnpackForm
from tui.places.listing import ListPage
from tui.places.page import BACK
from tui.widgets.foot import Answer
from tui.widgets.paged import Column, Row

if TYPE_CHECKING:
    from ledger.selling.fair_packs import FairPackRow
    from ledger.selling.fair_results import FairResult
    from ledger.selling.fairs import Fair


def result_words(result: FairResult, currency: Currency) -> str:
    """What a fair comes to, in a few words for below its packs."""

    def text(amount: int) -> str:
        return amount_text(amount, currency)

    said = say(
        "{sales} of {animals}: price {text}, less cost of animals {text2}, selling costs {text3}, costs "
        "of the fair {text4} = margin {text5}. Cash there should be {text6}",
        sales=counted(len(result.sales), "{n} sale", "{n} sales"),
        animals=counted(result.animals, "{n} animal", "{n} animals"),
        text=text(result.price),
        text2=text(result.cost),
        text3=text(result.selling_costs),
        text4=text(result.costs),
        text5=text(result.margin),
        text6=text(result.expected),
    )
    if result.fair.counted is None or result.difference is None:
        return strung((said, "."), "")
    off = result.difference
    tells = (
        say("as expected")
        if not off
        else say("{amount} too much", amount=text(off))
        if off > 0
        else say("{amount} too little", amount=text(-off))
    )
    return say("{result}, counted {amount}: {tells}.", result=said, amount=text(result.fair.counted), tells=tells)


class FairsPage(ListPage):
    """Fairs, the latest first."""

    WHERE = "fairs"
    HELP = say("Plan a fair, put packs together for it, sell them there by one key, and count the cash at its end.")
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("open", "enter", say("open"), say("Open the fair: its packs, what it cost, what it came to.")),
        Act("new_fair", "n", say("new"), say("Plan a fair.")),
        BACK,
    )
    COLUMNS = (
        Column(say("day"), 11),
        Column(say("name")),
        Column(say("float"), 8, right=True),
        Column(say("expected"), 8, right=True),
        Column(say("counted"), 8, right=True),
        Column(say("state"), 6),
    )
    EMPTY = (say("No fair is planned."), say("Press n to plan one."))

    def __init__(self) -> None:
        super().__init__()
        self._fairs: dict[str, Fair] = {}

    def title_words(self) -> str:
        return say("Fairs")

    def all_rows(self) -> list[Row]:
        money = self.desk.ledger.currency
        self._fairs = {str(one.id): one for one in reversed(self.desk.ledger.fairs())}
        return [
            Row(
                key,
                (
                    self.day(one.held_on),
                    (one.name, "bold"),
                    amount_text(one.cash_float, money),
                    amount_text(one.expected, money) if one.expected is not None else "",
                    amount_text(one.counted, money) if one.counted is not None else "",
                    (say("over"), "$quiet") if one.ended_on else say("= open"),
                ),
            )
            for key, one in self._fairs.items()
        ]

    async def action_open(self) -> None:
        """The fair."""
        fair = self._fairs.get(self.chosen or "")
        if fair is not None:
            await self.desk.open_form(FairPage(fair))

    async def action_new_fair(self) -> None:
        """Plan one."""
        await self.desk.open_form(PlanFairForm())


class FairPage(ListPage, Aside[None]):
    """One fair: its packs by their marks.

    Args:
        fair: as it was planned.
    """

    WHERE = "fair"
    HELP = say(
        "Enter sells the next pack of the row for cash at its price, at once: one key, one sale. ctrl-z "
        "takes it back, and the pack lies packed again. s sells at another price, by card, or to a named "
        "buyer. What is left over is free again when you count the cash (Z)."
    )
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("sell_pack", "enter", say("sold, cash"), say("Sell the next pack of this row for cash, at once.")),
        Act("sell", "s", say("sell"), say("Sell a pack of this row at another price, by card, or to a named buyer.")),
        Act("new_packs", "n", say("new"), say("Put packs together for this fair.")),
        Act("close", "Z", say("close"), say("Count the cash and end the fair; what was not sold comes back.")),
        Act("spend", "minus", say("spend"), say("Record table fee, mileage and other costs of this fair.")),
        Act("unpack", "U", say("unpack"), say("Take packs of this row apart; their animals are free again.")),
        BACK,
    )
    COLUMNS = (
        Column(say("mark"), 6),
        Column(say("pack"), 12),
        Column(say("of one")),
        Column(say("price"), 6, right=True),
        Column(say("packed"), 6, right=True),
        Column(say("sold"), 4, right=True),
        Column(say("ready"), 5, right=True),
        Column(say("short"), 5, right=True),
    )
    EMPTY = (
        say("No packs were put together for this fair."),
        say("Press n: a mark, the animals of one pack, how many packs."),
    )

    def __init__(self, fair: Fair) -> None:
        super().__init__()
        self._fair = fair
        self._packs: dict[str, FairPackRow] = {}
        self._result: FairResult | None = None

    def title_words(self) -> str:
        return self._fair.name

    def read_anew(self) -> None:
        super().read_anew()
        self._again()

    def _again(self) -> None:
        ledger, fair = self.desk.ledger, str(self._fair.id)
        self.ask_aside(partial(ledger.fair_result, fair))

    def told(self, answer: object) -> None:
        self._result = answer  # type: ignore[assignment]
        self._say_detail()
        self._sum_up()

    def refused(self, refusal: Refused) -> None:
        self.desk.say(Answer(refusal.sentence, "refused"))

    def all_rows(self) -> list[Row]:
        money = self.desk.ledger.currency
        self._packs = {f"{one.mark} {one.pack}": one for one in self.desk.ledger.fair_packs(str(self._fair.id))}
        return [
            Row(
                key,
                (
                    (one.mark, "bold"),
                    one.pack,
                    one.what,
                    amount_text(one.price, money),
                    str(one.packed),
                    str(one.sold),
                    (say("✓ {ready}", ready=one.ready), "bold $success") if one.ready else ("–", "$quiet"),
                    (say("! {short}", short=one.short), "$warning") if one.short else "",
                ),
            )
            for key, one in self._packs.items()
        ]

    def remark(self) -> str:
        return (
            result_words(self._result, self.desk.ledger.currency) if self._result is not None else say("Reckoning ...")
        )

    def sum_up(self) -> str:
        days = self.day(self._fair.held_on)
        over = self._result is not None and self._result.fair.ended_on is not None
        return say("{fair}, {days} · over", fair=self._fair.name, days=days) if over else f"{self._fair.name}, {days}"

    def _here(self) -> FairPackRow | None:
        return self._packs.get(self.chosen or "")

    def action_sell_pack(self) -> None:
        """Sell the next one for cash, at once."""
        from ledger.selling.commands import SellFairPack

        row = self._here()
        if row is None:
            return
        command = SellFairPack(str(self._fair.id), row.mark, self.desk.ledger.today)
        try:
            self.desk.record(command, new_token(time.time_ns()))
        except Refused as refusal:
            self.desk.say(Answer(refusal.sentence, "refused"))

    async def action_sell(self) -> None:
        """Sell one otherwise."""
        row = self._here()
        if row is not None:
            await self.desk.open_form(SellPackForm(self._fair.id, self._fair.name, row.mark, row.price))

    async def action_new_packs(self) -> None:
        """Put packs together."""
        await self.desk.open_form(PackForm(self._fair.id, self._fair.name))

    async def action_unpack(self) -> None:
        """Take packs apart."""
        row = self._here()
        if row is not None:
            await self.desk.open_form(UnpackForm(self._fair.id, self._fair.name, row.mark, row.price))

    async def action_spend(self) -> None:
        """What it cost."""
        await self.desk.open_form(SpendOnFairForm(self._fair.id, self._fair.name))

    async def action_close(self) -> None:
        """Count the cash."""
        await self.desk.open_form(EndFairForm(self._fair.id, self._fair.name))
