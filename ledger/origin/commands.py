"""Commands about origin: what was stated, lowered or raised, who was with whom, and who laid what.

Animals are named 'E01' (a whole lot) or 'H01/f05' (lot/tub).
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from ledger.stock.commands import OriginStatement


@dataclass(frozen=True, slots=True)
class StateOrigin:
    """State (or correct) what is known of where a lot came from when it arrived."""

    lot: str
    statement: OriginStatement
    from_on: dt.date


@dataclass(frozen=True, slots=True)
class LowerOrigin:
    """Claim less than derived, with a note."""

    lot: str
    code: str
    note: str
    from_on: dt.date
    generation: int | None = None


@dataclass(frozen=True, slots=True)
class RaiseOrigin:
    """Claim more than derived on the strength of a document; stays marked 'stated, not derived'."""

    lot: str
    code: str
    documents: str
    from_on: dt.date
    generation: int | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class ExplainCount:
    """Say why a lot had more animals than recorded, so that its evidence grade stands again."""

    lot: str
    note: str
    from_on: dt.date


@dataclass(frozen=True, slots=True)
class Expose:
    """Females and males were together from a day on (to a day)."""

    female: str
    male: str
    from_on: dt.date
    to_on: dt.date | None = None
    witnessed: bool = False
    evidence: str = ""


@dataclass(frozen=True, slots=True)
class EndExposure:
    """Female and male were parted."""

    exposure: int
    to_on: dt.date


@dataclass(frozen=True, slots=True)
class NameParents:
    """Record who laid a lot, and fathers stated beside the exposures."""

    lot: str
    mothers: tuple[str, ...]
    fathers: tuple[str, ...] = ()
    laid_from: dt.date | None = None
    laid_on: dt.date | None = None
    evidence: str = ""


@dataclass(frozen=True, slots=True)
class SayVirgin:
    """Whether an animal was a virgin when it arrived; a later statement corrects an earlier one."""

    animal: str
    value: str
    """yes, no or not known."""
    from_on: dt.date
    note: str = ""


@dataclass(frozen=True, slots=True)
class WriteCorrectionNote:
    """Note for the buyer of a sale line whose origin was stated otherwise than it now reads."""

    sale_line: int
    written_on: dt.date
    why: str = ""
