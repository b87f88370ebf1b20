"""Fairs: which are planned or over, and the page of one, where a prepared pack is sold by one key."""

from __future__ import annotations

import math
import time
from collections.abc import Awaitable, Callable
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.events import ScreenResume

from ledger.errors import Refused
from ledger.money import Currency, amount_text
from ledger.records.operations import new_token
from ledger.selling.fairs import Fair, check_open
from ledger.wording import capital, counted, say, strung
from tui.actions import Act
from tui.aside import Aside
from tui.forms.fairs import (
    ChangeFairForm,
    EndFairForm,
    PackAgainForm,
    PackForm,
    PlanFairForm,
    SellPackForm,
    SpendOnFairForm,
    UnpackForm,
)
from tui.places.listing import ListPage
from tui.places.page import BACK
from tui.widgets.chooser import Choice, Chooser
from tui.widgets.foot import Answer
from tui.widgets.paged import ROOMY, Column, Row

if TYPE_CHECKING:
    from ledger.selling.fair_packs import FairPackRow
    from ledger.selling.fair_results import FairResult
    from tui.app import Desk


def result_words(result: FairResult, currency: Currency) -> str:
    """What a fair comes to, in a few words for below its packs."""

    def text(amount: int) -> str:
        return amount_text(amount, currency)

    came = say(
        "{sales} of {animals}: price {price}, less cost of animals {cost}, selling costs {selling_costs}, costs "
        "of the fair {costs} = margin {margin}",
        sales=counted(result.standing, "{n} sale", "{n} sales"),
        animals=counted(result.animals, "{n} animal", "{n} animals"),
        price=text(result.price),
        cost=text(result.cost),
        selling_costs=text(result.selling_costs),
        costs=text(result.costs),
        margin=text(result.margin),
    )
    cash = say("Cash there should be {expected}", expected=text(result.expected))
    if result.fair.counted is None or result.difference is None:
        return strung((came, ". ", cash, "."), "")
    off = result.difference
    tells = (
        say("as expected")
        if not off
        else say("{amount} too much", amount=text(off))
        if off > 0
        else say("{amount} too little", amount=text(-off))
    )
    cash = say("{cash}, counted {amount}: {tells}", cash=cash, amount=text(result.fair.counted), tells=tells)
    note = say(" ({note})", note=" ".join(result.fair.end_note.split())) if result.fair.end_note.strip() else ""
    return strung((came, ". ", cash, note, "."), "")


SLIP = 1.0
"""Seconds after an Enter, or after the page is there again, in which another Enter sells nothing more of the row."""
HELD = 0.3
"""Seconds between the Enters of a key that is held down."""
IN_A_ROW = 10.0
"""Seconds within which the message of a sale also names the one before it."""
TWICE = say("Enter came twice within a second and counted once.")
TOO_SOON = say("Enter came as soon as this page was there again: nothing is sold. Press it again to sell.")


class FairsPage(ListPage):
    """Fairs, the latest first."""

    WHERE = "fairs"
    FOLLOWS = "fair"
    HELP = say(
        "Plan a fair, put packs together for it, sell them there by one key, and count the cash at its end. A day, a "
        "float or a name that was planned wrong is set right by ctrl-e, which also calls a fair off."
    )
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("open", "enter", say("open{act}", act=""), say("Open the fair: its packs, what it cost, what it came to.")),
        Act("new_fair", "n", say("new"), say("Plan a fair.")),
        Act(
            "plan_anew",
            "ctrl+e",
            say("correct"),
            say("Set right the name, days or float of the fair, or call it off."),
        ),
        BACK,
    )
    COLUMNS = (
        Column(say("day"), 11),
        Column(say("name")),
        Column(say("float"), 11, right=True, above=100),
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
                    (say("off"), "$quiet")
                    if one.called_off
                    else (say("over"), "$quiet")
                    if one.ended_on
                    else say("= open"),
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

    async def action_plan_anew(self) -> None:
        """Set it right."""
        await plan_anew(self.desk, self._fairs.get(self.chosen or ""))


async def plan_anew(desk: Desk, fair: Fair | None) -> None:
    """Set a planned fair right, or say why it stays as it is."""
    if fair is None:
        return
    try:
        check_open(fair)
    except Refused as refusal:
        desk.say(Answer(refusal.sentence, "refused"))
        return
    await desk.open_form(ChangeFairForm(fair))


class FairPage(ListPage, Aside[None]):
    """One fair: its packs by their marks.

    Args:
        fair: as it was planned.
    """

    WHERE = "fair"
    HELP = say(
        "Enter sells the next pack of the row for cash at its price, at once: one key, one sale. ctrl-z "
        "takes it back, and the pack lies packed again. s sells at another price, by card, or to a named "
        "buyer. A second Enter within a second, and one as soon as the page is there again, is taken for a slip; after "
        "you were in another place, the first Enter only says what the next one sells. J lists the sales, for a credit "
        "(C) or a receipt; a pack that was brought back and credited lies packed again by a. What is left over is free "
        "again when you count the cash (Z)."
    )
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("sell_pack", "enter", say("sold, cash"), say("Sell the next pack of this row for cash, at once.")),
        Act("sell", "s", say("sell"), say("Sell a pack of this row at another price, by card, or to a named buyer.")),
        Act("new_packs", "n", say("new"), say("Put packs together for this fair.")),
        Act("close", "Z", say("close"), say("Count the cash and end the fair; what was not sold comes back.")),
        Act("spend", "minus", say("spend"), say("Record table fee, mileage and other costs of this fair.")),
        Act("unpack", "U", say("unpack"), say("Take packs of this row apart; their animals are free again.")),
        Act("papers", "w", say("papers"), say("Write labels of the packs, or their price list, as PDF and text.")),
        Act("lot", "l", say("lot"), say("Open the lot of this pack, or one of its lots.")),
        Act(
            "origin",
            "less_than_sign",
            say("origin"),
            say("Where the animals of this pack come from, back to the founders."),
            shown=False,
        ),
        Act(
            "sales",
            "J",
            say("all recorded"),
            say("The sales of this fair with what each left, and the cash line by line."),
        ),
        Act("again", "a", say("again"), say("Pack again what was brought back and credited in full."), shown=False),
        Act(
            "plan_anew",
            "ctrl+e",
            say("correct"),
            say("Set right the name, days or float of the fair, or call it off."),
            shown=False,
        ),
        BACK,
    )
    COLUMNS = (
        Column(say("mark"), 6),
        Column(say("pack"), 12),
        Column(say("of one"), above=ROOMY),
        Column(say("price"), 6, right=True),
        Column(say("packed"), 6, right=True, above=ROOMY),
        Column(say("sold"), 8, right=True, above=ROOMY),
        Column(say("ready"), 5, right=True),
        Column(say("short"), 5, right=True, above=ROOMY),
    )
    LINES = 5
    EMPTY = (
        say("No packs were put together for this fair."),
        say("Press n: a mark, the animals of one pack, how many packs."),
    )

    def __init__(self, fair: Fair) -> None:
        super().__init__()
        self._fair = fair
        self._packs: dict[str, FairPackRow] = {}
        self._result: FairResult | None = None
        self._sold, self._sold_at = "", -IN_A_ROW
        self._shown_at = 0.0
        """When the page was there (again), by the clock of the keys."""
        self._counted = "", -math.inf
        """The row that Enter was about last, and when."""
        self._come_back = False
        """Gone to from another place, where nobody may remember that Enter sells here."""

    def title_words(self) -> str:
        return self._fair.name

    def read_anew(self) -> None:
        self._fair = next((one for one in self.desk.ledger.fairs() if one.id == self._fair.id), self._fair)
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
        self._packs = {
            f"{one.mark} {one.pack} {one.price} {one.what}": one
            for one in self.desk.ledger.fair_packs(str(self._fair.id))
        }
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

    def detail(self, key: str) -> str:
        row = self._packs[key]
        origins = dict(self._result.origins) if self._result is not None else {}
        said = say("{mark}: {what}.", mark=row.mark, what=row.what)
        whence = [
            say("{lot} {origin}.", lot=lot, origin=origins[lot])
            if len(row.lots) > 1
            else say("{origin}.", origin=capital(origins[lot]))
            for lot in row.lots
            if lot in origins
        ]
        back = (
            counted(row.back, "{n} was brought back (a packs it again).", "{n} were brought back (a packs them again).")
            if row.back
            else ""
        )
        unsold = counted(row.unsold, "{n} came back unsold.", "{n} came back unsold.") if row.unsold else ""
        return strung((part for part in (said, *whence, back, unsold) if part), " ")

    def remark(self) -> str:
        return (
            result_words(self._result, self.desk.ledger.currency) if self._result is not None else say("Reckoning ...")
        )

    def sum_up(self) -> str:
        days = self.day(self._fair.held_on)
        fair = self._fair
        if fair.called_off:
            return say("{fair}, {days} · called off", fair=fair.name, days=days)
        over = fair.ended_on is not None
        return say("{fair}, {days} · over", fair=fair.name, days=days) if over else f"{fair.name}, {days}"

    def _here(self) -> FairPackRow | None:
        return self._packs.get(self.chosen or "")

    @on(ScreenResume)
    def _shown(self) -> None:
        self._shown_at = time.monotonic()

    def come_back_to(self) -> None:
        self._come_back = True

    def action_step(self, step: str) -> None:
        super().action_step(step)
        # Who goes along the packs knows where they are.
        self._come_back, self._shown_at = False, -math.inf

    def _slip(self, row: FairPackRow) -> Answer | None:
        """What to say instead of selling, where Enter was hardly meant to sell."""
        pressed, here, said = self.desk.enter_at, self.chosen or "", self.desk.answer
        counted_for, when = self._counted
        if self._shown_at > when and 0 <= pressed - self._shown_at < SLIP:
            return Answer(TOO_SOON)
        ahead = pressed < self._shown_at and self.desk.since_enter < SLIP
        held_down = self.desk.since_enter < min(HELD, SLIP)
        if ahead or (counted_for == here and (held_down or pressed - when < SLIP)):
            return Answer(said.sentence if TWICE in said.sentence else strung((TWICE, said.sentence), " "), said.state)
        self._counted = here, pressed
        if self._come_back:
            self._come_back = False
            return Answer(
                say(
                    "This is {fair}, where Enter sells: once more sells a pack {mark}.",
                    fair=self._fair.name,
                    mark=row.mark,
                )
            )
        return None

    def action_sell_pack(self) -> None:
        """Sell the next one for cash, at once."""
        from ledger.selling.commands import SellFairPack

        row = self._here()
        if row is None:
            return
        slip = self._slip(row)
        if slip is not None:
            self.desk.say(slip)
            return
        command = SellFairPack(str(self._fair.id), row.mark, self.desk.ledger.today, lots=row.lots)
        try:
            done = self.desk.record(command, new_token(time.time_ns()))
        except Refused as refusal:
            self.desk.say(Answer(refusal.sentence, "refused"))
            return
        number, now = str(done.refs["number"]), time.monotonic()
        if now - self._sold_at < IN_A_ROW:
            said = self.desk.answer
            sentence = say("{sale} Just before it: {number}.", sale=said.sentence, number=self._sold)
            self.desk.say(Answer(sentence, said.state))
        self._sold, self._sold_at = number, now

    async def action_sell(self) -> None:
        """Sell one otherwise."""
        row = self._here()
        if row is not None:
            await self.desk.open_form(SellPackForm(self._fair.id, self._fair.name, row.mark, row.price, row.lots))

    async def action_new_packs(self) -> None:
        """Put packs together."""
        await self.desk.open_form(PackForm(self._fair.id, self._fair.name))

    async def action_unpack(self) -> None:
        """Take packs apart."""
        row = self._here()
        if row is not None:
            await self.desk.open_form(UnpackForm(self._fair.id, self._fair.name, row.mark, row.price, row.lots))

    async def action_spend(self) -> None:
        """What it cost."""
        await self.desk.open_form(SpendOnFairForm(self._fair.id, self._fair.name))

    async def action_close(self) -> None:
        """Count the cash."""
        await self.desk.open_form(EndFairForm(self._fair.id, self._fair.name))

    async def action_lot(self) -> None:
        """A lot of the pack."""
        await self._of_lot(self.desk.open_lot)

    async def action_origin(self) -> None:
        """Where its animals come from."""
        await self._of_lot(self.desk.open_origin)

    async def _of_lot(self, then: Callable[[str], Awaitable[None]]) -> None:
        """Do something with the lot of the row; which one, is asked where it has several."""
        row = self._here()
        if row is None:
            return
        if len(row.lots) == 1:
            await then(row.lots[0])
            return

        async def chosen(lot: str | None) -> None:
            if lot is not None:
                await then(lot)

        choices = [Choice(lot, lot) for lot in row.lots]
        await self.desk.push_screen(Chooser(say("Lots of pack {mark}", mark=row.mark), choices), chosen)

    async def action_sales(self) -> None:
        """Its sales."""
        from tui.places.fair_sales import FairSalesPage

        await self.desk.open_form(FairSalesPage(self._fair))

    async def action_papers(self) -> None:
        """Labels and the price list."""
        from tui.places.fair_papers import ask_papers

        await ask_papers(self.desk, str(self._fair.id))

    async def action_again(self) -> None:
        """Pack again what came back."""
        row = self._here()
        if row is not None:
            await self.desk.open_form(PackAgainForm(self._fair.id, self._fair.name, row.mark, row.price))

    async def action_plan_anew(self) -> None:
        """Set it right."""
        await plan_anew(self.desk, self._fair)
