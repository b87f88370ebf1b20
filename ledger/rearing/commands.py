"""Commands of rearing."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class KeepOutlook:
    """Keep today's outlook of every species, so that it can be held against what comes; the first of a day stays."""
