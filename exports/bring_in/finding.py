"""Reading a file and seeing which of its rows are new to the ledger, before anything is tried.

A row that is in the ledger already, brought in before and not taken back, is known by its fingerprint and left out.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from difflib import get_close_matches
from pathlib import Path

from exports.bring_in.answers import Answers, settle, still_good
from exports.bring_in.apart import read_apart
from exports.bring_in.cells import column_letter
from exports.bring_in.columns import Layout, lay_out
from exports.bring_in.kinds import Kind
from exports.bring_in.records import Rows, Said, read_rows
from exports.bring_in.report import Question, Refusal
from ledger.days import Order
from ledger.ledger import Ledger
from ledger.money import DecimalSign
from ledger.records.bringing import alike, known, remembered, rows_of_file
from ledger.text import count_words, quoted
from ledger.wording import listed

Progress = Callable[[str, int, int], None]
"""Told what is being done, how many rows of it are done, and of how many (0: not known)."""


@dataclass(frozen=True, slots=True)
class Wishes:
    """What the keeper says of a file."""

    sheet: str | None = None
    columns: Mapping[str, str] = field(default_factory=dict)
    """Field by heading."""
    order: Order | None = None
    sign: DecimalSign | None = None
    species: Mapping[str, str] = field(default_factory=dict)
    """Code by what a species is called in the file."""
    kinds: Mapping[str, str] = field(default_factory=dict)
    """Kind of spending, or a category that is known, by a category that is new."""
    fill: bool | None = None
    """Whether rows without a day go on from the row above; None: it is asked where there are any."""
    how: str = ""
    """How animals came that a price was paid for, where no row says so; empty: it is asked."""
    before: Answers = field(default_factory=Answers)
    """What was said of earlier files of the kind."""


@dataclass(frozen=True, slots=True)
class Found:
    """A file that was read, not yet tried against the ledger."""

    name: str
    digest: str
    kind: Kind
    layout: Layout
    rows: Rows
    fresh: tuple[Said, ...]
    """Rows that are not in the ledger."""
    known: int
    alike: str
    """A caution where most of the new rows look like rows that came in before; empty: they do not."""
    changed: tuple[Refusal, ...]
    """Rows that are in the ledger with other content: by their own number, or by their place in this very file."""
    questions: tuple[Question, ...] = ()
    """About words of the rows."""
    read_as: tuple[str, ...] = ()
    """What was matched, filled in or taken for granted."""
    caution: str = ""
    """What to know of how the file was read; empty: nothing."""


_MUCH_ALIKE = 0.8
"""How alike two names are before they are doubted, of 1 (our own choice)."""
_MOST_DOUBTS = 10


def find(ledger: Ledger, kind: Kind, path: Path, wishes: Wishes, progress: Progress = lambda *_: None) -> Found:
    """Read a file and see which rows are new.

    Raises:
        BadInput, NotFound: it cannot be read, or the wishes do not fit it.
    """
    book = read_apart(path, lambda rows: progress("reading", rows, 0))
    with ledger.store.reading() as conn:
        layout = lay_out(
            book,
            kind,
            sheet=wishes.sheet,
            said=wishes.columns,
            remembered=lambda headings: {**wishes.before.columns, **remembered(conn, kind.name, headings)},
        )
    rows = read_rows(
        layout,
        kind,
        ledger.currency,
        order=wishes.order,
        sign=wishes.sign,
        fill=wishes.fill,
        progress=lambda done: progress("understanding", done, len(layout.sheet.rows)),
    )
    there = ledger.ask(known, kind.name, (one.mark for one in rows.said), (one.reference for one in rows.said))
    same_file = ledger.ask(rows_of_file, kind.name, book.digest)
    fresh: list[Said] = []
    changed: list[Refusal] = []
    for one in rows.said:
        if one.mark in there.marks:
            continue
        if one.reference in there.references:
            changed.append(
                Refusal(
                    layout.sheet.name,
                    one.row,
                    *column_in(layout, "reference"),
                    one.reference,
                    f"is in the ledger already, from {there.references[one.reference]}, with other content.",
                    "Correct it in the ledger, or take that file back first.",
                )
            )
            continue
        number, _ = same_file.get(place_in(layout, one), (0, "")) if same_file else (0, "")
        if number:
            changed.append(
                Refusal(
                    layout.sheet.name,
                    one.row,
                    "",
                    "",
                    "",
                    f"was brought in from this very file before (file {number}), with its columns read otherwise.",
                    f"Take that back first: rearledger bring-in undo {number}.",
                )
            )
            continue
        fresh.append(one)
    count = len(rows.said) - len(fresh) - len(changed)
    doubt = _alike(ledger, kind, fresh)
    species = ledger.species() if any("species" in one.values for one in fresh) else ()
    categories = ledger.categories()
    before = still_good(wishes.before, species, categories)
    settled = settle(
        kind,
        fresh,
        species=species,
        categories=categories,
        answers=Answers({}, {**before.species, **wishes.species}, {**before.categories, **wishes.kinds}),
        how=wishes.how,
        currency=ledger.currency,
    )
    return Found(
        book.name,
        book.digest,
        kind,
        layout,
        rows,
        tuple(fresh),
        count,
        doubt,
        tuple(changed),
        settled.questions,
        (*rows.notes, *settled.read_as),
        book.caution,
    )


def _alike(ledger: Ledger, kind: Kind, fresh: Sequence[Said]) -> str:
    """A caution where most new rows have what is needed in common with rows that came in before.

    An edited copy of a file, read with other columns, says other things in every row, so nothing else would tell. Two
    purchases may be alike, so it is not refused.
    """
    before = ledger.ask(alike, kind.name, {one.core for one in fresh}) if fresh else {}
    count = sum(before.values())
    if count * 2 <= len(fresh):
        return ""
    needed = listed([field.heading.lower() for field in kind.fields if field.needed])
    files = listed([str(number) for number in before])
    undo = "; ".join(f"bring-in undo {number}" for number in before)
    return (
        f"{count_words(count, 'new row has', 'new rows have')} the same {needed} as rows that came in with file "
        f"{files}, and other details. If they are the same rows, changed or read with other columns, they would count "
        f"twice: take those back first ({undo})."
    )


def near_shops(fresh: Sequence[Said], known: Sequence[str]) -> list[str]:
    """A doubt for each new shop whose name is much like one that is known or stands earlier in the file."""
    seen = {name.casefold(): name for name in known}
    doubts: list[str] = []
    for one in fresh:
        name = one.text("supplier")
        if not name or name.casefold() in seen:
            continue
        if len(doubts) < _MOST_DOUBTS:
            like = get_close_matches(name.casefold(), list(seen), n=1, cutoff=_MUCH_ALIKE)
            if like:
                doubts.append(
                    f"Row {one.row}: {quoted(name)} is much like {quoted(seen[like[0]])}; is it the same shop?"
                )
        seen[name.casefold()] = name
    return doubts


def place_in(layout: Layout, said: Said) -> str:
    """Where a row stands in its file."""
    return f"{layout.sheet.name[:80]} row {said.row}"


def column_in(layout: Layout, name: str) -> tuple[str, str]:
    """The letter and the heading of the column a field is read from; empty where none is."""
    place = next((place for place, one in layout.fields.items() if one == name), None)
    return ("", "") if place is None else (column_letter(place), layout.headings[place])
