"""The accounting year: income on both bases, whether everything adds up, the workbook, and the closing."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING, Any, ClassVar

from textual.containers import VerticalScroll
from textual.widget import Widget
from textual.widgets import Static

from ledger.days import long_day
from ledger.errors import Refused
from ledger.money import amount_text
from ledger.records.periods import period_by_year, year_of
from ledger.wording import say, strung
from tui.actions import Act
from tui.aside import Aside
from tui.forms.archive import ArchiveForm
from tui.frame import Place
from tui.places.leaf import leafed, year_name
from tui.places.long import Tell
from tui.places.page import AskedPage, TextPage, hanging
from tui.places.prove import ProvePage
from tui.places.writing import WritePage
from tui.places.year_lines import check_lines, income_lines, late_lines, reckoned_to
from tui.plain import drawing, words
from tui.widgets.foot import Answer
from tui.widgets.paged import ROOMY

if TYPE_CHECKING:
    from exports.workbook.write import Written
    from ledger.books.checks import Check
    from ledger.books.income import Income
    from ledger.ledger import Ledger
    from ledger.records.periods import Period


FIRST = (
    say("Nothing was bought, sold or kept in this year."),
    say("Write what you spend and sell as it happens (space), or bring in a sheet of your own (_); figures follow."),
)
"""Above the figures of a year that has none."""


@dataclass(frozen=True, slots=True)
class YearAnswer:
    """What the place shows of one year."""

    period: Period
    income: Income
    checks: tuple[Check, ...]
    specimens: int
    """Dried specimens among the animals at the end of the year."""

    @property
    def nothing(self) -> bool:
        """Whether the year has neither money nor animals: that nought agrees with nought says nothing."""
        money = [line for lines in (self.income.lines, self.income.bridge) for line in lines]
        return not any(line.cash or line.accruals for line in money) and not any(
            check.first or check.second for check in self.checks
        )


def year_answer(ledger: Ledger, year: int) -> YearAnswer:
    """Everything the place shows of a year. Raises BadInput."""
    period = ledger.ask(period_by_year, year)
    end = min(period.last_day, ledger.today)
    dried = sum(row.count for row in ledger.stock(end) if row.unit == "specimen")
    return YearAnswer(period, ledger.income(year), ledger.checks(year), dried)


class YearPlace(Aside[None], Place):
    """One accounting year."""

    NAME = "year"
    WHERE = "year"
    TITLE_WORDS = say("Year")
    HELP = say(
        "Cash counts what was received and paid; accruals what was earned and spent. This is a working "
        "paper for you and your adviser, not a tax return; rules differ from place to place. Closing a "
        "year makes its figures stand."
    )
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("earlier", "left", say("leaf back"), say("The year before.")),
        Act("later", "right", say("leaf on"), say("The year after.")),
        Act("workbook", "W", say("workbook"), say("Write the workbook of this year for an accountant.")),
        Act("checks", "K", say("checks"), say("Every check, with what to do where one does not hold.")),
        Act("count", "c", say("count"), say("Count the stock line by line; what differs is recorded with its reason.")),
        Act(
            "late", "Y", say("late facts"), say("What was recorded after the year was closed, and its stock both ways.")
        ),
        Act(
            "valuation",
            "percent_sign",
            say("valuation"),
            say("The stock on other valuations, for your adviser."),
            shown=False,
        ),
        Act(
            "prove", "ctrl+k", say("prove"), say("Prove from the journals that the whole ledger adds up."), shown=False
        ),
        Act(
            "archive",
            "greater_than_sign",
            say("archive"),
            say("Write the whole ledger as plain tables into one zip."),
            shown=False,
        ),
        Act("helps", "T", say("thresholds"), say("Your own thresholds and dates to keep records."), shown=False),
        Act("close", "Z", say("close"), say("Close this year: from then on its figures stand.")),
        Act("bring_in", "underscore", say("bring in"), say("Bring in a sheet of your own, or take one back.")),
        Act("stop", "escape", say("stop"), say("Stop what is being added up."), shown=False),
    )

    def __init__(self) -> None:
        super().__init__()
        self._year = 0
        self._answer: YearAnswer | None = None
        self._checks_wanted = False
        """Whether the checks are to open once it is added up."""

    def body(self) -> Iterable[Widget]:
        ledger = self.desk.ledger
        self._year = self._year or ledger.ask(year_of, ledger.today)
        yield Static(id="year-title", markup=False, classes="line")
        yield VerticalScroll(Static(id="year-text", markup=False), classes="body")

    def first_focus(self) -> Widget | None:
        return self.query_one(VerticalScroll)

    def opened(self) -> None:
        super().opened()
        self.read_anew()

    def read_anew(self) -> None:
        self._title(say("{year}: adding up ...", year=self._called))
        if self._answer is not None and self._answer.income.year != self._year:
            # Figures of another year must not stand under the name of this one.
            self._show_none(say("Adding up {year} ...", year=self._called))
        ledger, year = self.desk.ledger, self._year
        self.ask_aside(partial(year_answer, ledger, year))

    @property
    def _called(self) -> str:
        return year_name(self.desk.ledger, self._year)

    def _show_none(self, why: str) -> None:
        self._answer = None
        self.query_one("#year-text", Static).update(words(why, "$quiet"))

    def _title(self, text: str) -> None:
        self.query_one("#year-title", Static).update(words(text, "bold"))

    def told(self, answer: object) -> None:
        assert isinstance(answer, YearAnswer)
        self._answer = answer
        income = answer.income
        amiss = [check for check in answer.checks if not check.holds]
        state = say("closed") if income.closed else say("open")
        adds_up = (
            say("nothing recorded yet")
            if answer.nothing
            else say("✓ everything adds up")
            if not amiss
            else say("! {amiss} of {checks} checks to look at", amiss=len(amiss), checks=len(answer.checks))
        )
        period = answer.period
        if period.name != str(period.year) and self.app.size.width >= ROOMY:
            days = say("{first} to {last}", first=long_day(period.first_day), last=long_day(period.last_day))
            state = strung((days, state), " · ")
        self._title(say("‹ {year} ›  {state} · {adds_up}", year=period.name, state=state, adds_up=adds_up))
        width = max(24, min(self.app.size.width - 4, 100))
        lines = [*hanging(FIRST, width), ""] if answer.nothing else []
        to_when = "" if answer.nothing else reckoned_to(period, self.desk.ledger.today)
        roomy = self.app.size.width >= ROOMY
        if to_when and roomy:
            lines += [*hanging([to_when], width), ""]
        lines += income_lines(income, self.desk.ledger.currency, width)
        if to_when and not roomy:
            # On a phone the figures come first.
            lines += ["", *hanging([to_when], width)]
        lines += hanging((say("! {name}: {advice}", name=check.name, advice=check.advice) for check in amiss), width)
        self.query_one("#year-text", Static).update(drawing(lines))
        money = self.desk.ledger.currency
        self.foot.sum_up(
            say("cash {cash_result} {code}", cash_result=amount_text(income.cash_result, money), code=money.code)
        )
        if self._checks_wanted and self.is_current:
            self.desk.call_later(self._open_checks)
        self._checks_wanted = False

    def refused(self, refusal: Refused) -> None:
        self._answer, self._checks_wanted = None, False
        self._title(f"‹ {self._called} ›")
        self.query_one("#year-text", Static).update(words(say("! {sentence}", sentence=refusal.sentence), "$warning"))

    def action_earlier(self) -> None:
        """The year before."""
        self._leaf(-1)

    def action_later(self) -> None:
        """The year after."""
        self._leaf(1)

    def _leaf(self, step: int) -> None:
        before, self._year = self._year, leafed(self.desk, self._year, step)
        if self._year != before:
            self.read_anew()

    async def action_checks(self) -> None:
        """Every check, of figures as they are now: where they are still to come, once they are there."""
        if self._answer is not None and not self.asking:
            await self._open_checks()
            return
        self._checks_wanted = True
        self.desk.say(Answer(say("It is being added up; the checks open when that is done.")))
        if not self.asking:
            self.read_anew()

    async def _open_checks(self) -> None:
        if self._answer is not None:
            lines = check_lines(self._answer.checks, self.desk.ledger.currency, self._answer.specimens)
            await self.desk.open_form(TextPage(say("Checks of {year}", year=self._called), lambda: lines))

    async def action_workbook(self) -> None:
        """Write the workbook aside, into the folder the program was started in."""
        ledger, year, folder = self.desk.ledger, self._year, self.desk.papers

        reckoner = self.desk.reckoner

        def write(tell: Tell) -> object:
            from exports.workbook.write import made
            from exports.workbook.write import write as write_workbook

            def told(sheet: str = "", at: int = 0, of: int = 0) -> None:
                tell(say("sheet {sheet},", sheet=sheet) if sheet else "", at, of)

            return write_workbook(
                ledger, year, folder, make=lambda number: reckoner.call(partial(made, ledger, year, number), told)
            )

        await self.desk.open_form(WritePage(say("Workbook of {year}", year=self._called), write, _workbook_said))

    def action_stop(self) -> None:
        """Wait no longer for what is being added up."""
        if self.stop_asking():
            self._checks_wanted = False
            self._title(say("‹ {year} ›  stopped", year=self._called))
            self._show_none(say("It was stopped before it was added up, so no figures are shown. K adds up anew."))

    async def action_count(self) -> None:
        """Count the stock."""
        from tui.places.count import CountPage

        await self.desk.open_form(CountPage(self._year))

    async def action_late(self) -> None:
        """Late facts."""
        asked = partial(self.desk.ledger.late, self._year)
        told = partial(late_lines, currency=self.desk.ledger.currency, order=self.desk.order)
        await self.desk.open_form(AskedPage(say("Late facts of {year}", year=self._called), asked, told))

    async def action_helps(self) -> None:
        """The keeper's own thresholds."""
        from tui.places.helps import HelpsPage

        await self.desk.open_form(HelpsPage())

    async def action_close(self) -> None:
        """What is missing, then close the year."""
        from tui.places.closing import ClosePage

        await self.desk.open_form(ClosePage(self._year))

    async def action_bring_in(self) -> None:
        """Sheets of the keeper's own."""
        from tui.places.bring_in import BringInPage

        await self.desk.open_form(BringInPage())

    async def action_valuation(self) -> None:
        """The other valuations."""
        from tui.places.valuation import ValuationPage

        await self.desk.open_form(ValuationPage(self._year))

    async def action_prove(self) -> None:
        """Whether the whole ledger adds up."""
        await self.desk.open_form(ProvePage())

    async def action_archive(self) -> None:
        """Where to, then write it aside."""
        await self.desk.open_form(ArchiveForm(self._archive))

    async def _archive(self, values: dict[str, Any]) -> None:
        store, path, reckoner = self.desk.ledger.store, values["file"], self.desk.reckoner

        def write(tell: Tell) -> object:
            from exports.archive.write import archive_of, write_archive

            def told(table: str = "", at: int = 0, of: int = 0) -> None:
                tell(say("table {table},", table=table) if table else "", at, of)

            return write_archive(store, path, lambda: reckoner.call(partial(archive_of, store), told))

        def said(path: object) -> Answer:
            return Answer(
                say(
                    "The archive is {path}; it holds names of customers, so keep it as carefully as the ledger.",
                    path=path,
                ),
                "done",
            )

        await self.desk.open_form(WritePage(say("Archive"), write, said))


def _workbook_said(answer: object) -> Answer:
    written: Written = answer  # type: ignore[assignment]
    if written.draft:
        return Answer(say("The workbook is {path} (a draft: a check does not hold).", path=written.path), "caution")
    return Answer(say("The workbook is {path} (every check holds).", path=written.path), "done")
