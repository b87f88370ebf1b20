"""A picture as SVG: the same figures that a screen draws in characters, as text, lines and boxes that any viewer shows.

Whatever people wrote in it becomes text and nothing else. Makes the text of the file; writes nothing.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence
from xml.sax.saxutils import escape

from rich.cells import cell_len

from ledger.text import show
from ledger.wording import say, strung
from tui.charts import Bar, Rung, ceiling
from tui.drawn import Bars, Curve, Part, Parts, Picture, TimeRule
from tui.tongue import shown

WIDTH, MARGIN = 840, 28
ROW, LETTER = 24, 7.9
"""Height of a line and the room for one letter, in pixels."""
CURVE = 240
FIRST = 48
"""Pixels that the words at day 0 take."""
SAID = 100
"""Letters in a line of the sentences."""
LABEL, FIGURE = 30, 34
"""Most letters of a name and of a figure in words."""
INK, QUIET, MAIN, BAND, PAPER = "#23201a", "#6b6355", "#7a4b06", "#e3d3b3", "#f7f3ea"


def svg(picture: Picture, whence: str = "") -> str:
    """The whole file; `whence`: whose figures they are, of which day, in which currency."""
    top = MARGIN + 20.0
    drawn = [_text(MARGIN, top, picture.title, size=18, bold=True)]
    if whence:
        top += 20
        drawn.append(_text(MARGIN, top, whence, colour=QUIET))
    top += 18
    for part in picture.parts:
        found, top = _part(part, top + 14)
        drawn += found
    for sentence in picture.said:
        for line in textwrap.wrap(shown(sentence), SAID):
            top += 20
            drawn.append(_text(MARGIN, top, line, colour=QUIET))
        top += 4
    height = round(top + MARGIN)
    told = escape(" ".join(shown(sentence) for sentence in (picture.title, whence, *_told(picture), *picture.said)))
    return "\n".join(
        [
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{WIDTH}" height="{height}" '
            f'viewBox="0 0 {WIDTH} {height}" role="img" font-family="DejaVu Sans, Verdana, sans-serif">',
            f"<title>{escape(shown(picture.title))}</title>",
            f"<desc>{told}</desc>",
            f'<rect width="{WIDTH}" height="{height}" fill="{PAPER}"/>',
            *drawn,
            "</svg>",
            "",
        ]
    )


def _told(picture: Picture) -> list[str]:
    """Every figure in words, for whoever cannot see them."""
    told = []
    for part in picture.parts:
        match part:
            case Curve():
                told.append(
                    say(
                        "{picture}: {share} by day {until}.",
                        picture=part.title,
                        share=f"{part.steps[-1].value:.0%}",
                        until=f"{part.until:.0f}",
                    )
                    if part.steps
                    else ""
                )
            case Bars():
                told.append(
                    say("{picture}: ", picture=part.title)
                    + strung((strung(one for one in (b.label, b.said, b.after) if one) for b in part.rows), "; ")
                )
            case Parts():
                told.append(
                    say("{picture}: ", picture=part.title)
                    + strung((strung((r.label, r.said)) for r in (*part.rungs, part.total)), "; ")
                )
            case TimeRule():
                told.append(
                    say("{picture}: ", picture=part.title)
                    + strung((strung((span.name, span.said)) for span in part.spans), "; ")
                )
    return told


def _part(part: Part, top: float) -> tuple[list[str], float]:
    head = [_text(MARGIN, top + 16, part.title, bold=True)]
    top += 28
    match part:
        case Curve():
            drawn, top = _curve(part, top)
        case Bars():
            drawn, top = _bars(part.rows, part.most, top)
        case Parts():
            drawn, top = _parts(part.rungs, part.total, top)
        case TimeRule():
            drawn, top = _rule(part, top)
    return [*head, *drawn], top


# --- the parts --------------------------------------------------------------------------------------------------------


def _curve(part: Curve, top: float) -> tuple[list[str], float]:
    top += 8
    left, right, bottom = MARGIN + 48.0, WIDTH - MARGIN - 8.0, top + CURVE
    whole = ceiling(max((max(step.high, step.value) for step in part.steps), default=1.0))
    until = max(part.until, 1.0)

    def x(day: float) -> float:
        return left + min(day / until, 1.0) * (right - left)

    def y(share: float) -> float:
        return bottom - max(0.0, min(share / whole, 1.0)) * CURVE

    def stair(values: Sequence[float]) -> list[tuple[float, float]]:
        points = []
        ends = [*(step.at for step in part.steps[1:]), until]
        for step, value, end in zip(part.steps, values, ends, strict=True):
            points += [(x(step.at), y(value)), (x(end), y(value))]
        return points

    drawn = []
    for share in (0.0, whole / 2, whole):
        drawn.append(_line(left, y(share), right, y(share), QUIET, 0.5))
        drawn.append(_text(left - 6, y(share) + 4, f"{share * 100:g} %", colour=QUIET, end=True))
    if part.steps:
        band = stair([step.low for step in part.steps]) + stair([step.high for step in part.steps])[::-1]
        drawn.append(f'<polygon points="{_points(band)}" fill="{BAND}"/>')
        curve = _points(stair([step.value for step in part.steps]))
        drawn.append(f'<polyline points="{curve}" fill="none" stroke="{MAIN}" stroke-width="2.5"/>')
    drawn.append(_text(left, bottom + 18, say("day 0"), colour=QUIET))
    if part.steps and part.steps[0].at > 0:
        begun = part.steps[0].at
        drawn.append(_line(x(begun), bottom, x(begun), bottom + 5, QUIET, 0.5))
        if x(begun) - left > FIRST and x(begun) < (left + right) / 2:
            said = say("first counted, day {day}", day=f"{begun:.0f}")
            drawn.append(_text(x(begun), bottom + 18, said, colour=QUIET))
    drawn.append(_text(right, bottom + 18, say("day {until}", until=f"{until:.0f}"), colour=QUIET, end=True))
    return drawn, bottom + 26


def _bars(rows: Sequence[Bar], most: float | None, top: float) -> tuple[list[str], float]:
    if not rows:
        return [], top
    left = MARGIN + _room((bar.label for bar in rows), LABEL)
    after = _room((bar.after for bar in rows), FIGURE) if any(bar.after for bar in rows) else 0.0
    right = WIDTH - MARGIN - after - _room((bar.said for bar in rows), FIGURE)
    whole = most or max(max(bar.value, bar.high or 0.0) for bar in rows) or 1.0

    def x(value: float) -> float:
        return left + max(0.0, min(value / whole, 1.0)) * (right - left)

    drawn = []
    for bar in rows:
        y = top + ROW / 2
        low, high = (bar.value if edge is None else edge for edge in (bar.low, bar.high))
        drawn += [
            _text(MARGIN, y + 4, _cut(bar.label, LABEL)),
            _line(left, y, right, y, QUIET, 0.5),
            _line(x(low), y, x(high), y, MAIN, 5),
            f'<circle cx="{x(bar.value):.1f}" cy="{y:.1f}" r="5" fill="{INK}"/>',
            _text(WIDTH - MARGIN - after, y + 4, _cut(bar.said, FIGURE), end=True),
        ]
        if bar.after:
            drawn.append(_text(WIDTH - MARGIN, y + 4, _cut(bar.after, FIGURE), colour=QUIET, end=True))
        top += ROW
    return drawn, top


def _parts(rungs: Sequence[Rung], total: Rung, top: float) -> tuple[list[str], float]:
    everything = [*rungs, total]
    left = MARGIN + _room((rung.label for rung in everything), LABEL)
    right = WIDTH - MARGIN - _room((rung.said for rung in everything), FIGURE)
    whole = total.amount or 1
    drawn, reached = [], 0
    for rung in everything:
        start = 0 if rung is total else reached
        reached += 0 if rung is total else rung.amount
        x, wide = left + start / whole * (right - left), max(rung.amount / whole * (right - left), 1.0)
        colour = QUIET if rung is total else MAIN
        drawn += [
            _text(MARGIN, top + ROW / 2 + 4, _cut(rung.label, LABEL), bold=rung is total),
            f'<rect x="{x:.1f}" y="{top + 5:.1f}" width="{wide:.1f}" height="{ROW - 10}" fill="{colour}"/>',
            _text(WIDTH - MARGIN, top + ROW / 2 + 4, _cut(rung.said, FIGURE), bold=rung is total, end=True),
        ]
        top += ROW
    return drawn, top


def _rule(part: TimeRule, top: float) -> tuple[list[str], float]:
    left, right = float(MARGIN), float(WIDTH - MARGIN)
    whole = sum(span.days for span in part.spans) or 1.0
    drawn = []
    x = left
    for place, span in enumerate(part.spans):
        wide = span.days / whole * (right - left)
        fill = MAIN if span.own else BAND
        drawn.append(
            f'<rect x="{x:.1f}" y="{top:.1f}" width="{max(wide - 1, 1):.1f}" height="12" fill="{fill}" '
            f'stroke="{INK}" stroke-width="1"/>'
        )
        # Names of short stages would cover one another on one line.
        said = _cut(f"{span.name} {span.said}", LABEL)
        # The name of a short last stage would run over the edge.
        over = x + cell_len(said) * LETTER > WIDTH
        drawn.append(_text(right if over else x, top + 30 + 18 * (place % 2), said, end=over))
        x += wide
    return drawn, top + 56


# --- letters and lines ------------------------------------------------------------------------------------------------


def _room(texts: Iterable[str], most: int) -> float:
    longest = max((min(cell_len(show(text)), most) for text in texts), default=0)
    return longest * LETTER + 14


def _cut(text: str, most: int) -> str:
    safe = show(text)
    return safe if len(safe) <= most else safe[: most - 1] + "…"


def _points(points: Sequence[tuple[float, float]]) -> str:
    return " ".join(f"{x:.1f},{y:.1f}" for x, y in points)


def _line(x: float, y: float, to_x: float, to_y: float, colour: str, wide: float) -> str:
    return (
        f'<line x1="{x:.1f}" y1="{y:.1f}" x2="{to_x:.1f}" y2="{to_y:.1f}" stroke="{colour}" stroke-width="{wide:g}" '
        'stroke-linecap="round"/>'
    )


def _text(
    x: float, y: float, text: str, *, colour: str = INK, size: int = 13, bold: bool = False, end: bool = False
) -> str:
    anchor = ' text-anchor="end"' if end else ""
    weight = ' font-weight="bold"' if bold else ""
    return (
        f'<text x="{x:.1f}" y="{y:.1f}" font-size="{size}" fill="{colour}"{anchor}{weight}>{escape(shown(text))}</text>'
    )
