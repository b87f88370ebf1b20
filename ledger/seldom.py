"""Looking seldom for circles of objects, while very many are made that have none."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def seldom_collected() -> Iterator[None]:
    """Rows and movements refer to nothing in circles, and to look through all of them again and again takes a third
    of the time of long work on them (measured); what is no longer referred to goes at once as always.
    """
    before = gc.get_threshold()
    gc.set_threshold(max(before[0], 1_000_000), *before[1:])
    try:
        yield
    finally:
        gc.set_threshold(*before)
