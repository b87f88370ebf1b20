"""The language of the screen: what the keeper reads, whatever the ledger and the code write.

English stands in the code. Another language has a compiled gettext catalogue beside this module; days, amounts and
lists follow the keeper's locale where it is of that language (Babel, CLDR). Commands, JSON and files stay English.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from contextvars import ContextVar
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Final

from ledger import wording
from ledger.errors import BadInput
from ledger.text import quoted, show
from ledger.wording import Speaker

if TYPE_CHECKING:
    from exports.documents.language import Language

SOURCE = "en"
"""The language the code is written in."""
LANGUAGES: Final = {SOURCE: "English", "de": "Deutsch"}
"""Languages the screen can be in."""
CATALOGUES = "languages"
"""Folder of the catalogues, in this package."""


class Tongue:
    """A language of the screen, other than that of the code. Args: one of `LANGUAGES`, the keeper's locale or ''."""

    def __init__(self, code: str, locale: str = "") -> None:
        if code not in LANGUAGES:
            known = ", ".join(f"{one} ({name})" for one, name in LANGUAGES.items())
            raise BadInput(f"The screen does not speak {quoted(code)}; choose one of: {known}.", "language")
        from exports.documents.language import catalogue

        self.code = code
        self._locale = locale if locale.split("_")[0] == code else code
        self._catalogue = catalogue(code, __package__, CATALOGUES)

    @cached_property
    def paper(self) -> Language:
        """What papers are written with in this language."""
        from exports.documents.language import Language

        return Language(self.code, self._locale)

    def message(self, message: str) -> str:
        """See `Speaker`."""
        return self._catalogue.gettext(message) if message else message

    def plural(self, one: str, many: str, n: int) -> str:
        """See `Speaker`."""
        return self._catalogue.ngettext(one, many, n)

    def day(self, day: dt.date) -> str:
        """See `Speaker`."""
        from babel.dates import format_date

        return format_date(day, "medium", locale=self._locale)

    def told(self, day: dt.date, how: str) -> str:
        """A day, or part of one, in a list. Args: 'medium', 'EEEE', or a skeleton of CLDR ('MMMd')."""
        from babel.dates import format_date, format_skeleton

        if how in ("medium", "EEEE"):
            return format_date(day, how, locale=self._locale)
        return format_skeleton(how, dt.datetime.combine(day, dt.time()), locale=self._locale)

    def number(self, n: int) -> str:
        """Digits alone: it may be a year."""
        return str(n)

    def figure(self, text: str) -> str:
        """See `Speaker`."""
        from babel.numbers import get_decimal_symbol

        return text.replace(".", get_decimal_symbol(self._locale))

    def amount(self, minor: int, code: str, digits: int) -> str:
        """See `Speaker`."""
        from ledger.money import Currency, as_decimal, shown

        if not code:
            from babel.numbers import format_decimal

            pattern = f"0.{'0' * digits}" if digits else "0"
            return format_decimal(as_decimal(minor, Currency(code, digits)), pattern, locale=self._locale)
        return shown(minor, Currency(code, digits), self._locale)

    def listed(self, parts: list[str], last: str) -> str:
        """See `Speaker`."""
        from babel.lists import format_list

        return format_list(parts, style="or" if last == "or" else "standard", locale=self._locale)


@dataclass(slots=True)
class Voice:
    """What one screen speaks; all that runs for it shares the voice, so that it can change its language at once."""

    speaker: Speaker | None = None
    """`None`: the language of the code."""


_voice: ContextVar[Voice | None] = ContextVar("what the screen speaks", default=None)


def speak(speaker: Speaker | None) -> Voice:
    """Let what is started from here speak a language; `None`: that of the code."""
    voice = Voice(speaker)
    _voice.set(voice)
    return voice


def speaking() -> Speaker | None:
    """The language spoken here; `None`: that of the code."""
    voice = _voice.get()
    return None if voice is None else voice.speaker


def listen_to(settings: Mapping[str, str]) -> Tongue | None:
    """The language a ledger's settings ask for; `None`: that of the code, also where there is no such language."""
    code = settings.get("screen language", "")
    return Tongue(code, settings.get("locale", "")) if code in LANGUAGES and code != SOURCE else None


def tell(text: str) -> str:
    """A text in the language of the screen, as far as it remembers its parts."""
    speaker = speaking()
    return text if speaker is None else wording.spoken(text, speaker)


def told_day(day: dt.date, how: str) -> str | None:
    """A day in the language of the screen; `None` in that of the code. Args: 'medium', or a skeleton of CLDR."""
    speaker = speaking()
    return speaker.told(day, how) if isinstance(speaker, Tongue) else None


def shown(text: str) -> str:
    """A text in the language of the screen, fit for one line of it (`ledger.text.show`)."""
    return show(tell(text))


class _OnPaper(wording.Said):
    """What a paper says of an origin, kept with a sale as it was written then."""

    __slots__ = ("whole",)

    whole: str

    def spoken(self, speaker: Speaker) -> str:
        from exports.documents.recorded import paper_sentence
        from exports.documents.sentences import ENDING

        if not isinstance(speaker, Tongue):
            return str(self)
        told = paper_sentence(self.whole, speaker.paper)
        return told if self == self.whole else told.removesuffix(speaker.paper.say(ENDING)).rstrip()


def on_paper(text: str, *, ending: bool = True) -> str:
    """A statement of origin as it stands on a paper. Args: the statement, and whether with 'not a certificate'."""
    from ledger.origin.rules import ENDING

    said = _OnPaper(text if ending else text.removesuffix(ENDING).rstrip())
    said.whole = text
    return said


def word(text: str) -> str:
    """A word of a closed list (`trade_words`); another one, which may be the keeper's own, stays as it is."""
    return tell(wording.word(text))
