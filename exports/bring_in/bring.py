"""Looking at a file, and bringing it in: every row through the ledger's own commands, all of them or none.

A look tries everything in one transaction and takes it back, so that its report says what the ledger itself would say.
A row that is in the ledger already, brought in before and not taken back, is known by its fingerprint and left out.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from sqlalchemy import Connection

from exports.bring_in.acts import Group, command, groups
from exports.bring_in.apart import read_apart
from exports.bring_in.cells import column_letter, shown
from exports.bring_in.columns import Layout, lay_out
from exports.bring_in.kinds import CUSTOMERS, Kind
from exports.bring_in.records import Rows, Said, read_rows
from exports.bring_in.report import TOTAL, Question, Refusal, Report, rows_of
from exports.bring_in.values import Unclear
from ledger.act import Done
from ledger.costs.listing import categories
from ledger.days import Order
from ledger.errors import Busy, Refused
from ledger.ledger import Ledger
from ledger.money import DecimalSign
from ledger.records.bringing import known, remembered, rows_of_file
from ledger.records.commands import NoteBroughtIn, RowBroughtIn
from ledger.text import count_words, show

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
    changed: tuple[Refusal, ...]
    """Rows that are in the ledger with other content: by their own number, or by their place in this very file."""


class _TakenBack(Exception):
    """Ends a look: everything tried in it is rolled back."""


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
            remembered=lambda headings: remembered(conn, kind.name, headings),
        )
    rows = read_rows(
        layout,
        kind,
        ledger.currency,
        order=wishes.order,
        sign=wishes.sign,
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
                    *_column(layout, "reference"),
                    one.reference,
                    f"is in the ledger already, from {there.references[one.reference]}, with other content.",
                    "Correct it in the ledger, or take that file back first.",
                )
            )
            continue
        number, _ = same_file.get(_place(layout, one), (0, ""))
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
    return Found(book.name, book.digest, kind, layout, rows, tuple(fresh), count, tuple(changed))


def look(ledger: Ledger, kind: Kind, path: Path, wishes: Wishes, progress: Progress = lambda *_: None) -> Report:
    """Try a file against the ledger and report; records nothing.

    Raises:
        BadInput, NotFound: it cannot be read at all.
        Busy, ReadOnly: the ledger cannot be written to just now.
    """
    found = find(ledger, kind, path, wishes, progress)
    refused = [*found.rows.refused, *found.changed]
    cautions: list[str] = []
    accepted: list[Said] = []
    if not _questions(found):
        _try(ledger, found, refused, cautions, accepted, progress)
    return _report(found, refused, cautions, accepted)


def bring_in(
    ledger: Ledger,
    kind: Kind,
    path: Path,
    wishes: Wishes,
    progress: Progress = lambda *_: None,
    token: str | None = None,
) -> Done:
    """Record every new row of a file in one act.

    Args:
        ledger: open for recording.
        kind: what the file holds.
        path: the file.
        wishes: what the keeper says of it.
        progress: told how far it is.
        token: made when the form opened; the same token records once.

    Returns:
        What was recorded; `refs` has the number of the file, or none if every row was there already.

    Raises:
        Refused: a row is refused, or something has to be asked; nothing was recorded.
    """
    found = find(ledger, kind, path, wishes, progress)
    questions = _questions(found)
    if questions:
        raise Refused(f"{questions[0].sentence} Answer with {questions[0].option}. Nothing was recorded.", "file")
    refused = [*found.rows.refused, *found.changed]
    if refused:
        first = min(refused, key=lambda one: one.row)
        count = rows_of(refused)
        more = " A look at the file without --record lists the others." if len(refused) > 1 else ""
        raise Refused(
            f"Nothing was recorded, since {count_words(count, 'row', 'rows')} cannot be brought in. {first}{more}",
            "file",
            {"refused": count},
        )
    if not found.fresh:
        return Done(f"Every row of {found.name} is in the ledger already; nothing was recorded.")
    made = groups(kind, list(found.fresh))
    kinds = ledger.categories()
    total = len(made)

    def maker(place: int, group: Group) -> Callable[[Connection], object]:
        def make(_conn: Connection) -> object:
            if place % 500 == 0:
                progress("recording", place, total)
            try:
                return command(kind, group, kinds)
            except Unclear as unclear:
                raise Refused(f"{unclear.reason} {unclear.suggestion}".strip()) from unclear

        return make

    acts = [(f"Row {group.first.row}", maker(place, group)) for place, group in enumerate(made)]
    acts.append((found.name, lambda _conn: _note(found)))
    done = ledger.do_all(acts, content=f"{kind.name} {found.digest} {wishes!r}", token=token, source="bring-in")
    progress("recording", total, total)
    if len(done) == 1:
        return done[0]
    totals = [one for one in found.rows.skipped if one.why == TOTAL]
    left_out = [f"Row {one.row} was taken for a total and left out: {show(one.text)}" for one in totals]
    cautions = tuple(dict.fromkeys([*left_out, *(caution for one in done for caution in one.cautions)]))[:20]
    number, new = done[-1].refs["file"], len(found.fresh)
    sentence = f"File {number}: {count_words(new, 'row', 'rows')} of {kind.name} from {found.name} "
    sentence += "was recorded" if new == 1 else "were recorded"
    sentence += f", {found.known} {'was' if found.known == 1 else 'were'} there already." if found.known else "."
    return Done(sentence, {"file": number, "rows": len(found.fresh)}, cautions)


def _note(found: Found) -> NoteBroughtIn:
    rows = tuple(
        RowBroughtIn(
            _place(found.layout, one),
            one.mark,
            one.reference[:80],
            one.text("name") if found.kind is CUSTOMERS else "",
        )
        for one in found.fresh
    )
    name = "".join(letter if letter.isprintable() else "?" for letter in found.name)[:200]
    return NoteBroughtIn(found.kind.name, name, found.digest, rows, found.layout.fingerprint, found.layout.memory)


def _place(layout: Layout, said: Said) -> str:
    """Where a row stands in its file."""
    return f"{layout.sheet.name[:80]} row {said.row}"


def _questions(found: Found) -> tuple[Question, ...]:
    return (*found.layout.questions, *found.rows.questions)


def _try(
    ledger: Ledger,
    found: Found,
    refused: list[Refusal],
    cautions: list[str],
    accepted: list[Said],
    progress: Progress,
) -> None:
    made = groups(found.kind, list(found.fresh))
    try:
        with ledger.together("bring-in") as act:
            kinds = act.ask(categories)
            for place, group in enumerate(made):
                if place % 200 == 0:
                    progress("trying", place, len(made))
                try:
                    done = act.do(command(found.kind, group, kinds))
                except Unclear as unclear:
                    refused.append(_whole_row(found, group, unclear.reason, unclear.suggestion))
                except Busy:
                    raise
                except Refused as no:
                    refused.append(_whole_row(found, group, no.sentence, "", no.field))
                else:
                    accepted += group.rows
                    cautions += [one for one in done.cautions if one not in cautions]
            raise _TakenBack
    except _TakenBack:
        pass


def _whole_row(found: Found, group: Group, reason: str, suggestion: str, named: str | None = None) -> Refusal:
    column, heading = _column(found.layout, named or "")
    text = _written(found.layout, group.first.row, named) if named and column else ""
    return Refusal(found.layout.sheet.name, group.first.row, column, heading, text, reason, suggestion)


def _written(layout: Layout, row: int, name: str) -> str:
    """What stands in a row under a field, as its keeper wrote it."""
    rows = layout.sheet.rows
    cells = rows[bisect_left(rows, row, key=lambda one: one[0])][1]
    place = next(place for place, one in layout.fields.items() if one == name)
    return shown(cells[place])[:80] if place < len(cells) else ""


def _column(layout: Layout, name: str) -> tuple[str, str]:
    place = next((place for place, one in layout.fields.items() if one == name), None)
    return ("", "") if place is None else (column_letter(place), layout.headings[place])


def _report(found: Found, refused: list[Refusal], cautions: list[str], accepted: list[Said]) -> Report:
    kind, layout, rows = found.kind, found.layout, found.rows
    counted = sum(one.counts(kind.counted).all for one in accepted) if kind.counted else None
    money = sum(_money(kind, one) for one in accepted) if kind.money else None
    return Report(
        found.name,
        found.digest,
        kind.name,
        layout.sheet.name,
        layout.columns(),
        rows.read,
        layout.sheet.blank,
        tuple(rows.skipped),
        found.known,
        len(accepted),
        tuple(sorted(refused, key=lambda one: one.row)),
        (*layout.questions, *rows.questions),
        tuple(cautions),
        counted,
        money,
    )


def _money(kind: Kind, said: Said) -> int:
    amount = said.number(kind.money)
    if amount is None and (each := said.number("each")) is not None:
        return each * said.counts("count").all
    return amount or 0
