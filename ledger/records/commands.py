"""Commands about the ledger itself."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class SetSetting:
    """Set a plain setting: business name, address, terms or locale."""

    name: str
    value: str


@dataclass(frozen=True, slots=True)
class RowBroughtIn:
    """One row of somebody's file."""

    place: str
    """Sheet and row, for whoever looks it up."""
    mark: str
    """Fingerprint of what it says, and which of several equal rows it is."""
    reference: str = ""
    """The keeper's own number of it."""
    customer: str = ""
    """Name of the customer it makes."""


@dataclass(frozen=True, slots=True)
class NoteBroughtIn:
    """Remember the rows that were brought in by this act, and how the columns of their file were read."""

    kind: str
    """stock, sales, costs, customers or prices."""
    file_name: str
    file_digest: str
    """SHA-256."""
    rows: tuple[RowBroughtIn, ...]
    headings: str
    """Fingerprint of the headings."""
    columns: str
    """Which heading stands for what, as JSON."""
