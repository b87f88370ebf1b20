"""A document as plain text, for a message, a screen reader or a printer of its own. Knows no PDF."""

from __future__ import annotations

import textwrap
import unicodedata
from collections.abc import Iterator, Sequence
from itertools import zip_longest

from exports.documents.paper import Block, Document, Facts, Row, Table, Text, ToFill
from ledger.text import show

WIDTH = 78
WIDE = 118
"""Characters of a line of a document that lies across the page."""
_GAP = "  "
_LEAST = 6
"""Least width of a column of text."""


def as_text(document: Document) -> str:
    """The document as lines of at most `WIDTH` cells (`WIDE` if it lies across), ending with a line feed."""
    width = WIDE if document.landscape else WIDTH
    out = [line for text in (document.head.name, *document.head.lines) if text for line in _wrapped(text, width)]
    small_before = False
    for block in document.blocks:
        small = isinstance(block, Text) and block.style == "small"
        if out and not (small and small_before):
            out.append("")
        out += _block(block, width)
        small_before = small
    return "\n".join(line.rstrip() for line in out) + "\n"


def _block(block: Block, width: int) -> Iterator[str]:
    match block:
        case Text(style="title"):
            yield from _wrapped(block.text, width)
            yield "=" * min(width, max(cells(line) for line in _wrapped(block.text, width)))
        case Text(style="heading"):
            yield from _wrapped(block.text, width)
            yield "-" * min(width, max(cells(line) for line in _wrapped(block.text, width)))
        case Text():
            yield from _wrapped(block.text, width)
        case Facts():
            longest = min(max((cells(name) for name, _ in block.rows), default=0) + 1, width // 2)
            for name, value in block.rows:
                names, values = _wrapped(f"{name}:", longest), _wrapped(value, width - longest - 1)
                for left, right in zip_longest(names, values, fillvalue=""):
                    yield f"{_padded(left, longest)} {right}"
        case Table():
            yield from _table(block, width)
        case ToFill():
            longest = min(max(cells(name) for name in block.names), width // 2)
            for name in block.names:
                *above, last = _wrapped(name, longest)
                yield from above
                yield f"{_padded(last, longest)} {'_' * min(30, width - longest - 1)}"


def _table(table: Table, width: int) -> Iterator[str]:
    widths = _widths(table, width)
    yield from _row(table, [column.title for column in table.columns], widths)
    yield "-" * (sum(widths) + len(_GAP) * (len(widths) - 1))
    for row in table.rows:
        if row.rule:
            yield "-" * (sum(widths) + len(_GAP) * (len(widths) - 1))
        yield from _row(table, row.cells, widths)
        yield from _under(row, width)


def _under(row: Row, width: int) -> Iterator[str]:
    for text in row.under:
        yield from (f"    {line}" for line in _wrapped(text, width - 4))


def _row(table: Table, row: Sequence[str], widths: Sequence[int]) -> Iterator[str]:
    parts = [_wrapped(text, most) for text, most in zip(row, widths, strict=True)]
    for number in range(max(len(part) for part in parts)):
        line = []
        for column, part, most in zip(table.columns, parts, widths, strict=True):
            text = part[number] if number < len(part) else ""
            gap = " " * (most - cells(text))
            line.append(gap + text if column.figure else text + gap)
        yield _GAP.join(line)


def _widths(table: Table, width: int) -> list[int]:
    """As wide as the widest cell where all fit; else figures whole, and the rest shares what is left."""
    longest = [
        max([cells(column.title), *(max(map(cells, row.cells[place].split("\n"))) for row in table.rows)])
        for place, column in enumerate(table.columns)
    ]
    room = width - len(_GAP) * (len(longest) - 1)
    if sum(longest) <= room:
        return longest
    widths = [want if column.figure else 0 for want, column in zip(longest, table.columns, strict=True)]
    open_ones = [place for place, column in enumerate(table.columns) if not column.figure]
    while open_ones:
        left = room - sum(widths)
        shares = sum(table.columns[place].share for place in open_ones)
        fitting = [place for place in open_ones if longest[place] * shares <= left * table.columns[place].share]
        if not fitting:
            for place in open_ones:
                widths[place] = max(_LEAST, left * table.columns[place].share // shares)
            break
        for place in fitting:
            widths[place] = longest[place]
        open_ones = [place for place in open_ones if place not in fitting]
    return widths


def _wrapped(text: str, width: int) -> list[str]:
    """Lines of at most `width` cells, at least one; a word that is too long is broken."""
    lines: list[str] = []
    for part in text.split("\n"):
        wanted = show(part)
        if cells(wanted) == len(wanted):
            lines += textwrap.wrap(wanted, max(width, 1), break_on_hyphens=False) or [""]
        else:
            lines += _wrapped_wide(wanted, max(width, 2))
    return lines


def _wrapped_wide(text: str, width: int) -> list[str]:
    """The same for text with characters two cells wide, or none."""
    lines = [""]
    for word in text.split():
        rest = word
        if lines[-1] and cells(lines[-1]) + 1 + cells(rest) > width:
            lines.append("")
        lines[-1] += " " if lines[-1] else ""
        for letter in rest:
            if cells(lines[-1]) + cells(letter) > width:
                lines.append("")
            lines[-1] += letter
    return lines


def _padded(text: str, width: int) -> str:
    return text + " " * (width - cells(text))


def cells(text: str) -> int:
    """Cells of a terminal that a text takes (UAX #11: wide and full-width letters take two, combining marks none)."""
    if text.isascii():
        return len(text)
    return sum(
        0
        if unicodedata.category(letter) in ("Mn", "Me", "Cf")
        else 2
        if unicodedata.east_asian_width(letter) in "WF"
        else 1
        for letter in text
    )
