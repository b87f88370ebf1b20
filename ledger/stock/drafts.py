"""Entries and movements that have been decided and wait to be written."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from ledger.stock.holdings import HoldingKey

Place = HoldingKey | int
"""A holding by what makes it one (it may not have a row yet), or by its id."""


@dataclass(frozen=True, slots=True)
class ResolvedMove:
    """One movement, decided: n animals from one holding to another, in from outside (no source) or out (no target)."""

    reason: str
    count: int
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

    def between(self, source: Place | None, target: Place | None) -> ResolvedMove:
        """The same movement from and to these places."""
        return ResolvedMove(
            self.reason,
            self.count,
            source,
            target,
            self.cause,
            self.relates_to,
            self.relates_to_move,
            self.value,
            self.estimated,
            self.explained,
            self.reverses,
            self.free_only,
        )


@dataclass(frozen=True, slots=True)
class Draft:
    """An entry to be written."""

    happened_on: dt.date
    moves: tuple[ResolvedMove, ...]
    happened_from: dt.date | None = None
    note: str = ""
    accounting_on: dt.date | None = None
    """None: the day itself, or the first open day if its year is closed."""


@dataclass(frozen=True, slots=True)
class EntryWritten:
    """The numbers of an entry and of its movements, in the order of its moves."""

    entry_id: int
    movement_ids: tuple[int, ...]
