"""What the undo key took back, in words.

Decides nothing of the books: the ledger finds the act and takes it back, or says why it cannot.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from ledger.act import Done
from ledger.money import said
from ledger.wording import say, word

if TYPE_CHECKING:
    from ledger.ledger import Ledger

_COST = re.compile(r"Cost (\d+) ")


def taken_back(done: Done, ledger: Ledger) -> str:
    """What an undo took back, in a sentence that begins with just that."""
    sentence = done.sentence
    if sentence.startswith("Taken back"):
        return sentence
    found = _COST.match(sentence)
    if found is not None:
        number = int(found[1])
        rows = ledger.costs(1, number + 1)
        if rows and rows[0].id == number:
            cost = {
                "category": word(rows[0].category),
                "gross": said(rows[0].gross, ledger.currency),
                "number": number,
            }
            if rows[0].supplier:
                return say(
                    "Taken back: {category} {gross} from {supplier} (cost {number}).",
                    supplier=rows[0].supplier,
                    **cost,
                )
            return say("Taken back: {category} {gross} (cost {number}).", **cost)
    return say("Taken back: {sentence}", sentence=sentence)
