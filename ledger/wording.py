"""Sentences that remember how they were put together, so that they can be said again in another language.

The ledger and the screens write English. What they write with `say`, `counted`, `strung` and `listed`, and the days and
amounts in it, is that English text, a `str` like any other; besides it keeps its message and its values. Whoever speaks
another language asks for it with `spoken`; this module knows none. What an f-string puts together has forgotten its
parts, and stays English.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from typing import Any, ClassVar, Protocol


class Speaker(Protocol):
    """A language: its catalogue, and how it writes days, numbers, amounts and lists."""

    def message(self, message: str) -> str:
        """A message in this language; itself where there is no other."""

    def plural(self, one: str, many: str, n: int) -> str:
        """The form of a message that goes with `n`."""

    def day(self, day: dt.date) -> str:
        """A day in a sentence."""

    def told(self, day: dt.date, how: str) -> str:
        """A day, or part of one. Args: the day, and what is told of it as a skeleton of CLDR ('yMMM')."""

    def number(self, n: int) -> str:
        """A whole number."""

    def amount(self, minor: int, code: str, digits: int) -> str:
        """An amount in minor units of the currency with this code (empty: of none in sight) and so many decimals."""

    def figure(self, text: str) -> str:
        """A figure with decimals, written with a point: '1.5'."""

    def listed(self, parts: list[str], last: str) -> str:
        """Parts of a sentence as a list that ends with 'and' or 'or'."""


class Said(str):
    """English text that can be said in another language."""

    __slots__ = ()

    PARTS: ClassVar[tuple[str, ...]] = ()
    """Names of what it remembers."""

    def __init_subclass__(cls) -> None:
        cls.PARTS = tuple(cls.__dict__["__slots__"])

    def spoken(self, speaker: Speaker) -> str:
        """The same in another language."""
        raise NotImplementedError

    def __add__(self, other: str) -> str:
        return strung((self, other), "")

    def __radd__(self, other: str) -> str:
        return strung((other, self), "")

    def rstrip(self, chars: str | None = None, /) -> str:
        """Without spaces at its end, in every language."""
        return _trimmed(self, chars) if super().rstrip(chars) != self else self

    def __reduce__(self) -> tuple[Any, ...]:
        # What another process hands over remembers its parts, or a screen in another language would get English.
        return _again, (type(self), str(self), *(getattr(self, name) for name in type(self).PARTS))


def _again(kind: type[Said], english: str, *parts: object) -> Said:
    """A text as it was before it went through a pipe."""
    said = kind(english)
    for name, part in zip(kind.PARTS, parts, strict=True):
        setattr(said, name, part)
    return said


class _Message(Said):
    """A message with its values, and its plural where it counts."""

    __slots__ = ("many", "message", "n", "values")

    message: str
    many: str
    n: int
    values: Mapping[str, object]

    def spoken(self, speaker: Speaker) -> str:
        found = speaker.plural(self.message, self.many, self.n) if self.many else speaker.message(self.message)
        if not self.values:
            return found
        return found.format_map({name: _value(value, speaker) for name, value in self.values.items()})


class _Strung(Said):
    """Texts one after the other, with something between them."""

    __slots__ = ("between", "parts")

    between: str
    parts: tuple[str, ...]

    def spoken(self, speaker: Speaker) -> str:
        return spoken(self.between, speaker).join([spoken(part, speaker) for part in self.parts])


class _Listed(Said):
    """'a, b and c'."""

    __slots__ = ("last", "parts")

    last: str
    parts: tuple[str, ...]

    def spoken(self, speaker: Speaker) -> str:
        return speaker.listed([spoken(part, speaker) for part in self.parts], self.last)


class _Capital(Said):
    """The same with a capital first letter."""

    __slots__ = ("text",)

    text: str

    def spoken(self, speaker: Speaker) -> str:
        told = spoken(self.text, speaker)
        return told[:1].upper() + told[1:]


class _Trimmed(Said):
    """A text without spaces, or other characters, at its end."""

    __slots__ = ("chars", "text")

    text: str
    chars: str | None

    def spoken(self, speaker: Speaker) -> str:
        return spoken(self.text, speaker).rstrip(self.chars)


class _Unended(Said):
    """A sentence without its full stop."""

    __slots__ = ("text",)

    text: str

    def spoken(self, speaker: Speaker) -> str:
        return spoken(self.text, speaker).removesuffix(".")


class _Day(Said):
    __slots__ = ("day", "how")

    day: dt.date
    how: str

    def spoken(self, speaker: Speaker) -> str:
        return speaker.told(self.day, self.how) if self.how else speaker.day(self.day)


class _Amount(Said):
    __slots__ = ("code", "digits", "minor")

    minor: int
    code: str
    digits: int

    def spoken(self, speaker: Speaker) -> str:
        return speaker.amount(self.minor, self.code, self.digits)


class _Figure(Said):
    __slots__ = ("text",)

    text: str

    def spoken(self, speaker: Speaker) -> str:
        return speaker.figure(self.text)


class _Otherwise(Said):
    """One text in English, another for every other language."""

    __slots__ = ("said",)

    said: str

    def spoken(self, speaker: Speaker) -> str:
        return spoken(self.said, speaker)


class _InShort(Said):
    """A word where there is little room for it."""

    __slots__ = ("text",)

    text: str

    def spoken(self, speaker: Speaker) -> str:
        found = speaker.message(self.text + IN_SHORT)
        # A keeper's own word, or one that is short enough, has no short form.
        return found.removesuffix(IN_SHORT) if found != self.text + IN_SHORT else spoken(word(self.text), speaker)


IN_SHORT = "{in_short}"
"""Ends a message that is a word in short, for the catalogues."""


def say(message: str, /, **values: object) -> str:
    """A sentence, or a word, in English.

    Args:
        message: written out in the code, where the catalogues find it; values stand in it as {name}.
        values: texts, which may be `Said` themselves, or whole numbers.
    """
    text = _Message(message.format_map(values) if values else message)
    text.message, text.many, text.n, text.values = message, "", 0, values
    return text


def counted(n: int, one: str, many: str, /, **values: object) -> str:
    """A sentence in the form that goes with `n`, which stands in it as {n}."""
    values = {"n": n, **values}
    text = _Message((one if n == 1 else many).format_map(values))
    text.message, text.many, text.n, text.values = one, many, n, values
    return text


def word(text: str) -> str:
    """A word of a closed list: a stage, a sex, a cause. The catalogues do not find it where it is used; the screen
    keeps a list of them. What is said already is itself."""
    return text if isinstance(text, Said) else say(text)


def in_short(text: str) -> str:
    """A word of a closed list where there is little room: the short form of another language, if it has one."""
    said = _InShort(text)
    said.text = text
    return said


def decimals(text: str) -> str:
    """A figure with decimals as English writes it: '1.5'."""
    said = _Figure(text)
    said.text = text
    return said


def otherwise(english: str, said: str) -> str:
    """A text that is another one in other languages, as where English has no plural in a list."""
    text = _Otherwise(english)
    text.said = said
    return text


def strung(parts: Iterable[str], between: str = " ") -> str:
    """Texts one after the other."""
    kept = tuple(parts)
    text = _Strung(between.join(kept))
    text.parts, text.between = kept, between
    return text


def listed(parts: Iterable[str], last: str = "and") -> str:
    """'a, b and c'; of at least one part. Args: the parts, and 'and' or 'or'."""
    kept = tuple(parts)
    text = _Listed(kept[0] if len(kept) == 1 else f"{', '.join(kept[:-1])} {last} {kept[-1]}")
    text.parts, text.last = kept, last
    return text


def capital(text: str) -> str:
    """A text as the beginning of a sentence."""
    said = _Capital(text[:1].upper() + text[1:])
    said.text = text
    return said


def unended(sentence: str) -> str:
    """A sentence without its full stop, to be gone on with."""
    said = _Unended(sentence.removesuffix("."))
    said.text = sentence
    return said


def _trimmed(text: str, chars: str | None) -> str:
    said = _Trimmed(str(text).rstrip(chars))
    said.text, said.chars = text, chars
    return said


def a_day(day: dt.date, text: str, how: str = "") -> str:
    """A day as it stands in an English sentence.

    Args:
        day: the day.
        text: as English writes it.
        how: what is told of it, as a skeleton of CLDR ('MMMMEd'); empty: the whole date.
    """
    said = _Day(text)
    said.day, said.how = day, how
    return said


def an_amount(minor: int, code: str, digits: int, text: str) -> str:
    """An amount as it stands in an English sentence."""
    said = _Amount(text)
    said.minor, said.code, said.digits = minor, code, digits
    return said


def spoken(text: str, speaker: Speaker) -> str:
    """A text in another language, as far as it remembers its parts; else as it is."""
    return text.spoken(speaker) if isinstance(text, Said) else text


def _value(value: object, speaker: Speaker) -> object:
    if isinstance(value, str):
        return spoken(value, speaker)
    return speaker.number(value) if isinstance(value, int) and not isinstance(value, bool) else value
