"""The facts origin is derived from, as plain values: lots, who was with whom, what was said on arrival.

A service reads them from the records and hands them over whole; nothing here reads, decides or writes.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Literal

Kind = Literal["opening", "bought", "swapped in", "lent in", "collected", "laid", "hatched", "harvested"]
"""How animals came into a lot; the names of the stock journal's reasons."""

FROM_OTHERS: frozenset[Kind] = frozenset({"opening", "bought", "swapped in", "lent in"})
"""Kinds whose origin is known only by what was stated."""

BORN_HERE: frozenset[Kind] = frozenset({"laid", "hatched"})

Sex = Literal["male", "female", "hermaphrodite", "unsexed"]
Answer = Literal["yes", "no", "not known"]


@dataclass(frozen=True, slots=True, order=True)
class AnimalRef:
    """One animal or tub of a lot; an empty tub means the whole lot."""

    lot_id: int
    tub: str = ""


@dataclass(frozen=True, slots=True)
class Arrival:
    """Animals or eggs that came into a lot from outside or by birth."""

    kind: Kind
    on: dt.date | None = None
    tub: str = ""
    reared: bool | None = None
    """Had reached its species' reared stage on that day; None: not known, and then it may have."""
    sex: Sex = "unsexed"


@dataclass(frozen=True, slots=True)
class Source:
    """A lot this one was made from."""

    lot_id: int
    how: Literal["split", "merged", "harvested"]
    on: dt.date | None = None
    tubs: tuple[tuple[str, str], ...] = ()
    """(tub there, tub here) as the animals were moved, '' for none; empty: not known, so any."""


@dataclass(frozen=True, slots=True)
class Statement:
    """What was said of a lot's origin when it came; the latest statement only."""

    code: str
    generation: int | None = None
    evidence: int = 1
    country: str = ""
    locality: str = ""
    supplier: str = ""
    documents: str = ""
    source_letter: str = ""
    """Text copied from a document; never read as an origin."""


@dataclass(frozen=True, slots=True)
class Claim:
    """A person lowered the origin (with a note) or raised it (with a document)."""

    code: str
    generation: int | None = None
    documents: str = ""
    note: str = ""
    on: dt.date | None = None


@dataclass(frozen=True, slots=True)
class CountUp:
    """A count found more animals than recorded."""

    more: int
    tolerance: int = 0
    """Up to so many 'miscounted before' is believed."""
    why: Literal["", "miscounted before", "explained"] = ""
    on: dt.date | None = None


@dataclass(frozen=True, slots=True)
class LotFacts:
    """What is on record of one lot."""

    lot_id: int
    code: str
    species_id: int
    arrivals: tuple[Arrival, ...] = ()
    sources: tuple[Source, ...] = ()
    stated: Statement | None = None
    mothers: tuple[AnimalRef, ...] = ()
    """Possible mothers of the young born here."""
    stated_fathers: tuple[AnimalRef, ...] = ()
    """Fathers named beside the exposures: they add possible fathers, never take one away."""
    laid_from: dt.date | None = None
    laid_to: dt.date | None = None
    """Days within which the eggs were laid or, without eggs, the young conceived; one day known: both the same."""
    hatched_from: dt.date | None = None
    hatched_to: dt.date | None = None
    unhatched: bool = False
    """Nothing has hatched yet, so no hatch date is missing."""
    claims: tuple[Claim, ...] = ()
    """In the order they were recorded."""
    counts_up: tuple[CountUp, ...] = ()
    counts_off: int = 0
    """Animals by which the counts of the lot do not add up otherwise; 0: they do."""
    breeds: bool = False
    """A colony that raises its own young inside the lot: more animals than recorded are no surprise."""
    tub_moves: tuple[tuple[str, str], ...] = ()
    """(from tub, to tub) of moves inside the lot, '' for none: which arrival an animal in a tub may be."""
    line: str = ""


@dataclass(frozen=True, slots=True)
class Exposure:
    """A female was with a male."""

    female: AnimalRef
    male: AnimalRef | None
    """None: a male that is not in the records (she was lent out, or one got in)."""
    from_on: dt.date | None
    to_on: dt.date | None = None
    """None: still together."""
    witnessed: bool = False
    """The mating itself was seen."""


@dataclass(frozen=True, slots=True)
class VirginFact:
    """Whether an animal was a virgin on arrival; of two facts about the same animals the later one counts."""

    animal: AnimalRef
    answer: Answer
    on: dt.date


@dataclass(frozen=True, slots=True)
class SpeciesFacts:
    """How one species breeds."""

    species_id: int
    stored_sperm_days: int | None
    """Days a mating can still father young, pregnancy included; None: not known, so without end."""
    without_mating: bool = False
    """Females may have young without a male."""
    hermaphrodite: bool = False
    """Either animal of an exposure may be the mother."""
