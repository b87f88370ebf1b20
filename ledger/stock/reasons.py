"""The one table of reasons: what each reason for a movement does to survival, to cost and to the books.

Every engine reads a movement's effect here or from the difference of its two holdings; none of them tests a reason
by its name. The terms are those of survival analysis (delayed entry, censoring) and of process costing.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from ledger.errors import NotFound
from ledger.wording import say, strung


class Direction(StrEnum):
    """Whether a movement comes from outside, stays inside the ledger, or goes out."""

    IN = "in"
    INSIDE = "inside"
    OUT = "out"


class Survival(StrEnum):
    """What a movement is to the survival of its lot."""

    START = "start"
    """Begins life here: at risk from the start of the lot's clock (or from its own day, if that is later)."""
    DELAYED = "delayed"
    """Enters at its age and stage on that day; nothing is said of the time before."""
    LEFT_OUT = "left out"
    """Never part of the lot's survival (a parent on loan, a dried specimen)."""
    TRANSITION = "transition"
    """From one stage to another."""
    NONE = "none"
    LINK = "link"
    """Split or merge: censored on one side, delayed entry on the other, on the same clock."""
    LOST = "lost"
    CENSORED = "censored"


class Cost(StrEnum):
    """What a movement does to the cost carried by (lot, stage)."""

    NOT_KNOWN = "not known"
    """Opening stock: nothing is carried and the lot is marked so."""
    PRICE = "price"
    """The price or agreed value, and carriage, come in."""
    BROOD = "brood"
    """Starts with the brood pool of the mother's lot."""
    NOTHING = "nothing"
    """Comes in without cost."""
    BACK = "back"
    """Comes back at the cost it left at."""
    LOAN = "loan"
    """Never carries cost; its share of shared costs goes to the brood pool of its lot."""
    MOVE = "move"
    """The average share k B/n moves along."""
    STAY = "stay"
    """Moves inside one (lot, stage): nothing changes."""
    DEATH = "death"
    """Carried by the survivors within the expected loss, written off beyond it."""
    DRIED = "dried"
    """As a death; the specimen that remains costs nothing."""
    LEAVE = "leave"
    """The average share k B/n leaves."""
    HATCH = "hatch"
    """Objects that hatch: their cost passes to the animals hatched from them."""


@dataclass(frozen=True, slots=True)
class Reason:
    """One reason for a movement."""

    name: str
    direction: Direction
    survival: Survival
    cost: Cost
    books: str
    """The line of the year-end stock reconciliation it belongs to."""
    done: str
    """The verb of the sentence shown for it: '3 larvae <done>'."""
    by_hand: bool = True
    """False where only another act (a sale, a split) may record it."""


REASONS: dict[str, Reason] = {
    reason.name: reason
    for reason in (
        Reason("opening", Direction.IN, Survival.DELAYED, Cost.NOT_KNOWN, "opening", "were here at the start"),
        Reason("bought", Direction.IN, Survival.DELAYED, Cost.PRICE, "bought", "bought"),
        Reason("swapped in", Direction.IN, Survival.DELAYED, Cost.PRICE, "bought", "came in by swap"),
        Reason("collected", Direction.IN, Survival.START, Cost.BROOD, "bred", "collected"),
        Reason("laid", Direction.IN, Survival.START, Cost.BROOD, "bred", "laid here"),
        Reason("hatched", Direction.IN, Survival.START, Cost.BROOD, "bred", "hatched here"),
        Reason("harvested", Direction.IN, Survival.START, Cost.BROOD, "bred", "harvested from a colony"),
        Reason("found", Direction.IN, Survival.DELAYED, Cost.NOTHING, "other", "found at count"),
        Reason("returned", Direction.IN, Survival.DELAYED, Cost.BACK, "returned", "came back alive", by_hand=False),
        Reason("lent in", Direction.IN, Survival.LEFT_OUT, Cost.LOAN, "not owned", "lent to us"),
        Reason("next stage", Direction.INSIDE, Survival.TRANSITION, Cost.MOVE, "stage", "moved on"),
        Reason("sexed", Direction.INSIDE, Survival.NONE, Cost.STAY, "none", "sexed"),
        Reason("sex corrected", Direction.INSIDE, Survival.NONE, Cost.STAY, "none", "sex corrected"),
        Reason("tub moved", Direction.INSIDE, Survival.NONE, Cost.STAY, "none", "moved to another tub"),
        Reason("split", Direction.INSIDE, Survival.LINK, Cost.MOVE, "split", "split off", by_hand=False),
        Reason("merged", Direction.INSIDE, Survival.LINK, Cost.MOVE, "split", "merged", by_hand=False),
        Reason("dried", Direction.INSIDE, Survival.LOST, Cost.DRIED, "died", "kept as dried specimens"),
        Reason("hatched out", Direction.OUT, Survival.TRANSITION, Cost.HATCH, "other", "hatched out", by_hand=False),
        Reason("died", Direction.OUT, Survival.LOST, Cost.DEATH, "died", "died"),
        Reason("missing", Direction.OUT, Survival.LOST, Cost.DEATH, "died", "missing at count"),
        Reason("culled", Direction.OUT, Survival.LOST, Cost.DEATH, "died", "culled"),
        Reason("escaped", Direction.OUT, Survival.CENSORED, Cost.DEATH, "other", "escaped"),
        Reason("sold", Direction.OUT, Survival.CENSORED, Cost.LEAVE, "sold", "sold", by_hand=False),
        Reason("swapped out", Direction.OUT, Survival.CENSORED, Cost.LEAVE, "sold", "went out by swap", by_hand=False),
        Reason(
            "goodwill", Direction.OUT, Survival.CENSORED, Cost.LEAVE, "goodwill", say("sent as goodwill"), by_hand=False
        ),
        Reason("given away", Direction.OUT, Survival.CENSORED, Cost.LEAVE, "given", "given away"),
        Reason("own use", Direction.OUT, Survival.CENSORED, Cost.LEAVE, "own use", "taken for own use"),
        Reason("used as feed", Direction.OUT, Survival.CENSORED, Cost.LEAVE, "used as feed", "used as feed"),
        Reason("loan returned", Direction.OUT, Survival.LEFT_OUT, Cost.LOAN, "not owned", "went back to their owner"),
    )
}
"""By name. Lent out is a status of a lot, not an exit, so it is not here."""

CAUSES = ("unknown", "ordinary", "exceptional")
"""Causes of a death. `exceptional`: heater failed, mould. A missing animal counts as `unknown`, a culled one as
`ordinary`, an escaped one as `unknown`."""


def reason(name: str) -> Reason:
    """The reason called `name`.

    Raises:
        NotFound: there is no such reason.
    """
    try:
        return REASONS[name]
    except KeyError:
        raise NotFound(
            say(
                "“{name}” is not a reason for a movement; choose one of: {reasons}.",
                name=name,
                reasons=strung(REASONS, ", "),
            )
        ) from None
