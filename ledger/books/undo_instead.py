"""What undo does not take back: why it stays, and what to do instead, in half a sentence."""

from __future__ import annotations

from ledger.wording import say

ENTER_AGAIN = say("what is taken back is not taken back in turn; enter it again")
INSTEAD = {
    "species": say(
        "a species stays in the books; without lots it does no harm, and each of its figures can be set anew"
    ),
    "origin_fact": say("what was said of an origin stays readable; say what is right, and the later word counts"),
    "animal_fact": say("what was said of an animal stays readable; say what is right, and the later word counts"),
    "exposure": say("who was with whom stays readable; say that they were parted, from the same day on"),
    "exposure_end": say("say from which day they were together again"),
    "parent": say("the parents of a lot are told to its buyers; name the right ones, and the later word counts"),
    "hold_fate": say("its animals may be promised elsewhere by now; make the hold again"),
    "deposit_decision": say(
        "money of a deposit was decided on; take it as a new deposit, or give it back as a payment"
    ),
    "queue_end": say(
        "a place in a queue is lost once left or offered; put the buyer into the queue again, or release the "
        "hold that was made"
    ),
    "posting": say("what was posted has left the house; credit the sale if it never did, and sell again"),
    "credit": say("a credit has a number of its own and may be in the buyer's hands; sell the animals again instead"),
    "correction_note": say("the buyer may have been told; write another note with what is right"),
    "claim_outcome": say(
        "what was decided was told to the buyer; credit the sale for anything more, or take a payment for anything less"
    ),
    "loan": say("the animals are lent out; record them as back instead"),
    "loan_end": say("the loan is over; lend the animals out again"),
    "fair": say("packs lie on the fair or were sold at it, or it cost something; call it off, or settle it"),
    "closing": say("a closed year stays closed; what comes to light is accounted in the next"),
    "bring_in_undone": say("bring the file in again"),
}
"""By table, why its rows are not taken back and what to do instead."""
BY_KIND = {
    "Reverse": ENTER_AGAIN,
    "ReverseCost": say("what is taken back is not taken back in turn; enter the cost again"),
    "PutBack": ENTER_AGAIN,
    "DropHours": ENTER_AGAIN,
    "TakeBackFile": INSTEAD["bring_in_undone"],
    "AddCustomer": say("a customer may be named on papers; change the entry, or erase it if the person asks"),
    "ChangeCustomer": say("what was there before is not kept; change it again instead"),
    "EraseCustomer": say("what was erased is gone; enter the customer again"),
    "RefundCost": say("to set it right, take the cost back and enter it again"),
    "Dispose": say("to set it right, take the cost back and enter it again"),
    "ReplaceShort": say("the animals wait to be posted; credit the line if they shall not go"),
    "LendOut": INSTEAD["loan"],
}
"""By kind of act, for those whose rows alone do not tell."""


class CannotUndo(Exception):
    """An act holds something that cannot be taken back."""

    def __init__(self, instead: str) -> None:
        super().__init__(instead)
        self.instead = instead
        """Why, and what to do instead."""
