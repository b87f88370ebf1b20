"""Whatever a screen asks of a whole ledger can be sent to the process of its own that answers for a large one."""

from __future__ import annotations

import ast
import asyncio
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any, NoReturn, ParamSpec, TypeVar

import tui
from ledger.errors import Refused
from ledger.ledger import Ledger
from tests.tui import gallery
from tests.tui.business import desk
from tui.app import Desk
from tui.aside import Aside
from tui.frame import Framed
from tui.places import PLACES
from tui.places.explain import VersusPage
from tui.places.page import AskedPage
from tui.reckoner import Reckoner, packed

P = ParamSpec("P")
T = TypeVar("T")
IN_PARTS = "asks the process itself, one question after another, and puts the answers together"
EXCEPTIONS = {
    "OutlookPage": "asks the process itself, which says how far it is; what is kept of it is recorded here",
    "RearOrSell": IN_PARTS,
    "HowMany": IN_PARTS,
    "LeastPrice": IN_PARTS,
    "BetterSurvival": IN_PARTS,
    "ClosePage": "long work, which asks the process itself what it only reads",
    "LongCountPage": "the same",
    "round": "asks the process itself, and lays the tubs out by their keys",
}
"""Screens whose question is no method of the ledger and no function of a module, and why. Each must ask the process."""
ONLY_LONG = {"RoundPage"}
"""Asked of the process where there is very much of it; its own tests do that."""
HERE = {
    "tui/places/long.py": "long work, which asks the process itself where it only reads",
    "tui/places/bring_in.py": "a workbook with headings only, which no movement is read for",
    "tui/places/backups.py": "a copy that was begun is finished, also where its page is left meanwhile",
}
"""Modules that ask something aside that cannot be sent, and why."""
ON_A_KEY = {"BackupsPage", "BringInPage"}
"""Screens that ask nothing when they open."""


class Noting(Reckoner):
    """Notes whether a question could be sent, and answers none: that it is asked is all that is looked at."""

    def __init__(self, ledger: Ledger) -> None:
        super().__init__(ledger)
        self.least = 1
        self.where = PLACES[0].NAME
        """The screen that is looked at."""
        self.asked: set[str] = set()
        """Screens that asked anything."""
        self.kept_here: set[str] = set()
        """Those with a question that cannot be sent."""
        self.itself: set[str] = set()
        """Those that asked the process from their thread."""

    def many(self) -> bool:
        return True

    def apart(self, question: Callable[[], object]) -> Callable[[], object]:
        sent = self._note(question)
        self.asked.add(self.where)
        return self._refuse if sent else question

    def ask(self, question: Callable[P, T], *given: P.args, **named: P.kwargs) -> T:
        self.itself.add(self.where)
        self._note(question)
        self._refuse()

    def call(self, question: Callable[..., T], told: Callable[..., None]) -> T:
        self.itself.add(self.where)
        self._note(question)
        # As a process does that has not said anything yet.
        told()
        self._refuse()

    def _note(self, question: Callable[..., object]) -> bool:
        sent = packed(question, self._ledger) is not None
        if not sent:
            self.kept_here.add(self.where)
        return sent

    @staticmethod
    def _refuse() -> NoReturn:
        raise Refused("Nothing is answered here.")


async def look(app: Desk, noted: Noting, name: str) -> None:
    """Wait until a screen has asked what it asks, and was told that nothing is answered."""
    end = time.monotonic() + 20
    while time.monotonic() < end and (name not in noted.asked or not all(worker.is_finished for worker in app.workers)):
        await asyncio.sleep(0.01)


async def walk(app: Desk, noted: Noting) -> set[str]:
    """Open every screen that asks something heavy; their names."""
    heavy = set()
    losses = "losses of a lot"
    for name, made in (
        *gallery.made(app.ledger),
        ("VersusPage", lambda: VersusPage("P08", "P01")),
    ):
        screen: Framed[Any] = made()
        if not isinstance(screen, Aside) or not screen.HEAVY or isinstance(screen, AskedPage) or name in ON_A_KEY:
            continue
        heavy.add(name)
        noted.where = name
        await app.open_form(screen)
        await look(app, noted, name)
        if name == "LotPage":
            noted.where = losses
            heavy.add(losses)
            await app.run_action("screen.losses", app.screen)
            await look(app, noted, losses)
        while len(app.screen_stack) > 1:
            await app.pop_screen()
    return heavy


async def test_what_reads_a_journal_can_be_asked_of_another_process(loft: Ledger) -> None:
    gallery.happen(loft)
    app = desk(loft)
    app.reckoner = noted = Noting(loft)
    late, heavy = "late facts", {"late facts"}
    async with app.run_test(size=(80, 24)):
        for place in PLACES:
            noted.where = place.NAME
            app.go_to(place.NAME)
            await asyncio.sleep(0.05)
            screen = app.screen
            if isinstance(screen, Aside) and screen.HEAVY:
                heavy.add(place.NAME)
                await look(app, noted, place.NAME)
            if place.NAME == "year":
                noted.where = late
                await app.run_action("screen.late", screen)
                await look(app, noted, late)
                await app.pop_screen()
        heavy |= await walk(app, noted)

    assert noted.kept_here - set(EXCEPTIONS) == set()
    # What is excused needs it still, and asks the process itself.
    assert noted.kept_here == set(EXCEPTIONS)
    assert noted.itself >= set(EXCEPTIONS)
    # Nothing heavy was passed by because it did not ask.
    assert heavy - ONLY_LONG <= noted.asked
    assert {"due", "rearing", "year", "round", "VersusPage", "LotPage", "SalePage", "OutlookPage"} <= heavy
    assert len(heavy) > 30


async def test_a_question_that_holds_on_to_its_screen_is_found(loft: Ledger) -> None:
    """The control: the same question, as a closure."""
    app = desk(loft)
    app.reckoner = noted = Noting(loft)
    async with app.run_test(size=(80, 24)):
        for noted.where, question in (("sent", loft.rearing), ("held", lambda: loft.rearing())):
            await app.open_form(AskedPage(noted.where, question, lambda rows: [str(len(rows))]))
            await look(app, noted, noted.where)

    assert noted.asked >= {"sent", "held"}
    assert noted.kept_here == {"held"}


def _asked_with_a_lambda(code: str, *called: str) -> bool:
    return any(
        isinstance(one, ast.Call)
        and (one.func.attr if isinstance(one.func, ast.Attribute) else getattr(one.func, "id", "")) in called
        and any(isinstance(given, ast.Lambda) for given in one.args)
        for one in ast.walk(ast.parse(code))
    )


def test_what_a_key_asks_aside_later_is_no_lambda() -> None:
    """What is asked only after a key on a page was pressed is looked for in what is written."""
    house = Path(tui.__file__).parent
    found = {
        path.relative_to(house.parent).as_posix()
        for path in house.rglob("*.py")
        if _asked_with_a_lambda(path.read_text(encoding="utf-8"), "ask_aside")
    }

    assert found == set(HERE)
    assert _asked_with_a_lambda("self.ask_aside(lambda: 1)", "ask_aside")
    assert not _asked_with_a_lambda("self.ask_aside(partial(f, 1))", "ask_aside")


def test_what_makes_a_paper_is_no_lambda() -> None:
    """So that papers of a large ledger are made where the memory that takes is given back."""
    modules = [path.read_text(encoding="utf-8") for path in Path(tui.__file__).parent.rglob("*.py")]

    assert not any(_asked_with_a_lambda(code, "Paper", "write_aside") for code in modules)
    assert sum(code.count(" Paper(") + code.count("[Paper(") for code in modules) > 5
    assert _asked_with_a_lambda('Paper("Note", "", lambda house: note(ledger, 1, house))', "Paper")
