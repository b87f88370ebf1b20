"""The species of the ledger, and the stages of one with the figures in force: days, survival, care weight."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from ledger.stock.figures import SPECIES_FIGURES, Figures, figures
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
ITSELF = "the species"
"""First row of the stages: figures of the species as a whole."""


class SpeciesPage(ListPage):
    """Every species."""

    WHERE = "species"
    HELP = (
        "A species has its stages in the order of life; one of them is the stage that counts as reared. A template "
        "brings published figures, each with its source; Enter shows them and lets you set your own from a day on."
    )
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("open", "enter", "stages", "The stages of this species with their figures."),
        Act("new_species", "n,t", "new species", "Take a species in, from a template or described by hand."),
        Act("remind", "r", "reminder", "Enter a reminder about rules for this species."),
        BACK,
    )
    COLUMNS = (
        Column("code", 6),
        Column("name", 26),
        Column("scientific"),
        Column("reared", 12),
        Column("stages", 6, right=True),
        Column("group", 20, above=WIDE),
    )
    EMPTY = ("There are no species yet.", "Press n and choose a template: its stages and figures come with it.")

    def __init__(self) -> None:
        super().__init__()
        self._species: dict[str, SpeciesRow] = {}

    def title_words(self) -> str:
        return "Species and stages"

    def all_rows(self) -> list[Row]:
        self._species = {row.code: row for row in self.desk.ledger.species()}
        return [
            Row(
                row.code,
                ((row.code, "bold"), row.common, row.scientific, row.reared, str(len(row.stages)), row.group),
            )
            for row in self._species.values()
        ]

    def detail(self, key: str) -> str:
        row = self._species[key]
        return " ".join(part for part in (" → ".join(one.name for one in row.stages), row.caution) if part)

    def sum_up(self) -> str:
        return f"{len(self._species)} species"

    async def action_open(self) -> None:
        """Its stages."""
        if self.chosen is not None:
            await self.desk.open_form(StagesPage(self.chosen))

    async def action_new_species(self) -> None:
        """From a template or by hand."""
        choices: list[Choice[type[Form]]] = [
            Choice("From a template", NewSpeciesForm, "stages and published figures come with it"),
            Choice("Described by hand", DescribeForm, "you name the stages"),
        ]
        await self.app.push_screen(Chooser("A new species", choices), self._open_chosen)

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
    HELP = (
        "Figures in force today, the first row for the species as a whole. Hard: days in the stage before an animal "
        "should be sold. Days: usual length of the stage. Survives: a planning guess until your own lots suffice. "
        "Care: share of feed beside a full-fed animal. Empty means not known, which is never nought."
    )
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("set_figure", "e,enter", "set figure", "Set a figure of this row from a day on."),
        BACK,
    )
    COLUMNS = (
        Column("stage"),
        Column("counted", 8, above=WIDE),
        Column("sold", 4),
        Column("post", 4),
        Column("hard", 4, right=True),
        Column("days", 9, right=True),
        Column("survives", 8, right=True),
        Column("loss", 6, right=True),
        Column("care", 5, right=True),
    )

    def __init__(self, species: str) -> None:
        super().__init__()
        self._code = species
        self._row: SpeciesRow | None = None
        self._figures: Figures | None = None

    def title_words(self) -> str:
        return f"Stages of {self._code}"

    def all_rows(self) -> list[Row]:
        ledger = self.desk.ledger
        self._row = row = next(one for one in ledger.species() if one.code == self._code)
        self._figures = known = ledger.ask(figures, ledger.today)

        def figure(stage: int | None, name: str) -> str:
            return figure_words(name, known.of(row.id, stage, name))

        rows = [Row(ITSELF, ((ITSELF, "bold"), "", "", "", "", "", "", "", ""))]
        for one in row.stages:
            low, high = figure(one.id, "days low"), figure(one.id, "days high")
            rows.append(
                Row(
                    one.name,
                    (
                        f"{one.name} (reared)" if one.reared else one.name,
                        one.unit,
                        figure(one.id, "saleable"),
                        "no" if known.yes(row.id, one.id, "do not post") else "",
                        figure(one.id, "hardening days"),
                        low if low == high else f"{low}-{high}",
                        figure(one.id, "planning survival"),
                        figure(one.id, "loss rate"),
                        figure(one.id, "care weight"),
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
                f"{name}: {figure_words(name, value)}"
                for name in SPECIES_FIGURES
                if (value := known.of(row.id, None, name)) is not None
            ]
            return "; ".join(said) or "No figure of the species as a whole is set; e sets one, such as round days."
        stage = next(one for one in row.stages if one.name == key)
        sources = [
            f"{name}: {source}"
            for name in ("days low", "planning survival", "hardening days")
            if (source := known.source(row.id, stage.id, name))
        ]
        return " · ".join(sources)

    def sum_up(self) -> str:
        return f"{self._code} · {self._row.common if self._row is not None else ''}"

    async def action_set_figure(self) -> None:
        """A figure."""
        if self.chosen is not None:
            await self.desk.open_form(FigureForm(self._code, "" if self.chosen == ITSELF else self.chosen))
