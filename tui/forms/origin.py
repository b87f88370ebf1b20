"""Forms about where a lot comes from: who was with whom, who laid it, what was stated, claimed or explained of it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from ledger.errors import BadInput
from ledger.origin.commands import (
    EndExposure,
    ExplainCount,
    Expose,
    LowerOrigin,
    NameParents,
    RaiseOrigin,
    SayVirgin,
    StateOrigin,
)
from ledger.stock.commands import OriginStatement
from ledger.wording import say, strung, word
from tui.forms.animals import LotForm
from tui.forms.lots import ORIGINS
from tui.forms.optional import day_beside, or_none
from tui.forms.parents import fathers, mothers
from tui.forms.whom import supplier_field
from tui.typed_words import typed_day
from tui.verbs import typed
from tui.verbs.descent import GRADES
from tui.widgets.fields import FieldSpec, day, in_days, nothing_beside, text
from tui.widgets.form import Form

RESTS_ON = {say("own records"): "own", "document": "document", say("somebody's word"): "said", "nothing": "none"}
"""What a statement rests on, in the keeper's words."""


def _generation(written: str) -> int | None:
    bare = written.strip().upper().removeprefix("F")
    return typed.whole(bare, say("a generation"), "generation", most=1000) if bare else None


def _origin(written: str) -> str:
    code = ORIGINS.get(written.strip().casefold())
    if code is None:
        raise BadInput(
            say("Say the origin as one of: {origins}.", origins=strung(map(word, ORIGINS), "; ")), field="origin"
        )
    return code


class OriginForm(LotForm):
    """A form about the origin of a lot."""

    def lots(self) -> list[str]:
        """Every lot, to be completed."""
        return list(self.desk.jot_setting().vocabulary.stages)

    def day_or_none(self) -> Callable[[str], dt.date | None]:
        """Reads a day that may be left out."""
        today, order = self.desk.ledger.today, self.desk.order
        return or_none(lambda written: typed_day(written, today, order))

    def origin(self) -> tuple[FieldSpec, FieldSpec]:
        """Origin and generation."""
        return (
            FieldSpec("origin", say("origin"), _origin, "bred", nothing_beside, known=[*ORIGINS]),
            FieldSpec("generation", say("generation"), _generation, "", nothing_beside, hint=say("F2, if it is known")),
        )


class TogetherForm(OriginForm):
    """A female and a male are put together."""

    WHERE = "together"
    HELP = say(
        "Nothing is taken from tubs: who was with whom is what you say here. A single animal is named by "
        "its tub, such as E01/f05; the lot alone means all of it."
    )

    def heading(self) -> str:
        return say("A female and a male are together")

    def specs(self) -> Sequence[FieldSpec]:
        lots = self.lots()
        return (
            FieldSpec(
                "female", say("female"), _animal, self.subject, nothing_beside, hint=say("E01 or E01/f05"), known=lots
            ),
            FieldSpec("male", say("male"), _animal, "", nothing_beside, hint=say("E02 or E02/m01"), known=lots),
            self.when(),
            FieldSpec("to_on", say("until"), self.day_or_none(), "", day_beside, hint=say("empty: they still are")),
            FieldSpec("witnessed", say("mating"), str, say("not seen"), choices=(say("not seen"), "seen")),
            FieldSpec("evidence", say("what shows it"), text("evidence", limit=500), "", nothing_beside),
        )

    def command(self, values: Mapping[str, Any]) -> Expose:
        seen = values["witnessed"] == "seen"
        return Expose(values["female"], values["male"], values["on"], values["to_on"], seen, values["evidence"])


def _animal(written: str) -> str:
    return text("animal", limit=40, needed=True)(written)


class PartedForm(Form):
    """They are no longer together."""

    WHERE = "parted"

    def __init__(self, number: int, said: str) -> None:
        super().__init__(str(number))
        self._said = said

    def heading(self) -> str:
        return say("No longer together: {pair}", pair=self._said)

    def specs(self) -> Sequence[FieldSpec]:
        return (FieldSpec("to_on", say("last day"), day(self.desk.ledger.today, self.desk.order), "today", in_days),)

    def command(self, values: Mapping[str, Any]) -> EndExposure:
        return EndExposure(int(self.subject), values["to_on"])


class ParentsForm(OriginForm):
    """Who laid the lot."""

    WHERE = "parents"
    HELP = say(
        "Name the mothers; the fathers follow from who was with them, and are only stated where that is not known."
    )

    def heading(self) -> str:
        return say("{subject}: who laid it", subject=self.subject)

    def specs(self) -> Sequence[FieldSpec]:
        lots = self.lots()
        return (
            mothers(lots),
            fathers(lots, say("if stated")),
            FieldSpec(
                "laid_from", say("laid from"), self.day_or_none(), "", day_beside, hint=say("first day of a range")
            ),
            FieldSpec(
                "laid_on", say("laid on"), self.day_or_none(), "", day_beside, hint=say("the day, or the last of it")
            ),
            FieldSpec("evidence", say("what shows it"), text("evidence", limit=500), "", nothing_beside),
        )

    def command(self, values: Mapping[str, Any]) -> NameParents:
        return NameParents(
            self.subject,
            values["mothers"],
            values["fathers"],
            values["laid_from"],
            values["laid_on"],
            values["evidence"],
        )


class StateForm(OriginForm):
    """What is known of where the lot came from."""

    WHERE = "state-origin"

    def heading(self) -> str:
        return say("{subject}: what is known of where it came from", subject=self.subject)

    def specs(self) -> Sequence[FieldSpec]:
        return (
            *self.origin(),
            FieldSpec("evidence", say("rests on"), str, say("somebody's word"), choices=tuple(RESTS_ON)),
            supplier_field(self.desk.jot_setting().vocabulary),
            FieldSpec("documents", say("documents"), text("documents", limit=500), "", nothing_beside),
            FieldSpec("country", say("country"), text("country", limit=2), "", nothing_beside, hint=say("two letters")),
            FieldSpec("locality", say("locality"), text("locality"), "", nothing_beside),
            self.when(),
        )

    def command(self, values: Mapping[str, Any]) -> StateOrigin:
        statement = OriginStatement(
            values["origin"],
            values["generation"],
            GRADES[RESTS_ON[values["evidence"]]],
            values["country"].upper(),
            values["locality"],
            values["supplier"],
            values["documents"],
        )
        return StateOrigin(self.subject, statement, values["on"])


class ClaimForm(OriginForm):
    """Less than the records give, or more by a document."""

    WHERE = "claim-origin"
    HELP = say(
        "Claim less than the records give, with a note why; or more, with the document that shows it. "
        "More stays marked as stated, not derived."
    )

    def heading(self) -> str:
        return say("{subject}: claim less than the records give, or more by a document", subject=self.subject)

    def specs(self) -> Sequence[FieldSpec]:
        return (
            *self.origin(),
            FieldSpec(
                "documents",
                say("document"),
                text("documents", limit=500),
                "",
                nothing_beside,
                hint=say("only for more"),
            ),
            FieldSpec("note", say("why"), text("note", limit=2000), "", nothing_beside),
            self.when(),
        )

    def command(self, values: Mapping[str, Any]) -> LowerOrigin | RaiseOrigin:
        code, on, generation = values["origin"], values["on"], values["generation"]
        if values["documents"]:
            return RaiseOrigin(self.subject, code, values["documents"], on, generation, values["note"])
        return LowerOrigin(self.subject, code, values["note"], on, generation)


class ExplainCountForm(OriginForm):
    """Why there were more animals than recorded."""

    WHERE = "explain-count"

    def heading(self) -> str:
        return say("{subject}: why there were more animals than recorded", subject=self.subject)

    def specs(self) -> Sequence[FieldSpec]:
        return FieldSpec("note", say("why"), text("note", limit=2000, needed=True), "", nothing_beside), self.when()

    def command(self, values: Mapping[str, Any]) -> ExplainCount:
        return ExplainCount(self.subject, values["note"], values["on"])


class VirginForm(OriginForm):
    """Whether a female was a virgin when she came."""

    WHERE = "virgin"

    def heading(self) -> str:
        return say("Was she a virgin when she came?")

    def specs(self) -> Sequence[FieldSpec]:
        return (
            FieldSpec(
                "animal",
                say("female"),
                _animal,
                self.subject,
                nothing_beside,
                hint=say("E01 or E01/f05"),
                known=self.lots(),
            ),
            FieldSpec("value", say("a virgin"), str, say("not known"), choices=(say("not known"), "yes", "no")),
            self.when(),
            self.note(),
        )

    def command(self, values: Mapping[str, Any]) -> SayVirgin:
        return SayVirgin(values["animal"], values["value"], values["on"], values["note"])
