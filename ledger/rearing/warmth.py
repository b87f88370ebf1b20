"""What is said of warmth wherever days in a stage are told: it is not reckoned with, and why that matters."""

from ledger.wording import say

WARMTH = say(
    "Warmth is not reckoned with: a warmer room makes every stage shorter and a cooler one longer, "
    "for all lots at once. Your own days hold for the room as it was, the usual ones for the warmth "
    "their source gives."
)
