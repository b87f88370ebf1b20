"""What can be done with a lot both where it stands in a list and on its own page."""

from __future__ import annotations

from ledger.wording import say
from tui.actions import Act

MORE = Act(
    "more",
    "comma",
    say("more of it"),
    say("Keep back, pair, part; parents, origin; purpose, place and the like."),
    shown=False,
)
TOGETHER = Act("together", "", say("together"), say("Put a pair together: a female and a male, from a day on."))
PURPOSE = Act("purpose", "", say("purpose"), say("Say what a lot is for: sale, breeding or quarantine."))
