"""A year's stock on the other valuations beside the actual cost the books stand at. For the adviser; books nothing."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from ledger.money import amount_text
from ledger.records.periods import period_by_year
from ledger.wording import counted, say, strung, word
from tui.actions import Act
from tui.forms.method import StandardForm
from tui.places.listing import Drawn, ReckonedList
from tui.places.page import BACK
from tui.places.page import Page as OnTop
from tui.widgets.paged import Column, Row

if TYPE_CHECKING:
    from ledger.books.valuation import Valuation, ValuationRow

WIDE = 110


class ValuationPage(ReckonedList, OnTop):
    """Lot and stage, line by line.

    Args:
        year: the accounting year.
    """

    WHERE = "valuation"
    HELP = say(
        "The books stand at actual cost. Standard: what you set for one animal of a stage (n), else the "
        "actual cost. Would fetch: the price list less selling costs; lower by: a warning that is not "
        "booked. Which valuation may be used is for local rules; ask your adviser."
    )
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act(
            "new_figure",
            "n",
            say("new"),
            say("Set the standard cost of one animal of a stage, from a day on."),
        ),
        BACK,
    )
    COLUMNS = (
        Column(say("lot"), 6),
        Column(say("stage")),
        Column(say("at start"), 8, right=True, above=WIDE),
        Column(say("at end"), 6, right=True),
        Column(say("actual"), 9, right=True),
        Column(say("standard"), 9, right=True),
        Column(say("would fetch"), 11, right=True),
        Column(say("lower by"), 9, right=True),
    )
    EMPTY = (
        say("No animals at the start or the end of that year."),
        say("Go back and choose another year with ← and →."),
    )

    def __init__(self, year: int) -> None:
        super().__init__()
        self._year = year
        self._valued: Valuation | None = None

    @property
    def _named(self) -> str:
        """The year as it is called: 2026-27, where it is not that of the calendar."""
        return self.desk.ledger.ask(period_by_year, self._year).name

    def title_words(self) -> str:
        return say("Valuation of {year}", year=self._named)

    def question(self) -> Callable[[], object]:
        return partial(self.desk.ledger.valuation, self._year)

    def rows_of(self, answer: object) -> Sequence[Row]:
        found: Valuation = answer  # type: ignore[assignment]
        self._valued = found
        there = [(at, row) for at, row in enumerate(found.rows) if row.at_end or row.actual_at_end]
        return Drawn(sorted(there, key=lambda one: one[1].lot), self._row)

    def _row(self, numbered: tuple[int, ValuationRow]) -> Row:
        at, row = numbered
        money = self.desk.ledger.currency
        return Row(
            str(at),
            (
                (row.lot, "bold"),
                word(row.stage),
                str(row.at_start),
                str(row.at_end),
                amount_text(row.actual_at_end, money),
                amount_text(row.standard_at_end, money) if row.has_standard else (say("not set"), "$quiet"),
                "" if row.realisable is None else amount_text(row.realisable, money),
                (say("! {lower_by}", lower_by=amount_text(row.lower_by, money)), "$warning") if row.lower_by else "",
            ),
        )

    def remark(self) -> str:
        found, money = self._valued, self.desk.ledger.currency
        if found is None or not found.rows:
            return ""
        animals = sum(row.at_end for row in found.rows)
        there = amount_text(sum(row.actual_at_end for row in found.rows), money)
        said = [
            counted(
                animals,
                "At its end: {n} animal, {there} {code} at actual cost.",
                "At its end: {n} animals, {there} {code} at actual cost.",
                there=there,
                code=money.code,
            )
        ]
        said += [
            say(
                "At {name} cost the stock changed by {change} and the result is {result} {code}.",
                name=name,
                change=amount_text(change, money),
                result=amount_text(result, money),
                code=money.code,
            )
            for name, change, result in (
                (say("actual"), found.actual_change, found.actual_result),
                (say("standard"), found.standard_change, found.standard_result),
            )
            if name == say("actual") or any(row.has_standard for row in found.rows)
        ]
        if found.lower_by:
            said.append(
                say(
                    "! Some would fetch {lower_by} less than they cost; not booked.",
                    lower_by=amount_text(found.lower_by, money),
                )
            )
        return strung(said, "\n")

    def sum_up(self) -> str:
        return say("{year}, at its end · books at actual cost", year=self._named)

    async def action_new_figure(self) -> None:
        """A standard cost."""
        await self.desk.open_form(StandardForm())
