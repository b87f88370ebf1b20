"""What mortality costs: for each species and year, the same spending without losses, at the expected loss, and as it
was; and the difference in money.

Over lots that finished rearing in the year. Spending S is the cost that moved into the reared stage and the losses
written off; of N animals reared or lost, the n lost took S x n / N with them. Of that S x (1 - p) was to be expected
when a share p was expected to be reared; the rest is beyond it, or below nought when more were reared. The same pattern
as Hastings, The Dollar Hen (1909): entry cost over survival.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from sqlalchemy import Connection, select

from ledger.costs.account import account
from ledger.errors import Refused
from ledger.rearing.cohort import LotHistory, lot_flows
from ledger.rearing.report import Reckoned, clock_day
from ledger.records import tables as t
from ledger.records.periods import period_by_year
from ledger.records.undone import stands
from ledger.stock.events import Event, without_reversed
from ledger.stock.journal import events
from ledger.stock.naming import StageRef, find_species, stages
from ledger.wording import say

MILLION = 10**6
SAYS = (
    say(
        "Of lots that finished rearing in the year. The losses' part of what was spent on all that were "
        "reared or lost; beyond expected: more than the loss rates set, or the planning survival, allow."
    ),
    say(
        "The losses written off at the year end are another figure: of what was lost in that year at any stage, only "
        "the part no survivor carries; here both parts are counted, once a lot has finished."
    ),
)
"""What the figures are of; stands under them."""


@dataclass(frozen=True, slots=True)
class MortalityRow:
    """One species in one year. Amounts exact, in minor units."""

    species: str
    year: int
    lots: tuple[str, ...]
    """Lots that finished rearing in the year."""
    reared: int
    lost: int
    expected_share: Fraction | None
    """Share of those entering that was expected to be reared; `None`: no loss rate and no planning survival is set."""
    spent: Fraction
    """Cost that moved into the reared stage, and losses written off."""
    without_losses: Fraction | None
    """Each reared adult, had none been lost."""
    at_expected: Fraction | None
    """Each reared adult, had as many been lost as expected."""
    actual: Fraction | None
    """Each reared adult as it was, written-off losses included."""
    price: Fraction
    """What the losses took with them, in all."""
    beyond: Fraction | None
    """The part of it beyond what was expected; below nought when more were reared than expected."""
    why: str
    """Why there is no figure; empty when there is."""


def mortality(conn: Connection, year: int, *, today: dt.date, species: str | None = None) -> tuple[MortalityRow, ...]:
    """The price of mortality of each species in an accounting year.

    Args:
        conn: an open reading connection.
        year: the accounting year.
        today: days after it are not looked at.
        species: code of one species only.

    Raises:
        BadInput: there is no such year.
        NotFound: there is no such species.
    """
    only = None if species is None else find_species(conn, species).id
    period = period_by_year(conn, year)
    last = min(period.last_day, today)
    eve = period.first_day - dt.timedelta(days=1)
    costs = account(conn, last, by_stage=True)
    by_lot: dict[int, list[Event]] = defaultdict(list)
    for event in without_reversed(events(conn), by="happened_on"):
        for lot_id in {event.from_lot, event.to_lot}:
            if lot_id is not None:
                by_lot[lot_id].append(event)
    rows = []
    for kind in conn.execute(select(t.species).order_by(t.species.c.code)):
        if only not in (None, kind.id):
            continue
        ladder = stages(conn, kind.id)
        reared = next(stage.position for stage in ladder if stage.reared)
        own: dict[int, str] = {}
        done: dict[int, LotHistory] = {}
        for lot in conn.execute(
            select(t.lot).where(t.lot.c.species_id == kind.id, t.lot.c.started_from <= last).order_by(t.lot.c.id)
        ):
            own[lot.id] = lot.code
            clock = clock_day(lot.started_from, lot.started_on)
            try:
                history, before = (
                    lot_flows(by_lot[lot.id], {lot.id}, clock, ladder, reared, day.toordinal()) for day in (last, eve)
                )
            except Refused:
                continue
            tie = history.tie
            rearing_then = before.tie.pending or before.tie.entered < tie.entered
            if tie.entered and not tie.pending and tie.reached + tie.lost and rearing_then:
                done[lot.id] = history
        if not done:
            continue
        reckoned = Reckoned(costs, set(own), kind.id, ladder, [event for one in own for event in by_lot[one]])
        known = [lot_id for lot_id in done if not reckoned.unknown([lot_id])]
        expected = _expected(conn, ladder, [done[lot_id] for lot_id in known], last)
        rows.append(_row(kind.code, year, [own[lot_id] for lot_id in known], reckoned, done, known, expected))
    return tuple(rows)


def _row(
    species: str,
    year: int,
    codes: list[str],
    reckoned: Reckoned,
    done: dict[int, LotHistory],
    known: list[int],
    expected: Fraction | None,
) -> MortalityRow:
    reached = sum(done[lot_id].tie.reached for lot_id in known)
    lost = sum(done[lot_id].tie.lost for lot_id in known)
    number = reached + lost
    spent = reckoned.spent(known)
    if not known:
        why = say("what was spent before the ledger was opened is not known")
    elif not reached:
        why = "none reared"
    else:
        why = ""
    price = spent * lost / number if number else Fraction(0)
    return MortalityRow(
        species,
        year,
        tuple(codes),
        reached,
        lost,
        expected,
        spent,
        spent / number if reached else None,
        spent / (number * expected) if reached and expected else None,
        spent / reached if reached else None,
        price,
        None if expected is None or not number else price - spent * (1 - expected),
        why,
    )


def _expected(
    conn: Connection, ladder: tuple[StageRef, ...], histories: Iterable[LotHistory], on: dt.date
) -> Fraction | None:
    """Share expected to be reared of the animals of some lots, each from the stage it was first counted at.

    A loss rate, where the keeper set one, comes before the planning survival of a template.
    """
    rates: dict[int, Fraction] = {}
    for row in conn.execute(
        select(t.figure.c.stage_id, t.figure.c.name, t.figure.c.value)
        .where(t.figure.c.name.in_(("planning survival", "loss rate")), t.figure.c.from_on <= on)
        .where(stands(t.figure.c.operation_id))
        .where(t.figure.c.stage_id.in_([stage.id for stage in ladder]))
        .order_by(t.figure.c.name.desc(), t.figure.c.from_on, t.figure.c.id)
    ):
        through = row.value if row.name == "planning survival" else MILLION - row.value
        rates[row.stage_id] = Fraction(through, MILLION)
    young = [stage for stage in ladder if stage.unit == "animal"]
    young = young[: next(place for place, stage in enumerate(young) if stage.reared)]
    if not any(stage.id in rates for stage in young):
        return None
    reared, number = Fraction(0), 0
    for history in histories:
        through = Fraction(1)
        begun = False
        for stage in young:
            begun = begun or stage.name == history.first_stage
            if begun:
                through *= rates.get(stage.id, Fraction(1))
        entered = history.tie.reached + history.tie.lost
        reared += entered * through
        number += entered
    return reared / number if number else None
