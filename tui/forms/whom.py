"""The fields that say for whom something is (all animals, one species, or one lot), and from whom it came."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from ledger.errors import BadInput
from ledger.text import quoted
from ledger.wording import say
from tui.jot_words import Vocabulary
from tui.widgets.fields import FieldSpec, nothing_beside, text

EVERYTHING = "all"
FROM_WHOM = say("from whom")


@dataclass(frozen=True, slots=True)
class Whom:
    """One species or one lot by its code; neither: all animals."""

    species: str | None = None
    lot: str | None = None

    @property
    def words(self) -> str:
        """For beside the field."""
        if self.species:
            return say("all of {species}", species=self.species)
        return say("lot {lot}", lot=self.lot) if self.lot else say("all animals")


def whom_field(vocabulary: Vocabulary, start: str = EVERYTHING) -> FieldSpec:
    """The field, under the key `whom`."""
    known = [EVERYTHING, *vocabulary.species, *vocabulary.stages]
    return FieldSpec(
        "whom", say("for"), _read(vocabulary), start, lambda whom: whom.words, hint=say("all, PACH or P08"), known=known
    )


def supplier_field(vocabulary: Vocabulary, start: str = "", label: str = FROM_WHOM) -> FieldSpec:
    """Whom something was bought from, under the key `supplier`; any name will do, and those known are offered."""
    return FieldSpec("supplier", label, text("supplier"), start, nothing_beside, known=tuple(vocabulary.suppliers))


def _read(vocabulary: Vocabulary) -> Callable[[str], Whom]:
    def read(typed: str) -> Whom:
        name = typed.strip().upper()
        if name in ("", EVERYTHING.upper()):
            return Whom()
        if name in vocabulary.species:
            return Whom(species=name)
        if name in vocabulary.stages:
            return Whom(lot=name)
        raise BadInput(
            say("{typed} is not a species or a lot; write all, or one code.", typed=quoted(typed)), field="whom"
        )

    return read
