"""Brings the catalogues of the screen up to date: `python -m tests.tui.catalogues`.

Extracts every message that the ledger and the screen say, merges it into each language's .po file and compiles it.
Write translations into the .po file, then run it again.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

from babel.messages.catalog import Catalog

import exports
import ledger
import tui
from tests.exports.documents import catalogues as papers
from tui.tongue import CATALOGUES, LANGUAGES, SOURCE

FOLDER = Path(tui.__file__).parent / CATALOGUES
TEMPLATE = FOLDER / "screen.pot"
KEYWORDS = ("say", "counted")
PACKAGES = {
    name: Path(package.__file__).parent for name, package in (("exports", exports), ("ledger", ledger), ("tui", tui))
}
LEFT_OUT = ("exports/", "ledger/selling/receipt.py", "tui/verbs/")
"""Papers and commands: they do not follow the language of the screen."""
READERS = (
    "exports/documents/sheets.py",
    "tui/verbs/typed.py",
    "tui/verbs/described.py",
    "tui/verbs/selling.py",
    "tui/verbs/species.py",
    "tui/verbs/store.py",
)
"""Files of those that read what is typed into fields, too."""


def extracted() -> Catalog:
    """Every message said in the ledger and the screen, in the order of the files."""
    catalog = Catalog(project="rearledger", version="", charset="utf-8", fuzzy=False)
    for package, folder in PACKAGES.items():
        for path in sorted(folder.rglob("*.py")):
            place = f"{package}/{path.relative_to(folder).as_posix()}"
            if place in READERS or not place.startswith(LEFT_OUT):
                for message in said_in(path.read_text(encoding="utf-8")):
                    catalog.add(message, locations=[(place, 0)])
    return catalog


def said_in(source: str) -> Iterator[str | tuple[str, str]]:
    """The messages of one file: what is given to functions called `say` and `counted`, not to methods of that name."""
    calls = [node for node in ast.walk(ast.parse(source)) if isinstance(node, ast.Call)]
    for call in sorted(calls, key=lambda call: (call.lineno, call.col_offset)):
        if not isinstance(call.func, ast.Name) or call.func.id not in KEYWORDS:
            continue
        given = [arg.value for arg in call.args if isinstance(arg, ast.Constant) and isinstance(arg.value, str)]
        if call.func.id == "say" and given and given[0]:
            yield given[0]
        elif call.func.id == "counted" and len(given) == 2:
            yield given[0], given[1]


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
