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


@dataclass(frozen=True, slots=True)
class Counted:
    """What was counted of one lot and stage, or of one sex or tub of it."""

    lot: str
    stage: str
    count: int
    reason: str = ""
    """Why fewer or more are there than recorded; empty: missing, or found."""
    sex: str | None = None
    tub: str | None = None


@dataclass(frozen=True, slots=True)
class CountStock:
    """A count of the stock: what agrees is kept as counted, what differs is recorded with its reason."""

    on: dt.date
    counts: tuple[Counted, ...]
    note: str = ""


@dataclass(frozen=True, slots=True)
class SetTaxHelp:
    """A figure to compare with, from a day on, as the keeper found it in their own rules."""

    name: str
    """'threshold' and a name of the keeper's own, or 'keep years'."""
    value: int | None
    """Minor units, or years; `None`: no longer."""
    from_on: dt.date
    note: str = ""
    """Where it comes from."""
