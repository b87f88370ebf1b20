"""The price list as it counts on a day, leafed through by the days on which a price changed; written as a paper."""

from __future__ import annotations

import datetime as dt
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from ledger.money import amount_text
from ledger.selling.price_days import price_days
from ledger.wording import say, strung, word
from tui.actions import Act
from tui.forms.prices import PriceForm
from tui.papers import Paper
from tui.places.listing import ListPage
from tui.places.page import BACK
from tui.places.writing import write_into_folder
from tui.widgets.foot import Answer
from tui.widgets.paged import ROOMY, Column, Row

if TYPE_CHECKING:
    from ledger.selling.listing import PriceRow

WIDE = 110


class PricesPage(ListPage):
    """Prices of a day."""

    WHERE = "prices"
    HELP = say(
        "Every price with the day it counts from. ← and → go to the days on which a price changed; sales "
        "keep the price they were made at. Trade prices count for buyers marked as trade."
    )
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("earlier", "left", say("leaf back"), say("The prices as they were before the last change.")),
        Act("later", "right", say("leaf on"), say("The prices from the next change on.")),
        Act("set_price", "at", say("set price"), say("Set a new price for what the cursor is on, from a day on.")),
        Act(
            "papers",
            "w",
            say("papers"),
            say("Write the price list of this day as PDF and text, for retail and for trade."),
        ),
        BACK,
    )
    COLUMNS = (
        Column(say("species"), 7),
        Column(say("stage"), 14),
        Column(say("sex"), 8, above=ROOMY),
        Column(say("pack")),
        Column(say("animals"), 7, right=True, above=WIDE),
        Column(say("price"), 7, right=True),
        Column(say("buyers"), 6, above=ROOMY),
        Column(say("from"), 11, above=ROOMY),
    )
    EMPTY = (say("There are no prices on this day."), say("In 2 Ready put the cursor on a row and press @ to set one."))

    def __init__(self) -> None:
        super().__init__()
        self._on: dt.date | None = None
        self._prices: dict[str, PriceRow] = {}

    def title_words(self) -> str:
        return say("Prices")

    @property
    def on(self) -> dt.date:
        """The day whose prices are shown."""
        return self._on or self.desk.ledger.today

    def all_rows(self) -> list[Row]:
        money = self.desk.ledger.currency
        self._prices = {
            f"{one.species}/{one.stage}/{one.sex}/{one.pack}/{one.animals}/{one.buyer}": one
            for one in self.desk.ledger.prices(self.on)
        }
        return [
            Row(
                key,
                (
                    one.species,
                    word(one.stage),
                    word(one.sex),
                    strung((word(one.pack), f"+ {one.extra}")) if one.extra else word(one.pack),
                    str(one.animals),
                    (amount_text(one.amount, money), "bold"),
                    word(one.buyer),
                    self.day(one.from_on),
                ),
            )
            for key, one in self._prices.items()
        ]

    def sum_up(self) -> str:
        return say(
            "{prices} prices in {code} on {on}",
            prices=len(self._prices),
            code=self.desk.ledger.currency.code,
            on=self.day(self.on),
        )

    def remark(self) -> str:
        ahead = [day for day in self.desk.ledger.ask(price_days) if day > self.on]
        return say("Prices change on {ahead} (→).", ahead=self.day(ahead[0])) if ahead else ""

    def action_earlier(self) -> None:
        """Before the last change: the last day on which the prices before it counted."""
        before = [day for day in self.desk.ledger.ask(price_days) if day <= self.on]
        if len(before) < 2:
            self.desk.say(Answer(say("These are the first prices on record.")))
            return
        self._on = before[-1] - dt.timedelta(days=1)
        self.read_anew()

    def action_later(self) -> None:
        """From the next change on."""
        ahead = [day for day in self.desk.ledger.ask(price_days) if day > self.on]
        if not ahead:
            self.desk.say(Answer(say("No later change of prices is on record.")))
            return
        self._on = ahead[0]
        self.read_anew()

    async def action_set_price(self) -> None:
        """A new price."""
        row = self._prices.get(self.chosen or "")
        if row is not None:
            await self.desk.open_form(PriceForm(row.species, row.stage, row))

    async def action_papers(self) -> None:
        """Write the list of this day."""
        from exports.documents.price_list import price_list

        ledger, on = self.desk.ledger, self.on
        buyers = sorted({one.buyer for one in self._prices.values()})
        papers = [Paper(buyer, "", partial(price_list, ledger, on=on, buyer=buyer)) for buyer in buyers]
        if papers:
            await write_into_folder(self.desk, say("Price list"), papers)
