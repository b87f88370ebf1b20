"""Stage times as a measuring rule drawn in characters: stretches of days, each as long as its share of all days."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rich.cells import cell_len

from ledger.wording import strung
from tui.charts import LINES, Signs, fit
from tui.tongue import shown


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch of days on a rule of time."""

    name: str
    days: float
    said: str
    """The days as they are written."""
    own: bool
    """From own animals: drawn heavy; else light."""


def time_rule(spans: Sequence[Span], *, width: int, signs: Signs = LINES) -> list[str]:
    """Stretches of days one after another, each as long as its share of all days: names and days above the rule.

    Each is wide enough for its words; what does not fit into one width is carried over to a further rule below.
    """
    lines: list[str] = []
    row: list[Span] = []
    for span in spans:
        if row and sum(_least(one, width) + 1 for one in (*row, span)) > width:
            lines += _time_row(row, width, signs)
            row = []
        row.append(span)
    return lines + _time_row(row, width, signs) if row else lines


def _least(span: Span, width: int) -> int:
    return min(cell_len(shown(strung((span.name, span.said)))) + 1, width - 1)


def _time_row(spans: Sequence[Span], width: int, signs: Signs) -> list[str]:
    least = [_least(span, width) for span in spans]
    spare = width - len(spans) - sum(least)
    days = sum(span.days for span in spans) or 1.0
    wanted = [max(0.0, span.days / days * (width - len(spans)) - room) for span, room in zip(spans, least, strict=True)]
    whole = sum(wanted) or 1.0
    widths = [room + int(spare * more / whole) for room, more in zip(least, wanted, strict=True)]
    names = "".join(
        " " + fit(strung((span.name, span.said)), wide, signs=signs) for span, wide in zip(spans, widths, strict=True)
    )
    rule = "".join(
        signs.joint + (signs.heavy if span.own else signs.across) * wide
        for span, wide in zip(spans, widths, strict=True)
    )
    return [fit(names, width), fit(rule, width)]
