"""The frame every screen of this program stands in: the strip of places above, the foot with the jot line below.

A place is a framed screen of its own mode; a form or a page about one thing is a framed screen on top of a place, so
that it stays as it is while one looks elsewhere.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, ClassVar, TypeVar, cast

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding
from textual.events import Key, ScreenResume
from textual.screen import Screen
from textual.widget import Widget
from textual.widgets import Input

from ledger.wording import say
from tui.actions import Act, bindings
from tui.look import in_one_style, short
from tui.widgets.foot import Answer, Foot, Keys
from tui.widgets.jot import JotInput, JotLine
from tui.widgets.oneof import OneOf
from tui.widgets.paged import LOW, ROOMY, PagedList
from tui.widgets.strip import Strip

if TYPE_CHECKING:
    from tui.app import Desk

R = TypeVar("R")

BREAKPOINTS = [(0, "-narrow"), (ROOMY, "-roomy")]
"""Classes of a screen by its width."""
HEIGHTS = [(0, "-low"), (LOW, "-high")]
"""And by its height."""


class Framed(Screen[R]):
    """A screen with strip and foot.

    A subclass says its `ACTS`, its `HELP` and its `body`; a place also its name, digit and title.
    """

    ACTS: ClassVar[tuple[Act, ...]] = ()
    HELP: ClassVar[str] = ""
    """A few sentences: what this screen answers and how to begin."""
    WHERE: ClassVar[str] = ""
    """Short name, part of the ids of its bindings."""
    MORE_KEYS: ClassVar[tuple[Binding, ...]] = ()
    """Keys that are no actions of their own, such as the digits of a number."""
    AUTO_FOCUS = ""
    STEPS: ClassVar[tuple[Binding, ...]] = ()
    """Keys that only move about and so are no actions, but must be worked off before the action after them."""

    def __init_subclass__(cls) -> None:
        cls.BINDINGS = [*bindings(cls.ACTS, cls.WHERE or cls.__name__.lower()), *cls.STEPS, *cls.MORE_KEYS]
        super().__init_subclass__()

    @property
    def desk(self) -> Desk:
        """The application, typed."""
        return cast("Desk", self.app)

    def compose(self) -> ComposeResult:
        desk = self.desk
        # The classes of its size before its widgets are there: the library gives it when all of them have their styles,
        # and they would have to be looked for once more.
        wide, high = desk.size
        self.update_classes({class_of(wide, BREAKPOINTS): True, class_of(high, HEIGHTS): True}, update=False)
        self._styled_with_focus = desk.app_focus
        strip = Strip(desk.ticks(), self.here(), desk.ledger.today, desk.signs, desk.order)
        yield strip
        yield from self.body()
        yield Foot(desk.ledger.name, self.ACTS, self.desk_acts(), desk.signs, strip.day_left_out)

    def desk_acts(self) -> tuple[Act, ...]:
        """Which of the actions that are the same everywhere the line of keys shows here."""
        return tuple(act for act in self.desk.ACTS if not act.in_fields)

    def day(self, day: dt.date) -> str:
        """A day as the keeper's locale orders it."""
        return short(day, self.desk.order)

    def said(self, sentence: str) -> str:
        """A sentence of the ledger with its days in that one style."""
        return in_one_style(sentence, self.desk.order)

    def here(self) -> str:
        """Name of the place this screen belongs to."""
        return self.desk.current_mode

    def title_words(self) -> str:
        """What this screen is called."""
        return self.WHERE.capitalize()

    def body(self) -> Iterable[Widget]:
        """The widgets between strip and foot."""
        raise NotImplementedError

    @property
    def foot(self) -> Foot:
        """The lines at the foot."""
        return self.query_one(Foot)

    def first_focus(self) -> Widget | None:
        """The widget that takes the keys when the screen opens."""
        return None

    def on_mount(self) -> None:
        """Begin; the library would call this in every class that has it, so that a screen says what it does in
        `opened`."""
        self.opened()

    def opened(self) -> None:
        """Show what was last recorded, hear of what will be, and take the keys."""
        self._answered(self.desk.answer)
        self.desk.answered.subscribe(self, self._answered, immediate=True)
        self.desk.changed.subscribe(self, self._changed, immediate=True)
        self.set_focus(self.first_focus())

    def on_unmount(self) -> None:
        """Hear nothing any more: the library would keep a screen that has gone, with all its widgets, until the next
        word, and what is kept is never looked at for garbage again."""
        self._hear_nothing()

    def _hear_nothing(self) -> None:
        for signal in (self.desk.answered, self.desk.changed):
            signal.unsubscribe(self)

    async def tell_anew(self) -> None:
        """Draw everything again: the screen speaks another language. What is typed into a form is in its draft."""
        self._hear_nothing()
        self._before_jot = None
        self.redrawing = True
        await self.recompose()
        self.redrawing = False
        self.opened()

    def _answered(self, answer: Answer) -> None:
        self.foot.answer(replace(answer, sentence=self.said(answer.sentence)))

    def _changed(self, _: object) -> None:
        """Read anew when shown, or now if shown."""
        self._stale = True
        if self.is_current and not self.redrawing:
            self.resumed()

    redrawing = False
    """Whether its widgets are being made anew: whatever comes meanwhile is asked for again when they stand."""
    _stale = False
    _before_jot: Widget | None = None
    """What had the keys when the jot line was opened."""

    def on_screen_resume(self, event: ScreenResume) -> None:
        """Shown again; the library would call this in every class that has it, too, so a screen says it in
        `resumed`.

        It comes before the library's own, which would look for the styles of every widget anew: they are as they were,
        unless the terminal is looked at now and was not then. (Of another light the library tells screens by itself.)
        """
        event.refresh_styles = self._styled_with_focus != self.app.app_focus
        self._styled_with_focus = self.app.app_focus
        if not self.redrawing:
            self.resumed()

    def on_screen_suspend(self) -> None:
        """Another screen comes before it; while it is shown its styles follow the terminal."""
        self._styled_with_focus = self.app.app_focus

    _styled_with_focus = True
    """Whether the terminal was looked at when its styles were looked for."""

    def resumed(self) -> None:
        """Read anew if something was recorded meanwhile."""
        self.query_one(Strip).day(self.desk.ledger.today)
        self.foot.new_day()
        if self._stale:
            self._stale = False
            self.read_anew()

    def come_back_to(self) -> None:
        """It lies on top of a place that was gone to from another one, perhaps forgotten by whoever comes."""

    def read_anew(self) -> None:
        """Ask the ledger again; called after something was recorded. Screens that show nothing of it do nothing."""

    @property
    def can_leave(self) -> bool:
        """Whether nothing is under way that must be waited for."""
        return True

    @property
    def in_a_field(self) -> bool:
        """Whether a field has the keys."""
        return isinstance(self.focused, Input | OneOf)

    def typing(self) -> bool:
        """Whether letters or digits belong to a field or to a number at this moment."""
        return self.in_a_field

    def takes_full_stop(self) -> bool:
        """Whether a full stop would go on with a number that is being typed."""
        return False

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """An action on a letter, a digit or Enter waits while the keys belong to a field or to the jot line."""
        act = next((act for act in self.ACTS if act.name == action), None)
        if act is None:
            return True
        return not self.typing() or (act.in_fields and not isinstance(self.focused, JotInput))

    def on_key(self, event: Key) -> None:
        """A letter or sign that does nothing here says so, rather than leaving its keeper to wonder."""
        if event.is_printable and event.character and not self.typing():
            said = say("{key} does nothing here; . lists all that can be done, ? helps.", key=event.character)
            self.foot.answer(Answer(said))

    missed = 0
    """How often an action wanted the row of a list that has none."""

    def say_missed(self, action: str) -> None:
        """An action wanted a row that is not there, and did nothing."""

    async def open_jot(self) -> None:
        """Open the jot line over the foot."""
        jot = await self.foot.with_jot()
        if not jot.display:
            self._before_jot = self.focused
        jot.open()

    @on(JotLine.Toggled)
    def _jot_toggled(self, event: JotLine.Toggled) -> None:
        self.foot.jotting(event.is_open)
        if not event.is_open:
            self.give_back(self._before_jot or self.first_focus())
            # Whoever wrote a line was elsewhere meanwhile: a number that was begun before is over.
            self.resumed()

    async def do(self, act: Act) -> None:
        """Do what was chosen with the mouse, whatever has the keys."""
        node = "screen" if act in self.ACTS else "app"
        had = self.focused if self.in_a_field and not act.in_fields else None
        if had is not None:
            # Its key would be a letter of the field; a click is none.
            self.set_focus(None)
        await self.run_action(f"{node}.{act.name}")
        if had is not None and self.focused is None:
            self.give_back(had)

    def give_back(self, widget: Widget | None) -> None:
        """Give the keys back to what had them. A field then goes on where it was: that all of it is marked, so that the
        next letter takes its place, is for a field that is come to."""
        marked = isinstance(widget, Input) and widget.select_on_focus
        if isinstance(widget, Input):
            widget.select_on_focus = False
        self.set_focus(widget)
        if isinstance(widget, Input) and marked:
            # Behind the word that it has the keys, in its own queue.
            widget.call_later(setattr, widget, "select_on_focus", True)

    @on(Keys.Clicked)
    async def _key_clicked(self, event: Keys.Clicked) -> None:
        event.stop()
        await self.do(event.act)

    @on(PagedList.Clicked)
    async def _marked_row_clicked(self, event: PagedList.Clicked) -> None:
        """The row that is marked is opened, as by Enter."""
        event.stop()
        act = next((act for act in self.ACTS if "enter" in act.key.split(",")), None)
        if act is not None:
            await self.do(act)

    @on(Strip.Chosen)
    def _place_chosen(self, event: Strip.Chosen) -> None:
        self.desk.go_to(event.place)


def class_of(cells: int, steps: Sequence[tuple[int, str]]) -> str:
    """The class of a screen with so many cells."""
    return next(name for least, name in reversed(steps) if cells >= least)


class Place(Framed[None]):
    """A place: the base screen of its mode."""

    NAME: ClassVar[str] = ""
    TITLE_WORDS: ClassVar[str] = ""
    BY_WORD: ClassVar[tuple[Act, ...]] = ()
    """What the list of all actions offers besides; it has no key of its own."""

    def here(self) -> str:
        return self.NAME

    def title_words(self) -> str:
        return self.TITLE_WORDS
