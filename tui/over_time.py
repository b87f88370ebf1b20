"""The stock over time as a picture: how many were alive at the end of each month."""

from __future__ import annotations

from ledger.stock.over_time import OverTime
from ledger.wording import say
from tui.charts import Bar
from tui.drawn import Bars, Picture
from tui.look import month


def over_time_picture(found: OverTime) -> Picture:
    """A dot a month on one scale from nought, the last one today."""
    about = found.species or say("all species")
    rows = tuple(Bar(month(end), float(alive), str(alive)) for end, alive in found.months)
    title = say("Alive at the end of each month; this month: today")
    return Picture(say("Stock over time {about}", about=about), (Bars(title, rows),))
