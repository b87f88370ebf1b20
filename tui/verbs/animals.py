"""Reading which animals come in or go to a new lot: `laid 40 eggs`, `bought 2.3 adult for 24.00`, `5 L3 and 2 adult`.

Reads words only. Counts by sex are males.females.unsexed. What fits several stages is refused with the choices.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from ledger.errors import BadInput
from ledger.money import Currency, parse_amount
from ledger.stock.commands import Arrival, Part
from ledger.text import clean_code, quoted
from tui.jot_words import SEXES, Vocabulary, Words, find_stage, or_list, take_tub

ARRIVALS = ("opening", "bought", "swapped in", "collected", "laid", "hatched", "harvested", "lent in")
_BY_SEX = re.compile(r"([0-9]{1,7})\.([0-9]{1,7})(?:\.([0-9]{1,7}))?")
_SEX_ORDER = ("male", "female", "unsexed")


@dataclass(frozen=True, slots=True)
class Said:
    """What one clause says of the animals."""

    counts: tuple[tuple[str | None, int], ...]
    """(sex, count); sex `None`: not said."""
    stage: str | None
    tub: str | None
    """Empty: in no tub; `None`: not said."""
    estimated: bool
    sure: str


def read_arrivals(text: str, lot: str, vocabulary: Vocabulary, currency: Currency) -> tuple[Arrival, ...]:
    """The first animals of a lot.

    Args:
        text: 'bought 2.3 adult and 12 L3 for 24.00 and laid 40 eggs in tub B'; nothing means none.
        lot: its code, whose stages the vocabulary knows.
        vocabulary: names.
        currency: of the prices.

    Raises:
        Refused: it cannot be read, and what to write.
    """
    words = Words(text)
    arrivals: list[Arrival] = []
    why: str | None = None
    while words:
        why = words.take_phrase(ARRIVALS) or why
        if why is None:
            raise BadInput(
                f"{quoted(words.peek())} does not say how they came; write {or_list(ARRIVALS)} and how many, such as: "
                "bought 12 L3 for 24.00.",
                field="reason",
            )
        said = read_said(words, lot, vocabulary)
        if said.stage is None:
            raise BadInput(f"At which stage? It has {_stages(lot, vocabulary)}.", field="stage")
        value = _price(words, currency)
        counts = {f"{sex or 'unsexed'}": number for sex, number in said.counts}
        arrivals.append(
            Arrival(
                why,
                said.stage,
                unsexed=counts.get("unsexed", 0),
                males=counts.get("male", 0),
                females=counts.get("female", 0),
                hermaphrodites=counts.get("hermaphrodite", 0),
                tub=said.tub or "",
                value=value,
                estimated=said.estimated,
                sure=said.sure,
            )
        )
        _next_clause(words)
    return tuple(arrivals)


def read_parts(text: str, lot: str, vocabulary: Vocabulary) -> tuple[Part, ...]:
    """The animals that go to a new lot: '5 L3 and 1.2 adult in tub 07'.

    Raises:
        Refused: it cannot be read, and what to write.
    """
    words = Words(text)
    parts: list[Part] = []
    while words:
        said = read_said(words, lot, vocabulary, there=True)
        guess = "probable " if said.sure == "probable" else ""
        parts.extend(Part(number, said.stage, sex and guess + sex, said.tub) for sex, number in said.counts)
        _next_clause(words)
    if not parts:
        raise BadInput(f"Which animals? Write how many, such as: lot split {lot} 5 L3.", field="count")
    return tuple(parts)


def read_said(words: Words, lot: str, vocabulary: Vocabulary, *, there: bool = False) -> Said:
    """Number, sex, stage and tub, in any order; `there`: the tub must be one the lot has."""
    estimated = words.take_phrase(("about",)) is not None
    counts: tuple[tuple[str | None, int], ...] = ()
    stage: str | None = None
    sex: str | None = None
    sure = "confirmed"
    tub: str | None = None
    while words:
        word = words.peek()
        by_sex = _BY_SEX.fullmatch(word)
        if not counts and by_sex:
            words.take()
            named = zip(_SEX_ORDER, by_sex.groups(), strict=True)
            counts = tuple((name, int(number)) for name, number in named if number and int(number))
        elif not counts and word.isascii() and word.isdigit() and len(word) <= 7:
            counts = ((None, int(words.take())),)
        elif words.take_phrase(("probable", "probably")) is not None:
            sure = "probable"
        elif sex is None and word.casefold() in SEXES:
            sex = SEXES[words.take().casefold()]
        elif there and tub is None and (known := take_tub(words, lot, vocabulary)) is not None:
            tub = known
        elif not there and words.take_phrase(("in tub",)) is not None:
            tub = clean_code(words.take(), field="tub")
        elif stage is None and (found := find_stage(words, lot, vocabulary)) is not None:
            stage = found
        else:
            break
    if not any(number for _, number in counts):
        typed = f"; {quoted(words.peek())} is no number" if words else ""
        raise BadInput(f"How many? Write a number before the stage{typed}.", field="count")
    if sex is not None:
        if len(counts) > 1 or counts[0][0] is not None:
            raise BadInput("The numbers say the sexes already; leave the word out.", field="sex")
        counts = ((sex, counts[0][1]),)
    return Said(counts, stage, tub, estimated, sure)


def _price(words: Words, currency: Currency) -> int | None:
    if words.take_phrase(("for",)) is None:
        return None
    typed = words.take()
    if words.peek().upper() == currency.code:
        typed = f"{typed} {words.take()}"
    value = parse_amount(typed, currency, field="value")
    if value < 0:
        raise BadInput(f"{quoted(typed)} is less than nothing; write the amount without a minus.", field="value")
    return value


def _next_clause(words: Words) -> None:
    if words and words.take_phrase((",", "and")) is None:
        raise BadInput(f"{quoted(words.rest())} was not understood; put “and” between kinds of animals.")


def _stages(lot: str, vocabulary: Vocabulary) -> str:
    return or_list([name for name, _ in vocabulary.stages[lot]])
