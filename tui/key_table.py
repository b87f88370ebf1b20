"""Every key, its word and the screens it works on, made from the actions themselves: `python -m tui.key_table`.

The same key has one word and the same word one key, over all places, pages and forms; what does not hold to that stands
in `EXCEPTIONS` with its reason.
"""

from __future__ import annotations

import importlib
import pkgutil
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path

from ledger.wording import say, strung
from tui.actions import Act
from tui.app import Desk
from tui.frame import Framed

FILE = Path(__file__).parent / "KEYS.md"
EVERYWHERE = "everywhere"
EXCEPTIONS = {
    "enter": say("does what the screen or the row is there for: opens it, does what is due, records a form"),
    "esc": say("goes one step back, whatever that step is: the whole list, out of a form, off a page"),
    "f": say("the Round's marks begin like their words, for a wet hand"),
    "find": say("ctrl-x in the Round, where f is fed"),
    "write": say("a second key, ctrl-g, opens the jot line where space belongs to a field"),
    "sell": say("Enter sells too, where selling is what a row is there for"),
}
"""Keys and words that may stand for several, each with the reason."""


def screens() -> Iterator[type[Framed[object]] | type[Desk]]:
    """Every screen with actions of its own, and the desk."""
    for part in ("places", "forms", "widgets"):
        package = importlib.import_module(f"tui.{part}")
        for module in pkgutil.iter_modules(package.__path__):
            importlib.import_module(f"tui.{part}.{module.name}")
    yield Desk
    yield from sorted(set(_below(Framed)), key=lambda one: (one.__module__, one.__name__))


def _below(base: type[Framed[object]]) -> Iterator[type[Framed[object]]]:
    for sub in base.__subclasses__():
        if sub.__module__.startswith("tui."):
            yield sub
        yield from _below(sub)


def uses() -> list[tuple[str, str, str, str]]:
    """(key, word, screen, what it does) of every action, without those a screen only has from its base."""
    found: dict[tuple[str, str, str, str], None] = {}
    for screen in screens():
        for act in vars(screen).get("ACTS", ()):
            for key in _keys(act):
                found[key, act.words, _name(screen), act.tip] = None
    return list(found)


def _keys(act: Act) -> list[str]:
    return [Act(act.name, key, act.words, act.tip).key_said for key in act.key.split(",")]


def _name(screen: type[Framed[object]] | type[Desk]) -> str:
    """What a screen is called: its title, or the words of its class."""
    if screen is Desk:
        return EVERYWHERE
    title = str(getattr(screen, "TITLE_WORDS", ""))
    bare = screen.__name__.removesuffix("Place")
    split = "".join(f" {letter.lower()}" if letter.isupper() and at else letter for at, letter in enumerate(bare))
    return title or split


def clashes() -> list[str]:
    """Keys with several words and words with several keys that no exception allows."""
    words: dict[str, set[str]] = defaultdict(set)
    keys: dict[str, set[str]] = defaultdict(set)
    for key, word, _, _ in uses():
        words[key].add(word)
        keys[word].add(key)
    found = [
        say("{key}: {of}", key=key, of=strung(sorted(of), ", "))
        for key, of in words.items()
        if len(of) > 1 and key not in EXCEPTIONS
    ]
    found += [
        say("{word}: {of}", word=word, of=strung(sorted(of), ", "))
        for word, of in keys.items()
        if len(of) > 1 and word not in EXCEPTIONS
    ]
    return sorted(found)


def table() -> str:
    """The table as Markdown."""
    rows: dict[tuple[str, str], list[str]] = defaultdict(list)
    for key, word, screen, _ in uses():
        rows[key, word].append(screen)
    lines = [
        say("# Keys"),
        "",
        say(
            "Made from the code by `python -m tui.key_table`; a test compares. The digits go to the places; "
            "while a field"
        ),
        say(
            "has the keys F2 goes to 2, F3 to 3 and so on, F12 (or F1) to 1. In the Round digits after `=`, `c`, `d` or"
        ),
        say("`m` are a number."),
        "",
        say("| key | word | where |"),
        "|---|---|---|",
    ]
    for (key, word), where in sorted(rows.items(), key=lambda row: (_order(row[0][0]), row[0][1])):
        shown = "\\|" if key == "|" else key
        lines.append(f"| `{shown}` | {word} | {', '.join(sorted(set(where)))} |")
    lines += ["", say("The same key has one word everywhere, and the same word one key, but for:"), ""]
    lines += [say("- `{name}`: {why}.", name=name, why=why) for name, why in EXCEPTIONS.items()]
    return "\n".join(lines) + "\n"


def _order(key: str) -> tuple[bool, str, bool]:
    """Letters first, small before capital; then the rest."""
    letter = len(key) == 1 and key.isalpha()
    return not letter, key.casefold(), key.isupper()


if __name__ == "__main__":
    FILE.write_text(table(), encoding="utf-8")
    print(say("wrote {file}", file=FILE))
