"""The pages over Costs: the store, feed in use, equipment, power from watts, the keeper's own hours."""

from __future__ import annotations

import datetime as dt

from exports.workbook import spending
from ledger.books.year import year_books
from ledger.costs.commands import SetMethod, Spend
from ledger.ledger import Ledger
from ledger.records import tables as t
from ledger.stock.commands import AddLot, Arrival
from tests.tui.business import TODAY, desk
from tests.tui.keys import rest
from tests.tui.loft import count, fill_in, go, quick, rows
from tests.tui.screenshot import picture
from tui.places.count import CountPage


async def test_something_is_put_in_store_taken_out_and_put_back(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        assert "Nothing was ever put in store." in await quick(pilot, "5", "left_parenthesis")
        await quick(pilot, "n")
        await fill_in(pilot, "feed", "flake", "10", "40")
        assert "! Write how much with its unit" in await quick(pilot, "enter")
        await fill_in(pilot, "10 kg")
        shown = await quick(pilot, "enter")
        assert "feed flake 10 kg 4.00/kg 40.00" in shown

        await quick(pilot, "right_parenthesis")
        await fill_in(pilot, "12", "P08")
        await rest(pilot)
        assert "there is 10 kg of flake in store" in " ".join(picture(app).split())
        assert count(loft, t.store_issue) == 0
        await quick(pilot, "shift+tab")
        await fill_in(pilot, "2.5")
        shown = await quick(pilot, "enter")
        assert "7.5 kg 4.00/kg 30.00" in shown

        shown = await quick(pilot, "enter")
        assert "taken out 1 -2.5 kg -10.00 7.5 kg" in shown
        await quick(pilot, "x", "enter")
        assert "10 kg 4.00/kg 40.00" in await quick(pilot, "escape")

    (row,) = loft.store_items()
    assert (row.quantity, row.value) == (10_000, 4000)


async def test_what_was_paid_for_animals_is_not_said_to_be_for_selling(loft: Ledger) -> None:
    loft.do(AddLot("W01", "PACH", TODAY, (Arrival("bought", "L3", unsexed=4, value=400),)))
    loft.do(Spend(TODAY, "postage", 300, "the carrier", kind="selling"))
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        shown = await quick(pilot, "5")

    assert "animals 4.00" in shown
    assert "postage the carrier selling 3.00" in shown


async def test_where_the_household_has_a_part_the_list_and_the_form_say_what_counts(loft: Ledger) -> None:
    loft.do(SetMethod("share power", "3000", dt.date(2025, 1, 1)))
    done = loft.do(Spend(TODAY, "power", 9240, "Ombrel", kind="overhead"))
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        shown = await quick(pilot, "5")
        assert "30 % all 92.40" in shown
        assert "The business part counts, 30 %: 27.72 of 92.40 EUR." in shown
        # Of what is all the business's nothing is said.
        assert "% all 24.00" not in shown
        assert "% of it counts" not in shown
        await quick(pilot, "minus")
        await fill_in(pilot, "power", "50")
        await pilot.press("tab")
        assert "50.00 EUR, of which 30 % counts" in picture(app)
        await quick(pilot, "ctrl+r")
        await fill_in(pilot, "feed", "50")
        await pilot.press("tab")
        assert "50.00 EUR" in picture(app)
        assert "counts" not in picture(app)

    assert done.sentence.startswith("power 92.40 EUR (30 % of it counts, 27.72 EUR) from Ombrel, ")


async def test_power_says_what_it_comes_to_before_it_is_recorded_and_hours_are_in_no_total(loft: Ledger) -> None:
    before = [row.id for row in loft.costs()]
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await quick(pilot, "5", "ctrl+t")
        await fill_in(pilot, "heat mat", "20 W", "much")
        await pilot.press("tab")
        assert '! "much"' in picture(app)
        await pilot.press("shift+tab")
        await fill_in(pilot, "55%", "0.2957", "2025-05-01")
        await rest(pilot)
        shown = " ".join(picture(app).split())
        # What was wrong is not said any longer, and the bill is spoken of before it is too late.
        assert "! " not in shown.split("Power, reckoned")[1].split("Caution")[0]
        assert "Do not record the bill of the household as well" in shown
        # 20 W x 55 % x 24 h x 35 days = 9.24 kWh, at 0.2957: 2.73
        assert "power 2.73 EUR" in shown
        assert "9.24 kWh" in shown
        assert [row.id for row in loft.costs()] == before
        await quick(pilot, "enter")
        assert loft.costs()[0].gross == 273

        spent = sum(row.gross for row in loft.costs())
        await quick(pilot, "colon", "n")
        await fill_in(pilot, "1:30", "cleaning")
        shown = await quick(pilot, "enter")
        assert "1 h 30 min, in no total" in shown
        assert sum(row.gross for row in loft.costs()) == spent
        assert "are taken back" in await quick(pilot, "x")
        assert "No time was noted." in await quick(pilot, "enter")


async def test_what_is_in_use_is_finished_and_equipment_disposed_of(loft: Ledger) -> None:
    loft.do(Spend(dt.date(2025, 5, 1), "substrate", 900, text="leaf mould"))
    loft.do(Spend(dt.date(2025, 1, 1), "tubs", 3650, text="rack", kind="lasting", life_days=365))
    feed, rack = loft.costs()[1].id, loft.costs()[0].id
    if loft.costs()[0].kind != "lasting":
        feed, rack = rack, feed
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        shown = await quick(pilot, "5", "ctrl+u")
        assert "leaf mould" in shown
        assert "! over?" in shown
        await quick(pilot, "u")
        await fill_in(pilot, "2025-05-20")
        assert "Nothing is in use." in await quick(pilot, "enter")

        shown = await quick(pilot, "escape", "Q")
        (row,) = loft.equipment()
        assert f"{rack} 1 Jan 2025 rack 36.50 365 days" in shown
        assert f"{row.left / 100:.2f} EUR left" in shown
        await quick(pilot, "G")
        await fill_in(pilot, "5")
        shown = await quick(pilot, "enter")
        assert "gone" in shown
        assert "no animals carry that" in shown

    changed = rows(loft, t.cost_change.c.cost_id, t.cost_change.c.kind)
    assert [row for row in changed if row[1] != "paid"] == [(feed, "window"), (rack, "disposal")]
    assert loft.equipment()[0].disposed_on == TODAY


async def test_a_cost_is_corrected_from_its_row_and_the_cursor_goes_to_what_was_recorded(loft: Ledger) -> None:
    feed = loft.costs()[0]
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await quick(pilot, "5", "minus")
        await fill_in(pilot, "post", "-4.50", "Tarnow")
        assert "a new kind, beside postage" in await quick(pilot)
        assert "Money that came back is a refund: $ on the cost, in 5 Costs." in await quick(pilot)
        await pilot.press("shift+tab", "shift+tab")
        await fill_in(pilot, "wood", "10", "Tarnow", "shelf", "2025-05-02")
        await quick(pilot, "enter")
        wrong = loft.costs()[0]
        assert app.screen.chosen == str(wrong.id)  # type: ignore[attr-defined]
        shown = await quick(pilot, "ctrl+e")
        assert f"Correct cost {wrong.id}" in shown
        assert "10.00" in shown
        assert "Tarnow" in shown
        await fill_in(pilot, "substrate")
        await rest(pilot)
        assert f"Instead of cost {wrong.id}: substrate 10.00 EUR from Tarnow, 2 May 2025" in " ".join(
            picture(app).split()
        )
        await quick(pilot, "enter")
        new, _, old = loft.costs(3)
        assert app.screen.chosen == str(new.id)  # type: ignore[attr-defined]
        shown = await quick(pilot, "down")
        assert "-10.00 takes back" in shown
        assert f"Takes back cost {old.id}. corrected" in shown
        assert "there is nothing to correct" in await quick(pilot, "ctrl+e")

        # A refund is an act with a name, and the list is less what came back.
        await quick(pilot, "end", "dollar_sign")
        assert app.screen.subject == str(feed.id)  # type: ignore[attr-defined]
        await fill_in(pilot, "4.50")
        shown = await quick(pilot, "enter")
        assert "19.50 money back" in shown, shown
        assert "4.50 of 24.00 EUR came back." in shown
        assert "Record a refund" in await quick(pilot, "full_stop", *"refund")
    assert (new.category, new.gross, new.supplier, new.text) == ("substrate", 1000, "Tarnow", "shelf")


async def test_a_cost_is_found_by_its_note_and_the_note_is_in_the_workbook(loft: Ledger) -> None:
    loft.do(Spend(dt.date(2025, 5, 1), "feed", 900, note="meter 4711"))
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        shown = await quick(pilot, "5", "f", *"4711", "enter")
        assert "9.00" in shown
        assert "24.00" not in shown
    books = loft.ask(year_books, 2025)
    table = spending.costs(books, loft.currency)
    note = [column.name for column in table.columns].index("Note")
    assert [row[note] for row in table.rows if row[note]] == ["meter 4711"]


async def test_the_rest_of_a_count_agrees_at_one_key_and_what_differs_stays(loft: Ledger) -> None:
    before = count(loft, t.observation)
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await quick(pilot, "7", "c", "enter")
        await fill_in(pilot, "1", "died")
        await quick(pilot, "enter")
        shown = await go(pilot, "asterisk")
        assert "marked as agreeing" in shown
        page = app.screen
        assert isinstance(page, CountPage)
        marks, lines = page.marks, page._lines
        assert set(marks) == set(lines)
        assert [key for key, (number, _) in marks.items() if number != lines[key].expected] == [next(iter(lines))]
        assert "counted already" in await go(pilot, "asterisk")
    assert count(loft, t.observation) == before


async def test_what_the_list_leaves_out_does_not_agree_at_one_key(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await quick(pilot, "7", "c")
        page = app.screen
        assert isinstance(page, CountPage)
        lot = next(iter(page._lines.values())).lot
        of_it = {key for key, line in page._lines.items() if line.lot == lot}
        assert of_it != set(page._lines)
        shown = await quick(pilot, "f", *lot, "enter", "asterisk")
        assert "marked as agreeing" in shown
        assert set(page.marks) == of_it


async def test_a_key_that_does_nothing_here_says_so(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        assert "V does nothing here" in await quick(pilot, "6", "V")
        assert "does nothing here" not in await quick(pilot, "down", "t")
