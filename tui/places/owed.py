"""What is owed both ways: by buyers, to buyers, and deposits held for them; the longest owed first."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, ClassVar

from ledger.money import amount_text
from ledger.records.series import HOLDS, SALES
from ledger.selling.owed import DECIDE, HELD, OWED
from ledger.wording import say, word
from tui.actions import Act
from tui.forms.promising import ReleaseForm
from tui.places.listing import Drawn, ListPage, ReckonedList
from tui.places.numbers import wide_enough
from tui.places.page import BACK
from tui.places.sale import PAYMENT, SalePage, pay
from tui.widgets.foot import Answer
from tui.widgets.paged import ROOMY, Column, Row

if TYPE_CHECKING:
    from ledger.selling.owed import OwedPaper

DEPOSITS = (HELD, DECIDE)


class OwedPage(ReckonedList, ListPage):
    """Sales and holds on which something is owed."""

    WHERE = "owed"
    QUICK = True
    HELP = say(
        "What buyers owe you first, then what you owe them, then deposits you hold for them. A deposit "
        "is theirs until it is applied to a sale, given back or kept."
    )
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("open", "enter", say("open{act}", act=""), say("Open the sale of this row.")),
        PAYMENT,
        Act("release", "X", say("release, deposit"), say("Free the animals of a hold, or decide on its deposit.")),
        BACK,
    )
    COLUMNS = (
        Column(say("number"), 11),
        Column(say("since"), 11, above=ROOMY),
        Column(say("days"), 5, right=True, above=100),
        Column(say("buyer")),
        Column(say("of"), 8, right=True, above=100),
        Column(say("owed"), 8, right=True),
        Column(say("what"), 17, above=ROOMY),
    )
    EMPTY = (say("Nothing is owed."), say("Sales that are paid later, and deposits you hold, will stand here."))

    def columns(self) -> tuple[Column, ...]:
        return wide_enough(self.COLUMNS, self.desk.ledger, SALES, HOLDS)

    def __init__(self) -> None:
        super().__init__()
        self._owed: dict[str, OwedPaper] = {}

    def title_words(self) -> str:
        return say("Owed")

    def question(self) -> Callable[[], object]:
        return self.desk.ledger.owed

    def rows_of(self, answer: object) -> Sequence[Row]:
        found: tuple[OwedPaper, ...] = answer  # type: ignore[assignment]
        self._owed = {one.number: one for one in found}
        return Drawn(list(self._owed.values()), self._row)

    def _row(self, one: OwedPaper) -> Row:
        money = self.desk.ledger.currency
        return Row(
            one.number,
            (
                (one.number, "bold"),
                self.day(one.since),
                str(one.days),
                one.customer,
                amount_text(one.total, money),
                amount_text(one.owed, money),
                (word(one.kind), "" if one.kind == HELD else "$warning"),
            ),
        )

    def sum_up(self) -> str:
        money = self.desk.ledger.currency
        by = sum(one.owed for one in self._owed.values() if one.kind == OWED)
        to = -sum(one.owed for one in self._owed.values() if one.kind != OWED)
        return say(
            "by buyers {by} · to buyers {to} {code}",
            by=amount_text(by, money),
            to=amount_text(to, money),
            code=money.code,
        )

    def _here(self) -> OwedPaper | None:
        return self._owed.get(self.chosen or "")

    async def action_open(self) -> None:
        """The sale."""
        row = self._here()
        if row is None:
            return
        if row.kind in DEPOSITS:
            self.desk.say(Answer(say("{hold} is a hold, not a sale: X decides on it.", hold=row.number)))
        else:
            await self.desk.open_form(SalePage(row.number))

    async def action_payment(self) -> None:
        """Money."""
        row = self._here()
        if row is None:
            return
        if row.kind in DEPOSITS:
            self.desk.say(
                Answer(
                    say(
                        "{hold} is a deposit held for {customer}: X decides on it.",
                        hold=row.number,
                        customer=row.customer,
                    )
                )
            )
        else:
            await pay(self.desk, row.number, row.owed)

    async def action_release(self) -> None:
        """The hold, and its deposit."""
        row = self._here()
        if row is None:
            return
        if row.kind in DEPOSITS:
            await self.desk.open_form(ReleaseForm(row.number, over=row.kind == DECIDE, deposit=row.total))
        else:
            self.desk.say(Answer(say("{sale} is a sale: p records money for it.", sale=row.number)))
