"""What holds for the whole screen: its keys, its imports, its faults, and that it works without colour."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from rich.style import Style
from textual.binding import Binding

from tests.promises.small_disk import no_more_bytes
from tests.tui.fakes import FakeLedger, Shelf, desk
from tests.tui.keys import rest, type_in
from tests.tui.screenshot import picture
from tui.actions import TAKEN_BY_TERMINALS
from tui.app import Desk
from tui.charts import ASCII, LINES
from tui.frame import Framed
from tui.look import STATES, signs_for

CANARY = "Velo Marrick, 3 Quill Lane"


def _framed(base: type[Framed[object]] = Framed) -> Iterator[type[Framed[object]]]:
    for sub in base.__subclasses__():
        yield sub
        yield from _framed(sub)


def test_no_action_has_a_key_that_terminals_keep() -> None:
    acts = [(screen.__name__, act) for screen in (*_framed(), Desk) for act in screen.ACTS]

    taken = [(name, act.key) for name, act in acts for key in act.key.split(",") if key in TAKEN_BY_TERMINALS]

    assert taken == []
    assert len(acts) > 10


def test_a_screen_has_one_action_for_a_key_and_none_hides_one_of_the_desk() -> None:
    for screen in _framed():
        keys = [key for act in screen.ACTS for key in act.key.split(",")]
        assert len(keys) == len(set(keys)), screen
        assert not set(keys) & {key for act in Desk.ACTS for key in act.key.split(",")}, screen
        assert not any(key.isdigit() for key in keys), screen


def test_no_screen_has_a_handler_that_the_library_would_call_beside_the_one_of_the_frame() -> None:
    twice = {"on_mount", "on_screen_resume"}

    found = [(screen, twice & set(vars(screen))) for screen in _framed() if screen.__module__.startswith("tui.")]

    assert [one for one in found if one[1]] == []
    assert twice <= set(vars(Framed))


def test_every_action_has_its_method_its_words_and_an_id_of_its_own() -> None:
    ids: list[str] = []
    for screen in (*_framed(), Desk):
        for act in screen.ACTS:
            assert callable(getattr(screen, f"action_{act.name}")), (screen, act)
            assert act.words
            assert act.tip.endswith("."), act
        if "ACTS" in vars(screen):
            ids += [binding.id or "" for binding in screen.BINDINGS if isinstance(binding, Binding)]

    assert "" not in ids


def test_no_letter_works_while_a_field_has_the_keys() -> None:
    wrong = [
        act for screen in (*_framed(), Desk) for act in screen.ACTS if act.in_fields and len(act.key.split(",")[0]) == 1
    ]

    assert wrong == []


def test_every_state_is_said_in_a_word_and_a_sign() -> None:
    assert all(sign.strip() and word.isascii() and word for sign, word, _ in STATES.values())


def test_a_terminal_without_line_signs_gets_plain_ones() -> None:
    assert signs_for("utf-8") is LINES
    assert signs_for("ascii") is ASCII
    assert signs_for("latin-1") is ASCII
    assert signs_for("no such encoding") is ASCII


async def test_the_frame_can_be_drawn_in_ascii() -> None:
    app = desk(FakeLedger(name="Loft"), signs=ASCII)
    async with app.run_test(size=(80, 24)) as pilot:
        await rest(pilot)
        strip = picture(app).splitlines()[:2]

    assert all(line.isascii() for line in strip)


def test_opening_the_screen_loads_no_numbers_or_spreadsheet_library() -> None:
    code = "import sys, tui.app; print([m for m in ('numpy','openpyxl','xlsxwriter','pandas') if m in sys.modules])"

    told = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)

    assert told.stdout.strip() == "[]"


async def _meet_a_fault(ledger: FakeLedger, app: Desk) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("space")
        await type_in(pilot, "P08 3 died")
        buyer = CANARY
        ledger.broken = KeyError(buyer)
        await rest(pilot)


async def test_a_fault_leaves_a_report_without_anyones_data(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    ledger = FakeLedger()
    app = desk(ledger, reports=tmp_path / "reports")

    with pytest.raises(KeyError):
        await _meet_a_fault(ledger, app)

    (path,) = (tmp_path / "reports").iterdir()
    written = path.read_text()
    printed = capsys.readouterr().err
    assert "KeyError" in written
    assert "fakes.py" in written
    assert CANARY not in written
    assert CANARY not in printed
    assert "recorded is safe" in " ".join(printed.split())
    assert path.name in printed.replace("\n", "")
    if os.name == "posix":
        assert path.stat().st_mode & 0o077 == 0


async def test_a_fault_on_a_full_disk_ends_the_program_too(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    ledger = FakeLedger()
    app = desk(ledger, reports=tmp_path)
    no_more_bytes(monkeypatch, 0)

    with pytest.raises(KeyError):
        await _meet_a_fault(ledger, app)

    assert "recorded is safe" in " ".join(capsys.readouterr().err.split())
    assert list(tmp_path.iterdir()) == []


async def test_the_librarys_own_report_would_have_shown_it(capsys: pytest.CaptureFixture[str]) -> None:
    """The control for the test above."""
    from textual.app import App

    class Plain(App[None]):
        def on_mount(self) -> None:
            buyer = CANARY
            raise KeyError(len(buyer))

    with pytest.raises(KeyError):
        async with Plain().run_test():
            pass

    assert CANARY in capsys.readouterr().err


async def test_without_colour_the_row_one_is_on_can_still_be_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    app = desk()
    async with app.run_test(size=(80, 24)) as pilot:
        await rest(pilot)
        assert app.no_color
        strips = app.screen._compositor.render_strips()
        reverse = [
            number
            for number, strip in enumerate(strips)
            if any(segment.style and segment.style.reverse and "P" in segment.text for segment in strip)
        ]

    assert len(reverse) == 1


def _paper(style: Style | None) -> float:
    """How light the paper under a piece of text is on the terminal, from 0 to 255."""
    assert style is not None
    shown = style.color if style.reverse else style.bgcolor
    assert shown is not None
    return sum(shown.get_truecolor()) / 3


@pytest.mark.parametrize("list_is_open", [False, True], ids=["list", "choices"])
async def test_without_colour_the_row_one_is_on_is_light_where_the_others_are_dark(
    monkeypatch: pytest.MonkeyPatch, list_is_open: bool
) -> None:
    """Reverse alone is no mark: with a light cursor it turns the row back into the looks of the others."""
    monkeypatch.setenv("NO_COLOR", "1")
    app = desk()
    async with app.run_test(size=(80, 24)) as pilot:
        await rest(pilot)
        if list_is_open:
            await pilot.press("full_stop")
            await rest(pilot)
        strips = app.screen._compositor.render_strips()
        wanted = ("Record deaths", "Look at one lot") if list_is_open else ("P0", "P1")
        papers = [next(_paper(one.style) for strip in strips for one in strip if text in one.text) for text in wanted]

    assert papers[0] - papers[1] > 100


async def test_dark_and_light_are_one_key_apart() -> None:
    app = desk()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        before = app.theme
        await pilot.press("ctrl+l")
        assert app.theme != before
        await pilot.press("ctrl+l")
        assert app.theme == before


def test_the_places_of_the_tests_are_places() -> None:
    assert Shelf in set(_framed())
