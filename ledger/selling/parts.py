"""Animals that were chosen to be promised or sold. Knows no rule."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from ledger.stock.naming import LotRef, StageRef


@dataclass(frozen=True, slots=True)
class Part:
    """Animals of one lot, stage and sex that were chosen: what one line of a hold or a sale is about."""

    lot: LotRef
    stage: StageRef
    sex: str
    sure: str
    picks: tuple[tuple[int, int], ...]
    """(holding, how many)."""
    soft: tuple[tuple[dt.date, int], ...] = ()
    """Soft ones among those that were there to choose from."""

    @property
    def count(self) -> int:
        """How many animals."""
        return sum([n for _, n in self.picks])
