"""Commands of the books."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class CloseYear:
    """Close an accounting year: from then on its figures stand."""

    year: int
    on: dt.date


@dataclass(frozen=True, slots=True)
class TakeBackFile:
    """Take back everything that the rows of one file recorded."""

    number: int
    """Of the file, as the list of files brought in has it."""
    on: dt.date
    """Day of the credits of its sales."""
