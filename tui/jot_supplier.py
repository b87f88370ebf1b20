"""What is typed for a supplier in a jot line and is hardly one: half of another line, a part of a bill, something done.

A supplier that is known is never asked about, nor one that `new` stands before; digits alone ("Shop 24") are no doubt.
"""

from __future__ import annotations

import re

from ledger.errors import Ambiguous, BadInput, Refused
from ledger.text import quoted
from ledger.wording import say
from tui.jot_said import ROUGHLY
from tui.jot_words import COUNTS, MARKS, VERBS, Vocabulary, Words, as_line

_PERCENT = re.compile(r"\d\s?%|^%$")
_SHARE = ("share", "part", "of", ",")
"""What stands before a percentage and belongs to it."""
_IN_NAMES = frozenset({"next", "next stage", "found", "dead", "dried", "missing", "watered", "looked"})
"""Verbs that shops are called by, too; they are one only with a number before them."""
_DONE = frozenset({*VERBS, *MARKS, *COUNTS, "born", "sieved out"}) - _IN_NAMES
_OPENED = ("opened", "open", "unopened")
_LAST = ("last", "ago")


def ask_about(words: Words, start: int, stop: int, kind: str, vocabulary: Vocabulary) -> None:
    """Ask about a new supplier that is hardly one.

    Args:
        words: the line.
        start: where the name begins.
        stop: where it ends.
        kind: the kind of its category.
        vocabulary: the names of the ledger.

    Raises:
        Refused: what may have been meant, with the lines that say it.
    """
    name = words.words[start:stop]
    typed = quoted(as_line(name))
    _two_lines(words, start, stop, vocabulary)
    if (at := next((n for n, word in enumerate(name) if _PERCENT.search(word)), None)) is not None:
        cut = at
        while cut and name[cut - 1].casefold() in _SHARE:
            cut -= 1
        said = (
            say(
                "{typed} is no supplier. Which part of a bill is for the business is set once (9 Settings, For your "
                "adviser: method, Business part); put {percent} after the word note.",
                typed=typed,
                percent=quoted(name[at]),
            )
            if kind == "overhead"
            else say(
                "{typed} is no supplier; put {percent} after the word note.", typed=typed, percent=quoted(name[at])
            )
        )
        raise _asked(said, words, start, stop, cut)
    lots = {code.casefold() for code in vocabulary.stages}
    if (lot := next((word for word in name if word.rstrip(":").casefold() in lots), None)) is not None:
        raise Ambiguous(
            say("{lot} is a lot and no part of a supplier's name; write for {lot}.", lot=lot),
            field="supplier",
            choices=_for_lot(words, start, stop, lot) + _new(words, start, stop),
        )
    if name[-1].casefold() in _OPENED:
        raise _asked(
            say(
                "{typed} is no supplier: what is bought is in use from its day on, or kept with the word unopened; say "
                "what it is after the word note.",
                typed=typed,
            ),
            words,
            start,
            stop,
            len(name) - 1,
        )
    if (at := _done_at(name)) is not None:
        raise _asked(
            say("{typed} is no supplier; what happened to animals stands in a line of its own.", typed=typed),
            words,
            start,
            stop,
            at,
        )
    if name[-1].casefold() in _LAST:
        raise _asked(
            say("{last} alone is no day; write last fri, fri, 28 nov or -3.", last=quoted(name[-1])),
            words,
            start,
            stop,
            len(name) - 1,
        )
    if "from" in (inside := [word.casefold() for word in name[1:-1]]):
        at = inside.index("from") + 1
        seller = [*words.words[:start], *name[at + 1 :], *words.words[stop:]]
        raise Ambiguous(
            say("What was bought is said after the word note, and the supplier without from."),
            field="supplier",
            choices=(words.line_of(seller, as_line(name[:at])), *_new(words, start, stop)),
        )


def _two_lines(words: Words, start: int, stop: int, vocabulary: Vocabulary) -> None:
    """Refuse two lines in one: a name whose end is a line about a lot ('share 30%E02 2 died')."""
    codes = sorted(vocabulary.stages, key=len, reverse=True)
    for at in range(start, stop - 1):
        word = words.words[at]
        code = next((one for one in codes if word.casefold().endswith(one.casefold())), None)
        if code is None or not _is_of_animals(words.words[at + 1 : stop]):
            continue
        first = as_line([*words.words[:at], word[: -len(code)]]).strip()
        raise BadInput(
            say(
                "These are two lines in one: record {first} first, then {second}; or write new before the name.",
                first=quoted(first),
                second=quoted(as_line([code, *words.words[at + 1 : stop]])),
            ),
            field="supplier",
        )


def _is_of_animals(behind: list[str]) -> bool:
    """Whether words go on as a line about a lot does: with what happened, or how many and what happened."""
    known = {phrase.split()[0] for phrase in (*VERBS, *MARKS, *COUNTS, "to", "into", "laid", "born")}
    folded = [word.casefold() for word in behind]
    first = folded.pop(0)
    return first in known or ((first[:1].isdigit() or first in ROUGHLY) and bool(known.intersection(folded)))


def _done_at(name: list[str]) -> int | None:
    """Where in a name something stands that happens to animals; None where nothing does."""
    folded = [word.casefold().strip(",") for word in name]
    for at, word in enumerate(folded):
        phrases = {" ".join(folded[at : at + many]) for many in (1, 2, 3)}
        if phrases & _DONE:
            return at
        if word.isdigit() and {" ".join(folded[at + 1 : at + 1 + many]) for many in (1, 2)} & set(VERBS):
            return at
    return None


def _asked(sentence: str, words: Words, start: int, stop: int, cut: int) -> Refused:
    """The question, with the lines that keep the name up to a word, none of it, or all of it."""
    name = words.words[start:stop]
    lines = []
    if cut:
        lines.append(
            words.line_of([*words.words[:start], *name[:cut], *words.words[stop:]], as_line(name[cut:]).lstrip(", "))
        )
    lines.append(words.line_of([*words.words[:start], *words.words[stop:]], as_line(name)))
    return Ambiguous(sentence, field="supplier", choices=(*lines, *_new(words, start, stop)))


def _new(words: Words, start: int, stop: int) -> tuple[str, ...]:
    """The line that says it is a supplier indeed."""
    return (words.replaced(start, start, "new"),)


def _for_lot(words: Words, start: int, stop: int, lot: str) -> tuple[str, ...]:
    """The line with the lot where whom it is for is said; none where that is said already."""
    if "for" in [word.casefold() for word in words.words[stop:]]:
        return ()
    name = [word for word in words.words[start:stop] if word != lot]
    return (words.line_of([*words.words[:start], *name, "for", lot.rstrip(":"), *words.words[stop:]]),)
