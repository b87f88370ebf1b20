"""Forms that open lots: animals bought, hatched, collected or here at the start; several lots become one."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from ledger.errors import BadInput
from ledger.origin.rules import DOCUMENT, STATEMENT
from ledger.records.lot_facts import PURPOSES
from ledger.stock.commands import AddLot, AddSpecies, Arrival, MergeLots, OriginStatement
from ledger.text import clean, clean_code
from ledger.wording import say, strung, word
from tui.forms.parents import fathers, mothers
from tui.forms.whom import supplier_field
from tui.jot_lots import place_of
from tui.widgets.fields import FieldSpec, amount_or_none, codes, day, in_days, in_money, nothing_beside, text, whole
from tui.widgets.folded import FoldedForm
from tui.widgets.form import Form

WAYS_IN = ("opening", "bought", "hatched", "laid", "harvested", "collected", say("swapped in"), say("lent in"))
BRED = ("hatched", "laid", "harvested")
_BOUGHT = ("value", "supplier", "origin", "generation", "documents")
_ASKED_OF = {
    **dict.fromkeys(BRED, ("mothers", "fathers")),
    **dict.fromkeys(("bought", "swapped in"), _BOUGHT),
    "opening": ("supplier", "origin"),
    "lent in": ("supplier", "origin"),
    "collected": ("origin", "country"),
}
"""What else is asked of animals by how they came."""
ORIGINS = {
    say("not known"): "UNK",
    say("bred, F number known"): "CB",
    "bred": "CBU",
    "farmed": "CF",
    say("from a wild-mated mother"): "CH",
    say("reared from wild young"): "WR",
    "wild": "WC",
}
"""How a keeper says where animals come from, and the ledger's code for it; the full label stands on every paper."""


def _generation(typed: str) -> int | None:
    bare = typed.strip().upper().removeprefix("F")
    return whole("generation", least=0)(bare) if bare else None


def _besides() -> tuple[FieldSpec, ...]:
    return (
        FieldSpec("tub", say("tub"), text("tub", limit=20), "", nothing_beside, hint=say("if there is only one")),
        FieldSpec("estimated", say("counted"), str, "counted", choices=("counted", "about")),
        FieldSpec("note", say("note"), text("note", limit=2000), "", nothing_beside),
    )


class NewLotForm(FoldedForm):
    """A new lot with its first animals; how they came decides which of the other fields are shown."""

    WHERE = "new-lot"
    HELP = say(
        "A lot holds animals of one species and one origin that share a start. Animals bred here need no "
        "statement of origin: name the mothers, and it is derived from them. What is asked follows from how they "
        "came; ctrl-y shows every field."
    )

    def heading(self) -> str:
        return say("A new lot")

    def matters(self, key: str) -> bool:
        return key in _ASKED_OF.get(self.typed("reason"), ())

    def specs(self) -> Sequence[FieldSpec]:
        ledger = self.desk.ledger
        species = [row.code for row in ledger.species()]
        stages = list(dict.fromkeys(stage.name for row in ledger.species() for stage in row.stages))
        lots = list(self.desk.jot_setting().vocabulary.stages)
        number = whole("animals", least=0)
        return (
            FieldSpec("code", say("code"), clean_code, "", str, hint=say("such as P09")),
            FieldSpec("species", say("species"), str, species[0] if species else "", choices=species)
            if 0 < len(species) <= 6
            else FieldSpec("species", say("species"), clean_code, "", nothing_beside, known=species),
            FieldSpec("started_on", say("started"), day(ledger.today, self.desk.order), "today", in_days),
            FieldSpec("reason", say("how"), str, "opening", choices=WAYS_IN),
            FieldSpec("stage", say("stage"), text("stage", limit=40, needed=True), "", nothing_beside, known=stages),
            FieldSpec("unsexed", say("unsexed"), number, "0", nothing_beside),
            FieldSpec("males", say("males"), number, "0", nothing_beside),
            FieldSpec("females", say("females"), number, "0", nothing_beside),
            *(replace(spec, seldom=True) for spec in self._whence(lots)),
            FieldSpec(
                "place",
                say("place"),
                text("place"),
                "",
                nothing_beside,
                hint=say("shelf, room"),
                known=list(self.desk.jot_setting().vocabulary.places),
            ),
            FieldSpec("purpose", say("for"), str, "sale", choices=PURPOSES),
            *(replace(spec, seldom=True) for spec in _besides()),
        )

    def _whence(self, lots: Sequence[str]) -> tuple[FieldSpec, ...]:
        """Where they come from: asked as far as it can be so for how they came."""
        ledger = self.desk.ledger
        return (
            mothers(lots),
            fathers(lots),
            FieldSpec(
                "value",
                say("price of all"),
                amount_or_none(ledger.currency),
                "",
                in_money(ledger.currency),
                hint=say("with carriage, if bought"),
            ),
            supplier_field(self.desk.jot_setting().vocabulary),
            FieldSpec(
                "origin",
                say("origin"),
                str,
                say("not known"),
                nothing_beside,
                hint=say("if not bred here"),
                known=[*ORIGINS],
            ),
            FieldSpec("generation", say("generation"), _generation, "", nothing_beside, hint=say("F2, if it is known")),
            FieldSpec(
                "documents",
                say("documents"),
                text("documents", limit=500),
                "",
                nothing_beside,
                hint=say("that show the generation"),
            ),
            FieldSpec("country", say("country"), text("country", limit=2), "", nothing_beside, hint=say("two letters")),
        )

    def command(self, values: Mapping[str, Any]) -> AddLot:
        arrival = Arrival(
            values["reason"],
            values["stage"],
            values["unsexed"],
            values["males"],
            values["females"],
            tub=values["tub"],
            value=values["value"],
            estimated=values["estimated"] == "about",
        )
        return AddLot(
            values["code"],
            values["species"],
            values["started_on"],
            (arrival,),
            purpose=values["purpose"],
            place=values["place"] or self._shelf_of(values),
            note=values["note"],
            origin=self._origin(values),
            mothers=values["mothers"],
            fathers=values["fathers"],
            laid_on=values["started_on"] if values["reason"] == "laid" else None,
        )

    def _shelf_of(self, values: Mapping[str, Any]) -> str:
        """Eggs and young of a mother here stand where she does, unless another place was said."""
        if values["reason"] not in ("laid", "hatched") or not values["mothers"]:
            return ""
        return place_of(values["mothers"][0].partition("/")[0].upper(), self.desk.jot_setting().vocabulary)

    @staticmethod
    def _origin(values: Mapping[str, Any]) -> OriginStatement | None:
        if values["reason"] in BRED:
            return None
        code = ORIGINS.get(values["origin"].strip().casefold()) or ORIGINS.get(values["origin"].strip())
        if code is None:
            raise BadInput(
                say("Say the origin as one of: {origins}.", origins=strung(map(word, ORIGINS), "; ")), field="origin"
            )
        return OriginStatement(
            code,
            values["generation"],
            DOCUMENT if values["documents"] else STATEMENT,
            country=values["country"].upper(),
            supplier=values["supplier"],
            documents=values["documents"],
        )


class MergeForm(Form):
    """All animals of several lots become one new lot."""

    WHERE = "merge"

    def heading(self) -> str:
        return say("Several lots become one")

    def specs(self) -> Sequence[FieldSpec]:
        lots = list(self.desk.jot_setting().vocabulary.stages)
        return (
            FieldSpec(
                "lots", say("lots"), codes, self.subject, nothing_beside, hint="P08 P09", known=lots, several=True
            ),
            FieldSpec("new_code", say("new lot"), clean_code, "", str),
            FieldSpec("on", say("when"), day(self.desk.ledger.today, self.desk.order), "today", in_days),
            FieldSpec("reason", say("why"), text("reason"), "", nothing_beside, hint=say("needed across origins")),
            FieldSpec("note", say("note"), text("note", limit=2000), "", nothing_beside),
        )

    def command(self, values: Mapping[str, Any]) -> MergeLots:
        return MergeLots(values["lots"], values["new_code"], values["on"], values["reason"], values["note"])


def _the_template(typed: str) -> str:
    """The key of a template by any words for it. Raises BadInput where they fit several, and NotFound where none."""
    from ledger.stock.templates import matching, template

    words = clean(typed, limit=60, field="template")
    if not words:
        raise BadInput(say("Write the template."), field="template")
    found = [one.key for one in matching(words)]
    if words.lower() in found or not found:
        return template(words).key
    if len(found) > 1:
        raise BadInput(
            say("That may be {templates}; write one of them.", templates=strung(found, ", ")), field="template"
        )
    return found[0]


class NewSpeciesForm(Form):
    """A species from a shipped template."""

    WHERE = "new-species"
    HELP = say("A template brings the stages of a species and published figures for them; each can be changed later.")

    def heading(self) -> str:
        return say("A new species")

    def specs(self) -> Sequence[FieldSpec]:
        from ledger.stock.templates import templates

        known = {template.key: template for template in templates()}
        return (
            FieldSpec("template", say("template"), _the_template, "",
                      lambda key: known[key].scientific or known[key].common if key in known else "",
                      hint=say("any word for it: isopod"), known=list(known)),
            FieldSpec("code", say("code"), clean_code, "", str, hint=say("your short name for it, such as PACH")),
            FieldSpec(
                "common", say("called"), text("name"), "", nothing_beside, hint=say("leave empty for the usual name")
            ),
        )  # fmt: skip

    def _look(self) -> None:
        """As ever; while no template is chosen, those that there are stand at the foot."""
        from ledger.stock.templates import matching

        typed = self.rows[0].typed
        found = [one.key for one in matching(typed) or matching("")]
        if typed.strip() in found or len(found) == 1:
            super()._look()
        else:
            self._show(say("Templates: {templates}", templates=strung(found, ", ")), "")

    def command(self, values: Mapping[str, Any]) -> AddSpecies:
        return AddSpecies(values["code"], values["template"], values["common"] or None)
