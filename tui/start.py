"""Starting without delay, and looking for garbage only while nobody waits.

Hardly anything made while the program loads is garbage, so nobody looks for any meanwhile. Afterwards a look at all
that is there would hold up a key for a tenth of a second and more; it is taken at rest, and what stays is not looked
at again. See `gc.freeze` in the library reference of Python.
"""

from __future__ import annotations

import gc
import time
from collections.abc import Callable

OFTEN, RARELY, NEVER = 2_000, 10, 1_000_000
"""What was just made is looked through often; everything only by `tidy`."""
_ENOUGH = 1
"""Looks through what is young after which one through everything is worth while."""
SHORT = 0.04
"""Seconds a look may take between two keys."""
_hurried = False
_took = 0.0
"""Seconds the last look took, as far as the next will look through the same again."""


def hurry() -> None:
    """Look for no garbage until `settle`."""
    global _hurried
    _hurried = True
    gc.disable()


def settle() -> None:
    """Look for garbage again, but not among what was loaded; does nothing if nobody hurried."""
    if not gc.isenabled():
        gc.freeze()
        gc.set_threshold(OFTEN, RARELY, NEVER)
        gc.enable()


def tidy(stays: Callable[[], bool], *, at_rest: bool = True) -> None:
    """Look through everything new; does nothing if nobody hurried, or there is little to look through.

    Args:
        stays: asked afterwards, whether all that is there now is there to stay, so that it is not looked through again.
            What goes later and refers to itself, as every page does, would never be given back.
        at_rest: whether nobody presses keys just now; else nothing is looked through if it took long the last time.
    """
    global _took
    if not _hurried or not gc.isenabled() or gc.get_count()[2] < _ENOUGH or (_took > SHORT and not at_rest):
        return
    begun = time.thread_time()
    gc.collect()
    _took = time.thread_time() - begun
    if stays():
        gc.freeze()
        _took = 0.0
