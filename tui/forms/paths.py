"""Paths as a person types them into a form: with ~ for the own folder, or in the quotes a terminal puts around them."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from ledger.errors import BadInput
from ledger.text import quoted
from ledger.wording import say
from tui.widgets.fields import text


def a_path(label: str) -> Callable[[str], Path]:
    """Reads a path, of something that is there or not."""
    read_text = text(label, limit=1000, needed=True)

    def read(typed: str) -> Path:
        written = read_text(typed.strip().strip("'\""))
        try:
            path = Path(written).expanduser()
            path.exists()
        except (OSError, RuntimeError) as error:
            raise BadInput(
                say("{path} cannot be looked at; write another path.", path=quoted(written)), field=label
            ) from error
        return path

    return read


def is_file(written: str) -> bool:
    """Whether there is a file at a path, as far as that can be looked at."""
    try:
        return Path(written).expanduser().is_file()
    except (OSError, RuntimeError):
        return False
