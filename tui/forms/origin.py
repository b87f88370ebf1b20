"""Forms about where a lot comes from: who was with whom, who laid it, what was stated, claimed or explained of it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from ledger.days import parse_day
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
from tui.forms.animals import LotForm
from tui.forms.lots import ORIGINS
from tui.verbs import typed
from tui.verbs.descent import GRADES
from tui.widgets.fields import FieldSpec, day, in_days, nothing_beside, text
from tui.widgets.form import Form

RESTS_ON = {"own records": "own", "document": "document", "somebody's word": "said", "nothing": "none"}
"""What a statement rests on, in the keeper's words."""


def _codes(written: str) -> tuple[str, ...]:
    return tuple(part for part in written.upper().replace(",", " ").split() if part)


def _generation(written: str) -> int | None:
    bare = written.strip().upper().removeprefix("F")
    return typed.whole(bare, "a generation", "generation", most=1000) if bare else None


def _origin(written: str) -> str:
    code = ORIGINS.get(written.strip().casefold())
    if code is None:
        raise BadInput(f"Say the origin as one of: {', '.join(ORIGINS)}.", field="origin")
    return code


class OriginForm(LotForm):
    """A form about the origin of a lot."""

    def lots(self) -> list[str]:
        """Every lot, to be completed."""
        return list(self.desk.jot_setting().vocabulary.stages)

    def day_or_none(self) -> Callable[[str], dt.date | None]:
        """Reads a day that may be left out."""
        today, order = self.desk.ledger.today, self.desk.order
        return lambda written: parse_day(written, today, order) if written.strip() else None

    def origin(self) -> tuple[FieldSpec, FieldSpec]:
        """Origin and generation."""
        return (
            FieldSpec("origin", "origin", _origin, "bred", nothing_beside, known=[*ORIGINS]),
            FieldSpec("generation", "generation", _generation, "", nothing_beside, hint="F2, if it is known"),
        )


def _day_beside(value: dt.date | None) -> str:
    return "" if value is None else in_days(value)


class TogetherForm(OriginForm):
    """A female and a male are put together."""

    WHERE = "together"
    HELP = (
        "Nothing is taken from tubs: who was with whom is what you say here. A single animal is named by its tub, "
        "such as E01/f05; the lot alone means all of it."
    )

    def heading(self) -> str:
        return "A female and a male are together"

    def specs(self) -> Sequence[FieldSpec]:
        lots = self.lots()
        return (
            FieldSpec("female", "female", _animal, self.subject, nothing_beside, hint="E01 or E01/f05", known=lots),
            FieldSpec("male", "male", _animal, "", nothing_beside, hint="E02 or E02/m01", known=lots),
            self.when(),
            FieldSpec("to_on", "until", self.day_or_none(), "", _day_beside, hint="empty: they still are"),
            FieldSpec("witnessed", "mating", str, "not seen", choices=("not seen", "seen")),
            FieldSpec("evidence", "what shows it", text("evidence", limit=500), "", nothing_beside),
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
        return f"No longer together: {self._said}"

    def specs(self) -> Sequence[FieldSpec]:
        return (FieldSpec("to_on", "last day", day(self.desk.ledger.today, self.desk.order), "today", in_days),)

    def command(self, values: Mapping[str, Any]) -> EndExposure:
        return EndExposure(int(self.subject), values["to_on"])


class ParentsForm(OriginForm):
    """Who laid the lot."""

    WHERE = "parents"
    HELP = "Name the mothers; the fathers follow from who was with them, and are only stated where that is not known."

    def heading(self) -> str:
        return f"{self.subject}: who laid it"

    def specs(self) -> Sequence[FieldSpec]:
        lots = self.lots()
        return (
            FieldSpec("mothers", "mothers", _codes, "", nothing_beside, hint="P01 or P01/07", known=lots, several=True),
            FieldSpec("fathers", "fathers", _codes, "", nothing_beside, hint="if stated", known=lots, several=True),
            FieldSpec("laid_from", "laid from", self.day_or_none(), "", _day_beside, hint="first day of a range"),
            FieldSpec("laid_on", "laid on", self.day_or_none(), "", _day_beside, hint="the day, or the last of it"),
            FieldSpec("evidence", "what shows it", text("evidence", limit=500), "", nothing_beside),
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
        return f"{self.subject}: what is known of where it came from"

    def specs(self) -> Sequence[FieldSpec]:
        return (
            *self.origin(),
            FieldSpec("evidence", "rests on", str, "somebody's word", choices=tuple(RESTS_ON)),
            FieldSpec(
                "supplier", "from whom", text("supplier"), "", nothing_beside, known=self.desk.ledger.suppliers()
            ),
            FieldSpec("documents", "documents", text("documents", limit=500), "", nothing_beside),
            FieldSpec("country", "country", text("country", limit=2), "", nothing_beside, hint="two letters"),
            FieldSpec("locality", "locality", text("locality"), "", nothing_beside),
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
    HELP = (
        "Claim less than the records give, with a note why; or more, with the document that shows it. More stays "
        "marked as stated, not derived."
    )

    def heading(self) -> str:
        return f"{self.subject}: claim less than the records give, or more by a document"

    def specs(self) -> Sequence[FieldSpec]:
        return (
            *self.origin(),
            FieldSpec("documents", "document", text("documents", limit=500), "", nothing_beside, hint="only for more"),
            FieldSpec("note", "why", text("note", limit=2000), "", nothing_beside),
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
        return f"{self.subject}: why there were more animals than recorded"

    def specs(self) -> Sequence[FieldSpec]:
        return FieldSpec("note", "why", text("note", limit=2000, needed=True), "", nothing_beside), self.when()

    def command(self, values: Mapping[str, Any]) -> ExplainCount:
        return ExplainCount(self.subject, values["note"], values["on"])


class VirginForm(OriginForm):
    """Whether a female was a virgin when she came."""

    WHERE = "virgin"

    def heading(self) -> str:
        return "Was she a virgin when she came?"

    def specs(self) -> Sequence[FieldSpec]:
        return (
            FieldSpec(
                "animal", "female", _animal, self.subject, nothing_beside, hint="E01 or E01/f05", known=self.lots()
            ),
            FieldSpec("value", "a virgin", str, "not known", choices=("not known", "yes", "no")),
            self.when(),
            self.note(),
        )

    def command(self, values: Mapping[str, Any]) -> SayVirgin:
        return SayVirgin(values["animal"], values["value"], values["on"], values["note"])
