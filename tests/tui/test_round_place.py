"""The round on the screen: marks are staged, kept, corrected and saved together; one key takes the whole round back."""

from __future__ import annotations

from pathlib import Path

import pytest

from ledger.ledger import Ledger
from ledger.records import tables as t
from ledger.stock.commands import Move, Record
from tests.tui.business import TODAY, desk
from tests.tui.keys import burst, rest, type_in
from tests.tui.loft import count, go, rows
from tests.tui.screenshot import lines, same_as_stored
from tui.app import BURST
from tui.drafts import Drafts
from tui.places.round import RoundPlace
from tui.places.round_page import RoundPage
from tui.round_marks import TubMarks, where_of
from tui.widgets.chooser import Chooser
from tui.widgets.taps import Taps

LAST = (t.movement.c.reason, t.movement.c.count, t.movement.c.reverses)


def counts(ledger: Ledger) -> dict[tuple[str, str], int]:
    found: dict[tuple[str, str], int] = {}
    for row in ledger.stock(lot="P08"):
        found[row.stage, row.sex] = found.get((row.stage, row.sex), 0) + row.count
    return found


async def test_a_round_is_walked_read_through_saved_at_once_and_taken_back_by_one_key(loft: Ledger) -> None:
    before, stock = count(loft, t.operation), counts(loft)
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "8")
        shown = await go(pilot, *["up"] * 9, "f", "d", "d", "backspace", "v")
        assert "1 marked: 1 tub seen" in shown

        shown = await go(pilot, "d", "d", "equals_sign", "3", "enter", "f")
        assert "3 died · fed" in shown
        assert count(loft, t.operation) == before

        shown = await go(pilot, "enter")
        assert isinstance(app.screen, RoundPage)
        assert "3 of 10 L3 died" in shown
        assert count(loft, t.operation) == before

        shown = await go(pilot, "enter")
        assert isinstance(app.screen, RoundPlace)
        assert count(loft, t.operation) == before + 1
        assert rows(loft, *LAST)[-1] == ("died", 3, None)
        assert [kind for (kind,) in rows(loft, t.observation.c.kind)][-2:] == ["fed", "looked"]
        assert not any("died" in line and "P08" in line for line in lines(app)[2:18])

        shown = await go(pilot, "ctrl+z")
        assert "Taken back" in shown
        assert counts(loft) == stock
        assert "3 died · fed" in shown  # to be corrected, as it was marked
        assert loft.prove() == ()
        seen = {tub.last_on for tub in loft.round_tubs() if tub.lot == "P08"}
        assert TODAY not in seen


async def test_keys_that_come_in_one_burst_mark_the_tubs_they_were_meant_for(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "8", *["up"] * 9)
        first = app.screen
        assert isinstance(first, RoundPlace)
        keys = list(first._tubs)

        first_row = ("d", "equals_sign", "1", "0", "down", "c", "2")
        burst(app, *first_row, "down", "d", "down", "f", "up", "m", "down", "down", "v")
        await rest(pilot)

        marked = {keys.index(key): marks.kept() for key, marks in first.walk.marked.items() if marks}
        assert marked == {0: "10 died", 1: "2 counted", 2: "1 died, 3 moved", 3: "fed, seen", 4: "seen"}


async def test_a_number_goes_on_by_sex_and_is_never_given_to_a_mark_nobody_named(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "8", "home")
        first = app.screen
        assert isinstance(first, RoundPlace)
        key = next(iter(first._tubs))

        burst(app, "d", "d", "m", "equals_sign", "2", "full_stop", "1", "enter")
        await rest(pilot)
        assert first.walk.marked[key].kept() == "2 died, 3 moved 2.1.0"

        # Another row and back: which of the two numbers is meant, is asked.
        shown = await go(pilot, "down", "up", "equals_sign")
        assert "what is the number of? d died, m moved on" in shown
        assert "what is the number of" not in await go(pilot, "escape")
        await go(pilot, "equals_sign")
        await go(pilot, "m", "4", "enter")
        assert first.walk.marked[key].kept() == "2 died, 4 moved"

        # A number that cannot be leaves the one before it.
        shown = await go(pilot, "equals_sign", "9", "9")
        assert "only 10 L3" in shown
        await go(pilot, "enter")
        assert first.walk.marked[key].kept() == "2 died, 4 moved"

        # A finger on another row ends it, too: no digit of it falls there.
        await go(pilot, "equals_sign", "3")
        first.rows.move_cursor(row=2)
        await rest(pilot)
        assert not first.typing()
        assert (first.walk.marked[key].kept(), len(first.walk.marked)) == ("2 died, 3 moved", 1)
        await go(pilot, "home")

        await go(pilot, "m")
        assert first.walk.marked[key].kept() == "2 died, 8 moved"
        await go(pilot, "end", "d")
        assert [bool(marks) for marks in first.walk.marked.values()] == [True, True]
        assert list(first.walk.marked)[-1] == list(first._tubs)[-1]


async def test_digits_right_after_a_mark_are_its_number_and_go_to_places_again_after_another_key(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "8", "home")
        first = app.screen
        assert isinstance(first, RoundPlace)
        key = next(iter(first._tubs))

        burst(app, "d", "2", "m", "2", "full_stop", "1")
        await rest(pilot)
        assert app.screen is first
        assert first.walk.of(key).kept() == "2 died, 3 moved 2.1.0"

        shown = await go(pilot, "escape", "f", "d")
        assert "A number now says how many" in shown
        assert first.typing()
        await go(pilot, "escape")
        assert not first.typing()
        await go(pilot, "d", "f3", "8")
        assert app.screen is first
        assert not first.typing()
        await go(pilot, "v", "3")
        assert app.screen is not first
        assert first.walk.of(key).died == 4


async def test_a_full_stop_after_a_mark_lists_what_can_be_done_unless_a_number_goes_on_by_sex(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "8", "home")
        first = app.screen
        assert isinstance(first, RoundPlace)
        for keys, marks in ((("d",), "1 died"), (("d", "4"), "4 died"), (("c", "9"), "4 died, 9 counted")):
            await go(pilot, *keys, "full_stop")
            assert isinstance(app.screen, Chooser)
            await go(pilot, "escape")
            assert not first.typing()
            assert first.walk.of(first._keys[0]).kept() == marks

        await go(pilot, "m", "2", "full_stop", "1")
        assert app.screen is first
        assert "2.1.0" in first.walk.of(first._keys[0]).kept()


async def test_enter_of_the_burst_that_saved_a_round_does_nothing_to_the_list_below(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "8", "home", "d")
        burst(app, "enter", "enter", "enter", "enter")
        await rest(pilot)
        assert isinstance(app.screen, RoundPlace)
        assert app.answer.sentence.startswith("P08")
        assert app.answer.state in ("done", "caution")

        # Another key ends the burst, and so does a while.
        burst(app, "v", "enter")
        await rest(pilot)
        assert isinstance(app.screen, RoundPage)
        await go(pilot, "escape")
        await rest(pilot, BURST)
        burst(app, "enter", "enter")
        await rest(pilot, BURST + 0.1)
        await go(pilot, "enter")
        assert "Nothing is marked yet" in app.answer.sentence


async def test_marks_outlive_another_place_and_a_terminal_that_was_killed(loft: Ledger, tmp_path: Path) -> None:
    path = tmp_path / "drafts.json"
    app = desk(loft, drafts=Drafts(path))
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "8", *["up"] * 9, "down", "down", "d", "d", "escape")
        shown = await go(pilot, "3", "8")
        assert "2 died" in shown
        left = path.read_bytes()

    # As a killed program leaves it: nothing was put away, only what was written at each key is there.
    path.write_bytes(left)
    again = desk(loft, drafts=Drafts(path))
    async with again.run_test(size=(80, 24)) as pilot:
        assert "A round is half walked, nothing of it is recorded yet: 1 marked: 2 died, 1 tub seen (8)." in await go(
            pilot
        )
        shown = await go(pilot, "8")
        assert "The round is as it was left: 1 marked: 2 died, 1 tub seen" in shown
        assert isinstance(again.screen, RoundPlace)
        assert again.screen.chosen == next(iter(again.screen.walk.marked))  # where it was left

        await go(pilot, "enter", "enter")
        assert rows(loft, *LAST)[-1] == ("died", 2, None)
        assert Drafts(path).get("round") == {}


async def test_a_round_with_one_mark_that_cannot_be_records_nothing_and_keeps_every_mark(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "8", *["up"] * 9, "d", "equals_sign", "8", "down", "f")
        loft.do(Record("P08", (Move("died", 5, stage="L3"),), TODAY))
        before = count(loft, t.operation)

        shown = await go(pilot, "enter", "enter")

        assert count(loft, t.operation) == before
        assert "only 5 L3" in shown
        place = app.screen_stack[-2]
        assert isinstance(place, RoundPlace)
        assert sum(bool(marks) for marks in place.walk.marked.values()) == 2


@pytest.mark.parametrize("size", [(40, 24)], ids=["40x24"])
async def test_the_round_on_a_phone_by_touch(loft: Ledger, size: tuple[int, int]) -> None:
    app = desk(loft)
    async with app.run_test(size=size) as pilot:
        await go(pilot, "8", *["up"] * 9, "down", "down")
        taps = app.screen.query_one(Taps)
        where = {act.name: (at, y) for y, line in enumerate(taps.lines(taps.size.width)) for at, act in line}
        for name in ("died", "died", "fed"):
            await pilot.click(Taps, offset=(where[name][0] + 1, where[name][1]))
        await rest(pilot)

        assert all(len(line) <= 40 for line in lines(app))
        same_as_stored(app, "round-marked-40x24")

        await pilot.click(Taps, offset=(where["look_over"][0] + 2, where["look_over"][1]))
        await rest(pilot)
        assert isinstance(app.screen, RoundPage)


async def test_a_tub_is_found_on_a_phone_and_a_whole_shelf_marked_by_touch(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(40, 24)) as pilot:
        await go(pilot, "8")
        place = app.screen
        assert isinstance(place, RoundPlace)
        taps = place.query_one(Taps)
        where = {act.name: (at, y) for y, line in enumerate(taps.lines(taps.size.width)) for at, act in line}
        every = place.rows.held

        await pilot.click(Taps, offset=(where["find"][0] + 1, where["find"][1]))
        await type_in(pilot, "P01")
        await go(pilot, "enter")
        assert place.rows.held == 2
        await go(pilot, "d", "2")
        assert (place.chosen or "").startswith("P01|")
        assert [marks.died for marks in place.walk.marked.values()] == [2], "a mark falls on the row that was found"
        await go(pilot, "escape", "escape")
        assert place.rows.held == every

        await pilot.click(Taps, offset=(where["whole_shelf"][0] + 1, where["whole_shelf"][1]))
        await rest(pilot)
        assert sum(marks.seen for marks in place.walk.marked.values()) >= 1
        # The list as it was narrowed is no obstacle to whoever is sent to a lot.
        await go(pilot, "ctrl+x")
        await type_in(pilot, "P08 L3")
        await go(pilot, "enter")
        assert place.rows.held == 1
        app.round_at = "P01"
        await go(pilot, "3", "8")
        assert (place.chosen or "").startswith("P01|")


async def test_the_rest_as_usual_marks_what_is_due_and_nothing_else(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "8", "asterisk")
        place = app.screen
        assert isinstance(place, RoundPlace)

        marked = {key for key, marks in place.walk.marked.items() if marks}
        assert marked == {key for key, tub in place._tubs.items() if tub.due}
        assert all(marks.fed != place._tubs[key].leave_alone for key, marks in place.walk.marked.items())

        await go(pilot, "ctrl+r")
        assert not any(place.walk.marked.values())


async def test_a_whole_shelf_is_marked_by_one_key_and_pressed_again_all_of_them(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "8", "home", "d", "ctrl+w")
        place = app.screen
        assert isinstance(place, RoundPlace)

        def marked() -> set[str]:
            return {key.split("|")[0] for key, marks in place.walk.marked.items() if marks}

        # A mark on one line keeps neither that line nor the rest of its tub from being fed, and stays.
        first = next(iter(place._tubs))
        assert place.walk.of(first).kept() == "1 died, fed, seen"
        assert marked() == {
            key.split("|")[0] for key in place._tubs if place._tubs[key].place == place._tubs[first].place
        }
        assert sum(bool(marks) for marks in place.walk.marked.values()) > 1
        await go(pilot, "ctrl+w")
        assert (marked(), len(place.walk.marked)) == ({"P01", "P08"}, len(place._tubs))
        await go(pilot, "ctrl+r", "ctrl+w")
        assert marked() == {"P08"}
        await go(pilot, "ctrl+w")
        assert marked() == {"P01", "P08"}
        assert all(marks.seen and marks.fed != place._tubs[key].leave_alone for key, marks in place.walk.marked.items())

        # What must not be disturbed is said again before it is recorded.
        quiet = next(key for key, tub in place._tubs.items() if tub.leave_alone)
        place.walk.marked[quiet] = TubMarks(fed=True, seen=True, counted=27)
        said = next(line for line in place.lines() if line.startswith(where_of(quiet)))
        assert "do not disturb" in said
        assert "but 8 are recorded" in said


async def test_the_review_leads_to_the_reason_of_a_count_that_differs(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "8", "home", "c", "9", "enter")
        shown = await go(pilot, "enter")
        assert isinstance(app.screen, RoundPage)
        assert "e explains why the count differs" in shown
        await go(pilot, "e")
        assert isinstance(app.screen, RoundPlace)
        shown = await go(pilot, *"dry", "enter")
        assert "Note: dry." in shown
        assert rows(loft, *LAST)[-1][:2] == ("missing", 1)
        shown = await go(pilot, "enter", "enter")
        assert isinstance(app.screen, RoundPage)
        assert "differs" not in shown
        assert "agrees with what is recorded" in await go(pilot, "e")


async def test_enter_on_a_round_that_is_due_goes_to_its_tubs(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await rest(pilot)
        await go(pilot, "enter")

        assert isinstance(app.screen, RoundPlace)
        assert (app.screen.chosen or "").startswith("P01|")
