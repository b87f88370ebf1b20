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
from textual.content import Content
from textual.geometry import Size
from textual.suggester import Suggester, SuggestFromList
from textual.widget import Widget
from textual.widgets import Input

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
from tui.widgets.paged import ROOMY

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


def labelled(label: str, room: int) -> Content:
    """A label at the left of a field, as wide as its room."""
    told = words(label, "$quiet").truncate(room, ellipsis=True)
    return told.pad_right(room - told.cell_length)


class FieldRow(Widget):
    """Label, entry and the sentence beside it. The row itself draws label and sentence: a form of fourteen fields would
    open half as fast with widgets of their own for them."""

    MOST_LINES = 3
    """Of a sentence."""

    def __init__(self, spec: FieldSpec, value: str, order: Order = "dmy") -> None:
        super().__init__(classes="field")
        self._order = order
        self.spec = spec
        self._said = self._hint
        self.wrong = False
        """Whether the sentence says why the field cannot be read."""
        self._was_read = False
        """Whether it was left, or recorded, since when what it means stands beside it."""
        # What stands there from the beginning is no change.
        with self.prevent(Input.Changed):
            self.entry: Input | OneOf = self._entry(value)
            """Where the value is typed."""

    def _entry(self, value: str) -> Input | OneOf:
        if self.spec.choices:
            return OneOf(self.spec.choices, value, id=f"entry-{self.spec.key}")
        return FormEntry(value, _suggester(self.spec), id=f"entry-{self.spec.key}")

    def compose(self) -> ComposeResult:
        yield self.entry

    # --- drawing -----------------------------------------------------------------------------------------------------

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """As many lines as the entry or the sentence needs."""
        beside, below = self._sentence(width)
        entry = 1
        if isinstance(self.entry, OneOf):
            entry = len(self.entry.lines(width - self._label_room))
        return max(entry, len(beside)) + len(below)

    def render(self) -> Content:
        beside, below = self._sentence(self.size.width)
        first = labelled(self.spec.label, self._label_room)
        left = self._beside_at
        if beside:
            first = first.pad_right(left - self._label_room) + beside[0]
        lines = [first, *(line.pad_left(left) for line in beside[1:]), *(line.pad_left(2) for line in below)]
        return Content("\n").join(lines)

    @property
    def _label_room(self) -> int:
        """Cells at the left of the entry, as the style sheet has them."""
        return self.entry.styles.margin.left

    @property
    def _beside_at(self) -> int:
        """Where a sentence beside the entry begins."""
        width = self.entry.styles.width
        return self._label_room + int(width.value if width is not None else 0) + 1

    def _sentence(self, width: int) -> tuple[list[Content], list[Content]]:
        """The lines of the sentence that stand beside the entry, and those below it. On a phone the field has the line,
        and what is said of it the next, while it has the keys or is wrong."""
        if self.spec.choices or not self._said:
            return [], []
        narrow = self.app.size.width < ROOMY
        if narrow and not (self.wrong or self.entry.has_focus):
            return [], []
        room = width - (2 if narrow else self._beside_at)
        if room < 1:
            return [], []
        style = "$warning" if self.wrong else "$quiet"
        lines = words(self._said, style).wrap(room)
        if len(lines) > self.MOST_LINES:
            # Nobody should take the beginning of a sentence for all of it.
            last = lines[self.MOST_LINES - 1].truncate(room - 1)
            lines = [*lines[: self.MOST_LINES - 1], last + words("…", style)]
        return ([], lines) if narrow else (lines, [])

    def on_click(self) -> None:
        """A tap on the label or the sentence means the field."""
        self.entry.focus()

    def on_descendant_focus(self) -> None:
        """On a phone its sentence appears."""
        self._redraw_if_narrow()

    def on_descendant_blur(self) -> None:
        """On a phone its sentence goes."""
        self._redraw_if_narrow()

    def _redraw_if_narrow(self) -> None:
        if self.app.size.width < ROOMY:
            self.refresh(layout=True)

    # --- what stands in it -------------------------------------------------------------------------------------------

    @property
    def _hint(self) -> str:
        takes = TAKES if self.spec.known and len(self.spec.hint) <= SHORT_HINT else ""
        return strung((part for part in (self.spec.hint, takes) if part), " · ")

    @property
    def typed(self) -> str:
        """What stands in the field."""
        return self.entry.value

    def read(self) -> Any:
        """The value. Raises Refused."""
        return self.spec.read_typed(self.typed)

    def check(self) -> bool:
        """Read the field and say beside it what it means, or why it cannot be read."""
        self._was_read = True
        try:
            self.say(self.spec.beside(self.read()))
        except Refused as refusal:
            self.say(refusal.sentence, wrong=True)
            return False
        return True

    def typed_on(self) -> None:
        """What is said of the field follows what is typed: what was wrong until it is right, what it meant until it
        means something else. What cannot be read yet is no fault before the field is left."""
        if self.wrong:
            self.check()
        elif self._was_read:
            try:
                self.say(self.spec.beside(self.read()))
            except Refused:
                self.say(self._hint)

    def hint(self) -> None:
        """Put beside the field what stands there before anything is read."""
        self._was_read = False
        self.say(self._hint)

    def say(self, sentence: str, *, wrong: bool = False) -> None:
        """Put a sentence beside the field."""
        if self.spec.choices:
            return
        sentence = in_one_style(sentence, self._order)
        said = say("! {sentence}", sentence=sentence) if wrong else sentence
        if (said, wrong) != (self._said, self.wrong):
            self._said, self.wrong = said, wrong
            self.refresh(layout=True)
