"""Rows that leave out what stands in the row above: a day and a name written once for a sale of several rows.

Nothing is filled in before the keeper says so, and what was filled in is said before anything is recorded.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from exports.bring_in.cells import Cell, Fault, FaultyCell, is_empty, shown
from exports.bring_in.kinds import Field, Kind
from exports.bring_in.report import Question, some_rows
from ledger.text import count_words
from ledger.wording import listed

Record = tuple[int, tuple[Cell, ...]]


@dataclass(frozen=True, slots=True)
class Carried:
    """The rows of a sheet with what was carried down into them."""

    records: list[Record]
    follows: dict[int, int] = field(default_factory=dict)
    """The row that begins a sale, by each row that goes on with it."""
    questions: tuple[Question, ...] = ()
    notes: tuple[str, ...] = ()


def carry_down(records: list[Record], fields: dict[int, Field], kind: Kind, fill: bool | None) -> Carried:
    """Carry down what is written once for several rows.

    Args:
        records: rows that are no titles and no totals.
        fields: field by column.
        kind: what the rows hold.
        fill: whether the keeper wants it; None: nothing was said, so it is asked.
    """
    places = {one.name: place for place, one in fields.items()}
    lead = places.get(kind.carried[0]) if kind.carried else None
    if lead is None or fill is False or all(len(row) > lead and not _is_blank(row[lead]) for _, row in records):
        return Carried(records)
    carried = [places[name] for name in kind.carried if name in places]
    needed = [place for place, one in fields.items() if one.needed and place != lead]
    names = [one for place, one in fields.items() if place in carried[1:]]
    made: list[Record] = []
    follows: dict[int, int] = {}
    filled: list[int] = []
    above: Record | None = None
    before = 0
    for number, row in records:
        if number != before + 1:
            # An empty row or a total lies between: nothing goes on over it.
            above = None
        before = number
        if not _is_blank(_cell(row, lead)):
            above = number, row
        elif above is not None and not any(is_empty(_cell(row, place)) for place in needed):
            same = all(
                _is_blank(cell := _cell(row, place)) or shown(cell).strip() == shown(_cell(above[1], place)).strip()
                for place in carried[1:]
            )
            row = _filled(row, above[1], carried if same else [lead])
            filled.append(number)
            if same:
                follows[number] = follows.get(above[0], above[0])
            else:
                # Another buyer on the same day: what follows goes on from here.
                above = number, row
        made.append((number, row))
    if not filled:
        return Carried(records)
    what = listed([fields[lead].heading.lower(), *(one.heading.lower() for one in names)])
    rows = f"{count_words(len(filled), 'row', 'rows')} {some_rows(filled)}"
    if fill is None:
        lacking = fields[lead].heading.lower()
        question = Question(
            f"{rows} without a {lacking}, under a row that has one: do they go on from it (the same {what}, one sale "
            "together)?",
            "--fill-down yes or no",
            ("yes", "no"),
            about=("fill", ""),
        )
        return Carried(made, follows, (question,))
    note = f"{rows}: {what} taken from the row above where left out; one sale with it"
    others = len(filled) - len(follows)
    return Carried(made, follows, (), (note + (f", but for {others} to another buyer." if others else "."),))


def _cell(row: tuple[Cell, ...], place: int) -> Cell:
    return row[place] if place < len(row) else None


def _is_blank(cell: Cell) -> bool:
    return is_empty(cell) or (isinstance(cell, FaultyCell) and cell.fault is Fault.MERGED)


def _filled(row: tuple[Cell, ...], above: tuple[Cell, ...], places: list[int]) -> tuple[Cell, ...]:
    cells = list(row) + [None] * (max(places) + 1 - len(row))
    for place in places:
        if _is_blank(cells[place]):
            cells[place] = _cell(above, place)
    return tuple(cells)
