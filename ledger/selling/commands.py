"""Commands of selling: customers, prices, holds, sales, posting, credits. Amounts in minor units."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from ledger.costs.commands import Spend


@dataclass(frozen=True, slots=True)
class AddCustomer:
    """A buyer, before or without a sale."""

    name: str
    contact: str = ""
    kind: str = "retail"
    note: str = ""


@dataclass(frozen=True, slots=True)
class ChangeCustomer:
    """Change how a customer is reached, which prices they pay, or the remark; the name stays as sales have it."""

    customer: str
    """Name, as it stands in the list of customers."""
    contact: str | None = None
    """`None`: as it was."""
    kind: str | None = None
    note: str | None = None


@dataclass(frozen=True, slots=True)
class EraseCustomer:
    """Erase what is known of a person, at their request; sales and their origins stay."""

    customer: str
    """Name, as it stands in the list of customers."""
    on: dt.date


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
    extra: int = 0
    """Animals given on top."""


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
    """2025-06-15 or 2025-06-15T18:00; a day alone ends at 23:59. '48h': so many hours from now."""
    deposit: int = 0
    deposit_method: str = "cash"
    note: str = ""
    number: str | None = None
    """A number of the keeper's own; `None`: the next one."""


@dataclass(frozen=True, slots=True)
class ReleaseHold:
    """A hold ends before its time, and its animals are free again."""

    hold: str
    on: dt.date
    deposit: str = "none"
    """none, refunded, kept."""
    note: str = ""


@dataclass(frozen=True, slots=True)
class JoinQueue:
    """Another buyer would take the animals of a hold if it ends."""

    hold: str
    customer: str
    on: dt.date
    count: int | None = None
    """`None`: all of them."""
    note: str = ""


@dataclass(frozen=True, slots=True)
class LeaveQueue:
    """A buyer waits no longer."""

    place: int
    """Number of the place in the queue."""
    on: dt.date


@dataclass(frozen=True, slots=True)
class OfferNext:
    """Hold the animals of a hold that is over for the first buyer in its queue."""

    hold: str
    on: dt.date
    until: str
    deposit: int = 0
    deposit_method: str = "cash"


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
class PackOf:
    """Animals of one or several lots sold together at one price; each lot keeps a line of its own."""

    name: str
    """pair 1.1, group of 10, pack of 10 unsexed + 1, ootheca, colony of 20, ... or a name of the keeper's own."""
    picks: tuple[Pick, ...]
    """All that is handed over, what is given on top included."""
    price: int | None = None
    """For all of it; `None`: from the price list."""
    extra: int | None = None
    """How many of them are given on top; `None`: as the name or the price list says."""
    discount: int = 0
    weights: tuple[int, ...] = ()
    """How the price is split, one for each pick; empty: as they would be priced alone, else by number."""
    price_zero_reason: str = ""


@dataclass(frozen=True, slots=True)
class Charge:
    """What a sale charges beside its animals, in minor units."""

    kind: str
    """postage, packing, other."""
    amount: int
    text: str = ""


@dataclass(frozen=True, slots=True)
class Paid:
    """What is paid with a sale, in minor units."""

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
    packs: tuple[PackOf, ...] = ()
    """Sold together at one price, beside the lines."""


@dataclass(frozen=True, slots=True)
class PostSale:
    """A sale was handed to the carrier, with the weather as it was read."""

    sale: str
    on: dt.date
    selling_costs: tuple[SellingCost, ...] = ()
    coldest: int | None = None
    """Degrees Celsius expected on the way, as the keeper read them; `None`: not said."""
    warmest: int | None = None
    anyway: str = ""
    """Why it was posted outside the keeper's own limits."""


@dataclass(frozen=True, slots=True)
class HoldParcel:
    """A parcel waits: for the weather, a holiday, an answer."""

    sale: str
    why: str
    on: dt.date
    look_on: dt.date | None = None


@dataclass(frozen=True, slots=True)
class LetParcelGo:
    """A parcel no longer waits."""

    sale: str
    on: dt.date


@dataclass(frozen=True, slots=True)
class NoteArrival:
    """A parcel arrived, as the buyer said."""

    sale: str
    on: dt.date
    clock: str = ""
    """14:30, or empty."""
    note: str = ""


@dataclass(frozen=True, slots=True)
class RecordClaim:
    """Animals of a line arrived dead, as the buyer said."""

    sale: str
    position: int
    """Line number on the sale, from 1."""
    dead: int
    on: dt.date
    """Day it was reported."""
    hours: int | None = None
    """From arrival to the report; `None`: not said."""
    evidence: str = ""
    """What was seen of it: a picture, a film, the buyer's word."""


@dataclass(frozen=True, slots=True)
class DecideClaim:
    """What a claim comes to."""

    claim: int
    outcome: str
    """refund, replacement, goodwill or declined."""
    on: dt.date
    amount: int | None = None
    """Of a refund (`None`: the price of the animals, without postage) or of goodwill in money."""
    refund: bool = True
    """Whether the money goes back at once."""
    method: str = "cash"
    lot: str | None = None
    """A replacement, or goodwill in animals, comes from this lot; `None`: from the lot of the line."""
    tub: str | None = None
    note: str = ""
    animals: int | None = None
    """So many are sent as goodwill, free of charge, in place of money."""


@dataclass(frozen=True, slots=True)
class FlagSpecies:
    """What the keeper knows of rules for a species: a reminder, never a finding."""

    species: str
    kind: str
    """protected, invasive, permit or post limit."""
    from_on: dt.date
    text: str = ""
    number: str = ""
    """Of a permit or document."""
    expires_on: dt.date | None = None


@dataclass(frozen=True, slots=True)
class EndFlag:
    """A reminder no longer counts."""

    flag: int
    on: dt.date


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
    """Money for a sale; negative: given back because more was paid than is due."""

    sale: str
    amount: int
    on: dt.date
    method: str = "cash"
    note: str = ""
    fee: int = 0
    """What the bank or card company kept of it: a selling cost of the sale."""
    overpaid: bool = False
    """It is known to be more than is owed; the rest is to be given back."""


@dataclass(frozen=True, slots=True)
class CreditLine:
    """What of one line of a sale is credited, in minor units."""

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
    repacked: bool = False
    """The pack of a fair that it was lies packed again by the same act."""
    never: bool = False
    """In full only: it was entered by mistake. It is credited on its own day, and each payment is taken back on its
    own, so that no other year is changed by it; where a year is closed meanwhile, all falls into the first open one."""


@dataclass(frozen=True, slots=True)
class GiveAway:
    """Animals leave without a sale: a gift, a sample for a school, or for the keeper's own use."""

    picks: tuple[Pick, ...]
    on: dt.date
    kind: str
    """gift, sample or own use."""
    to: str = ""
    """Who got them; empty: not said."""
    note: str = ""


@dataclass(frozen=True, slots=True)
class LendOut:
    """A breeding loan: animals go to somebody else and stay the keeper's own."""

    lot: str
    to: str
    on: dt.date
    terms: str = ""
    """What was agreed, such as who gets which young."""
    picks: tuple[Pick, ...] = ()
    """Of that lot; empty: all of it."""
    new_code: str = ""
    """Code of the lot that is split off for the loan, if only some go."""
    back_by: dt.date | None = None
    """Agreed day; `None`: none was."""


@dataclass(frozen=True, slots=True)
class LoanBack:
    """Lent animals are with their owner again."""

    lot: str
    on: dt.date
    note: str = ""


@dataclass(frozen=True, slots=True)
class PlanFair:
    """A fair one means to sell at."""

    name: str
    held_on: dt.date
    last_on: dt.date | None = None
    """`None`: one day."""
    cash_float: int = 0
    """Change taken along."""
    note: str = ""


@dataclass(frozen=True, slots=True)
class ChangeFair:
    """A fair that is not settled yet is planned anew; what is `None` stays as it is."""

    fair: str
    name: str | None = None
    held_on: dt.date | None = None
    last_on: dt.date | None = None
    """`None`: it lasts as long as before."""
    cash_float: int | None = None
    note: str | None = None


@dataclass(frozen=True, slots=True)
class CallOffFair:
    """A fair is not gone to: its packs are taken apart."""

    fair: str


@dataclass(frozen=True, slots=True)
class PackForFair:
    """Put packs together for a fair: their animals are kept back for it."""

    fair: str
    mark: str
    """The key they are sold by."""
    pack: str
    picks: tuple[Pick, ...]
    """Of one pack, what is given on top included."""
    packs: int = 1
    price: int | None = None
    """Of one; `None`: from the price list of the fair's first day."""
    extra: int = 0
    """How many of the animals of one pack are given on top."""


@dataclass(frozen=True, slots=True)
class Unpack:
    """Packs of a fair are taken apart: their animals are free again."""

    fair: str
    mark: str
    packs: int = 1
    lots: tuple[str, ...] = ()
    """Only packs of animals of these lots; none: whatever has the mark."""


@dataclass(frozen=True, slots=True)
class PackAgain:
    """Packs of a fair that were brought back and credited in full lie packed again."""

    fair: str
    mark: str
    packs: int = 1


@dataclass(frozen=True, slots=True)
class SellFairPack:
    """The next pack with that mark is sold and handed over."""

    fair: str
    mark: str
    on: dt.date
    method: str = "cash"
    """How it was paid; empty: not yet."""
    price: int | None = None
    """`None`: as it was packed."""
    customer: str = ""
    lots: tuple[str, ...] = ()
    """Only a pack of animals of these lots; none: whatever has the mark."""


@dataclass(frozen=True, slots=True)
class SpendOnFair:
    """Table fee, mileage and the like."""

    fair: str
    category: str
    amount: int
    on: dt.date
    text: str = ""
    from_cash: bool = False
    """Paid out of the cash of the fair."""


@dataclass(frozen=True, slots=True)
class SpendFromBox:
    """Something was bought, of any kind, and paid out of the cash of the fair that is held that day."""

    spend: Spend
    fair: str = ""
    """Empty: the one that is open on the day."""


@dataclass(frozen=True, slots=True)
class DriveToFair:
    """Kilometres driven for a fair, at the keeper's own rate."""

    fair: str
    km: str
    """As typed: 84, or 84.5."""
    on: dt.date
    rate: str = ""
    """Of one kilometre, in the ledger's currency; empty: as it is set."""
    text: str = ""
    """Beside how it was reckoned."""


@dataclass(frozen=True, slots=True)
class EndFair:
    """Count the cash; what was not sold comes back."""

    fair: str
    on: dt.date
    counted: int
    note: str = ""
    put_in: int = 0
    """Other cash put in, that nothing else on record tells."""
    taken_out: int = 0
    why: str = ""
    """What was put in or taken out."""


@dataclass(frozen=True, slots=True)
class TellOfSale:
    """Write the correction notes for every line of a sale that states what no longer holds."""

    sale: str
    on: dt.date
    why: str = ""


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
