"""The lines of the income sheet: their numbers, names and what is in them. Numbers join the sheets of a workbook, so
that no user's text is ever a search pattern.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from ledger.books.sources import AT_START, BOUGHT, LENT, RAISED
from ledger.wording import say

SOLD = {RAISED: 110, BOUGHT: 120, AT_START: 130, LENT: 130}
"""By source of the lot; animals on loan are not sold."""
CHARGES = 140
DEPOSITS_HELD_END, DEPOSITS_HELD_START = 145, 146
"""Only where the method counts deposits on receipt."""
DEPOSITS = 150
PROCEEDS = 160

ANIMALS_BOUGHT = 210
EQUIPMENT_BOUGHT = 220
SELLING = 230
RUNNING = 2001
"""The first category of running costs; the others follow in alphabetical order."""

STOCK_CHANGE, BROOD_CHANGE, UNUSED_CHANGE, EQUIPMENT_CHANGE = 310, 320, 330, 340
CHANGES = (STOCK_CHANGE, BROOD_CHANGE, UNUSED_CHANGE, EQUIPMENT_CHANGE)
RESULT = 390

INCOME_AGAIN = 410
COST_SOLD, COST_GOODWILL, COST_GIVEN, COST_OWN_USE, COST_FEED, COST_OTHER = 420, 425, 430, 440, 450, 455
COST_OF_SOLD = {RAISED: COST_SOLD, BOUGHT: 421, AT_START: 422, LENT: 422}
"""By source of the lot, as the sales are."""
WRITTEN_OFF, NO_ANIMALS, BROOD_ENDED = 460, 470, 480
SELLING_AGAIN, DISPOSED = 485, 490
RESULT_AGAIN = 499

CASH_RESULT = 500
OWED_BY_CUSTOMERS, PAID_AHEAD, DEPOSITS_HELD, OWED_TO_SUPPLIERS = 510, 520, 530, 540
DEPOSITS_COUNTED = 531
BRIDGE_STOCK, BRIDGE_BROOD, BRIDGE_UNUSED, BRIDGE_EQUIPMENT = 550, 560, 570, 580
SWAPS_OUT, SWAPS_IN = 591, 592
BRIDGE_RESULT = 599

NAMES: Mapping[int, str] = {
    110: say("Animals raised here"),
    120: say("Animals bought in"),
    130: say("Animals here at the start"),
    CHARGES: say("Postage and other charges to customers"),
    DEPOSITS_HELD_END: say("Deposits held at the end of the year, counted on receipt"),
    DEPOSITS_HELD_START: say("Deposits held at its start, counted on receipt before"),
    DEPOSITS: say("Deposits on holds, also of those taken up"),
    PROCEEDS: say("Equipment disposed of: proceeds"),
    ANIMALS_BOUGHT: say("Animals bought"),
    EQUIPMENT_BOUGHT: say("Equipment bought"),
    SELLING: say("Selling costs"),
    STOCK_CHANGE: say("Change in cost so far of animals on hand"),
    BROOD_CHANGE: say("Change in brood"),
    UNUSED_CHANGE: say("Change in costs not used up"),
    EQUIPMENT_CHANGE: say("Change in equipment"),
    RESULT: say("Result"),
    INCOME_AGAIN: say("Income as above, without equipment"),
    420: say("Cost of animals sold: raised here"),
    421: say("Cost of animals sold: bought in"),
    422: say("Cost of animals sold: here at the start"),
    COST_GOODWILL: say("Cost of animals sent as goodwill, a selling cost"),
    COST_GIVEN: say("Cost of animals given away (may be taxable; ask)"),
    COST_OWN_USE: say("Cost of animals for own use (may be taxable; ask)"),
    COST_FEED: say("Cost of animals used as feed"),
    COST_OTHER: say("Cost of animals that left otherwise"),
    WRITTEN_OFF: say("Losses no survivor carries, written off"),
    NO_ANIMALS: say("Costs with no animals to carry them"),
    BROOD_ENDED: say("Upkeep of breeders that no young will carry"),
    SELLING_AGAIN: say("Selling costs, as above"),
    DISPOSED: say("Equipment disposed of: what was left, less proceeds"),
    RESULT_AGAIN: say("Result, the other way"),
    CASH_RESULT: say("Result on the cash basis"),
    OWED_BY_CUSTOMERS: say("+ change in what customers owe"),
    PAID_AHEAD: say("- change in what customers paid ahead"),
    DEPOSITS_HELD: say("- change in deposits held"),
    DEPOSITS_COUNTED: say("+ deposits counted on receipt, as above"),
    OWED_TO_SUPPLIERS: say("- change in what is owed to suppliers"),
    BRIDGE_STOCK: say("+ change in cost so far of animals on hand"),
    BRIDGE_BROOD: say("+ change in brood"),
    BRIDGE_UNUSED: say("+ change in costs not used up"),
    BRIDGE_EQUIPMENT: say("+ change in equipment"),
    SWAPS_OUT: say("+ animals that went out by swap"),
    SWAPS_IN: say("- animals that came in by swap"),
    BRIDGE_RESULT: say("Result on the accruals basis"),
}

_OF_KIND = {"animals": ANIMALS_BOUGHT, "lasting": EQUIPMENT_BOUGHT, "selling": SELLING}


def running_costs(costs: Sequence[tuple[str, str]]) -> dict[str, int]:
    """The line of each category of running costs.

    Args:
        costs: kind and category of each cost of the year.
    """
    categories = sorted({category for kind, category in costs if kind not in _OF_KIND})
    return {category: RUNNING + place for place, category in enumerate(categories)}


def line_of(kind: str, category: str, running: Mapping[str, int]) -> int:
    """The line a cost belongs to."""
    return _OF_KIND[kind] if kind in _OF_KIND else running[category]


OF_BOOKS = {
    "goodwill": COST_GOODWILL,
    "given": COST_GIVEN,
    "own use": COST_OWN_USE,
    "used as feed": COST_FEED,
}
"""The line of the cost that leaves with animals, by what the reason table says of the books; for animals sold, and
for those that come back, see `COST_OF_SOLD`."""
