"""Which backups are kept: the newest ones, one a day for a month, one a month for two years.

Knows moments only. The scheme (grandfather, father, son) is common practice, no source.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable

NEWEST = 10
DAYS = 31
MONTHS = 24


def kept(moments: Iterable[dt.datetime], now: dt.datetime) -> frozenset[dt.datetime]:
    """The moments whose backups are kept.

    Args:
        moments: when each backup was made.
        now: the moment it is judged; a backup from the future counts among the newest.
    """
    newest_first = sorted(set(moments), reverse=True)
    keep = set(newest_first[:NEWEST])
    first_day = now.date() - dt.timedelta(days=DAYS - 1)
    first_month = now.year * 12 + now.month - MONTHS
    days: set[dt.date] = set()
    months: set[int] = set()
    for moment in newest_first:
        day, month = moment.date(), moment.year * 12 + moment.month
        if day >= first_day and day not in days:
            keep.add(moment)
        if month > first_month and month not in months:
            keep.add(moment)
        days.add(day)
        months.add(month)
    return frozenset(keep)
