"""The lines of a round: a tub, its animals, when it was last seen and is due, and its marks in words."""

from __future__ import annotations

from ledger.books.rounds_due import RoundTub
from ledger.days import Order
from ledger.stock.words import place
from ledger.wording import say, strung, word
from tui.look import without_year
from tui.round_marks import TubMarks, where_of
from tui.widgets.paged import Row

_SIGN = {"male": " ♂", "female": " ♀", "hermaphrodite": " ⚥"}


def row_of(key: str, tub: RoundTub | None, marks: TubMarks, typed: str, order: Order) -> Row:
    """One line; `typed`: what stands after the marks while a number is typed. Without a tub: it is no longer there."""
    if tub is None:
        lot, name, stage, *_ = (*key.split("|"), "", "", "")
        return Row(
            key,
            (
                place(lot, name),
                word(stage),
                say("{stage}: no longer there", stage=word(stage)),
                "",
                "",
                marks.words(None),
                "",
            ),
        )
    sure = [word(tub.sure)] if tub.sure == "probable" else []
    animal = [str(tub.count), word(tub.stage), *([] if tub.sex == "unsexed" else [*sure, word(tub.sex)])]
    where = place(tub.lot, tub.tub)
    due = without_year(tub.due_on, order)
    if tub.rests_until is not None:
        due = say("rests to {without_year}", without_year=without_year(tub.rests_until, order))
    return Row(
        key,
        (
            (say("! {where}", where=where), "bold") if tub.due else f"  {where}",
            strung((str(tub.count), " ", word(tub.stage), _SIGN.get(tub.sex, "")), ""),
            strung(animal),
            without_year(tub.last_on, order) if tub.last_on else say("never"),
            (due, "$warning") if tub.due else (due, "$quiet"),
            (marks.words(tub) + typed, "bold"),
            tub.place,
        ),
    )


def detail_of(key: str, tub: RoundTub | None, marks: TubMarks) -> str:
    """What a line says in full, in a sentence."""
    if tub is None:
        return say(
            "{where_of} is no longer there; backspace clears its marks ({none_}).",
            where_of=where_of(key),
            none_=marks.words(None),
        )
    said = say("{place}: ", place=tub.place) if tub.place else ""
    said += say("{where_of}, {count} there", where_of=where_of(key), count=tub.count)
    if tub.leave_alone:
        said += say("; do not disturb, looking on from outside is enough")
    said = strung((said, "."), "")
    return strung((said, say("Marked: {marks}.", marks=marks.words(tub)))) if marks else said
