"""What is alive: the lots with their stages, and from each its story; what happens to animals is recorded here."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from ledger.stock.words import counted_stage
from ledger.wording import counted, say, strung, word
from tui.actions import Act
from tui.forms.animals import CountForm, DriedForm, GoneForm, MoveOnForm, SplitForm
from tui.forms.lots import MergeForm, NewLotForm, NewSpeciesForm
from tui.places.listing import LIST_ACTS, Drawn, ReckonedListing
from tui.places.of_a_lot import MORE, PURPOSE, TOGETHER
from tui.widgets.foot import Answer
from tui.widgets.paged import ROOMY, Column, Row

if TYPE_CHECKING:
    from ledger.stock.stock_rows import LotRow

WIDE = 110


class StockPlace(ReckonedListing):
    """The lots."""

    NAME = "stock"
    QUICK = True
    HEAVY = False
    WHERE = "stock"
    TITLE_WORDS = say("Stock")
    HELP = say(
        "Every lot with animals in it. Counts by sex are males.females.unsexed; ≈ before a number means "
        "it rests on an estimate. Most of what happens is quickest in the jot line: space, then P08 3 "
        "died."
    )
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("open", "enter", say("open{act}", act=""), say("Open the lot: its stages, story, origin and cost so far.")),
        Act("lot", "l", say("lot"), say("Open the lot of this row."), shown=False),
        Act("gone", "d", say("died"), say("Record animals that died, are missing, were given away.")),
        Act("dried", "ctrl+d", say("dried"), say("Record animals that are kept as dried specimens."), shown=False),
        Act("move_on", "m", say("moved on"), say("Record animals that moved on to the next stage.")),
        Act("count", "c", say("count"), say("Record a count.")),
        Act("new_lot", "n", say("new"), say("Open a new lot with its first animals.")),
        Act("split", "slash", say("split"), say("Split part of a lot off as a lot of its own."), shown=False),
        Act("merge", "plus", say("merge"), say("Make one lot of several."), shown=False),
        MORE,
        Act("species", "S", say("species"), say("Take a species into the ledger from a template."), shown=False),
        Act(
            "papers",
            "w",
            say("papers"),
            say("Write labels for tubs, the register of a period, or a provenance sheet."),
            shown=False,
        ),
        Act(
            "journal",
            "J",
            say("all recorded"),
            say("Everything recorded of the animals, the newest first."),
            shown=False,
        ),
        Act("by_month", "b", say("by ..."), say("By month: how many were alive, drawn over time."), shown=False),
        Act("emptied", "E", say("empty lots"), say("Show also lots that are empty, or no longer."), shown=False),
        *LIST_ACTS,
    )
    BY_WORD = (TOGETHER, PURPOSE)
    COLUMNS = (
        Column(say("lot"), 7),
        Column(say("species"), 7, above=ROOMY),
        Column(say("alive"), 5, right=True),
        Column(say("by sex"), 8, above=ROOMY),
        Column(say("in stages")),
        Column(say("tubs"), 5, right=True, above=WIDE),
        Column(say("started"), 11, above=WIDE),
        Column(say("place"), 14, above=WIDE),
        Column(say("for"), 8, above=ROOMY),
    )
    EMPTY = (
        say("There are no lots yet."),
        say(
            "First take a species in (S), then open a lot with the animals you have (n). 'About 40' will do "
            "until you count them."
        ),
    )

    def __init__(self) -> None:
        super().__init__()
        self._empty_too = False
        self._empty = 0
        """How many lots have nothing in them."""
        self._lots: dict[str, LotRow] = {}

    def question(self) -> Callable[[], object]:
        return partial(self.desk.ledger.lots, empty=True)

    def rows_of(self, answer: object) -> Sequence[Row]:
        everything: tuple[LotRow, ...] = answer  # type: ignore[assignment]
        held = [row for row in everything if row.animals + row.objects + row.specimens]
        self._empty = len(everything) - len(held)
        self._lots = {row.code: row for row in (everything if self._empty_too else held)}
        return Drawn(list(self._lots.values()), self._row)

    def _row(self, row: LotRow) -> Row:
        stages = strung((counted_stage(stage.count, stage.stage) for stage in row.stages), ", ")
        alive = row.animals + row.objects
        return Row(
            row.code,
            (
                (row.code, "bold"),
                row.species,
                f"≈{alive}" if row.about else str(alive),
                "" if row.by_sex == "0.0.0" else row.by_sex,
                stages,
                str(row.tubs or ""),
                self.day(row.started_on),
                row.place,
                ("" if row.purpose == "sale" else word(row.purpose), "$quiet"),
            ),
        )

    def sum_up(self) -> str:
        rows = self._lots.values()
        dried = sum(row.specimens for row in rows)
        besides = counted(dried, " and {n} dried specimen", " and {n} dried specimens") if dried else ""
        return say(
            "{animals} alive{besides} · {lots}",
            animals=sum(row.animals + row.objects for row in rows),
            besides=besides,
            lots=counted(len(rows), "{n} lot", "{n} lots"),
        )

    def remark(self) -> str:
        if not self._empty:
            return ""
        if self._empty_too:
            return counted(
                self._empty, "{n} empty lot shown too; E hides it.", "{n} empty lots shown too; E hides them."
            )
        return counted(self._empty, "{n} empty lot not shown; E shows it.", "{n} empty lots not shown; E shows them.")

    async def action_by_month(self) -> None:
        """The stock over time."""
        from tui.places.over_time import OverTimePage

        row = self._lots.get(self.chosen or "")
        await self.desk.open_form(OverTimePage(row.species if row else ""))

    async def action_open(self) -> None:
        """The lot's page."""
        if self.chosen:
            await self.desk.open_lot(self.chosen)

    async def action_lot(self) -> None:
        """The lot's page."""
        await self.action_open()

    async def action_gone(self) -> None:
        """Died, missing, given away."""
        if self.chosen:
            await self.desk.open_form(GoneForm(self.chosen))

    async def action_dried(self) -> None:
        """Kept as dried specimens."""
        if self.chosen:
            await self.desk.open_form(DriedForm(self.chosen))

    async def action_move_on(self) -> None:
        """To another stage."""
        if self.chosen:
            await self.desk.open_form(MoveOnForm(self.chosen))

    async def action_count(self) -> None:
        """A count."""
        if self.chosen:
            await self.desk.open_form(CountForm(self.chosen))

    async def action_new_lot(self) -> None:
        """A new lot, once there is a species."""
        if self.desk.ledger.species():
            await self.desk.open_form(NewLotForm())
        else:
            self.desk.say(Answer(say("A lot is of a species: take one in first (S).")))

    async def action_split(self) -> None:
        """Split a lot."""
        if self.chosen:
            await self.desk.open_form(SplitForm(self.chosen))

    async def action_more(self) -> None:
        """What else can be said of a lot."""
        from tui.places.lot_more import ask_more

        if self.chosen:
            await ask_more(self.desk, self.chosen)

    async def action_purpose(self) -> None:
        """What it is for."""
        from tui.forms.lot_facts import FactForm

        if self.chosen:
            await self.desk.open_form(FactForm(self.chosen, "purpose"))

    async def action_together(self) -> None:
        """A pair is put together."""
        from tui.forms.origin import TogetherForm

        await self.desk.open_form(TogetherForm(self.chosen or ""))

    async def action_merge(self) -> None:
        """Merge lots."""
        await self.desk.open_form(MergeForm(self.chosen or ""))

    async def action_species(self) -> None:
        """A new species."""
        await self.desk.open_form(NewSpeciesForm())

    def action_emptied(self) -> None:
        """Also empty lots, or no longer."""
        self._empty_too = not self._empty_too
        self.read_anew()

    async def action_papers(self) -> None:
        """Labels, the register, a provenance sheet."""
        from tui.places.animal_papers import ask_papers

        await ask_papers(self.desk, self.chosen or "")

    async def action_journal(self) -> None:
        """Everything recorded."""
        from tui.places.journal import JournalPage

        await self.desk.open_form(JournalPage())
