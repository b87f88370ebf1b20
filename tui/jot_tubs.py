"""Jot lines that put animals into tubs: '10 L3 into tubs 1-10', '2.1 into tub 07'; words only."""

from __future__ import annotations

import re

from ledger.errors import Ambiguous, BadInput
from ledger.stock.commands import Move
from ledger.text import clean_code, quoted
from ledger.wording import say
from tui.jot_said import Said
from tui.jot_words import (
    Vocabulary,
    Words,
)

_TUB_RANGE = re.compile(r"(\d+)-(\d+)")


def into_tubs(words: Words, said: Said, lot: str, vocabulary: Vocabulary) -> tuple[Move, ...]:
    """'10 L3 into tubs 1-10': the same number into each; '2 into tub 07'."""
    before = words.words[words.at - 1].casefold()
    place = words.at
    label = words.take()
    if not label or label == ",":
        raise BadInput(say("Into which tub? Write: into tub 07, or into tubs 1-10."), field="to_tub")
    if said.by_sex and before != "tubs":
        name = _to_tub(words, place, label, lot, vocabulary)
        return tuple(Move("tub moved", n, said.stage, sex, said.tub, to_tub=name) for sex, n in said.by_sex)
    if said.by_sex:
        raise BadInput(say("Write the sexes for each tub: {lot} 2.1 into tub 1.", lot=lot), field="count")
    if said.count is None and vocabulary.tubs.get(lot, {}).get(said.tub or "") == 1:
        said.count = 1
    if said.count is None:
        raise BadInput(
            say("How many go into {label}? Write: {lot} 10 into tubs 1-10.", label=quoted(label), lot=lot),
            field="count",
        )
    if before == "into" and _TUB_RANGE.fullmatch(label):
        raise Ambiguous(
            say("Tubs {label}, or one tub called {label}? Say tubs or tub.", label=label),
            field="to_tub",
            choices=tuple(words.replaced(place, place, word) for word in ("tubs", "tub")),
        )
    tubs = _tub_range(label, said.count) if before == "tubs" else [label]
    names = [_to_tub(words, place, tub, lot, vocabulary) for tub in tubs]
    each, over = divmod(said.count, len(names))
    if over or not each:
        raise BadInput(
            say(
                "{count} animals do not divide evenly over {names} tubs; write a line for each number.",
                count=said.count,
                names=len(names),
            ),
            field="count",
        )
    return tuple(Move("tub moved", each, said.stage, said.sex, said.tub, to_tub=name) for name in names)


def _to_tub(words: Words, place: int, label: str, lot: str, vocabulary: Vocabulary) -> str:
    """A tub that is there, or a new one; tub 7 where there is a tub 07 is refused."""
    existing = vocabulary.tubs.get(lot, {})
    exact = [known for known in existing if known.casefold() == label.casefold()]
    if exact:
        return exact[0]
    alike = [known for known in existing if label.isdigit() and known.isdigit() and int(known) == int(label)]
    if alike:
        typed = words.words[place]
        written = "-".join(number.zfill(len(alike[0])) for number in typed.split("-")) if typed != label else alike[0]
        raise Ambiguous(
            say(
                "{lot} has a tub {alike} and no tub {label}; write {written}.",
                lot=lot,
                alike=alike[0],
                label=label,
                written=written,
            ),
            field="to_tub",
            choices=(words.replaced(place, place + 1, written),),
        )
    return clean_code(label, field="tub")


def _tub_range(label: str, count: int) -> list[str]:
    found = _TUB_RANGE.fullmatch(label)
    if found is None:
        raise BadInput(
            say("{label} is not a range of tubs; write: into tubs 1-10.", label=quoted(label)), field="to_tub"
        )
    first, last = int(found[1]), int(found[2])
    if last < first or last - first >= max(count, 1):
        raise BadInput(
            say("Tubs {label} are not a range that {count} animals can fill; check it.", label=label, count=count),
            field="to_tub",
        )
    return [str(number).zfill(len(found[1])) for number in range(first, last + 1)]
