"""Marks of a round in the jot line: fed, looked, cleaned, seen hard, counted 40, about 40; words only."""

from __future__ import annotations

from collections.abc import Sequence

from ledger.errors import BadInput
from ledger.stock.commands import Mark
from ledger.wording import say
from tui.jot_days import left_over
from tui.jot_said import Said, take_number
from tui.jot_words import (
    CARE,
    COUNTS,
    MARKS,
    Vocabulary,
    Words,
    find_stage,
)


def read_marks(
    words: Words, lots: Sequence[tuple[str, str]], said: Said, note: str, vocabulary: Vocabulary
) -> tuple[Mark, ...] | None:
    """Marks of a round: fed, looked, seen hard, counted 40, about 40; None when the line says something else."""
    lot, tub = lots[0]
    if said.estimated and not words:
        if len(lots) > 1:
            raise BadInput(say("Write one line for each lot that was counted."))
        return (Mark(lot, "estimated", tub, said.stage, said.count, note),)
    counting = words.take_phrase(COUNTS)
    if counting is not None:
        if len(lots) > 1:
            raise BadInput(say("Write one line for each lot that was counted."))
        if said.by_sex or said.sex:
            raise BadInput(say("A count is kept by stage, not by sex; leave the sex out."), field="sex")
        count = said.count if said.count is not None else take_number(words, say("how many were counted"))
        stage = said.stage or find_stage(words, lot, vocabulary)
        no_more(words)
        return (Mark(lot, COUNTS[counting], tub, stage, count, note),)
    done: dict[str, list[str]] = {}
    while (mark := words.take_phrase(MARKS)) is not None:
        done.setdefault(MARKS[mark], []).extend([CARE[mark]] if mark in CARE else [])
        words.take_phrase(("and", ","))
    if not done:
        return None
    kinds = list(done)
    if (said.count is not None or said.by_sex or said.sex) and kinds != ["seen hard"]:
        raise BadInput(
            say(
                "{capitalize} takes no number; write: {lot} {kinds}.",
                capitalize=kinds[0].capitalize(),
                lot=lot,
                kinds=kinds[0],
            ),
            field="count",
        )
    no_more(words)
    return tuple(
        Mark(
            lot,
            kind,
            tub,
            said.stage,
            said.count if kind == "seen hard" else None,
            "; ".join(part for part in (*done[kind], note) if part),
        )
        for lot, tub in lots
        for kind in kinds
    )


def no_more(words: Words) -> None:
    if words:
        raise left_over(words)
