"""The jot line: one line in the trade's words becomes one command, or a refusal in words.

Reads only the line, a vocabulary and today; writes nothing, never imports the screen library, and never guesses: what
fits several things is refused with the choices. The grammar is our own: `P08 3 died`, `feed 24.00 Ombrel`.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from ledger.days import parse_day
from ledger.errors import Ambiguous, BadInput, NotFound, Refused
from ledger.stock.commands import Undo
from ledger.text import quoted
from ledger.wording import listed, say, strung
from tui.jot_amounts import has_digit
from tui.jot_animals import read_animals
from tui.jot_days import DAY, SHORT_YEAR
from tui.jot_lots import is_of_a_round, take_subject
from tui.jot_spending import read_spending
from tui.jot_told import read_told
from tui.jot_trade import read_hold, read_sale
from tui.jot_words import Setting, Vocabulary, Words, cut_note, is_stage, near
from tui.spans import cut_span, read_span
from tui.typed_words import day_in_english, typed_day

_QUESTIONS = 3
"""Questions that one line may leave open, and whose answers are offered together."""
_MOST_OFFERED = 12


@dataclass(frozen=True, slots=True)
class Line:
    """One pasted line with what became of it: a command or the reason why not."""

    text: str
    command: object | None = None
    refusal: Refused | None = None


def read_line(text: str, setting: Setting) -> object:
    """The command that one line stands for.

    Raises:
        Refused: it cannot be read, and what to write instead; `Ambiguous` carries whole lines as choices.
    """
    line = " ".join(text.split())
    try:
        return _read_told(line, setting)
    except Ambiguous as refusal:
        choices = _that_read(refusal.choices, setting, _QUESTIONS)
        raise Ambiguous(refusal.sentence, refusal.field, refusal.facts, choices=choices) from None


def _read_told(line: str, setting: Setting) -> object:
    return read_told(lambda typed: _read(typed, setting), line, setting)


def _that_read(lines: Iterable[str], setting: Setting, questions: int) -> tuple[str, ...]:
    """Those of the lines that can be read; of one that leaves another question open, the lines that answer it."""
    found: list[str] = []
    for line in lines:
        try:
            _read_told(line, setting)
        except Ambiguous as refusal:
            if questions > 1:
                found.extend(_that_read(refusal.choices, setting, questions - 1))
        except Refused:
            continue
        else:
            found.append(line)
    return tuple(dict.fromkeys(found))[:_MOST_OFFERED]


def _read(line: str, setting: Setting) -> object:
    if line.casefold().endswith(" note"):
        raise BadInput(say("Write the reason or remark after the word note."), field="note")
    body, note = cut_note(line)
    spending = Words(body).take_phrase(setting.vocabulary.categories) is not None
    names = (*setting.vocabulary.species, *setting.vocabulary.stages)
    undated, period = cut_span(body, names) if spending else (body, "")
    bare, on = _cut_day(undated, setting)
    after = f"{undated[len(bare) :]} {period}{line[len(body) :]}" if period else line[len(bare) :]
    words = Words(bare, after=after)
    if not words:
        raise BadInput(say("Write what happened, such as: P08 3 died."))
    first = words.peek().casefold()
    if first == "undo" and len(words.words) == 1:
        return Undo()
    if first == "hold":
        return read_hold(Words(body, after=line[len(body) :]), note, setting)
    if first == "sell":
        return read_sale(words, on, note, setting)
    if is_of_a_round(words, setting.vocabulary):
        return read_animals(words, on, note, setting.vocabulary)
    category = words.take_phrase(setting.vocabulary.categories)
    if category is not None:
        return read_spending(words, category, on, note, setting, read_span(period, setting.today, setting.order))
    if take_subject(words, setting.vocabulary) is not None:
        words.at = 0
        return read_animals(words, on, note, setting.vocabulary)
    raise _unknown_start(words.peek(), setting.vocabulary)


def read_lines(text: str, setting: Setting) -> tuple[Line, ...]:
    """Several pasted lines, each on its own; empty lines are left out."""
    lines: list[Line] = []
    for raw in text.splitlines():
        if not raw.strip():
            continue
        try:
            lines.append(Line(raw.strip(), read_line(raw, setting)))
        except Refused as refusal:
            lines.append(Line(raw.strip(), refusal=refusal))
    return tuple(lines)


def line_with(text: str, choice: str, setting: Setting) -> str | None:
    """The line with the animals said as in a choice of the ledger ('P08/07 L3 female', 'P08 L3 in no tub').

    None when the choice cannot be put into the line: the line is then to be written anew.
    """
    words = text.split()
    where, *which = choice.split()
    lot = where.partition("/")[0].casefold()
    at = next((n for n, word in enumerate(words) if word.partition("/")[0].casefold() == lot), None)
    if at is None:
        return None
    after = at + 1
    while after < len(words) and words[after][:1].isdigit():
        after += 1
    rest = words[after:]
    for length in range(len(which), 0, -1):
        # What the line said already (the stage) stands in the choice too.
        if is_stage(" ".join(rest[:length]), " ".join(which[:length])):
            rest = rest[length:]
            break
    line = strung([*words[:at], where, *words[at + 1 : after], *which, *rest], " ")
    try:
        read_line(line, setting)
    except Refused:
        return None
    return line


def _cut_day(text: str, setting: Setting) -> tuple[str, dt.date]:
    """The line without the day at its end, and that day; a line without one means today."""
    found = DAY.search(text) or SHORT_YEAR.search(text)
    if found is None:
        return _cut_told_day(text, setting)
    if found.re is SHORT_YEAR:
        after_on = text[: found.start()].casefold().endswith(" on ")
        if not after_on and Words(text).take_phrase(setting.vocabulary.categories) is None:
            return text, setting.today
    before = text[: found.start()].rstrip()
    if found.group().endswith(".") and _is_amount(before, setting):
        return text, setting.today
    if before.casefold().endswith(" on") and not before.casefold().endswith(" moved on"):
        before = before[:-3].rstrip()
    return before, typed_day(found.group(), setting.today, setting.order)


def _is_amount(before: str, setting: Setting) -> bool:
    """Whether 5.10. at the end of a line is its amount with a full stop behind it."""
    spending = Words(before).take_phrase(setting.vocabulary.categories) is not None
    return before.casefold().endswith(" at") or (spending and not has_digit(before))


def _cut_told_day(text: str, setting: Setting) -> tuple[str, dt.date]:
    """The same for a day in the language of the screen: 'P08 3 died gestern', 'P08 3 died 15. Dez'."""
    parts = text.split(" ")
    for many in (3, 2, 1):
        english = day_in_english(" ".join(parts[-many:]), whole=many == 1) if many < len(parts) else None
        # Of two words only a day with its month, or the last such weekday, is a day; one before something else is not.
        if english is not None and (many == 1 or parts[-many][:1].isdigit() or english.startswith("last ")):
            return " ".join(parts[:-many]), parse_day(english, setting.today, setting.order)
    return text, setting.today


def _unknown_start(word: str, vocabulary: Vocabulary) -> NotFound:
    names = [*vocabulary.stages, *vocabulary.places, *vocabulary.categories, "hold", "sell", "undo"]
    code, slash, tub = word.partition("/")
    alike = near(code, names)
    meant = say(" Did you mean {alike}?", alike=listed(alike, "or")) if alike else ""
    return NotFound(
        say("{word} is not a lot, a place, a kind of spending, hold or sell.{meant}", word=quoted(word), meant=meant),
        facts={"word": word, "near": tuple(f"{name}{slash}{tub}" for name in alike)},
    )
