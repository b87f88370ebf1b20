"""A picture as figures: what it holds, in order, from which the lines of a screen and an SVG file are both drawn.

Knows no widget and no ledger.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ledger.wording import say, strung
from tui.charts import Bar, Rung, Signs, Step, bars, ladder, steps
from tui.time_rule import Span, time_rule

CURVE_HEIGHT = 11


@dataclass(frozen=True, slots=True)
class Curve:
    """A step curve of a share over days with its band."""

    title: str
    steps: tuple[Step, ...]
    until: float


@dataclass(frozen=True, slots=True)
class Bars:
    """Figures with their intervals on one scale."""

    title: str
    rows: tuple[Bar, ...]
    most: float | None = None
    """Figure at the right edge; the largest of all if not given."""


@dataclass(frozen=True, slots=True)
class Parts:
    """A sum taken apart."""

    title: str
    rungs: tuple[Rung, ...]
    total: Rung


@dataclass(frozen=True, slots=True)
class TimeRule:
    """Stretches of days one after another."""

    title: str
    spans: tuple[Span, ...]


Part = Curve | Bars | Parts | TimeRule


@dataclass(frozen=True, slots=True)
class Picture:
    """What one page draws."""

    title: str
    parts: tuple[Part, ...]
    said: tuple[str, ...] = ()
    """Sentences that belong to it."""


def whence(business: str, day: str, code: str) -> str:
    """What a picture that is sent on must say of itself: whose figures, of which day, in which currency."""
    return strung((one for one in (business, day, say("amounts in {code}", code=code)) if one), " · ")


def lines_of(part: Part, width: int, signs: Signs) -> list[str]:
    """One part in characters, its title first."""
    match part:
        case Curve():
            drawn = steps(part.steps, width=width, height=CURVE_HEIGHT, until=part.until, signs=signs)
        case Bars():
            drawn = bars(part.rows, width=width, most=part.most, signs=signs)
        case Parts():
            drawn = ladder(part.rungs, part.total, width=width, signs=signs)
        case TimeRule():
            drawn = time_rule(part.spans, width=width, signs=signs)
    return [part.title, *drawn]


def blocks(parts: Sequence[Part], width: int, signs: Signs) -> list[str]:
    """Several parts below one another, an empty line between them."""
    lines: list[str] = []
    for part in parts:
        lines += [*([""] if lines else []), *lines_of(part, width, signs)]
    return lines
