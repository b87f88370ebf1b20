"""The cyclic garbage collector waits while a run plays: it makes many rows that stay and no cycle that is given up.

Each look over the journal of a large ledger takes longer than what it interrupts, and finds nothing. See `gc` in the
library reference of Python; memory that is not in a cycle is freed at once as ever.
"""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def uncollected() -> Iterator[None]:
    """Let it wait; when it waits already, somebody else wakes it."""
    awake = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if awake:
            gc.enable()
