"""How far a long reckoning is: a share, told now and then to whoever asked for it.

Being told is also the moment to stop it, by raising.
"""

from __future__ import annotations

from collections.abc import Callable

Told = Callable[[float], None]
"""Takes a share from 0 to 1 that never falls."""


def untold(share: float) -> None:
    """Nobody asked."""


def within(told: Told, first: float, last: float) -> Told:
    """For a part of the whole, which begins when `first` of it is done and ends at `last`."""
    return lambda share: told(first + share * (last - first))
