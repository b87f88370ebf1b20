"""Text from people: made clean on the way in, made harmless on the way out.

Every word that enters the books passes `clean` (or `clean_block`, `clean_code`); every word that leaves for a
screen passes `show`. Rules after Unicode: normal form C (UAX #15), general categories (UAX #44),
bidirectional controls (UAX #9).
"""

import re
import unicodedata

from ledger.errors import BadInput
from ledger.wording import counted, say, word

CODE_LIMIT = 20
"""Most characters in a lot or tub code."""

# The twelve characters of the Bidi_Control property, which can make a line read otherwise than it is stored.
_BIDI = frozenset("\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
_BYTE_ORDER_MARK = "\ufeff"
_REFUSED_CATEGORIES = frozenset({"Cc", "Cs", "Co", "Cn", "Zl", "Zp"})
_CODE = re.compile(r"[A-Z0-9](?:[A-Z0-9.-]*[A-Z0-9])?")
# Names that some systems keep for devices, with or without an extension.
_DEVICE_NAMES = frozenset(
    ["con", "prn", "aux", "nul", *(f"{port}{n}" for port in ("com", "lpt") for n in "0123456789")]
)
_FILE_NAME_LIMIT = 80


def clean(text: str, *, limit: int, field: str) -> str:
    """Return one line of text fit to store: normal form C, ends stripped, at most `limit` characters.

    Raises BadInput for control, unassigned, private-use or surrogate characters, line and paragraph
    separators, bidirectional controls and the byte order mark, and for text that is too long; nothing is
    silently dropped. The zero-width joiner stays, since emoji and several scripts need it. Empty text is
    returned as empty.
    """
    if not text:
        return ""
    bare = text.strip(" \t\r\n")
    # Most words are plain ASCII, whose printable characters are all kept and all in normal form.
    if len(bare) <= limit and bare.isascii() and bare.isprintable():
        return bare
    return _clean(bare, allowed="", limit=limit, field=field)


def clean_block(text: str, *, limit: int, field: str) -> str:
    """Return a note of several lines fit to store: as `clean`, but line ends stay, each as a line feed."""
    if text.isascii() and text.isprintable() and len(text) <= limit:
        return text.strip()
    lines = text.replace("\r\n", "\n").replace("\r", "\n")
    return _clean(lines.strip(" \t\n"), allowed="\n", limit=limit, field=field)


def _clean(text: str, *, allowed: str, limit: int, field: str) -> str:
    plain = text.isascii() and text.isprintable()
    normal = text if plain else unicodedata.normalize("NFC", text)
    for position, character in enumerate("" if plain else normal, start=1):
        if character not in allowed and _is_refused(character):
            raise BadInput(
                say(
                    "The {label} holds a character that cannot be kept ({character_name}, number {position} in the "
                    "text); leave it out.",
                    label=_label(field),
                    character_name=_character_name(character),
                    position=position,
                ),
                field=field,
                facts={"character": f"U+{ord(character):04X}", "position": position},
            )
    stripped = normal.strip()
    if len(stripped) > limit:
        raise BadInput(
            say(
                "The {label} is {stripped} characters long and {limit} is the most; shorten it.",
                label=_label(field),
                stripped=len(stripped),
                limit=limit,
            ),
            field=field,
            facts={"length": len(stripped), "limit": limit},
        )
    return stripped


def _label(field: str) -> str:
    return word(field.replace("_", " "))


def clean_code(text: str, *, field: str = "code") -> str:
    """Return a lot or tub code in capitals: ASCII letters, digits, `-` and `.`, up to 20 characters.

    A letter or digit at both ends; no slash, since `P08/07` means tub 07 of lot P08. Raises BadInput.
    """
    code = clean(text, limit=CODE_LIMIT, field=field)
    if not code:
        raise BadInput(say("Give a {label}, such as P08.", label=_label(field)), field=field, facts={"text": code})
    # Checked before and after, because some letters outside ASCII have ASCII capitals.
    upper = code.upper()
    if not code.isascii() or not _CODE.fullmatch(upper):
        raise BadInput(
            say(
                "{code} cannot be a {label}: use letters, digits, - and . (such as P08), beginning and ending "
                "with a letter or digit.",
                code=quoted(code),
                label=_label(field),
            ),
            field=field,
            facts={"text": code},
        )
    return upper


def show(text: str) -> str:
    """Return text fit for one line of a screen or a printed list: what could steer a terminal becomes a mark.

    Line ends and tabs become spaces; other characters that `clean` refuses become U+FFFD. Needed even for
    stored text, which may come from an import, an older ledger or another program.
    """
    if text.isascii() and text.isprintable():
        return text
    return "".join(_shown(character) for character in text)


def _shown(character: str) -> str:
    if character in "\t\n\r":
        return " "
    return "\ufffd" if _is_refused(character) else character


def quoted(text: str, *, limit: int = 40) -> str:
    """Return what somebody typed in quotation marks, harmless and cut to `limit`, for use in a sentence."""
    harmless = show(text)
    return f'"{harmless}"' if len(harmless) <= limit else f'"{harmless[: limit - 1]}…"'


def safe_name(text: str) -> str:
    """Return one part of a file name: lower-case ASCII letters, digits, `-` and `_`, at most 80.

    Never empty, hidden, a path, or a name a system keeps for a device. Different texts may give the same
    name, so the writer must still refuse to overwrite.
    """
    plain = unicodedata.normalize("NFKD", text.casefold()).encode("ascii", "ignore").decode("ascii")
    name = re.sub(r"[^a-z0-9_]+", "-", plain).strip("-_")[:_FILE_NAME_LIMIT].strip("-_")
    if not name:
        return "unnamed"
    return f"{name}-file" if name in _DEVICE_NAMES else name


def count_words(n: int, one: str, many: str) -> str:
    """Return a count with its noun: `1 larva`, `3 larvae`, `0 larvae`."""
    return say("{n} {noun}", n=n, noun=counted(n, one, many))


def _is_refused(character: str) -> bool:
    return unicodedata.category(character) in _REFUSED_CATEGORIES or character in _BIDI or character == _BYTE_ORDER_MARK


def _character_name(character: str) -> str:
    name = unicodedata.name(character, "control or unassigned character").lower()
    return say("U+{ord}, {name}", ord=f"{ord(character):04X}", name=name)
