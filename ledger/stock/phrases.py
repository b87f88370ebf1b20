"""What is said of movements: 'P08: 3 of 14 L3 died, 12 March 2025.'

Only wording. Movements of one kind are said together: ten animals put into ten tubs are one phrase.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from ledger.money import Currency, said
from ledger.stock.holdings import HoldingKey
from ledger.stock.packed import InPack
from ledger.stock.reasons import REASONS
from ledger.stock.words import animals, place, sex_words, stage_words, tubs_text, when
from ledger.wording import listed, say, strung, word


@dataclass(frozen=True, slots=True)
class Said:
    """One movement in the keeper's terms."""

    reason: str
    count: int
    stage: str
    """Where the animals were, or where they come in."""
    key: HoldingKey
    """Of the same holding."""
    there: int | None = None
    """How many were there; None: they come in."""
    to_stage: str | None = None
    """None: the same stage, or out."""
    to_sex: tuple[str, str] | None = None
    """(sex, sure); None: as before."""
    to_tub: str | None = None
    """None: the same tub, or out."""
    cause: str | None = None
    value: int | None = None
    estimated: bool = False
    again: dt.date | None = None
    """Found again: missing since that day."""
    pack: InPack | None = None
    """The pack they lay in, where that was said."""

    @property
    def together(self) -> tuple[object, ...]:
        """What movements said in one phrase share."""
        return (
            self.reason,
            self.stage,
            self.key.sex,
            self.key.sure,
            self.there is None,
            self.to_stage,
            self.to_sex,
            self.to_tub is None,
            self.cause,
            self.value is None,
            self.estimated,
            self.again,
            self.pack and self.pack.words,
        )


def sentence(lot: str, moves: Sequence[Said], on: dt.date, happened_from: dt.date | None, currency: Currency) -> str:
    """One sentence about the movements of a lot on a day or within a range of days."""
    tubs = {move.key.tub for move in moves}
    where = place(lot, tubs.pop()) if len(tubs) == 1 else lot
    return say(
        "{lot}: {events}, {day}.",
        lot=where,
        events=phrases(moves, currency, say_tubs=where == lot),
        day=when(on, happened_from),
    )


def phrases(moves: Sequence[Said], currency: Currency, *, say_tubs: bool = True) -> str:
    """'3 of 14 L3 died; 2 L3 found at count', without lot and date."""
    kinds: dict[tuple[object, ...], list[Said]] = {}
    for move in moves:
        kinds.setdefault(move.together, []).append(move)
    return strung((_phrase(kind, currency, say_tubs) for kind in kinds.values()), "; ")


def _phrase(moves: Sequence[Said], currency: Currency, say_tubs: bool) -> str:
    first = moves[0]
    count = sum(move.count for move in moves)
    who = animals(count, first.stage, first.key.sex, first.key.sure)
    if first.there is not None:
        there: dict[HoldingKey, int] = {}
        for move in moves:
            there.setdefault(move.key, move.there or 0)
        total = sum(there.values())
        adjective = sex_words(first.key.sex, first.key.sure)
        kind = stage_words(first.stage, total)
        if adjective:
            kind = say("{sex} {stage}", sex=adjective, stage=kind)
        who = say("{number} of {total} {animals}", number=count, total=total, animals=kind)
    if first.estimated:
        who = say("about {animals}", animals=who)
    labels = {move.key.tub for move in moves}
    happening = _happening(moves, currency)
    if say_tubs and labels != {""}:
        return say("{animals} in {tubs} {happened}", animals=who, tubs=tubs_text(labels), happened=happening)
    return say("{animals} {happened}", animals=who, happened=happening)


def _happening(moves: Sequence[Said], currency: Currency) -> str:
    first = moves[0]
    verb = word(REASONS[first.reason].done)
    targets = [move.to_tub for move in moves if move.to_tub is not None]
    new_tub = _new_tubs(moves) if targets else ""
    if first.to_stage is not None and first.reason != "dried":
        verb = say("{happened} to {stage}", happened=verb, stage=word(first.to_stage))
    if first.to_sex is not None:
        sex = sex_words(*first.to_sex) or say("unsexed")

        if verb.endswith("corrected"):
            verb = say("{happened} to {sex}", happened=verb, sex=sex)
        else:
            verb = strung((verb, sex), " " if verb == "sexed" else ", ")
    if new_tub:
        moved = say("moved out of their tub") if new_tub == "no tub" else say("moved to {tub}", tub=new_tub)
        verb = moved if verb.startswith("moved to another tub") else strung((verb, moved), ", ")
    if verb == "died" and first.cause == "ordinary":
        verb = say("died (ordinary cause)")
    elif verb == "died" and first.cause == "exceptional":
        verb = say("died (exceptional cause)")
    if first.value is not None:
        verb = say(
            "{happened} for {amount}", happened=verb, amount=said(sum(move.value or 0 for move in moves), currency)
        )
    if first.again is not None:
        verb = say("{happened} (missing since {day})", happened=verb, day=when(first.again))
    if first.pack is not None:
        verb = say("{happened} (pack {pack})", happened=verb, pack=first.pack.words)
    return verb


def _new_tubs(moves: Sequence[Said]) -> str:
    """The tubs animals go into, with how many into each where those are not alike."""
    into: dict[str, int] = {}
    for move in moves:
        if move.to_tub is not None:
            into[move.to_tub] = into.get(move.to_tub, 0) + move.count
    if "" in into or len(set(into.values())) == 1:
        return tubs_text(into)
    return listed([say("tub {label} ({count})", label=tub, count=count) for tub, count in into.items()])


def joined(sentences: Iterable[str]) -> str:
    """Several sentences as one text."""
    return strung(sentences, " ")
