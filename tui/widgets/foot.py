"""The foot of every screen: the rule with the ledger's name, what was last recorded, and the keys of this place.

While the jot line is open it takes the place of the two lower lines.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from rich.cells import cell_len
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.content import Content
from textual.events import Click
from textual.message import Message
from textual.widget import Widget
from textual.widgets import Static

from ledger.wording import say
from tui.actions import Act
from tui.charts import Signs, fit
from tui.look import STATES
from tui.plain import parts, within, words
from tui.tongue import tell
from tui.widgets.jot import JotLine
from tui.widgets.paged import LOW, ROOMY

ANSWER = 4
"""Lines of an answer at most, as the style sheet has it."""


@dataclass(frozen=True, slots=True)
class Answer:
    """What the ledger last answered."""

    sentence: str
    state: str = ""
    """A key of look.STATES: done, caution (done all the same), notice, refused; empty for a hint."""
    short: str = ""
    """A hint for a narrow screen, where every line is wanted; empty: the same."""


def key_line(acts: Sequence[Act], always: Sequence[Act], width: int) -> list[tuple[str, str]]:
    """The actions that fit into one line, in order, each with its key first; `always` have their room first."""
    return [
        part
        for act in fitting(acts, always, width)
        for part in ((f" {act.key_said}", "bold $primary"), (f" {tell(act.words)} ", "$quiet"))
    ]


def fitting(acts: Sequence[Act], always: Sequence[Act], width: int) -> list[Act]:
    """Which actions those are."""
    left = width
    kept: list[Act] = []
    fits: list[Act] = []
    # What Enter does, or else what the screen names first, comes before everything, and the help before the jot line,
    # which the line above speaks of: on a phone there is no room for more. Then the way back, before what else it does.
    shown = [act for act in acts if act.shown]
    first = [*(act for act in shown if act.key.split(",")[0] == "enter"), *shown][:1]
    back = [act for act in shown if act.key == "escape"]
    for found, some in ((fits, first), (kept, always[::-1] if first else always), (fits, back), (fits, acts)):
        for act in some:
            if act.shown and act not in fits and _width(act) <= left:
                left -= _width(act)
                found.append(act)
    return [*sorted(fits, key=list(acts).index), *sorted(kept, key=list(always).index)]


def _width(act: Act) -> int:
    return cell_len(act.key_said) + cell_len(tell(act.words)) + 3


class _Rule(Widget):
    """The rule with the ledger's name at its left and what the place sums up to at its right."""

    def __init__(self, name: str, signs: Signs, days: Callable[[int], Sequence[str]]) -> None:
        super().__init__(id="foot-rule")
        self._ledger = name
        self._signs = signs
        self._days = days
        self.summary = ""

    def render(self) -> Content:
        width, line, told = self.size.width, self._signs.across, tell(self.summary)
        # Where there is no room for both, what the place holds says more than the name of the business.
        narrow = bool(told) and cell_len(told) > width - max(width // 3, 8) - 8
        room = 0 if narrow and width < ROOMY else max(width // 3, 8)
        name = fit(self._ledger, min(cell_len(self._ledger), room), signs=self._signs)
        # What the place sums up to comes before the day.
        left = width - cell_len(name) - cell_len(told) - 8 - cell_len(" · ")
        day = next((said for said in self._days(width) if cell_len(said) <= left), "") if name else ""
        name = say("{name} · {day}", name=name, day=day) if day else name
        summary = fit(told, min(cell_len(told), max(width - cell_len(name) - 8, 0)), signs=self._signs)
        name = f" {name} " if name else line * 2
        middle = max(width - cell_len(name) - cell_len(summary) - 4, 0)
        ends = (f" {summary} ", "$foreground") if summary else (line * 2, "$quiet")
        return parts(
            (line, "$quiet"),
            (name, "bold" if name.strip(line) else "$quiet"),
            (line * middle, "$quiet"),
            ends,
            (line, "$quiet"),
        )


class Keys(Widget):
    """The line of keys: as many as fit, each to be clicked."""

    def __init__(self, acts: Sequence[Act], always: Sequence[Act]) -> None:
        super().__init__(id="keys")
        self._acts = acts
        self._always = always

    class Clicked(Message):
        """An action was chosen with the mouse."""

        def __init__(self, act: Act) -> None:
            super().__init__()
            self.act = act

    def render(self) -> Content:
        return parts(*key_line(self._acts, self._always, self.size.width))

    def on_click(self, event: Click) -> None:
        """Choose the action that was clicked."""
        at = 0
        for act in fitting(self._acts, self._always, self.size.width):
            if at <= event.x < at + _width(act):
                self.post_message(self.Clicked(act))
            at += _width(act)


class Foot(Vertical):
    """The lines at the foot."""

    def __init__(
        self,
        name: str,
        acts: Sequence[Act],
        always: Sequence[Act],
        signs: Signs,
        days: Callable[[int], Sequence[str]] = lambda width: (),
    ) -> None:
        super().__init__(id="foot")
        self._days = days
        self._ledger_name = name
        self._acts = acts
        self._always = always
        self._signs = signs

    def compose(self) -> ComposeResult:
        yield _Rule(self._ledger_name, self._signs, self._days)
        yield Static(id="answer", markup=False)
        yield Keys(self._acts, self._always)

    @property
    def jot(self) -> JotLine:
        """The jot line of this screen, once it was opened here."""
        return self.query_one(JotLine)

    async def with_jot(self) -> JotLine:
        """The jot line of this screen. It is made when it is first opened: most forms and pages are gone before, and
        its widgets are half of all there are in a frame."""
        if not self.query(JotLine):
            await self.mount(JotLine())
        return self.jot

    def sum_up(self, text: str) -> None:
        """What the place holds, at the right of the rule."""
        rule = self.query_one(_Rule)
        rule.summary = text
        rule.refresh()

    def new_day(self) -> None:
        """The day may be another one since it was drawn."""
        self.query_one(_Rule).refresh()

    def answer(self, answer: Answer) -> None:
        """Show what the ledger answered."""
        line = self.query_one("#answer", Static)
        # More than fits is cut with a sign: nobody should take the beginning of a sentence for all of it.
        lines = ANSWER if self.app.size.height >= LOW else 2 if answer.state else 1
        width = self.app.size.width
        said = answer.short if answer.short and width < ROOMY else answer.sentence
        said = within(said, width - 4, lines, self._signs.more)
        if answer.state:
            sign, _, colour = STATES[answer.state]
            line.update(parts((f" {sign} ", f"bold {colour}"), said))
        else:
            line.update(words(f" {said}", "$quiet"))

    def jotting(self, is_open: bool) -> None:
        """Make room for the jot line, or take it back."""
        for name in ("#answer", "#keys"):
            self.query_one(name).display = not is_open
