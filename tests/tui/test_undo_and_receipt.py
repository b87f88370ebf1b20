"""The keys that are wanted right after recording: undo, also from the jot line, and the receipt of a sale."""

from __future__ import annotations

from textual.widgets import Input

from ledger.ledger import Ledger
from ledger.records import tables as t
from ledger.selling.commands import LineOf, ReleaseHold, Sell, TakePayment
from tests.tui.business import TODAY, desk
from tests.tui.keys import burst, rest, type_in
from tests.tui.loft import count, go, rows
from tests.tui.screenshot import picture
from tui.places.page import TextPage


async def test_ctrl_z_in_an_empty_jot_line_takes_back_the_last_act_and_says_which(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "space")
        await type_in(pilot, "P08 2 L3 died")
        await go(pilot, "enter")
        assert rows(loft, t.movement.c.reverses)[-1] == (None,)

        shown = await go(pilot, "ctrl+z")

        assert rows(loft, t.movement.c.reverses)[-1] != (None,)
        assert "Taken back: P08: 2 L3 died" in shown
        assert app.screen.foot.jot.display  # type: ignore[attr-defined]


async def test_ctrl_z_in_a_jot_line_that_holds_text_takes_nothing_back_and_says_so(loft: Ledger) -> None:
    app = desk(loft)
    before = count(loft, t.operation)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "space")
        await type_in(pilot, "P08 2 L3 d")
        shown = await go(pilot, "ctrl+z")

        assert count(loft, t.operation) == before
        assert "waits until the line is empty" in shown
        assert app.screen.query_one("#jot-entry", Input).value == "P08 2 L3 d"

        shown = await go(pilot, "ctrl+u")
        assert app.screen.query_one("#jot-entry", Input).value == ""


async def test_what_was_recorded_stays_to_be_read_however_soon_enter_came(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await rest(pilot)
        burst(app, "space", *"P08 2 L3 died", "enter")
        await rest(pilot, 0.6)

        assert "Recorded. P08: 2 of 10 L3 died" in picture(app)


async def test_a_burst_of_a_line_enter_and_ctrl_z_records_and_takes_back(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await rest(pilot)
        burst(app, "space", *"P08 2 L3 died", "enter", "ctrl+z")
        await rest(pilot)

        last = rows(loft, t.movement.c.reason, t.movement.c.count, t.movement.c.reverses)[-1]
        assert last[:2] == ("died", 2)
        assert last[2] is not None


async def test_lines_typed_ahead_while_the_first_is_being_recorded_are_each_recorded(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await rest(pilot)
        burst(app, "space", *"P08 2 L3 died", "enter", *"P08 1 L3 missing", "enter", "ctrl+z", *"P01 fed", "enter")
        burst(app, *"P08 4")
        await rest(pilot, 1.0)

        made = rows(loft, t.movement.c.reason, t.movement.c.count, t.movement.c.reverses)[-3:]
        assert [row[:2] for row in made] == [("died", 2), ("missing", 1), ("missing", 1)]
        assert [row[2] is None for row in made] == [True, True, False]
        assert rows(loft, t.observation.c.kind)[-1] == ("fed",)
        assert app.screen.query_one("#jot-entry", Input).value == "P08 4"
        assert app.jotted == {"due": "P08 4"}


async def test_undo_never_reaches_past_the_last_act_to_an_older_one(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "space")
        await type_in(pilot, "P08 2 L3 died")
        await go(pilot, "enter")
        loft.do(ReleaseHold("R-001", TODAY, "kept"), source="screen")
        before = count(loft, t.movement)

        shown = await go(pilot, "ctrl+z")

        assert count(loft, t.movement) == before
        assert "Not undone: your last act was “R-001 for Tarn released" in shown

        await go(pilot, "escape")
        shown = await go(pilot, "ctrl+z")
        assert count(loft, t.movement) == before
        assert "Not undone" in shown


async def test_undo_after_an_undo_goes_one_act_further_back(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "space")
        for line in ("P08 2 L3 died", "P08 1 L3 missing"):
            await type_in(pilot, line)
            await go(pilot, "enter")

        assert "Taken back: P08: 1 L3 missing" in await go(pilot, "ctrl+z")
        assert "Taken back: P08: 2 L3 died" in await go(pilot, "ctrl+z")


async def test_undo_of_money_says_what_and_how_much(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "space")
        await type_in(pilot, "feed 24.00 new Nib")
        await go(pilot, "enter")

        assert "Taken back: feed 24.00 EUR from Nib (cost" in await go(pilot, "ctrl+z")


async def test_a_payment_and_a_mark_are_taken_back_by_the_same_key(loft: Ledger) -> None:
    loft.do(Sell((LineOf("P08", 2, 300, stage="L3"),), TODAY, "Tarn"), source="screen")
    loft.do(TakePayment("S-2025-0002", 100, TODAY), source="screen")
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "space")
        await type_in(pilot, "P08 fed")
        await go(pilot, "enter")

        assert "Taken back: P08: fed" in await go(pilot, "ctrl+z")
        assert "Taken back: S-2025-0002: 1.00 EUR paid" in await go(pilot, "ctrl+z")
        assert loft.receipt("S-2025-0002").owed == 300
        assert "Taken back: C-2025-0001: S-2025-0002 in full credited" in await go(pilot, "ctrl+z")


async def test_ctrl_z_in_a_field_of_a_form_says_how(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        shown = await go(pilot, "2", "s", "ctrl+z")

    assert "esc leaves it, then ctrl-z" in shown


async def test_after_a_sale_one_key_that_the_message_names_opens_its_receipt(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "2", "s", "5")
        shown = await go(pilot, "enter")
        assert "ctrl-p shows its receipt" in shown

        shown = await go(pilot, "ctrl+p")
        assert isinstance(app.screen, TextPage)
        assert "Receipt S-2025-0002" in shown
        line = loft.origin("P08")
        assert f"Origin: {line.origin}; evidence: {line.evidence}" in shown

        await go(pilot, "ctrl+p", "escape")
        assert not isinstance(app.screen, TextPage)


async def test_the_receipt_key_works_from_the_jot_line_too(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "space")
        await type_in(pilot, "sell P08 2 L3 to Tarn paid")
        shown = await go(pilot, "enter")
        assert "ctrl-p shows its receipt" in shown

        assert "Receipt S-2025-0002" in await go(pilot, "ctrl+p")


async def test_without_a_sale_the_receipt_key_opens_nothing_and_says_why(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "ctrl+p")

        assert not isinstance(app.screen, TextPage)
        assert "Nothing was sold since you opened the program" in picture(app)


async def test_the_sale_form_shows_origin_evidence_and_gaps_as_the_receipt_will(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        shown = await go(pilot, "2", "s", "5")
        line = loft.origin("P08")
        assert f"Origin: {line.origin}; evidence: {line.evidence}" in shown
        assert line.headline in shown

        await go(pilot, "enter")
        receipt = " ".join(loft.receipt_text("S-2025-0002", 200).split())
        assert f"Origin: {line.origin}; evidence: {line.evidence}" in receipt
        assert line.headline in receipt
