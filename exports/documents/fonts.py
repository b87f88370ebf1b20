"""The font that documents are printed in, and what it cannot print.

DejaVu Sans lies in the package with its licence beside it (`fonts/`). Texts are printed letter by letter in the order
they are stored: a script that runs from right to left or joins its letters is warned of.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable
from functools import cache
from importlib.resources import as_file, files

from ledger.text import show

REGULAR = "DejaVuSans"
BOLD = "DejaVuSans-Bold"
REPLACEMENT = "\ufffd"
_NAMED = 6
"""Characters named in a caution before the rest is only counted."""
_RIGHT_TO_LEFT = frozenset({"R", "AL", "AN"})


@cache
def load() -> frozenset[int]:
    """Make the font known to the PDF library.

    Returns:
        The code points it can print, regular and bold alike.
    """
    from reportlab.pdfbase.pdfmetrics import registerFont, registerFontFamily
    from reportlab.pdfbase.ttfonts import TTFont

    known: set[int] | None = None
    for name in (REGULAR, BOLD):
        with as_file(files(__package__).joinpath("fonts", f"{name}.ttf")) as path:
            font = TTFont(name, str(path))
        registerFont(font)
        inside = set(font.face.charToGlyph)
        known = inside if known is None else known & inside
    registerFontFamily(REGULAR, normal=REGULAR, bold=BOLD, italic=REGULAR, boldItalic=BOLD)
    return frozenset(known or ())


def printable(text: str) -> str:
    """One line of text as it can be printed; what the font lacks becomes a mark."""
    harmless = show(text)
    if harmless.isascii():
        return harmless
    known = load()
    return "".join(letter if ord(letter) in known else REPLACEMENT for letter in harmless)


def cautions(texts: Iterable[str]) -> tuple[str, ...]:
    """What cannot be printed as it is written, in a sentence for the keeper each."""
    known = load()
    letters = {letter for text in texts for letter in text if not letter.isascii()}
    missing = sorted(letter for letter in letters if ord(letter) not in known)
    found = []
    if missing:
        named = ", ".join(_name(letter) for letter in missing[:_NAMED])
        more = f" and {len(missing) - _NAMED} more" if len(missing) > _NAMED else ""
        found.append(
            f"The PDF cannot print {named}{more}: a mark stands there instead; the same document as text has them."
        )
    if any(unicodedata.bidirectional(letter) in _RIGHT_TO_LEFT for letter in letters):
        found.append(
            "A script that runs from right to left is printed letter by letter from left to right, unjoined: check the "
            "PDF before you hand it on, or use the same document as text."
        )
    return tuple(found)


def _name(letter: str) -> str:
    return f"U+{ord(letter):04X} ({unicodedata.name(letter, 'unnamed').lower()})"
