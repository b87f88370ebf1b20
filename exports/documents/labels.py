"""Labels for tubs: a QR code of the lot's own code, the code to read, and what animals they are.

The QR code (ISO/IEC 18004) holds nothing but what stands beside it, 'P08' or 'P08/07', so a scanner types it like a
keyboard. Laid out in millimetres; what does not fit a label is left out from its end, the code never.
"""

from __future__ import annotations

import datetime as dt
import io
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from exports.documents import fonts
from exports.documents.language import Language
from exports.documents.recorded import origin_label
from exports.documents.sheets import Sheet
from ledger.errors import BadInput, NotFound
from ledger.origin.rules import label as origin_words
from ledger.origin.service import origins_of
from ledger.stock.queries import find_lot, lot_rows
from ledger.stock.words import place, tub_order
from ledger.text import quoted

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

    from ledger.ledger import Ledger

LEAST_MODULE = 0.4
"""Millimetres of one square of a QR code: a margin of safety of our own, no source."""
_MOST_MODULE = 0.9
_QUIET = 4
"""Squares left white around a QR code (ISO/IEC 18004)."""
_EDGE = 1.2
"""Millimetres kept free inside a label."""
_CODE_SIZE, _LINE_SIZE, _LEAST_SIZE = 18.0, 8.0, 5.0
"""Points."""
MOST = 2000
"""Labels of one file."""


@dataclass(frozen=True, slots=True)
class Label:
    """What stands on one label."""

    code: str
    lines: tuple[str, ...]


def labels(ledger: Ledger, wanted: Sequence[str], language: Language, *, tubs: bool = False) -> tuple[Label, ...]:
    """Labels of lots and tubs.

    Args:
        ledger: the ledger.
        wanted: 'P08' for a lot, 'P08/07' for a tub; none: every lot with animals.
        language: of what stands on them.
        tubs: one for each labelled tub of a lot, in place of one for the lot.

    Raises:
        NotFound: no such lot or tub.
    """
    rows = {row.code: row for row in ledger.ask(lot_rows, ledger.today, today=ledger.today, empty=True)}
    here = ledger.stock()
    inside: dict[str, set[str]] = {}
    for holding in here:
        inside.setdefault(holding.lot, set()).add(holding.tub)
    asked: list[tuple[str, str]] = []
    for text in wanted or sorted({row.lot for row in here}):
        code, slash, tub = text.strip().upper().partition("/")
        code = ledger.ask(find_lot, code).code
        known = inside.get(code, set()) - {""}
        if slash and tub not in known:
            raise NotFound(f"{code} has no tub {quoted(tub)} with animals; look at its tubs with `stock --lot`.", "lot")
        if tubs and known and not slash:
            asked += [(code, one) for one in sorted(known, key=tub_order)]
        else:
            asked.append((code, tub))
    names = {row.id: (row.common, row.scientific) for row in ledger.species()}
    origins = ledger.ask(origins_of, [rows[code].lot_id for code, _ in asked])
    made = []
    for code, tub in asked:
        row = rows[code]
        common, scientific = names[row.species_id]
        lines = (
            common or scientific,
            scientific if common else "",
            origin_label(origin_words(origins[row.lot_id]), language),
            _since(row.started_from, row.started_on, language),
            row.line,
        )
        made.append(Label(place(code, tub), tuple(line for line in lines if line)))
    return tuple(made)


def _since(first: dt.date, last: dt.date, language: Language) -> str:
    if first == last:
        return language.say("started %(day)s", day=language.short_day(last))
    days = {"first": language.short_day(first), "last": language.short_day(last)}
    return language.say("started %(first)s to %(last)s", **days)


def labels_text(made: Sequence[Label]) -> str:
    """The labels as text, one block each."""
    return "\n".join("\n".join((one.code, *(f"  {line}" for line in one.lines))) + "\n" for one in made)


def labels_pdf(
    made: Sequence[Label],
    sheet: Sheet,
    language: Language,
    *,
    start: int = 1,
    shift: tuple[float, float] = (0.0, 0.0),
    outline: bool = False,
) -> bytes:
    """Labels on sheets, to be printed at 100 %, without scaling.

    Args:
        made: the labels.
        sheet: what they are printed on.
        language: of the document's title.
        start: place of the first label on the first sheet, from 1: those before it are used up.
        shift: mm to the right and down, for a printer that is off.
        outline: draw the edges of every label, to hold a print against a sheet.

    Raises:
        BadInput: there is no such place, too many labels, or a code that does not fit.
    """
    from reportlab.lib.units import mm
    from reportlab.pdfgen.canvas import Canvas

    if not 1 <= start <= sheet.per_page:
        raise BadInput(f"This sheet has {sheet.per_page} labels; start at one from 1 to {sheet.per_page}.", "start")
    if len(made) > MOST:
        raise BadInput(f"{len(made)} labels are more than the {MOST} of one file; name fewer lots.", "lots")
    fonts.load()
    file = io.BytesIO()
    size = (sheet.page[0] * mm, sheet.page[1] * mm)
    canvas = Canvas(file, pagesize=size, invariant=1, lang=str(language.locale).replace("_", "-"))
    canvas.setTitle(language.say("Labels"))
    last = start - 1 + len(made)
    for number in range(0, max(last, 1), sheet.per_page):
        if outline:
            _outline(canvas, sheet, shift)
        for at in range(max(number, start - 1), min(number + sheet.per_page, last)):
            left, top = sheet.place(at - number)
            _draw(canvas, made[at - start + 1], sheet, left + shift[0], top + shift[1])
        canvas.showPage()
    canvas.save()
    return file.getvalue()


def _outline(canvas: Canvas, sheet: Sheet, shift: tuple[float, float]) -> None:
    from reportlab.lib.units import mm

    canvas.setLineWidth(0.25)
    canvas.setStrokeGray(0)
    for number in range(sheet.per_page):
        left, top = sheet.place(number)
        width, height = sheet.label
        bottom = sheet.page[1] - top - shift[1] - height
        canvas.rect((left + shift[0]) * mm, bottom * mm, width * mm, height * mm)


def _draw(canvas: Canvas, one: Label, sheet: Sheet, left: float, top: float) -> None:
    """One label with its top left corner at a place of the page, in mm."""
    from reportlab.lib.units import mm

    width, height = sheet.label
    bottom = sheet.page[1] - top - height
    canvas.saveState()
    clip = canvas.beginPath()
    clip.rect(left * mm, bottom * mm, width * mm, height * mm)
    canvas.clipPath(clip, stroke=0, fill=0)
    side = _qr(canvas, one.code, left, bottom, width, height)
    _words(canvas, one, left + side + 0.4, bottom + _EDGE, width - side - 0.4 - _EDGE, height - 2 * _EDGE)
    canvas.restoreState()


def _qr(canvas: Canvas, code: str, left: float, bottom: float, width: float, height: float) -> float:
    """Draw the code at the left of a label; gives the width it takes with its white edge, mm."""
    import segno
    from reportlab.lib.units import mm

    matrix = segno.make_qr(code, error="m").matrix
    squares = len(matrix) + 2 * _QUIET
    module = min(_MOST_MODULE, (height - 0.4) / squares, width * 0.55 / squares)
    if module < LEAST_MODULE:
        raise BadInput(
            f"The QR code of {code} would be too fine to read on a label of {width:g}x{height:g} mm; choose a larger "
            "one.",
            "sheet",
            {"code": code},
        )
    side = squares * module
    low = bottom + (height - side) / 2
    canvas.setFillGray(0)
    for row, line in enumerate(matrix):
        y = low + (squares - _QUIET - row - 1) * module
        for first, length in _runs(line):
            x = left + (_QUIET + first) * module
            canvas.rect(x * mm, y * mm, length * module * mm, module * mm, stroke=0, fill=1)
    return side


def _runs(line: Sequence[int]) -> list[tuple[int, int]]:
    """(first, length) of each unbroken run of dark squares: drawn as one, no hairline parts them."""
    found: list[tuple[int, int]] = []
    for at, dark in enumerate(line):
        if not dark:
            continue
        if found and sum(found[-1]) == at:
            found[-1] = (found[-1][0], found[-1][1] + 1)
        else:
            found.append((at, 1))
    return found


def _words(canvas: Canvas, one: Label, left: float, bottom: float, width: float, height: float) -> None:
    """The code as large as fits, then lines as long as there is room, from the top."""
    from reportlab.lib.units import mm
    from reportlab.lib.utils import simpleSplit
    from reportlab.pdfbase.pdfmetrics import stringWidth

    room = width * mm
    size = min(_CODE_SIZE, _CODE_SIZE * room / stringWidth(one.code, fonts.BOLD, _CODE_SIZE), height * mm * 0.3)
    y = (bottom + height) * mm - size * 0.8
    canvas.setFillGray(0)
    canvas.setFont(fonts.BOLD, size)
    canvas.drawString(left * mm, y, one.code)
    y -= size * 0.25
    line_size = max(_LEAST_SIZE, min(_LINE_SIZE, height * mm / 10.5))
    for place_of, line in enumerate(one.lines):
        font = fonts.BOLD if place_of == 0 else fonts.REGULAR
        parts = simpleSplit(fonts.printable(line), font, line_size, room)
        if y - len(parts) * line_size * 1.2 < bottom * mm and place_of:
            break
        canvas.setFont(font, line_size)
        for part in parts:
            y -= line_size * 1.2
            if y < bottom * mm - 0.1:
                return
            canvas.drawString(left * mm, y, _cut(part, font, line_size, room))


def _cut(text: str, font: str, size: float, room: float) -> str:
    """A word longer than its place ends with a mark."""
    from reportlab.pdfbase.pdfmetrics import stringWidth

    if stringWidth(text, font, size) <= room:
        return text
    while text and stringWidth(text + "…", font, size) > room:
        text = text[:-1]
    return text + "…"
