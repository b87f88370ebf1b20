"""Jot lines about animals given to somebody: `P08 2 adults given away to Lena`; words only.

Without a name they leave as any others do, and nothing stands in the list of what was given.
"""

from __future__ import annotations

import datetime as dt

from ledger.errors import BadInput
from ledger.selling.commands import GiveAway, Pick
from ledger.wording import say
from tui.jot_days import any_day, refuse_day_inside
from tui.jot_said import Said, count_of
from tui.jot_words import Vocabulary, Words, find_name

GIVEN = ("given away to", "gave away to", "given to", "gave to")


def read_gift(
    words: Words, said: Said, start: int, lot: str, on: dt.date, note: str, vocabulary: Vocabulary
) -> GiveAway | None:
    """The gift, where `given away to` comes next; None for another line.

    Args:
        words: the line, behind what was said of the animals.
        said: what that was.
        start: where it begins.
        lot: whose animals they are.
        on: when.
        note: a remark.
        vocabulary: the names of the ledger.

    Raises:
        BadInput: nobody is named, or what was said of the animals cannot be given.
    """
    if words.take_phrase(GIVEN) is None:
        return None
    if said.pack:
        raise BadInput(say("Take the pack apart first; then give the animals away."), field="pack")
    if said.estimated:
        raise BadInput(say("Say how many went, as they were counted."), field="count")
    if (day := any_day(words, words.at + 1)) is not None:
        raise refuse_day_inside(words, *day)
    begun = words.at
    to = words.rest().strip()
    if not to:
        raise BadInput(say("To whom? Write the name, or leave out to."), field="to")
    if "," in to:
        raise BadInput(say("What is given away stands in a line of its own; put remarks after the word note."))
    to = find_name(to, vocabulary.customers, "customer", words, begun, words.at)
    if said.by_sex:
        picks = tuple(Pick(lot, number, said.stage, sex, said.tub) for sex, number in said.by_sex)
    else:
        picks = (Pick(lot, count_of(said, words, start, lot, vocabulary), said.stage, said.sex, said.tub),)
    return GiveAway(picks, on, "gift", to, note)
