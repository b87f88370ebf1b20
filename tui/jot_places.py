"""Jot lines that say where a lot stands from now on: `C01 moved to egg shelf`, `E04 stands on the sill`; words only.

A whole lot stands at a place; some of its animals elsewhere are a lot of their own, or in a tub.
"""

from __future__ import annotations

from collections.abc import Sequence

from ledger.errors import BadInput
from ledger.wording import say
from tui.jot_lots import places_as_typed
from tui.jot_said import Said
from tui.jot_words import Vocabulary, Words, find_name, find_stage

_STANDS = ("moved to", "moved onto", "stands on", "stands in", "stands at")
_TUBS = ("tub", "tubs")


def take_place(words: Words, said: Said, lots: Sequence[tuple[str, str]], note: str, vocabulary: Vocabulary) -> str:
    """Step over 'moved to egg shelf' and return the place, as the ledger knows it; empty if no such words come next.

    Args:
        words: the line, behind what was said of the animals.
        said: what that was: nothing, of a whole lot.
        lots: (lot, tub) the line is about.
        note: a remark behind it; a place has none.
        vocabulary: the names of the ledger.

    Raises:
        Ambiguous: the place is new, and much like one that is known.
        BadInput: not a whole lot is moved, or no place is named.
    """
    start = words.at
    if words.take_phrase(_STANDS) is None:
        return ""
    behind = words.at
    lot, tub = lots[0]
    known = places_as_typed(vocabulary)
    if words.take_phrase(known) is None and _goes_elsewhere(words, said, lot, vocabulary):
        words.at = start
        return ""
    words.at = behind
    typed = words.rest()
    exact = {name.casefold(): known[name] for name in known}.get(" ".join(Words(typed).words).casefold())
    if len(lots) > 1:
        raise BadInput(say("A place is said of one lot in a line; write a line for each."), field="lot")
    if tub or said != Said():
        raise BadInput(
            say(
                "A place is where a whole lot stands; write {lot} moved to a place, or split these off first (3 Stock, "
                "/).",
                lot=lot,
            ),
            field="place",
        )
    if note or (exact is None and "," in typed):
        raise BadInput(say("Where a lot stands is said in a line of its own, without a note."), field="place")
    return exact or find_name(typed, vocabulary.places, "place", words, behind, words.at)


def _goes_elsewhere(words: Words, said: Said, lot: str, vocabulary: Vocabulary) -> bool:
    """Whether a tub or the next stage comes next, and no place: 'tub 07', 'L3'; 'egg shlf' is no stage."""
    if words.take_phrase(_TUBS) is not None:
        return True
    stage = find_stage(words, lot, vocabulary)
    return stage is not None and (not words or said.count is not None or bool(said.by_sex))
