"""The words that may come next in a jot line, for a keeper who types with one thumb.

Offers only; never imports the screen library and decides nothing.
"""

from __future__ import annotations

from collections.abc import Iterable

from tui.jot_words import CAUSES, COUNTS, MARKS, SEXES, VERBS, Vocabulary

MOST = 8
_VERB_WORDS = (*VERBS, *MARKS, *COUNTS, "to", "into tub", "into tubs")
_PLAIN_SEXES = tuple(dict.fromkeys(SEXES.values()))
_DAYS = ("today", "tomorrow", "fri", "sat", "sun", "mon")


def completions(text: str, vocabulary: Vocabulary) -> tuple[str, ...]:
    """Words that complete the last word of the line, or may follow it when it ends in a space; at most eight."""
    words = text.split()
    typed = "" if not words or text[-1].isspace() else words.pop()
    before = [word.casefold() for word in words]
    start = typed.casefold()
    offered = [word for word in _next_words(before, vocabulary) if word.casefold().startswith(start) and word != typed]
    if not words and "/" in typed:
        lot, _, tub = typed.partition("/")
        code = _lot(lot, vocabulary)
        offered = [f"{code}/{name}" for name in vocabulary.tubs.get(code or "", ()) if name.startswith(tub)]
    return tuple(dict.fromkeys(offered))[:MOST]


def _lot(word: str, vocabulary: Vocabulary) -> str | None:
    code = word.partition("/")[0].casefold()
    return next((known for known in vocabulary.stages if known.casefold() == code), None)


def _next_words(before: list[str], vocabulary: Vocabulary) -> Iterable[str]:
    if not before:
        return (*vocabulary.stages, *vocabulary.categories, "hold", "sell", "undo")
    if before[0] == "hold":
        return _after_trade(before, vocabulary, buyer="for", parts=("for", "until", "deposit", "and"))
    if before[0] == "sell":
        return _after_trade(before, vocabulary, buyer="to", parts=("at", "to", "paid", "by post", "postage", "and"))
    lot = _lot(before[0], vocabulary)
    if lot is not None:
        return _after_lot(lot, before, vocabulary)
    if any(before[: len(name.split())] == name.casefold().split() for name in vocabulary.categories):
        if before[-1] == "for":
            return (*vocabulary.species, *vocabulary.stages)
        parts = ("for", "tax", "lasts", "unpaid")
        return (*vocabulary.suppliers, *parts) if before[-1][-1].isdigit() else parts
    return ()


def _after_lot(lot: str, before: list[str], vocabulary: Vocabulary) -> Iterable[str]:
    names = [name for name, _ in vocabulary.stages[lot]]
    if before[-1] == "to":
        return names
    if before[-1] in ("tub", "tubs"):
        return tuple(vocabulary.tubs.get(lot, ()))
    if before[-1] in ("died", "dead"):
        return (*CAUSES, "yesterday")
    if any(word in VERBS or word in MARKS or word in COUNTS for word in before[1:]):
        return ("yesterday", "note")
    return (*_VERB_WORDS, *names, *_PLAIN_SEXES)


def _after_trade(before: list[str], vocabulary: Vocabulary, *, buyer: str, parts: tuple[str, ...]) -> Iterable[str]:
    last = before[-1]
    if last in ("hold", "sell", "and"):
        return tuple(vocabulary.stages)
    if last == buyer:
        return tuple(vocabulary.customers)
    if last == "until":
        return _DAYS
    lots = [lot for word in before if (lot := _lot(word, vocabulary)) is not None]
    if lots and buyer not in before:
        names = [name for name, _ in vocabulary.stages[lots[-1]]]
        return (*names, *_PLAIN_SEXES, *parts)
    return parts
