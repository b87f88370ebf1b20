"""What the ledger wrote in its own words, said in the language of a document.

Sentences about origin are kept in English as they were stated. In another language each is recognised by the pattern
it was written in and said anew, values and all; one that is not recognised stays word for word. Nothing is derived
here, and in English nothing is touched.
"""

from __future__ import annotations

import datetime as dt
import re
from functools import cache

from exports.documents.language import Language
from exports.documents.sentences import (
    ARRIVALS,
    GAPS,
    GRADES,
    HEADLINES,
    LABELS,
    NOBODY,
    ON_PAPER,
    PARENTS,
    PIECES,
    REASONS,
    TUB,
    WHENCE,
)

_CODE = r"[A-Z0-9](?:[A-Z0-9.-]*[A-Z0-9])?"
_ANIMAL = rf"{_CODE}(?: tub [A-Za-z0-9.-]+)?"
_VALUES = {
    "lot": _CODE,
    "animal": rf"(?:{_ANIMAL}|{NOBODY})",
    "day": r"\d{4}-\d\d-\d\d",
    "n": r"\d+",
    "country": "[A-Z]{2}",
    "codes": rf"{_CODE}(?:, {_CODE})*",
    "name": r".+",
}
_BEFORE_NAME = re.compile(rf"(?:^|; )(?=(?:{'|'.join(WHENCE)}): )")
_PLACEHOLDER = re.compile(r"%\(([a-z_]+?)(\d?)\)s")


def paper_sentence(text: str, language: Language) -> str:
    """What a line of a sale states: its origin, or its provenance in one sentence."""
    return _said(text, ON_PAPER, language)


def origin_label(text: str, language: Language) -> str:
    """The full label of an origin."""
    return _said(text, LABELS, language)


def evidence(text: str, language: Language) -> str:
    """What an origin rests on."""
    return _said(text, GRADES, language)


def headline(text: str, language: Language) -> str:
    """How many gaps the records of a lot have."""
    return _said(text, HEADLINES, language)


def gap(text: str, language: Language) -> str:
    """One thing the records of a lot lack."""
    return _said(text, GAPS, language)


def reason(text: str, language: Language) -> str:
    """Why an origin is what it is."""
    return _said(text, REASONS, language)


def parentage(text: str, language: Language) -> str:
    """A possible parent, or a lot it was made from."""
    return _said(text, PARENTS, language)


def arrival(text: str, language: Language) -> str:
    """How and when a lot came or was born: several ways parted by '; '."""
    if language.is_source:
        return text
    parts = text.split("; ")
    said = "; ".join(_said(part[0].lower() + part[1:], ARRIVALS, language) for part in parts if part)
    return said[:1].upper() + said[1:]


def whence(text: str, language: Language) -> str:
    """What was stated beside an origin: 'Country: XB; Supplier: ...'."""
    if language.is_source:
        return text
    said = []
    for part in _BEFORE_NAME.split(text):
        name, colon, value = part.partition(": ")
        said.append(f"{language.say(name)}{colon}{value}" if name in WHENCE else part)
    return "; ".join(part for part in said if part)


def _said(text: str, patterns: tuple[str, ...], language: Language) -> str:
    """`text` in the language, or as it is if no pattern fits."""
    if language.is_source:
        return text
    known = _recognised(text, patterns, language)
    return text if known is None else known


def _recognised(text: str, patterns: tuple[str, ...], language: Language) -> str | None:
    for pattern in patterns:
        found = _expression(pattern).fullmatch(text)
        if found is None:
            continue
        values = {name: _value(name, value, language) for name, value in found.groupdict().items()}
        if not pattern:
            return ""
        return language.say(pattern, **values)
    return None


def _value(name: str, text: str, language: Language) -> str:
    kind = name.rstrip("0123456789")
    if kind in PIECES:
        return _said(text, PIECES[kind], language)
    if kind == "day":
        return language.short_day(dt.date.fromisoformat(text))
    if kind == "lots":
        return ", ".join(_said(part, PIECES["with_origin"], language) for part in _with_origins(text))
    if kind == "animals":
        return language.listed([_said(part, PIECES["with_origin"], language) for part in text.split(" and ")])
    if kind == "animal":
        return language.say(NOBODY) if text == NOBODY else text.replace(TUB, language.say(TUB))
    return text


def _with_origins(text: str) -> list[str]:
    """'P08 (captive bred, F2 by our records), E01 (not known)' in its parts: labels hold commas too."""
    return [one[0] for one in re.finditer(rf"{_ANIMAL} \([^)]*\)", text)]


@cache
def _expression(pattern: str) -> re.Pattern[str]:
    return re.compile(_source(pattern, named=True))


def _source(pattern: str, *, named: bool) -> str:
    """A pattern as a regular expression; only the values of the pattern itself become groups."""
    out = []
    at = 0
    for found in _PLACEHOLDER.finditer(pattern):
        out.append(re.escape(pattern[at : found.start()]))
        inner = _alternatives(found[1])
        out.append(f"(?P<{found[1]}{found[2]}>{inner})" if named else f"(?:{inner})")
        at = found.end()
    return "".join(out) + re.escape(pattern[at:])


@cache
def _alternatives(kind: str) -> str:
    if kind in PIECES:
        return "|".join(_source(one, named=False) for one in sorted(PIECES[kind], key=len, reverse=True))
    if kind in ("lots", "animals"):
        one = _source("%(with_origin)s", named=False)
        return rf"{one}(?:(?:, | and ){one})*"
    return _VALUES[kind]
