"""Brings the catalogues of the documents up to date: `python -m tests.exports.documents.catalogues`.

Extracts every marked message, merges it into each language's .po file and compiles it. Write translations into the .po
file, then run it again.
"""

from __future__ import annotations

import datetime as dt
import io
from pathlib import Path

from babel.messages.catalog import Catalog
from babel.messages.extract import extract_from_dir
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po, write_po

import exports.documents
from exports.documents.language import CATALOGUES, LANGUAGES, SOURCE

PACKAGE = Path(exports.documents.__file__).parent
FOLDER = PACKAGE / CATALOGUES
TEMPLATE = FOLDER / "documents.pot"
KEYWORDS = {"say": None, "mark": None, "counted": (1, 2), "mark_counted": (1, 2)}
_LEFT_OUT = tuple(
    word.encode()
    for word in (
        *('"Project-Id', '"Report-Msgid', '"POT-Creation', '"PO-Revision', '"Last-Translator', '"Language-Team'),
        *('"Generated-By', "# FIRST AUTHOR", "# Copyright", "# Translations template", "# German", "# This file"),
    )
)


def extracted() -> Catalog:
    """Every message marked in the package, in the order of the files."""
    catalog = Catalog(project="rearledger", version="", charset="utf-8", fuzzy=False)
    # What the sheets of labels refuse is said on the screen, in its own catalogue.
    ways = [("sheets.py", "ignore"), ("**.py", "python")]
    found = extract_from_dir(PACKAGE, method_map=ways, options_map={}, keywords=KEYWORDS)
    for name, _line, message, _comments, _context in sorted(found, key=lambda one: (one[0], one[1])):
        catalog.add(message, locations=[(name, 0)])
    return catalog


def template() -> bytes:
    """The template file as it should be: no line numbers and no dates, so that it changes only with the messages."""
    return po(extracted())


def translated(language: str, folder: Path = FOLDER) -> Catalog:
    """The catalogue of a language as it lies in its .po file."""
    path = folder / f"{language}.po"
    with path.open("rb") as file:
        return read_po(file, locale=language)


def merged(language: str, folder: Path = FOLDER, messages: Catalog | None = None) -> Catalog:
    """The same with every message there is now and none that is gone; what was never translated is empty."""
    known = translated(language, folder) if (folder / f"{language}.po").exists() else Catalog(locale=language)
    wanted = Catalog(locale=language, project="rearledger", version="", fuzzy=False)
    for message in messages or extracted():
        if message.id:
            old = known.get(message.id[0] if isinstance(message.id, tuple) else message.id)
            fits = old is not None and isinstance(old.id, tuple) == isinstance(message.id, tuple)
            empty = ("",) * wanted.num_plurals if isinstance(message.id, tuple) else ""
            wanted.add(message.id, old.string if old is not None and fits else empty, locations=message.locations)
    return wanted


def compiled(language: str, folder: Path = FOLDER) -> bytes:
    """The .mo file that belongs to the .po file of a language."""
    catalog = translated(language, folder)
    # The header of a .mo file holds days; with the real ones it would change each time it is made.
    catalog.creation_date = catalog.revision_date = dt.datetime(2000, 1, 1, tzinfo=dt.UTC)
    out = io.BytesIO()
    write_mo(out, catalog)
    return out.getvalue()


def po(catalog: Catalog) -> bytes:
    """A catalogue as it is written to a file."""
    out = io.BytesIO()
    write_po(out, catalog, omit_header=False, include_lineno=False, width=110)
    # Dates and names of nobody would change the file without a change of its messages.
    lines = [line for line in out.getvalue().split(b"\n") if not line.startswith(_LEFT_OUT)]
    return b"\n".join(lines)


def main() -> None:
    """Write every catalogue anew."""
    FOLDER.mkdir(exist_ok=True)
    TEMPLATE.write_bytes(template())
    for language in LANGUAGES:
        if language != SOURCE:
            (FOLDER / f"{language}.po").write_bytes(po(merged(language)))
            (FOLDER / f"{language}.mo").write_bytes(compiled(language))


if __name__ == "__main__":
    main()
