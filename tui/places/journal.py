"""Everything that was recorded of the stock, the newest first, over all lots; read by pages."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from ledger.wording import counted, say, strung
from tui.actions import Act
from tui.forms.animals import TakeBackForm
from tui.places.listing import LIST_ACTS, FindPage
from tui.places.page import BACK
from tui.widgets.foot import Answer
from tui.widgets.paged import PAGE, ROOMY, Column, Page, Row

if TYPE_CHECKING:
    from ledger.stock.entries import EntryRow

WIDE = 110


class JournalPage(FindPage):
    """One row for each act."""

    WHERE = "journal"
    HELP = say("What was recorded of the animals, whoever recorded it; nothing here is ever edited, only taken back.")
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("open", "enter", say("open{act}", act=""), say("Open the lot of this row.")),
        Act("lot", "l", say("lot"), say("Open the lot of this row.")),
        Act("take_back", "x", say("take back"), say("Take back the movement of this row.")),
        LIST_ACTS[0],
        BACK,
    )
    COLUMNS = (
        Column(say("entry"), 6, right=True),
        Column(say("day"), 11),
        Column(say("what")),
        Column(say("by"), 10, above=ROOMY),
        Column(say("recorded"), 16, above=WIDE),
        Column(say("from"), 9, above=WIDE),
    )
    EMPTY = (
        say("Nothing was recorded of animals yet."),
        say("Open a lot in 3 Stock (n), then write what happens: space"),
    )

    def __init__(self) -> None:
        super().__init__()
        self._entries: dict[str, EntryRow] = {}

    def title_words(self) -> str:
        return say("Everything recorded")

    def page(self, after: str | None) -> Page:
        if after is None:
            self._entries.clear()
        rows = self.desk.ledger.entries(PAGE, None if after is None else int(after))
        self._entries.update({str(row.id): row for row in rows})
        return Page([self._row(row) for row in rows], len(rows) == PAGE)

    def _row(self, row: EntryRow) -> Row:
        day = f"–{self.day(row.on)}" if row.since and row.since != row.on else self.day(row.on)
        style = "" if row.stands else "strike $quiet"
        recorded = row.recorded_at.replace("T", " ")[:16]
        return Row(str(row.id), (str(row.id), day, (self.said(row.text), style), row.by, recorded, row.source))

    def detail(self, key: str) -> str:
        row = self._entries[key]
        late = (
            say(" Accounted on {accounting_on}.", accounting_on=self.day(row.accounting_on))
            if row.accounting_on != row.on
            else ""
        )
        return strung((self.said(row.text), late, f" {row.note}" if row.note else ""), "")

    def sum_up(self) -> str:
        return self.rows.said(
            counted(self.rows.held, "{n} entry", "{n} entries"), say("{rows} and more entries", rows=self.rows.held)
        )

    async def action_lot(self) -> None:
        """Its lot."""
        row = self._entries.get(self.chosen or "")
        if row is not None and row.lots:
            await self.desk.open_lot(row.lots[0])

    async def action_open(self) -> None:
        """Its lot, as Enter opens it."""
        await self.action_lot()

    async def action_take_back(self) -> None:
        """Take back its movement."""
        row = self._entries.get(self.chosen or "")
        if row is None:
            return
        if len(row.movements) == 1 and row.stands:
            await self.desk.open_form(TakeBackForm(str(row.movements[0]), row.id))
        else:
            self.desk.say(
                Answer(
                    say("It has several movements: take back each on the page of its lot (enter).")
                    if row.stands
                    else say("It stands no more; see the page of its lot (enter).")
                )
            )
