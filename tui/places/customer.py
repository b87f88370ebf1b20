"""All that is on record of one customer, with what leads to each of it; their data, and erasing them."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from typing import TYPE_CHECKING, ClassVar

from ledger.errors import NotFound
from ledger.money import amount_text
from ledger.stock.words import stage_words
from ledger.wording import counted, say, strung, word
from tui.actions import Act
from tui.forms.customers import EraseForm
from tui.places.customers import DATA, about, erased_page, owed_cell
from tui.places.given import GivenPage
from tui.places.holds import HoldsPage
from tui.places.listing import ListPage
from tui.places.page import BACK
from tui.places.sale import PAYMENT, SalePage, pay
from tui.widgets.paged import Column, Row

if TYPE_CHECKING:
    from ledger.act import Done
    from ledger.selling.history import History
    from ledger.selling.sale import Sale
    from tui.widgets.form import Form

_Dated = tuple[dt.date, Row]


class CustomerPage(ListPage):
    """All that is on record of one customer, the latest first.

    Args:
        name: of the customer.
    """

    WHERE = "customer"
    HELP = say(
        "All that is on record of one customer, the latest first: sales, holds, queues, claims, loans "
        "and gifts. Enter opens the sale of a row; what they owe, and what is owed to them, stands below."
    )
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act(
            "open",
            "enter",
            say("open{act}", act=""),
            say("Open the sale of this row, or the list its hold, loan or gift stands in."),
        ),
        PAYMENT,
        DATA,
        BACK,
    )
    COLUMNS = (
        Column(say("day"), 11),
        Column(say("what"), 12),
        Column(say("animals")),
        Column(say("amount"), 8, right=True),
        Column(say("owed"), 7, right=True),
        Column(say("state"), 11),
    )
    EMPTY = (
        say("Nothing is on record but the name."),
        say("z shows and changes the contact, and erases the customer."),
    )

    def __init__(self, name: str) -> None:
        super().__init__()
        self._who = name
        self._history: History | None = None
        self._sales: dict[str, str] = {}
        """Number of the sale a row is about."""

    def title_words(self) -> str:
        return self._who

    def all_rows(self) -> list[Row]:
        found = self._history = self.desk.ledger.history(self._who)
        self._sales = {}
        dated = [
            *((sale.sold_on, self._sale_row(sale)) for sale in found.sales),
            *self._promises(found),
            *self._claims(found),
            *self._without_money(found),
        ]
        return [row for _, row in sorted(dated, key=lambda one: one[0], reverse=True)]

    def _sale_row(self, sale: Sale) -> Row:
        money = self.desk.ledger.currency
        self._sales[sale.number] = sale.number
        state = (say("settled"), "$quiet")
        if sale.undone:
            state = (say("credited"), "$quiet")
        elif sale.waits_for_post:
            state = (say("! to post"), "$warning")
        elif sale.owed:
            state = (say("! unpaid") if sale.owed > 0 else say("! give back"), "$warning")
        what = strung(
            (
                strung((str(line.animals), word(stage_words(line.stage_text, line.animals)), line.lot_code))
                for line in sale.lines
            ),
            ", ",
        )
        owed = owed_cell(sale.owed, money)
        total = amount_text(sale.total - sale.credited, money)
        return Row(sale.number, (self.day(sale.sold_on), (sale.number, "bold"), what, total, owed, state))

    def _promises(self, found: History) -> Iterator[_Dated]:
        money = self.desk.ledger.currency
        for hold in found.holds:
            what = strung((strung((str(line.count), word(line.stage), line.lot)) for line in hold.lines), ", ")
            deposit = amount_text(hold.deposit, money) if hold.deposit else ""
            state = (
                (say("! deposit?"), "$warning") if hold.deposit_state == "undecided" else (word(hold.state), "$quiet")
            )
            cells = (self.day(hold.made_on), (hold.number, "bold"), what, deposit, "", state)
            yield hold.made_on, Row(hold.number, cells)
        for one in found.queue:
            asked = self.day(one.asked_on)
            state = (word(one.state), "$quiet")
            yield (
                one.asked_on,
                Row(
                    f"place {one.place}",
                    (asked, say("waits {hold}", hold=one.hold), str(one.count), "", "", state),
                ),
            )

    def _claims(self, found: History) -> Iterator[_Dated]:
        for one in found.claims:
            key = f"claim {one.id}"
            self._sales[key] = one.number
            state = (word(one.outcome), "$quiet") if one.outcome else (say("! to answer"), "$warning")
            what = say("{dead}/{sold} {lot} dead", dead=one.dead, sold=one.sold, lot=one.lot)
            yield (
                one.reported_on,
                Row(key, (self.day(one.reported_on), say("claim {id}", id=one.id), what, "", "", state)),
            )

    def _without_money(self, found: History) -> Iterator[_Dated]:
        for at, loan in enumerate(found.loans):
            state = (
                (say("back {back_on}", back_on=self.day(loan.back_on)), "$quiet") if loan.back_on else say("= there")
            )
            yield loan.lent_on, Row(f"loan {at}", (self.day(loan.lent_on), say("loan"), loan.lot, "", "", state))
        for one in found.given:
            what = say("{animals} of {lots}", animals=one.animals, lots=" ".join(one.lots))
            yield (
                one.on,
                Row(
                    f"given {one.entry}",
                    (self.day(one.on), word(one.kind), what, "", "", (say("left"), "$quiet")),
                ),
            )

    def detail(self, key: str) -> str:
        found = self._history
        if found is None:
            return ""
        for sale in found.sales:
            if sale.number == key:
                lines = (
                    say(
                        "{count} {stage} of {lot}",
                        count=line.animals,
                        stage=word(stage_words(line.stage_text, line.animals)),
                        lot=line.lot_code,
                    )
                    for line in sale.lines
                )
                return say(
                    "{number}, {channel}: {lines}. {split}",
                    number=sale.number,
                    channel=word(sale.channel),
                    lines=strung(lines, ", "),
                    split=" ".join(sale.note.split()),
                ).rstrip()
        for one in found.claims:
            if key == f"claim {one.id}":
                return say(
                    "On {number}: {split}",
                    number=one.number,
                    split=" ".join(one.evidence.split()) or say("no evidence noted"),
                )
        return ""

    def remark(self) -> str:
        found = self._history
        if found is None:
            return ""
        who = found.customer
        contact = ", ".join(who.contact.split("\n")) or say("no contact noted (z)")
        return say(
            "{name}, {kind} prices; {contact}. {split}",
            name=who.name,
            kind=word(who.kind),
            contact=contact,
            split=" ".join(who.note.split()),
        ).rstrip()

    def sum_up(self) -> str:
        found, money = self._history, self.desk.ledger.currency
        if found is None:
            return ""
        owed = say(" · owe {owed}", owed=amount_text(found.owed, money)) if found.owed > 0 else ""
        owed = (
            say(" · owed to them {amount_text}", amount_text=amount_text(-found.owed, money))
            if found.owed < 0
            else owed
        )
        return say(
            "{sales}, {bought} {code}{owed}",
            sales=counted(len(found.sales), "{n} sale", "{n} sales"),
            bought=amount_text(found.bought, money),
            code=money.code,
            owed=owed,
        )

    async def action_open(self) -> None:
        """The sale."""
        number = self._sales.get(self.chosen or "")
        if number is not None:
            await self.desk.open_form(SalePage(number))
        elif self.chosen is not None and self.chosen.startswith(("loan", "given")):
            await self.desk.open_form(GivenPage())
        elif self.chosen is not None:
            await self.desk.open_form(HoldsPage())

    async def action_payment(self) -> None:
        """Money for the sale."""
        number = self._sales.get(self.chosen or "")
        sale = next((one for one in self._history.sales if one.number == number), None) if self._history else None
        if sale is not None:
            await pay(self.desk, sale.number, sale.owed)

    async def action_data(self) -> None:
        """Their data."""
        if self._history is not None:
            await self.app.push_screen(about(self._history.customer), self._open)

    async def _open(self, form: Form | None) -> None:
        if form is not None:
            await self.desk.open_form(form, self._erased if isinstance(form, EraseForm) else None)

    def _erased(self, done: Done | None) -> None:
        """There is nothing left to show here."""
        if done is not None:
            self.desk.call_later(self._leave_for, done)

    async def _leave_for(self, done: Done) -> None:
        await self.app.pop_screen()
        await self.desk.open_form(erased_page(done))

    def read_anew(self) -> None:
        try:
            super().read_anew()
        except NotFound:
            # Erased a moment ago: this page is about to go.
            self._history = None
