"""Brings the catalogues of the screen up to date: `python -m tests.tui.catalogues`.

Extracts every message that the ledger and the screen say, merges it into each language's .po file and compiles it.
Write translations into the .po file, then run it again.
"""

from __future__ import annotations

import warnings
from pathlib import Path

from babel.messages.catalog import Catalog
from babel.messages.extract import extract_from_dir

import ledger
import tui
from tests.exports.documents import catalogues as papers
from tui.tongue import CATALOGUES, LANGUAGES, SOURCE

FOLDER = Path(tui.__file__).parent / CATALOGUES
TEMPLATE = FOLDER / "screen.pot"
KEYWORDS = {"say": None, "counted": (2, 3)}
PACKAGES = {"ledger": Path(ledger.__file__).parent, "tui": Path(tui.__file__).parent}
LEFT_OUT = ("ledger/selling/receipt.py", "tui/verbs/")
"""Papers and commands: they do not follow the language of the screen."""


def extracted() -> Catalog:
    """Every message said in the ledger and the screen, in the order of the files."""
    catalog = Catalog(project="rearledger", version="", charset="utf-8", fuzzy=False)
    for package, folder in PACKAGES.items():
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of what is said elsewhere by functions of the same name
            found = extract_from_dir(folder, method_map=[("**.py", "python")], options_map={}, keywords=KEYWORDS)
            rows = sorted(found, key=lambda one: (one[0], one[1]))
        for name, _line, message, _comments, _context in rows:
            place = f"{package}/{name}"
            if not place.startswith(LEFT_OUT) and any(message if isinstance(message, tuple) else [message]):
                catalog.add(message, locations=[(place, 0)])
    return catalog


def main() -> None:
    """Write every catalogue anew."""
    FOLDER.mkdir(exist_ok=True)
    wanted = extracted()
    TEMPLATE.write_bytes(papers.po(wanted))
    for language in LANGUAGES:
        if language != SOURCE:
            merged = papers.merged(language, FOLDER, wanted)
            (FOLDER / f"{language}.po").write_bytes(papers.po(merged))
            (FOLDER / f"{language}.mo").write_bytes(papers.compiled(language, FOLDER))


if __name__ == "__main__":
    main()
