"""Names that a command would write into the ledger for the first time, said before and after it is recorded.

A mistyped buyer must not become a customer unseen. Reads a command and the known names; never imports the screen
library.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator

from ledger.costs.commands import CorrectCost, Spend
from ledger.selling.commands import GiveAway, PlaceHold, PostSale, Sell, SpendFromBox, Swap
from ledger.stock.commands import AddLot, SetLotFact
from ledger.text import quoted
from ledger.wording import say
from tui.jot_words import Vocabulary, near, or_list

_DAYLIKE = re.compile(
    r"""(?: today | tomorrow | yesterday | tonight | now | soon | later | morning | evening | noon | week | weekend
    | mon(?:day)? | tues?(?:day)? | wed(?:nesday)? | thu(?:rs(?:day)?)? | fri(?:day)? | sat(?:urday)? | sun(?:day)?
    | jan(?:uary)? | feb(?:ruary)? | mar(?:ch)? | apr(?:il)? | may | june? | july? | aug(?:ust)? | sept?(?:ember)?
    | oct(?:ober)? | nov(?:ember)? | dec(?:ember)?
    | \d{1,2}(?:st|nd|rd|th)? | \d{1,2}[./]\d{1,2}\.? | \d{1,4}[-./]\d{1,2}[-./]\d{1,4} | \d{4} | \d{1,2}:\d{2} )""",
    re.IGNORECASE | re.VERBOSE,
)
"""A last word that is more often part of a day than of a name."""


PAYMENT_WORDS = ("cash", "card", "transfer", "paid", "bank", "cheque")
"""A last word that is more often a way to pay than part of a name."""


def new_names(command: object, vocabulary: Vocabulary) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """What to say of the names a command brings.

    Returns:
        Sentences for new names ('New customer: Tarn.'), and cautions about them: a name much like a known one, or
        one that ends like a day.
    """
    fresh: list[str] = []
    doubts: list[str] = []
    for kind, name, known in _named(command, vocabulary):
        bare = " ".join(name.split())
        if not bare or bare.casefold() in {one.casefold() for one in known}:
            continue
        fresh.append(_fresh(kind, bare))
        begun = tuple(one for one in known if one.casefold().startswith(bare.casefold()))
        alike = tuple(dict.fromkeys((*begun, *near(bare, known))))[:3]
        if alike:
            doubts.append(
                say("{bare} is much like {place}, where lots stand already.", bare=quoted(bare), place=or_list(alike))
                if kind == "place"
                else say(
                    "{bare} is much like {or_list}, who is known already.", bare=quoted(bare), or_list=or_list(alike)
                )
            )
        *before, last = bare.split()
        if before and _DAYLIKE.fullmatch(last):
            doubts.append(
                say("{last} at the end of the name looks like a day; a day is no part of a name.", last=quoted(last))
            )
        if before and last.casefold() in PAYMENT_WORDS:
            doubts.append(
                say(
                    "{last} at the end of the name looks like a way to pay; nobody asks for it, leave it out.",
                    last=quoted(last),
                )
                if kind == "supplier"
                else say("{last} at the end of the name looks like a way to pay; write: paid {last}.", last=last)
            )
    return tuple(dict.fromkeys(fresh)), tuple(dict.fromkeys(doubts))


def _fresh(kind: str, name: str) -> str:
    if kind == "customer":
        return say("New customer: {name}.", name=name)
    return say("New supplier: {name}.", name=name) if kind == "supplier" else say("New place: {name}.", name=name)


def _named(command: object, vocabulary: Vocabulary) -> Iterator[tuple[str, str, Collection[str]]]:
    """(customer, supplier or place, the name, those known)."""
    if isinstance(command, Sell | PlaceHold):
        yield "customer", command.customer, vocabulary.customers
    if isinstance(command, GiveAway):
        yield "customer", command.to, vocabulary.customers
    if isinstance(command, Sell | PostSale):
        for cost in command.selling_costs:
            yield "supplier", cost.supplier, vocabulary.suppliers
    if isinstance(command, Swap):
        yield "customer", command.partner, vocabulary.customers
        yield from _named(command.into_lot, vocabulary)
    if isinstance(command, CorrectCost | SpendFromBox):
        yield from _named(command.spend, vocabulary)
    if isinstance(command, Spend):
        yield "supplier", command.supplier, vocabulary.suppliers
    if isinstance(command, SetLotFact) and command.fact == "place":
        yield "place", command.value, tuple(vocabulary.places)
    if isinstance(command, AddLot):
        yield "place", command.place, tuple(vocabulary.places)
    if isinstance(command, AddLot) and command.origin is not None:
        yield "supplier", command.origin.supplier, vocabulary.suppliers
