"""What undo does not take back: why it stays, and what to do instead, in half a sentence."""

from __future__ import annotations

ENTER_AGAIN = "what is taken back is not taken back in turn; enter it again"
INSTEAD = {
    "species": "a species stays in the books; without lots it does no harm, and each of its figures can be set anew",
    "origin_fact": "what was said of an origin stays readable; say what is right, and the later word counts",
    "animal_fact": "what was said of an animal stays readable; say what is right, and the later word counts",
    "exposure": "who was with whom stays readable; say that they were parted, from the same day on",
    "exposure_end": "say from which day they were together again",
    "parent": "the parents of a lot are told to its buyers; name the right ones, and the later word counts",
    "hold_fate": "its animals may be promised elsewhere by now; make the hold again",
    "deposit_decision": "money of a deposit was decided on; take it as a new deposit, or give it back as a payment",
    "queue_end": "a place in a queue is lost once left or offered; put the buyer into the queue again, or release the "
    "hold that was made",
    "posting": "what was posted has left the house; credit the sale if it never did, and sell again",
    "credit": "a credit has a number of its own and may be in the buyer's hands; sell the animals again instead",
    "correction_note": "the buyer may have been told; write another note with what is right",
    "claim_outcome": "what was decided was told to the buyer; credit the sale for anything more, or take a payment for "
    "anything less",
    "loan": "the animals are lent out; record them as back instead",
    "loan_end": "the loan is over; lend the animals out again",
    "fair": "a fair stays in the list; settle it with the cash that it has",
    "fair_end": "the cash was counted and what was left is free again; note what is right with the next fair",
    "closing": "a closed year stays closed; what comes to light is accounted in the next",
    "bring_in_undone": "bring the file in again",
}
"""By table, why its rows are not taken back and what to do instead."""
BY_KIND = {
    "Reverse": ENTER_AGAIN,
    "ReverseCost": "what is taken back is not taken back in turn; enter the cost again",
    "PutBack": ENTER_AGAIN,
    "DropHours": ENTER_AGAIN,
    "TakeBackFile": INSTEAD["bring_in_undone"],
    "AddCustomer": "a customer may be named on papers; change the entry, or erase it if the person asks",
    "ChangeCustomer": "what was there before is not kept; change it again instead",
    "EraseCustomer": "what was erased is gone; enter the customer again",
    "RefundCost": "to set it right, take the cost back and enter it again",
    "Dispose": "to set it right, take the cost back and enter it again",
    "ReplaceShort": "the animals wait to be posted; credit the line if they shall not go",
    "LendOut": INSTEAD["loan"],
}
"""By kind of act, for those whose rows alone do not tell."""
