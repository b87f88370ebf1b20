"""What was sold to whom, what is still owed or to be posted, and what is promised; receipts and corrections."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, ClassVar

from ledger.money import amount_text
from ledger.money import said as in_full
from ledger.records.series import SALES
from ledger.wording import counted, say, strung
from tui.actions import Act
from tui.forms.posting import ArrivedForm, PostForm, ReplaceForm
from tui.forms.selling import CreditForm, SaleForm
from tui.places.listing import LIST_ACTS, Listing
from tui.places.numbers import wide_enough
from tui.places.receipt import PAPERS, write_papers_of
from tui.places.sale import (
    ARRIVED,
    CLAIM,
    CREDIT,
    FIRST_LOT,
    PAYMENT,
    POSTED,
    RECEIPT,
    REPLACE,
    RIGHT_PRICE,
    WAIT_HIDDEN,
    SalePage,
    claim,
    pay,
    right_price,
    wait_or_go,
)
from tui.tongue import word
from tui.widgets.paged import PAGE, ROOMY, Column, Page, Row

if TYPE_CHECKING:
    from ledger.selling.listing import SaleRow

WIDE = 110


def state_of(row: SaleRow) -> tuple[str, str]:
    """What is still to do about a sale, in a word with its sign."""
    if row.undone:
        return say("credited"), "$quiet"
    if row.waits:
        return say("! to post"), "$warning"
    if row.owed > 0:
        return (say("! part paid") if row.paid > 0 else say("! unpaid")), "$warning"
    if row.owed < 0:
        return say("! give back"), "$warning"
    if row.credited:
        return say("✓ credit"), "$success"
    return say("✓ settled"), "$success"


_NOUGHTS = re.compile(r"(?<!\d)0+(?=\d)")


def _also(row: SaleRow) -> str:
    """What a keeper may look for that no column of a narrow screen shows; the number also as one says it, S-2025-14."""
    things = (
        part
        for one in row.things
        for part in (one.code, one.species, one.stage, word(one.stage), word(one.sex), word(one.pack), one.origin)
    )
    # Also where the state says something else first: what is to post, or paid in part.
    unpaid = [say("unpaid")] if row.owed > 0 else []
    back = [say("credit")] if row.credited else []
    return strung((_NOUGHTS.sub("", row.number), row.hold, row.note, *unpaid, *back, *things))


class SalesPlace(Listing):
    """Sales, newest first."""

    NAME = "sales"
    FOLLOWS = "sale"
    WHERE = "sales"
    TITLE_WORDS = say("Sales")
    HELP = say(
        "Every sale with its gapless number; enter opens it. Nothing on a sale is edited: a credit "
        "corrects it, and the total stays as it was sold. f finds by number, buyer, species, stage, sex, lot, "
        "pack, origin, way or what is to do. Lists of their own: promises (H), parcels (i), owed (B), fairs (F), "
        "given, lent (g), buyers (j), wrong origins (N)."
    )
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act(
            "open",
            "enter",
            say("open{act}", act=""),
            say("Open the sale: lines, cost, margin, money, post, claims, papers."),
        ),
        Act("new_sale", "s", say("sell"), say("A new sale; from 2 Ready it is quicker.")),
        Act("new", "n", say("new"), say("A new sale, as s does."), shown=False),
        PAYMENT,
        POSTED,
        CLAIM,
        CREDIT,
        RECEIPT,
        PAPERS,
        Act("holds", "H", say("holds"), say("What is promised, to whom, until when, and who waits for it.")),
        Act("parcels", "i", say("parcels"), say("What waits to be posted, and what stands against it."), shown=False),
        Act("owed", "B", say("owed"), say("What is owed by buyers and to buyers, and deposits held."), shown=False),
        Act("fairs", "F", say("fairs"), say("Fairs: packs, the cash, and what each came to."), shown=False),
        Act("given", "g", say("given, lent"), say("Animals given away, lent and swapped; record such."), shown=False),
        Act(
            "tell",
            "N",
            say("tell"),
            say("Sales that state an origin which no longer holds: tell the buyers."),
            shown=False,
        ),
        Act(
            "customers",
            "j",
            say("customers"),
            say("Who bought: history, contact, what they owe; erase one."),
            shown=False,
        ),
        REPLACE,
        ARRIVED,
        WAIT_HIDDEN,
        RIGHT_PRICE,
        FIRST_LOT,
        *LIST_ACTS,
    )
    COLUMNS = (
        Column(say("number"), 11),
        Column(say("day"), 11, above=ROOMY),
        Column(say("buyer"), most=40),
        Column(say("what"), 20, above=WIDE),
        Column(say("total"), 8, right=True, above=ROOMY),
        Column(say("owed"), 7, right=True, above=ROOMY),
        Column(say("state"), 11),
        Column(say("how"), 10, above=WIDE),
    )
    EMPTY = (say("Nothing was sold yet."), say("Sell from 2 Ready: put the cursor on a row and press s"))

    def columns(self) -> tuple[Column, ...]:
        return wide_enough(self.COLUMNS, self.desk.ledger, SALES)

    def __init__(self) -> None:
        super().__init__()
        self._sales: dict[str, SaleRow] = {}

    def page(self, after: str | None) -> Page:
        if after is None:
            self._sales.clear()
        rows = self.desk.ledger.sales(PAGE, None if after is None else int(after))
        self._sales.update({str(row.id): row for row in rows})
        return Page([self._row(row) for row in rows], len(rows) == PAGE)

    def _row(self, row: SaleRow) -> Row:
        money = self.desk.ledger.currency
        extra = f" + {row.extra}" if row.extra else ""
        owed = amount_text(row.owed, money) if row.owed else ""
        return Row(
            str(row.id),
            (
                (row.number, "bold"),
                self.day(row.sold_on),
                row.customer,
                say("{animals} of {lots}", animals=f"{row.animals}{extra}", lots=" ".join(row.lots)),
                amount_text(row.total, money),
                owed,
                state_of(row),
                word(row.channel),
            ),
            _also(row),
        )

    def detail(self, key: str) -> str:
        row = self._sales[key]
        held = say(", {hold} taken up", hold=row.hold) if row.hold else ""
        posted = say(", posted {posted_on}", posted_on=self.day(row.posted_on)) if row.posted_on else ""
        to = row.customer or say("no one named")
        said = say(
            "{animals} of {lots} to {to}, {channel}{posted}{held}.",
            animals=row.animals,
            lots=strung(row.lots, ", "),
            to=to,
            channel=word(row.channel),
            posted=posted,
            held=held,
        )
        money = self.desk.ledger.currency
        back = ""
        if row.credited and not row.undone:
            back = say(
                "{credited} of {total} was credited.",
                credited=amount_text(row.credited, money),
                total=in_full(row.total, money),
            )
        return strung(part for part in (said, back, row.note) if part)

    def sum_up(self) -> str:
        waiting = sum(row.waits for row in self._sales.values())
        held = self.rows.said(
            counted(self.rows.held, "{n} sale", "{n} sales"), say("{rows} and more sales", rows=self.rows.held)
        )
        code = self.desk.ledger.currency.code
        return (
            say("{held} in {code} · {waiting} to post", held=held, code=code, waiting=waiting)
            if waiting
            else say("{held} in {code}", held=held, code=code)
        )

    def _here(self) -> SaleRow | None:
        return self._sales.get(self.chosen or "")

    async def action_open(self) -> None:
        """The whole sale."""
        row = self._here()
        if row is not None:
            await self.desk.open_form(SalePage(row.number))

    async def action_receipt(self) -> None:
        """The receipt."""
        row = self._here()
        if row is not None:
            await self.desk.open_receipt(row.number)

    async def action_papers(self) -> None:
        """Receipt, invoice and the other papers as files."""
        row = self._here()
        if row is not None:
            await write_papers_of(self.desk, row.number)

    async def action_new_sale(self) -> None:
        """A new sale."""
        await self.desk.open_form(SaleForm())

    async def action_new(self) -> None:
        """A new sale, by the key that is new everywhere."""
        await self.action_new_sale()

    async def action_wait(self) -> None:
        """Its parcel waits, or no longer."""
        row = self._here()
        if row is not None:
            await wait_or_go(self.desk, row.number)

    async def action_right_price(self) -> None:
        """The right price."""
        row = self._here()
        if row is not None:
            await right_price(self.desk, row.number)

    async def action_lot(self) -> None:
        """The lot of the first line."""
        row = self._here()
        if row is not None:
            await self.desk.open_lot(row.lots[0])

    async def action_payment(self) -> None:
        """Money."""
        row = self._here()
        if row is not None:
            await pay(self.desk, row.number, row.owed)

    async def action_claim(self) -> None:
        """A claim, or its answer."""
        row = self._here()
        if row is not None:
            await claim(self.desk, row.number)

    async def action_posted(self) -> None:
        """Posted."""
        row = self._here()
        if row is not None:
            await self.desk.open_form(PostForm(row.number))

    async def action_arrived(self) -> None:
        """It arrived."""
        row = self._here()
        if row is not None:
            await self.desk.open_form(ArrivedForm(row.number))

    async def action_credit(self) -> None:
        """Credit in full."""
        row = self._here()
        if row is not None:
            await self.desk.open_form(CreditForm(row.number))

    async def action_replace(self) -> None:
        """Replace dead animals."""
        row = self._here()
        if row is not None:
            await self.desk.open_form(ReplaceForm(row.number))

    async def action_holds(self) -> None:
        """The holds."""
        from tui.places.holds import HoldsPage

        await self.desk.open_form(HoldsPage())

    async def action_parcels(self) -> None:
        """The parcels."""
        from tui.places.parcels import ParcelsPage

        await self.desk.open_form(ParcelsPage())

    async def action_owed(self) -> None:
        """What is owed."""
        from tui.places.owed import OwedPage

        await self.desk.open_form(OwedPage())

    async def action_fairs(self) -> None:
        """The fairs."""
        from tui.places.fairs import FairsPage

        await self.desk.open_form(FairsPage())

    async def action_given(self) -> None:
        """What left without money."""
        from tui.places.given import GivenPage

        await self.desk.open_form(GivenPage())

    async def action_customers(self) -> None:
        """Who bought."""
        from tui.places.customers import CustomersPage

        await self.desk.open_form(CustomersPage())

    async def action_tell(self) -> None:
        """Origins stated wrongly."""
        from tui.places.affected import AffectedPage

        await self.desk.open_form(AffectedPage())
