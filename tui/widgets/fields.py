"""One field of a form: how its text is read, what stands beside it, and the row it is drawn in.

Reading is strict and our own: an amount, a day or a number that is not plainly one is refused in a sentence beside the
field, and what was typed stays.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.suggester import Suggester, SuggestFromList
from textual.widgets import Input, Static

from ledger.days import Order, long_day
from ledger.errors import BadInput, Refused
from ledger.money import Currency, parse_amount, said
from ledger.text import clean, quoted
from ledger.wording import a_day, say, strung, word
from tui.how_many import is_number, number_of
from tui.look import in_one_style
from tui.plain import words
from tui.tongue import speaking, tell
from tui.typed_words import known_word, typed_day
from tui.widgets.entry import FormEntry
from tui.widgets.oneof import OneOf

TAKES = say("→ completes")
TODAY = "today"
SHORT_HINT = 18
"""Cells of a hint beside which there is room to say how a word is completed."""


@dataclass(frozen=True, slots=True)
class FieldSpec:
    """What a form says of one of its fields."""

    key: str
    label: str
    read: Callable[[str], Any]
    """The value for the command; raises Refused with the sentence to show."""
    start: str = ""
    """What is likely: it stands there when the form opens."""
    beside: Callable[[Any], str] = str
    """The value in words, shown beside the field once it is read."""
    hint: str = ""
    """Shown beside the field before anything is read."""
    known: Sequence[str] = ()
    """Words offered while typing; the right arrow takes them."""
    choices: Sequence[str] = ()
    """A few fixed answers, all in sight; no free text then."""
    seldom: bool = False
    """Folded away in a form that folds, until it matters."""
    several: bool = False
    """Several of the known words may stand in the field: the last one is completed."""

    def __post_init__(self) -> None:
        if speaking() is None or self.choices:
            return
        if self.start == TODAY or self.start in self.known:
            object.__setattr__(self, "start", tell(word(self.start)))
        else:
            # An amount stands there as the screen writes it.
            object.__setattr__(self, "start", tell(self.start))

    def read_typed(self, typed: str) -> Any:
        """The value of what was typed, its known words in English or in the language of the screen."""
        if self.several:
            typed = re.sub(r"[^ ,]+", lambda one: known_word(one[0], self.known), typed)
        return self.read(known_word(typed, self.known))


def text(label: str, *, limit: int = 120, needed: bool = False) -> Callable[[str], str]:
    """Reads a line of text."""

    def read(typed: str) -> str:
        kept = clean(typed, limit=limit, field=label)
        if needed and not kept:
            raise BadInput(say("Write the {label}.", label=word(label)), field=label)
        return kept

    return read


def codes(typed: str) -> tuple[str, ...]:
    """Codes of lots, between commas or spaces, as they stand in the ledger."""
    return tuple(part for part in typed.upper().replace(",", " ").split() if part)


def whole(label: str, *, least: int = 1) -> Callable[[str], int]:
    """Reads a whole number, `least` or more."""

    def read(typed: str) -> int:
        bare = typed.strip()
        if not is_number(bare) or number_of(bare, label) < least:
            raise BadInput(
                say(
                    "{bare} is not a number of {label}; write a whole number, {least} or more.",
                    bare=quoted(bare),
                    label=word(label),
                    least=least,
                )
                if bare
                else say("Write how many {label}.", label=word(label)),
                field=label,
            )
        return number_of(bare, label)

    return read


def amount(currency: Currency, *, empty: int | None = None) -> Callable[[str], int | None]:
    """Reads an amount not below nought; an empty field is `empty`, or refused when that is None."""

    def read(typed: str) -> int | None:
        if not typed.strip() and empty is not None:
            return empty
        value = parse_amount(typed, currency)
        if value < 0:
            raise BadInput(say("Write the amount without a minus."), field="amount")
        return value

    return read


def amount_or_none(currency: Currency) -> Callable[[str], int | None]:
    """Reads an amount; an empty field leaves it to the ledger (a price from the list)."""
    read_amount = amount(currency)
    return lambda typed: read_amount(typed) if typed.strip() else None


def day(today: dt.date, order: Order = "dmy", *, ahead: bool = False) -> Callable[[str], dt.date]:
    """Reads a day as a person writes it."""
    return lambda typed: typed_day(typed, today, order, ahead=ahead)


def in_money(currency: Currency) -> Callable[[int | None], str]:
    """An amount in words for beside the field."""
    return lambda value: "" if value is None else said(value, currency)


def in_days(value: dt.date) -> str:
    """A day in words for beside the field."""
    return strung((a_day(value, f"{value:%A}", "EEEE"), long_day(value)))


def nothing_beside(value: object) -> str:
    """Nothing: the field says it all."""
    return ""


class LastWord(Suggester):
    """Offers what completes the last word of a field that holds several."""

    def __init__(self, known: Sequence[str]) -> None:
        # Otherwise what stands before the last word would come back in small letters.
        super().__init__(case_sensitive=True)
        self._known = tuple(known)

    async def get_suggestion(self, value: str) -> str | None:
        """The field with its last word completed; None if nothing known begins so."""
        start = re.split(r"[ ,]", value)[-1].casefold()
        found = next((word for word in self._known if start and word.casefold().startswith(start)), None)
        return None if found is None else value[: len(value) - len(start)] + found


def _suggester(spec: FieldSpec) -> Suggester | None:
    if not spec.known:
        return None
    known = [tell(word(one)) for one in spec.known]
    return LastWord(known) if spec.several else SuggestFromList(known, case_sensitive=False)


class FieldRow(Horizontal):
    """Label, entry and the sentence beside it."""

    def __init__(self, spec: FieldSpec, value: str, order: Order = "dmy") -> None:
        super().__init__(classes="field")
        self._order = order
        self.spec = spec
        self._value = value

    def compose(self) -> ComposeResult:
        yield Static(words(self.spec.label), markup=False, classes="field-label")
        if self.spec.choices:
            yield OneOf(self.spec.choices, self._value, id=f"entry-{self.spec.key}")
        else:
            yield FormEntry(
                self._value,
                compact=True,
                id=f"entry-{self.spec.key}",
                classes="field-entry",
                suggester=_suggester(self.spec),
            )
            yield Static(words(self._hint), markup=False, classes="field-said")

    @property
    def _hint(self) -> str:
        takes = TAKES if self.spec.known and len(self.spec.hint) <= SHORT_HINT else ""
        return strung((part for part in (self.spec.hint, takes) if part), " · ")

    @property
    def entry(self) -> Input | OneOf:
        """Where the value is typed."""
        return self.query_one(OneOf) if self.spec.choices else self.query_one(Input)

    @property
    def typed(self) -> str:
        """What stands in the field."""
        return self.entry.value

    def read(self) -> Any:
        """The value. Raises Refused."""
        return self.spec.read_typed(self.typed)

    def check(self) -> bool:
        """Read the field and say beside it what it means, or why it cannot be read."""
        try:
            self.say(self.spec.beside(self.read()))
        except Refused as refusal:
            self.say(refusal.sentence, wrong=True)
            return False
        return True

    def hint(self) -> None:
        """Put beside the field what stands there before anything is read."""
        self.say(self._hint)

    def say(self, sentence: str, *, wrong: bool = False) -> None:
        """Put a sentence beside the field."""
        if self.spec.choices:
            return
        sentence = in_one_style(sentence, self._order)
        beside = self.query_one(".field-said", Static)
        beside.set_class(wrong, "wrong")
        beside.update(words(say("! {sentence}", sentence=sentence) if wrong else sentence))
