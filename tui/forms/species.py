"""Forms about a species: a figure of it or of one of its stages from a day on, and a species described by hand."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from ledger.stock.commands import DescribeSpecies, SetFigure
from ledger.stock.figures import MILLIONTHS, SPECIES_FIGURES, STAGE_FIGURES, THOUSANDTHS, YES_NO
from ledger.text import clean_code
from ledger.wording import decimals, say, word
from tui.typed_words import known_word
from tui.verbs.described import described
from tui.verbs.species import read_figure
from tui.widgets.fields import FieldSpec, day, in_days, nothing_beside, text
from tui.widgets.form import Form


class FigureForm(Form):
    """A dated figure.

    Args:
        species: its code.
        stage: name of the stage; empty for the species itself.
    """

    WHERE = "set-figure"
    HELP = say(
        "A figure counts from its day on; what was reckoned for days before keeps the old one. Survival "
        "and loss rates are written like 85% or 0.85, care weights like 0.5, where 1 is a full share; "
        "yes or no for sold and not to post. Say where it comes from."
    )

    def __init__(self, species: str, stage: str) -> None:
        super().__init__(f"{species} {stage}".strip())
        self._species, self._stage = species, stage

    def heading(self) -> str:
        return say("{subject}: a figure from a day on", subject=self.subject)

    def specs(self) -> Sequence[FieldSpec]:
        names = STAGE_FIGURES if self._stage else SPECIES_FIGURES
        first = say("hardening days") if self._stage else say("round days")
        return (
            FieldSpec("name", say("figure"), str, first, choices=names),
            FieldSpec(
                "value",
                say("is"),
                text("value", limit=20, needed=True),
                "",
                nothing_beside,
                hint=say("14, 85%, 0.5, yes or no"),
            ),
            FieldSpec("from_on", say("from"), day(self.desk.ledger.today, self.desk.order), "today", in_days),
            FieldSpec(
                "source", say("source"), text("source", limit=1000), say("as entered by the keeper"), nothing_beside
            ),
        )

    def command(self, values: Mapping[str, Any]) -> SetFigure:
        _, name, value = read_figure([values["name"], known_word(values["value"], ("yes", "no"))])
        return SetFigure(self._species, self._stage or None, name, value, values["from_on"], values["source"])


def figure_words(name: str, value: int | None) -> str:
    """A figure as a keeper reads it; nothing when it is not known."""
    if value is None:
        return ""
    if name in YES_NO:
        return say("yes") if value else say("no")
    if name in MILLIONTHS:
        return decimals(f"{value / 10_000:g}%")
    return decimals(f"{value / 1000:g}") if name in THOUSANDTHS else str(value)


class DescribeForm(Form):
    """A species no template is shipped for."""

    WHERE = "describe-species"
    HELP = say(
        "Write the stages in order with a comma between them; clutch=object marks what is counted as one "
        "until it hatches, dried=specimen what is dead. Figures for each stage are set afterwards. A "
        "template of the group (group-beetle, group-mantid) is often the shorter way."
    )

    def heading(self) -> str:
        return say("A new species, described by hand")

    def specs(self) -> Sequence[FieldSpec]:
        groups = list(dict.fromkeys(row.group for row in self.desk.ledger.species()))
        return (
            FieldSpec("code", say("code"), clean_code, "", str, hint=say("such as SNAIL")),
            FieldSpec("common", say("called"), text("name", needed=True), "", nothing_beside),
            FieldSpec("scientific", say("scientific"), text("scientific name"), "", nothing_beside),
            FieldSpec(
                "group", say("group"), text("group", limit=60), "", nothing_beside, hint=say("snails"), known=groups
            ),
            FieldSpec(
                "stages",
                say("stages"),
                text("stages", limit=1000, needed=True),
                "",
                nothing_beside,
                hint=say("clutch=object, juvenile, adult"),
            ),
            FieldSpec("sold", say("sold at"), text("stages", limit=500), "", nothing_beside, hint=word("adult")),
            FieldSpec(
                "reared",
                say("reared is"),
                text("stage", limit=40),
                "",
                nothing_beside,
                hint=say("else the last of animals"),
            ),
        )

    def command(self, values: Mapping[str, Any]) -> DescribeSpecies:
        return described(
            values["code"],
            values["stages"],
            common=values["common"],
            scientific=values["scientific"],
            group=values["group"],
            reared=values["reared"],
            sold=values["sold"],
        )
