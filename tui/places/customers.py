"""Customers: found as one types, with what they bought and owe; their data, and erasing one at their request."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from ledger.money import amount_text
from ledger.wording import counted, say, word
from tui.actions import Act
from tui.forms.customers import CustomerForm, EraseForm
from tui.places.listing import LIST_ACTS, Drawn, FindPage, ReckonedList
from tui.places.page import BACK, TextPage
from tui.widgets.chooser import Choice, Chooser
from tui.widgets.paged import ROOMY, Column, Row

if TYPE_CHECKING:
    from ledger.act import Done
    from ledger.money import Currency
    from ledger.selling.customer_list import CustomerSums
    from ledger.selling.customers import CustomerRow
    from tui.widgets.form import Form

FIND = LIST_ACTS[0]
WIDE = 100


DATA = Act(
    "data", "z", say("data, erase"), say("Change contact, prices or remark of this customer, or erase them on request.")
)


def owed_cell(minor: int, money: Currency) -> tuple[str, str]:
    """What is owed, if anything."""
    return (amount_text(minor, money) if minor else "", "$warning")


def about(customer: CustomerRow) -> Chooser[Form]:
    """What can be done about a customer."""
    choices: list[Choice[Form]] = [
        Choice(say("Contact, prices, remark"), CustomerForm(customer), say("change what is known")),
        Choice(say("Erase at their request"), EraseForm(customer.name), say("cannot be undone; asks for the name")),
    ]
    return Chooser(customer.name, choices)


def erased_page(done: Done) -> TextPage:
    """What was erased and what could not be reached, to be read in full."""
    lines = (done.sentence, "", *done.cautions)
    return TextPage(say("Erased"), lambda: lines)


class CustomersPage(ReckonedList, FindPage):
    """Everyone who was not erased, by name."""

    WHERE = "customers"
    HELP = say(
        "Everyone who bought, asked or was promised something. Type f and a part of a name to find one; "
        "Enter shows all that is on record of them. Only what a sale needs is kept of anybody."
    )
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act(
            "open",
            "enter",
            say("history"),
            say("What is on record of this customer: sales, holds, claims, loans, money."),
        ),
        FIND,
        Act("new_customer", "n", say("new"), say("A new customer; a sale to a new name makes one too.")),
        DATA,
        BACK,
    )
    COLUMNS = (
        Column(say("name")),
        Column(say("prices"), 7, above=ROOMY),
        Column(say("sales"), 8, right=True, above=ROOMY),
        Column(say("last"), 11),
        Column(say("bought"), 9, right=True),
        Column(say("owed"), 8, right=True),
        Column(say("contact"), 24, above=WIDE),
    )
    EMPTY = (say("Nobody is on record."), say("A sale to a name makes a customer; n adds one without a sale."))

    QUICK = True

    def __init__(self) -> None:
        super().__init__()
        self._known: dict[str, CustomerSums] = {}

    def title_words(self) -> str:
        return say("Customers")

    def question(self) -> Callable[[], object]:
        from ledger.selling.customer_list import customer_sums

        return partial(self.desk.ledger.ask, customer_sums)

    def rows_of(self, answer: object) -> Sequence[Row]:
        sums: tuple[CustomerSums, ...] = answer  # type: ignore[assignment]
        self._known = {str(one.id): one for one in sums}
        return Drawn(sums, self._row)

    def _row(self, one: CustomerSums) -> Row:
        money = self.desk.ledger.currency
        return Row(
            str(one.id),
            (
                (one.name, "bold"),
                word(one.kind),
                str(one.sales) if one.sales else "",
                self.day(one.last_on) if one.last_on else "",
                amount_text(one.bought, money) if one.sales else "",
                owed_cell(one.owed, money),
                " ".join(one.contact.split()),
            ),
        )

    def detail(self, key: str) -> str:
        one = self._known[key]
        contact = ", ".join(one.contact.split("\n")) or say("no contact noted")
        return say(
            "{name}: {contact}. {split}", name=one.name, contact=contact, split=" ".join(one.note.split())
        ).rstrip()

    def sum_up(self) -> str:
        return counted(len(self._known), "{n} customer", "{n} customers")

    @property
    def _who(self) -> str | None:
        """Who the cursor is on."""
        one = self._known.get(self.chosen or "")
        return one.name if one is not None else None

    async def action_open(self) -> None:
        """Their history."""
        from tui.places.customer import CustomerPage

        if self._who is not None:
            await self.desk.open_form(CustomerPage(self._who))

    async def action_new_customer(self) -> None:
        """A new one."""
        await self.desk.open_form(CustomerForm())

    async def action_data(self) -> None:
        """Their data."""
        if self._who is not None:
            customer = self.desk.ledger.history(self._who).customer
            await self.app.push_screen(about(customer), self._open)

    async def _open(self, form: Form | None) -> None:
        if form is not None:
            await self.desk.open_form(form, self._erased if isinstance(form, EraseForm) else None)

    def _erased(self, done: Done | None) -> None:
        if done is not None:
            self.desk.call_later(self.desk.open_form, erased_page(done))
