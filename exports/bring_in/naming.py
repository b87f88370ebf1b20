"""Species by what a sheet calls them: code, scientific or usual name, or the template one was taken from.

A name that may be two of them, or none, is asked about; never the nearest is taken.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from exports.bring_in.records import Said
from exports.bring_in.report import Question, some_rows
from ledger.errors import NotFound
from ledger.stock.catalogue import SpeciesRow
from ledger.stock.templates import templates
from ledger.text import count_words, quoted

_MOST_ASKED = 30
"""Words of one sort asked about at a time."""
_MOST_SHOWN = 12


@dataclass(frozen=True, slots=True)
class Settled:
    """What was found out about the words of a sheet."""

    questions: tuple[Question, ...] = ()
    read_as: tuple[str, ...] = ()


def plain_name(text: str) -> str:
    """A name without its trimmings: 'Pachnoda  "marginata"' is 'pachnoda marginata'."""
    return " ".join(re.findall(r"\w+", text.casefold()))


def name_species(
    rows: Sequence[Said], known: Sequence[SpeciesRow], said: Mapping[str, str], *, several: bool
) -> Settled:
    """Put the code of its species into every row; a name that is not known is asked about once.

    Args:
        rows: rows that are new to the ledger.
        known: the species of the ledger.
        said: code by name, by the keeper's word.
        several: a row may name several.

    Raises:
        NotFound: the keeper named a code that is none.
    """
    called: dict[str, list[Said]] = {}
    for one in rows:
        if text := one.text("species"):
            called.setdefault(text, []).append(one)
    if not called:
        return Settled()
    codes = {row.code.casefold(): row for row in known}
    answered = {plain_name(name): _code_of(code, codes) for name, code in said.items()}
    names = _names(known)
    read_as: list[str] = []
    questions: list[Question] = []
    for text, those in called.items():
        code = _which(text, codes, answered, names)
        if not code and several:
            code = _of_several(text, codes, answered, names)
        if not code:
            questions.append(_whose(text, those, known, hinted=not questions))
            continue
        for one in those:
            one.values["species"] = code
        if code.casefold() != text.casefold():
            row = codes.get(code.casefold())
            name = f" ({row.common or row.scientific})" if row else ""
            read_as.append(f"{quoted(text, limit=60)} is {code}{name}, {count_words(len(those), 'row', 'rows')}.")
    return Settled(some_questions(questions, "names of species"), tuple(read_as))


def _code_of(code: str, codes: Mapping[str, SpeciesRow]) -> str:
    row = codes.get(code.strip().casefold())
    if row is None:
        yours = ", ".join(one.code for one in codes.values()) or "none"
        raise NotFound(f"There is no species {quoted(code)}; yours are: {yours}.", "species")
    return row.code


def _names(known: Sequence[SpeciesRow]) -> tuple[dict[str, set[str]], ...]:
    """Codes by what species are called: by the ledger first, then by the template one was taken from."""
    own: dict[str, set[str]] = {}
    shipped: dict[str, set[str]] = {}
    of_key = {one.key: one for one in templates()} if any(row.template for row in known) else {}
    for row in known:
        for name in (row.code, row.common, row.scientific):
            own.setdefault(plain_name(name), set()).add(row.code)
        if (one := of_key.get(row.template)) is not None:
            for name in (one.key, one.common, one.scientific):
                shipped.setdefault(plain_name(name), set()).add(row.code)
    own.pop("", None)
    shipped.pop("", None)
    return own, shipped


def _which(
    text: str,
    codes: Mapping[str, SpeciesRow],
    answered: Mapping[str, str],
    names: Iterable[Mapping[str, set[str]]],
) -> str:
    """The one species that is called so; empty: none, or more than one."""
    if (row := codes.get(text.casefold())) is not None:
        return row.code
    name = plain_name(text)
    if name in answered:
        return answered[name]
    for by_name in names:
        found = by_name.get(name) or by_name.get(name.removesuffix("s")) or set()
        if found:
            return next(iter(found)) if len(found) == 1 else ""
    return ""


def _of_several(
    text: str,
    codes: Mapping[str, SpeciesRow],
    answered: Mapping[str, str],
    names: Sequence[Mapping[str, set[str]]],
) -> str:
    """Codes of several species with commas or spaces between; empty: one of them is not known."""
    for parts in (re.split(r"\s*[,;]\s*", text), text.replace(",", " ").replace(";", " ").split()):
        found = [_which(part, codes, answered, names) for part in parts if part]
        if found and all(found):
            return " ".join(found)
    return ""


def _whose(text: str, those: Sequence[Said], known: Sequence[SpeciesRow], *, hinted: bool) -> Question:
    rows = f"{count_words(len(those), 'row', 'rows')} {some_rows([one.row for one in those])}"
    name = quoted(text, limit=60)
    shipped = [one.key for one in templates() if plain_name(text) in map(plain_name, (one.scientific, one.common))]
    add = f"take it in first: rearledger species add CODE --template {shipped[0] if shipped else 'KEY'}"
    hint = f"If it is none of them, {add} (S in Stock)." if hinted or shipped else ""
    option = f'--species "{plain_name(text)}=CODE"'
    about = "species", text
    choices = tuple(row.code for row in known[:_MOST_SHOWN])
    if not known:
        return Question(f"{rows}: {name} is a species, and there is none in the ledger yet.", option, (), hint, about)
    return Question(f"{rows}: which of your species is {name}?", option, choices, hint, about)


def some_questions(questions: Sequence[Question], what: str) -> tuple[Question, ...]:
    """As many as are asked at a time; the last says how many more there are."""
    if len(questions) <= _MOST_ASKED:
        return tuple(questions)
    rest = len(questions) - _MOST_ASKED
    last = questions[_MOST_ASKED - 1]
    more = replace(last, hint=f"{last.hint} And {rest} more {what} are new.".strip())
    return (*questions[: _MOST_ASKED - 1], more)
