"""Tells a person who watches a terminal how far a long act is; says nothing to a file or another program."""

from __future__ import annotations

import sys
from collections.abc import Callable

WIPE = "\r\x1b[K"
"""Back to the start of the line, and nothing left of it."""


def watched() -> Callable[[str], None]:
    """Something that shows words on standard error in place of those before; no words leave the line empty."""
    if not sys.stderr.isatty():
        return lambda words: None

    def show(words: str) -> None:
        sys.stderr.write(WIPE + words)
        sys.stderr.flush()

    return show


def how_far(what: str) -> Callable[[float], None]:
    """Something that is told a share from 0 to 1 and shows it, until it is whole.

    Args:
        what: is being done.
    """
    show = watched()
    return lambda share: show("" if share >= 1 else f"{what}: {share * 100:3.0f} %")
