"""Forms about one lot that move no animals: kept back, and what it is for, where it stands, and the like."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import Any

from ledger.records.lot_facts import PURPOSES
from ledger.stock.commands import KeepBack, SetLotFact
from ledger.stock.facts import fact_of, places
from ledger.wording import say, word
from tui.forms.animals import LotForm
from tui.look import short
from tui.typed_words import typed_day
from tui.widgets.fields import FieldSpec, nothing_beside, text, whole

FACTS = {
    "purpose": say("sale, breeding or quarantine"),
    "place": say("room, shelf"),
    "containers": say("how many, for tub-days"),
    say("rests until"): say("a day; no round is due before"),
    say("brood ends"): say("a day"),
    say("brood weight"): say("beside clutches of its day"),
    "colony": say("yes or no"),
    say("lent out"): say("to whom"),
    "treatment": say("goes into the register"),
    "mark": say("goes into the register"),
    "note": "",
}
"""Facts of a lot, each with what is written for it."""
DAYS = (say("rests until"), say("brood ends"))
EVENTS = ("treatment", "mark")
ANSWERS = {"purpose": PURPOSES, "colony": ("yes", "no")}


class KeepBackForm(LotForm):
    """Animals that are not for sale."""

    WHERE = "keep-back"
    HELP = say(
        "Animals kept back are alive and counted, and on no list of what can be sold, until they are given free."
    )

    def heading(self) -> str:
        return say("{subject}: animals that are not for sale", subject=self.subject)

    def specs(self) -> Sequence[FieldSpec]:
        return (
            FieldSpec("count", say("how many"), whole("animals"), "1", nothing_beside),
            FieldSpec(
                "why",
                say("why"),
                text("reason", limit=500, needed=True),
                "",
                nothing_beside,
                hint=say("future breeders, old"),
            ),
            *self.which(),
            self.when(),
        )

    def command(self, values: Mapping[str, Any]) -> KeepBack:
        return KeepBack(
            self.subject, values["count"], values["why"], values["on"], values["stage"], values["sex"], values["tub"]
        )


class FactForm(LotForm):
    """What holds for a lot from a day on.

    Args:
        lot: its code.
        fact: one of `FACTS`.
    """

    WHERE = "lot-fact"
    HELP = say(
        "What holds now stands in the field. What is said instead holds from its day on, until something else is "
        "said; an empty field says that nothing holds any more."
    )

    def __init__(self, lot: str, fact: str) -> None:
        super().__init__(lot)
        self._fact = fact

    @property
    def draft_name(self) -> str:
        return f"{super().draft_name} {self._fact}"

    def heading(self) -> str:
        return say("{subject}: {fact}", subject=self.subject, fact=word(self._fact))

    def specs(self) -> Sequence[FieldSpec]:
        ledger = self.desk.ledger
        # What is said each time it happens begins empty; what holds stands there to be changed.
        holds = "" if self._fact in EVENTS else ledger.ask(fact_of, self.subject, self._fact, ledger.today)
        if self._fact in DAYS and holds:
            holds = short(dt.date.fromisoformat(holds), self.desk.order)
        known = [*ledger.ask(places, ledger.today)] if self._fact == "place" else ANSWERS.get(self._fact, ())
        return (
            FieldSpec(
                "value", word(self._fact), self._read, holds, nothing_beside, hint=FACTS[self._fact], known=known
            ),
            self.when(),
        )

    def _read(self, typed: str) -> str:
        if self._fact in DAYS and typed.strip():
            return typed_day(typed, self.desk.ledger.today, self.desk.order, ahead=True).isoformat()
        return text("value", limit=2000)(typed)

    def command(self, values: Mapping[str, Any]) -> SetLotFact:
        return SetLotFact(self.subject, self._fact, values["value"], values["on"])
