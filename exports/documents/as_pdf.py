"""A document as PDF: the same bytes for the same document, on whatever day and machine it is made.

Lays out what `paper` holds and knows nothing of sales or lots. Fonts are embedded; the creation date is a fixed one.
"""

from __future__ import annotations

import io
from typing import TYPE_CHECKING, Any
from xml.sax.saxutils import escape

from exports.documents import fonts
from exports.documents.paper import Block, Document, Facts, Letterhead, Row, Table, Text, ToFill

if TYPE_CHECKING:
    from reportlab.lib.styles import ParagraphStyle
    from reportlab.platypus import Flowable

MARGIN = 56.0
"""Points; about 20 mm."""
_FOOT = 34.0
"""Points from the edge of the page to the line at its foot."""
_GREY = 0.42
_SIZES = {"title": 15.0, "heading": 11.0, "body": 9.5, "strong": 9.5, "small": 8.0}
_LOGO = (150.0, 56.0)
"""Most width and height of the logo, points."""


def as_pdf(document: Document) -> bytes:
    """The document as PDF."""
    fonts.load()
    # The number of pages is only known once they are laid out.
    _, pages = _built(document, 0)
    return _built(document, pages)[0]


def page_of(document: Document) -> tuple[float, float]:
    """Width and height of its page in points."""
    from reportlab.lib.pagesizes import A4, LETTER

    width, height = LETTER if document.language.letter_page else A4
    return (height, width) if document.landscape else (width, height)


def _built(document: Document, pages: int) -> tuple[bytes, int]:
    from reportlab.pdfgen.canvas import Canvas
    from reportlab.platypus import BaseDocTemplate, Frame, PageTemplate

    file = io.BytesIO()
    size = page_of(document)
    template = BaseDocTemplate(
        file,
        pagesize=size,
        leftMargin=MARGIN,
        rightMargin=MARGIN,
        topMargin=MARGIN,
        bottomMargin=MARGIN,
        title=fonts.printable(document.title),
        author=fonts.printable(document.head.name),
        lang=str(document.language.locale).replace("_", "-"),
        invariant=1,
        displayDocTitle=True,
        allowSplitting=1,
    )

    def foot(canvas: Canvas, made: Any) -> None:
        canvas.saveState()
        canvas.setFont(fonts.REGULAR, _SIZES["small"])
        canvas.setFillGray(_GREY)
        canvas.drawString(MARGIN, _FOOT, _cut(document.title, size[0] * 0.6))
        of = document.language.say("Page %(page)s of %(pages)s", page=made.page, pages=pages)
        canvas.drawRightString(size[0] - MARGIN, _FOOT, of)
        canvas.restoreState()

    width, height = size[0] - 2 * MARGIN, size[1] - 2 * MARGIN
    frame = Frame(MARGIN, MARGIN, width, height, leftPadding=0, rightPadding=0, topPadding=0, bottomPadding=0)
    template.addPageTemplates([PageTemplate(frames=[frame], onPage=foot)])
    template.build(_story(document, width))
    return file.getvalue(), template.page


def _cut(text: str, width: float) -> str:
    """A line that fits its place at the foot."""
    from reportlab.pdfbase.pdfmetrics import stringWidth

    line = fonts.printable(text)
    if stringWidth(line, fonts.REGULAR, _SIZES["small"]) <= width:
        return line
    while line and stringWidth(line + "…", fonts.REGULAR, _SIZES["small"]) > width:
        line = line[:-1]
    return line + "…"


def _story(document: Document, width: float) -> list[Flowable]:
    from reportlab.platypus import KeepTogether

    story = _head(document.head, width)
    waiting: list[Flowable] = []
    for block in document.blocks:
        made = _block(block, width)
        if isinstance(block, Text) and block.style == "heading":
            # A heading never stands alone at the foot of a page.
            story += waiting
            waiting = made
        elif waiting:
            story += [KeepTogether([*waiting, *made])] if not isinstance(block, Table) else [*waiting, *made]
            waiting = []
        else:
            story += made
    return story + waiting


def _head(head: Letterhead, width: float) -> list[Flowable]:
    from reportlab.platypus import HRFlowable, Image, Spacer
    from reportlab.platypus import Table as Grid

    lines: list[Flowable] = [_paragraph(head.name, "heading")] if head.name else []
    if head.lines:
        lines.append(_paragraph("\n".join(head.lines), "small"))
    made: list[Flowable] = []
    if head.logo is not None:
        picture = Image(io.BytesIO(head.logo))
        scale = min(_LOGO[0] / picture.imageWidth, _LOGO[1] / picture.imageHeight)
        picture.drawWidth, picture.drawHeight = picture.imageWidth * scale, picture.imageHeight * scale
        picture.hAlign = "RIGHT"
        cells = [[lines or "", picture]]
        grid = Grid(
            cells, colWidths=[width - _LOGO[0] - 6, _LOGO[0] + 6], style=[*_BARE, ("ALIGN", (1, 0), (1, 0), "RIGHT")]
        )
        made.append(grid)
    else:
        made += lines
    if made:
        made += [Spacer(1, 6), HRFlowable(width="100%", thickness=0.6, color=_grey(0.6), spaceAfter=4)]
    return made


def _block(block: Block, width: float) -> list[Flowable]:
    from reportlab.platypus import Spacer

    match block:
        case Text():
            return [_paragraph(block.text, block.style)] if block.text else []
        case Facts():
            return [Spacer(1, 3), _facts(block, width), Spacer(1, 5)] if block.rows else []
        case Table():
            return [_table(block, width), Spacer(1, 6)]
        case ToFill():
            return [_to_fill(block, width), Spacer(1, 10)]


def _facts(block: Facts, width: float) -> Flowable:
    from reportlab.platypus import Table as Grid

    rows = [[_paragraph(name, "name"), _paragraph(value, "cell")] for name, value in block.rows]
    names = min(max(_width(name) for name, _ in block.rows) + 14, width * 0.4)
    style = [*_BARE, ("RIGHTPADDING", (0, 0), (0, -1), 8)]
    return Grid(rows, colWidths=[names, width - names], style=style, splitInRow=1)


def _table(block: Table, width: float) -> Flowable:
    from reportlab.platypus import Table as Grid

    widths = _widths(block, width)
    rows: list[list[Any]] = [[_paragraph(c.title, "figure head" if c.figure else "head") for c in block.columns]]
    apart = 1.0 if block.dense else 2.5
    style: list[tuple[object, ...]] = [
        *_GRID,
        ("TOPPADDING", (0, 0), (-1, -1), apart),
        ("BOTTOMPADDING", (0, 0), (-1, -1), apart),
    ]
    for row in block.rows:
        rows.append(_cells(block, row))
        if row.rule:
            style.append(("LINEABOVE", (0, len(rows) - 1), (-1, len(rows) - 1), 0.6, _grey(0.2)))
    return Grid(rows, colWidths=widths, style=style, repeatRows=1, splitInRow=1)


def _cells(block: Table, row: Row) -> list[Any]:
    made: list[Any] = []
    for place, (text, column) in enumerate(zip(row.cells, block.columns, strict=True)):
        name = ("figure" if column.figure else "cell") + (" dense" if block.dense else "")
        cell: list[Flowable] = [_paragraph(text, f"{name} strong" if row.strong else name)]
        if place == block.wide:
            cell += [_paragraph(under, "under") for under in row.under]
        made.append(cell)
    return made


def _widths(block: Table, width: float) -> list[float]:
    """Figures as wide as their widest, the other columns share the rest."""
    needed = {
        place: min(
            max([_width(column.title), *(_width(row.cells[place]) for row in block.rows)]) + 10,
            width / len(block.columns) * 1.5,
        )
        for place, column in enumerate(block.columns)
        if column.figure
    }
    shares = sum(column.share for column in block.columns if not column.figure)
    left = width - sum(needed.values())
    return [needed.get(place, left * column.share / (shares or 1)) for place, column in enumerate(block.columns)]


def _to_fill(block: ToFill, width: float) -> Flowable:
    from reportlab.platypus import Table as Grid

    names = min(max(_width(name) for name in block.names) + 14, width * 0.4)
    lines = [("LINEBELOW", (1, place), (1, place), 0.5, _grey(0.4)) for place in range(len(block.names))]
    style = [*_BARE, ("VALIGN", (0, 0), (-1, -1), "BOTTOM"), *lines]
    rows = [[_paragraph(name, "cell"), ""] for name in block.names]
    grid = Grid(rows, colWidths=[names, width * 0.6 - names], rowHeights=[22] * len(rows), style=style, hAlign="LEFT")
    return grid


def _width(text: str) -> float:
    from reportlab.pdfbase.pdfmetrics import stringWidth

    widest: float = max(stringWidth(fonts.printable(line), fonts.BOLD, _SIZES["body"]) for line in text.split("\n"))
    return widest


def _paragraph(text: str, style: str) -> Flowable:
    from reportlab.platypus import Paragraph

    lines = "<br/>".join(escape(fonts.printable(line)) for line in text.split("\n"))
    return Paragraph(lines, _style(style))


def _style(name: str) -> ParagraphStyle:
    from reportlab.lib.enums import TA_RIGHT
    from reportlab.lib.styles import ParagraphStyle

    bold = name in ("title", "heading", "strong", "head", "figure head") or name.endswith(" strong")
    little = name in ("under", "head", "figure head", "name") or "dense" in name
    size = _SIZES.get(name, _SIZES["small" if little else "body"])
    return ParagraphStyle(
        name,
        fontName=fonts.BOLD if bold else fonts.REGULAR,
        fontSize=size,
        # A name stands on the same line as the larger value beside it.
        leading=(_SIZES["body"] if name == "name" else size) * 1.32,
        alignment=TA_RIGHT if name.startswith("figure") else 0,
        spaceBefore={"title": 8, "heading": 8, "strong": 4, "body": 4, "small": 4}.get(name, 0),
        spaceAfter={"title": 6, "heading": 3}.get(name, 0),
        textColor=_grey(0.3) if name in ("under", "small", "name") else _grey(0),
        splitLongWords=1,
    )


def _grey(level: float) -> object:
    from reportlab.lib.colors import Color

    return Color(level, level, level)


_BARE: list[tuple[object, ...]] = [
    ("VALIGN", (0, 0), (-1, -1), "TOP"),
    ("LEFTPADDING", (0, 0), (-1, -1), 0),
    ("RIGHTPADDING", (0, 0), (-1, -1), 0),
    ("TOPPADDING", (0, 0), (-1, -1), 1),
    ("BOTTOMPADDING", (0, 0), (-1, -1), 1),
]
_GRID: list[tuple[object, ...]] = [
    ("VALIGN", (0, 0), (-1, -1), "TOP"),
    ("LEFTPADDING", (0, 0), (0, -1), 0),
    ("LEFTPADDING", (1, 0), (-1, -1), 5),
    ("RIGHTPADDING", (0, 0), (-2, -1), 3),
    ("RIGHTPADDING", (-1, 0), (-1, -1), 0),
    ("LINEBELOW", (0, 0), (-1, 0), 0.8, (0.2, 0.2, 0.2)),
]
