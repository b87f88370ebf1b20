"""The places over a real ledger: what is shown, what keys do, and what stands in the tables afterwards."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from pathlib import Path
from threading import Event

import pytest
from textual.widgets import Input

from ledger.ledger import Ledger
from ledger.records import tables as t
from ledger.stock.commands import AddLot, Arrival, Move, Record
from tests.tui.business import HOSTILE_BUYER, TODAY, desk
from tests.tui.keys import burst, rest, type_in
from tests.tui.loft import count, go, rows
from tests.tui.screenshot import picture, same_as_stored
from tui.app import Desk
from tui.drafts import JOTTED, Drafts
from tui.forms.animals import GoneForm
from tui.forms.selling import SaleForm
from tui.places import PLACES
from tui.places.lot import LotPage
from tui.places.ready import message_lines
from tui.places.rearing import RearingPage
from tui.widgets.jot import JotInput
from tui.widgets.paged import PagedList

DIGITS = {place.NAME: str(number) for number, place in enumerate(PLACES, start=1)}


# --- what is on the screen ---


SIZES = [(40, 20), (80, 24), (120, 40), (200, 60)]


def _colours(app: Desk) -> set[str]:
    strips = app.screen._compositor.render_strips()
    return {str(part.style.bgcolor) for strip in strips for part in strip if part.style and part.style.bgcolor}


@pytest.mark.parametrize("size", SIZES, ids=[f"{width}x{height}" for width, height in SIZES])
async def test_every_place_looks_as_stored_by_lamplight_and_by_daylight(loft: Ledger, size: tuple[int, int]) -> None:
    app = desk(loft)
    async with app.run_test(size=size) as pilot:
        for place, digit in DIGITS.items():
            await go(pilot, digit)
            same_as_stored(app, f"{place}-{size[0]}x{size[1]}")

            dark, colours = picture(app), _colours(app)
            await pilot.press("ctrl+l")
            await pilot.pause()
            assert picture(app) == dark
            assert not colours & _colours(app)
            await pilot.press("ctrl+l")
            await pilot.pause()


async def test_a_storm_of_sizes_leaves_every_screen_standing(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        for digit, *keys in (*DIGITS.values(), ["2", "s"], ["3", "enter"], ["3", "space"], ["3", "full_stop"]):
            await pilot.press(digit, *keys)
            for width, height in ((40, 15), (200, 60), (20, 5), (81, 25), (3, 2), (80, 24)):
                await pilot.resize_terminal(width, height)
            await rest(pilot, 0.05)
            if isinstance(app.focused, JotInput):
                await pilot.press("escape")
            while len(app.screen_stack) > 1:
                app.pop_screen()
                await pilot.pause()
        shown = await go(pilot, "4")

        assert app._exception is None
        assert "S-2025-0001" in shown


@pytest.mark.parametrize("place", list(DIGITS))
async def test_an_empty_place_says_what_to_do_first(bare: Ledger, place: str) -> None:
    app = desk(bare)
    async with app.run_test(size=(80, 24)) as pilot:
        shown = await go(pilot, DIGITS[place])

    said = {
        "due": "Nothing is due.",
        "ready": "Nothing can be sold yet.",
        "stock": "There are no lots yet.",
        "sales": "Nothing was sold yet.",
        "costs": "Nothing was spent yet.",
        "rearing": "No lot has been followed from young yet.",
        "year": "nothing recorded yet",
        "settings": "none yet: open this and press n",
        "round": "There are no tubs yet.",
    }
    assert said[place] in shown


async def test_a_key_about_a_row_says_that_there_is_none(bare: Ledger, loft: Ledger) -> None:
    app = desk(bare)
    async with app.run_test(size=(80, 24)) as pilot:
        for keys, act in (
            (("2", "s"), "sell"),
            (("6", "D"), "decide"),
            (("6", "t"), "stage times"),
            (("8", "d"), "died"),
        ):
            shown = await go(pilot, *keys)
            assert f"“{act}” needs a row; there is none yet. What to do first stands above." in shown
        # What needs no row does what it does, and says nothing of one.
        assert "needs a row" not in await go(pilot, "5", "minus", "escape")
        assert "needs a row" not in await go(pilot, "2", "f", "escape")
        shown = await go(pilot, "3", "b")
        assert "Open a lot with the animals you have" in shown
        assert "needs a row" not in shown

    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        shown = await go(pilot, "2", "f", "q", "q", "enter", "h")
        assert "“hold” needs a row, and none is left; esc shows the whole list." in shown
        assert "needs a row" not in await go(pilot, "escape", "home", "h")


async def test_a_list_that_is_still_reckoned_says_so_to_a_key_about_a_row(
    loft: Ledger, monkeypatch: pytest.MonkeyPatch
) -> None:
    goes, rearing = Event(), loft.rearing

    def waits() -> object:
        assert goes.wait(20)
        return rearing()

    monkeypatch.setattr(loft, "rearing", waits)
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("6", "D")
        await pilot.pause(0.1)
        assert "“decide” needs a row, and the list is still being reckoned." in " ".join(picture(app).split())
        goes.set()


HOSTILE_SCREENS = {
    "due": ["1"],
    "ready": ["2"],
    "message": ["2", "M"],
    "prices": ["2", "P"],
    "sale form": ["2", "s"],
    "hold form": ["2", "h"],
    "price form": ["2", "at"],
    "stock": ["3"],
    "lot page": ["3", "down", "enter"],
    "founder's origin": ["3", "enter", "less_than_sign"],
    "gone form": ["3", "d"],
    "move form": ["3", "down", "m"],
    "count form": ["3", "c"],
    "new lot form": ["3", "n"],
    "split form": ["3", "slash"],
    "merge form": ["3", "plus"],
    "losses": ["3", "down", "enter", "L"],
    "species form": ["3", "S"],
    "take back form": ["3", "enter", "x"],
    "sales": ["4"],
    "sale": ["4", "enter"],
    "receipt": ["4", "r"],
    "new sale form": ["4", "s"],
    "post form": ["4", "o"],
    "credit form": ["4", "C"],
    "holds": ["4", "H"],
    "release form": ["4", "H", "X"],
    "payment form": ["4", "enter", "p"],
    "claim form": ["4", "k"],
    "papers of a sale": ["4", "enter", "w"],
    "parcels": ["4", "i"],
    "owed": ["4", "B"],
    "fairs": ["4", "F"],
    "plan a fair": ["4", "F", "n"],
    "given, lent": ["4", "g"],
    "give away": ["4", "g", "n", "enter"],
    "lend": ["4", "g", "n", "down", "enter"],
    "queue": ["4", "H", "q"],
    "costs": ["5"],
    "spend form": ["5", "minus"],
    "dispose form": ["5", "G"],
    "used up form": ["5", "u"],
    "take back cost": ["5", "x"],
    "where a cost went": ["5", "e"],
    "rearing": ["6"],
    "outlook": ["6", "O"],
    "decisions": ["6", "down", "down", "D"],
    "rear or sell": ["6", "down", "down", "D", "enter"],
    "stage times": ["6", "t"],
    "price of losses": ["6", "L"],
    "why, of a lot": ["3", "down", "enter", "e"],
    "lot's rearing": ["3", "down", "enter", "R"],
    "lot's stage times": ["3", "down", "enter", "t"],
    "rearing page": ["6", "down", "down", "enter"],
    "explanation": ["6", "down", "down", "e"],
    "year": ["7"],
    "checks": ["7", "K"],
    "close page": ["7", "Z"],
    "count page": ["7", "c"],
    "valuation": ["7", "percent_sign"],
    "settings": [DIGITS["settings"]],
    "papers settings": [DIGITS["settings"], "enter"],
    "round in words": ["8", "d", "enter"],
    "late facts": ["7", "Y"],
    "thresholds": ["7", "T"],
    "all actions": ["3", "full_stop"],
    "help": ["3", "question_mark"],
    "jot line": ["3", "space"],
}


@pytest.mark.parametrize("digit", sorted({keys[0] for keys in HOSTILE_SCREENS.values()}))
async def test_every_screen_and_form_opens_with_hostile_names_in_the_ledger(loft: Ledger, digit: str) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        for name, keys in HOSTILE_SCREENS.items():
            if keys[0] != digit:
                continue
            await go(pilot, digit)
            for rows_of_place in app.screen.query(PagedList):
                rows_of_place.move_cursor(row=0)
            before = picture(app)
            shown = await go(pilot, *keys)

            assert "\x1b" not in shown, name
            assert "Quillmere [Loft]" in shown, name
            assert app._exception is None, name
            assert len(keys) == 1 or picture(app) != before, f"{name}: no such screen came"
            if isinstance(app.focused, JotInput):
                await pilot.press("escape")
            while len(app.screen_stack) > 1:
                app.pop_screen()
                await pilot.pause()


async def test_names_from_people_stand_on_the_screen_as_they_are(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(120, 40)) as pilot:
        assert HOSTILE_BUYER in await go(pilot, "4")
        assert HOSTILE_BUYER in await go(pilot, "enter")
        assert "[@click=app.leave]Ombrel[/]" in await go(pilot, "5")
        assert "leaf [litter]" in await go(pilot)
        assert "shelf [3]" in await go(pilot, "3", "down", "enter")
        assert "(note with [/])" in await go(pilot)


def test_a_message_says_alike_animals_of_several_lots_once(loft: Ledger) -> None:
    rows = loft.ready()
    once = message_lines(rows, loft.currency)
    twice = message_lines((*rows, *(replace(row, lot="P99") for row in rows)), loft.currency)

    assert [line.replace("plenty", "few") for line in twice] == [line.replace("plenty", "few") for line in once]
    dearer = message_lines((*rows, *(replace(row, packs=()) for row in rows)), loft.currency)
    assert len(dearer) > len(once)


# --- selling ---


async def test_selling_from_the_ready_list_takes_four_keys_and_states_the_origin_of_the_lot(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await rest(pilot)
        keys = ["2", "s", "5", "enter"]
        shown = await go(pilot, *keys)

        assert len(keys) <= 8
        assert "✓ S-2025-0002: 5 L3 of P08 (captive bred, generation not known) sold" in shown
        assert "✓ 5" in shown

    line = rows(loft, t.sale_line.c.count, t.sale_line.c.net, t.sale_line.c.lot_code, t.sale_line.c.origin_code)[-1]
    assert line == (5, 750, "P08", "CBU")
    assert "captive bred, generation not known" in rows(loft, t.sale_line.c.origin_text)[-1][0]
    assert rows(loft, t.payment.c.amount, t.payment.c.method)[-1] == (750, "cash")
    assert rows(loft, t.movement.c.reason, t.movement.c.count)[-1] == ("sold", 5)


async def test_a_sale_to_a_known_buyer_takes_at_most_eight_keys_from_ready(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "2")
        keys = ["s", "3", "tab", "t", "right", "enter"]
        assert "S-2025-0002" in await go(pilot, *keys)

    assert len(keys) <= 8
    assert rows(loft, t.sale.c.customer_name)[-1] == ("Tarn",)
    assert rows(loft, t.sale_line.c.count, t.sale_line.c.net)[-1] == (3, 450)


async def test_a_sale_to_a_new_buyer_by_post_waits_to_be_posted(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "2", "s", "tab")
        await type_in(pilot, "Nim Orrel")
        await go(pilot, "tab", "tab", "p")
        assert "to be posted" in await go(pilot) or "by post" in await go(pilot)
        shown = await go(pilot, "enter")
        assert "S-2025-0002" in shown
        assert "! to post" in await go(pilot, "4")
        assert "S-2025-0002 for Nim Orrel is to be posted" in await go(pilot, "1")

        await go(pilot, "4", "o", "enter")
        assert "✓ settled" in await go(pilot)

    assert rows(loft, t.posting.c.posted_on) == [(TODAY,)]
    assert rows(loft, t.sale.c.customer_name, t.sale.c.to_post)[-1] == ("Nim Orrel", 1)


async def test_enter_three_times_in_one_burst_sells_once(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "2")
        burst(app, "s", "3", "enter", "enter", "enter")
        await rest(pilot, 1.0)

    assert count(loft, t.sale) == 2
    assert rows(loft, t.sale_line.c.count)[-1] == (3,)


async def test_held_animals_are_not_sold_to_another_and_the_screen_says_who_has_them(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "2", "down", "down", "s", "2")
        shown = await go(pilot)
        assert "Tarn" in shown

        shown = await go(pilot, "enter")
        assert isinstance(app.screen, SaleForm)
        assert "! P08" in shown

    assert count(loft, t.sale) == 1


async def test_a_hold_is_made_from_the_ready_list_and_taken_up_from_the_holds(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "2", "h", "4", "tab")
        await type_in(pilot, "Velo Sund")
        await go(pilot, "tab")
        await type_in(pilot, "fri")
        shown = await go(pilot, "enter")
        assert "✓ R-002: 4 L3 of P08 held for Velo Sund" in shown

        shown = await go(pilot, "4", "H")
        assert "R-002" in shown
        await go(pilot, "s")
        shown = await go(pilot, "enter")
        assert "✓ S-2025-0002" in shown

    assert rows(loft, t.hold_fate.c.fate) == [("taken up",)]


async def test_a_released_hold_asks_what_becomes_of_its_deposit(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        shown = await go(pilot, "4", "H", "X", "k", "enter")
        assert "R-001" in shown

    assert rows(loft, t.hold_fate.c.fate) == [("released",)]
    assert rows(loft, t.deposit_decision.c.outcome) == [("kept",)]


async def test_a_sale_is_undone_by_a_credit_and_its_animals_are_back(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "4", "C")
        await type_in(pilot, "wrong animals")
        await go(pilot, "enter")
        assert "credited" in await go(pilot)
        assert "✓ 14" in await go(pilot, "2")

    assert rows(loft, t.credit.c.full, t.credit.c.reason) == [(1, "wrong animals")]


async def test_a_price_is_set_from_the_ready_list(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "2", "at")
        await type_in(pilot, "12")
        await go(pilot, "tab", "1", "0")
        shown = await go(pilot, "enter")
        assert "12.00 EUR" in shown
        assert "1.50 EUR each, 10 for 12.00 EUR" in await go(pilot, "M")

    assert rows(loft, t.price.c.animals, t.price.c.amount)[-1] == (10, 1200)


async def test_the_message_for_buyers_has_neither_lot_codes_nor_exact_numbers(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        shown = await go(pilot, "2", "M")

    assert "L3: plenty, 1.50 EUR each" in shown
    assert "adult female: few" in shown
    assert "P08" not in shown.replace("such as: P08 3 died", "")


# --- animals ---


async def test_a_death_is_recorded_in_the_jot_line_and_undone_with_one_key(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "space")
        await type_in(pilot, "P08 2 L3 died heater")
        shown = await go(pilot)
        assert "P08: 2 of 10 L3 died" in shown
        await go(pilot, "enter", "enter")
        assert rows(loft, t.movement.c.reason, t.movement.c.count, t.movement.c.cause)[-1] == ("died", 2, "exceptional")

        await go(pilot, "ctrl+z")

    last = rows(loft, t.movement.c.reason, t.movement.c.count, t.movement.c.reverses)[-1]
    assert last[:2] == ("died", 2)
    assert last[2] is not None
    assert [row.count for row in loft.stock(lot="P08") if row.stage == "L3"] == [10]


async def test_a_half_written_line_is_there_after_the_terminal_was_closed_and_gone_once_recorded(
    loft: Ledger, tmp_path: Path
) -> None:
    kept = tmp_path / "drafts.json"
    async with desk(loft, drafts=Drafts(kept)).run_test(size=(80, 24)) as pilot:
        await go(pilot, "3", "space")
        await type_in(pilot, "P08 1 L3 unsexed")
        await go(pilot)

    app = desk(loft, drafts=Drafts(kept))
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "3", "space")
        assert app.screen.query_one("#jot-entry", Input).value == "P08 1 L3 unsexed"
        await type_in(pilot, " died")
        await go(pilot, "enter")

    assert Drafts(kept).get(JOTTED) == {}
    assert rows(loft, t.movement.c.reason, t.movement.c.count)[-1] == ("died", 1)


async def test_where_a_line_leaves_open_which_animals_the_choices_of_the_ledger_are_taken_with_down(
    loft: Ledger,
) -> None:
    app = desk(loft)
    before = count(loft, t.movement)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "space")
        await type_in(pilot, "P08 1 died")
        shown = await go(pilot)
        assert "say which stage or sex" in shown
        assert count(loft, t.movement) == before

        await go(pilot, "down")
        assert app.screen.query_one("#jot-entry", Input).value == "P08 1 L3 unsexed died"
        await go(pilot, "enter")

    assert rows(loft, t.movement.c.reason, t.movement.c.count)[-1] == ("died", 1)


async def test_deaths_are_recorded_in_a_form_and_what_is_wrong_is_said_there(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "3", "down", "d", "9", "9", "tab", "tab", "right")
        shown = await go(pilot, "enter")
        assert isinstance(app.screen, GoneForm)
        assert "has only 10" in shown

        assert app.focused is app.screen.rows[0].entry
        await go(pilot, "home", "ctrl+k", "3")
        assert "P08: 3 of 10 L3 died" in await go(pilot)
        await go(pilot, "enter")

    assert rows(loft, t.movement.c.reason, t.movement.c.count)[-1] == ("died", 3)


async def test_animals_move_on_in_a_form(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "3", "down", "m", "4", "tab", "c")
        assert "4 of 8 cocoons moved on to soft adult" in await go(pilot)
        await go(pilot, "enter")

    assert rows(loft, t.movement.c.reason, t.movement.c.count)[-1] == ("next stage", 4)


async def test_a_count_is_kept_and_a_difference_is_said(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "3", "down", "c")
        await type_in(pilot, "28")
        shown = await go(pilot, "enter")
        assert "✓ P08: 28 counted, 4 Jun 2025. Caution: P08: 28 counted, but 30 are recorded" in shown
        assert "!" not in shown.partition("✓")[2]

    assert rows(loft, t.observation.c.kind, t.observation.c.count)[-1] == ("counted", 28)


async def test_a_lot_is_opened_in_a_form_with_its_mothers_and_its_origin_follows(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "3", "n")
        await type_in(pilot, "p09")
        await go(pilot, "tab", "p", "tab", "tab", "h", "tab")
        await type_in(pilot, "L1")
        await go(pilot, "tab")
        await type_in(pilot, "25")
        # Of animals hatched here the mothers are asked next, and nothing of a purchase.
        shown = await go(pilot, "tab", "tab", "tab")
        assert "price of all" not in shown.partition("more")[0]
        assert isinstance(app.focused, Input)
        assert app.focused.id == "entry-mothers"
        await type_in(pilot, "P01")
        await go(pilot, "tab")
        await type_in(pilot, "P01")
        assert "P09" in await go(pilot)
        shown = await go(pilot, "enter")
        assert "✓ P09" in shown

    (lot,) = [row for row in loft.lots() if row.code == "P09"]
    assert lot.animals == 25
    assert "captive bred" in loft.origin("P09").origin


async def test_the_page_of_a_lot_shows_stages_story_origin_and_cost(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        shown = await go(pilot, "3", "down", "enter")

        assert isinstance(app.screen, LotPage)
        assert "egg L1 L2 L3 cocoon soft adult adult" in shown
        assert "Origin: captive bred, generation not known" in shown
        assert "EUR on 30 alive" in shown
        assert "for each of 8 reared so far" in shown
        assert "36 L1 moved on to L3" in await go(pilot, "pagedown")

        assert "Possible mother: P01" in await go(pilot, "less_than_sign")


async def test_a_movement_is_taken_back_from_the_page_of_its_lot(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "3", "down", "enter", "down", "down", "x")
        shown = await go(pilot, "enter")
        assert "taken back" in shown

    assert rows(loft, t.movement.c.reverses)[-1][0] is not None
    assert {row.sex for row in loft.stock(lot="P08") if row.stage == "adult"} <= {"female", "unsexed"}


async def test_a_species_is_taken_in_from_a_template(bare: Ledger) -> None:
    app = desk(bare)
    async with app.run_test(size=(80, 24)) as pilot:
        shown = await go(pilot, "3", "S")
        assert "Templates: eublepharis-macularius, " in shown
        await type_in(pilot, "isopod")
        assert "That may be group-isopod, porcellio-dilatatus" in " ".join((await go(pilot, "tab")).split())
        await go(pilot, "shift+tab")
        await type_in(pilot, "sun beetle")
        await go(pilot, "tab")
        await type_in(pilot, "PACH")
        await go(pilot, "enter")

    assert [row.code for row in bare.species()] == ["PACH"]


async def test_typing_narrows_a_list(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "3", "f")
        await type_in(pilot, "breed")
        shown = await go(pilot, "enter")
        assert "P01" in shown
        assert "P08 PACH" not in shown
        assert "only what holds “breed”: 1 · esc whole list" in shown

        assert "P08 PACH" in await go(pilot, "escape")
        assert "esc whole list" not in await go(pilot)


async def test_a_narrowed_list_says_so_after_a_look_elsewhere_and_its_cursor_is_on_the_first_row(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "3", "down", "f")
        await type_in(pilot, "pach")
        await go(pilot, "enter")
        assert app.screen.query_one(PagedList).key_here == "P01"

        assert "only what holds “pach”" in await go(pilot, "2", "3")


async def test_a_list_in_which_nothing_fits_says_how_to_see_it_whole(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "3", "f")
        await type_in(pilot, "zzz")

        assert "Nothing here holds “zzz”; esc shows the whole list" in await go(pilot)


async def test_empty_lots_are_said_to_be_there_and_one_key_shows_them(loft: Ledger) -> None:
    loft.do(AddLot("P20", "PACH", TODAY, ()))
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        shown = await go(pilot, "3")
        assert "1 empty lot not shown; E shows it" in shown
        assert "P20" not in shown

        shown = await go(pilot, "E")
        assert "P20" in shown
        assert "1 empty lot shown too; E hides it" in shown


async def test_dried_specimens_are_told_from_the_living_in_stock_and_in_the_checks(loft: Ledger) -> None:
    loft.do(Record("P08", (Move("dried", 2, "L3", to_stage="dried specimen"),), TODAY))
    alive = sum(row.animals + row.objects for row in loft.lots())
    counted = sum(row.count for row in loft.stock())
    app = desk(loft)
    async with app.run_test(size=(80, 40)) as pilot:
        assert f"{alive} alive and 2 dried specimens" in await go(pilot, "3")
        shown = await go(pilot, "7", "K")

    assert counted == alive + 2
    assert f"{counted} {counted} of which 2 dried specimens; 3 Stock counts the living" in shown


async def test_why_a_lot_did_badly_stands_on_its_page_beside_what_is_usual(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 40)) as pilot:
        shown = await go(pilot, "3", "down", "enter")
        assert "Lost young: 6 · worst L1, 4 of 40, 10 % · mainly: cause not known · Jan 2025 (L)" in shown

        shown = await go(pilot, "L")
        assert "L3 2 36 6 % too few to say" in shown
        assert "6 died, cause not known" in shown
        assert "Mar 2025 2" in shown


async def test_rearing_lists_lots_by_their_code(loft: Ledger) -> None:
    for code, started in (("P10", 3), ("P9", 20)):
        arrival = Arrival("hatched", "L1", unsexed=5)
        loft.do(AddLot(code, "PACH", dt.date(2025, 2, started), (arrival,), mothers=("P01",)))
    app = desk(loft)
    async with app.run_test(size=(120, 40)) as pilot:
        shown = await go(pilot, "6")

    assert shown.index("P01 came reared") < shown.index("P08 8 of") < shown.index("P9 0 of") < shown.index("P10 0 of")


async def test_a_new_buyer_is_named_before_and_after_a_sale(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "2", "s", "tab")
        await type_in(pilot, "Orsk tonight")
        shown = await go(pilot)
        assert "New customer: Orsk tonight." in shown
        assert "looks like a day" in shown

        assert "New customer: Orsk tonight." in await go(pilot, "enter")
        await go(pilot, "3", "2", "s", "tab")
        await type_in(pilot, "Orsk tonight")
        assert "New customer" not in await go(pilot)


async def test_the_origin_of_a_new_lot_is_told_before_it_is_entered_with_what_is_missing(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 40)) as pilot:
        await go(pilot, "3", "n")
        await type_in(pilot, "p09")
        await go(pilot, "tab", "p", "tab", "tab", "l", "tab")
        await type_in(pilot, "egg")
        await go(pilot, "tab")
        await type_in(pilot, "25")
        shown = await go(pilot)

    assert "Its origin will read: not known; evidence: none." in shown
    assert "Missing to say more: no mother on record" in shown
    assert "To say more: name the mother" in shown


async def test_days_are_written_one_way_on_a_screen_in_the_keepers_order(loft: Ledger) -> None:
    app = desk(loft, order="mdy")
    async with app.run_test(size=(110, 24)) as pilot:
        shown = await go(pilot, "3", "down", "enter")
        assert "Wed Jun 4, 2025" in shown
        assert "started Jan 5, 2025" in shown
        shown = await go(pilot, "less_than_sign")
        assert "Dec 1, 2024 to Dec 20, 2024" in shown
        assert "2024-12-01" not in shown
        await go(pilot, "escape", "space")
        await type_in(pilot, "P08 2 L3 died")
        assert "Jun 4, 2025" in await go(pilot)


async def test_a_known_name_is_offered_in_a_field_and_the_right_arrow_takes_it(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "3", "plus", "end", "space")
        await type_in(pilot, "p")
        await go(pilot, "right")
        assert app.screen.rows[0].typed == "P01 P01"  # type: ignore[attr-defined]


# --- what is due, money, figures ---


async def test_a_round_that_is_due_is_gone_to_from_the_due_list_and_no_longer_due_when_saved(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await rest(pilot)
        assert "1 Due 2" in picture(app)
        await go(pilot, "down", "enter")
        assert "P08 L3, 10 there" in picture(app)
        assert count(loft, t.observation) == 2

        await go(pilot, "f", "enter", "enter")
        assert "1 Due 1" in picture(app)

    assert [kind for (kind,) in rows(loft, t.observation.c.kind)][-2:] == ["fed", "looked"]


async def test_a_line_that_was_only_offered_is_gone_once_it_is_put_away(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "1")
        await app.jot_with("P08 seen hard")
        assert app.screen.query_one("#jot-entry", Input).value == "P08 seen hard"

        await go(pilot, "escape", "space")
        assert app.screen.query_one("#jot-entry", Input).value == ""


async def test_a_hold_about_to_lapse_is_sold_from_the_due_list(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "1")
        assert "Sell what was promised" in await go(pilot, "down", "down", "enter")
        await go(pilot, "enter")
        shown = await go(pilot, "enter")
        assert "S-2025-0002" in shown

    assert rows(loft, t.hold_fate.c.fate, t.hold_fate.c.deposit) == [("taken up", "applied")]


async def test_money_is_spent_in_a_form(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "5", "minus")
        await type_in(pilot, "feed")
        await go(pilot, "tab")
        await type_in(pilot, "4,50")
        await go(pilot, "tab")
        await type_in(pilot, "Ombrel")
        shown = await go(pilot, "enter")
        assert "4.50 EUR from Ombrel" in shown

    assert rows(loft, t.cost.c.category, t.cost.c.gross, t.cost.c.supplier)[-1] == ("feed", 450, "Ombrel")


async def test_an_amount_that_could_mean_two_things_is_refused_beside_its_field(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "5", "minus")
        await type_in(pilot, "feed")
        await go(pilot, "tab")
        await type_in(pilot, "1.234")
        shown = await go(pilot, "enter")
        assert "may mean" in shown

    assert count(loft, t.cost) == 1


async def test_the_curve_and_the_cost_of_a_reared_adult_are_shown(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 40)) as pilot:
        shown = await go(pilot, "6", "down", "down", "enter")

        assert isinstance(app.screen, RearingPage)
        assert "40 entered: 8 reared, 6 lost, 4 left young, 22 still rearing" in shown
        assert "Share that is reared: 20 %, between 10 % and 35 %" in shown
        assert "One reared adult cost 0.23 EUR (8 reared), so far; 22 still rearing; may rise" in shown
        assert "By the stage at which it arose" in shown
        assert "└" in picture(app)


async def test_the_workbook_is_written_where_it_was_asked_for(loft: Ledger, tmp_path: Path) -> None:
    app = desk(loft, papers=tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        shown = await go(pilot, "7", "W")
        await rest(pilot, 1.0)
        shown = " ".join(picture(app).split())

    (path,) = tmp_path.glob("*.xlsx")
    assert "The workbook is" in shown
    assert path.stat().st_size > 5000


async def test_a_year_that_is_not_over_is_not_closed_and_the_one_before_is(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        shown = await go(pilot, "7", "Z", "enter")
        assert "it can be closed from the day after" in shown
        # What is missing stands there all the same, each with its key; only the closing waits.
        assert "! Not counted in the year: P01 and P08. 7 Year, c counts the stock line by line." in shown
        assert "! 2025 lasts until" in await go(pilot, "Z")
        await go(pilot, "escape", "left")
        assert "‹ 2024 ›" in await go(pilot)
        shown = await go(pilot, "Z")
        assert "If it is closed:" in shown
        assert "Not counted in the year: P01." in shown
        await go(pilot, "Z", "enter")
        await type_in(pilot, "2025")
        assert "! Type 2024 to close it" in await go(pilot, "enter")
        assert count(loft, t.closing) == 0
        await go(pilot, "ctrl+u")
        await type_in(pilot, "2024")
        assert "2024 is closed" in await go(pilot, "enter")

    assert rows(loft, t.closing.c.year) == [(2024,)]


async def test_every_lot_is_found_by_its_code_in_the_list_of_all_actions(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "full_stop")
        await type_in(pilot, "lot P08")
        await go(pilot, "enter")

        assert isinstance(app.screen, LotPage)
        assert app.screen.code == "P08"


async def test_no_letter_digit_or_space_writes_in_any_place(loft: Ledger) -> None:
    app: Desk = desk(loft)
    before = count(loft, t.operation)
    async with app.run_test(size=(80, 24)) as pilot:
        for digit in DIGITS.values():
            await go(pilot, digit)
            for act in app.screen.ACTS:  # type: ignore[attr-defined]
                if len(act.key.split(",")[0]) == 1 and act.name != "workbook":
                    await pilot.press(act.key.split(",")[0])
                    await pilot.pause()
                    while len(app.screen_stack) > 1:
                        app.pop_screen()
                        await pilot.pause()

    assert count(loft, t.operation) == before


def test_today_of_the_tests_is_a_wednesday() -> None:
    assert dt.date(2025, 6, 4) == TODAY
    assert f"{TODAY:%A}" == "Wednesday"
