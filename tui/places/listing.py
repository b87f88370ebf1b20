"""The base of every place that is a list: rows by pages, narrowing as one types, what to do first when it is empty."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Iterable, Sequence
from contextlib import suppress
from typing import ClassVar, TypeVar, overload

from textual import on
from textual.binding import Binding
from textual.timer import Timer
from textual.widget import Widget
from textual.widgets import Input, Static

from ledger.act import Done
from ledger.errors import Refused
from ledger.wording import counted, say, strung
from tui.actions import Act
from tui.aside import Aside
from tui.frame import Framed, Place
from tui.places.page import Page as OnTop
from tui.plain import within, words
from tui.tongue import tell
from tui.widgets.empty import Empty
from tui.widgets.entry import Entry
from tui.widgets.foot import Answer
from tui.widgets.paged import LOW, PAGE, ROOMY, Column, Page, PagedList, Row

R = TypeVar("R")
T = TypeVar("T")
SOON = 0.01
"""Seconds between two pages that are looked at."""
MOST_LOOKED_AT = 5000
"""Rows read at most to find some that hold what was typed."""
LONGEST = 2.0
"""Seconds that keys wait at most until the letters before them have narrowed a list."""

DETAIL = 3
"""Lines of the sentence below a list at most."""
NARROW_DETAIL = 6
"""The same on a narrow screen, where it also says what the row has no room for; the style sheet has it, too."""
LOW_DETAIL = 2
"""And on a low one."""

LIST_ACTS = (
    Act("find", "f", say("find"), say("Narrow the list: type a part of what you look for.")),
    Act("whole_list", "escape", say("whole list"), say("Show the whole list again."), shown=False, in_fields=True),
)


STEPS = {
    "up": "cursor_up",
    "down": "cursor_down",
    "pageup": "page_up",
    "pagedown": "page_down",
    "home": "scroll_top",
    "end": "scroll_bottom",
    "ctrl+home": "scroll_top",
    "ctrl+end": "scroll_bottom",
}
"""Keys that move about a list, and what the list calls it."""


class ListScreen(Framed[R]):
    """A framed screen with one list.

    A subclass gives `COLUMNS`, `EMPTY` and `page`; `chosen` says which row the cursor is on. Keys that move about take
    effect before the next key is read, or the action after them would fall on the row before when they come in a burst.
    """

    STEPS = (
        *(
            Binding(key, f"step('{step}')", "", show=False, priority=True, id=f"list.{step}")
            for key, step in STEPS.items()
        ),
        Binding("enter", "found", "", show=False, priority=True, id="list.found"),
    )

    COLUMNS: ClassVar[tuple[Column, ...]] = ()
    EMPTY: ClassVar[tuple[str, str]] = ("", "")
    """What is missing, and what to do first."""
    LINES: ClassVar[int] = DETAIL
    """Lines of the sentence below the list at most, as the style sheet has it."""
    LOOKS_AT: ClassVar[int] = MOST_LOOKED_AT
    """Rows read at most to find some that hold what was typed."""
    FOLLOWS: ClassVar[str] = ""
    """Which number of what was recorded is the key of its row here: the cursor goes there, for the next act is mostly
    about it."""
    _just_recorded = ""
    _search: Timer | None = None
    _looked_to: str | None = None
    """Key of the last row that was looked at for what was typed."""
    _looked_at = 0
    _enters = 0
    """How often Enter was pressed in the field that narrows since its text changed."""

    def body(self) -> Iterable[Widget]:
        yield Entry(
            id="find", placeholder=tell(say("type a part of it; enter goes to the list, esc shows the whole list"))
        )
        yield PagedList(self.columns(), self._read, id="list")
        yield Empty(*self.EMPTY)
        yield Static(id="detail", markup=False, classes="line")

    def columns(self) -> tuple[Column, ...]:
        """The columns, as wide as this ledger needs them."""
        return self.COLUMNS

    def opened(self) -> None:
        super().opened()
        self.read_anew()
        self.set_focus(self.first_focus())

    async def tell_anew(self) -> None:
        key = self.chosen
        await super().tell_anew()
        self.rows.go_to(key)

    @property
    def rows(self) -> PagedList:
        """The list."""
        return self.query_one(PagedList)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Moving about belongs to the list only while that has the keys."""
        if action == "step":
            return self.focused is self.rows
        if action == "found":
            return self.focused is self._find
        return super().check_action(action, parameters)

    def action_step(self, step: str) -> None:
        """Move about the list, one of `STEPS`."""
        getattr(self.rows, f"action_{step}")()

    @property
    def _find(self) -> Input:
        return self.query_one("#find", Input)

    def first_focus(self) -> Widget | None:
        return self.rows if self.rows.display else None

    @property
    def chosen(self) -> str | None:
        """Key of the row the cursor is on; None in an empty list."""
        key = self.rows.key_here if self.rows.display else None
        self.missed += key is None
        return key

    def say_missed(self, action: str) -> None:
        act = next((act for act in self.ACTS if act.name == action and not act.in_fields), None)
        if act is not None and act not in LIST_ACTS:
            self.foot.answer(Answer(self.why_no_row(act.words)))

    def why_no_row(self, act: str) -> str:
        """Why there is no row that an action could be about."""
        if self._find.value.strip():
            return say("“{act}” needs a row, and none is left; esc shows the whole list.", act=act)
        return say("“{act}” needs a row; there is none yet. What to do first stands above.", act=act)

    def page(self, after: str | None) -> Page:
        """Rows after the one of that key; the first ones if None."""
        raise NotImplementedError

    def detail(self, key: str) -> str:
        """What does not fit into the row of that key, in a sentence below the list; nothing where all fits."""
        return ""

    def sum_up(self) -> str:
        """What the list holds, for the foot."""
        return self.rows.said(
            counted(self.rows.held, "{n} row", "{n} rows"), say("{rows} and more rows", rows=self.rows.held)
        )

    def remark(self) -> str:
        """What to know of the list as a whole, in a sentence below it; nothing where there is nothing to know."""
        return ""

    def _changed(self, done: object) -> None:
        if self.FOLLOWS and isinstance(done, Done):
            self._just_recorded = str(done.refs.get(self.FOLLOWS, ""))
        super()._changed(done)

    def read_anew(self) -> None:
        self.rows.read()
        if self._just_recorded:
            self.rows.go_to(self._just_recorded)
            self._just_recorded = ""
        empty = not self.rows.held and not self._find.value
        had_keys = self.focused
        self.rows.display = not empty
        self.query_one(Empty).display = empty
        self._sum_up()
        self._say_detail()
        if had_keys is None and not empty:
            self.set_focus(self.rows)

    def after_waiting(self) -> None:
        """The foot says again what the list holds."""
        self._sum_up()

    def _sum_up(self) -> None:
        if self.is_narrowed:
            held = self.rows.said(f"{self.rows.held}", say("{rows} and more", rows=self.rows.held))
            self.foot.sum_up(
                say("only what holds “{typed}”: {rows} · esc whole list", typed=self._find.value.strip(), rows=held)
            )
        else:
            self.foot.sum_up("" if self.query_one(Empty).display else self.sum_up())

    def _read(self, after: str | None) -> Page:
        asked = self._find.value.casefold().split()
        if self._search is not None:
            self._search.stop()
            self._search = None
        if not asked:
            return self.page(after)
        if after is None:
            self._looked_to, self._looked_at = None, 0
        page = self.page(self._looked_to)
        if page.rows:
            self._looked_to = page.rows[-1].key
        self._looked_at += len(page.rows)
        more = page.more and self._looked_at < self.LOOKS_AT
        if more:
            # One page between two keys: whoever types on is not held up by what was asked before.
            self._search = self.set_timer(SOON, self._search_on)
        return Page([row for row in page.rows if _holds(row, asked)], more)

    @property
    def is_narrowed(self) -> bool:
        """Whether the list shows only what holds what was typed."""
        return bool(self._find.value.strip())

    async def listed(self, rows: Sequence[Row]) -> list[str]:
        """Keys of those among the rows that hold what was typed to find it; a key that comes meanwhile goes first."""
        asked = self._find.value.casefold().split()
        found: list[str] = []
        for first in range(0, len(rows), PAGE):
            found += [row.key for row in rows[first : first + PAGE] if _holds(row, asked)]
            await asyncio.sleep(0)
        return found

    def _search_on(self) -> None:
        """Look at the next page for what was typed, until the list holds a page of it."""
        self._search = None
        if self._find.value.strip() and self.rows.held < PAGE:
            self.rows.read_more()
            self._say_detail()
        self._go_to_found()

    @on(PagedList.RowHighlighted)
    def _highlighted(self) -> None:
        self._say_detail()

    def _say_detail(self) -> None:
        line = self.query_one("#detail", Static)
        key = self.chosen
        detail = self.detail(key) if key is not None else ""
        said = strung((part for part in (detail, self._not_seen(detail), self.remark()) if part), "\n")
        if self._find.value.strip() and not self.rows.held and not self.rows.more:
            said = say("Nothing here holds “{typed}”; esc shows the whole list.", typed=self._find.value.strip())
        line.display = bool(said)
        width = self.app.size.width
        lines = NARROW_DETAIL if width < ROOMY else self.LINES
        if self.app.size.height < LOW:
            lines = LOW_DETAIL
        line.update(words(within(said, width - 2, lines, self.desk.signs.more), "$quiet"))

    def _not_seen(self, detail: str) -> str:
        """What a narrow screen has no room for in the row, unless the sentence below the list says it."""
        told = tell(detail).casefold()
        return strung(
            (
                strung((part for part in (heading, tell(text).strip()) if part), " ")
                for heading, text in self.rows.not_seen()
                if tell(text).strip().casefold() not in told
            ),
            " · ",
        )

    @on(PagedList.Grown)
    def _grown(self) -> None:
        self._sum_up()

    def action_find(self) -> None:
        """Take the keys into the field that narrows."""
        self._find.display = True
        self.set_focus(self._find)

    def action_whole_list(self) -> None:
        """Everything again."""
        self._find.display = False
        self._find.value = ""
        self._enters = 0
        self.set_focus(self.first_focus())

    @on(Input.Changed, "#find")
    def _narrowed(self, event: Input.Changed) -> None:
        """The first row that fits is the one that is meant."""
        event.stop()
        self._enters = 0
        self.rows.read(from_top=bool(event.value))
        self._sum_up()
        self._say_detail()

    async def action_found(self) -> None:
        """Enter in the field: to the list. Pressed again before it holds anything, Enter is also that of its first row.

        The keys after this one wait until the letters before it have narrowed the list.
        """
        narrowed = asyncio.Event()
        # Behind the letters in the field, behind the word of its change, and behind what the screen does about that.
        self._find.call_later(self._find.call_later, self.call_later, narrowed.set)
        with suppress(TimeoutError):
            await asyncio.wait_for(narrowed.wait(), LONGEST)
        self._enters += 1
        self._go_to_found()

    def _go_to_found(self) -> None:
        """Go to the list, if Enter was pressed, as soon as there is a row or nothing more is looked for."""
        if not self._enters or (not self.rows.held and self._search is not None):
            return
        again, self._enters = self._enters > 1, 0
        self.set_focus(self.rows)
        enter = next((act for act in self.ACTS if "enter" in act.key.split(",")), None)
        if again and self.rows.held and enter is not None:
            self.call_later(self.run_action, f"screen.{enter.name}")


def _holds(row: Row, asked: Sequence[str]) -> bool:
    said = [one[0] if isinstance(one, tuple) else one for one in row.cells]
    text = " ".join(tell(one) for one in (*said, row.also)).casefold()
    return all(word in text for word in asked)


def cut(rows: Callable[[], Sequence[Row]]) -> Callable[[str | None], Page]:
    """Pages of rows that the ledger gives all at once; they are asked for anew with the first page."""
    held: list[Sequence[Row]] = [()]
    ends: dict[str, int] = {}
    """Where a page that was handed out ended, by the key of its last row."""

    def page(after: str | None) -> Page:
        if after is None:
            held[0] = rows()
            ends.clear()
        first = 0 if after is None else ends[after]
        cut_out = held[0][first : first + PAGE]
        if cut_out:
            ends[cut_out[-1].key] = first + len(cut_out)
        return Page(cut_out, first + PAGE < len(held[0]))

    return page


class Drawn(Sequence[Row]):
    """Rows that are drawn when they are looked at: of 5,000 a screen shows some 20.

    Args:
        things: what the rows are of, in their order.
        draw: makes the row of one.
    """

    def __init__(self, things: Sequence[T], draw: Callable[[T], Row]) -> None:
        self._things = things
        self._draw = draw

    def __len__(self) -> int:
        return len(self._things)

    @overload
    def __getitem__(self, at: int) -> Row: ...
    @overload
    def __getitem__(self, at: slice) -> Sequence[Row]: ...
    def __getitem__(self, at: int | slice) -> Row | Sequence[Row]:
        if isinstance(at, slice):
            return [self._draw(thing) for thing in self._things[at]]
        return self._draw(self._things[at])


class WholeList(ListScreen[R]):
    """A list whose rows the ledger gives all at once. A subclass gives `all_rows`."""

    def __init__(self) -> None:
        super().__init__()
        self._page = cut(self.all_rows)

    def page(self, after: str | None) -> Page:
        return self._page(after)

    def all_rows(self) -> Sequence[Row]:
        """Every row, asked for anew."""
        raise NotImplementedError


class ListPage(WholeList[None], OnTop):
    """Such a list on top of a place; Escape goes back."""


class FindPage(ListScreen[None], OnTop):
    """A list on top of a place that can be narrowed: Escape shows the whole list first, then goes back."""

    def action_back(self) -> None:
        """The whole list again, or back."""
        if self._find.display:
            self.action_whole_list()
        else:
            super().action_back()


class Listing(ListScreen[None], Place):
    """A place that is a list."""


class ReckonedList(WholeList[None], Aside[None]):
    """A list whose rows take a look at the whole ledger: they are reckoned aside, the ones before stay meanwhile.

    A subclass gives `question` and `rows_of`.
    """

    QUICK: ClassVar[bool] = False
    """Whether it is asked between two keys, without a thread, where the ledger is small."""

    def __init__(self) -> None:
        super().__init__()
        self._made: Sequence[Row] = ()
        self._asked = False
        """Whether the first question was put: it waits until the list is painted."""
        self._told_once = False

    def all_rows(self) -> Sequence[Row]:
        return self._made

    def question(self) -> Callable[[], object]:
        """What is asked of the ledger, in a thread of its own."""
        raise NotImplementedError

    def rows_of(self, answer: object) -> Sequence[Row]:
        """The rows of an answer."""
        raise NotImplementedError

    def opened(self) -> None:
        if self.QUICK and not self.desk.reckoner.many():
            self._asked = True
            super().opened()
            return
        super().opened()
        self._asked = True
        self.call_after_refresh(self.ask_anew)

    async def tell_anew(self) -> None:
        # Its rows come with the answer: until then nobody may read that there are none.
        self._told_once = False
        await super().tell_anew()

    def action_whole_list(self) -> None:
        """Everything again; where nothing was narrowed, wait no longer for what is being reckoned."""
        if self._find.value or self.focused is self._find or not self.stop_asking():
            super().action_whole_list()

    def why_no_row(self, act: str) -> str:
        if not self._told_once:
            return say("“{act}” needs a row, and the list is still being reckoned.", act=act)
        return super().why_no_row(act)

    def ask_anew(self) -> None:
        """Ask again; the answer is shown when it comes."""
        if self.QUICK and not self.desk.reckoner.many():
            self.told(self.question()())
            return
        self.foot.sum_up(say("reckoning ..."))
        self.ask_aside(self.question())

    def read_anew(self) -> None:
        if self._asked:
            self.ask_anew()
        if not self._told_once:
            # Nobody knows yet whether there is nothing.
            self.query_one(Empty).display = False
            self.foot.sum_up(say("reckoning ..."))

    def told(self, answer: object) -> None:
        self._told_once = True
        self._made = self.rows_of(answer)
        super().read_anew()

    def refused(self, refusal: Refused) -> None:
        self.foot.sum_up(say("! {sentence}", sentence=refusal.sentence))


class ReckonedListing(ReckonedList, Listing):
    """A place that is such a list."""
