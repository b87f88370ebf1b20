"""What is said of movements: 'P08: 3 of 14 L3 died, 12 March 2025.'

Only wording. Movements of one kind are said together: ten animals put into ten tubs are one phrase.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from ledger.money import Currency, said
from ledger.stock.holdings import HoldingKey
from ledger.stock.reasons import REASONS
from ledger.stock.words import animals, place, sex_words, stage_words, tubs_text, when
from ledger.wording import say, strung


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
        )


def sentence(lot: str, moves: Sequence[Said], on: dt.date, happened_from: dt.date | None, currency: Currency) -> str:
    """One sentence about the movements of a lot on a day or within a range of days."""
    tubs = {move.key.tub for move in moves}
    where = place(lot, tubs.pop()) if len(tubs) == 1 else lot
    return say(
        "{where}: {phrases}, {when}.",
        where=where,
        phrases=phrases(moves, currency, say_tubs=where == lot),
        when=when(on, happened_from),
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
        words = (str(count), "of", str(total), adjective, stage_words(first.stage, total))
        who = strung((word for word in words if word), " ")
    if first.estimated:
        who = say("about {who}", who=who)
    labels = {move.key.tub for move in moves}
    inside = f" in {tubs_text(labels)}" if say_tubs and labels != {""} else ""
    return f"{who}{inside} {_happening(moves, currency)}"


def _happening(moves: Sequence[Said], currency: Currency) -> str:
    first = moves[0]
    verb = REASONS[first.reason].done
    targets = [move.to_tub for move in moves if move.to_tub is not None]
    new_tub = tubs_text(targets) if targets else ""
    if first.to_stage is not None and first.reason != "dried":
        verb = f"{verb} to {first.to_stage}"
    if first.to_sex is not None:
        sex = sex_words(*first.to_sex) or "unsexed"
        link = " to " if verb.endswith("corrected") else " " if verb == "sexed" else ", "
        verb = f"{verb}{link}{sex}"
    if new_tub:
        out = "out of their tub" if new_tub == "no tub" else f"to {new_tub}"
        verb = (
            say("moved {out}", out=out)
            if verb.startswith("moved to another tub")
            else say("{verb}, moved {out}", verb=verb, out=out)
        )
    if first.cause in ("ordinary", "exceptional") and verb == "died":
        verb = say("{verb} ({cause} cause)", verb=verb, cause=first.cause)
    if first.value is not None:
        verb = say("{verb} for {sum}", verb=verb, sum=said(sum(move.value or 0 for move in moves), currency))
    if first.again is not None:
        verb = say("{verb} (missing since {when})", verb=verb, when=when(first.again))
    return verb


def joined(sentences: Iterable[str]) -> str:
    """Several sentences as one text."""
    return strung(sentences, " ")
