"""The application: one mode for each place, the actions that are the same everywhere, and the one way a screen records.

Holds no rule of the books. Everything is recorded through `record`, which tells every screen that the ledger changed.
"""

from __future__ import annotations

import contextlib
import math
import time
from collections.abc import Callable, Mapping, Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar, TypeVar
from weakref import WeakSet

from rich.segment import Segments
from rich.text import Text
from textual import work
from textual.actions import ActionParseResult
from textual.app import App
from textual.binding import Binding, BindingType
from textual.dom import DOMNode
from textual.events import Event, Key
from textual.screen import Screen
from textual.signal import Signal
from textual.worker import get_current_worker

from ledger.act import Done
from ledger.days import Order
from ledger.errors import Refused
from ledger.records.operations import new_token
from ledger.text import show
from ledger.wording import say, strung
from tui.actions import Act, bindings
from tui.charts import Signs
from tui.crash import write_report
from tui.drafts import JOTTED, Drafts
from tui.findable import beside, elsewhere, found
from tui.frame import BREAKPOINTS, HEIGHTS, Framed, Place
from tui.jot_words import Setting, Vocabulary
from tui.look import DAYLIGHT, DAYLIGHT_16, DAYLIGHT_256, LAMPLIGHT, LAMPLIGHT_16, in_one_style, signs_for
from tui.reckoner import Reckoner
from tui.start import settle, tidy
from tui.tongue import listen_to, speak, speaking, tell
from tui.widgets.foot import Answer, Foot, fitting
from tui.widgets.help import Help
from tui.widgets.jot import JotInput
from tui.widgets.sheet import Sheet
from tui.widgets.strip import Strip, Tick

if TYPE_CHECKING:
    from ledger.ledger import Ledger
    from tui.places import Way
    from tui.telling import Preview

R = TypeVar("R")
AFTER_PAINT = 1.0
"""Seconds after the start at which work begins that the first screen must not wait for."""
REST = 1.5
"""Seconds without a key after which the screen puts its own things in order: the sooner, the less there is of them, and
the shorter a key waits that comes just then."""
LOOKS = 0.5
"""Seconds from one look whether it rests to the next."""
SOON = 0.05
"""Seconds in which every widget has done what it was woken for."""
AFTER_TURNING = 0.1
"""Seconds after which what a page left behind is looked through: when the screen under it is drawn."""
BURST = 0.4
"""Seconds within which one Enter after another is the same burst, or a key that is held down."""
WELCOME = Answer(
    say("Press space and write what happened, in the words you would write on a tub"),
    short=say("Write what happened: space"),
)
RECEIPT_WIDTH = 76


class Desk(App[None]):
    """The keeper's desk over one open ledger.

    Args:
        ledger: the open ledger.
        places: the places, in the order of their digits.
        vocabulary: gives the ledger's words for the jot line.
        drafts: where half-filled forms are kept.
        reports: folder for reports of faults.
        signs: what lines are drawn with; `None`: what the terminal can show.
        order: how the keeper writes 14/3.
        papers: folder that papers are written into.
        chores: work that can wait until the first screen is drawn; gives what the keeper should know, or nothing.
    """

    CSS_PATH = "theme.tcss"
    TITLE = "rearledger"
    ENABLE_COMMAND_PALETTE = False
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act(
            "jot",
            "space",
            say("write"),
            say("Open the jot line: one line in your own words records almost everything."),
        ),
        Act(
            "all_actions",
            "full_stop",
            say("more"),
            say("Find all that can be done, here and in other places, by any word for it; and every lot."),
        ),
        Act("help", "question_mark", say("help"), say("Say what this screen is for and which keys it has.")),
        Act(
            "take_back",
            "ctrl+z",
            say("undo"),
            say("Take back your own last act; what was taken back is said."),
            shown=False,
        ),
        Act(
            "last_receipt",
            "ctrl+p",
            say("last receipt"),
            say("Open the receipt of the sale you recorded last."),
            shown=False,
            in_fields=True,
        ),
        Act(
            "jot_from_field",
            "ctrl+g",
            say("write"),
            say("Open the jot line while a field has the keys."),
            in_fields=True,
        ),
        Act("other_light", "ctrl+l", say("light"), say("Change between dark and light."), shown=False, in_fields=True),
        Act("leave", "ctrl+q", say("leave"), say("Leave; what is half-typed is kept."), shown=False, in_fields=True),
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        *bindings(ACTS, "desk"),
        *(Binding(str(n), f"go({n})", f"Place {n}", id=f"desk.place{n}", priority=True) for n in range(1, 10)),
        *(
            Binding("f1,f12" if n == 1 else f"f{n}", f"go_from_field({n})", id=f"desk.place{n}.field", priority=True)
            for n in range(1, 10)
        ),
    ]

    def __init__(
        self,
        ledger: Ledger,
        places: Sequence[type[Place] | Way],
        vocabulary: Callable[[], Vocabulary],
        *,
        drafts: Drafts | None = None,
        reports: Path | None = None,
        signs: Signs | None = None,
        order: Order = "dmy",
        papers: Path | None = None,
        chores: Callable[[], str] | None = None,
    ) -> None:
        # Starting in the first place, not in an empty mode, saves the library a screen and reading all styles twice.
        self.DEFAULT_MODE = places[0].NAME  # type: ignore[misc]
        super().__init__()
        self.HORIZONTAL_BREAKPOINTS, self.VERTICAL_BREAKPOINTS = BREAKPOINTS, HEIGHTS
        for theme in (LAMPLIGHT, DAYLIGHT, DAYLIGHT_256, LAMPLIGHT_16, DAYLIGHT_16):
            self.register_theme(theme)
        self._lights = LAMPLIGHT.name, DAYLIGHT.name
        self.theme = self._lights[0]
        self.ledger = ledger
        self.reckoner = Reckoner(ledger)
        self.places = tuple(places)
        self.drafts = drafts or Drafts()
        self.drafts.tell = lambda sentence: self.say(Answer(sentence, "notice"))
        self.signs = signs or signs_for()
        self.order = order
        self.papers = papers or Path.cwd()
        self.changed: Signal[Done] = Signal(self, say("ledger changed"))
        self.answered: Signal[Answer] = Signal(self, "answered")
        self.voice = speak(speaking())
        """What this screen speaks."""
        self.answer = WELCOME
        self.jotted = self.drafts.get(JOTTED)
        """What stands in the jot line of each place."""
        self.offered = ""
        """A line put there to be looked at, not typed by anyone."""
        self.last_sale = ""
        """Number of the sale recorded last."""
        self.recorded_form: tuple[str, dict[str, str]] | None = None
        """What stood in the form that recorded last, by the name of its draft, while nothing else was recorded."""
        self.round_at = ""
        """Lot whose tubs the round is to show when it is gone to."""
        self.waiting: dict[str, int] = {}
        self._last_key = time.monotonic()
        self.enter_at = 0.0
        """When Enter was pressed last."""
        self.since_enter = 0.0
        """Seconds between the last Enter and the one before it, as they were pressed."""
        self._left_at = -math.inf
        """When a page was left that recorded what stood on it, or Enter was pressed in the same burst after that."""
        self._passing: WeakSet[Screen[Any]] = WeakSet()
        """Screens that are no places, and so will go: those that are there."""
        self._reminded: set[tuple[str, str]] = set()
        self._vocabulary = vocabulary
        self._setting: Setting | None = None
        self._words_before: Vocabulary | None = None
        """Those known until something was recorded, as long as they are learned anew aside."""
        self._learned: object = None
        """The state of the ledger when the words were asked for last."""
        self._reports = reports
        self._chores = chores
        for place in self.places:
            self.add_mode(place.NAME, place)

    def on_mount(self) -> None:
        """Begin what the first screen must not wait for."""
        if not self.is_headless and self.console.color_system == "standard":
            self._lights = LAMPLIGHT_16.name, DAYLIGHT_16.name
            self.theme = self._lights[0]
        elif not self.is_headless and self.console.color_system == "256":
            self._lights = LAMPLIGHT.name, DAYLIGHT_256.name
        self.set_timer(AFTER_PAINT, settle)
        self.set_interval(LOOKS, self._tidy_at_rest)
        self.screen_change_signal.subscribe(self, self._turned, immediate=True)
        if self._chores is not None:
            self.set_timer(AFTER_PAINT, self._do_chores)

    def on_unmount(self) -> None:
        """End what was started beside the screen."""
        self.reckoner.close()

    async def on_event(self, event: Event) -> None:
        """Note when a key came."""
        if isinstance(event, Key):
            self._last_key = time.monotonic()
            if event.key == "enter":
                self.since_enter, self.enter_at = event.time - self.enter_at, event.time
                if event.time - self._left_at < BURST:
                    self._left_at = event.time
                    return
            else:
                self._left_at = -math.inf
        await super().on_event(event)

    async def run_action(
        self,
        action: str | ActionParseResult,
        default_namespace: DOMNode | None = None,
        namespaces: Mapping[str, DOMNode] | None = None,
    ) -> bool:
        """Run an action; where it asked a list for a row that is not there, and did nothing, the screen says so."""
        screen = default_namespace
        if not isinstance(screen, Framed) or not isinstance(action, str):
            return await super().run_action(action, default_namespace, namespaces)
        missed, said = screen.missed, self.answer
        ran = await super().run_action(action, default_namespace, namespaces)
        if screen.missed > missed and self.answer is said and self.screen is screen:
            screen.say_missed(action.rpartition(".")[2])
        return ran

    def _load_screen_css(self, screen: Screen[Any]) -> None:
        """A new screen is drawn by the styles as they are: the library would read all of them anew for it, twice (a
        private part; pinned)."""
        super()._load_screen_css(screen)
        if screen._css_update_count < 0:
            screen._css_update_count = self._css_update_count

    def _tidy_at_rest(self) -> None:
        """Nothing is in the hand: nothing is reckoned, no key came for a while. What a form is made of goes with it."""
        idle = time.monotonic() - self._last_key >= REST
        if idle and all(worker.is_finished for worker in self.workers):
            self._forget_who_asked()
            self.set_timer(SOON, lambda: tidy(self.only_places))

    def _forget_who_asked(self) -> None:
        """A widget keeps the last message it had, and with it the page that sent it, until the next one comes: where a
        page has gone, every widget that stays is woken once, with nothing to do."""
        stacks = self._screen_stacks.values()
        there = {screen for stack in stacks for screen in stack}
        if all(screen in there for screen in self._passing):
            return
        for screen in there:
            for widget in screen.walk_children(with_self=True):
                widget.check_idle()

    def _turned(self, screen: Screen[Any]) -> None:
        """Another screen is seen. What was left is looked through soon, before it is too much between two keys."""
        if len(self.screen_stack) > 1:
            self._passing.add(screen)
        self.set_timer(AFTER_TURNING, lambda: tidy(self.only_places, at_rest=False))

    def only_places(self) -> bool:
        """Whether no page, form or list is there, open in any place or left and still held by something."""
        return not self._passing

    # --- what screens ask of the desk --------------------------------------------------------------------------------

    def ticks(self) -> list[Tick]:
        """The places for the strip."""
        return [
            Tick(place.NAME, str(n), place.TITLE_WORDS, self.waiting.get(place.NAME, 0))
            for n, place in enumerate(self.places, start=1)
        ]

    def jot_setting(self) -> Setting:
        """What a jot line is read against; asked of the ledger anew after each change and when the line opens."""
        if self._setting is None:
            self._learned = self.ledger.state()
            self._setting = Setting(self._vocabulary(), self.ledger.today, self.ledger.currency, self.order)
        return self._setting

    def learn_words(self) -> None:
        """Ask the ledger for its words again, if somebody else recorded meanwhile."""
        state = self.ledger.state()
        if state is None or state != self._learned:
            self._setting, self._learned = None, state

    def record(self, command: object, token: str) -> Done:
        """Record a command and tell every screen.

        Raises:
            Refused: it was not recorded; the screen that asked says so where it was asked.
        """
        from tui.telling import language_settings, once_a_day, sold, to_know, told
        from tui.verbs.typed import order_of

        self.reckoner.may_record()
        known = to_know(self.ledger, command, self.jot_setting().vocabulary)
        before = language_settings(self.ledger, command)
        do = partial(self.ledger.do, before_saving=self.reckoner.give_way) if self.reckoner.large() else self.ledger.do
        done = do(command, token=token, source="screen")
        self.last_sale = sold(command, done) or self.last_sale
        done = once_a_day(told(self.ledger, command, done, known), self._reminded, self.ledger.today)
        self.announce(done)
        after = language_settings(self.ledger, command)
        if after is not None and after != before:
            self.voice.speaker = listen_to(after)
            self.write_days(order_of(after["locale"]))
            # In the application's own turn: no key is read before every screen stands again.
            self.call_later(self._tell_anew)
        return done

    async def _tell_anew(self) -> None:
        """Say everything that stands on a screen again, in the language spoken now; what is typed stays."""
        answer = self.answer
        for stack in list(self._screen_stacks.values()):
            for screen in list(stack):
                if isinstance(screen, Framed) and screen.is_running:
                    await screen.tell_anew()
        self.say(answer)

    def left_recorded(self) -> None:
        """A page that Enter recorded is left: what comes of the same burst is not meant for the list below it."""
        self._left_at = time.monotonic()

    def announce(self, done: Done) -> None:
        """Tell every screen what was recorded, by `record` or by work of a screen's own aside."""
        if self.reckoner.many():
            self._words_before = None if self._setting is None else self._setting.vocabulary
            self._learn_aside()
        self._setting = self.recorded_form = None
        state = "caution" if done.cautions else "done"
        cautions = (say("Caution: {caution}", caution=caution) for caution in done.cautions)
        self.say(Answer(strung((done.sentence, *cautions)), state))
        self.changed.publish(done)

    def write_days(self, order: Order) -> None:
        """Write and read days in another order from now on."""
        self.order = order
        self._setting = None
        for strip in self._strips():
            strip.write_days(order)

    def preview(self, command: object) -> Preview:
        """What would be recorded, in words, with what to know first.

        Raises:
            Refused: it cannot be, and why.
        """
        from tui.telling import preview

        # While the words are learned anew aside, those of a moment ago will do to say what is new.
        words = self._words_before if self._setting is None else None
        return preview(self.ledger, command, words or self.jot_setting().vocabulary)

    async def open_form(self, form: Framed[R], then: Callable[[R | None], None] | None = None) -> None:
        """Open a screen on top of this place; the next key goes to its first field."""
        if self.answer.state == "refused":
            self.forget_answer()
        await self.push_screen(form, then)
        form.set_focus(form.first_focus())

    async def open_lot(self, code: str) -> None:
        """Open the page of a lot on top of this place."""
        from tui.places.lot import LotPage

        await self.open_form(LotPage(code))

    async def open_origin(self, code: str) -> None:
        """Open where the animals of a lot come from on top of this place."""
        from ledger.origin.provenance import provenance_lines
        from tui.places.page import TextPage

        def lines() -> list[str]:
            return [in_one_style(line, self.order) for line in provenance_lines(self.ledger.origin(code))]

        await self.open_form(TextPage(say("Where {code} comes from", code=code), lines))

    async def open_receipt(self, number: str) -> None:
        """Open the receipt of a sale on top of this place."""
        from tui.places.receipt import ReceiptPage

        if isinstance(self.screen, ReceiptPage) and self.screen.title_words() == number:
            return
        await self.open_form(ReceiptPage(number, lambda: self.ledger.receipt_text(number, RECEIPT_WIDTH).splitlines()))

    def wait(self, place: str, waiting: int) -> None:
        """Say on every strip how many things wait in a place."""
        if self.waiting.get(place, 0) == waiting:
            return
        self.waiting[place] = waiting
        for strip in self._strips():
            strip.count(place, waiting)
            for foot in strip.screen.query(Foot):
                # With the count the strip may have no more room for the day.
                foot.new_day()

    def _strips(self) -> list[Strip]:
        return [strip for stack in self._screen_stacks.values() for screen in stack for strip in screen.query(Strip)]

    def keep_jotted(self) -> None:
        """Keep what was typed into the jot lines over a closed terminal, as forms are kept."""
        typed = {place: text for place, text in self.jotted.items() if text.strip() and text != self.offered}
        if typed:
            self.drafts.keep(JOTTED, typed)
        else:
            self.drafts.drop(JOTTED)

    async def jot_with(self, text: str) -> None:
        """Open the jot line with a line that only has to be looked at."""
        self.jotted[self.current_mode] = self.offered = text
        await self.action_jot()

    def say(self, answer: Answer) -> None:
        """Show an answer at the foot of every screen."""
        self.answer = answer
        self.answered.publish(answer)

    def forget_answer(self) -> None:
        """What was answered is not said any longer."""
        self.say(WELCOME)

    @work(thread=True, group="words", exclusive=True)
    def _learn_aside(self) -> None:
        self._words_aside()

    def _words_aside(self) -> None:
        """In a thread: have the words of the ledger ready before a line or a form needs them."""
        state = self.ledger.state()
        vocabulary = self._vocabulary()

        def know() -> None:
            self._words_before = None
            if self._setting is None and state is not None and state == self.ledger.state():
                self._learned = state
                self._setting = Setting(vocabulary, self.ledger.today, self.ledger.currency, self.order)

        if not get_current_worker().is_cancelled:
            self.call_from_thread(know)

    @work(thread=True)
    def _do_chores(self) -> None:
        from tui.places import load_all

        load_all()
        self._words_aside()
        caution = self._chores() if self._chores is not None else ""
        if caution and not get_current_worker().is_cancelled:
            self.call_from_thread(self.say, Answer(caution, "notice"))

    # --- actions that are the same everywhere ------------------------------------------------------------------------

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Letters belong to the field or the list that is open above a screen."""
        framed = self.screen if isinstance(self.screen, Framed) else None
        if action in ("go", "go_from_field"):
            number = parameters[0] if parameters else 0
            there = isinstance(number, int) and number <= len(self.places)
            return there and framed is not None and (action == "go_from_field" or not framed.typing())
        if action in ("jot", "jot_from_field"):
            return framed is not None and (action == "jot_from_field" or not framed.in_a_field)
        if action == "help":
            return framed is not None and not framed.in_a_field
        if action == "all_actions":
            # Its full stop may go on with a number.
            return framed is not None and not framed.in_a_field and not framed.takes_full_stop()
        if action == "take_back":
            # The jot line has its own: it takes back when it is empty.
            return framed is not None and not isinstance(framed.focused, JotInput)
        if action == "last_receipt":
            return framed is not None
        return True

    def action_go(self, number: int) -> None:
        """Go to a place."""
        self.go_to(self.places[number - 1].NAME)

    def action_go_from_field(self, number: int) -> None:
        """Go to a place while a field has the keys."""
        self.action_go(number)

    async def action_jot(self) -> None:
        """Open the jot line."""
        if isinstance(self.screen, Framed):
            await self.screen.open_jot()

    async def action_jot_from_field(self) -> None:
        """Open the jot line while a field has the keys."""
        await self.action_jot()

    def go_to(self, place: str) -> None:
        """Go to a place by its name; what was answered elsewhere is not said again there.

        Asked for again from one of its own pages, it shows itself; what stands in a form is kept as its draft.
        """
        if place == self.current_mode:
            on_top = self.screen_stack[1:]
            if on_top and all(isinstance(one, Framed) and one.can_leave for one in on_top):
                self.forget_answer()
                for _ in on_top:
                    self.pop_screen()
        else:
            self.say(WELCOME)
            self.switch_mode(place)
            if isinstance(self.screen, Framed):
                self.screen.come_back_to()

    def go_to_round(self, lot: str) -> None:
        """Go to the tubs of a lot in the round."""
        self.round_at = lot
        self.go_to("round")

    def take_back(self) -> Done:
        """Take back one's own last act; a form that recorded it lies there again as it was. Raises Refused."""
        from ledger.stock.commands import Undo

        form = self.recorded_form
        done = self.record(Undo(), new_token(time.time_ns()))
        if form is not None and form[1]:
            self.drafts.keep(*form)
        return done

    def action_take_back(self) -> None:
        """Take back one's own last act."""
        if isinstance(self.screen, Framed) and self.screen.typing():
            self.say(Answer(say("A field has the keys: esc leaves it, then ctrl-z takes back your last act.")))
            return
        try:
            self.take_back()
        except Refused as refusal:
            self.say(Answer(refusal.sentence, "refused"))

    async def action_last_receipt(self) -> None:
        """The receipt of the sale recorded last."""
        if not self.last_sale:
            self.say(Answer(say("Nothing was sold since you opened the program; in Sales r shows a receipt.")))
            return
        await self.open_receipt(self.last_sale)

    def action_other_light(self) -> None:
        """Dark or light."""
        lamp, day = self._lights
        self.theme = day if self.theme == lamp else lamp

    def action_leave(self) -> None:
        """Leave the program."""
        self.exit()

    def action_help_quit(self) -> None:
        """Ctrl-C copies from a field; elsewhere it says how to leave."""
        self.say(Answer(say("ctrl-q leaves the program.")))

    def action_help(self) -> None:
        """Help for this screen."""
        screen = self.screen
        if isinstance(screen, Framed):
            self.help_above(screen.title_words(), screen.HELP)

    def help_above(self, title: str, text: str) -> None:
        """Help of what lies on a screen, with the keys of that screen."""
        screen = next((one for one in reversed(self.screen_stack) if isinstance(one, Framed)), None)
        if screen is not None:
            places = [(tick.digit, tick.title) for tick in self.ticks()]
            sheet = Help(title, text, screen.ACTS, self.ACTS, places)
            self.push_screen(sheet, self._do_helped)

    async def _do_helped(self, act: Act | None) -> None:
        if act is not None and isinstance(self.screen, Framed):
            await self.screen.do(act)
        elif act is not None and isinstance(self.screen, Sheet):
            # What was chosen from lies between: whoever clicks an action in its help wants that.
            self.screen.leave(None)
            self.call_later(self._do_helped, act)

    async def action_all_actions(self) -> None:
        """Everything that can be done from here."""
        from tui.widgets.chooser import Choice, Chooser

        screen = self.screen
        if not isinstance(screen, Framed):
            return
        in_line = fitting(screen.ACTS, screen.desk_acts(), self.size.width)
        here = [("screen", act) for act in (*screen.ACTS, *getattr(screen, "BY_WORD", ()))]
        # What the line of keys has no room for comes first: who looks here did not find it there.
        here.sort(key=lambda one: one[1] in in_line)
        choices = [
            Choice(act.words, f"{node}.{act.name}", beside(act), found(act).also)
            for node, act in (*here, *(("app", act) for act in self.ACTS))
            if act.name != "all_actions"
        ]
        choices += [
            Choice(say("Go to {title_words}", title_words=place.TITLE_WORDS), f"app.go({n})", str(n))
            for n, place in enumerate(self.places, start=1)
        ]
        choices += [
            Choice(
                act.words,
                f"app.do_there('{name}', {act.name!r})",
                beside(act, f"{n} {tell(self.places[n - 1].TITLE_WORDS)}:"),
                found(act).also,
            )
            for n, name, act in elsewhere(self.places, type(screen))
        ]
        choices += [
            Choice(say("Open lot {code}", code=code), f"app.lot('{code}')")
            for code in self.jot_setting().vocabulary.stages
        ]
        await self.push_screen(Chooser(say("Everything you can do"), choices), self._do_chosen)

    async def action_lot(self, code: str) -> None:
        """Open the page of a lot."""
        await self.open_lot(code)

    async def action_do_there(self, place: str, action: str) -> None:
        """Go to a place and do there what it does, on top of what is open there already."""
        self.say(WELCOME)
        await self.switch_mode(place)
        await self.run_action(action, self.screen_stack[0])

    async def _do_chosen(self, action: str | None) -> None:
        if action is not None:
            await self.run_action(action, self.screen)

    # --- faults ------------------------------------------------------------------------------------------------------

    def _fatal_error(self) -> None:
        """Leave with one sentence and a report that shows no one's data (the library's own would print variables)."""
        self.bell()
        sentence = say("The program met a fault of its own and stopped. What was recorded is safe.")
        if self._reports is not None and self._exception is not None:
            # A full disk may be the very reason, and must not keep the program from ending.
            with contextlib.suppress(OSError):
                path = write_report(self._exception, self._reports, self.ledger.scene.now)
                sentence += say(" A report without your data is in {path}", path=path)
        self._exit_renderables.append(Segments(self.console.render(Text(show(sentence)), self.console.options)))
        self._close_messages_no_wait()
