"""Forms for figures of method: dated rows that say how costs are reckoned, each with a note why. For the adviser."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from ledger.costs.commands import SetCare, SetMethod, SetStandardCost
from ledger.costs.keys import SHARING
from ledger.costs.methods import FULL_SHARE, HOUR_RATE, METHODS, SHARE, SHARING_KEYS, share_text
from ledger.costs.store import thousandths
from ledger.text import clean_code
from ledger.wording import capital, say, word
from tui.verbs import typed
from tui.widgets.fields import FieldSpec, amount, day, in_days, in_money, nothing_beside, text
from tui.widgets.form import Form


class _Dated(Form):
    """A figure from a day on."""

    HELP = say(
        "It counts from its day on. A closed year keeps its own, and what was reckoned for days before "
        "keeps the old. Ask your adviser; which method may be used is for local rules."
    )

    def _from(self) -> FieldSpec:
        return FieldSpec("from_on", say("counts from"), day(self.desk.ledger.today, self.desk.order), "today", in_days)

    def _note(self) -> FieldSpec:
        return FieldSpec("note", say("why"), text("note", limit=500), "", nothing_beside)

    def _category(self) -> FieldSpec:
        known = list(self.desk.jot_setting().vocabulary.categories)
        return FieldSpec(
            "category", say("category"), text("category", limit=40, needed=True), "", nothing_beside, known=known
        )

    def _species_and_stage(self) -> tuple[FieldSpec, FieldSpec]:
        species = self.desk.ledger.species()
        stages = list(dict.fromkeys(stage.name for row in species for stage in row.stages))
        return (
            FieldSpec("species", say("species"), clean_code, "", nothing_beside, known=[row.code for row in species]),
            FieldSpec("stage", say("stage"), text("stage", limit=40, needed=True), "", nothing_beside, known=stages),
        )


class WordForm(_Dated):
    """A method that is one of a few words.

    Args:
        subject: its name.
    """

    WHERE = "method-word"

    def heading(self) -> str:
        return say("{figure}, from a day on", figure=capital(word(self.subject)))

    def specs(self) -> Sequence[FieldSpec]:
        words = METHODS[self.subject]
        return FieldSpec("value", say("is"), str, words[0], choices=words), self._from(), self._note()

    def command(self, values: Mapping[str, Any]) -> SetMethod:
        return SetMethod(self.subject, values["value"], values["from_on"], values["note"])


class SharingForm(_Dated):
    """By what the costs of a category are shared."""

    WHERE = "sharing"

    def heading(self) -> str:
        return say("By what the costs of a category are shared among the animals")

    def specs(self) -> Sequence[FieldSpec]:
        key = FieldSpec("value", say("shared by"), str, SHARING_KEYS[0], choices=SHARING_KEYS)
        return self._category(), key, self._from(), self._note()

    def command(self, values: Mapping[str, Any]) -> SetMethod:
        name = f"{SHARING}{values['category'].casefold()}"
        return SetMethod(name, values["value"], values["from_on"], values["note"])


class BusinessShareForm(_Dated):
    """The business part of what the household uses too."""

    WHERE = "business-share"

    def heading(self) -> str:
        return say("The business part of a category that the household uses too")

    def specs(self) -> Sequence[FieldSpec]:
        share = FieldSpec("value", say("business part"), read_share, "", share_words, hint=say("such as 60%"))
        return self._category(), share, self._from(), self._note()

    def command(self, values: Mapping[str, Any]) -> SetMethod:
        name = f"{SHARE}{values['category'].casefold()}"
        return SetMethod(name, str(values["value"]), values["from_on"], values["note"])


def read_share(written: str) -> int:
    """A part of the whole, '60%' or '0.6', in hundredths of a percent. Raises BadInput."""
    return typed.share(written, FULL_SHARE, say("a part"), "value")


def share_words(value: int | None) -> str:
    """It in words."""
    return "" if value is None else share_text(value)


class HourRateForm(_Dated):
    """What an hour of the keeper is reckoned at."""

    WHERE = "hour-rate"

    def heading(self) -> str:
        return say("What an hour of your own is reckoned at: a memo, in no total")

    def specs(self) -> Sequence[FieldSpec]:
        money = self.desk.ledger.currency
        return FieldSpec("value", say("an hour"), amount(money), "", in_money(money)), self._from(), self._note()

    def command(self, values: Mapping[str, Any]) -> SetMethod:
        return SetMethod(HOUR_RATE, str(values["value"]), values["from_on"], values["note"])


class CareForm(_Dated):
    """The care weight of a stage for one category alone."""

    WHERE = "care"

    def heading(self) -> str:
        return say("The care weight of a stage for one category of cost")

    def specs(self) -> Sequence[FieldSpec]:
        weight = FieldSpec(
            "value", say("care weight"), _weight, "", nothing_beside, hint=say("2.5, where 1 is a full share")
        )
        return self._category(), *self._species_and_stage(), weight, self._from(), self._note()

    def command(self, values: Mapping[str, Any]) -> SetCare:
        return SetCare(
            values["category"],
            values["species"],
            values["stage"],
            values["value"],
            values["from_on"],
            values["note"],
        )


def _weight(written: str) -> int:
    return 0 if written.strip() == "0" else thousandths(written, "value")


class StandardForm(_Dated):
    """The standard cost of one animal of a stage."""

    WHERE = "standard"

    def heading(self) -> str:
        return say("The standard cost of one animal of a stage, for the other valuation")

    def specs(self) -> Sequence[FieldSpec]:
        money = self.desk.ledger.currency
        return (
            *self._species_and_stage(),
            FieldSpec("amount", say("each"), amount(money), "", in_money(money)),
            self._from(),
        )

    def command(self, values: Mapping[str, Any]) -> SetStandardCost:
        return SetStandardCost(values["species"], values["stage"], values["amount"], values["from_on"])
