"""Writing answers: lists as text, JSON or spreadsheet CSV, and what was recorded.

Text is aligned by terminal cells and never steers a terminal; JSON is plain ASCII, so that nothing in it can. Knows
no query: whoever calls says which columns a row has.
"""

from __future__ import annotations

import datetime as dt
import json
import sys
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, Generic, TypeVar

from ledger.money import Currency, amount_text, round_half_even
from ledger.text import show

if TYPE_CHECKING:
    from ledger.act import Done

R = TypeVar("R")
Json = None | bool | int | float | str | Sequence["Json"] | Mapping[str, "Json"]

NONE = "–"
"""Where there is no figure."""


@dataclass(frozen=True, slots=True)
class Column(Generic[R]):
    """One column of a list."""

    key: str
    """Its name in JSON and CSV."""
    value: Callable[[R], Json]
    title: str | None = None
    """Its heading in text; `None`: the key in words."""
    text: Callable[[R], str] | None = None
    """How it stands in text; `None`: the value in words."""
    figure: bool = False
    """Stands at the right in text and is a number for a spreadsheet."""
    listed: bool = True
    """False: in JSON and CSV only."""


def write_rows(rows: Sequence[R], columns: Sequence[Column[R]], form: str, *, none: str) -> None:
    """Write a list.

    Args:
        rows: what is listed.
        columns: in order.
        form: text, json or csv.
        none: the sentence that stands in text for an empty list.
    """
    if form == "json":
        write_json([{column.key: column.value(row) for column in columns} for row in rows])
    elif form == "csv":
        _write_csv(rows, columns)
    elif not rows:
        say(none)
    else:
        for line in table([column for column in columns if column.listed], rows):
            sys.stdout.write(line + "\n")


def write_json(value: Json) -> None:
    """Write a value as JSON; every character outside ASCII is escaped."""
    json.dump(value, sys.stdout, indent=2)
    sys.stdout.write("\n")


def say(text: str) -> None:
    """Write one line."""
    sys.stdout.write(show(text) + "\n")


def done(answer: Done, form: str) -> int:
    """Write what was recorded, then what to know about it; gives the exit status."""
    if form == "json":
        write_json({"sentence": answer.sentence, "refs": dict(answer.refs), "cautions": list(answer.cautions)})
        return 0
    say(answer.sentence)
    for caution in answer.cautions:
        say(f"Caution: {caution}")
    return 0


def table(columns: Sequence[Column[R]], rows: Sequence[R]) -> list[str]:
    """Headings and rows in aligned columns, no line with spaces at its end."""
    from rich.cells import cell_len

    cells = [[_cell(column, row) for column in columns] for row in rows]
    titles = [column.title if column.title is not None else column.key.replace("_", " ") for column in columns]
    everything = [titles, *cells]
    widths = [max(cell_len(line[place]) for line in everything) for place in range(len(columns))]

    def laid(line: Sequence[str]) -> str:
        parts = []
        for column, cell, width in zip(columns, line, widths, strict=True):
            gap = " " * (width - cell_len(cell))
            parts.append(gap + cell if column.figure else cell + gap)
        return "   ".join(parts).rstrip()

    return [laid(line) for line in everything]


def _cell(column: Column[R], row: R) -> str:
    return show(column.text(row) if column.text is not None else in_words(column.value(row)))


def in_words(value: Json) -> str:
    """A value as it stands in a text cell."""
    if value is None:
        return NONE
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:.3f}"
    if isinstance(value, int | str):
        return str(value)
    if isinstance(value, Mapping):
        return ", ".join(f"{name}: {in_words(one)}" for name, one in value.items())
    return ", ".join(in_words(one) for one in value)


def _write_csv(rows: Sequence[R], columns: Sequence[Column[R]]) -> None:
    from exports.spreadsheet_csv import write_rows as write_csv

    write_csv(
        sys.stdout,
        [column.key for column in columns],
        ([_flat(column.value(row)) for column in columns] for row in rows),
        figures={place for place, column in enumerate(columns) if column.figure},
    )


def _flat(value: Json) -> str:
    """A value as a CSV cell: nothing for none, and no line that is not one."""
    if value is None:
        return ""
    if isinstance(value, float):
        return repr(value)
    if isinstance(value, bool | int | str):
        return show(in_words(value))
    return json.dumps(value)


# --- values -----------------------------------------------------------------------------------------------------------


def day(value: dt.date | None) -> str | None:
    """A day as ISO 8601."""
    return None if value is None else value.isoformat()


def money(minor: int | None, currency: Currency) -> str | None:
    """An amount as a decimal string, '24.00'."""
    return None if minor is None else amount_text(minor, currency)


def rounded(exact: Fraction | None, currency: Currency) -> str | None:
    """An exact amount in minor units as a decimal string of the currency's digits, half to the even."""
    return None if exact is None else amount_text(round_half_even(exact.numerator, exact.denominator), currency)


def in_major(exact: Fraction | None, currency: Currency) -> str | None:
    """An exact amount in minor units as a fraction of the currency's unit, '5/2' for 2.50."""
    if exact is None:
        return None
    part = exact / 10**currency.digits
    return f"{part.numerator}/{part.denominator}"
