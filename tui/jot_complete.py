"""The words and names that may come next in a jot line, for a keeper who types with one thumb.

Offers only; never imports the screen library and decides nothing. A name of several words is offered and completed
whole.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from ledger.errors import Refused
from tui.jot_lots import take_subject
from tui.jot_words import CAUSES, COUNTS, MARKS, SEXES, VERBS, Vocabulary, Words, find_stage
from tui.jot_young import bears

MOST = 8
_VERB_WORDS = (*VERBS, *MARKS, *COUNTS, "to", "into tub", "into tubs", "laid", "sieved out")
_PLAIN_SEXES = tuple(dict.fromkeys(SEXES.values()))
_DAYS = ("today", "tomorrow", "fri", "sat", "sun", "mon")
_BUYERS = ("to", "for")
_HOLD_PARTS = ("for", "until", "deposit", "and")
_SALE_PARTS = ("at", "to", "paid", "by post", "postage", "and")
_SPENDING_PARTS = ("for", "tax", "lasts", "unpaid", "unopened")


@dataclass(frozen=True, slots=True)
class _Offer:
    """What fits, and how many letters of the line it takes the place of."""

    names: tuple[str, ...]
    begun: int


def completions(text: str, vocabulary: Vocabulary) -> tuple[str, ...]:
    """Words and names that complete what the line ends in, or may follow it when it ends in a space; at most eight."""
    return _offer(text, vocabulary).names


def completed(text: str, vocabulary: Vocabulary) -> tuple[str, ...]:
    """The whole lines that come of taking one completion or the other, each ready for the next word."""
    offer = _offer(text, vocabulary)
    return tuple(f"{text[: len(text) - offer.begun]}{name} " for name in offer.names)


def _offer(text: str, vocabulary: Vocabulary) -> _Offer:
    words = text.split()
    typed = "" if not words or text[-1].isspace() else words.pop()
    before = [word.casefold() for word in words]
    people = _people(text, before, typed, vocabulary)
    if people is not None:
        return people
    start = typed.casefold()
    offered = [word for word in _next_words(before, vocabulary) if word.casefold().startswith(start) and word != typed]
    if not words and "/" in typed:
        lot, _, tub = typed.partition("/")
        code = _lot(lot, vocabulary)
        offered = [f"{code}/{name}" for name in vocabulary.tubs.get(code or "", ()) if name.startswith(tub)]
    return _Offer(tuple(dict.fromkeys(offered))[:MOST], len(typed))


def _people(text: str, before: list[str], typed: str, vocabulary: Vocabulary) -> _Offer | None:
    """Customers or suppliers that fit all that was typed of a name so far; None where no name is being typed."""
    if not before:
        return None
    if before[0] == "sell":
        return _named(text, before, typed, "to", _SALE_PARTS, vocabulary.customers)
    if before[0] == "hold":
        return _named(text, before, typed, "for", _HOLD_PARTS, vocabulary.customers)
    if _category(before, vocabulary):
        amount = next((n for n, word in enumerate(before) if word[-1].isdigit()), None)
        if amount is not None:
            return _named(text, before, typed, before[amount], _SPENDING_PARTS, vocabulary.suppliers)
    return None


def _named(
    text: str, before: list[str], typed: str, opener: str, parts: tuple[str, ...], known: Iterable[str]
) -> _Offer | None:
    """Known names that begin, or of which a word begins, with what stands after `opener`."""
    if opener not in before:
        return None
    at = len(before) - 1 - before[::-1].index(opener)
    if any(part.split()[0] in before[at + 1 :] for part in parts):
        return None
    begun = " ".join([*before[at + 1 :], typed.casefold()]).strip()
    first = [name for name in known if name.casefold().startswith(begun)]
    inside = [name for name in known if any(word.startswith(begun) for word in name.casefold().split())]
    follow = [part for part in parts if part.startswith(typed.casefold())]
    if opener in _BUYERS and not before[at + 1 :]:
        # Nothing but a name may stand right after `to`.
        follow = []
    names = [name for name in dict.fromkeys((*first, *inside)) if name.casefold() != begun]
    done = not typed and any(name.casefold() == begun for name in known)
    if done or (not names and not typed):
        return None
    if names and begun and (" " in begun or not typed):
        return _Offer(tuple(names)[:MOST], len(text) - _start_of_name(text, at + 1))
    offered = dict.fromkeys((*first, *follow, *names))
    return _Offer(tuple(name for name in offered if name.casefold() != begun)[:MOST], len(typed))


def _start_of_name(text: str, words: int) -> int:
    """Where in the text the word after so many words begins."""
    at = 0
    for _ in range(words):
        while at < len(text) and text[at].isspace():
            at += 1
        while at < len(text) and not text[at].isspace():
            at += 1
    while at < len(text) and text[at].isspace():
        at += 1
    return at


def _lot(word: str, vocabulary: Vocabulary) -> str | None:
    code = word.partition("/")[0].casefold()
    return next((known for known in vocabulary.stages if known.casefold() == code), None)


def _category(before: list[str], vocabulary: Vocabulary) -> bool:
    return any(before[: len(name.split())] == name.casefold().split() for name in vocabulary.categories)


def _next_words(before: list[str], vocabulary: Vocabulary) -> Iterable[str]:
    if not before:
        return (*vocabulary.stages, *vocabulary.categories, "hold", "sell", "undo", *vocabulary.places, "all")
    if before[0] == "hold":
        return _after_trade(before, vocabulary, buyer="for", parts=_HOLD_PARTS)
    if before[0] == "sell":
        return _after_trade(before, vocabulary, buyer="to", parts=_SALE_PARTS)
    lot = _lot(before[0], vocabulary)
    if lot is None and not _category(before, vocabulary) and _is_wide(before, vocabulary):
        return (*MARKS, "and", "note")
    if lot is not None:
        return _after_lot(lot, before, vocabulary)
    if _category(before, vocabulary):
        whom = before[before.index("for") + 1 :] if "for" in before else None
        if whom is not None and not {"tax", "lasts", "unpaid"} & set(whom):
            return (*vocabulary.species, *vocabulary.stages, *(_SPENDING_PARTS[1:] if whom else ()))
        return _SPENDING_PARTS
    return ()


def _is_wide(before: list[str], vocabulary: Vocabulary) -> bool:
    """Whether the line begins with a place, a range of lots or all."""
    try:
        subject = take_subject(Words(" ".join(before)), vocabulary)
    except Refused:
        return False
    return subject is not None and subject.wide


def _after_lot(lot: str, before: list[str], vocabulary: Vocabulary) -> Iterable[str]:
    names = [name for name, _ in vocabulary.stages[lot]]
    if before[-1] == "to" and before[-2:] != ["away", "to"]:
        return _later(lot, before, vocabulary)
    if before[-1] in ("tub", "tubs"):
        return tuple(vocabulary.tubs.get(lot, ()))
    if before[-2:] == ["away", "to"]:
        return tuple(vocabulary.customers)
    if before[-1] in ("died", "dead"):
        return (*CAUSES, "yesterday")
    if any(word in VERBS or word in MARKS or word in COUNTS for word in before[1:]):
        return ("yesterday", "note")
    born = ("born",) if bears(lot, vocabulary) else ()
    return (*_VERB_WORDS, *born, *names, *_PLAIN_SEXES)


def _later(lot: str, before: list[str], vocabulary: Vocabulary) -> tuple[str, ...]:
    """Stages that animals of the stage said can move on to; of no stage said, all but the first."""
    stages = vocabulary.stages[lot]
    at = 0
    words = Words(" ".join(before[1:-1]))
    while words:
        try:
            stage = find_stage(words, lot, vocabulary)
        except Refused:
            stage = None
        if stage is None:
            # A comma begins another sentence.
            at = 0 if words.take() == "," else at
        else:
            at = next(n for n, (name, _) in enumerate(stages) if name == stage)
    return tuple(name for name, unit in stages[at + 1 :] if unit == "animal")


def _after_trade(before: list[str], vocabulary: Vocabulary, *, buyer: str, parts: tuple[str, ...]) -> Iterable[str]:
    last = before[-1]
    if last in ("hold", "sell", "and"):
        return tuple(vocabulary.stages)
    if last == "until":
        return _DAYS
    lots = [lot for word in before if (lot := _lot(word, vocabulary)) is not None]
    if lots and buyer not in before:
        names = [name for name, _ in vocabulary.stages[lots[-1]]]
        return (*names, *_PLAIN_SEXES, *parts)
    return parts
