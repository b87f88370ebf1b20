"""Sheets of labels, measured in millimetres: a few common ones, and any other as the keeper describes it.

The figures are those that makers print on common sheets, rounded as they print them; measure yours, shift if needed.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from ledger.errors import BadInput
from ledger.text import quoted
from ledger.wording import decimals, say

EXAMPLE = "210x297 3x8 70x37 0,0.5 70,37"
_NUMBER = r"\d{1,4}(?:\.\d{1,2})?"
_SPEC = re.compile(
    rf"({_NUMBER})x({_NUMBER}) (\d{{1,2}})x(\d{{1,2}}) ({_NUMBER})x({_NUMBER}) ({_NUMBER}),({_NUMBER}) "
    rf"({_NUMBER}),({_NUMBER})"
)
_LEAST = (18.0, 10.0)
"""Smallest label, mm: common practice, no source."""
_LARGEST_PAGE = 1000.0
_TOLERANCE = 0.06
"""Millimetres by which the rounded figures of a sheet may exceed its page."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """A page of labels; everything in millimetres."""

    page: tuple[float, float]
    across: int
    down: int
    label: tuple[float, float]
    corner: tuple[float, float]
    """Left and top edge of the first label, from the corner of the page."""
    step: tuple[float, float]
    """From one label to the next, right and down."""

    @property
    def per_page(self) -> int:
        """Labels on a page."""
        return self.across * self.down

    def place(self, number: int) -> tuple[float, float]:
        """Left and top edge of label `number` of a page, from 0, row by row."""
        row, column = divmod(number, self.across)
        return self.corner[0] + column * self.step[0], self.corner[1] + row * self.step[1]


A4, LETTER = (210.0, 297.0), (215.9, 279.4)
SHEETS = {
    "a4 3x8": Sheet(A4, 3, 8, (70, 37), (0, 0.5), (70, 37)),
    "a4 3x7": Sheet(A4, 3, 7, (63.5, 38.1), (7.25, 15.15), (66, 38.1)),
    "a4 2x7": Sheet(A4, 2, 7, (99.1, 38.1), (4.65, 15.15), (101.6, 38.1)),
    "a4 5x13": Sheet(A4, 5, 13, (38.1, 21.2), (4.75, 10.7), (40.6, 21.2)),
    "letter 3x10": Sheet(LETTER, 3, 10, (66.7, 25.4), (4.8, 12.7), (69.85, 25.4)),
    "letter 2x5": Sheet(LETTER, 2, 5, (101.6, 50.8), (4.0, 12.7), (106.4, 50.8)),
    "roll 57x32": Sheet((57, 32), 1, 1, (57, 32), (0, 0), (57, 32)),
    "roll 102x152": Sheet((102, 152), 1, 1, (102, 152), (0, 0), (102, 152)),
}
USUAL = "a4 3x8"


def read_sheet(text: str) -> Sheet:
    """A sheet by its name, or as described: 210x297 3x8 70x37 0,0.5 70,37.

    Raises:
        BadInput: it is neither, or its labels do not fit its page.
    """
    typed = " ".join(text.lower().split())
    if typed in SHEETS:
        return SHEETS[typed]
    found = _SPEC.fullmatch(typed)
    if found is None:
        raise BadInput(
            say(
                "{typed} is no sheet of labels; choose {known}, or describe one in mm: {example} (page, labels across "
                "x down, label, left and top edge, step right and down).",
                typed=quoted(text),
                known=", ".join(SHEETS),
                example=EXAMPLE,
            ),
            "sheet",
        )
    numbers = [float(part) for part in found.groups()]
    sheet = Sheet(
        (numbers[0], numbers[1]),
        int(found[3]),
        int(found[4]),
        (numbers[4], numbers[5]),
        (numbers[6], numbers[7]),
        (numbers[8], numbers[9]),
    )
    _check(sheet, text)
    return sheet


def read_shift(text: str) -> tuple[float, float]:
    """How far the print is to move, right and down in mm: '0.5,-1'.

    Raises:
        BadInput: it is no such pair, or more than 20 mm.
    """
    found = re.fullmatch(r"\s*([-+]?\d{1,2}(?:\.\d{1,2})?)\s*,\s*([-+]?\d{1,2}(?:\.\d{1,2})?)\s*", text)
    if found is None or max(abs(float(found[1])), abs(float(found[2]))) > 20:
        raise BadInput(
            say("{typed} is no shift; write mm to the right and down, such as 0.5,-1, at most 20.", typed=quoted(text)),
            "shift",
        )
    return float(found[1]), float(found[2])


def _check(sheet: Sheet, text: str) -> None:
    if not sheet.across or not sheet.down:
        raise BadInput(
            say("{typed} has no labels on it; write how many across and down, such as 3x8.", typed=quoted(text)),
            "sheet",
        )
    if max(sheet.page) > _LARGEST_PAGE or sheet.label[0] < _LEAST[0] or sheet.label[1] < _LEAST[1]:
        raise BadInput(
            say(
                "{typed}: a label is at least {least} mm and a page at most {most} mm; check the figures.",
                typed=quoted(text),
                least=f"{_LEAST[0]:.0f}x{_LEAST[1]:.0f}",
                most=f"{_LARGEST_PAGE:.0f}",
            ),
            "sheet",
        )
    across, down = say("across{sheet}", sheet=""), say("down{sheet}", sheet="")
    for axis, count, name in ((0, sheet.across, across), (1, sheet.down, down)):
        if count > 1 and sheet.step[axis] < sheet.label[axis]:
            raise BadInput(
                say(
                    "{typed}: the labels overlap {way}; the step is smaller than the label.",
                    typed=quoted(text),
                    way=name,
                ),
                "sheet",
            )
        reach = sheet.corner[axis] + (count - 1) * sheet.step[axis] + sheet.label[axis]
        if reach > sheet.page[axis] + _TOLERANCE:
            raise BadInput(
                say(
                    "{typed}: {count} labels {way} reach {reach} mm and the page has {page}; check the figures.",
                    typed=quoted(text),
                    count=count,
                    way=name,
                    reach=decimals(f"{reach:g}"),
                    page=decimals(f"{sheet.page[axis]:g}"),
                ),
                "sheet",
            )
