"""Forms about the animals of one lot: lost or gone, moved on, counted, split off; each is one command of the stock."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Any

from ledger.errors import BadInput
from ledger.stock.commands import Mark, Move, Part, Record, Reverse, SaveRound, SplitLot
from ledger.stock.naming import find_lot
from ledger.stock.packed import in_packs
from ledger.stock.stock_rows import StockRow
from ledger.stock.words import by_sex, tub_order
from ledger.text import clean_code
from ledger.wording import say, strung
from tui import how_many
from tui.typed_words import means
from tui.widgets.fields import FieldSpec, day, in_days, nothing_beside, text, whole
from tui.widgets.form import Form

ANY = "any"
"""Leaves it open; the ledger refuses when several fit, and says which."""
WAYS_OUT = ("died", "missing", "culled", "escaped", say("given away"), say("own use"), say("used as feed"))
NO_PACK = say("none")
CAUSES = ("unknown", "ordinary", "exceptional")


def said(typed: str) -> str | None:
    """A choice, or None for 'any' and for nothing."""
    return None if typed.strip() in ("", ANY) else typed.strip()


NO_TUB = "no tub"
"""Of animals that lie in no labelled tub."""


def tub_of(labels: Collection[str] = ()) -> Callable[[str], str | None]:
    """Reads a tub: None where nothing is said, an empty label for 'no tub'; 'tub 2' is tub 2.

    Args:
        labels: of the tubs there are; a label that reads like one of these words stays a label.
    """

    def read(typed: str) -> str | None:
        bare = said(typed)
        if bare is None or bare.upper() in labels:
            return bare
        small = " ".join(bare.casefold().split())
        if small in (NO_TUB, "in no tub", "none", "-") or means(small, say("in no tub{jot}", jot="")):
            return ""
        return small.removeprefix("in ").removeprefix("tub ").strip() if " " in small else bare

    return read


def places_of(rows: Iterable[StockRow]) -> dict[str, int]:
    """How many of these animals lie in each tub; those in none under an empty label."""
    found: dict[str, int] = {}
    for row in sorted(rows, key=lambda row: tub_order(row.tub)):
        found[row.tub] = found.get(row.tub, 0) + row.count
    return found


def places_said(places: Mapping[str, int]) -> str:
    """'15 in no tub, 6 in tub 2': beside a field that asks for one of them."""
    named = [say("{n} in tub {tub}", n=n, tub=tub) if tub else say("{n} in no tub", n=n) for tub, n in places.items()]
    return strung([*named[:3], say("{n} more", n=len(named) - 3)] if len(named) > 4 else named, ", ")


def _mark(typed: str) -> str:
    """The mark of a pack, nothing for none."""
    return "" if typed == NO_PACK else typed


Many = tuple[tuple[str | None, int], ...]
"""How many animals: (sex, number) for each part of 1.2.3, or one number of no sex said."""


def many(typed: str) -> Many:
    """Reads a number of animals: 4, or 2.1 and 2.1.1 as males.females.unsexed."""
    found = how_many.by_sex(typed.strip())
    if found is None:
        return ((None, whole("animals")(typed)),)
    if not found:
        raise BadInput(say("Nought animals is nothing to record."), field="count")
    return found


def said_many(found: Many) -> str:
    """Beside the field, only what the notation does not say at first sight."""
    return by_sex({sex: n for sex, n in found if sex}) + say(" males.females.unsexed") if found[0][0] else ""


HOW_MANY = FieldSpec("count", say("how many"), many, "1", said_many, hint=say("4, or 2.1 by sex"))


class LotForm(Form):
    """A form about one lot.

    Args:
        subject: code of the lot.
        stage, sex, tub: what the row said that it was opened from ('probable female'); None: nothing.
    """

    def __init__(self, subject: str, stage: str | None = None, sex: str | None = None, tub: str | None = None) -> None:
        super().__init__(subject)
        self._stage, self._sex, self._tub = stage, sex, tub

    def stages(self) -> list[str]:
        """Stages the lot has animals in, in order."""
        rows = sorted(self.desk.ledger.stock(lot=self.subject), key=lambda row: row.position)
        return list(dict.fromkeys(row.stage for row in rows if row.unit != "specimen"))

    def which(self) -> tuple[FieldSpec, ...]:
        """Which animals are meant: stage, sex, tub."""
        stages = self.stages()
        choices = stages if len(stages) == 1 else (ANY, *stages)
        tubs = list(self.desk.jot_setting().vocabulary.tubs.get(self.subject, ()))
        places = self.places()
        hint = places_said(places) if len(places) > 1 else say("if it matters")
        sexes = tuple(dict.fromkeys((ANY, "male", "female", "unsexed", *([self._sex] if self._sex else []))))
        return (
            FieldSpec(
                "stage", say("stage"), said, self._stage or choices[0] if choices else "", choices=choices or (ANY,)
            ),
            FieldSpec("sex", say("sex"), said, self._sex or ANY, choices=sexes),
            FieldSpec(
                "tub",
                say("tub"),
                tub_of(tubs),
                NO_TUB if self._tub == "" else self._tub or "",
                nothing_beside,
                hint=hint,
                known=[*tubs, NO_TUB] if tubs else tubs,
            ),
        )

    def places(self) -> dict[str, int]:
        """Where the animals of the row it was opened from lie, those of the lot that can be meant."""
        rows = self.desk.ledger.stock(lot=self.subject)
        return places_of(
            row
            for row in rows
            if self._stage in (None, row.stage) and self._sex in (None, strung((row.sure, row.sex)).strip())
        )

    def sexes(self, values: Mapping[str, Any]) -> list[tuple[str | None, int]]:
        """(sex, number) of the animals meant. Raises BadInput where the number says the sex and the field too."""
        if values["sex"] is not None and values["count"][0][0] is not None:
            raise BadInput(say("The number says the sexes already; set the sex to any."), field="sex")
        return [(values["sex"] or sex, n) for sex, n in values["count"]]

    def when(self) -> FieldSpec:
        """The day it happened."""
        return FieldSpec("on", say("when"), day(self.desk.ledger.today, self.desk.order), "today", in_days)

    @staticmethod
    def note() -> FieldSpec:
        """A remark."""
        return FieldSpec("note", say("note"), text("note", limit=2000), "", nothing_beside)


class GoneForm(LotForm):
    """Animals that died, are missing, were given away, ..."""

    WHERE = "gone"

    def heading(self) -> str:
        return say("{subject}: animals that died or left", subject=self.subject)

    def specs(self) -> Sequence[FieldSpec]:
        return (
            HOW_MANY,
            FieldSpec("reason", say("what"), str, "died", choices=WAYS_OUT),
            *self.which(),
            *self._pack(),
            self.when(),
            FieldSpec("cause", say("cause of death"), str, "unknown", choices=CAUSES),
            self.note(),
        )

    def _pack(self) -> tuple[FieldSpec, ...]:
        """In which pack of a fair they lay; asked where any of the lot are packed."""
        ledger = self.desk.ledger
        packs = ledger.ask(in_packs, ledger.ask(find_lot, self.subject).id)
        marks = tuple(dict.fromkeys(one.mark for one in packs))
        return (FieldSpec("pack", say("in pack"), _mark, NO_PACK, choices=(NO_PACK, *marks)),) if marks else ()

    def command(self, values: Mapping[str, Any]) -> Record:
        cause = values["cause"] if values["reason"] == "died" else None
        moves = tuple(
            Move(values["reason"], n, values["stage"], sex, values["tub"], cause=cause, pack=values.get("pack", ""))
            for sex, n in self.sexes(values)
        )
        return Record(self.subject, moves, values["on"], note=values["note"])


class DriedForm(LotForm):
    """Animals that died and are kept as dried specimens, which may be sold as such."""

    WHERE = "dried"
    HELP = say(
        "Animals that are no longer alive and are kept as dried specimens. For the survival and cost of the lot they "
        "count as died; a specimen costs nothing more and can be sold."
    )

    def heading(self) -> str:
        return say("{subject}: animals kept as dried specimens", subject=self.subject)

    def specs(self) -> Sequence[FieldSpec]:
        return (
            HOW_MANY,
            *self.which(),
            *self._kept_as(),
            self.when(),
            self.note(),
        )

    def _kept_as(self) -> tuple[FieldSpec, ...]:
        """Which kind of specimen; not asked where the species has one, or none, which the ledger refuses in words."""
        ladder = self.desk.jot_setting().vocabulary.stages[self.subject]
        kinds = [name for name, unit in ladder if unit == "specimen"]
        return (FieldSpec("to_stage", say("kept as"), said, kinds[0], choices=kinds),) if len(kinds) > 1 else ()

    def command(self, values: Mapping[str, Any]) -> Record:
        moves = tuple(
            Move("dried", n, values["stage"], sex, values["tub"], to_stage=values.get("to_stage"))
            for sex, n in self.sexes(values)
        )
        return Record(self.subject, moves, values["on"], note=values["note"])


class MoveOnForm(LotForm):
    """Animals that moved on to another stage."""

    WHERE = "move-on"

    def heading(self) -> str:
        return say("{subject}: animals that moved on", subject=self.subject)

    def specs(self) -> Sequence[FieldSpec]:
        ladder = [name for name, unit in self.desk.jot_setting().vocabulary.stages[self.subject] if unit == "animal"]
        return (
            HOW_MANY,
            *self.which(),
            FieldSpec(
                "to_stage",
                say("to"),
                said,
                "next",
                nothing_beside,
                hint=say("next, or a stage"),
                known=("next", *ladder),
            ),
            self.when(),
            self.note(),
        )

    def command(self, values: Mapping[str, Any]) -> Record:
        to_stage = None if values["to_stage"] in (None, "next") else values["to_stage"]
        by_number = values["sex"] is None
        moves = tuple(
            # A sex said with the number is the one they turned out to be.
            Move("next stage", n, values["stage"], None, values["tub"], to_stage=to_stage, to_sex=sex)
            if by_number and sex in ("male", "female")
            else Move("next stage", n, values["stage"], sex, values["tub"], to_stage=to_stage)
            for sex, n in self.sexes(values)
        )
        return Record(self.subject, moves, values["on"], note=values["note"])


class CountForm(LotForm):
    """A count of the living."""

    WHERE = "count"

    def heading(self) -> str:
        return say("{subject}: counted", subject=self.subject)

    def specs(self) -> Sequence[FieldSpec]:
        return (
            FieldSpec("count", say("how many"), whole("animals", least=0), "", nothing_beside),
            FieldSpec("kind", say("how"), str, "counted", choices=("counted", "estimated")),
            *(self._where(spec) for spec in self.which() if spec.key != "sex"),
            self.when(),
            self.note(),
        )

    def _where(self, spec: FieldSpec) -> FieldSpec:
        """A count is of a tub, or of all of them: those in no tub alone are no place that is counted."""
        return replace(spec, start=self._tub or "", known=spec.known[:-1]) if spec.key == "tub" else spec

    def command(self, values: Mapping[str, Any]) -> SaveRound:
        if values["tub"] == "":
            raise BadInput(say("Count a tub, or leave the tub empty for all of them together."), field="tub")
        stages = self.stages()
        stage = values["stage"] if len(stages) > 1 else None
        mark = Mark(self.subject, values["kind"], values["tub"] or "", stage, values["count"], values["note"])
        return SaveRound((mark,), values["on"])


class SplitForm(LotForm):
    """Part of a lot becomes a lot of its own."""

    WHERE = "split"

    def heading(self) -> str:
        return say("{subject}: split off a new lot", subject=self.subject)

    def specs(self) -> Sequence[FieldSpec]:
        return (
            FieldSpec("new_code", say("new lot"), clean_code, "", str, hint=say("its code, such as P09")),
            HOW_MANY,
            *self.which(),
            self.when(),
            self.note(),
        )

    def command(self, values: Mapping[str, Any]) -> SplitLot:
        parts = tuple(Part(n, values["stage"], sex, values["tub"]) for sex, n in self.sexes(values))
        return SplitLot(self.subject, values["new_code"], parts, values["on"], values["note"])


class TakeBackForm(Form):
    """Take back one movement.

    Args:
        subject: number of the movement, which the ledger takes.
        entry: number of its entry, by which the lists name it.
    """

    WHERE = "take-back"

    def __init__(self, subject: str, entry: int | None = None) -> None:
        super().__init__(subject)
        self._entry = entry

    def heading(self) -> str:
        if self._entry is None:
            return say("Take back movement {subject}", subject=self.subject)
        return say("Take back entry {entry}", entry=self._entry)

    def specs(self) -> Sequence[FieldSpec]:
        return (FieldSpec("note", say("why"), text("note", limit=2000), "", nothing_beside, hint=say("if you like")),)

    def command(self, values: Mapping[str, Any]) -> Reverse:
        return Reverse(int(self.subject), values["note"])
