"""Commands about money spent. Amounts are in minor units of the ledger's currency."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Spend:
    """Something was bought for the animals or the business."""

    bought_on: dt.date
    category: str
    gross: int
    supplier: str = ""
    text: str = ""
    tax: int = 0
    kind: str = "used up"
    """used up (over a window), lasting (equipment), overhead, selling. Animals bought come in through the stock."""
    scope: str = "all"
    """all, species, lots, brood, or none (selling)."""
    species: tuple[str, ...] = ()
    lots: tuple[str, ...] = ()
    window_from: dt.date | None = None
    window_to: dt.date | None = None
    life_days: int | None = None
    residual: int = 0
    """What a lasting thing will still be worth, all of it and not only the business share."""
    share: int | None = None
    """Business share in hundredths of a percent; `None`: what is set for the category, or all of it."""
    stored: bool = False
    """Put in store: used up as it is taken out (`TakeOut`), at the average price; needs quantity and unit."""
    sale: str | None = None
    """Number of the sale a selling cost belongs to."""
    quantity: str = ""
    unit: str = ""
    original_currency: str = ""
    original_amount: str = ""
    rate: str = ""
    note: str = ""
    paid_on: dt.date | None = None
    """`None`: paid when bought, unless `unpaid`."""
    unpaid: bool = False


@dataclass(frozen=True, slots=True)
class Power:
    """Power of an appliance, reckoned from its watts: W x duty x hours / 1000 kWh, at a price for a kWh."""

    category: str
    text: str
    watts: int
    duty: int
    """Part of the time it is on, in hundredths of a percent."""
    price: int
    """Of 1,000 kWh, in minor units, so that a tariff of 0.2957 is a whole number."""
    first: dt.date
    last: dt.date
    minutes_a_day: int = 1440
    """Minutes a day it is plugged in."""
    share: int | None = None
    """As in `Spend`."""
    species: tuple[str, ...] = ()
    lots: tuple[str, ...] = ()
    supplier: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class TakeOut:
    """Something was weighed or counted out of the store."""

    category: str
    quantity: int
    """Thousandths of the unit it was bought in."""
    on: dt.date
    item: str = ""
    """What it is, if the category has several things in store."""
    used_to: dt.date | None = None
    """Last day it is used up on; `None`: the day it was taken out."""
    species: str | None = None
    lot: str | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class PutBack:
    """Take back a taking out of the store that was entered by mistake."""

    issue: int
    note: str = ""


@dataclass(frozen=True, slots=True)
class NoteHours:
    """The keeper's own time: a memo, never in a total."""

    on: dt.date
    minutes: int
    work: str = ""
    species: str | None = None
    lot: str | None = None


@dataclass(frozen=True, slots=True)
class DropHours:
    """Take back hours noted by mistake."""

    number: int


@dataclass(frozen=True, slots=True)
class SetCare:
    """The care weight of a stage for one category of cost alone, from a day on."""

    category: str
    species: str
    stage: str
    weight: int
    """In thousandths."""
    from_on: dt.date
    note: str = ""


@dataclass(frozen=True, slots=True)
class SetStandardCost:
    """The standard cost of one animal of a stage, from a day on: for the other valuation of a year's end only."""

    species: str
    stage: str
    amount: int
    from_on: dt.date
    source: str = "as entered by the keeper"


@dataclass(frozen=True, slots=True)
class PayCost:
    """An older cost is paid, or part of it; the amount is in minor units, as in every command."""

    cost: int
    on: dt.date
    amount: int
    note: str = ""


@dataclass(frozen=True, slots=True)
class RefundCost:
    """Part of what was paid for a cost came back."""

    cost: int
    on: dt.date
    amount: int
    note: str = ""


@dataclass(frozen=True, slots=True)
class EndWindow:
    """A cost was used up by another day than thought."""

    cost: int
    on: dt.date
    window_to: dt.date
    note: str = ""


@dataclass(frozen=True, slots=True)
class Dispose:
    """Equipment was sold or thrown away; what is left of its cost ends on that day."""

    cost: int
    on: dt.date
    proceeds: int = 0
    note: str = ""


@dataclass(frozen=True, slots=True)
class ReverseCost:
    """Take back a cost entered by mistake."""

    cost: int
    note: str = ""


@dataclass(frozen=True, slots=True)
class CorrectCost:
    """Take back a cost and record it anew as it should have been, in one act."""

    cost: int
    spend: Spend
    """As it should have been; what a form does not ask for (share, days, residual value, sale) stays as it was."""


@dataclass(frozen=True, slots=True)
class SetMethod:
    """A dated figure of method: 'brood', 'cost basis', 'hour rate' (minor units), 'share <category>' (as 'Spend')."""

    name: str
    value: str
    from_on: dt.date
    note: str = ""
