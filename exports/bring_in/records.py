"""From the rows of a sheet to what each of them says, with a fingerprint by which the same row is known again."""

from __future__ import annotations

import datetime as dt
import hashlib
import json
import re
from collections.abc import Callable
from dataclasses import dataclass

from exports.bring_in.carrying import carry_down
from exports.bring_in.cells import Cell, column_letter, is_empty, row_shown, shown
from exports.bring_in.columns import Layout
from exports.bring_in.kinds import Field, Kind, plain
from exports.bring_in.report import TOTAL, Question, Refusal, Skipped
from exports.bring_in.values import Counts, Manner, Meaning, Unclear, meaning, order_of, sign_of
from ledger.days import Order
from ledger.money import Currency, DecimalSign
from ledger.records.bringing import CORE

_TOTALS = frozenset({"total", "totals", "subtotal", "sub-total", "grand total", "sum", "overall", "summe", "gesamt"})
_TOTAL_FIRST = re.compile(r"(?:grand |sub-? ?)?totals?\b|sum\b|overall\b|summe\b|gesamt(?:summe)?\b|zwischensumme\b")
_REPORT_EVERY = 1_000
_AS_JSON = json.JSONEncoder(ensure_ascii=False)
_UNDERSTOOD = 5_000
"""Different cells of a column whose meaning is remembered."""


@dataclass(frozen=True, slots=True)
class Said:
    """What one row says."""

    row: int
    values: dict[str, Meaning]
    mark: str
    """Fingerprint of what is needed of it, then of all it says, each with how many such rows came before it."""
    reference: str
    follows: int = 0
    """The row of a sale that it goes on with; 0: it begins one, or stands alone."""

    @property
    def core(self) -> str:
        """Fingerprint of what is needed of it."""
        return self.mark[:CORE]

    def text(self, name: str) -> str:
        """A text; empty if nothing was said."""
        value = self.values.get(name)
        return "" if value is None else value if isinstance(value, str) else str(value)

    def day(self, name: str) -> dt.date | None:
        """A day, if one was said."""
        value = self.values.get(name)
        return value if isinstance(value, dt.date) else None

    def number(self, name: str) -> int | None:
        """A number or amount, if one was said."""
        value = self.values.get(name)
        return value if isinstance(value, int) else None

    def counts(self, name: str) -> Counts:
        """How many animals."""
        value = self.values.get(name)
        return value if isinstance(value, Counts) else Counts()


@dataclass(frozen=True, slots=True)
class Rows:
    """What the rows of a sheet say."""

    said: list[Said]
    refused: list[Refusal]
    skipped: list[Skipped]
    questions: tuple[Question, ...]
    read: int
    notes: tuple[str, ...] = ()
    """What was read in a way that is worth saying."""


def read_rows(
    layout: Layout,
    kind: Kind,
    currency: Currency,
    *,
    order: Order | None = None,
    sign: DecimalSign | None = None,
    fill: bool | None = None,
    progress: Callable[[int], None] = lambda rows: None,
) -> Rows:
    """Read every row under the headings.

    Args:
        layout: how the sheet is laid out.
        kind: what it holds.
        currency: of the ledger.
        order: of day and month, by the keeper's word; None: as the dates show.
        sign: decimal sign, by the keeper's word; None: as the amounts show.
        fill: whether rows go on from the row above, by the keeper's word; None: it is asked.
        progress: told now and then how many rows have been read.
    """
    fields = {place: kind.field(name) for place, name in layout.fields.items()}
    records: list[tuple[int, tuple[Cell, ...]]] = []
    skipped = list(layout.above)
    wanted = [place for place, field in fields.items() if field.needed]
    lead = next((place for place, field in fields.items() if kind.carried and field.name == kind.carried[0]), None)
    for number, row in layout.sheet.rows[layout.start + 1 :]:
        if _says_nothing(row, fields):
            skipped.append(Skipped(number, "nothing in the columns that are read", row_shown(row)))
        elif _is_total(row, fields, wanted, lead):
            skipped.append(Skipped(number, TOTAL, row_shown(row)))
        elif len(wanted) > 2 and len(row) - row.count(None) - row.count("") == 1:
            skipped.append(Skipped(number, "one cell alone", row_shown(row)))
        else:
            records.append((number, row))
    carried = carry_down(records, fields, kind, fill)
    records, follows = carried.records, carried.follows
    questions: list[Question] = [*carried.questions]
    if order is None:
        order, question = order_of(_cells(records, fields, "date"))
        questions += [question] if question else []
    manner = Manner(currency, order, sign or sign_of(_cells(records, fields, "amount"), currency))
    said: list[Said] = []
    refused: list[Refusal] = []
    twins: dict[str, int] = {}
    cores: dict[str, int] = {}
    needed = [field.name for field in kind.fields if field.needed]
    columns = [_Column(place, field, manner) for place, field in fields.items()]
    # By name, as what they say stands in the fingerprint.
    columns.sort(key=lambda column: column.name)
    for done, (number, row) in enumerate(records, start=1):
        if done % _REPORT_EVERY == 0:
            progress(done)
        values: dict[str, Meaning] = {}
        texts: dict[str, str] = {}
        parts: list[str] = []
        wrong: list[tuple[int, Unclear]] = []
        width = len(row)
        for column in columns:
            cell = row[column.place] if column.place < width else None
            # Days, categories and names come again and again; 1, 1.0 and True are equal and not the same.
            key = cell if isinstance(cell, str) else (type(cell), cell)
            try:
                understood = column.known[key] if key in column.known else column.understand(key, cell)
            except Unclear as unclear:
                wrong.append((column.place, unclear))
                continue
            if understood is not None:
                name = column.name
                values[name], texts[name], part = understood
                parts.append(part)
        spilt = _spilt(layout, number, row) if width > len(layout.headings) else []
        if wrong or spilt:
            refused += [_refused(layout, number, row, *one) for one in sorted(wrong, key=lambda one: one[0])]
            refused += spilt
            continue
        core = "\x1f".join([kind.name, *[texts.get(name, "") for name in needed]])
        content = f'["{kind.name}", {{{", ".join(parts)}}}]'
        mark = _print(core, cores, CORE) + _print(content, twins, CORE)
        reference = values.get("reference", "")
        said.append(Said(number, values, mark, reference if isinstance(reference, str) else "", follows.get(number, 0)))
    return Rows(said, refused, skipped, tuple(questions), len(records), carried.notes)


Understood = tuple[Meaning, str, str]
"""What a cell means, the same as text, and as part of a JSON object."""


class _Column:
    """The cells of a column that were understood; the same ones come again and again."""

    def __init__(self, place: int, field: Field, manner: Manner) -> None:
        self.place = place
        self.name = field.name
        self.known: dict[object, Understood | None] = {}
        self._field = field
        self._manner = manner

    def understand(self, key: object, cell: Cell) -> Understood | None:
        """What a cell means; `None`: nothing.

        Raises:
            Unclear: it has no meaning, or is needed and empty.
        """
        value = meaning(cell, self._field, self._manner)
        if value is None and self._field.needed:
            raise Unclear(f"has no {self._field.heading.lower()}.")
        understood = None
        if value is not None:
            text = str(value)
            part = _AS_JSON.encode(value if isinstance(value, int) else text)
            understood = (value, text, f"{_AS_JSON.encode(self.name)}: {part}")
        if len(self.known) < _UNDERSTOOD:
            self.known[key] = understood
        return understood


def _refused(layout: Layout, number: int, row: tuple[Cell, ...], place: int, unclear: Unclear) -> Refusal:
    text = shown(row[place] if place < len(row) else None)[:80]
    return Refusal(
        layout.sheet.name,
        number,
        column_letter(place),
        layout.headings[place],
        text,
        unclear.reason,
        unclear.suggestion,
    )


def _says_nothing(row: tuple[Cell, ...], fields: dict[int, Field]) -> bool:
    return all(is_empty(row[place]) for place in fields if place < len(row))


def _is_total(row: tuple[Cell, ...], fields: dict[int, Field], needed: list[int], lead: int | None) -> bool:
    """Whether a row sums up the others: it begins with the word, or a cell that is needed does, and it lacks another.

    A shop or a lot may be called like that, so a row with everything that is needed is a record; where one column is
    all that is needed, a row that says more than that one.

    Args:
        row: a row that says something.
        fields: field by column.
        needed: the columns that are needed.
        lead: the one among them that may be written once for several rows; None: there is none.
    """
    first = 0
    while is_empty(row[first]):
        first += 1
    lacking = [place for place in needed if place >= len(row) or is_empty(row[place])]
    if not _says_total(shown(row[first])):
        # What lacks nothing but its day may go on from the row above.
        return bool(lacking) and lacking != [lead] and any(_begins_total(row, place) for place in (first, *needed))
    label = fields.get(first)
    bare = len(needed) < 2 and sum(place < len(row) and not is_empty(row[place]) for place in fields) < 2
    return bool(lacking) or bare or (label is not None and label.type not in ("text", "code", "block"))


def _says_total(text: str) -> bool:
    folded = text.casefold()
    # Most say nothing of the kind, and to strip each of its trimmings would take long.
    may = "total" in folded or "sum" in folded or "overall" in folded or "gesamt" in folded
    return may and plain(text).strip(" .") in _TOTALS


def _begins_total(row: tuple[Cell, ...], place: int) -> bool:
    cell = row[place] if place < len(row) else None
    return isinstance(cell, str) and _TOTAL_FIRST.match(plain(cell)) is not None


def _spilt(layout: Layout, number: int, row: tuple[Cell, ...]) -> list[Refusal]:
    """Refuse a row of a delimited file that has cells beyond the headings: a delimiter in an amount parted it unseen.

    Args:
        layout: how the sheet is laid out.
        number, row: a row that goes on beyond the headings.
    """
    widths, end = layout.sheet.widths, len(layout.headings)
    if widths.get(number, 0) <= widths.get(layout.sheet.rows[layout.start][0], 0):
        return []
    place = next(place for place in range(end, len(row)) if not is_empty(row[place]))
    return [
        Refusal(
            layout.sheet.name,
            number,
            column_letter(place),
            "no heading",
            shown(row[place])[:80],
            "stands beyond the last heading, so a cell before it was parted in two.",
            'An amount or a text with the separator in it needs quotation marks, as in "1,234.50".',
        )
    ]


def _cells(records: list[tuple[int, tuple[Cell, ...]]], fields: dict[int, Field], kind: str) -> list[Cell]:
    places = [place for place, field in fields.items() if field.type == kind]
    texts = (row[place] for _, row in records for place in places if place < len(row) and isinstance(row[place], str))
    # The same day stands in many rows.
    return list(dict.fromkeys(texts))


def _print(content: str, twins: dict[str, int], length: int) -> str:
    """Fingerprint of a content and of how many such rows came before it."""
    twin = twins[content] = twins.get(content, 0) + 1
    return hashlib.sha256(f"{content}#{twin}".encode()).hexdigest()[:length]
