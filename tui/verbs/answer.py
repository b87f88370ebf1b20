"""Writing answers: lists as text, JSON or spreadsheet CSV, and what was recorded.

Text is aligned by terminal cells and never steers a terminal; JSON is plain ASCII, so that nothing in it can. Knows
no query: whoever calls says which columns a row has.
"""

from __future__ import annotations

import datetime as dt
import json
import os
import re
import stat
import sys
import textwrap
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import TYPE_CHECKING, Generic, TypeVar

from ledger.days import long_day
from ledger.money import Currency, amount_text, round_half_even
from ledger.text import show

if TYPE_CHECKING:
    from ledger.act import Done

R = TypeVar("R")
Json = None | bool | int | float | str | Sequence["Json"] | Mapping[str, "Json"]

NONE = "–"
"""Where there is no figure."""
_STORED_DAY = re.compile(r"(?<![\w-])\d{4}-\d{2}-\d{2}(?![\w-])")


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


def write_rows(rows: Sequence[R], columns: Sequence[Column[R]], form: str, *, none: str, hint: str = "") -> None:
    """Write a list.

    Args:
        rows: what is listed.
        columns: in order.
        form: text, json or csv.
        none: the sentence that stands in text for an empty list.
        hint: what to type next; shown beside it to a person only, never into a pipe.
    """
    if form == "json":
        write_json([{column.key: column.value(row) for column in columns} for row in rows])
    elif form == "csv":
        _write_csv(rows, columns)
    elif not rows:
        say(none)
        if hint and sys.stdout.isatty():
            say(hint)
    else:
        for line in table([column for column in columns if column.listed], rows):
            write(line + "\n")


def write_json(value: Json) -> None:
    """Write a value as JSON; every character outside ASCII is escaped."""
    write(json.dumps(value, indent=2) + "\n")


class NotWritten(Exception):
    """The answer could not be written out; what was recorded stands."""


def write(text: str) -> None:
    """Write text to standard output.

    Raises:
        BrokenPipeError: nobody reads it any more.
        NotWritten: it cannot be written, as when the disk is full.
    """
    with written():
        sys.stdout.write(text)


@contextmanager
def written() -> Iterator[None]:
    """Whatever goes wrong in writing out is no fault of the program."""
    try:
        yield
    except BrokenPipeError:
        raise
    except OSError as error:
        raise NotWritten(f"The answer cannot be written out ({error.strerror}); what was recorded stands.") from error


def say(text: str) -> None:
    """Write one line."""
    write(show(text) + "\n")


def say_wrapped(text: str, width: int) -> None:
    """Write one line, broken between words where it is longer than `width`; its indent stays."""
    indent = text[: len(text) - len(text.lstrip())]
    for line in textwrap.wrap(text.strip(), max(width, 20), initial_indent=indent, subsequent_indent=indent) or [""]:
        say(line)


def done(answer: Done, form: str, *, number: str = "") -> int:
    """Write what was recorded, then what to know about it; gives the exit status.

    Args:
        answer: of the ledger.
        form: text or json.
        number: name of the reference by which it is taken up later, if the sentence does not say it.
    """
    if form == "json":
        write_json(as_json(answer))
        return 0
    say(answer.sentence)
    if number:
        say(f"Its number is {answer.refs[number]}.")
    for caution in answer.cautions:
        say(f"Caution: {caution}")
    return 0


def as_json(answer: Done) -> Json:
    """What was recorded, for a script."""
    return {"sentence": answer.sentence, "refs": dict(answer.refs), "cautions": list(answer.cautions)}


def in_long_days(sentence: str) -> str:
    """A sentence with its days written out, 2025-03-12 as 12 March 2025; what is no day stays as it is."""

    def said(found: re.Match[str]) -> str:
        try:
            return long_day(dt.date.fromisoformat(found[0]))
        except ValueError:
            return found[0]

    return _STORED_DAY.sub(said, sentence)


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
    """CSV for a spreadsheet on standard output, in UTF-8 whatever the terminal's.

    A file that it goes into begins with a byte order mark, by which spreadsheets know UTF-8; a pipe does not.
    """
    from exports.spreadsheet_csv import spreadsheet_csv

    header = [column.key for column in columns]
    table = spreadsheet_csv(header, ([_csv_cell(column, column.value(row)) for column in columns] for row in rows))
    with written():
        sys.stdout.flush()
        begins_file = stat.S_ISREG(_mode_of_output()) and sys.stdout.buffer.tell() == 0
        sys.stdout.buffer.write(table.encode("utf-8-sig" if begins_file else "utf-8", "replace"))
        sys.stdout.buffer.flush()


def _mode_of_output() -> int:
    """What standard output is; 0: nothing of the system's, as in a test."""
    try:
        return os.fstat(sys.stdout.fileno()).st_mode
    except (OSError, ValueError):
        return 0


def _csv_cell(column: Column[R], value: Json) -> str | int | Decimal | None:
    """A value as a CSV cell: figures as numbers, and no line of text that is not one."""
    if value is None or (isinstance(value, int) and not isinstance(value, bool)):
        return value
    if isinstance(value, float) or (column.figure and isinstance(value, str)):
        return Decimal(str(value))
    return show(in_words(value))


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
