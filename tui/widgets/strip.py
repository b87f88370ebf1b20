"""The top of every screen: the places over a measuring rule that is heavy under the place one is in, and the day.

The same rule carries the stages of a lot; it is this program's mark.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from rich.cells import cell_len
from textual.content import Content
from textual.events import Click
from textual.message import Message
from textual.widget import Widget

from ledger.days import Order
from tui.charts import LINES, Signs, fit
from tui.look import short, weekday, without_year
from tui.plain import parts
from tui.tongue import tell


@dataclass(frozen=True, slots=True)
class Tick:
    """One place on the rule."""

    name: str
    digit: str
    title: str
    waiting: int = 0
    """How many things wait there; nought is not shown."""

    @property
    def label(self) -> str:
        """What stands over the rule."""
        return self.short(None)

    def short(self, letters: int | None) -> str:
        """The same with no more letters of the name than these, the last a point where it is cut; `None`: all."""
        name = tell(self.title)
        if letters is not None and len(name) > letters:
            name = name[: letters - 1] + "."
        return f"{self.digit} {name}" + (f" {self.waiting}" if self.waiting else "")


LEAST_LETTERS = 3
"""Fewer say nothing: then the digits stand alone."""


def day_words(day: dt.date, width: int, order: Order = "dmy") -> str:
    """The day as long as there is room for: 'Wed 31 Dec 2025', '31 Dec 2025', '31 Dec' or nothing."""
    for said in (f"{weekday(day)} {short(day, order)}", short(day, order), without_year(day, order)):
        if cell_len(said) <= width:
            return said
    return ""


def strip_labels(ticks: Sequence[Tick], width: int) -> tuple[list[str], int]:
    """What stands over the rule and the cells around each: where it is narrow they move together, then the longest
    names are cut short, then only the digits stay."""
    labels = [tick.label for tick in ticks]
    for around in (2, 1):
        if sum(cell_len(label) + around for label in labels) <= width:
            return labels, around
    letters = [len(tell(tick.title)) for tick in ticks]
    while letters and max(letters) > LEAST_LETTERS:
        longest = max(letters)
        # One by one, from the last on: no name is cut further than it must be.
        for at in reversed([at for at, most in enumerate(letters) if most == longest]):
            letters[at] = longest - 1
            labels = [tick.short(most) for tick, most in zip(ticks, letters, strict=True)]
            if sum(cell_len(label) + 1 for label in labels) <= width:
                return labels, 1
    return [tick.digit for tick in ticks], 2


def strip_spans(ticks: Sequence[Tick], width: int) -> list[tuple[int, int]]:
    """First cell and width of each place."""
    labels, around = strip_labels(ticks, width)
    spans, at = [], 0
    for label in labels:
        wide = cell_len(label) + around
        spans.append((at, wide))
        at += wide
    return spans


class Strip(Widget):
    """Two lines: the places, and the rule under them."""

    class Chosen(Message):
        """A place was clicked."""

        def __init__(self, name: str) -> None:
            super().__init__()
            self.place = name

    def __init__(
        self, ticks: Sequence[Tick], here: str, today: dt.date, signs: Signs = LINES, order: Order = "dmy"
    ) -> None:
        super().__init__(id="strip")
        self._ticks = list(ticks)
        self._here = here
        self._today = today
        self._signs = signs
        self._order = order

    def count(self, name: str, waiting: int) -> None:
        """Say how many things wait in a place."""
        self._ticks = [
            Tick(tick.name, tick.digit, tick.title, waiting) if tick.name == name else tick for tick in self._ticks
        ]
        self.refresh()

    def day(self, today: dt.date) -> None:
        """Say which day it is: the program may run past midnight."""
        if today != self._today:
            self._today = today
            self.refresh()

    def write_days(self, order: Order) -> None:
        """Write the day in another order."""
        self._order = order
        self.refresh()

    def day_left_out(self, width: int) -> tuple[str, ...]:
        """The day, longest first, where there is no room for it beside the places; the foot says it then."""
        spans = strip_spans(self._ticks, width)
        used = spans[-1][0] + spans[-1][1] if spans else 0
        if day_words(self._today, width - used - 1, self._order):
            return ()
        said = short(self._today, self._order)
        return f"{weekday(self._today)} {said}", said, without_year(self._today, self._order)

    def render(self) -> Content:
        width = self.size.width
        spans = strip_spans(self._ticks, width)
        used = spans[-1][0] + spans[-1][1] if spans else 0
        names: list[tuple[str, str]] = []
        rule: list[tuple[str, str]] = []
        labels = iter(strip_labels(self._ticks, width)[0])
        for tick, (_, wide) in zip(self._ticks, spans, strict=True):
            here = tick.name == self._here
            label = next(labels)
            names.append((f" {label} "[:wide], "bold $primary" if here else "$foreground"))
            line = self._signs.heavy if here else self._signs.across
            rule.append((self._signs.joint + line * (wide - 1), "bold $primary" if here else "$quiet"))
        day = day_words(self._today, width - used - 1, self._order)
        names.append((fit(day + " ", width - used, right=True), "$quiet"))
        rule.append((self._signs.joint + self._signs.across * max(width - used - 1, 0), "$quiet"))
        return parts(*names, ("\n", ""), *rule)

    def on_click(self, event: Click) -> None:
        """Go to the place that was clicked."""
        for tick, (start, wide) in zip(self._ticks, strip_spans(self._ticks, self.size.width), strict=True):
            if start <= event.x < start + wide:
                self.post_message(self.Chosen(tick.name))
