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
    share: int = 10000
    """Business share in hundredths of a percent."""
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
class PayCost:
    cost: int
    on: dt.date
    amount: int
    note: str = ""


@dataclass(frozen=True, slots=True)
class RefundCost:
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
class SetMethod:
    """A dated figure of method ('brood', 'cost basis', 'sharing <category>')."""

    name: str
    value: str
    from_on: dt.date
    note: str = ""
