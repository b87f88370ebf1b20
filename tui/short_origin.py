"""The origin of a lot in the few cells of a list. The whole words always stand below the list or beside it.

Shortens the label the ledger gave; decides nothing. The generation is never dropped, and one that is not known shows.
"""

from __future__ import annotations

import re

from ledger.text import show
from ledger.wording import say
from tui.tongue import tell

ORIGIN_WIDTH = 16
"""Cells in which every short origin fits."""
_BRED = re.compile(r"captive bred, F(\d+)( or later)?(, stated, not derived)?.*")
_SHORT = {
    "wild-collected": say("wild-collected"),
    "reared from wild-collected egg or young": say("from wild young"),
    "hatched in captivity, parent mated in the wild": say("mated in wild"),
    "farmed, as stated by the supplier": say("farmed, stated"),
    "captive bred, generation not known": say("captive bred F?"),
    "mixed group that includes wild-origin animals": say("mixed with wild"),
    "not known": say("not known"),
}


def short_origin(label: str) -> str:
    """'captive bred F2' for 'captive bred, F2 by our records'; a label that is none of the ledger's is cut.

    A claim that rests on a document alone ends in '*'.
    """
    found = _BRED.fullmatch(label)
    if found is not None:
        generation = f"F{found[1]}{'+' if found[2] else ''}{'*' if found[3] else ''}"
        fits = (f"{tell(words)} {generation}" for words in (say("captive bred"), say("captive"), say("bred")))
        return next((text for text in fits if len(text) <= ORIGIN_WIDTH), generation)
    bare, stated, _ = label.partition("; stated, not derived")
    short = tell(_SHORT[bare]) if bare in _SHORT else show(bare)
    room = ORIGIN_WIDTH - bool(stated)
    return (short if len(short) <= room else f"{short[: room - 1]}…") + ("*" if stated else "")
