"""The frame around every place: strip, foot, jot line, forms, lists, help and the list of all actions."""

from __future__ import annotations

import datetime as dt
import json
import os
from pathlib import Path

import pytest
from textual.binding import Binding
from textual.widgets import Input

from ledger.act import Done
from ledger.stock.commands import Mark, Move, Record, SaveRound, Undo
from tests.promises.small_disk import no_more_bytes
from tests.tui.fakes import TODAY, Bench, DeathForm, FakeLedger, Shelf, desk
from tests.tui.keys import burst, rest, type_in
from tests.tui.screenshot import lines, picture, same_as_stored
from tui.app import Desk
from tui.drafts import Drafts, drafts_path
from tui.frame import Framed
from tui.places.customers import CustomersPage
from tui.places.holds import HoldsPage
from tui.places.parcels import ParcelsPage
from tui.places.sale import SalePage
from tui.widgets.chooser import Chooser
from tui.widgets.foot import fitting
from tui.widgets.help import Help
from tui.widgets.paged import LINES_KEPT, PagedList
from tui.widgets.pasted import Pasted
from tui.widgets.strip import Strip, Tick, strip_labels, strip_spans

SIZES = [(80, 24), (120, 40)]


def drafts_in(path: Path) -> list[str]:
    """Names of the forms that a file holds drafts of, whatever else it says."""
    return [name for name in json.loads(path.read_text()) if name]


@pytest.mark.parametrize("size", SIZES, ids=["80x24", "120x40"])
async def test_the_frame_looks_as_stored(size: tuple[int, int]) -> None:
    app = desk()
    async with app.run_test(size=size) as pilot:
        await rest(pilot)

        same_as_stored(app, f"frame-{size[0]}x{size[1]}")


async def test_text_from_people_is_shown_literally() -> None:
    async with desk().run_test(size=(80, 24)) as pilot:
        await rest(pilot)

        shown = picture(pilot.app)

    assert "Quillmere [/Loft]" in shown
    assert "[red]x[/red] \ufffd[2J" in shown
    assert "note [of] it" in shown
    assert "\x1b" not in shown


async def test_digits_go_to_places_and_back() -> None:
    async with desk().run_test(size=(80, 24)) as pilot:
        await pilot.press("2")
        assert isinstance(pilot.app.screen, Bench)

        await pilot.press("1")
        assert type(pilot.app.screen) is Shelf

        await pilot.press("9")
        assert type(pilot.app.screen) is Shelf


async def test_a_click_on_a_place_goes_there() -> None:
    async with desk().run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await pilot.click("#strip", offset=(12, 0))
        await pilot.pause()

        assert isinstance(pilot.app.screen, Bench)


@pytest.mark.parametrize(("width", "said"), [(40, ["1", "Shelf"]), (12, ["1", "Sh."]), (9, ["1", "2"])])
async def test_on_a_narrow_screen_the_names_are_cut_and_then_give_way_to_digits(width: int, said: list[str]) -> None:
    async with desk().run_test(size=(width, 24)) as pilot:
        await pilot.pause()

        assert lines(pilot.app)[0].split()[:2] == said


def test_the_names_of_all_places_stand_in_a_line_of_80_cells_and_the_foot_says_the_day() -> None:
    names = ("Due", "Ready", "Stock", "Sales", "Costs", "Rearing", "Year", "Round", "Settings")
    ticks = [Tick(name, str(n), name, 12 if n == 1 else 0) for n, name in enumerate(names, start=1)]

    spans = strip_spans(ticks, 80)

    assert [wide for _, wide in spans] == [len(tick.label) + 1 for tick in ticks]
    assert sum(spans[-1]) <= 80
    assert Strip(ticks, "Due", dt.date(2025, 6, 4)).day_left_out(80) == ("Wed 4 Jun 2025", "4 Jun 2025", "4 Jun")
    assert Strip(ticks, "Due", dt.date(2025, 6, 4)).day_left_out(120) == ()
    assert {wide for _, wide in strip_spans(ticks, 40)} == {3}


async def test_space_and_a_line_record_what_the_line_says() -> None:
    ledger = FakeLedger()
    async with desk(ledger).run_test(size=(80, 24)) as pilot:
        await pilot.press("space")
        await type_in(pilot, "P08 3 died")
        await rest(pilot)
        assert "Would record Record." in picture(pilot.app)
        assert ledger.kept == {}

        await pilot.press("enter")
        await pilot.pause()

        assert list(ledger.kept.values()) == [Record("P08", (Move("died", 3),), TODAY)]
        assert "Recorded. Record [recorded]." in picture(pilot.app)

        await pilot.press("enter")
        await pilot.pause()
        assert "✓ Record [recorded]." in picture(pilot.app)


async def test_a_burst_of_keys_after_space_all_lands_in_the_line() -> None:
    """Digits and letters that are keys of the place must not be taken as such when they come in one write."""
    ledger = FakeLedger()
    app = desk(ledger)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        burst(app, "space", *"P08", "space", "2", "space", *"died", "enter")
        await rest(pilot)

        assert list(ledger.kept.values()) == [Record("P08", (Move("died", 2),), TODAY)]
        assert type(app.screen) is Shelf


async def test_a_line_that_cannot_be_read_says_why_and_records_nothing() -> None:
    ledger = FakeLedger()
    async with desk(ledger).run_test(size=(80, 24)) as pilot:
        await pilot.press("space")
        await type_in(pilot, "P8 3 died")
        await rest(pilot)
        await pilot.press("enter")
        await pilot.pause()

        assert ledger.kept == {}
        assert "! " in picture(pilot.app)
        assert "Did you mean P08" in " ".join(picture(pilot.app).split())
        assert pilot.app.screen.query_one("#jot-entry", Input).value == "P8 3 died"


async def test_what_the_ledger_refuses_is_said_below_the_line() -> None:
    ledger = FakeLedger()
    async with desk(ledger).run_test(size=(80, 24)) as pilot:
        await pilot.press("space")
        await type_in(pilot, "P08 40 died")
        await rest(pilot)

        assert "P08 has only 14 L3" in picture(pilot.app)


async def test_down_takes_the_choices_one_after_another_and_up_goes_back() -> None:
    ledger = FakeLedger()
    async with desk(ledger).run_test(size=(80, 24)) as pilot:
        await pilot.press("space")
        await type_in(pilot, "P08 2 larvae to cocoon")
        await rest(pilot)
        entry = pilot.app.screen.query_one("#jot-entry", Input)
        assert "L1, L2 or L3" in picture(pilot.app)

        await pilot.press("down", "down")
        await rest(pilot)
        assert entry.value == "P08 2 L2 to cocoon"

        await pilot.press("up", "up")
        assert entry.value == "P08 2 larvae to cocoon"

        await pilot.press("down", "down", "down", "enter")
        await pilot.pause()
        assert list(ledger.kept.values()) == [Record("P08", (Move("next stage", 2, "L3", to_stage="cocoon"),), TODAY)]


async def test_a_line_put_away_stays_with_its_place_and_is_not_there_in_another() -> None:
    async with desk().run_test(size=(80, 24)) as pilot:
        await pilot.press("space")
        await type_in(pilot, "P08 3 d")
        await pilot.press("escape")
        await pilot.pause()
        assert isinstance(pilot.app.focused, PagedList)

        await pilot.press("2", "space")
        await pilot.pause()
        assert pilot.app.screen.query_one("#jot-entry", Input).value == ""

        await pilot.press("escape", "1", "space")
        await pilot.pause()
        assert pilot.app.screen.query_one("#jot-entry", Input).value == "P08 3 d"
        assert "as it was left here · a letter begins anew" in picture(pilot.app)


async def test_a_new_line_does_not_run_on_from_the_one_that_was_left_and_up_brings_that_back() -> None:
    ledger = FakeLedger()
    async with desk(ledger).run_test(size=(80, 24)) as pilot:
        await pilot.press("space")
        await type_in(pilot, "feed 24.00 Ombrel share 3")
        await pilot.press("escape", "space")
        await type_in(pilot, "P08")
        entry = pilot.app.screen.query_one("#jot-entry", Input)
        assert entry.value == "P08"
        await rest(pilot)
        assert "↑ brings back: feed 24.00 Ombrel share 3" in picture(pilot.app)
        await pilot.press("up")
        assert entry.value == "feed 24.00 Ombrel share 3"

        await pilot.press("escape", "space", "right")
        await type_in(pilot, "0")
        assert entry.value == "feed 24.00 Ombrel share 30"

        await pilot.press("escape", "space")
        await type_in(pilot, "P08 2 died")
        await pilot.press("enter")
        await pilot.pause()
        assert list(ledger.kept.values()) == [Record("P08", (Move("died", 2),), TODAY)]
        await pilot.press("up")
        assert entry.value == ""
        await pilot.press("question_mark")
        assert isinstance(pilot.app.screen, Help)


async def test_a_line_left_open_when_going_to_another_place_is_not_there_and_waits_in_its_own() -> None:
    async with desk().run_test(size=(80, 24)) as pilot:
        await pilot.press("space")
        await type_in(pilot, "P08 3 d")
        await pilot.press("f2", "space")
        await pilot.pause()
        assert pilot.app.screen.query_one("#jot-entry", Input).value == ""

        await type_in(pilot, "P09 fed")
        await pilot.press("f12")
        await pilot.pause()
        assert pilot.app.screen.query_one("#jot-entry", Input).value == "P08 3 d"


async def test_the_last_answer_is_not_said_again_in_another_place() -> None:
    async with desk().run_test(size=(80, 24)) as pilot:
        await pilot.press("space")
        await type_in(pilot, "P09 fed")
        await pilot.press("enter", "enter")
        await rest(pilot)
        assert "✓ SaveRound [recorded]." in picture(pilot.app)

        await pilot.press("2")
        await rest(pilot)
        assert "✓" not in picture(pilot.app)
        await pilot.press("1")
        await rest(pilot)
        assert "✓" not in picture(pilot.app)


async def test_the_keys_of_places_are_the_same_with_and_without_a_field() -> None:
    desk_bindings = [binding for binding in Desk.BINDINGS if isinstance(binding, Binding)]
    by_action = {binding.action: binding.key for binding in desk_bindings}

    for number in range(1, 10):
        assert by_action[f"go({number})"] == str(number)
        assert f"f{number}" in by_action[f"go_from_field({number})"].split(",")
    # F1 is kept by desktop terminals, so the first place has another key as well.
    assert by_action["go_from_field(1)"] == "f1,f12"


async def test_tab_completes_the_word_that_was_begun() -> None:
    async with desk().run_test(size=(80, 24)) as pilot:
        await pilot.press("space")
        await type_in(pilot, "hold E03 5 for Velo M")
        await rest(pilot)
        await pilot.press("tab")
        await pilot.pause()

        assert pilot.app.screen.query_one("#jot-entry", Input).value == "hold E03 5 for Velo Marrick "

        await type_in(pilot, "until f")
        await pilot.press("tab")
        await pilot.pause()

        assert pilot.app.screen.query_one("#jot-entry", Input).value == "hold E03 5 for Velo Marrick until fri "


async def test_tab_pressed_again_takes_the_next_name() -> None:
    async with desk().run_test(size=(80, 24)) as pilot:
        await pilot.press("space")
        await type_in(pilot, "sell P08 2 to ve")
        entry = pilot.app.screen.query_one("#jot-entry", Input)
        taken = []
        for _ in range(3):
            await pilot.press("tab")
            await pilot.pause()
            taken.append(entry.value)

        assert taken == [f"sell P08 2 to {name} " for name in ("Velo Marrick", "Velo Sund", "Velo Marrick")]


async def test_pasted_lines_are_recorded_each_on_its_own_and_the_others_stay_with_their_reason() -> None:
    ledger = FakeLedger()
    app = desk(ledger)
    async with app.run_test(size=(80, 24)) as pilot:
        from textual import events

        await pilot.press("space")
        app.post_message(events.Paste("P08 3 died\n" * 201))
        await rest(pilot)
        assert "201 lines are too many at once" in picture(app)
        assert not isinstance(app.screen, Pasted)

        app.post_message(events.Paste("P08 3 died\nnonsense [/\nP08 40 died\nP09 fed\n"))
        await rest(pilot)
        assert isinstance(app.screen, Pasted)
        assert "2 can be recorded, 2 cannot" in picture(app)

        await pilot.press("enter", "enter", "enter")
        await rest(pilot)

        assert list(ledger.kept.values()) == [
            Record("P08", (Move("died", 3),), TODAY),
            SaveRound((Mark("P09", "fed"),), TODAY),
        ]
        assert "! nonsense [/" in picture(app)
        assert "2 recorded, 2 not" in picture(app)


async def test_undo_is_one_key_and_no_letter() -> None:
    ledger = FakeLedger()
    async with desk(ledger).run_test(size=(80, 24)) as pilot:
        await pilot.press("ctrl+z")
        await pilot.pause()

        assert list(ledger.kept.values()) == [Undo()]
        assert "Undo [recorded]." in picture(pilot.app)


async def test_no_single_letter_digit_or_space_writes_anything() -> None:
    ledger = FakeLedger()
    app = desk(ledger)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        for key in [*"abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789", "full_stop", "question_mark"]:
            await pilot.press(key)
            await pilot.pause()
            while len(app.screen_stack) > 1:
                app.pop_screen()
                await pilot.pause()

        assert ledger.kept == {}


async def test_a_form_records_what_stands_in_it() -> None:
    ledger = FakeLedger()
    async with desk(ledger).run_test(size=(80, 24)) as pilot:
        await pilot.press("d")
        await type_in(pilot, "2")
        await pilot.press("tab")
        await type_in(pilot, "x")
        await pilot.press("tab", "tab", "o")
        await rest(pilot)
        assert "not a date" in picture(pilot.app)

        await pilot.press("enter")
        await rest(pilot)
        assert ledger.kept == {}
        assert isinstance(pilot.app.focused, Input)
        assert pilot.app.focused.id == "entry-on"

        await pilot.press("home", "ctrl+k")
        await type_in(pilot, "yesterday")
        await rest(pilot)
        assert "Would record Record." in picture(pilot.app)
        await pilot.press("enter")
        await rest(pilot)

        expected = Record("P08", (Move("died", 2, cause="ordinary"),), TODAY - dt.timedelta(days=1))
        assert list(ledger.kept.values()) == [expected]
        assert type(pilot.app.screen) is Shelf
        assert "✓ Record [recorded]." in picture(pilot.app)


async def test_keys_in_one_burst_fill_the_right_fields_and_record_once() -> None:
    ledger = FakeLedger()
    app = desk(ledger)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        burst(app, "d", "3", "tab", *"-3", "tab", "tab", "tab", *"wet", "enter", "enter", "enter")
        await rest(pilot)

        expected = Record("P08", (Move("died", 3, cause="unknown"),), TODAY - dt.timedelta(days=3), note="wet")
        assert list(ledger.kept.values()) == [expected]


async def test_a_letter_struck_out_in_a_burst_is_the_one_before_the_key() -> None:
    app = desk()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        burst(app, "d", "3", "4", "backspace", "tab", *"-33", "backspace", "tab", "tab", "tab", *"weet", "backspace")
        burst(app, "backspace", "t")
        await rest(pilot)

        assert isinstance(app.screen, DeathForm)
        assert [row.typed for row in app.screen.rows] == ["3", "-3", "", "unknown", "wet"]


async def test_enter_pressed_three_times_records_once() -> None:
    ledger = FakeLedger()
    app = desk(ledger)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        Shelf.looked.clear()
        burst(app, "d", "enter", "enter", "enter")
        await rest(pilot)

        assert list(ledger.kept.values()) == [Record("P08", (Move("died", 1, cause="unknown"),), TODAY)]
        assert len(ledger.kept) == 1


async def test_a_half_filled_form_is_there_after_a_look_elsewhere() -> None:
    app = desk()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("d")
        await type_in(pilot, "17")
        await pilot.press("f2")
        await pilot.pause()
        assert isinstance(app.screen, Bench)

        await pilot.press("1")
        await pilot.pause()

        assert isinstance(app.screen, DeathForm)
        assert app.screen.rows[0].typed == "17"


async def test_what_was_typed_into_a_form_survives_a_closed_terminal(tmp_path: Path) -> None:
    path = drafts_path(tmp_path / "state", "/some/where.ledger")
    app = desk(drafts=Drafts(path))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("d")
        await type_in(pilot, "2")
        await pilot.press("tab", "tab", "tab", "tab")
        await type_in(pilot, "half a note [/")
        await pilot.pause()
        kept = path.read_text()

    assert "half a note [/" in kept
    if os.name == "posix":
        assert path.stat().st_mode & 0o077 == 0
    ledger = FakeLedger()
    again = desk(ledger, drafts=Drafts(path))
    async with again.run_test(size=(80, 24)) as pilot:
        await pilot.press("d")
        await pilot.pause()
        form = again.screen
        assert isinstance(form, DeathForm)
        assert [row.typed for row in form.rows] == ["2", "today", "", "unknown", "half a note [/"]
        assert "(as it was left)" in picture(again)
        await pilot.press("enter")
        await rest(pilot)

    token = json.loads(kept)["deaths:P08"]["token"]
    assert list(ledger.kept) == [token]
    assert drafts_in(path) == []


async def test_a_form_asks_anew_after_what_others_recorded_and_not_after_its_own_act() -> None:
    ledger = FakeLedger()
    app = desk(ledger)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("d")
        await rest(pilot)
        form = app.screen
        assert isinstance(form, DeathForm)
        asked = ledger.asked
        app.announce(Done("Something else [recorded]."))
        assert ledger.asked == asked + 1

        form._record()

    # Recording asks once itself.
    assert ledger.asked == asked + 2
    assert len(ledger.kept) == 1


async def test_a_line_that_was_killed_while_it_was_recorded_counts_once_when_it_is_sent_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path, ledger = tmp_path / "drafts.json", FakeLedger()
    app = desk(ledger, drafts=Drafts(path))
    seen: list[str] = []
    record = app.record

    def saved(command: object, token: str) -> Done:
        done = record(command, token)
        seen.append(path.read_text())
        return done

    monkeypatch.setattr(app, "record", saved)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("space")
        await type_in(pilot, "P08 3 died")
        await pilot.press("enter")
        await rest(pilot)
    assert drafts_in(path) == [], "what was recorded is no draft"

    # As a program leaves it that was killed after the ledger had saved the line and before it was taken away.
    path.write_text(seen[0])
    again = desk(ledger, drafts=Drafts(path))
    async with again.run_test(size=(80, 24)) as pilot:
        await pilot.press("space")
        await pilot.pause()
        assert again.screen.query_one("#jot-entry", Input).value == "P08 3 died"
        await pilot.press("enter")
        await rest(pilot)
        assert list(ledger.kept.values()) == [Record("P08", (Move("died", 3),), TODAY)]

        # The control: said once more it is another act.
        await type_in(pilot, "P08 3 died")
        await pilot.press("enter")
        await rest(pilot)
    assert len(ledger.kept) == 2


async def test_lines_pasted_again_after_a_kill_count_once(tmp_path: Path) -> None:
    from textual import events

    path, ledger = tmp_path / "drafts.json", FakeLedger()
    pasted = "P08 3 died\nP09 fed\n"
    app = desk(ledger, drafts=Drafts(path))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("space")
        app.post_message(events.Paste(pasted))
        await rest(pilot)
        await pilot.press("enter")
        await rest(pilot)
        killed = path.read_text()
        await pilot.press("escape")
        await rest(pilot)
    assert drafts_in(path) == []

    for left, counted in ((killed, 2), ("{}", 4)):
        path.write_text(left)
        again = desk(ledger, drafts=Drafts(path))
        async with again.run_test(size=(80, 24)) as pilot:
            await pilot.press("space")
            again.post_message(events.Paste(pasted))
            await rest(pilot)
            await pilot.press("enter", "escape")
            await rest(pilot)
        assert len(ledger.kept) == counted, "without what was kept, the control, they are other acts"


async def test_on_a_full_disk_a_form_goes_on_and_says_what_it_cannot_keep(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    no_more_bytes(monkeypatch, 0)
    ledger = FakeLedger()
    app = desk(ledger, drafts=Drafts(tmp_path / "drafts.json"))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("d")
        await type_in(pilot, "2")
        await pilot.pause()
        assert app.answer.sentence == f"There is no room in {tmp_path} for what you type: record it before you leave."
        await pilot.press("enter")
        await rest(pilot)

    assert len(ledger.kept) == 1
    assert list(tmp_path.iterdir()) == []


async def test_a_damaged_draft_file_keeps_no_one_out(tmp_path: Path) -> None:
    path = tmp_path / "drafts.json"
    path.write_text('{"deaths:P08": {"count": ')

    drafts = Drafts(path)

    assert drafts.get("deaths:P08") == {}
    assert path.with_suffix(".damaged").exists()


async def test_the_jot_line_opens_over_a_form_and_gives_the_keys_back() -> None:
    ledger = FakeLedger()
    app = desk(ledger)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("d", "ctrl+g")
        await type_in(pilot, "P09 fed")
        await pilot.press("enter", "escape")
        await pilot.pause()

        assert list(ledger.kept.values()) == [SaveRound((Mark("P09", "fed"),), TODAY)]
        assert isinstance(app.screen, DeathForm)
        assert app.focused is app.screen.rows[0].entry


async def test_every_action_stands_in_the_help_and_in_the_list_of_all_actions() -> None:
    app = desk()
    async with app.run_test(size=(80, 60)) as pilot:
        await pilot.press("question_mark")
        await pilot.pause()
        assert isinstance(app.screen, Help)
        helped = " ".join(picture(app).split())
        await pilot.press("escape", "full_stop")
        await pilot.pause()
        assert isinstance(app.screen, Chooser)
        listed = " ".join(picture(app).split())

    for act in (*Shelf.ACTS, *app.ACTS):
        assert act.tip in helped
        assert act.name == "all_actions" or act.tip in listed


async def test_an_action_chosen_from_the_list_is_done() -> None:
    app = desk()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("full_stop")
        await type_in(pilot, "deaths in")
        await pilot.press("enter")
        await rest(pilot)

        assert isinstance(app.screen, DeathForm)


async def test_a_place_chosen_from_the_list_is_gone_to() -> None:
    app = desk()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("full_stop")
        await type_in(pilot, "bench")
        await pilot.press("enter")
        await rest(pilot)

        assert isinstance(app.screen, Bench)


async def test_a_list_reads_the_next_page_when_the_cursor_comes_near_the_end() -> None:
    app = desk()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        rows = app.screen.query_one(PagedList)
        assert rows.held == 200

        rows.move_cursor(row=160)
        await pilot.pause()
        assert rows.held == 400
        assert rows.key_here == "160"

        rows.move_cursor(row=399)
        await pilot.pause()
        assert rows.held == 450


async def test_a_list_keeps_no_more_drawn_lines_than_can_be_shown(monkeypatch: pytest.MonkeyPatch) -> None:
    async def kept() -> int:
        async with desk().run_test(size=(80, 24)) as pilot:
            await pilot.pause()
            rows = pilot.app.screen.query_one(PagedList)
            for place in range(10, 400, 10):
                rows.move_cursor(row=place)
                await pilot.pause()
            return len(rows._line_cache)

    assert 20 < await kept() <= LINES_KEPT
    # The control: so many were drawn.
    monkeypatch.setattr("tui.widgets.paged.LINES_KEPT", 1000)
    assert await kept() > LINES_KEPT


async def test_a_list_read_anew_keeps_its_cursor_on_the_same_row() -> None:
    app = desk()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("down", "down", "down")
        await pilot.press("space")
        await type_in(pilot, "P09 fed")
        await pilot.press("enter", "enter")
        await rest(pilot)

        assert app.screen.query_one(PagedList).key_here == "3"


async def test_a_wide_screen_shows_more_columns() -> None:
    async with desk().run_test(size=(120, 40)) as pilot:
        await rest(pilot)
        assert "beside" in picture(pilot.app)
    async with desk().run_test(size=(80, 24)) as pilot:
        await rest(pilot)
        assert "beside" not in picture(pilot.app)


async def test_a_place_left_alone_reads_the_ledger_anew_when_it_is_seen_again() -> None:
    app = desk()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("2", "1")
        await pilot.pause()
        bench = next(screen for screen in app._screen_stacks["bench"] if isinstance(screen, Bench))
        bench.rows = 3
        await pilot.press("space")
        await type_in(pilot, "P09 fed")
        await pilot.press("enter", "escape")
        await pilot.pause()
        assert bench.query_one(PagedList).held == 200

        await pilot.press("2")
        await rest(pilot)

        assert bench.query_one(PagedList).held == 3


def test_names_of_places_are_cut_one_by_one_and_with_a_sign() -> None:
    ticks = [Tick("a", "1", "Receiving"), Tick("b", "2", "Posting"), Tick("c", "3", "Due")]

    assert strip_labels(ticks, 40)[0] == ["1 Receiving", "2 Posting", "3 Due"]
    assert strip_labels(ticks, 26)[0] == ["1 Receiv.", "2 Posting", "3 Due"]
    assert strip_labels(ticks, 24)[0] == ["1 Recei.", "2 Posti.", "3 Due"]
    assert strip_labels(ticks, 10)[0] == ["1", "2", "3"]


@pytest.mark.parametrize("page", [SalePage, HoldsPage, ParcelsPage, CustomersPage], ids=lambda page: page.WHERE)
def test_the_way_back_stands_at_the_foot_of_a_page_however_much_it_does(page: type[Framed[None]]) -> None:
    always = [act for act in Desk.ACTS if not act.in_fields]
    at_80 = fitting(page.ACTS, always, 80)
    assert "back" in [act.name for act in at_80]
    # What it does first, and what is the same everywhere, have their room all the same.
    assert next(act for act in page.ACTS if act.shown) in at_80
    assert {act.name for act in always if act.shown} <= {act.name for act in at_80}
    assert sum(len(f" {act.key_said} {act.words} ") for act in at_80) <= 80
