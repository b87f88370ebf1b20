"""The species of the ledger, and the stages of one with the figures in force: days, survival, care weight."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from ledger.stock.figures import SPECIES_FIGURES, Figures, figures
from ledger.wording import say, strung, word
from tui.actions import Act
from tui.forms.lots import NewSpeciesForm
from tui.forms.species import DescribeForm, FigureForm, figure_words
from tui.places.listing import ListPage
from tui.places.page import BACK
from tui.widgets.chooser import Choice, Chooser
from tui.widgets.form import Form
from tui.widgets.paged import Column, Row

if TYPE_CHECKING:
    from ledger.stock.catalogue import SpeciesRow

WIDE = 110
ITSELF = say("the species")
"""First row of the stages: figures of the species as a whole."""


class SpeciesPage(ListPage):
    """Every species."""

    WHERE = "species"
    HELP = say(
        "A species has its stages in the order of life; one of them is the stage that counts as reared. "
        "A template brings published figures, each with its source; Enter shows them and lets you set "
        "your own from a day on."
    )
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("open", "enter", say("stages"), say("The stages of this species with their figures.")),
        Act("new_species", "n", say("new"), say("Take a species in, from a template or described by hand.")),
        Act("remind", "ctrl+n", say("reminder"), say("Enter a reminder about rules for this species.")),
        BACK,
    )
    COLUMNS = (
        Column(say("code"), 6),
        Column(say("name"), 26),
        Column(say("scientific")),
        Column(say("reared"), 12),
        Column(say("stages"), 7, right=True),
        Column(say("group"), 20, above=WIDE),
    )
    EMPTY = (
        say("There are no species yet."),
        say("Press n and choose a template: its stages and figures come with it."),
    )

    def __init__(self) -> None:
        super().__init__()
        self._species: dict[str, SpeciesRow] = {}

    def title_words(self) -> str:
        return say("Species and stages")

    def all_rows(self) -> list[Row]:
        self._species = {row.code: row for row in self.desk.ledger.species()}
        return [
            Row(
                row.code,
                (
                    (row.code, "bold"),
                    word(row.common),
                    row.scientific,
                    word(row.reared),
                    str(len(row.stages)),
                    word(row.group),
                ),
            )
            for row in self._species.values()
        ]

    def detail(self, key: str) -> str:
        row = self._species[key]
        stages = strung((word(one.name) for one in row.stages), " → ")
        return strung((part for part in (stages, word(row.caution)) if part), " ")

    def sum_up(self) -> str:
        return say("{species} species", species=len(self._species))

    async def action_open(self) -> None:
        """Its stages."""
        if self.chosen is not None:
            await self.desk.open_form(StagesPage(self.chosen))

    async def action_new_species(self) -> None:
        """From a template or by hand."""
        choices: list[Choice[type[Form]]] = [
            Choice(say("From a template"), NewSpeciesForm, say("stages and published figures come with it")),
            Choice(say("Described by hand"), DescribeForm, say("you name the stages")),
        ]
        await self.app.push_screen(Chooser(say("A new species"), choices), self._open_chosen)

    async def _open_chosen(self, form: type[Form] | None) -> None:
        if form is not None:
            await self.desk.open_form(form())

    async def action_remind(self) -> None:
        """A reminder."""
        from tui.forms.reminders import ReminderForm

        if self.chosen is not None:
            await self.desk.open_form(ReminderForm(self.chosen))


class StagesPage(ListPage):
    """The stages of one species.

    Args:
        species: its code.
    """

    WHERE = "stages"
    HELP = say(
        "Figures in force today, the first row for the species as a whole. Hard: days in the stage "
        "before an animal should be sold. Days: usual length of the stage. Survives: a planning guess "
        "until your own lots suffice. Care: share of feed beside a full-fed animal. Empty means not "
        "known, which is never nought."
    )
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("set_figure", "enter", say("set figure"), say("Set a figure of this row from a day on.")),
        BACK,
    )
    COLUMNS = (
        Column(say("stage")),
        Column(say("counted"), 8, above=WIDE),
        Column(say("sold"), 8),
        Column(say("post"), 7),
        Column(say("hard"), 4, right=True),
        Column(say("days"), 9, right=True),
        Column(say("survives"), 8, right=True),
        Column(say("loss"), 6, right=True),
        Column(say("care"), 6, right=True),
    )

    def __init__(self, species: str) -> None:
        super().__init__()
        self._code = species
        self._row: SpeciesRow | None = None
        self._figures: Figures | None = None

    def title_words(self) -> str:
        return say("Stages of {code}", code=self._code)

    def all_rows(self) -> list[Row]:
        ledger = self.desk.ledger
        self._row = row = next(one for one in ledger.species() if one.code == self._code)
        self._figures = known = ledger.ask(figures, ledger.today)

        def figure(stage: int | None, name: str) -> str:
            return figure_words(name, known.of(row.id, stage, name))

        rows = [Row(ITSELF, ((ITSELF, "bold"), "", "", "", "", "", "", "", ""))]
        for one in row.stages:
            low, high = figure(one.id, say("days low")), figure(one.id, say("days high"))
            rows.append(
                Row(
                    one.name,
                    (
                        say("{name} (reared)", name=word(one.name)) if one.reared else word(one.name),
                        word(one.unit),
                        figure(one.id, "saleable"),
                        say("no") if known.yes(row.id, one.id, "do not post") else "",
                        figure(one.id, say("hardening days")),
                        low if low == high else f"{low}-{high}",
                        figure(one.id, say("planning survival")),
                        figure(one.id, say("loss rate")),
                        figure(one.id, say("care weight")),
                    ),
                )
            )
        return rows

    def detail(self, key: str) -> str:
        row, known = self._row, self._figures
        assert row is not None
        assert known is not None
        if key == ITSELF:
            said = [
                say("{name}: {figure_words}", name=word(name), figure_words=figure_words(name, value))
                for name in SPECIES_FIGURES
                if (value := known.of(row.id, None, name)) is not None
            ]
            return strung(said, "; ") or say(
                "No figure of the species as a whole is set; e sets one, such as round days."
            )
        stage = next(one for one in row.stages if one.name == key)
        sources = [
            say("{name}: {source}", name=name, source=source)
            for name in (say("days low"), say("planning survival"), say("hardening days"))
            if (source := known.source(row.id, stage.id, name))
        ]
        return strung(sources, " · ")

    def sum_up(self) -> str:
        return strung((self._code, word(self._row.common) if self._row is not None else ""), " · ")

    async def action_set_figure(self) -> None:
        """A figure."""
        if self.chosen is not None:
            await self.desk.open_form(FigureForm(self._code, "" if self.chosen == ITSELF else self.chosen))
