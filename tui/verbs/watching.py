"""Tells a person who watches a terminal how far a long act is; says nothing to a file or another program."""

from __future__ import annotations

import sys
from collections.abc import Callable

WIPE = "\r\x1b[K"
"""Back to the start of the line, and nothing left of it."""


def how_far(what: str) -> Callable[[float], None]:
    """Something that is told a share from 0 to 1 and shows it on standard error, until it is whole.

    Args:
        what: is being done.
    """
    if not sys.stderr.isatty():
        return lambda share: None

    def tell(share: float) -> None:
        sys.stderr.write(WIPE if share >= 1 else f"{WIPE}{what}: {share * 100:3.0f} %")
        sys.stderr.flush()

    return tell
