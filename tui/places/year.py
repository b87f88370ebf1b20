"""The accounting year: income on both bases, whether everything adds up, the workbook, and the closing."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar

from textual.containers import VerticalScroll
from textual.widget import Widget
from textual.widgets import Static

from ledger.books.commands import CloseYear, Counted, CountStock
from ledger.days import long_day
from ledger.errors import Refused
from ledger.money import Currency, amount_text
from ledger.records.periods import period_by_year, year_of
from tui.actions import Act
from tui.aside import Aside
from tui.charts import fit
from tui.frame import Place
from tui.places.page import AskedPage, TextPage, hanging
from tui.plain import drawing, words
from tui.widgets.fields import FieldSpec, day, in_days, nothing_beside, text, whole
from tui.widgets.foot import Answer
from tui.widgets.form import Form

if TYPE_CHECKING:
    from exports.workbook.write import Written
    from ledger.books.checks import Check
    from ledger.books.helps import TaxHelps
    from ledger.books.income import Income, IncomeLine
    from ledger.books.late import Late
    from ledger.ledger import Ledger


NAMES = 26
"""Cells below which the name of a line of income is not put beside its figures."""
STOCK_CHECK = "stock"
"""Key of the check that counts the animals at the end of the year."""


@dataclass(frozen=True, slots=True)
class YearAnswer:
    """What the place shows of one year."""

    income: Income
    checks: tuple[Check, ...]
    specimens: int
    """Dried specimens among the animals at the end of the year."""


def year_answer(ledger: Ledger, year: int) -> YearAnswer:
    """Everything the place shows of a year. Raises BadInput."""
    end = min(ledger.ask(period_by_year, year).last_day, ledger.today)
    dried = sum(row.count for row in ledger.stock(end) if row.unit == "specimen")
    return YearAnswer(ledger.income(year), ledger.checks(year), dried)


def write_workbook(ledger: Ledger, year: int, folder: Path) -> Written:
    """Write the workbook of a year into a folder."""
    from exports.workbook.write import write

    return write(ledger, year, folder)


class YearPlace(Aside[None], Place):
    """One accounting year."""

    NAME = "year"
    WHERE = "year"
    TITLE_WORDS = "Year"
    HELP = (
        "Cash counts what was received and paid; accruals what was earned and spent. This is a working paper for you "
        "and your adviser, not a tax return; rules differ from place to place. Closing a year makes its figures stand."
    )
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("earlier", "left", "earlier", "The year before."),
        Act("later", "right", "later", "The year after."),
        Act("workbook", "w", "workbook", "Write the workbook of this year for an accountant."),
        Act("checks", "k", "checks", "Every check, with what to do where one does not hold."),
        Act("count", "n", "count stock", "Record what was counted of a lot; what differs is recorded with its reason."),
        Act("late", "l", "late facts", "What was recorded after the year was closed, and its stock both ways."),
        Act("helps", "t", "thresholds", "Your own thresholds and dates to keep records.", shown=False),
        Act("stop", "escape", "stop", "Stop what is being added up or written.", shown=False),
        Act("close", "c", "close", "Close this year: from then on its figures stand."),
    )

    def __init__(self) -> None:
        super().__init__()
        self._year = 0
        self._answer: YearAnswer | None = None
        self._writing = False

    def body(self) -> Iterable[Widget]:
        ledger = self.desk.ledger
        self._year = ledger.ask(year_of, ledger.today)
        yield Static(id="year-title", markup=False, classes="line")
        yield VerticalScroll(Static(id="year-text", markup=False), classes="body")

    def first_focus(self) -> Widget | None:
        return self.query_one(VerticalScroll)

    def on_mount(self) -> None:
        super().on_mount()
        self.read_anew()

    def read_anew(self) -> None:
        self._title(f"{self._year}: adding up ...")
        ledger, year = self.desk.ledger, self._year
        self.ask_aside(partial(year_answer, ledger, year))

    def _title(self, text: str) -> None:
        self.query_one("#year-title", Static).update(words(text, "bold"))

    def told(self, answer: object) -> None:
        if not isinstance(answer, YearAnswer):
            self._written(answer)
            return
        self._answer = answer
        income = answer.income
        amiss = [check for check in answer.checks if not check.holds]
        state = "closed" if income.closed else "open"
        adds_up = "✓ everything adds up" if not amiss else f"! {len(amiss)} of {len(answer.checks)} checks to look at"
        self._title(f"‹ {income.year} ›  {state} · {adds_up}")
        width = max(24, min(self.app.size.width - 4, 100))
        lines = income_lines(income, self.desk.ledger.currency, width)
        lines += hanging((f"! {check.name}: {check.advice}" for check in amiss), width)
        self.query_one("#year-text", Static).update(drawing(lines))
        money = self.desk.ledger.currency
        self.foot.sum_up(f"cash {amount_text(income.cash_result, money)} {money.code}")

    def refused(self, refusal: Refused) -> None:
        if self._writing:
            self._writing = False
            self.desk.say(Answer(refusal.sentence, "refused"))
            self.read_anew()
            return
        self._answer = None
        self._title(f"‹ {self._year} ›")
        self.query_one("#year-text", Static).update(words(f"! {refusal.sentence}", "$warning"))

    def action_earlier(self) -> None:
        """The year before."""
        self._year -= 1
        self.read_anew()

    def action_later(self) -> None:
        """The year after."""
        self._year += 1
        self.read_anew()

    async def action_checks(self) -> None:
        """Every check."""
        if self._answer is not None:
            lines = check_lines(self._answer.checks, self.desk.ledger.currency, self._answer.specimens)
            await self.desk.open_form(TextPage(f"Checks of {self._year}", lambda: lines))

    def action_workbook(self) -> None:
        """Write the workbook aside, into the folder the program was started in."""
        self._title(f"{self._year}: writing the workbook ...")
        self._writing = True
        self.ask_aside(partial(write_workbook, self.desk.ledger, self._year, self.desk.papers))

    def action_stop(self) -> None:
        """Wait no longer for what is being added up."""
        if self._writing and not self.desk.reckoner.large():
            self.desk.say(Answer("The workbook is being written; in a moment it is there."))
        elif self.stop_asking():
            self._writing = False
            self._title(f"‹ {self._year} ›  stopped")

    def _written(self, written: object) -> None:
        self._writing = False
        path: Path = written.path  # type: ignore[attr-defined]
        draft = written.draft  # type: ignore[attr-defined]
        said = "a draft: a check does not hold" if draft else "every check holds"
        self.desk.say(Answer(f"The workbook is {path} ({said}).", "caution" if draft else "done"))
        self.read_anew()

    async def action_count(self) -> None:
        """Record a count of the stock."""
        await self.desk.open_form(CountForm(str(self._year)))

    async def action_late(self) -> None:
        """Late facts."""
        asked = partial(self.desk.ledger.late, self._year)
        await self.desk.open_form(AskedPage(f"Late facts of {self._year}", asked, late_lines))

    async def action_helps(self) -> None:
        """The keeper's own thresholds."""
        ledger, money = self.desk.ledger, self.desk.ledger.currency
        page = AskedPage("Thresholds and dates to keep", ledger.tax_helps, lambda helps: help_lines(helps, money))
        await self.desk.open_form(page)

    async def action_close(self) -> None:
        """Close the year."""
        await self.desk.open_form(CloseForm(str(self._year)))


class CloseForm(Form):
    """A year is closed."""

    WHERE = "close-year"
    HELP = "After closing nothing can be recorded into the year any more; what is found later counts in the open year."

    def heading(self) -> str:
        return f"Close {self.subject}: from then on its figures stand"

    def specs(self) -> Sequence[FieldSpec]:
        return (FieldSpec("on", "closed on", day(self.desk.ledger.today, self.desk.order), "today", in_days),)

    def command(self, values: Mapping[str, Any]) -> CloseYear:
        on: dt.date = values["on"]
        return CloseYear(int(self.subject), on)


class CountForm(Form):
    """A line of a stock count."""

    WHERE = "count-stock"
    HELP = (
        "The number in the records stays unless you counted another one; then the difference is recorded with its "
        "reason. The whole list at once: rearledger stock-count --format csv, filled in, brought back with --from."
    )

    def heading(self) -> str:
        return "Count of the stock: one lot and stage"

    def specs(self) -> Sequence[FieldSpec]:
        from ledger.books.stock_count import FEWER, MORE

        today = self.desk.ledger.today
        last = min(self.desk.ledger.ask(period_by_year, int(self.subject)).last_day, today)
        start = "today" if last == today else last.isoformat()
        # The words of the jot line name them; what is in stock line by line takes a second on a large ledger.
        ladders = self.desk.jot_setting().vocabulary.stages
        lots = list(ladders)
        stages = list(dict.fromkeys(name for ladder in ladders.values() for name, _ in ladder))
        return (
            FieldSpec("lot", "lot", text("lot", limit=20, needed=True), known=lots),
            FieldSpec("stage", "stage", text("stage", limit=40, needed=True), known=stages),
            FieldSpec("count", "counted", whole("number counted", least=0), "", nothing_beside),
            FieldSpec("sex", "sex", text("sex", limit=20), "", nothing_beside, hint="if only those were counted"),
            FieldSpec("tub", "tub", text("tub", limit=20), "", nothing_beside, hint="the same"),
            FieldSpec("reason", "why it differs", text("reason"), "", nothing_beside, known=(*FEWER, *MORE)),
            FieldSpec("on", "counted on", day(today, self.desk.order), start, in_days),
        )

    def command(self, values: Mapping[str, Any]) -> CountStock:
        which = values["sex"] or None, values["tub"] or None
        counted = Counted(values["lot"], values["stage"], values["count"], values["reason"], *which)
        return CountStock(values["on"], (counted,))


def late_lines(found: Late) -> list[str]:
    """Late facts of a year, then the lots and stages whose stock differs by them."""
    lines = [
        f"{fact.happened_on} → {fact.accounted_on}  {fact.kind} {fact.number}: {fact.what}" for fact in found.facts
    ]
    year = found.period.year
    differing = [
        f"{row.lot} {row.stage}: {row.in_books} in the books, {row.known_now} as known now"
        for row in found.stock
        if row.differs
    ]
    return [
        "The day it happened → the day it is accounted on",
        *(lines or [f"Nothing of {year} was recorded after it was closed."]),
        "",
        f"Stock at the end of {long_day(found.period.last_day)}, both ways",
        *(differing or ["The same by the books and as known now."]),
    ]


def help_lines(helps: TaxHelps, currency: Currency) -> list[str]:
    """Thresholds beside what the books come to, and how long records are kept."""
    from ledger.books.helps import CONTAINS, LABEL

    lines = []
    for one in helps.thresholds:
        amounts = [amount_text(minor, currency) for minor in (one.threshold, one.year_total, one.rolling, one.highest)]
        sign, note = "! " if one.reached else "", f", {one.note}" if one.note else ""
        lines += [
            f"{sign}{one.name}: {amounts[0]} {currency.code}{note}",
            f"  this year {amounts[1]}; the last twelve months {amounts[2]}",
            f"  most in any twelve months {amounts[3]}, to {long_day(one.highest_on)}",
        ]
    lines += [f"Records of {row.year}: keep until {long_day(row.keep_until)}" for row in helps.keep]
    if not lines:
        lines = ['Nothing is set. Set yours with: rearledger tax-helps threshold "small seller" 10000.00']
    return [*lines, "", f"{LABEL.capitalize()}. The totals are {CONTAINS}."]


def income_lines(income: Income, currency: Currency, width: int) -> list[str]:
    """Both bases side by side, then the bridge between them."""
    figure = 12
    room = width - 2 * figure

    def line(name: str, cash: str, accruals: str) -> str:
        if room < NAMES:
            # On a phone a name has a line of its own: cut short it would say nothing.
            figures = fit(cash, figure, right=True) + fit(accruals, figure, right=True)
            return "\n".join([*hanging([name], width), fit(figures, width, right=True)])
        return fit(name, room) + fit(cash, figure, right=True) + fit(accruals, figure, right=True)

    def row(one: IncomeLine) -> str:
        return line(one.name, _amount(one.cash, currency), _amount(one.accruals, currency))

    rule = "─" * width
    return [
        line(f"in {currency.code}", "cash", "accruals"),
        rule,
        *(row(one) for one in income.lines),
        rule,
        line("Result", _amount(income.cash_result, currency), _amount(income.accruals_result, currency)),
        "",
        *hanging(["From the cash result to the accruals result"], width),
        *(line(one.name, "", _amount(one.accruals, currency)) for one in income.bridge),
        "",
        *hanging(["Working paper, not a tax return; ask your adviser what counts where you live."], width),
    ]


def _amount(minor: int | None, currency: Currency) -> str:
    return "" if minor is None else amount_text(minor, currency)


def check_lines(checks: Sequence[Check], currency: Currency, specimens: int = 0) -> list[str]:
    """Every check with its two sides; the count of animals says how many of them are dried."""
    lines = []
    for check in checks:
        sides = [check.first, check.second]
        said = [amount_text(side, currency) if check.unit == "money" else str(side) for side in sides]
        sign = "✓" if check.difference == 0 else "·" if check.remark else "!"
        lines.append(f"{sign} {fit(check.name, 56)} {said[0]:>11} {said[1]:>11}")
        if check.key == STOCK_CHECK and specimens:
            dried = "1 dried specimen" if specimens == 1 else f"{specimens} dried specimens"
            lines.append(f"    of which {dried}; 3 Stock counts the living")
        if check.difference:
            lines.append(f"    {check.advice}")
    return lines
