"""Commands of selling: customers, prices, holds, sales, posting, credits. Amounts in minor units."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class AddCustomer:
    name: str
    contact: str = ""
    kind: str = "retail"
    note: str = ""


@dataclass(frozen=True, slots=True)
class SetPrice:
    """Price of a pack from a day on."""

    species: str
    stage: str
    amount: int
    from_on: dt.date
    animals: int = 1
    sex: str = "any"
    pack: str = "single"
    buyer: str = "retail"


@dataclass(frozen=True, slots=True)
class Pick:
    """Animals to hold or sell: from a lot, with stage, sex and tub as far as said."""

    lot: str
    count: int
    stage: str | None = None
    sex: str | None = None
    tub: str | None = None


@dataclass(frozen=True, slots=True)
class PlaceHold:
    """Promise animals to a buyer until a moment."""

    customer: str
    picks: tuple[Pick, ...]
    made_on: dt.date
    until: str
    """2025-06-15 or 2025-06-15T18:00; a day alone ends at 23:59."""
    deposit: int = 0
    deposit_method: str = "cash"
    note: str = ""
    number: str | None = None
    """A number of the keeper's own; `None`: the next one."""


@dataclass(frozen=True, slots=True)
class ReleaseHold:
    hold: str
    on: dt.date
    deposit: str = "none"
    """none, refunded, kept."""
    note: str = ""


@dataclass(frozen=True, slots=True)
class DecideDeposit:
    """What becomes of the deposit of a hold that lapsed."""

    hold: str
    outcome: str
    """refunded or kept."""
    on: dt.date
    note: str = ""


@dataclass(frozen=True, slots=True)
class LineOf:
    """One line of a sale."""

    lot: str
    count: int
    price: int | None = None
    """For the whole line; `None`: from the price list."""
    stage: str | None = None
    sex: str | None = None
    tub: str | None = None
    extra: int = 0
    discount: int = 0
    pack: str = ""
    claim: str | None = None
    """An origin to state, if weaker than derived ('CBU'); a stronger one is refused."""
    price_zero_reason: str = ""
    """Needed when the line is free of charge."""


@dataclass(frozen=True, slots=True)
class Charge:
    kind: str
    """postage, packing, other."""
    amount: int
    text: str = ""


@dataclass(frozen=True, slots=True)
class Paid:
    amount: int | None
    """`None`: all that is still to be paid of the sale."""
    method: str = "cash"
    on: dt.date | None = None
    """`None`: on the day of the sale."""


@dataclass(frozen=True, slots=True)
class SellingCost:
    """A direct cost of one sale: postage paid, packing, payment fee."""

    category: str
    amount: int
    supplier: str = ""
    text: str = ""


@dataclass(frozen=True, slots=True)
class Sell:
    """Sell animals with their origin stated."""

    lines: tuple[LineOf, ...]
    sold_on: dt.date
    customer: str = ""
    """Name of a known customer, or of a new one, or nothing."""
    channel: str = "collection"
    """post, fair, collection, trade, swap, other."""
    charges: tuple[Charge, ...] = ()
    paid: tuple[Paid, ...] = ()
    selling_costs: tuple[SellingCost, ...] = ()
    to_post: bool = False
    """The animals stay in their tub until posted."""
    hold: str | None = None
    """Number of the hold taken up; its deposit counts as paid."""
    note: str = ""


@dataclass(frozen=True, slots=True)
class PostSale:
    sale: str
    on: dt.date
    selling_costs: tuple[SellingCost, ...] = ()


@dataclass(frozen=True, slots=True)
class ReplaceShort:
    """Set animals of the same lot, stage and sex aside in place of those of a sale that died before posting."""

    sale: str
    position: int
    """Line number on the sale, from 1."""
    on: dt.date
    tub: str | None = None


@dataclass(frozen=True, slots=True)
class TakePayment:
    sale: str
    amount: int
    on: dt.date
    method: str = "cash"
    note: str = ""


@dataclass(frozen=True, slots=True)
class CreditLine:
    position: int
    """Line number on the sale, from 1; 0 for a charge."""
    amount: int
    count: int = 0
    back: int = 0
    """How many came back alive."""
    text: str = ""


@dataclass(frozen=True, slots=True)
class CreditSale:
    """Correct a sale: in full (its movements are taken back), or by lines."""

    sale: str
    on: dt.date
    reason: str
    lines: tuple[CreditLine, ...] = ()
    """Empty: the whole sale is undone."""
    refund: bool = True
    """Whether the money goes back at once."""
    method: str = "cash"


@dataclass(frozen=True, slots=True)
class Swap:
    """Animals out against animals in at an agreed value each way, without cash."""

    out: tuple[Pick, ...]
    into_lot: object
    """An AddLot whose arrivals are 'swapped in'."""
    value: int
    on: dt.date
    partner: str = ""
    note: str = ""
