"""Which column holds what: by the keeper's word, by what was said of the same headings before, or by their names."""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from exports.bring_in.cells import Book, Cell, Sheet, column_letter, row_shown, shown
from exports.bring_in.kinds import Kind, plain
from exports.bring_in.report import Question, Skipped
from ledger.errors import BadInput, NotFound
from ledger.text import quoted

_UNIT = re.compile(r"\(\s*(?:[A-Z]{3}|[€£$¥])\s*\)")
LEFT_OUT = "-"
"""What a heading is said to stand for that is to be left out."""
_GUESSED = 4
"""Rank of a guess: after what was said, what was so before, the template's headings and others known."""
_LOOKED_AT = 30
"""Rows from the top among which the headings are looked for."""


@dataclass(frozen=True, slots=True)
class Layout:
    """How one sheet is to be read."""

    sheet: Sheet
    start: int
    """Place of the row of headings among the sheet's rows."""
    headings: tuple[str, ...]
    fields: dict[int, str]
    """Field by column."""
    above: tuple[Skipped, ...]
    """Rows over the headings."""
    questions: tuple[Question, ...]

    @property
    def fingerprint(self) -> str:
        """By which the same headings are known again."""
        return fingerprint(self.headings)

    @property
    def memory(self) -> str:
        """Which heading stands for what, to be remembered."""
        said = {plain(self.headings[place]): name for place, name in self.fields.items()}
        return json.dumps(said, ensure_ascii=False, sort_keys=True)

    def columns(self) -> tuple[tuple[str, str, str], ...]:
        """(letter, heading, field) of each column with a heading."""
        return tuple(
            (column_letter(place), heading, self.fields.get(place, ""))
            for place, heading in enumerate(self.headings)
            if heading
        )


def fingerprint(headings: Sequence[str]) -> str:
    """Of a set of headings, whatever their order."""
    return hashlib.sha256("\n".join(sorted(plain(one) for one in headings if one)).encode()).hexdigest()


def lay_out(
    book: Book,
    kind: Kind,
    *,
    sheet: str | None = None,
    said: Mapping[str, str] | None = None,
    remembered: Callable[[str], Mapping[str, str]] = lambda headings: {},
) -> Layout:
    """Find the headings and what each stands for.

    Args:
        book: the file.
        kind: what it holds.
        sheet: name of the sheet; None: the one whose headings fit best, or that is called after the kind.
        said: field by heading, by the keeper's word; it comes before everything else.
        remembered: gives the same by the fingerprint of headings, from earlier files.

    Raises:
        NotFound: there is no such sheet, heading or field.
        BadInput: no row looks like headings.
    """
    chosen = said or {}
    wanted = {
        plain(heading): LEFT_OUT if name == LEFT_OUT else kind.field(name).name for heading, name in chosen.items()
    }
    found: list[Layout] = []
    for one in book.sheets:
        if sheet is not None and one.name.casefold() != sheet.casefold():
            continue
        layout = _in_sheet(one, kind, wanted, remembered)
        if layout is not None:
            found.append(layout)
    if sheet is not None and not any(one.name.casefold() == sheet.casefold() for one in book.sheets):
        names = ", ".join(one.name for one in book.sheets)
        raise NotFound(f"{book.name} has no sheet {quoted(sheet)}; it has: {names}.", "sheet")
    if not found:
        needed = ", ".join(one.heading for one in kind.fields if one.needed)
        raise BadInput(
            f"No row of {book.name} looks like the headings of {kind.name} (needed: {needed}); name the columns with "
            "--map, or start from rearledger bring-in template.",
            "file",
        )
    called = [one for one in found if one.sheet.name.casefold() == kind.title.casefold()]
    best = max(found, key=lambda one: len(one.fields))
    rivals = [one for one in found if len(one.fields) == len(best.fields)]
    layout = called[0] if called else best
    if not called and len(rivals) > 1:
        sheets = tuple(one.sheet.name for one in rivals)
        question = Question(f"Which sheet? {', '.join(sheets)} all look right.", "--sheet NAME", sheets)
        layout = _asking(layout, question)
    missing = wanted.keys() - {plain(heading) for heading in layout.headings}
    if missing:
        named = next(heading for heading in chosen if plain(heading) in missing)
        there = ", ".join(quoted(heading) for heading in layout.headings if heading)
        raise NotFound(
            f"There is no column headed {quoted(named)} in {layout.sheet.name}; its headings are {there}.", "map"
        )
    for field in kind.fields:
        if field.needed and field.name not in layout.fields.values():
            layout = _asking(
                layout,
                Question(
                    f"Which column holds the {field.heading.lower()}?",
                    f'--map "HEADING={field.name}"',
                    tuple(heading for heading in layout.headings if heading),
                    f"A heading may stand for: {may_be(kind)}; or - to leave it out.",
                    ("column", field.name),
                ),
            )
    return layout


def may_be(kind: Kind) -> str:
    """What a heading may be said to stand for."""
    return ", ".join(one.name for one in kind.fields)


def _asking(layout: Layout, question: Question) -> Layout:
    return Layout(
        layout.sheet, layout.start, layout.headings, layout.fields, layout.above, (*layout.questions, question)
    )


def _in_sheet(
    sheet: Sheet, kind: Kind, said: Mapping[str, str], remembered: Callable[[str], Mapping[str, str]]
) -> Layout | None:
    """The best row of headings near the top of a sheet; None: there is none."""
    best: tuple[int, int, tuple[str, ...], dict[int, str]] | None = None
    for place, (_, row) in enumerate(sheet.rows[:_LOOKED_AT]):
        headings = tuple(_heading(cell) for cell in row)
        fields, doubled = _fields(headings, kind, said, remembered(fingerprint(headings)))
        if doubled and len(fields) >= 2:
            raise BadInput(
                f"Two columns of {sheet.name} could be the {doubled}; say which with --map, or rename one.", "map"
            )
        if len(fields) >= min(2, len(kind.fields)) and (best is None or len(fields) > best[0]):
            best = len(fields), place, headings, fields
    if best is None:
        return None
    _, start, headings, fields = best
    above = tuple(Skipped(number, "above the headings", row_shown(row)) for number, row in sheet.rows[:start])
    return Layout(sheet, start, headings, fields, above, ())


def _heading(cell: Cell) -> str:
    return " ".join(shown(cell).split()) if isinstance(cell, str) else ""


def _fields(
    headings: Sequence[str], kind: Kind, said: Mapping[str, str], before: Mapping[str, str]
) -> tuple[dict[int, str], str]:
    """Field by column; and the name of one that two columns could be, if there is one."""
    fields: dict[int, str] = {}
    rank: dict[str, int] = {}
    left_out: set[int] = set()
    doubled = ""
    exact = {plain(one.heading): one.name for one in kind.fields} | {one.name: one.name for one in kind.fields}
    also = {word.casefold(): one.name for one in kind.fields for word in one.also}
    for place, heading in enumerate(headings):
        key = plain(heading)
        for level, known in enumerate((said, before, exact, also)):
            if not key or key not in known:
                continue
            name = known[key]
            if name == LEFT_OUT:
                left_out.add(place)
                break
            if level > 1 and _is_money(heading) and kind.field(name).type in ("yes", "paid"):
                # 'Paid (EUR)' says how much was paid, not whether.
                if not kind.money:
                    break
                name, level = kind.money, _GUESSED
            if name not in rank or level < rank[name]:
                fields = {column: other for column, other in fields.items() if other != name}
                fields[place], rank[name] = name, level
                doubled = "" if doubled == name else doubled
            elif level == rank[name]:
                doubled = name
            break
    _loosely(["" if place in left_out else heading for place, heading in enumerate(headings)], kind, fields)
    return fields, doubled


def _loosely(headings: Sequence[str], kind: Kind, fields: dict[int, str]) -> None:
    """Give a field without a column the one whose heading may mean it, where there is one and nothing else needs it."""
    for field in kind.fields:
        if not field.loose or field.name in fields.values():
            continue
        words = {word.casefold() for word in field.loose}
        places = [
            place
            for place, heading in enumerate(headings)
            if plain(heading) in words
            and (place not in fields or (field.needed and not kind.field(fields[place]).needed))
        ]
        if len(places) == 1:
            fields[places[0]] = field.name


def _is_money(heading: str) -> bool:
    """Whether a heading names a currency beside it."""
    return _UNIT.search(heading) is not None
