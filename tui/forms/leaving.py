"""Forms of animals that leave without money: given away, lent for breeding and back, swapped."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import Any

from ledger.errors import BadInput, Refused
from ledger.origin.rules import STATEMENT
from ledger.records.lot_facts import PURPOSES
from ledger.selling.commands import GiveAway, LendOut, LoanBack, Pick, Swap
from ledger.selling.giving import REASONS
from ledger.stock.commands import AddLot, Arrival, OriginStatement
from ledger.stock.queries import find_species, stages
from ledger.text import clean_code
from ledger.wording import say, strung, word
from tui.forms.lots import ORIGINS
from tui.forms.optional import day_beside, or_none
from tui.forms.ways import about_picks
from tui.jot_told import ANIMALS, read_told
from tui.jot_trade import read_picks
from tui.widgets.fields import FieldSpec, amount, day, in_days, in_money, nothing_beside, text
from tui.widgets.form import Form

CAME = say("swapped in")
STATED = {words: code for words, code in ORIGINS.items() if code != "CB"}
"""A numbered generation needs a document: such a lot is corrected on its own page."""


class LeavingForm(Form):
    """A form that begins with animals in words: 'P08 3 L3 and E03 1.1'."""

    def picks_in(self, typed: str) -> tuple[Pick, ...]:
        """The animals named; nothing for none."""
        return tuple(read_picks(typed, self.desk.jot_setting())) if typed.strip() else ()

    def explained(self, refusal: Refused) -> Refused:
        fields = {row.spec.key for row in self.rows}
        return refusal if refusal.field in fields else about_picks(refusal)

    def animals(self, label: str, hint: str = say("P08 3 L3, E03 1.1 adult")) -> FieldSpec:
        """The field for them."""
        return FieldSpec("picks", label, self.picks_in, self.subject, nothing_beside, hint=hint)

    def whom(self, label: str, hint: str = "") -> FieldSpec:
        """Who they go to."""
        known = list(self.desk.jot_setting().vocabulary.customers)
        return FieldSpec("to", label, text("name"), "", nothing_beside, hint=hint, known=known)

    def when(self) -> FieldSpec:
        """The day of it."""
        return FieldSpec("on", say("when"), day(self.desk.ledger.today, self.desk.order), "today", in_days)


class GiveForm(LeavingForm):
    """Animals leave as a gift, as a sample for a school, or for the keeper's own use."""

    WHERE = "give"
    HELP = say(
        "Animals that leave without a sale: no price, and their cost leaves with them. Say who got them, if you may."
    )

    def heading(self) -> str:
        return say("Give animals away")

    def specs(self) -> Sequence[FieldSpec]:
        return (
            self.animals(say("animals")),
            FieldSpec("kind", say("as"), str, "gift", choices=tuple(REASONS)),
            self.whom(say("to whom"), say("or not said")),
            self.when(),
            FieldSpec("note", say("note"), text("note", limit=1900), "", nothing_beside),
        )

    def command(self, values: Mapping[str, Any]) -> GiveAway:
        return GiveAway(values["picks"], values["on"], values["kind"], values["to"], values["note"])


class LendForm(LeavingForm):
    """A breeding loan: animals go to somebody else and stay the keeper's own."""

    WHERE = "lend"
    HELP = say("Lent animals stay yours and stay counted. If only some of a lot go, they get a lot code of their own.")

    def heading(self) -> str:
        return say("Lend animals for breeding")

    def specs(self) -> Sequence[FieldSpec]:
        lots = list(self.desk.jot_setting().vocabulary.stages)
        return (
            FieldSpec("lot", say("lot"), text("lot", needed=True), "", nothing_beside, known=lots),
            self.animals(say("only some"), say("empty: all; else P08 1.0 adult")),
            FieldSpec(
                "new_code", say("their new code"), text("code", limit=20), "", nothing_beside, hint=say("if only some")
            ),
            self.whom(say("to whom")),
            self.when(),
            FieldSpec("back_by", say("back by"), self._back_by(), "", day_beside, hint=say("if a day was agreed")),
            FieldSpec(
                "terms", say("agreed"), text("terms", limit=2000), "", nothing_beside, hint=say("who gets which young")
            ),
        )

    def _back_by(self) -> Callable[[str], dt.date | None]:
        return or_none(day(self.desk.ledger.today, self.desk.order, ahead=True))

    def command(self, values: Mapping[str, Any]) -> LendOut:
        return LendOut(
            values["lot"],
            values["to"],
            values["on"],
            values["terms"],
            values["picks"],
            values["new_code"],
            values["back_by"],
        )


class LoanBackForm(LeavingForm):
    """Lent animals are back."""

    WHERE = "loan-back"

    def heading(self) -> str:
        return say("{subject} is back from its loan", subject=self.subject)

    def specs(self) -> Sequence[FieldSpec]:
        return (self.when(), FieldSpec("note", say("note"), text("note", limit=500), "", nothing_beside))

    def command(self, values: Mapping[str, Any]) -> LoanBack:
        return LoanBack(self.subject, values["on"], values["note"])


class SwapForm(LeavingForm):
    """Animals out against a new lot of animals in, at an agreed value each way, without cash."""

    WHERE = "swap"
    HELP = say(
        "What goes out is a sale, what comes in a new lot at the same value; no cash moves. A swap may "
        "count as income at its value. Say the origin of what comes in as its keeper stated it."
    )

    def heading(self) -> str:
        return say("Swap animals")

    def specs(self) -> Sequence[FieldSpec]:
        ledger = self.desk.ledger
        money = ledger.currency
        species = [row.code for row in ledger.species()]
        return (
            self.animals(say("go out")),
            self.whom(say("with whom")),
            FieldSpec("value", say("value"), amount(money), "", in_money(money), hint=say("of either side, as agreed")),
            FieldSpec("code", say("new lot"), clean_code, "", nothing_beside, hint=say("a code for what comes in")),
            FieldSpec("species", say("its species"), text("species", needed=True), "", nothing_beside, known=species),
            FieldSpec(
                "came",
                say("come in"),
                text("animals", needed=True),
                "",
                nothing_beside,
                hint=say("10 L3, or 1.1 adult"),
            ),
            FieldSpec("origin", say("origin"), str, say("not known"), nothing_beside, known=[*STATED]),
            FieldSpec("purpose", say("for"), str, PURPOSES[0], choices=PURPOSES),
            self.when(),
            FieldSpec("note", say("note"), text("note", limit=2000), "", nothing_beside),
        )

    def command(self, values: Mapping[str, Any]) -> Swap:
        coming = AddLot(
            values["code"],
            values["species"],
            values["on"],
            self._arrivals(values),
            purpose=values["purpose"],
            origin=OriginStatement(self._origin(values["origin"]), evidence=STATEMENT, supplier=values["to"]),
        )
        return Swap(values["picks"], coming, values["value"], values["on"], values["to"], values["note"])

    def _arrivals(self, values: Mapping[str, Any]) -> tuple[Arrival, ...]:
        """What comes in, read against the stages of its species."""
        from tui.verbs.animals import read_arrivals

        ledger, code = self.desk.ledger, values["code"]
        kind = ledger.ask(find_species, values["species"])
        ladder = tuple((one.name, one.unit) for one in ledger.ask(stages, kind.id))
        known = ledger.vocabulary()
        known = replace(known, stages={**known.stages, code: ladder})
        arrivals = read_told(
            lambda came: read_arrivals(f"{CAME} {came}", code, known, ledger.currency),
            values["came"],
            replace(self.desk.jot_setting(), vocabulary=known),
            ANIMALS,
        )
        if any(one.reason != CAME for one in arrivals):
            raise BadInput(
                say("What comes in by a swap is swapped in; write only how many, such as: 6 L3."), field="came"
            )
        return arrivals

    @staticmethod
    def _origin(typed: str) -> str:
        code = STATED.get(typed.strip().casefold())
        if code is None:
            raise BadInput(
                say("Say the origin as one of: {stated}.", stated=strung(map(word, STATED), "; ")), field="origin"
            )
        return code
