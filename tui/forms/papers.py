"""What is asked before papers about animals are written: labels for tubs, and the register of a period."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import Any

from exports.documents.sheets import SHEETS, USUAL, read_sheet, read_shift
from ledger.days import long_day
from ledger.errors import BadInput
from ledger.records.settings import setting
from ledger.wording import say
from tui.forms.asking import Asking
from tui.verbs import typed
from tui.widgets.fields import FieldSpec, codes, day, in_days, nothing_beside, text


class LabelsForm(Asking):
    """Labels for tubs; `subject`: the lot they are for at first."""

    WHERE = "labels"
    HELP = say(
        "Labels with a QR code of the lot, for the sheet you have: its usual name, or as you describe "
        "it. Print at 100 %, without scaling; an outline helps to hold the first print against a sheet."
    )

    def heading(self) -> str:
        return say("Labels for tubs")

    def specs(self) -> Sequence[FieldSpec]:
        lots = list(self.desk.jot_setting().vocabulary.stages)
        sheet = self.desk.ledger.ask(setting, say("label sheet"), "") or USUAL
        return (
            FieldSpec(
                "lots",
                say("lots or tubs"),
                codes,
                self.subject,
                nothing_beside,
                hint=say("P08 P09/07; empty: all"),
                known=lots,
                several=True,
            ),
            FieldSpec("tubs", say("one for"), str, say("each lot"), choices=(say("each lot"), say("each tub"))),
            FieldSpec("sheet", say("sheet"), read_sheet, sheet, nothing_beside, hint="a4 5x13", known=tuple(SHEETS)),
            FieldSpec("start", say("first label at"), _place, "1", nothing_beside, hint=say("its place on the sheet")),
            FieldSpec("shift", say("shift"), read_shift, "0,0", nothing_beside, hint=say("mm right, mm down")),
            FieldSpec("outline", say("outline"), str, "no", choices=("no", "yes")),
        )

    def said_of(self, values: Mapping[str, Any]) -> str:
        return say("Will be written into {papers} as PDF and as text.", papers=self.desk.papers)


class PackLabelsForm(LabelsForm):
    """Labels for the packs of a fair that stand ready."""

    WHERE = "pack-labels"
    HELP = say(
        "A label for each pack that stands ready: its mark, what is in it, its price and its origin, for the sheet you "
        "have. Print at 100 %, without scaling."
    )

    def heading(self) -> str:
        return say("Labels for packs")

    def specs(self) -> Sequence[FieldSpec]:
        return [spec for spec in super().specs() if spec.key not in ("lots", "tubs")]


def _place(written: str) -> int:
    return typed.whole(written.strip(), say("the place of a label"), "start", most=1000)


class RegisterForm(Asking):
    """The register of animals of a period."""

    WHERE = "register"
    HELP = say(
        "Every lot of the period: who from, when in, when out, to whom. What an authority asks for is for local rules."
    )

    def heading(self) -> str:
        return say("The register of animals of a period")

    def specs(self) -> Sequence[FieldSpec]:
        ledger, order = self.desk.ledger, self.desk.order
        species = [row.code for row in ledger.species()]
        first = ledger.today.replace(month=1, day=1).isoformat()
        return (
            FieldSpec("first", say("first day"), day(ledger.today, order), first, in_days),
            FieldSpec("last", say("last day"), day(ledger.today, order), "today", in_days),
            FieldSpec(
                "species",
                say("species"),
                text("species", limit=20),
                "",
                nothing_beside,
                hint=say("else all"),
                known=species,
            ),
        )

    def said_of(self, values: Mapping[str, Any]) -> str:
        first: dt.date = values["first"]
        last: dt.date = values["last"]
        if last < first:
            raise BadInput(say("The last day is before the first; swap them."), field="last")
        return say(
            "From {first} to {last}, will be written into {papers} as PDF and as text.",
            first=long_day(first),
            last=long_day(last),
            papers=self.desk.papers,
        )
