"""Figures of method, for the adviser: each dated row as it was set, and a form for each kind of them."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from ledger.costs.keys import SHARING
from ledger.costs.methods import METHODS, SHARE
from ledger.wording import capital, say, word
from tui.actions import Act
from tui.forms.method import BusinessShareForm, CareForm, HourRateForm, SharingForm, StandardForm, WordForm
from tui.places.listing import ListPage
from tui.places.page import BACK
from tui.widgets.chooser import Choice, Chooser
from tui.widgets.form import Form
from tui.widgets.paged import Column, Row

if TYPE_CHECKING:
    from ledger.costs.methods import MethodRow

TAX = "tax "
"""How the names of thresholds begin, which have a page of their own."""


def _named(name: str) -> str:
    """A figure of method as a keeper calls it."""
    if name.startswith(SHARE):
        return say("business part of {category}", category=word(name.removeprefix(SHARE)))
    if name.startswith(SHARING):
        return say("sharing of {category}", category=word(name.removeprefix(SHARING)))
    return word(name)


class MethodPage(ListPage):
    """Every figure that was set, by name and day."""

    WHERE = "method"
    HELP = say(
        "How costs are reckoned: each row counts from its day on, and a closed year keeps its own. Where "
        "nothing is set all stands as it comes: costs gross, brood to the offspring, shared by "
        "animal-days, all of it business. Loss rates and general care weights belong to a stage: see "
        "Species and stages in Settings."
    )
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("new_figure", "n", say("new"), say("Set a figure of method from a day on.")),
        BACK,
    )
    COLUMNS = (Column(say("method"), 32), Column(say("is"), 14), Column(say("from"), 11), Column(say("why")))
    EMPTY = (
        say("No method was set: all stand as they come."),
        say("Press n to set one from a day on; ask your adviser first."),
    )

    def __init__(self) -> None:
        super().__init__()
        self._rows: dict[str, MethodRow] = {}

    def title_words(self) -> str:
        return say("For your adviser: method")

    def all_rows(self) -> list[Row]:
        money = self.desk.ledger.currency
        found = [row for row in self.desk.ledger.methods() if not row.name.startswith(TAX)]
        self._rows = {str(at): row for at, row in enumerate(found)}
        return [
            Row(key, ((_named(row.name), "bold"), row.in_words(money), self.day(row.from_on), row.note))
            for key, row in self._rows.items()
        ]

    def detail(self, key: str) -> str:
        row = self._rows[key]
        return say(
            "{name}: {in_words} from {from_on}. {note}",
            name=_named(row.name),
            in_words=row.in_words(self.desk.ledger.currency),
            from_on=self.day(row.from_on),
            note=row.note,
        ).rstrip()

    def sum_up(self) -> str:
        return say("{rows} set", rows=len(self._rows))

    async def action_new_figure(self) -> None:
        """Which one, then its form."""
        beside = {
            say("cost basis"): say("with or without the tax in it"),
            "brood": say("what becomes of the upkeep of breeders"),
            "deposits": say("when a deposit that is kept counts as earned"),
        }
        words: list[Choice[Callable[[], Form]]] = [
            Choice(capital(word(name)), partial(WordForm, name), beside.get(name, "")) for name in METHODS
        ]
        choices: list[Choice[Callable[[], Form]]] = [
            Choice(say("Sharing of a category"), SharingForm, say("by animal-days or by tub-days")),
            Choice(say("Business part of a category"), BusinessShareForm, say("where the household uses it too")),
            Choice(say("Care weight for a category"), CareForm, say("a stage may eat much and take no more room")),
            Choice(say("Standard cost of a stage"), StandardForm, say("for the other valuation")),
            Choice(say("Hour rate"), HourRateForm, say("your own time, a memo")),
            *words,
        ]
        await self.app.push_screen(Chooser(say("Set a figure of method"), choices), self._open_chosen)

    async def _open_chosen(self, make: Callable[[], Form] | None) -> None:
        if make is not None:
            await self.desk.open_form(make())
