"""Pictures drawn in characters: functions from figures to lines of text, for the screen, a printed report and a test.

Widths are terminal cells. Knows no widget and no ledger; what a figure means, and its words, come from the caller.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass, field

from rich.cells import cell_len, set_cell_size

from ledger.wording import say, strung
from tui.tongue import shown


@dataclass(frozen=True, slots=True)
class Signs:
    """The characters a chart is drawn with; each is one cell wide."""

    across: str
    down: str
    turn_down: str
    """From the left, then down."""
    turn_out: str
    """From above, then to the right."""
    climb: str
    """From the left, then up."""
    climb_out: str
    """From below, then to the right."""
    shade: str
    axis: str
    foot: str
    corner: str
    dot: str
    track: str
    """The scale a figure lies on."""
    span: str
    """The interval around a figure."""
    block: str
    heavy: str
    joint: str
    heights: str
    """Eight heights, lowest first."""
    more: str
    """Marks text that was cut."""


LINES = Signs("─", "│", "┐", "└", "┘", "┌", "░", "┤", "─", "└", "●", "·", "━", "█", "━", "┴", "▁▂▃▄▅▆▇█", "…")
ASCII = Signs("-", "|", ".", "'", "'", ".", ":", "|", "-", "+", "o", ".", "=", "#", "=", "+", "_.,-=+*#", "~")


def fit(text: str, width: int, *, right: bool = False, signs: Signs = LINES) -> str:
    """Text in exactly `width` cells: cut with a sign, or filled with spaces (before it with `right`)."""
    safe = shown(text)
    wide = cell_len(safe)
    if wide > width:
        return set_cell_size(safe, width - 1) + signs.more if width > 0 else ""
    return " " * (width - wide) + safe if right else safe + " " * (width - wide)


def beside(text: str, width: int, *, signs: Signs = LINES) -> str:
    """Text at the right of a column `width` cells wide, with a space before it however long it is."""
    return " " + fit(text, width - 1, right=True, signs=signs) if width > 0 else ""


@dataclass(frozen=True, slots=True)
class Step:
    """From `at` (days) on, the share is `value` with its interval."""

    at: float
    value: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Bar:
    """A figure with its interval, if it has one, and the figure in words."""

    label: str
    value: float
    said: str
    low: float | None = None
    high: float | None = None
    after: str = ""
    """Another figure in words, at the right edge: such as a running total."""


@dataclass(frozen=True, slots=True)
class Rung:
    """One part of a sum. `amount` in any whole unit, not below nought."""

    label: str
    amount: int
    said: str


@dataclass(frozen=True, slots=True)
class Place:
    """A stage on the strip: how many are in it."""

    name: str
    count: int
    said: str = field(default="")
    """Shown below the count, such as '1.2.3'."""


def ceiling(most: float) -> float:
    """The share at the top of a scale that holds `most`: 10, 25, 50 or 100 %."""
    return next(top for top in (0.1, 0.25, 0.5, 1.0) if most <= top or top == 1.0)


def steps(
    curve: Sequence[Step], *, width: int, height: int, until: float | None = None, signs: Signs = LINES
) -> list[str]:
    """A step curve of a share over days with its band.

    Args:
        curve: in order of days; the first step counts from its day on. Shares from 0 to 1.
        width, height: cells for the whole picture, labels and the line of days included (at least 20 by 5).
        until: last day drawn; the last step's day if not given.

    Returns:
        `height` lines of `width` cells. The highest label is 100 %, or 50, 25 or 10 % when nothing lies above.
    """
    if width < 20 or height < 5:
        raise ValueError("a step curve needs at least 20 by 5 cells")
    rows, columns = height - 2, width - 6
    if not curve:
        return [" " * width] * height
    last = max(until if until is not None else curve[-1].at, 1.0)
    top = ceiling(max(max(step.high, step.value) for step in curve))

    def row(share: float) -> int:
        return rows - 1 - round(max(0.0, min(share / top, 1.0)) * (rows - 1))

    field_of = [[" "] * columns for _ in range(rows)]
    drawn: int | None = None
    for column in range(columns):
        day = (column + 0.5) * last / columns
        known = [step for step in curve if step.at <= day]
        if not known:
            continue
        now = known[-1]
        for line in range(row(now.high), row(now.low) + 1):
            field_of[line][column] = signs.shade
        here = row(now.value)
        _draw_step(field_of, column, drawn, here, signs)
        drawn = here
    picture = []
    for line in range(rows):
        share = top * (rows - 1 - line) / (rows - 1)
        labelled = line in (0, rows - 1) or (rows > 6 and line == (rows - 1) // 2)
        picture.append((f"{share * 100:3.0f}% " if labelled else " " * 5) + signs.axis + "".join(field_of[line]))
    picture.append(" " * 5 + signs.corner + signs.foot * columns)
    left, right = shown(say("day 0")), shown(say("day {last}", last=f"{last:.0f}"))
    begun, at = shown(say("first counted, day {day}", day=f"{curve[0].at:.0f}")), int(curve[0].at * columns / last)
    foot = fit(left, columns - cell_len(right)) + right
    if cell_len(left) < at and at + cell_len(begun) + 2 < columns - cell_len(right):
        foot = fit(fit(left, at) + begun, columns - cell_len(right)) + right
    picture.append(" " * 6 + foot)
    return picture


def _draw_step(cells: list[list[str]], column: int, before: int | None, here: int, signs: Signs) -> None:
    if before is None or before == here:
        cells[here][column] = signs.across
        return
    falls = here > before
    cells[before][column] = signs.turn_down if falls else signs.climb
    cells[here][column] = signs.turn_out if falls else signs.climb_out
    for line in range(min(before, here) + 1, max(before, here)):
        cells[line][column] = signs.down


def whisker(
    value: float | None, low: float, high: float, *, width: int, most: float = 1.0, signs: Signs = LINES
) -> str:
    """One figure not below nought as a dot on its scale, heavy over its interval, in `width` cells; without a figure
    the interval alone."""

    def place(at: float) -> int:
        return max(0, min(width - 1, round(at / most * (width - 1))))

    cells = [signs.track] * width
    for column in range(place(low), place(high) + 1):
        cells[column] = signs.span
    if value is not None:
        cells[place(value)] = signs.dot
    return "".join(cells)


def progress(share: float, *, width: int, signs: Signs = LINES) -> str:
    """How far something is, as a bar of `width` cells filled from the left, and the share in words."""
    done = max(0.0, min(share, 1.0))
    filled = int(done * width)
    return f"{signs.block * filled}{signs.track * (width - filled)} {done * 100:3.0f} %"


def bars(rows: Sequence[Bar], *, width: int, most: float | None = None, signs: Signs = LINES) -> list[str]:
    """One line a figure: its label, a dot at the figure, heavy over its interval, and the figure in words.

    Args:
        rows: figures not below nought.
        width: cells of each line.
        most: figure at the right edge; the largest of all if not given.
    """
    if not rows:
        return []
    label = min(max(cell_len(shown(bar.label)) for bar in rows), max(6, width // 3))
    # Never cut: where there is no room for the drawing as well, the words stand alone.
    said = max(cell_len(shown(bar.said)) for bar in rows)
    after = max(cell_len(shown(bar.after)) for bar in rows)
    after += 2 if after else 0
    room = width - label - said - after - 4
    if room < 8:
        words = [(bar.label, strung((one for one in (bar.said, bar.after) if one), "  ")) for bar in rows]
        if all(cell_len(shown(text)) <= width - label - 2 for _, text in words):
            return [f"{fit(name, label, signs=signs)}  {fit(text, width - label - 2)}" for name, text in words]
        return [
            line for name, text in words for line in (fit(name, width, signs=signs), fit(f"  {shown(text)}", width))
        ]
    top = most or max(max(bar.value, bar.high or 0.0) for bar in rows) or 1.0

    lines = []
    for bar in rows:
        low = bar.value if bar.low is None else bar.low
        high = bar.value if bar.high is None else bar.high
        drawn = whisker(bar.value, low, high, width=room, most=top, signs=signs)
        lines.append(
            f"{fit(bar.label, label, signs=signs)} {signs.down}{drawn}{signs.down} "
            f"{fit(bar.said, said, right=True, signs=signs)}{fit(bar.after, after, right=True, signs=signs)}"
        )
    return lines


def ladder(rungs: Sequence[Rung], total: Rung, *, width: int, signs: Signs = LINES) -> list[str]:
    """Parts of a sum, each drawn from where the one above ended, over the sum itself.

    Args:
        rungs: the parts, in order; they sum to `total.amount`, else ValueError.
        width: cells of each line.
    """
    if sum(rung.amount for rung in rungs) != total.amount or any(rung.amount < 0 for rung in rungs):
        raise ValueError("the parts of a ladder are not below nought and sum to its total")
    everything = [*rungs, total]
    label = min(max(cell_len(shown(rung.label)) for rung in everything), max(6, width // 3))
    said = min(max(cell_len(shown(rung.said)) for rung in everything), max(6, width // 3))
    room = max(width - label - said - 2, 0)
    reached = 0
    lines = []
    for rung in rungs:
        start = _share(reached, total.amount, room)
        reached += rung.amount
        stop = max(_share(reached, total.amount, room), start + (1 if rung.amount else 0))
        stop = min(stop, room)
        start = min(start, stop - 1) if rung.amount and stop else start
        drawn = " " * start + signs.block * (stop - start)
        lines.append(_rung(rung, drawn, label, room, said, signs))
    return [*lines, _rung(total, signs.heavy * (room if total.amount else 0), label, room, said, signs)]


def _share(part: int, whole: int, room: int) -> int:
    return round(part * room / whole) if whole else 0


def _rung(rung: Rung, drawn: str, label: int, room: int, said: int, signs: Signs) -> str:
    words = fit(rung.said, said, right=True, signs=signs)
    return f"{fit(rung.label, label, signs=signs)} {drawn}{' ' * (room - len(drawn))} {words}"


def stage_strip(places: Sequence[Place], *, width: int, signs: Signs = LINES) -> list[str]:
    """The stages of a lot as a measuring rule: names above it, counts below, heavy where animals are.

    Stages that do not fit into one width are carried over to a further rule below; every stage is drawn.
    """
    if not places:
        return []
    widths = [
        min(max(cell_len(shown(place.name)), len(str(place.count)), cell_len(shown(place.said)), 3) + 1, width - 1)
        for place in places
    ]
    lines: list[str] = []
    row: list[int] = []
    for index, wide in enumerate(widths):
        if row and sum(widths[i] for i in row) + len(row) + wide + 1 > width:
            lines += _rule([places[i] for i in row], [widths[i] for i in row], width, signs)
            row = []
        row.append(index)
    return lines + _rule([places[i] for i in row], [widths[i] for i in row], width, signs)


def _rule(places: Sequence[Place], widths: Sequence[int], width: int, signs: Signs) -> list[str]:
    names = "".join(" " + fit(place.name, wide, signs=signs) for place, wide in zip(places, widths, strict=True))
    rule = "".join(
        signs.joint + (signs.heavy if place.count else signs.across) * wide
        for place, wide in zip(places, widths, strict=True)
    )
    counts = "".join(" " + fit(str(place.count), wide) for place, wide in zip(places, widths, strict=True))
    lines = [names, rule, counts]
    if any(place.said for place in places):
        lines.append("".join(" " + fit(place.said, wide) for place, wide in zip(places, widths, strict=True)))
    return [fit(line, width) for line in lines]


def sparkline(values: Sequence[float], *, width: int, signs: Signs = LINES) -> list[str]:
    """One line: the course of a figure not below nought, one cell a value (the mean of several when there are more).

    Nought is always drawn lowest, so that two lines of one height mean the same share of their largest value.
    """
    if not values or width < 1:
        return [""]
    size = min(width, len(values))
    edges = [round(i * len(values) / size) for i in range(size + 1)]
    means = [math.fsum(values[a:b]) / (b - a) for a, b in itertools.pairwise(edges)]
    top = max(means) or 1.0
    steps_up = len(signs.heights) - 1
    return ["".join(signs.heights[round(max(mean, 0.0) / top * steps_up)] for mean in means)]
