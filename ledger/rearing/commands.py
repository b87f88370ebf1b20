"""Commands of rearing."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ledger.rearing.coming import Coming


@dataclass(frozen=True, slots=True)
class KeepOutlook:
    """Keep today's outlook of every species, so that it can be held against what comes; the first of a day stays."""

    outlooks: tuple[Coming, ...] = ()
    """As they were just reckoned for today, of every species; reckoned anew when none are given, which takes seconds in
    which nobody else can record."""
