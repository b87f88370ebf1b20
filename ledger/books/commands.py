"""Commands of the books."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class CloseYear:
    """Close an accounting year: from then on its figures stand."""

    year: int
    on: dt.date
