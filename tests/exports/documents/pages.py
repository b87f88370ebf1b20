"""Looking at a PDF in a test: its text, its pages as pictures, and what a scanner reads on them."""

from __future__ import annotations

from contextlib import closing
from dataclasses import dataclass
from typing import Any

import numpy as np
import pypdfium2
import zxingcpp

DPI = 600
MM = DPI / 25.4
"""Points of the picture to a millimetre."""
Grey = np.ndarray[Any, Any]
"""A page as grey values, 0 is black: rows from the top."""


def text_of(pdf: bytes) -> str:
    """All text of a PDF, spaces and line ends made one space."""
    with closing(pypdfium2.PdfDocument(pdf)) as document:
        found = []
        for page in document:
            with closing(page), closing(page.get_textpage()) as text:
                found.append(text.get_text_bounded())
        return " ".join(" ".join(found).split())


def page_count(pdf: bytes) -> int:
    """How many pages it has."""
    with closing(pypdfium2.PdfDocument(pdf)) as document:
        return len(document)


def page_size_mm(pdf: bytes) -> tuple[float, float]:
    """Width and height of its first page."""
    with closing(pypdfium2.PdfDocument(pdf)) as document:
        width, height = document.get_page_size(0)
    return width * 25.4 / 72, height * 25.4 / 72


def picture(pdf: bytes, number: int = 0, dpi: int = DPI) -> Grey:
    """A page as grey values, 0 is black: rows from the top."""
    with closing(pypdfium2.PdfDocument(pdf)) as document, closing(document[number]) as page:
        return np.asarray(page.render(scale=dpi / 72, grayscale=True).to_numpy()).squeeze()


@dataclass(frozen=True, slots=True)
class Code:
    """A code read on a page."""

    text: str
    left: float
    top: float
    right: float
    bottom: float
    """Millimetres from the corner of the page."""


def codes(grey: Grey, dpi: int = DPI) -> list[Code]:
    """Every QR code on a page, row by row."""
    mm = dpi / 25.4
    found = []
    for one in zxingcpp.read_barcodes(grey, formats=zxingcpp.BarcodeFormat.QRCode):
        corners = one.position
        points = [corners.top_left, corners.top_right, corners.bottom_left, corners.bottom_right]
        xs, ys = [point.x / mm for point in points], [point.y / mm for point in points]
        found.append(Code(one.text, min(xs), min(ys), max(xs), max(ys)))
    return sorted(found, key=lambda code: (round(code.top), code.left))


def ink_box(grey: Grey, box: tuple[float, float, float, float]) -> tuple[float, float, float, float]:
    """Left, top, right and bottom of what is printed inside a box, mm; the box itself in mm."""
    left, top, right, bottom = (round(side * MM) for side in box)
    dark = grey[max(top, 0) : bottom, max(left, 0) : right] < 128
    rows, columns = np.flatnonzero(dark.any(axis=1)), np.flatnonzero(dark.any(axis=0))
    return (
        (max(left, 0) + columns[0]) / MM,
        (max(top, 0) + rows[0]) / MM,
        (max(left, 0) + columns[-1] + 1) / MM,
        (max(top, 0) + rows[-1] + 1) / MM,
    )
