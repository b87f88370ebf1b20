"""How many reared animals will find a buyer, as the sales of the last months have it. Reads only.

So many a week as were sold at the ready stage, for the weeks that rearing takes, or four where it takes less: then the
next may be ready. Sales tell only of times in which there was something to sell, and other lots are sold to the same
buyers; a keeper who knows better says so. Half a year is looked back at, less where the first sale is nearer (common
practice, no source).
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Literal

from sqlalchemy import Connection, func, select

from ledger.records import tables as t
from ledger.stock.words import stage_words
from ledger.wording import counted, decimals, say

WEEKS = 26
FEWEST_WEEKS = 4
"""The least looked back at, and ahead: one early sale says nothing of a week, and the reared wait for their buyers."""

Buyers = int | Literal["all"] | None
"""So many, or as many as there are animals; None: as the ledger has it."""


@dataclass(frozen=True, slots=True)
class Demand:
    """What the sales of a stage tell."""

    sold: int
    """Animals sold in the weeks looked back at."""
    weeks: int
    buyers: int | None
    """To come while animals are reared; None where sales tell nothing."""
    words: str


def demand(conn: Connection, stage_id: int, name: str, on: dt.date, days: float) -> Demand:
    """Buyers to be expected.

    Args:
        conn: an open reading connection.
        stage_id: the stage that is sold, of one species.
        name: of the stage.
        on: the day; later sales are not looked at.
        days: that rearing takes.
    """
    sales = _sales(conn, stage_id, on)
    first = min((day for day, _ in sales), default=None)
    if first is None:
        return Demand(
            0,
            WEEKS,
            None,
            say("No {name} were sold yet: every one is taken to find a buyer.", name=stage_words(name, 2)),
        )
    weeks = min(WEEKS, max(FEWEST_WEEKS, ((on - first).days + 7) // 7))
    sold = sum(count for day, count in sales if (on - day).days < 7 * weeks)
    if not sold:
        words = say(
            "No {name} were sold in the last {weeks} weeks, which does not tell how many could be: every one "
            "is taken to find a buyer.",
            name=stage_words(name, 2),
            weeks=weeks,
        )
        return Demand(0, weeks, None, words)
    ahead = max(float(FEWEST_WEEKS), days / 7)
    buyers = max(1, round(sold / weeks * ahead))
    span = f"{ahead:.0f}"
    ahead_words = (
        say("the {weeks} weeks that rearing takes", weeks=span)
        if ahead > FEWEST_WEEKS
        else say("{weeks} weeks", weeks=span)
    )
    words = counted(
        sold,
        "{n} {stage} was sold in the last {weeks} weeks, {a_week} a week; in {ahead} that makes {buyers}, "
        "whom other lots share.",
        "{n} {stage} were sold in the last {weeks} weeks, {a_week} a week; in {ahead} that makes {buyers}, "
        "whom other lots share.",
        stage=stage_words(name, sold),
        weeks=weeks,
        a_week=decimals(f"{sold / weeks:.1f}"),
        ahead=ahead_words,
        buyers=buyers_words(buyers),
    )
    return Demand(sold, weeks, buyers, words)


def buyers_words(number: int) -> str:
    """'1 buyer', '12 buyers'."""
    return counted(number, "{n} buyer", "{n} buyers")


def _sales(conn: Connection, stage_id: int, on: dt.date) -> list[tuple[dt.date, int]]:
    """Days and animals of the sales of a stage that stand."""
    s, line = t.sale.c, t.sale_line.c
    undone = select(t.credit.c.id).where(t.credit.c.sale_id == s.id, t.credit.c.full == 1).exists()
    rows = conn.execute(
        select(s.sold_on, func.sum(line.count))
        .select_from(t.sale_line)
        .join(t.sale, s.id == line.sale_id)
        .join(t.holding, t.holding.c.id == line.holding_id)
        .where(t.holding.c.stage_id == stage_id, s.sold_on <= on, ~undone)
        .group_by(s.sold_on)
    )
    return [(day, int(count)) for day, count in rows]
