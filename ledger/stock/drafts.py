"""Entries and movements that have been decided and wait to be written.

Named tuples: a sheet makes a hundred thousand of them, and a frozen dataclass takes four times as long to make.
"""

from __future__ import annotations

import datetime as dt
from typing import NamedTuple

from ledger.stock.holdings import HoldingKey

Place = HoldingKey | int
"""A holding by what makes it one (it may not have a row yet), or by its id."""


class ResolvedMove(NamedTuple):
    """One movement, decided: n animals from one holding to another, in from outside (no source) or out (no target)."""

    reason: str
    count: int  # type: ignore[assignment]  # of animals; that of a tuple is not asked for
    source: Place | None = None
    target: Place | None = None
    cause: str | None = None
    relates_to: int | None = None
    """Movement it has to do with: the missing animals found again, the sale movement a return takes back."""
    relates_to_move: int | None = None
    """The same for a movement of this entry, by its place in it; that one may not relate to a third."""
    value: int | None = None
    estimated: bool = False
    explained: bool = False
    reverses: int | None = None
    free_only: bool = False
    """Animals set aside may not be taken (sales)."""
    earmark: int | None = None
    """The animals were set aside under this one, such as those of a pack."""


class Draft(NamedTuple):
    """An entry to be written."""

    happened_on: dt.date
    moves: tuple[ResolvedMove, ...]
    happened_from: dt.date | None = None
    note: str = ""
    accounting_on: dt.date | None = None
    """None: the day itself, or the first open day if its year is closed."""


class EntryWritten(NamedTuple):
    """The numbers of an entry and of its movements, in the order of its moves."""

    entry_id: int
    movement_ids: tuple[int, ...]
