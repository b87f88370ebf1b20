"""Who reaches adulthood, how surely, and what each one cost: by species and by lot, and one of them in full."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from ledger.money import amount_text
from ledger.stock.words import tub_order
from ledger.wording import counted, say
from tui.actions import Act
from tui.charts import whisker
from tui.look import percent
from tui.places.decide import DECIDE, choose_decision
from tui.places.listing import LIST_ACTS, Drawn, ReckonedListing
from tui.places.page import BACK, ReckonedPage
from tui.places.pictured import PICTURE, Pictured
from tui.rearing_page import Found, found_of, rearing_lines, rearing_picture
from tui.widgets.paged import ROOMY, Column, Row

if TYPE_CHECKING:
    from ledger.rearing.report import RearingRow

WIDE = 110
IN_FULL = 160
"""Cells of a screen on which the first column has room for any code, and the last still for whole sentences."""
BAR = 14
NEVER_YOUNG = say("came reared")
"""Of a lot in which no animal was followed from young."""


class RearingPlace(ReckonedListing):
    """The rearing report."""

    NAME = "rearing"
    WHERE = "rearing"
    TITLE_WORDS = say("Rearing")
    HELP = say(
        "Of those that entered, how many were reared, were lost, left young, or are still rearing. Survival "
        "is the share reared, an estimate that treats those still rearing as open; the bar shows it as a dot on a "
        "scale from 0 to 100 %, heavy over its 95 % interval; while none has reached it there is no figure, and the "
        "bar alone says how far it may still go. Enter shows the curve and the cost; O "
        "looks ahead, D weighs what to do next."
    )
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act(
            "open",
            "enter",
            say("open{act}", act=""),
            say("The survival curve and the cost per reared adult of this row."),
        ),
        Act(
            "outlook",
            "O",
            say("outlook"),
            say("How many become ready in the coming weeks, and how earlier outlooks did."),
        ),
        DECIDE,
        Act(
            "explain",
            "e",
            say("explain"),
            say("What a reared adult's cost is made of, and why it is dearer than another."),
        ),
        Act("times", "t", say("stage times"), say("How long each stage of the row's species takes.")),
        Act("mortality", "L", say("losses"), say("What the losses of a year cost, species by species.")),
        Act("lot", "l", say("lot"), say("Open the lot of this row.")),
        *LIST_ACTS,
    )
    COLUMNS = (
        Column(say("lot"), most=30, below=WIDE),
        Column(say("lot"), 9, above=WIDE, below=IN_FULL),
        Column(say("lot"), 16, above=IN_FULL),
        Column(say("reared"), 12, right=True),
        Column(say("lost"), 8, right=True, above=ROOMY),
        Column(say("left"), 4, right=True, above=WIDE),
        Column(say("rearing"), 7, right=True),
        Column(say("surv."), 5, right=True, below=WIDE),
        Column(say("survival"), 9, right=True, above=WIDE),
        Column("0 %      100 %", BAR, above=ROOMY),
        Column(say("cost each"), 9, right=True, above=ROOMY),
        Column(say("origin, or why no survival"), above=WIDE),
    )
    EMPTY = (
        say("No lot has been followed from young yet."),
        say("Open a lot with eggs or young in 3 Stock (n) and record what becomes of them; the figures follow."),
    )

    def __init__(self) -> None:
        super().__init__()
        self._report: dict[str, RearingRow] = {}

    def question(self) -> Callable[[], object]:
        return self.desk.ledger.rearing

    def rows_of(self, answer: object) -> Sequence[Row]:
        rows: tuple[RearingRow, ...] = answer  # type: ignore[assignment]
        rows = tuple(sorted(rows, key=lambda row: (row.species, bool(row.lot), tub_order(row.lot))))
        self._report = {row.lot or say("all {species}", species=row.species): row for row in rows}
        return Drawn(list(self._report.items()), self._row)

    def detail(self, key: str) -> str:
        row = self._report[key]
        whence = say("{lot}: {origin}. ", lot=row.lot, origin=row.origin) if row.lot else ""
        why = say("No survival figure: {why}. ", why=row.why) if row.why else ""
        return say(
            "{whence}{why}{left_early} left young; {so_far}.",
            whence=whence,
            why=why,
            left_early=row.left_early,
            so_far=row.so_far or say("nothing is rearing any more"),
        )

    def _row(self, named: tuple[str, RearingRow]) -> Row:
        key, row = named
        whole = not row.lot
        bar = ""
        if row.low is not None and row.high is not None:
            bar = whisker(row.survival, row.low, row.high, width=BAR, signs=self.desk.signs)
        share = percent(row.survival) if row.survival is not None else ""
        cost = "" if row.cost_shown is None else amount_text(row.cost_shown, self.desk.ledger.currency)
        style = "bold $primary" if whole else ""
        name = say("{species} all", species=row.species) if whole else f"  {row.lot}"
        pending = (str(row.pending), "$quiet") if row.pending else "✓" if row.entered else ""
        return Row(
            key,
            (
                *[(name, style)] * 3,
                (
                    say("{reached} of {entered}", reached=row.reached, entered=row.entered)
                    if row.entered
                    else NEVER_YOUNG,
                    style,
                ),
                str(row.lost) if row.entered else "",
                str(row.left_early or ""),
                pending,
                (share, style),
                (share, style),
                bar,
                (cost + ("*" if cost and row.pending else ""), style),
                row.origin or row.why,
            ),
            # A lot is found by its species, too.
            row.species,
        )

    def sum_up(self) -> str:
        return counted(
            sum(bool(row.lot) for row in self._report.values()),
            "{n} lot · in {code} · * so far, may rise",
            "{n} lots · in {code} · * so far, may rise",
            code=self.desk.ledger.currency.code,
        )

    async def action_open(self) -> None:
        """The page of the row."""
        row = self._report.get(self.chosen or "")
        if row is not None:
            await self.desk.open_form(RearingPage(lot=row.lot, species=row.species))

    async def action_explain(self) -> None:
        """The cost of the row taken apart."""
        from tui.places.explain import WhyPage

        row = self._report.get(self.chosen or "")
        if row is not None:
            await self.desk.open_form(WhyPage(lot=row.lot, species=row.species))

    async def action_outlook(self) -> None:
        """What is coming on, the species of the row first."""
        from tui.places.outlook import OutlookPage

        row = self._report.get(self.chosen or "")
        await self.desk.open_form(OutlookPage(row.species if row is not None else ""))

    async def action_decide(self) -> None:
        """Weigh a decision about the row."""
        row = self._report.get(self.chosen or "")
        if row is not None:
            await choose_decision(self.desk, row.lot, row.species)

    async def action_times(self) -> None:
        """Stage times of the row's species."""
        from tui.places.stage_times import StageTimesPage

        row = self._report.get(self.chosen or "")
        if row is not None:
            await self.desk.open_form(StageTimesPage(row.species))

    async def action_mortality(self) -> None:
        """The price of mortality."""
        from tui.places.mortality import MortalityPage

        await self.desk.open_form(MortalityPage())

    async def action_lot(self) -> None:
        """The lot's page."""
        row = self._report.get(self.chosen or "")
        if row is not None and row.lot:
            await self.desk.open_lot(row.lot)


class RearingPage(Pictured[None], ReckonedPage):
    """One lot (or one species): curve, ladders, what stands under the figures.

    Args:
        lot: its code; nothing for a whole species.
        species: code of the species when no lot is given.
    """

    WHERE = "rearing-page"
    WIDEST = 100
    HELP = say(
        "The curve is the share that has reached the reared stage, day by day since the lot began, with "
        "its 95 % band. The ladders show what one reared adult is made of: by category, and by the "
        "stage at which it arose. Of a species it is the curve of its lots together, those counted from "
        "one stage."
    )
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act(
            "explain",
            "e",
            say("explain"),
            say("What the cost is made of, by stage, month and entry, and beside another lot."),
        ),
        Act("open", "enter", say("open"), say("What the cost is made of, down to each bag and bill."), shown=False),
        PICTURE,
        BACK,
    )

    def __init__(self, lot: str = "", species: str = "") -> None:
        super().__init__()
        self._lot, self._species = lot, species

    def title_words(self) -> str:
        return say("Rearing: {lot}", lot=self._lot or self._species)

    def question(self) -> Callable[[], object]:
        ledger, lot, species = self.desk.ledger, self._lot, self._species
        return partial(found_of, ledger, lot, species)

    async def action_open(self) -> None:
        """The records behind it."""
        await self.action_explain()

    async def action_explain(self) -> None:
        """The cost taken apart."""
        from tui.places.explain import WhyPage

        await self.desk.open_form(WhyPage(lot=self._lot, species=self._species))

    def told(self, answer: object) -> None:
        assert isinstance(answer, Found)
        currency = self.desk.ledger.currency
        self.picture = rearing_picture(answer, currency)
        self.show(rearing_lines(answer, self.picture, currency, self.width, self.desk.signs))
