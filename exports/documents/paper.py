"""A document as plain values: what stands on it and in which order, before it is laid out as PDF or text.

Both layouts render the same values, so that a PDF and a text never say different things.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal

from exports.documents.language import Language

Style = Literal["title", "heading", "body", "strong", "small"]


@dataclass(frozen=True, slots=True)
class Text:
    """A paragraph; line feeds in it are kept."""

    text: str
    style: Style = "body"


@dataclass(frozen=True, slots=True)
class Facts:
    """Names and their values, one a line; a value may have several lines."""

    rows: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a table."""

    title: str
    share: int
    """Of the width, beside the other columns' shares."""
    figure: bool = False
    """Stands at the right."""


@dataclass(frozen=True, slots=True)
class Row:
    """One row: a cell for each column, and what is said beneath in small type."""

    cells: tuple[str, ...]
    under: tuple[str, ...] = ()
    strong: bool = False
    rule: bool = False
    """A line above it, as before a total."""


@dataclass(frozen=True, slots=True)
class Table:
    """Rows below headings that are repeated on each page."""

    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    wide: int = 0
    """The column beneath whose text `under` stands."""
    dense: bool = False
    """Many short rows: smaller type, closer together."""


@dataclass(frozen=True, slots=True)
class ToFill:
    """Lines to be filled in by hand, each with its name."""

    names: tuple[str, ...]


Block = Text | Facts | Table | ToFill


@dataclass(frozen=True, slots=True)
class Letterhead:
    """Who writes."""

    name: str
    lines: tuple[str, ...] = ()
    logo: bytes | None = field(default=None, repr=False)
    """A picture, PNG or JPEG."""


@dataclass(frozen=True, slots=True)
class Document:
    """A document ready to be laid out."""

    stem: str
    """Of its file's name: 'receipt-s-2025-0014'."""
    title: str
    language: Language
    head: Letterhead
    blocks: tuple[Block, ...]
    cautions: tuple[str, ...] = ()
    """What the keeper should know before handing it on; not printed."""
    landscape: bool = False


def texts_of(document: Document) -> Sequence[str]:
    """Every text of a document as it will be printed."""
    found = [document.title, document.head.name, *document.head.lines]
    for block in document.blocks:
        match block:
            case Text():
                found.append(block.text)
            case Facts():
                found += [part for row in block.rows for part in row]
            case Table():
                found += [column.title for column in block.columns]
                found += [text for row in block.rows for text in (*row.cells, *row.under)]
            case ToFill():
                found += block.names
    return found
