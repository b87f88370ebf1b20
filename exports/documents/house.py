"""Who writes a document: the business as the settings have it, its logo, and the words every document shares."""

from __future__ import annotations

import io
import warnings
from pathlib import Path
from typing import TYPE_CHECKING

from exports.documents.language import SOURCE, Language, mark
from exports.documents.paper import Block, Letterhead, Text
from exports.documents.sentences import ENDING
from ledger.errors import BadInput
from ledger.records.settings import settings
from ledger.text import quoted

if TYPE_CHECKING:
    from ledger.ledger import Ledger

LARGEST_LOGO = 4_000_000
"""Bytes."""
_MOST_PIXELS = 16_000_000
_PICTURES = ("PNG", "JPEG")

RIGHTS = mark("Nothing written here takes away rights that the law gives the buyer.")
_ORIGINS = mark("Origins: by our records; not a certificate.")
_TRANSLATED = mark("What is said of origin is translated from our records, which are kept in English.")


class House:
    """The settings of a ledger as documents use them.

    Args:
        ledger: the ledger.
        language: code of the language to write in; None: that of the settings, else English.
        logo: whether to read the logo; a text has no use for it.

    Raises:
        BadInput: no such language, or the logo cannot be used.
    """

    def __init__(self, ledger: Ledger, language: str | None = None, *, logo: bool = True) -> None:
        known = ledger.ask(settings)
        self.language = Language(language or known["document language"] or SOURCE, known["locale"])
        self.currency = ledger.currency
        self.terms = known["terms"]
        self.registration = known["registration"]
        self.payment_details = known["payment details"]
        lines = [line for name in ("address", "contact") for line in known[name].split("\n") if line.strip()]
        picture = read_logo(Path(known["logo"]).expanduser()) if logo and known["logo"] else None
        self.head = Letterhead(known["business name"], tuple(lines), picture)

    def closing(self, *, terms: str) -> tuple[Block, ...]:
        """What stands at the end of a paper of a sale: terms, the law left alone, registration, what origins are."""
        say = self.language.say
        parts = [terms, say(RIGHTS), self.registration, say(_ORIGINS), self.translated]
        return tuple(Text(part, "small") for part in parts if part)

    @property
    def translated(self) -> str:
        """In another language than the ledger's own: that statements of origin were translated."""
        return "" if self.language.is_source else self.language.say(_TRANSLATED)

    @property
    def ending(self) -> str:
        """The last words of every statement of origin."""
        return self.language.say(ENDING)


def read_logo(path: Path) -> bytes:
    """The picture of the letterhead.

    Raises:
        BadInput: there is none, or it is no PNG or JPEG, or too large.
    """
    from PIL import Image

    advice = "set another with `setting logo PATH`, or none"
    try:
        size = path.stat().st_size
        content = path.read_bytes() if size <= LARGEST_LOGO else b""
    except OSError as error:
        raise BadInput(f"The logo {quoted(str(path))} cannot be read ({error.strerror}); {advice}.", "logo") from None
    if not content:
        raise BadInput(f"The logo {quoted(str(path))} is empty or larger than 4 MB; {advice}.", "logo")
    try:
        with warnings.catch_warnings():
            # Its size is looked at below.
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)
            with Image.open(io.BytesIO(content), formats=_PICTURES) as picture:
                width, height = picture.size
                if width * height <= _MOST_PIXELS:
                    picture.load()
    except (OSError, SyntaxError, ValueError, Image.DecompressionBombError):
        raise BadInput(f"The logo {quoted(str(path))} is no PNG or JPEG that can be read; {advice}.", "logo") from None
    if width * height > _MOST_PIXELS:
        raise BadInput(f"The logo {quoted(str(path))} is larger than 16 million points; {advice}.", "logo")
    return content
