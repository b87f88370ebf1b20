"""Who reaches adulthood, how surely, and what each one cost: by species and by lot, and one of them in full."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from textual.containers import VerticalScroll
from textual.widget import Widget
from textual.widgets import Static

from ledger.days import DayRange
from ledger.errors import Refused
from ledger.money import Currency, round_half_even
from ledger.stock.words import tub_order
from tui.actions import Act
from tui.aside import Aside
from tui.charts import Rung, Signs, Step, ladder, steps, whisker
from tui.look import each, percent
from tui.places.listing import LIST_ACTS, ReckonedListing
from tui.places.page import BACK, Page
from tui.plain import drawing, parts, words
from tui.widgets.paged import Column, Row

if TYPE_CHECKING:
    from ledger.rearing.curve import LotCurve
    from ledger.rearing.report import CostPart, RearingRow

WIDE = 110
BAR = 14
NEVER_YOUNG = "came reared"
"""Of a lot in which no animal was followed from young."""


class RearingPlace(ReckonedListing):
    """The rearing report."""

    NAME = "rearing"
    WHERE = "rearing"
    TITLE_WORDS = "Rearing"
    HELP = (
        "Of those that entered, how many were reared, were lost, left young, or are still rearing. The share is an "
        "estimate that treats those still rearing as open; the bar shows it as a dot on a scale from 0 to 100 %, heavy "
        "over its 95 % interval. Enter shows the curve and the cost."
    )
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("open", "enter", "curve, cost", "The survival curve and the cost per reared adult of this row."),
        Act("explain", "e", "explain", "What a reared adult's cost is made of, and why it is dearer than another."),
        Act("lot", "l", "lot", "Open the lot of this row."),
        *LIST_ACTS,
    )
    COLUMNS = (
        Column("lot"),
        Column("reared", 12, right=True),
        Column("lost", 4, right=True),
        Column("left", 4, right=True, above=WIDE),
        Column("rearing", 7, right=True),
        Column("share", 5, right=True),
        Column("0 %      100 %", BAR),
        Column("cost each", 9, right=True),
        Column("origin, or why no share", 34, above=WIDE),
    )
    EMPTY = (
        "No lot has been followed from young yet.",
        "Open a lot with eggs or young in 3 Stock (n) and record what becomes of them; the figures follow.",
    )

    def __init__(self) -> None:
        super().__init__()
        self._report: dict[str, RearingRow] = {}

    def question(self) -> Callable[[], object]:
        return self.desk.ledger.rearing

    def rows_of(self, answer: object) -> list[Row]:
        rows: tuple[RearingRow, ...] = answer  # type: ignore[assignment]
        rows = tuple(sorted(rows, key=lambda row: (row.species, bool(row.lot), tub_order(row.lot))))
        self._report = {row.lot or f"all {row.species}": row for row in rows}
        return [self._row(key, row) for key, row in self._report.items()]

    def detail(self, key: str) -> str:
        row = self._report[key]
        whence = f"{row.lot}: {row.origin}. " if row.lot else ""
        why = f"No share: {row.why}. " if row.why else ""
        return f"{whence}{why}{row.left_early} left young; {row.so_far or 'nothing is rearing any more'}."

    def _row(self, key: str, row: RearingRow) -> Row:
        whole = not row.lot
        bar = ""
        if row.survival is not None and row.low is not None and row.high is not None:
            bar = whisker(row.survival, row.low, row.high, width=BAR, signs=self.desk.signs)
        share = percent(row.survival) if row.survival is not None else ""
        cost = each(row.cost_per_reared, self.desk.ledger.currency)
        style = "bold $primary" if whole else ""
        name = f"{row.species} all" if whole else f"  {row.lot}"
        pending = (f"~{row.pending}", "$quiet") if row.pending else "✓" if row.entered else ""
        return Row(
            key,
            (
                (name, style),
                (f"{row.reached} of {row.entered}" if row.entered else NEVER_YOUNG, style),
                str(row.lost) if row.entered else "",
                str(row.left_early or ""),
                pending,
                (share, style),
                bar,
                (cost + ("*" if cost and row.pending else ""), style),
                row.origin or row.why,
            ),
        )

    def sum_up(self) -> str:
        return f"{sum(bool(row.lot) for row in self._report.values())} lots · * so far, may rise"

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

    async def action_lot(self) -> None:
        """The lot's page."""
        row = self._report.get(self.chosen or "")
        if row is not None and row.lot:
            await self.desk.open_lot(row.lot)


class RearingPage(Page, Aside[None]):
    """One lot (or one species): curve, ladders, what stands under the figures.

    Args:
        lot: its code; nothing for a whole species.
        species: code of the species when no lot is given.
    """

    WHERE = "rearing-page"
    HELP = (
        "The curve is the share that has reached the reared stage, day by day since the lot began, with its 95 % band. "
        "The ladders show what one reared adult is made of: by kind of cost, and by the stage at which it arose."
    )
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("explain", "e", "explain", "What the cost is made of, by stage, month and entry, and beside another lot."),
        BACK,
    )

    def __init__(self, lot: str = "", species: str = "") -> None:
        super().__init__()
        self._lot, self._species = lot, species

    def title_words(self) -> str:
        return f"Rearing: {self._lot or self._species}"

    def body(self) -> Iterable[Widget]:
        yield Static(words(self.title_words(), "bold"), markup=False, classes="line")
        yield VerticalScroll(Static(words("Reckoning ...", "$quiet"), id="rearing-text", markup=False), classes="body")

    def first_focus(self) -> Widget | None:
        return self.query_one(VerticalScroll)

    def on_mount(self) -> None:
        super().on_mount()
        self.read_anew()

    def read_anew(self) -> None:
        self.ask_aside(self._question())

    def _question(self) -> Callable[[], object]:
        ledger, lot, species = self.desk.ledger, self._lot, self._species

        def ask() -> _Found:
            if not lot:
                return _Found(next(row for row in ledger.rearing(species=species) if not row.lot))
            (row,) = ledger.rearing(lot=lot)
            ref = next(one for one in ledger.lots(empty=True) if one.code == row.lot)
            age = (ledger.today - DayRange(ref.started_from, ref.started_on).midpoint).days
            try:
                return _Found(row, ledger.curve(lot), age)
            except Refused:
                # A lot without animals before the reared stage has no curve; its row says why.
                return _Found(row)

        return ask

    async def action_explain(self) -> None:
        """The cost taken apart."""
        from tui.places.explain import WhyPage

        await self.desk.open_form(WhyPage(lot=self._lot, species=self._species))

    def told(self, answer: object) -> None:
        assert isinstance(answer, _Found)
        width = max(40, min(self.app.size.width - 4, 100))
        lines = rearing_lines(answer, self.desk.ledger.currency, width, self.desk.signs)
        self.query_one("#rearing-text", Static).update(drawing(lines))

    def refused(self, refusal: Refused) -> None:
        self.query_one("#rearing-text", Static).update(parts((f"! {refusal.sentence}", "$warning")))


@dataclass(frozen=True, slots=True)
class _Found:
    """What the page shows."""

    row: RearingRow
    curve: LotCurve | None = None
    age: int = 0
    """Days from the start of the lot's clock to today."""


def rearing_lines(found: _Found, currency: Currency, width: int, signs: Signs) -> list[str]:
    """The whole page as lines of text."""
    row, curve = found.row, found.curve
    lines = [
        f"{row.entered} entered: {row.reached} reared, {row.lost} lost, {row.left_early} left young, "
        f"{row.pending} still rearing"
    ]
    if row.survival is not None and row.low is not None and row.high is not None and row.n_eff is not None:
        lines.append(
            f"Share that is reared: {percent(row.survival)}, between {percent(row.low)} and {percent(row.high)} "
            f"(worth {row.n_eff:.0f} animals followed to the end)"
        )
    if row.why:
        lines.append(f"No share: {row.why}.")
    if row.counted_from:
        lines.append(f"Counted {row.counted_from}; deaths before that were not seen.")
    if curve is not None and curve.days:
        lines += ["", "Share that has reached the reared stage, by days since the lot began"]
        lines += steps(_band(curve, row), width=width, height=11, until=max(found.age, curve.days[-1]), signs=signs)
        lines += [f"! {warning}" for warning in curve.warnings]
    lines += ["", *_cost_lines(row, currency, width, signs)]
    lines += [f"· {note}" for note in row.notes]
    return lines


def _band(curve: LotCurve, row: RearingRow) -> list[Step]:
    """The reared share day by day with its interval."""
    from ledger.rearing.interval import survival_interval

    reared = len(curve.states) - 2
    found = []
    for at, day in enumerate(curve.days):
        share, se = curve.prob[at][reared], curve.se[at][reared]
        interval = survival_interval(share, se, resolved=row.reached + row.lost, animals=row.entered)
        low, high = (interval.low, interval.high) if interval is not None and share > 0 else (share, share)
        found.append(Step(day, share, low, high))
    return found


def _cost_lines(row: RearingRow, currency: Currency, width: int, signs: Signs) -> list[str]:
    if row.cost_per_reared is None:
        return ["There is no cost per reared adult yet."]
    lines = [f"One reared adult cost {each(row.cost_per_reared, currency)} {currency.code} ({row.cost_reached} reared)"]
    if row.so_far:
        lines[0] += f", {row.so_far}"
    for title, found in (("By kind of cost", row.by_category), ("By the stage at which it arose", row.by_stage)):
        if found:
            lines += ["", title, *_ladder(found, currency, width, signs)]
    lines.append("")
    if row.cost_without_losses is not None:
        lines.append(f"Same spending, no losses: {each(row.cost_without_losses, currency)} {currency.code}")
    if row.naive_cost is not None:
        lines.append(
            f"A quick sum, all that was spent divided by the reared: {each(row.naive_cost, currency)} {currency.code}. "
            "It charges the reared with the young that were sold, and with what was spent on other species too."
        )
    return lines


def _ladder(found: Sequence[CostPart], currency: Currency, width: int, signs: Signs) -> list[str]:
    """Parts drawn in thousandths of a minor unit, so that small ones keep their share."""
    rungs = [
        Rung(part.name, round_half_even(part.each.numerator * 1000, part.each.denominator), each(part.each, currency))
        for part in found
    ]
    whole = sum((part.each for part in found), start=found[0].each * 0)
    total = Rung("one reared adult", sum(rung.amount for rung in rungs), each(whole, currency))
    return ladder(rungs, total, width=width, signs=signs)
