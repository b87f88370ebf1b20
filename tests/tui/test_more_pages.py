"""What else of the commands has a page: more about a lot, papers about animals, refunds, the proof."""

from __future__ import annotations

import gc
import threading
from pathlib import Path
from typing import cast
from weakref import ref

import pytest

from ledger.ledger import Ledger
from ledger.origin.pairs import open_pairs
from ledger.origin.provenance import Provenance
from ledger.records import tables as t
from ledger.stock.keeping import kept_rows
from tests.tui.business import TODAY, desk
from tests.tui.keys import type_in
from tests.tui.loft import count, fill_in, go, quick, rows
from tests.tui.screenshot import picture
from tui.forms.animals import DriedForm, GoneForm
from tui.places import lot as lot_page
from tui.places.journal import JournalPage
from tui.places.lot import LotPage


async def test_animals_are_kept_back_and_freed_paired_and_parted_from_the_page_of_their_lot(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await quick(pilot, "3", "down", "enter", "comma")
        await type_in(pilot, "keep")
        await quick(pilot, "enter")
        await fill_in(pilot, "2", "future breeders")
        await quick(pilot, "tab", "l", "enter")
        assert isinstance(app.screen, LotPage)
        (kept,) = loft.ask(kept_rows)
        assert (kept.words, kept.lots, kept.why) == ("P08 2 L3", ("P08",), "future breeders")
        shown = await quick(pilot, "comma")
        assert "Free again: P08 2 L3 future breeders" in shown
        await quick(pilot, "enter")
        shown = await quick(pilot, "enter")
        assert "✓ Free again: P08 2 L3" in shown
        assert loft.ask(kept_rows) == ()

        await quick(pilot, "comma")
        await type_in(pilot, "together")
        await quick(pilot, "enter")
        await fill_in(pilot, "P08", "P01")
        await quick(pilot, "enter")
        (pair,) = loft.ask(open_pairs, "P01")
        assert (pair.female, pair.male, pair.from_on) == ("P08", "P01", TODAY)
        assert "Parted: P08 and P01" in await quick(pilot, "comma")
        await quick(pilot, "enter")
        await quick(pilot, "enter")
        assert loft.ask(open_pairs, "P08") == ()

        await quick(pilot, "comma")
        await type_in(pilot, "rests")
        await quick(pilot, "enter")
        await fill_in(pilot, "2025-08-01")
        await quick(pilot, "enter")

    assert rows(loft, t.lot_fact.c.fact, t.lot_fact.c.value)[-1] == ("rests until", "2025-08-01")


async def test_dead_animals_are_kept_as_dried_specimens_by_a_form_as_the_command_does(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await quick(pilot, "3", "down", "enter", "ctrl+d")
        assert isinstance(app.screen, DriedForm)
        await fill_in(pilot, "99")
        before = count(loft, t.movement)
        await quick(pilot, "tab", "s", "o", "enter")
        assert isinstance(app.screen, DriedForm)
        assert count(loft, t.movement) == before
        assert any(row.wrong for row in app.screen.rows)
        await fill_in(pilot, "2")
        await quick(pilot, "enter")
        assert isinstance(app.screen, LotPage)

    held = {row.stage: row.count for row in loft.stock(lot="P08")}
    assert (held["soft adult"], held["dried specimen"]) == (2, 2)


async def test_labels_and_the_register_are_written_and_money_that_came_back_is_recorded(
    loft: Ledger, tmp_path: Path
) -> None:
    folder = tmp_path / "papers"
    folder.mkdir()
    (cost,) = loft.costs()
    app = desk(loft, papers=folder)
    async with app.run_test(size=(80, 24)) as pilot:
        await quick(pilot, "3", "w", "enter")
        await fill_in(pilot, "P99")
        assert "P99" in await quick(pilot, "enter")
        assert list(folder.iterdir()) == []
        await quick(pilot, "w", "enter")
        await fill_in(pilot, "P01 P08")
        shown = await quick(pilot, "enter")
        assert "labels-r1 (pdf, txt)" in shown
        await quick(pilot, "w")
        await type_in(pilot, "register")
        await quick(pilot, "enter")
        shown = await quick(pilot, "enter")
        assert "register-2025-01-01-2025-06-04-r1 (pdf, txt)" in shown
        assert "P08" in (folder / "labels-r1.txt").read_text()

        shown = await quick(pilot, "J")
        newest = loft.entries(1)[0]
        assert f"{newest.id} 10 May 2025 {newest.text}" in shown
        assert isinstance(app.screen, JournalPage)

        await quick(pilot, "5", "dollar_sign")
        await fill_in(pilot, "99")
        before = count(loft, t.cost_change)
        await quick(pilot, "enter")
        assert count(loft, t.cost_change) == before
        await fill_in(pilot, "4")
        await quick(pilot, "enter")
        assert loft.costs()[0].refunded == 400
        assert loft.costs()[0].id == cost.id

        assert "✓ Everything adds up." in await quick(pilot, "7", "ctrl+k")


async def test_the_stock_over_time_is_drawn_species_by_species_and_saved(loft: Ledger, tmp_path: Path) -> None:
    app = desk(loft, papers=tmp_path)
    alive = sum(row.animals + row.objects for row in loft.lots() if row.species == "PACH")
    async with app.run_test(size=(80, 24)) as pilot:
        shown = await quick(pilot, "3", "b")
        assert "‹ PACH › Stock over time" in shown
        assert f"{alive} alive today" in shown
        assert "Jun 2025" in shown
        assert "‹ all species ›" in await quick(pilot, "left")
        await quick(pilot, "ctrl+o")

    (saved,) = tmp_path.glob("*.svg")
    assert "Jun 2025" in saved.read_text("utf-8")


async def test_a_form_that_is_left_is_kept_by_nobody(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "3", "n")
        form = ref(app.screen)
        assert form() is not app.screen_stack[0]
        await go(pilot, "escape")
        await pilot.pause()
        gc.collect()
        assert form() is None
        # What lies there still is.
        place = ref(app.screen)
        gc.collect()
        assert place() is app.screen


async def test_the_page_of_a_lot_takes_keys_while_its_origin_is_read(
    loft: Ledger, monkeypatch: pytest.MonkeyPatch
) -> None:
    gate, really = threading.Event(), lot_page._origin

    def slow(ledger: Ledger, lot: str) -> tuple[Provenance, tuple[str, ...]]:
        assert gate.wait(10)
        return really(ledger, lot)

    monkeypatch.setattr(lot_page, "_origin", slow)
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("3", "down", "enter")
        await pilot.pause(0.1)
        assert isinstance(app.screen, LotPage)
        assert "Origin:" not in picture(app)
        await pilot.press("d")
        await pilot.pause(0.1)
        assert isinstance(app.screen, GoneForm)
        await pilot.press("escape")
        gate.set()
        assert "Origin: captive" in await go(pilot)

        # Left before it is read: nothing comes of it.
        gate.clear()
        await pilot.press("escape", "enter", "escape")
        await pilot.pause(0.1)
        assert not isinstance(app.screen, LotPage)
        gate.set()
        assert "Origin: captive" not in await go(pilot)


async def test_a_page_that_asked_aside_is_kept_by_nobody_once_it_is_left(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "3", "enter")
        page = ref(app.screen)
        assert isinstance(page(), LotPage)
        await go(pilot, "escape")
        await pilot.pause()
        gc.collect()
        assert page() is None


async def test_a_page_whose_message_was_the_last_for_a_widget_of_another_place_is_given_back_at_rest(
    loft: Ledger,
) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "3")
        hidden = next(stack[0] for name, stack in app._screen_stacks.items() if name == "due").query_one("#answer")
        await go(pilot, "enter")
        page = ref(app.screen)
        await go(pilot, "escape")
        with cast(LotPage, page())._context():
            hidden.check_idle()
        await pilot.pause()
        gc.collect()
        # The control: nobody else wakes it, and it keeps the page.
        assert page() is not None
        assert not app.only_places()

        app._forget_who_asked()
        await pilot.pause()
        gc.collect()
        assert page() is None
        assert app.only_places()


async def test_nothing_is_there_to_stay_while_a_page_is_open_in_any_place(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "3")
        gc.collect()
        assert app.only_places()
        await go(pilot, "n")
        await go(pilot, "f4")
        gc.collect()
        # The form is open there still.
        assert len(app.screen_stack) == 1
        assert not app.only_places()
        await go(pilot, "3", "escape", "escape")
        await pilot.pause()
        gc.collect()
        assert len(app.screen_stack) == 1
        assert app.only_places()
