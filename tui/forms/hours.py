"""Forms for what is reckoned from figures of the keeper's own: power from watts, and time of their own as a memo."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any

from ledger.costs.commands import NoteHours, Power
from ledger.costs.hours import time_words
from ledger.money import Currency
from ledger.wording import decimals, say, word
from tui.forms.method import read_share, share_words
from tui.forms.optional import or_none
from tui.forms.whom import whom_field
from tui.verbs import typed
from tui.verbs.store import minutes_of, of_thousand
from tui.widgets.fields import FieldSpec, day, in_days, nothing_beside, text
from tui.widgets.form import Form


class PowerForm(Form):
    """Power reckoned from watts."""

    WHERE = "power"
    HELP = say(
        "Watts stand on the thing itself; how much of the time it is on is best measured. Take the unit "
        "price and not the bill by its units: the standing charge would be shared too. What it comes to "
        "stands below at once."
    )

    def heading(self) -> str:
        return say("Power, reckoned from watts")

    def specs(self) -> Sequence[FieldSpec]:
        ledger, order = self.desk.ledger, self.desk.order
        known = list(self.desk.jot_setting().vocabulary.categories)
        return (
            FieldSpec(
                "text", say("what it is"), text("text", limit=120), "", nothing_beside, hint=say("heat mat, left rack")
            ),
            FieldSpec("watts", say("watts"), _watts, "", lambda value: f"{value} W", hint=say("such as 20")),
            FieldSpec("duty", say("on, of the time"), _duty, "", share_words, hint=say("such as 55%")),
            FieldSpec(
                "price",
                say("price of a kWh"),
                lambda said: of_thousand(said.strip(), ledger.currency),
                "",
                lambda value: _price_words(value, ledger.currency),
                hint=say("such as 0.2957"),
            ),
            FieldSpec("first", say("from"), day(ledger.today, order), "", in_days, hint=say("first day")),
            FieldSpec("last", say("to{last_day}", last_day=""), day(ledger.today, order, ahead=True), "today", in_days),
            FieldSpec(
                "minutes",
                say("hours a day"),
                lambda said: minutes_of(said.strip(), "minutes"),
                "24",
                lambda value: say("all day") if value == 1440 else time_words(value),
                hint=say("that it is plugged in"),
            ),
            whom_field(self.desk.jot_setting().vocabulary),
            FieldSpec("category", say("category"), text("category", limit=40, needed=True), "power", word, known=known),
            FieldSpec(
                "share",
                say("business part"),
                or_none(read_share),
                "",
                share_words,
                hint=say("else as set for it"),
            ),
            FieldSpec("note", say("note"), text("note", limit=2000), "", nothing_beside),
        )

    def also(self, plan: Any) -> Sequence[str]:
        return (say("Reckoned from {row}.", row=plan.row["text"]),)

    def command(self, values: Mapping[str, Any]) -> Power:
        whom = values["whom"]
        return Power(
            values["category"].casefold(),
            values["text"],
            values["watts"],
            values["duty"],
            values["price"],
            values["first"],
            values["last"],
            values["minutes"],
            values["share"],
            (whom.species,) if whom.species else (),
            (whom.lot,) if whom.lot else (),
            note=values["note"],
        )


def _watts(said: str) -> int:
    return typed.whole(re.sub(r"\s*[wW]$", "", said.strip()), say("a number of watts"), "watts", most=100_000)


def _duty(said: str) -> int:
    return typed.share(said, 10_000, say("a part of the time"), "duty")


def _price_words(value: int, currency: Currency) -> str:
    return say(
        "{price} {code} a kWh",
        price=decimals(f"{Decimal(value).scaleb(-3 - currency.digits).normalize():f}"),
        code=currency.code,
    )


class HoursForm(Form):
    """Time of the keeper's own."""

    WHERE = "hours"
    HELP = say("Your own time is a memo: it is shown beside what a reared adult costs, and is in no total.")

    def heading(self) -> str:
        return say("Time of your own, in no total")

    def specs(self) -> Sequence[FieldSpec]:
        return (
            FieldSpec(
                "minutes",
                say("how long"),
                lambda said: minutes_of(said.strip(), "minutes"),
                "",
                time_words,
                hint=say("1:30, 90min"),
            ),
            FieldSpec("work", say("doing what"), text("work", limit=200), "", nothing_beside, hint=say("cleaning")),
            whom_field(self.desk.jot_setting().vocabulary),
            FieldSpec("on", say("when"), day(self.desk.ledger.today, self.desk.order), "today", in_days),
        )

    def command(self, values: Mapping[str, Any]) -> NoteHours:
        whom = values["whom"]
        return NoteHours(values["on"], values["minutes"], values["work"], whom.species, whom.lot)
