"""What can be done from a screen: one row for each action, from which its key, its help and its place in the list of
all actions are made, so that none can be missing from either.

Keys: no single letter writes anything; letters, digits, space and Enter open things. Keys that terminals and
multiplexers take for themselves are not used.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from textual.binding import Binding

from tui.tongue import word

TAKEN_BY_TERMINALS = frozenset({"f1", "f10", "f11", "ctrl+s", "ctrl+j", "ctrl+m", "ctrl+i", "ctrl+h", "ctrl+b"})
"""Keys a desktop terminal, a multiplexer or the line discipline may keep for itself, or cannot tell from others."""
_SHOWN = {
    "space": "space",
    "full_stop": ".",
    "question_mark": "?",
    "enter": "enter",
    "escape": "esc",
    "left": "←",
    "right": "→",
    "equals_sign": "=",
    "asterisk": "*",
    "exclamation_mark": "!",
    "plus": "+",
    "minus": "-",
    "slash": "/",
    "at": "@",
    "less_than_sign": "<",
    "number_sign": "#",
    "quotation_mark": '"',
    "apostrophe": "'",
    "comma": ",",
    "semicolon": ";",
    "colon": ":",
    "underscore": "_",
    "ampersand": "&",
    "dollar_sign": "$",
    "percent_sign": "%",
    "greater_than_sign": ">",
    "left_parenthesis": "(",
    "right_parenthesis": ")",
}


@dataclass(frozen=True, slots=True)
class Act:
    """One action of a screen."""

    name: str
    """Name of the action method, without `action_`; with the screen's name the id for a keymap of the keeper's own."""
    key: str
    words: str
    """Two or three words for the line of keys."""
    tip: str
    """A sentence for the help and for the list of all actions."""
    shown: bool = True
    """Whether it stands in the line of keys when there is room."""
    in_fields: bool = False
    """Whether it works while a field has the keys; never so for a letter, a digit or space."""

    @property
    def key_said(self) -> str:
        """The key as a keeper reads it."""
        first = self.key.split(",")[0]
        if first.startswith("ctrl+"):
            return word("ctrl-") + first.removeprefix("ctrl+")
        return word(_SHOWN.get(first, first))


def bindings(acts: Sequence[Act], where: str) -> list[Binding]:
    """Bindings of a screen's actions. They take effect before the next key is read, so that what is typed after an
    opening key lands in what it opened."""
    return [Binding(act.key, act.name, act.words, id=f"{where}.{act.name}", priority=True) for act in acts]
