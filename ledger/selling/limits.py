"""The keeper's own limits for posting living animals: days of the week and temperatures. There are none by default.

Being inside them says nothing of a journey. Temperatures are what the keeper entered; nothing is fetched.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from sqlalchemy import Connection

from ledger.errors import BadInput
from ledger.records.settings import WEEKDAYS, settings
from ledger.wording import say, strung, word

COLDEST, WARMEST = -90, 70
"""What degrees can be entered."""


@dataclass(frozen=True, slots=True)
class PostLimits:
    """Limits as they are set."""

    days: tuple[str, ...]
    """Mon, Tue, ...; empty: any."""
    coldest: int | None
    """Degrees Celsius; `None`: no limits."""
    warmest: int | None

    def against(self, on: dt.date, coldest: int | None, warmest: int | None) -> tuple[str, ...]:
        """What of a day and the temperatures expected lies outside the limits; empty: nothing that is known."""
        found = []
        day = WEEKDAYS[on.weekday()]
        if self.days and day not in self.days:
            found.append(
                say(
                    "{day} is none of your days for posting ({days})",
                    day=word(day),
                    days=strung(map(word, self.days), ", "),
                )
            )
        if self.coldest is not None and coldest is not None and coldest < self.coldest:
            found.append(
                say("{coldest} °C is colder than your limit of {limit} °C", coldest=coldest, limit=self.coldest)
            )
        if self.warmest is not None and warmest is not None and warmest > self.warmest:
            found.append(
                say("{warmest} °C is warmer than your limit of {limit} °C", warmest=warmest, limit=self.warmest)
            )
        return tuple(found)

    def advice(self, coldest: int | None, warmest: int | None) -> str:
        """What to know about the temperatures when nothing lies outside; empty: no limits are set."""
        if self.coldest is None or self.warmest is None:
            return ""
        if coldest is None or warmest is None:
            return say(
                "No temperatures were given; your limits are {coldest} to {warmest} °C.",
                coldest=self.coldest,
                warmest=self.warmest,
            )
        return say(
            "Inside your limits of {coldest} to {warmest} °C; that does not make the journey safe.",
            coldest=self.coldest,
            warmest=self.warmest,
        )


def post_limits(conn: Connection) -> PostLimits:
    """The limits as they are set now."""
    known = settings(conn)
    span = known["post temperature"].split(" to ")
    coldest, warmest = (int(span[0]), int(span[1])) if len(span) == 2 else (None, None)
    return PostLimits(tuple(known["post days"].split()), coldest, warmest)


def check_degrees(coldest: int | None, warmest: int | None) -> None:
    """Refuse temperatures that are none.

    Raises:
        BadInput: out of range, or the wrong way round.
    """
    for degrees, field in ((coldest, "coldest"), (warmest, "warmest")):
        if degrees is not None and (type(degrees) is not int or not COLDEST <= degrees <= WARMEST):
            raise BadInput(
                say(
                    "A temperature is a whole number from {coldest} to {warmest} °C.", coldest=COLDEST, warmest=WARMEST
                ),
                field,
            )
    if coldest is not None and warmest is not None and coldest > warmest:
        raise BadInput(
            say(
                "{coldest} °C cannot be the coldest and {warmest} °C the warmest; swap them.",
                coldest=coldest,
                warmest=warmest,
            ),
            "coldest",
        )
