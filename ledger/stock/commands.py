"""Commands of the stock journal: what a keeper says about species, lots and animals.

Lots and species are named by their codes, stages by their names, dates by `datetime.date`; `None` means "not said":
the plan fills it in when only one answer fits and otherwise refuses with the choices.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class AddSpecies:
    """Take a species into the ledger from a shipped template."""

    code: str
    template: str
    common: str | None = None


@dataclass(frozen=True, slots=True)
class StageSpec:
    """One stage of a species described by hand; figures `None` are not known."""

    name: str
    unit: str = "animal"
    saleable: bool = False
    do_not_post: bool = False
    hardening_days: int | None = None
    days_low: int | None = None
    days_high: int | None = None
    planning_survival: int | None = None
    """In millionths."""
    care_weight: int = 1000
    """In thousandths."""


@dataclass(frozen=True, slots=True)
class DescribeSpecies:
    """Take a species into the ledger without a template."""

    code: str
    scientific: str
    common: str
    group: str
    stages: tuple[StageSpec, ...]
    reared: str
    stored_sperm_days: int | None = None
    without_mating: bool = False
    breeding_life_days: int | None = None
    source: str = "as entered by the keeper"


@dataclass(frozen=True, slots=True)
class SetFigure:
    """Set a dated figure of a species (stage `None`) or of a stage; units as in the records."""

    species: str
    stage: str | None
    name: str
    value: int
    from_on: dt.date
    source: str = "as entered by the keeper"


@dataclass(frozen=True, slots=True)
class Arrival:
    """Animals (or objects) that come in with a new lot or into an existing one."""

    reason: str
    """opening, bought, swapped in, collected, laid, hatched, harvested, lent in."""
    stage: str
    unsexed: int = 0
    males: int = 0
    females: int = 0
    hermaphrodites: int = 0
    tub: str = ""
    value: int | None = None
    """Price or agreed value of all of them with carriage, minor units; bought and swapped in only."""
    estimated: bool = False
    """'About 40': an estimate until counted."""
    sure: str = "confirmed"
    """How sure the sex is: probable or confirmed."""


@dataclass(frozen=True, slots=True)
class OriginStatement:
    """What is stated of where animals come from when they arrive; codes of the origin list."""

    code: str
    generation: int | None = None
    evidence: int = 1
    """3 own records, 2 supplier's document, 1 supplier's or keeper's statement, 0 none."""
    country: str = ""
    locality: str = ""
    supplier: str = ""
    documents: str = ""
    source_letter: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class AddLot:
    """Open a lot and record its first animals."""

    code: str
    species: str
    started_on: dt.date
    arrivals: tuple[Arrival, ...] = ()
    started_from: dt.date | None = None
    """First day of the range in which it started (a sieving), if not one day."""
    purpose: str = "sale"
    """sale, breeding or quarantine."""
    place: str = ""
    line: str = ""
    note: str = ""
    origin: OriginStatement | None = None
    mothers: tuple[str, ...] = ()
    """'E01' or 'H01/f05' (lot/tub)."""
    fathers: tuple[str, ...] = ()
    """Stated beside the exposures."""
    laid_from: dt.date | None = None
    laid_on: dt.date | None = None
    colony: str | None = None
    """Lot code of the colony a harvest came from."""
    arrived_on: dt.date | None = None
    """Day of the arrivals if later than started_on."""


@dataclass(frozen=True, slots=True)
class Move:
    """n animals for one reason. Which animals: stage, sex, tub as far as said; where to: the `to_` fields."""

    reason: str
    count: int
    stage: str | None = None
    sex: str | None = None
    tub: str | None = None
    to_stage: str | None = None
    to_sex: str | None = None
    to_sure: str = "confirmed"
    to_tub: str | None = None
    cause: str | None = None
    value: int | None = None
    estimated: bool = False
    relates_to: int | None = None
    """Movement number of the missing animals a find cancels; `None`: the newest open one of the lot, if any."""
    explained: bool = False
    """A find explained as 'miscounted before'."""
    pack: str = ""
    """Mark of the fair's pack the animals lay in; empty: not said."""


@dataclass(frozen=True, slots=True)
class Record:
    """Movements of one lot on one day (or day range) as one entry."""

    lot: str
    moves: tuple[Move, ...]
    on: dt.date
    happened_from: dt.date | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class HatchOut:
    """Objects of a lot (ootheca, sac, clutch) hatch: objects out, animals in."""

    lot: str
    objects: int
    animals: int
    to_stage: str
    on: dt.date
    happened_from: dt.date | None = None
    stage: str | None = None
    tub: str | None = None
    to_tub: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class Reverse:
    """Take back one movement."""

    movement: int
    note: str = ""


@dataclass(frozen=True, slots=True)
class Correct:
    """Take back one movement and record what is right instead, in one act."""

    movement: int
    instead: Record


@dataclass(frozen=True, slots=True)
class Undo:
    """Take back one's own last act on the stock (a sale is taken back by a full credit)."""


@dataclass(frozen=True, slots=True)
class Mark:
    """One mark of a round."""

    lot: str
    kind: str
    """fed, looked, counted, estimated or 'seen hard'."""
    tub: str = ""
    stage: str | None = None
    count: int | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class SaveRound:
    """The marks of a round, and the movements found in it, saved together."""

    marks: tuple[Mark, ...]
    on: dt.date
    records: tuple[Record, ...] = ()


@dataclass(frozen=True, slots=True)
class Part:
    """Animals that go to the new lot of a split."""

    count: int
    stage: str | None = None
    sex: str | None = None
    tub: str | None = None
    to_tub: str | None = None


@dataclass(frozen=True, slots=True)
class SplitLot:
    """Part of a lot becomes a lot of its own; clock, layers, costs and origin go along."""

    lot: str
    new_code: str
    parts: tuple[Part, ...]
    on: dt.date
    note: str = ""
    purpose: str | None = None


@dataclass(frozen=True, slots=True)
class MergeLots:
    """All animals of several lots of one species become a new lot."""

    lots: tuple[str, ...]
    new_code: str
    on: dt.date
    reason: str = ""
    """'mixed by accident' is needed across origins."""
    note: str = ""


@dataclass(frozen=True, slots=True)
class KeepBack:
    """Mark animals as not for sale (deformed, old, future breeders)."""

    lot: str
    count: int
    why: str
    on: dt.date
    stage: str | None = None
    sex: str | None = None
    tub: str | None = None


@dataclass(frozen=True, slots=True)
class FreeKept:
    """Give kept-back animals free again."""

    earmark: int
    on: dt.date


@dataclass(frozen=True, slots=True)
class SetLotFact:
    """A dated fact of a lot: purpose, place, colony, containers, lent out, brood ends, rests until."""

    lot: str
    fact: str
    value: str
    from_on: dt.date
