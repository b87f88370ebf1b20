"""Long questions of a large ledger: the same answers from a process of its own, which Escape ends."""

from __future__ import annotations

import os
import signal
import time
from collections.abc import Callable
from contextlib import suppress
from functools import partial
from threading import Event
from typing import Any

import pytest
from textual.pilot import Pilot

from ledger.act import Done
from ledger.costs.commands import NoteHours
from ledger.errors import Refused
from ledger.ledger import Ledger
from ledger.records import tables as t
from ledger.records.commands import SetSetting
from tests.tui.business import desk
from tests.tui.keys import rest
from tests.tui.loft import count, go
from tests.tui.screenshot import picture
from tui import tongue
from tui.app import Desk
from tui.places.page import AskedPage
from tui.places.rearing import RearingPlace
from tui.places.round import RoundPlace
from tui.places.writing import WritePage
from tui.reckoner import LARGE, SOURCE, BrokenOff, Reckoner, packed
from tui.tongue import Tongue
from tui.widgets.foot import Answer

pytestmark = pytest.mark.skipif(os.name != "posix", reason="no such pipes on this system; a thread answers")


def test_only_what_another_process_can_ask_is_sent(loft: Ledger) -> None:
    assert packed(loft.rearing, loft) is not None
    assert packed(partial(loft.mortality, 2025), loft) is not None
    assert packed(lambda: loft.rearing(), loft) is None
    assert not Reckoner(loft).large()
    assert LARGE > 1000


async def _until(pilot: Pilot[None], done: Callable[[], bool], seconds: float = 20.0) -> None:
    end = time.monotonic() + seconds
    while not done() and time.monotonic() < end:
        await pilot.pause(0.05)
    assert done()


async def test_a_large_ledger_is_answered_by_a_process_that_escape_ends(loft: Ledger) -> None:
    plain = desk(loft)
    async with plain.run_test(size=(80, 24)) as pilot:
        await go(pilot, "6")
        wanted = picture(plain)
        assert plain.reckoner._process is None
    app = desk(loft)
    app.reckoner.least = 1
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "6")
        assert picture(app) == wanted
        place = app.screen
        assert isinstance(place, RearingPlace)
        process = app.reckoner._process
        assert process is not None
        assert process.poll() is None

        # A refusal comes back as the same refusal.
        refused: list[Refused] = []
        place.refused = refused.append  # type: ignore[method-assign]
        place.ask_aside(partial(loft.mortality, 1))
        await rest(pilot)
        with pytest.raises(Refused) as here:
            loft.mortality(1)
        assert [one.sentence for one in refused] == [here.value.sentence]

        place.ask_aside(partial(time.sleep, 600))
        await _until(pilot, lambda: "esc stops" in picture(app))
        await pilot.press("escape")
        await _until(pilot, lambda: process.poll() is not None)
        assert "stopped" in picture(app)
        assert not place.asking

        # Coming back asks anew, of a new process, which leaves with the screen.
        place.refused = type(place).refused.__get__(place)  # type: ignore[method-assign]
        await go(pilot, "1", "6")
        assert picture(app) == wanted
        left = app.reckoner._process
        assert left is not None
        await app.open_form(AskedPage("Long", partial(time.sleep, 600), lambda nothing: [str(nothing)]))
        await _until(pilot, lambda: "esc stops" in picture(app))
        await pilot.press("escape")
        await _until(pilot, lambda: left.poll() is not None)
        await go(pilot, "7")
        again = app.reckoner._process
        assert again is not None
    assert again.poll() is not None


async def test_the_screen_that_is_seen_is_answered_first_and_the_other_asks_anew(loft: Ledger) -> None:
    app = desk(loft)
    app.reckoner.least = 1
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "6")
        rearing = app.screen
        assert isinstance(rearing, RearingPlace)
        wanted = picture(app)
        rearing.ask_aside(partial(time.sleep, 600))
        await _until(pilot, lambda: "esc stops" in picture(app))

        year = await go(pilot, "7")
        assert "✓ everything adds up" in year
        assert not rearing.asking

        await pilot.press("6")
        await _until(pilot, lambda: picture(app) == wanted)
        # A page goes before the place it lies on, too.
        rearing.ask_aside(partial(time.sleep, 600))
        await app.open_form(AskedPage("Short", partial(time.sleep, 0), lambda nothing: [f"answered {nothing}"]))
        await _until(pilot, lambda: "answered None" in picture(app))
        assert not rearing.asking
        await pilot.press("escape")
        await _until(pilot, lambda: picture(app) == wanted)


async def test_in_another_language_the_screen_that_is_seen_is_answered_and_the_others_once_they_are(
    loft: Ledger,
) -> None:
    app = desk(loft)
    app.reckoner.least = 1
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "6", "8", "7", "6")
        place = app.screen
        app.record(SetSetting("screen language", "de"), "german")
        await _until(pilot, lambda: "Zucht" in picture(app) and not place.redrawing)  # type: ignore[attr-defined]
        assert "verfolgt" not in picture(app), "nobody knows yet whether there is nothing"
        await rest(pilot)
        assert "angehalten" not in picture(app)
        assert "noch in Aufzucht" in picture(app)
        assert "alles geht auf" in await go(pilot, "7")
        assert "P08" in await go(pilot, "8")


async def test_what_comes_out_of_the_process_is_said_in_the_language_of_the_screen(loft: Ledger) -> None:
    async def seen(*, apart: bool) -> str:
        app = desk(loft)
        app.reckoner.least = 1 if apart else LARGE
        async with app.run_test(size=(120, 40)) as pilot:
            places = [await go(pilot, place) for place in ("6", "8")]
            assert (app.reckoner._process is not None) == apart
        return "".join(places)

    english = await seen(apart=False)
    tongue.speak(Tongue("de", "de_DE"))
    try:
        here, there = await seen(apart=False), await seen(apart=True)
    finally:
        tongue.speak(None)

    assert there == here
    assert "noch in Aufzucht" in there
    assert "still rearing" in english


async def test_how_far_it_is_comes_through_and_what_is_not_wanted_is_broken_off(loft: Ledger) -> None:
    app = desk(loft)
    app.reckoner.least = 1
    shares: list[float] = []

    def noted(share: float = 0.0) -> None:
        shares.append(share)

    def enough(share: float = 0.0) -> None:
        shares.append(share)
        if share > 0.5:
            raise Refused("Enough.")

    async with app.run_test(size=(80, 24)) as pilot:
        await rest(pilot)
        answers: list[object] = []

        def ask() -> None:
            answers.append(app.reckoner.call(tell, noted))
            try:
                app.reckoner.call(tell, enough)
            except Refused as refused:
                answers.append(refused.sentence)

        worker = app.run_worker(ask, thread=True)
        await worker.wait()

    assert answers == ["told", "Enough."]
    assert {0.25, 0.75} <= set(shares)


def tell(told: Callable[[float], None]) -> str:
    """A question that says how far it is."""
    told(0.25)
    told(0.75)
    time.sleep(0.3)
    return "told"


async def in_a_thread(app: Desk, work: Callable[[], object]) -> list[object]:
    """What came of some work: its answer, or the refusal it ended in."""
    came: list[object] = []

    def do() -> None:
        try:
            came.append(work())
        except Refused as refused:
            came.append(refused)

    await app.run_worker(do, thread=True).wait()
    return came


async def test_an_act_of_a_process_of_its_own_is_saved_once_and_only_with_leave(loft: Ledger) -> None:
    app = desk(loft)
    app.reckoner.least = 1
    noticed: list[int] = []
    loft.recorded = lambda: noticed.append(count(loft, t.operation))
    before = count(loft, t.operation)
    command = SetSetting("business name", "Fernhollow")

    def nothing(*_how_far: object) -> None:
        """Nobody wants to know."""

    def stop(*_how_far: object) -> None:
        raise Refused("No longer wanted.")

    def record(token: str, told: Callable[..., None] = nothing, leave: Callable[[], None] = nothing) -> object:
        return app.reckoner.record(command, token=token, told=told, leave=leave)

    async with app.run_test(size=(80, 24)) as pilot:
        await rest(pilot)
        for broken in (partial(record, "one", nothing, stop), partial(record, "one", stop)):
            assert [str(one) for one in await in_a_thread(app, broken)] == ["No longer wanted."]
            assert count(loft, t.operation) == before
            assert loft.name != "Fernhollow"

        first = await in_a_thread(app, partial(record, "one"))
        again = await in_a_thread(app, partial(record, "one"))
        process = app.reckoner._process

    assert process is not None, "a thread did it"
    assert first == again
    assert loft.name == "Fernhollow"
    assert noticed == [before + 1, before + 1]


async def test_nothing_is_recorded_beside_an_act_of_a_process_of_its_own(loft: Ledger) -> None:
    app = desk(loft)
    app.reckoner.least = 1
    written, saved = Event(), Event()

    def leave() -> None:
        written.set()
        assert saved.wait(20)

    async with app.run_test(size=(80, 24)) as pilot:
        await rest(pilot)
        act = partial(app.reckoner.record, SetSetting("business name", "Fernhollow"), token="one", told=lambda: None)
        recording = app.run_worker(partial(act, leave=leave), thread=True)
        await _until(pilot, written.is_set)
        with pytest.raises(Refused, match="being recorded just now"):
            app.record(NoteHours(loft.today, 30), "hours")
        saved.set()
        await recording.wait()
        app.record(NoteHours(loft.today, 30), "hours")
    assert loft.name == "Fernhollow"


async def test_an_act_whose_process_was_ended_is_told_from_one_that_was_saved(
    loft: Ledger, monkeypatch: pytest.MonkeyPatch
) -> None:
    app = desk(loft)
    app.reckoner.least = 1
    command = SetSetting("business name", "Fernhollow")

    def killed() -> None:
        process = app.reckoner._process
        assert process is not None
        process.kill()
        process.wait()

    def record(leave: Callable[[], None] = lambda: None) -> object:
        return app.reckoner.record(command, token="one", told=lambda *_: None, leave=leave)

    async with app.run_test(size=(80, 24)) as pilot:
        await rest(pilot)
        (lost,) = await in_a_thread(app, partial(record, killed))
        assert isinstance(lost, BrokenOff)
        assert loft.name != "Fernhollow"

        ask = app.reckoner._ask

        def saved_and_killed(*given: Any) -> object:
            ask(*given)
            raise BrokenOff("It was ended.")

        monkeypatch.setattr(app.reckoner, "_ask", saved_and_killed)
        (done,) = await in_a_thread(app, record)

    assert isinstance(done, Done)
    assert loft.name == "Fernhollow"
    assert done == loft.done_elsewhere(command, "one", SOURCE)


async def test_what_is_recorded_does_not_wait_for_a_question(loft: Ledger) -> None:
    app = desk(loft)
    app.reckoner.least = 1
    async with app.run_test(size=(80, 24)) as pilot:
        await rest(pilot)
        await app.open_form(AskedPage("Long", partial(read_on, loft), lambda nothing: [str(nothing)]))
        await _until(pilot, lambda: "esc stops" in picture(app))
        reading = app.reckoner._process
        assert reading is not None

        # Without giving way it would be refused after some seconds: somebody else is at the ledger.
        app.record(NoteHours(loft.today, 30), "hours")
        # It ended by itself, as nobody had to end it; it is asked anew, and nobody is told that it was broken off.
        await _until(pilot, lambda: reading.poll() is not None and app.reckoner._process is not None)
        assert reading.returncode == 0
        await _until(pilot, lambda: "reckoning ..." in picture(app))
        shown = picture(app)
        assert "broken off" not in shown
        assert "30 min" in shown


async def test_a_process_that_does_not_let_go_is_ended(loft: Ledger) -> None:
    app = desk(loft)
    app.reckoner.least = 1
    async with app.run_test(size=(80, 24)) as pilot:
        await rest(pilot)
        app.run_worker(partial(app.reckoner.ask, read_unheeding, loft), thread=True, exit_on_error=False)
        await _until(pilot, lambda: app.reckoner._turn.locked() and app.reckoner._process is not None)
        reading = app.reckoner._process
        assert reading is not None
        await pilot.pause(1)
        app.record(NoteHours(loft.today, 30), "hours")
        assert reading.poll() == -signal.SIGKILL


async def test_a_process_in_the_midst_of_work_that_hears_no_exception_lets_go_by_itself(loft: Ledger) -> None:
    app = desk(loft)
    app.reckoner.least = 1
    async with app.run_test(size=(80, 24)) as pilot:
        await rest(pilot)
        app.run_worker(partial(app.reckoner.ask, read_without_end, loft), thread=True, exit_on_error=False)
        await _until(pilot, lambda: app.reckoner._turn.locked() and app.reckoner._process is not None)
        reading = app.reckoner._process
        assert reading is not None
        await pilot.pause(1.5)
        app.record(NoteHours(loft.today, 30), "hours")
        await _until(pilot, lambda: reading.poll() is not None)
        assert reading.returncode == 0


async def test_what_is_made_in_the_process_is_made_anew_where_it_gave_way(loft: Ledger) -> None:
    app = desk(loft)
    app.reckoner.least = 1
    async with app.run_test(size=(80, 24)) as pilot:
        await rest(pilot)
        page = WritePage("Long", lambda _: app.reckoner.ask(read_a_while, loft), lambda read: Answer(str(read)))
        await app.open_form(page)
        await _until(pilot, lambda: app.reckoner._turn.locked() and app.reckoner._process is not None)
        reading = app.reckoner._process
        assert reading is not None
        # Nobody asked for it to be broken off, and nobody would begin it anew.
        app.record(NoteHours(loft.today, 30), "hours")
        assert app.reckoner._gave_way is reading
        assert page.working
        await _until(pilot, lambda: app.screen is not page)
    assert app.answer.sentence == "read"


async def test_a_long_round_is_saved_while_a_process_reads(loft: Ledger, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("tui.places.round.FEW", 0)
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "8", "f", "enter")
        app.reckoner.least = 1
        app.run_worker(partial(app.reckoner.ask, read_on, loft), thread=True, exit_on_error=False)
        await _until(pilot, lambda: app.reckoner._turn.locked() and app.reckoner._process is not None)
        reading = app.reckoner._process
        assert reading is not None
        await pilot.pause(1)
        await pilot.press("enter")
        # Without giving way it would be refused after a quarter of a minute.
        await _until(pilot, lambda: isinstance(app.screen, RoundPlace), 10)
        assert app.reckoner._gave_way is reading
        assert "fed" in app.answer.sentence


def read_a_while(ledger: Ledger) -> str:
    """A question that takes its time."""
    with ledger.store.reading() as conn:
        conn.exec_driver_sql("SELECT count(*) FROM movement").scalar_one()
        time.sleep(1)
    return "read"


def read_unheeding(ledger: Ledger) -> None:
    """A question that keeps the interpreter to itself while it reads, so that nothing is heard."""
    with ledger.store.reading() as conn:
        conn.exec_driver_sql("SELECT count(*) FROM movement").scalar_one()
        sum(range(10**13))


def read_without_end(ledger: Ledger) -> None:
    """A question that goes on after whatever is raised in it."""
    with ledger.store.reading() as conn:
        conn.exec_driver_sql("SELECT count(*) FROM movement").scalar_one()
        while True:
            with suppress(BaseException):
                sum(range(1000))


def read_on(ledger: Ledger) -> None:
    """A question that reads for long."""
    with ledger.store.reading() as conn:
        conn.exec_driver_sql("SELECT count(*) FROM movement").scalar_one()
        time.sleep(600)
