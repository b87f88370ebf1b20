"""What a keeper should know of something dated in a year that is closed."""

from __future__ import annotations

import datetime as dt

from sqlalchemy import Connection

from ledger.days import long_day
from ledger.records.periods import accounting_day
from ledger.wording import say


def late(conn: Connection, on: dt.date) -> tuple[str, ...]:
    """That the year of a day is closed, and where what happened on it is accounted; nothing while it is open."""
    accounted = accounting_day(conn, on)
    if accounted == on:
        return ()
    return (
        say(
            "The year of {day} is closed: this is accounted on {accounted} and keeps its date.",
            day=long_day(on),
            accounted=long_day(accounted),
        ),
    )
