"""Looking at a file, and bringing it in: every row through the ledger's own commands, all of them or none.

A look tries everything in one transaction and takes it back, so that its report says what the ledger itself would say.
A row that is in the ledger already, brought in before and not taken back, is known by its fingerprint and left out.
"""

from __future__ import annotations

from bisect import bisect_left
from collections import deque
from collections.abc import Callable, Iterator
from pathlib import Path

from sqlalchemy import Connection

from exports.bring_in.acts import Group, column_of, command, groups, meant
from exports.bring_in.cautions import of_rows
from exports.bring_in.cells import shown
from exports.bring_in.columns import Layout
from exports.bring_in.finding import Found, Progress, Wishes, column_in, find, near_shops, place_in
from exports.bring_in.kinds import CUSTOMERS, SALES, Kind
from exports.bring_in.records import Said
from exports.bring_in.report import TOTAL, Question, Refusal, Report, rows_of, some_rows
from exports.bring_in.values import Unclear
from ledger.act import Done
from ledger.errors import BadInput, Refused
from ledger.ledger import Ledger
from ledger.records.commands import NoteBroughtIn, RowBroughtIn
from ledger.seldom import seldom_collected
from ledger.text import count_words, show
from ledger.trying import try_all

__all__ = ["Progress", "Wishes", "bring_in", "look"]


@seldom_collected()
def look(ledger: Ledger, kind: Kind, path: Path, wishes: Wishes, progress: Progress = lambda *_: None) -> Report:
    """Try a file against the ledger and report; records nothing.

    Raises:
        BadInput, NotFound: it cannot be read at all.
        Busy, ReadOnly: the ledger cannot be written to just now.
    """
    found = find(ledger, kind, path, wishes, progress)
    refused = [*found.rows.refused, *found.changed]
    cautions = [one for one in (found.caution, found.alike) if one]
    accepted: list[Said] = []
    if not _questions(found):
        cautions += near_shops(found.fresh, ledger.suppliers())
        _try(ledger, found, refused, cautions, accepted, progress)
    return _report(found, refused, cautions, accepted)


@seldom_collected()
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
    turn: deque[Group] = deque(maxlen=1)

    def make(_conn: Connection) -> object:
        try:
            return command(kind, turn[0], kinds)
        except Unclear as unclear:
            raise Refused(f"{unclear.reason} {unclear.suggestion}".strip()) from unclear

    def remember(_conn: Connection) -> NoteBroughtIn:
        turn.clear()
        # The last word before it is saved: who stops it afterwards must not be told that nothing was recorded.
        progress("recording", total, total)
        return _note(found)

    def acts() -> Iterator[tuple[str, Callable[[Connection], object]]]:
        for place, group in enumerate(made):
            turn.append(group)
            if place % 500 == 0:
                progress("recording", place, total)
            yield f"Row {group.first.row}", make
        yield found.name, remember

    try:
        content = f"{kind.name} {found.digest} {wishes!r}"
        done = ledger.do_all(acts, content=content, token=token, source="bring-in", sentences=False)
    except BadInput as no:
        if not turn or not isinstance(no.__cause__, Refused):
            raise
        cell = _refused_cell(found, turn[0], no.__cause__)
        raise BadInput(f"{cell} Nothing was recorded.", no.field, no.facts) from no.__cause__
    if len(done) == 1:
        return done[0]
    totals = [one for one in found.rows.skipped if one.why == TOTAL]
    left_out = [f"Row {one.row} was taken for a total and left out: {show(one.text)}" for one in totals]
    if len(totals) > 1:
        which = f"{len(totals)} rows {some_rows([one.row for one in totals])}"
        left_out = [f"{which} were taken for totals and left out, such as: {show(totals[0].text)}"]
    of_acts = of_rows(
        ([said.row for said in group.rows], one.cautions)
        for group, one in zip(made, done, strict=False)
        if one.cautions
    )
    cautions = tuple([one for one in (found.caution, found.alike, *left_out, *of_acts) if one][:_MOST_CAUTIONS])
    number, new = done[-1].refs["file"], len(found.fresh)
    sentence = f"File {number}: {count_words(new, 'row', 'rows')} of {kind.name} from {found.name} "
    sentence += "was recorded" if new == 1 else "were recorded"
    sentence += f", {found.known} {'was' if found.known == 1 else 'were'} there already." if found.known else "."
    return Done(sentence, {"file": number, "rows": len(found.fresh)}, cautions)


_MOST_CAUTIONS = 6
"""What the line after recording says besides what was recorded."""


def _note(found: Found) -> NoteBroughtIn:
    rows = tuple(
        RowBroughtIn(
            place_in(found.layout, one),
            one.mark,
            one.reference[:80],
            one.text("name") if found.kind is CUSTOMERS else "",
        )
        for one in found.fresh
    )
    name = "".join(letter if letter.isprintable() else "?" for letter in found.name)[:200]
    return NoteBroughtIn(found.kind.name, name, found.digest, rows, found.layout.fingerprint, found.layout.memory)


def _questions(found: Found) -> tuple[Question, ...]:
    return (*found.layout.questions, *found.rows.questions, *found.questions)


def _try(
    ledger: Ledger,
    found: Found,
    refused: list[Refusal],
    cautions: list[str],
    accepted: list[Said],
    progress: Progress,
) -> None:
    made = []
    commands = []
    kinds = ledger.categories()
    for group in groups(found.kind, list(found.fresh)):
        try:
            commands.append(command(found.kind, group, kinds))
            made.append(group)
        except Unclear as unclear:
            refused.append(_refused_row(found, group, unclear.reason, unclear.suggestion))
    answers = try_all(
        ledger,
        commands,
        source="bring-in",
        told=lambda done: progress("trying", done, len(commands)),
        sentences=False,
    )
    said: list[tuple[list[int], tuple[str, ...]]] = []
    for group, answer in zip(made, answers, strict=True):
        if isinstance(answer, Refused):
            refused.append(_refused_cell(found, group, answer))
        else:
            accepted += group.rows
            if answer.cautions:
                said.append(([one.row for one in group.rows], answer.cautions))
    cautions += of_rows(said)


def _refused_row(found: Found, group: Group, reason: str, suggestion: str) -> Refusal:
    return Refusal(found.layout.sheet.name, group.first.row, "", "", "", reason, suggestion)


def _refused_cell(found: Found, group: Group, refused: Refused) -> Refusal:
    """What the ledger refused, with the cell it speaks of."""
    name = column_of(found.kind, refused.field)
    row = meant(group, refused, name).row
    column, heading = column_in(found.layout, name)
    text = _written(found.layout, row, name) if column else ""
    return Refusal(found.layout.sheet.name, row, column, heading, text, refused.sentence)


def _written(layout: Layout, row: int, name: str) -> str:
    """What stands in a row under a field, as its keeper wrote it."""
    rows = layout.sheet.rows
    cells = rows[bisect_left(rows, row, key=lambda one: one[0])][1]
    place = next(place for place, one in layout.fields.items() if one == name)
    return shown(cells[place])[:80] if place < len(cells) else ""


def _report(found: Found, refused: list[Refusal], cautions: list[str], accepted: list[Said]) -> Report:
    kind, layout, rows = found.kind, found.layout, found.rows
    read_as = found.read_as
    if kind is SALES and accepted:
        read_as = (*read_as, _sales_made(found, accepted))
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
        _questions(found),
        tuple(cautions),
        counted,
        money if money or kind.name != "stock" else None,
        read_as,
    )


def _sales_made(found: Found, accepted: list[Said]) -> str:
    """How many sales the rows become, and what makes several rows one."""
    made = len(groups(SALES, list(accepted)))
    said = f"{count_words(len(accepted), 'row becomes', 'rows become')} {count_words(made, 'sale', 'sales')}"
    if made < len(accepted):
        return f"{said}: rows with the same own number, or that go on from the row above, are one."
    if "reference" in found.layout.fields.values():
        return f"{said}: each has an own number of its own, or none."
    return f"{said}, one each. A column Own number makes the rows with the same number one sale."


def _money(kind: Kind, said: Said) -> int:
    amount = said.number(kind.money)
    if amount is None and (each := said.number("each")) is not None:
        return each * said.counts("count").all
    return amount or 0
