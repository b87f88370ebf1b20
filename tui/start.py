"""Starting without delay: hardly anything made while the program loads is garbage, so nobody looks for any meanwhile.

See `gc.freeze` in the library reference of Python.
"""

from __future__ import annotations

import gc


def hurry() -> None:
    """Look for no garbage until `settle`."""
    gc.disable()


def settle() -> None:
    """Look for garbage again, but not among what was loaded; does nothing if nobody hurried."""
    if not gc.isenabled():
        gc.freeze()
        gc.enable()
