"""The pages of selling: a sale with its claims and papers, parcels, holds and their queue, fairs, what is owed, prices.

Every figure on a page is compared with what the ledger answers; a refusal is said and leaves the tables as they were.
"""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Input

import tui.places
from ledger.ledger import Ledger
from ledger.money import amount_text
from ledger.origin.commands import LowerOrigin
from ledger.records import tables as t
from ledger.records.commands import SetSetting
from ledger.selling.commands import CreditSale, LineOf, PackForFair, Paid, Pick, PlanFair, Sell, SetPrice
from ledger.stock.commands import AddLot, Arrival, Move, OriginStatement, Record
from ledger.stock.stock_rows import stock_on
from tests.tui.business import HOSTILE_BUYER, TODAY, desk
from tests.tui.keys import rest, type_in
from tests.tui.loft import count, fill_in, quick, rows
from tests.tui.screenshot import picture
from tui.forms.animals import tub_of
from tui.forms.claims import AnswerForm, ClaimForm
from tui.forms.costs import SpendForm
from tui.forms.posting import ArrivedForm, WaitForm
from tui.forms.right_price import RightPriceForm
from tui.forms.selling import SaleForm
from tui.places.affected import AffectedPage
from tui.places.customer import CustomerPage
from tui.places.customers import CustomersPage
from tui.places.fair_sales import FairSalesPage
from tui.places.fairs import FairPage, FairsPage
from tui.places.given import GivenPage
from tui.places.holds import HoldsPage
from tui.places.lot import LotPage
from tui.places.owed import OwedPage
from tui.places.parcels import ParcelsPage
from tui.places.round_page import RoundPage
from tui.places.sale import SalePage
from tui.places.sales import SalesPlace
from tui.reckoner import LARGE

SMALL = (80, 24)
PEOPLE = (CustomersPage, CustomerPage, AffectedPage)
BY_POST = Sell((LineOf("P08", 3, stage="L3"),), TODAY, "Nim Orrel", "post", to_post=True)
AFRESH = ("home", "ctrl+k")
"""Keys that empty the field one is in."""


async def go(pilot: Pilot[None], *keys: str) -> str:
    """Press keys as one who knows them, wait once for what they bring, and give what is on the screen as one line."""
    await pilot.press(*keys)
    await rest(pilot, 0.05)
    return " ".join(picture(pilot.app).split())


async def after_a_pause(pilot: Pilot[None]) -> str:
    """What is on the screen when a form had time to say what it would record."""
    await rest(pilot)
    return " ".join(picture(pilot.app).split())


# --- one sale ---


async def test_the_page_of_a_sale_shows_origin_cost_margin_money_and_post_as_the_ledger_has_them(loft: Ledger) -> None:
    margin = loft.margin("S-2025-0001")
    (line,) = margin.lines
    app = desk(loft)
    async with app.run_test(size=SMALL) as pilot:
        shown = await go(pilot, "4", "enter")

        assert isinstance(app.screen, SalePage)
        assert f"Sold 10 May 2025 to {HOSTILE_BUYER}, collection" in shown
        assert "Total 6.00 EUR · paid 6.00 · nothing owed" in shown
        assert "1 4 L3 of P08, unsexed: 6.00" in shown
        assert f"Origin as sold: {line.origin}" in shown
        assert f"Carried cost {amount_text(line.cost, loft.currency)}, leaves" in shown
        assert "What it came to, EUR animals 6.00 total 6.00 " in shown
        assert f"cost of its animals -{amount_text(margin.cost, loft.currency)} selling costs 0.00 margin" in shown
        assert f" margin {amount_text(margin.margin, loft.currency)} " in shown
        assert "Post: none, handed over." in shown
        assert "reckoning" not in shown

    assert line.cost > 0


async def test_keys_of_the_page_of_a_sale_work_on_its_row_and_n_is_new_in_sales_and_costs(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=SMALL) as pilot:
        for key, opened in (("semicolon", WaitForm), ("at", RightPriceForm), ("A", ArrivedForm), ("n", SaleForm)):
            await go(pilot, "4", key)
            assert isinstance(app.screen, opened)
            await go(pilot, "escape")
        await go(pilot, "l")
        assert isinstance(app.screen, LotPage)
        await go(pilot, "escape", "5", "n")
        assert isinstance(app.screen, SpendForm)


async def test_a_payment_in_part_and_its_fee_are_taken_from_the_page_of_the_sale(loft: Ledger) -> None:
    loft.do(BY_POST)
    app = desk(loft)
    async with app.run_test(size=SMALL) as pilot:
        shown = await go(pilot, "4", "enter")
        assert "! owed 4.50" in shown
        await go(pilot, "p", *AFRESH)
        await type_in(pilot, "3")
        await go(pilot, "tab", "tab", "tab")
        await type_in(pilot, "0.20")
        shown = await go(pilot, "enter")
        assert "paid 3.00 · ! owed 1.50" in shown
        assert "selling costs -0.20" in shown

        before = count(loft, t.payment)
        await go(pilot, "p", *AFRESH)
        await type_in(pilot, "90")
        shown = await go(pilot, "enter")
        assert "1.50" in shown
        assert count(loft, t.payment) == before
        await go(pilot, "escape")

    assert rows(loft, t.payment.c.amount)[-1] == (300,)


async def test_a_claim_is_written_down_and_answered_by_a_refund_in_one_go(loft: Ledger) -> None:
    app = desk(loft)
    moved = count(loft, t.movement)
    async with app.run_test(size=SMALL) as pilot:
        await go(pilot, "4", "enter", "k", "tab", *AFRESH)
        await type_in(pilot, "9")
        shown = await go(pilot, "enter")
        assert isinstance(app.screen, ClaimForm)
        assert "has 4 animals, 4 of them not claimed or credited yet" in shown
        assert count(loft, t.claim) == 0

        await go(pilot, *AFRESH)
        await type_in(pilot, "2")
        await go(pilot, "tab")
        await type_in(pilot, "1")
        await go(pilot, "tab")
        await type_in(pilot, "picture of both")
        await go(pilot, "enter")
        assert isinstance(app.screen, AnswerForm)
        assert "Answer claim 1 on S-2025-0001: 2 of 4 of P08 dead, 1 h after arrival" in await go(pilot)
        shown = await go(pilot, "enter")

        assert isinstance(app.screen, SalePage)
        assert "Claim 1, line 1: 2 of 4 of P08 dead on arrival, reported 4 Jun 2025, 1 h after" in shown
        assert "answered 4 Jun 2025: refund, see C-2025-0001" in shown
        assert "credited 3.00" in shown
        shown = await go(pilot, "pagedown")
        parts = "total 6.00 credit C-2025-0001 -3.00 4 Jun 2025, 2 dead on arrival total less credit 3.00 cost of"
        assert parts in shown
        shown = await go(pilot, "escape")
        assert "✓ credit" in shown
        assert "3.00 of 6.00 EUR was credited." in shown
        await go(pilot, "A")
        assert isinstance(app.screen, ArrivedForm)

    assert rows(loft, t.claim.c.dead, t.claim.c.hours, t.claim.c.evidence) == [(2, 1, "picture of both")]
    assert rows(loft, t.credit.c.amount, t.credit.c.full) == [(300, 0)]
    assert count(loft, t.movement) == moved


async def test_a_claim_that_was_put_away_unanswered_waits_in_due_and_is_answered_there(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=SMALL) as pilot:
        await go(pilot, "4", "k", "enter", "escape")
        assert rows(loft, t.claim_outcome.c.outcome) == []
        shown = await go(pilot, "1", "f")
        await type_in(pilot, "claim")
        shown = await go(pilot, "enter", "enter")
        assert isinstance(app.screen, AnswerForm)

        await go(pilot, "right", "right")
        shown = await go(pilot, "enter")
        assert "Say what is given as goodwill: an amount, or how many animals are sent." in shown
        assert rows(loft, t.claim_outcome.c.outcome) == []
        await go(pilot, "shift+tab", "right")
        shown = await go(pilot, "enter")
        assert "declined as outside the terms as sold" in shown

    assert rows(loft, t.claim_outcome.c.outcome) == [("declined",)]
    assert count(loft, t.credit) == 0


@pytest.mark.parametrize("apart", [False, True])
async def test_the_papers_of_a_sale_are_written_as_pdf_and_text_and_the_screen_says_where(
    loft: Ledger, tmp_path: Path, *, apart: bool
) -> None:
    folder = tmp_path / "papers"
    folder.mkdir()
    loft.do(BY_POST)
    app = desk(loft, papers=folder)
    app.reckoner.least = 1 if apart else LARGE
    async with app.run_test(size=SMALL) as pilot:
        shown = await go(pilot, "4", "enter", "w")
        for paper in ("Receipt", "Invoice", "Packing note", "Provenance sheet of P08", "All of these"):
            assert paper in shown
        await type_in(pilot, "all of")
        await go(pilot, "enter")
        await rest(pilot, 0.5)
        shown = picture(app)

    written = sorted(path.suffix for path in folder.iterdir())
    assert written == [".pdf"] * 4 + [".txt"] * 4
    assert "Written into" in shown
    (receipt,) = folder.glob("receipt-*.txt")
    assert "S-2025-0002" in receipt.read_text("utf-8")
    assert "captive bred, generation not known" in receipt.read_text("utf-8")
    assert next(folder.glob("packing-*.pdf")).read_bytes().startswith(b"%PDF")


async def test_the_papers_of_a_sale_are_written_from_the_list_and_from_its_receipt(
    loft: Ledger, tmp_path: Path
) -> None:
    folder = tmp_path / "papers"
    folder.mkdir()
    app = desk(loft, papers=folder)
    async with app.run_test(size=(80, 24)) as pilot:
        shown = await go(pilot, "4", "w")
        assert "Invoice" in shown
        await go(pilot, "enter")
        assert [path.suffix for path in sorted(folder.iterdir())] == [".pdf", ".txt"]
        await go(pilot, "r")
        assert "Invoice" in await go(pilot, "w")
        await go(pilot, "escape", "escape", "full_stop")
        await type_in(pilot, "invoice")
        assert "Invoice" in await go(pilot, "enter")
        await go(pilot, "escape", "3", "full_stop")
        await type_in(pilot, "invoice")
        # From another place too the first that is found writes the papers of a sale, and no labels.
        assert "Invoice" in await go(pilot, "enter")


async def test_papers_that_cannot_be_written_are_refused_in_words(loft: Ledger, tmp_path: Path) -> None:
    app = desk(loft, papers=tmp_path / "no such folder")
    async with app.run_test(size=SMALL) as pilot:
        await go(pilot, "4", "enter", "w", "enter")
        await rest(pilot, 0.5)

        assert "no such folder" in " ".join(picture(app).split())
        assert isinstance(app.screen, SalePage)
        assert app._exception is None


async def test_a_part_of_a_sale_is_credited_by_lines_and_nonsense_is_said_beside_the_field(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=SMALL) as pilot:
        await go(pilot, "4", "enter", "C")
        await type_in(pilot, "one too many")
        await go(pilot, "tab")
        await type_in(pilot, "1:1")
        shown = await go(pilot, "enter")
        assert "is no line of a credit" in shown
        assert count(loft, t.credit) == 0
        await type_in(pilot, ":1.50:1")
        shown = await go(pilot, "enter")
        assert "Credited: 1.50 for 1 animals, 1 came back" in shown

    assert rows(loft, t.credit.c.amount, t.credit.c.full) == [(150, 0)]


# --- parcels ---


async def test_a_weekday_that_is_none_of_ones_own_stands_against_posting_until_a_reason_is_given(loft: Ledger) -> None:
    loft.do(SetSetting("post days", "Mon Tue"))
    loft.do(BY_POST)
    app = desk(loft)
    async with app.run_test(size=SMALL) as pilot:
        assert "! not today: S-2025-0002 for Nim Orrel" in await go(pilot, "1")
        shown = await go(pilot, "i")
        assert "Against posting it today: Wed is none of your days for posting (Mon, Tue)" in shown
        shown = await go(pilot, "o", "enter")
        assert "Wait for another day, or say why it was posted anyway" in shown
        assert count(loft, t.posting) == 0

        for _ in range(6):
            await pilot.press("tab")
        await type_in(pilot, "she is at home")
        assert "Outside your own limits" in await after_a_pause(pilot)
        shown = await go(pilot, "enter")
        assert "Nothing waits to be posted." in shown

    assert rows(loft, t.posting.c.posted_on) == [(TODAY,)]


async def test_a_parcel_waits_for_the_weather_and_is_let_go_by_the_same_key(loft: Ledger) -> None:
    loft.do(BY_POST)
    app = desk(loft)
    async with app.run_test(size=SMALL) as pilot:
        assert "✓ may go" in await go(pilot, "4", "i")
        await go(pilot, "semicolon", "enter")
        assert "Say what it waits for" in await go(pilot)
        assert count(loft, t.post_wait) == 0
        await type_in(pilot, "heat")
        await go(pilot, "tab")
        await type_in(pilot, "fri")
        shown = await go(pilot, "enter")
        assert "it waits (heat), look again 6 Jun 2025" in shown
        assert "✓ may go" in await go(pilot, "semicolon", "enter")

        await go(pilot, "enter", "o", "enter")
        shown = await go(pilot)
        assert "posted 4 Jun 2025, its arrival not noted (press A)" in shown
        assert "Kept from the post 4 Jun 2025 to 4 Jun 2025: heat" in shown
        await go(pilot, "A", "tab")
        await type_in(pilot, "14:30")
        assert "arrived 4 Jun 2025, 14:30" in await go(pilot, "enter")

    assert rows(loft, t.post_wait.c.why) == [("heat",), ("",)]


# --- holds and their queue ---


async def test_a_second_buyer_waits_at_a_hold_and_is_offered_the_animals_when_it_is_released(
    loft: Ledger, tmp_path: Path
) -> None:
    app = desk(loft, papers=tmp_path)
    async with app.run_test(size=SMALL) as pilot:
        shown = await go(pilot, "4", "H")
        assert "1 open hold ─" in shown
        assert "Nobody else waits." in shown
        await go(pilot, "w")
        await rest(pilot, 0.5)
        assert "hold-r-001-r1 (pdf, txt)" in picture(app)
        await go(pilot, "q", "enter")
        await type_in(pilot, "tarn")
        shown = await go(pilot, "enter")
        assert "nobody waits for their own hold" in shown
        assert count(loft, t.queue_place) == 0
        await go(pilot, *AFRESH)
        await type_in(pilot, "Nim Orrel")
        shown = await go(pilot, "enter")
        assert "Queue: 1 Nim Orrel (2, asked 4 Jun 2025)" in shown

        shown = await go(pilot, "X", "enter")
        assert "released" in shown
        await go(pilot, "1", "f")
        await type_in(pilot, "next in its queue")
        await go(pilot, "enter", "enter")
        await type_in(pilot, "fri")
        shown = await go(pilot, "enter")
        assert "held for Nim Orrel" in shown

    assert [(one.customer, one.open) for one in loft.holds(only_open=True)] == [("Nim Orrel", True)]
    assert rows(loft, t.queue_end.c.outcome) == [("offered",)]


# --- fairs ---


async def test_a_fair_is_planned_packed_sold_from_by_one_key_and_ended_with_what_the_cash_lacks(
    loft: Ledger, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("tui.places.fairs.SLIP", 0.0)
    app = desk(loft)
    async with app.run_test(size=SMALL) as pilot:
        await go(pilot, "4", "F", "n")
        await type_in(pilot, "Fenlow fair")
        await go(pilot, "tab", "tab", "tab")
        await type_in(pilot, "50")
        await go(pilot, "enter")
        shown = await go(pilot, "enter")
        assert isinstance(app.screen, FairPage)
        assert "No packs were put together for this fair." in shown

        await go(pilot, "n")
        await type_in(pilot, "A")
        await go(pilot, "tab")
        await type_in(pilot, "P08 99 L3")
        shown = await go(pilot, "enter")
        assert count(loft, t.fair_pack) == 0
        assert "P08" in shown
        await go(pilot, *AFRESH)
        await type_in(pilot, "P08 2")
        shown = await go(pilot, "enter")
        assert "say which stage" in shown
        assert "Write P08 " in shown
        assert app.focused is not None
        assert app.focused.id == "entry-picks"
        await go(pilot, *AFRESH)
        await type_in(pilot, "P08 3 L3")
        await go(pilot, "tab", *AFRESH)
        await type_in(pilot, "group of 3")
        await go(pilot, "tab", *AFRESH, "2", "tab")
        await type_in(pilot, "4")
        shown = await go(pilot, "enter")
        assert "✓ 2" in shown

        await go(pilot, "enter")
        shown = await go(pilot)
        assert count(loft, t.sale) == 2
        assert "✓ 1" in shown
        assert "ctrl-p shows its receipt" in shown
        shown = await go(pilot, "ctrl+p")
        assert "Receipt S-2025-0002" in shown
        await go(pilot, "escape")
        shown = await go(pilot, "ctrl+z")
        assert rows(loft, t.credit.c.full, t.credit.c.amount) == [(1, 400)]
        assert "✓ 2" in shown
        await go(pilot, "enter", "enter")
        assert count(loft, t.sale) == 4
        assert "has no pack" in await go(pilot, "enter")
        assert count(loft, t.sale) == 4

        assert "2 sales of 6 animals" in await go(pilot)
        shown = await go(pilot, "J")
        assert isinstance(app.screen, FairSalesPage)
        assert "S-2025-0004 3 of P08" in shown
        assert "S-2025-0002 credited: 3 of P08" in shown
        assert "Cash: float 50.00 EUR, sales in cash 8.00 EUR." in shown
        await go(pilot, "at")
        await type_in(pilot, "3.50")
        assert "0.50 EUR, 0.50 EUR given back (price written wrongly)" in await after_a_pause(pilot)
        await go(pilot, "escape", "escape")
        await go(pilot, "minus", "tab")
        await type_in(pilot, "5")
        await go(pilot, "tab", "tab", "tab", "right", "enter")
        await go(pilot, "minus", "tab")
        await fill_in(pilot, "18", "84")
        assert "Write only one of the two" in await go(pilot, "enter")
        # Letters after ctrl-r take the place of all that stands there, not of what was marked before it.
        await fill_in(pilot, "5")
        await go(pilot, "shift+tab", "shift+tab", *AFRESH)
        await type_in(pilot, "hall")
        await go(pilot, "ctrl+r")
        await type_in(pilot, "feed")
        field = app.focused
        assert isinstance(field, Input)
        assert field.value == "feed"
        await go(pilot, "ctrl+r", "tab", "tab")
        await type_in(pilot, "84")
        shown = await go(pilot, "enter")
        assert "Say what a kilometre is reckoned at" in shown
        await go(pilot)
        await type_in(pilot, "0.25")
        await go(pilot, "enter")
        await go(pilot, "Z")
        await type_in(pilot, "53")
        shown = await after_a_pause(pilot)
        assert "53.00 EUR counted, 53.00 EUR expected, as expected" in shown
        assert "Expected: float 50.00 EUR, sales in cash 8.00 EUR, costs paid from it -5.00 EUR." in shown
        await go(pilot, "tab")
        await type_in(pilot, "5")
        await go(pilot, "tab", "tab")
        await type_in(pilot, "own note changed")
        await go(pilot, "tab", "tab")
        await type_in(pilot, "counted twice")
        assert "53.00 EUR counted, 58.00 EUR expected, 5.00 EUR too little" in await after_a_pause(pilot)
        shown = await go(pilot, "enter")
        result = loft.fair_result("Fenlow fair")
        assert f"= margin {amount_text(result.margin, loft.currency)}" in shown
        assert "counted 53.00: 5.00 too little (counted twice)." in shown
        assert "over" in await go(pilot, "escape")

    assert (result.costs, result.price, result.difference) == (500 + 84 * 25, 800, -500)


async def test_two_enters_at_once_sell_one_pack_and_a_sale_soon_after_names_the_one_before(
    loft: Ledger, monkeypatch: pytest.MonkeyPatch
) -> None:
    loft.do(PlanFair("Old fair", TODAY - dt.timedelta(days=9)))
    loft.do(PlanFair("Fenlow fair", TODAY))
    loft.do(PackForFair("Fenlow fair", "A", "group of 2", (Pick("P08", 2, "L3"),), 3, 300))
    monkeypatch.setattr("tui.places.fairs.SLIP", 60.0)
    app = desk(loft)
    before = count(loft, t.sale)
    async with app.run_test(size=SMALL) as pilot:
        await go(pilot, "4", "F", "enter")
        assert isinstance(app.screen, FairPage)
        shown = await go(pilot, "enter")
        assert "Enter came twice within a second" in shown or "nothing is sold" in shown
        assert count(loft, t.sale) == before

        monkeypatch.setattr("tui.places.fairs.SLIP", 0.0)
        await go(pilot, "enter")
        monkeypatch.setattr("tui.places.fairs.SLIP", 60.0)
        shown = await go(pilot, "enter")
        assert count(loft, t.sale) == before + 1
        assert "Enter came twice within a second and counted once." in shown
        assert "2 packs A left" in shown
        monkeypatch.setattr("tui.places.fairs.SLIP", 0.0)
        shown = await go(pilot, "enter")
        assert "Just before it: S-2025-0002." in shown
        assert "local authority" not in shown

        # What is only called to mind is said once; the row is said in full, and its lot and origin are a key away.
        assert "A: 2 L3 of P08. " in shown
        # Back by the digit of the place: whoever comes may have forgotten that Enter sells here.
        await quick(pilot, "1", "4")
        assert isinstance(app.screen, FairPage)
        shown = await go(pilot, "enter")
        assert "This is Fenlow fair, where Enter sells: once more sells a pack A." in shown
        assert count(loft, t.sale) == before + 2
        await quick(pilot, "1", "4", "down")
        monkeypatch.setattr("tui.places.fairs.SLIP", 60.0)
        # What is on top goes, and the Enter that comes with it is meant for that.
        await go(pilot, "<", "escape")
        assert "nothing is sold" in await go(pilot, "enter")
        assert count(loft, t.sale) == before + 2
        monkeypatch.setattr("tui.places.fairs.SLIP", 0.0)
        assert "Where P08 comes from" in await go(pilot, "<") or "P08" in await go(pilot)
        await go(pilot, "escape")
        shown = await go(pilot, "l")
        assert isinstance(app.screen, LotPage)
        # The digit of the place shows its own page again, from however deep.
        await go(pilot, "4")
        assert isinstance(app.screen, SalesPlace)
        assert len(app.screen_stack) == 1


async def test_a_fair_just_planned_has_the_cursor_and_is_set_right_or_called_off(loft: Ledger) -> None:
    loft.do(PlanFair("Later fair", TODAY + dt.timedelta(days=30)))
    app = desk(loft)
    async with app.run_test(size=SMALL) as pilot:
        await go(pilot, "4", "F", "n")
        await type_in(pilot, "Fenlow fair")
        await go(pilot, "tab", *AFRESH)
        await type_in(pilot, "6 jun")
        await go(pilot, "enter")
        screen = app.screen
        assert isinstance(screen, FairsPage)
        assert screen.chosen == "2"
        await go(pilot, "home")
        assert screen.chosen == "1"
        await go(pilot, "end")
        assert screen.chosen == "2"
        await go(pilot, "ctrl+e", "tab", "tab", "tab", *AFRESH)
        await type_in(pilot, "80")
        shown = await go(pilot, "enter")
        assert "80.00 EUR of change taken along" in shown
        assert "80.00" in shown
        await go(pilot, "ctrl+e", "tab", "tab", "tab", "tab", "tab", "right")
        shown = await go(pilot, "enter")
        assert "is called off" in shown

    assert [one.called_off for one in loft.fairs()] == [True, False]


# --- packs ---


async def test_a_pack_over_two_lots_is_sold_at_one_price_that_is_split_and_nothing_is_free_without_a_reason(
    loft: Ledger,
) -> None:
    loft.do(AddLot("P09", "PACH", TODAY, (Arrival("opening", "L3", unsexed=4),)))
    app = desk(loft)
    async with app.run_test(size=SMALL) as pilot:
        await go(pilot, "2", "ampersand", *AFRESH)
        await type_in(pilot, "mixed box")
        await go(pilot, "tab", *AFRESH)
        await type_in(pilot, "P08 2 L3 and P09 1 L3")
        await go(pilot, "tab", *AFRESH)
        await type_in(pilot, "0")
        shown = await go(pilot, "enter")
        assert "free of charge; say why" in shown
        assert count(loft, t.sale) == 1
        await go(pilot, *("shift+tab",) * 6, *AFRESH)
        await type_in(pilot, "10")
        await go(pilot, "ctrl+y", "tab", "tab")
        await type_in(pilot, "1:3")
        shown = await after_a_pause(pilot)
        assert "10.00 EUR, 10.00 EUR paid" in shown
        assert "S-2025-0002" in await go(pilot, "enter")

    sold = rows(loft, t.sale_line.c.lot_code, t.sale_line.c.net, t.sale_line.c.pack, t.sale_line.c.origin_text)[-2:]
    assert [line[:3] for line in sold] == [("P08", 250, "mixed box"), ("P09", 750, "mixed box")]
    assert sold[0][3] != sold[1][3]


async def test_the_usual_sale_needs_no_scrolling_and_every_field_is_still_reached(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=SMALL) as pilot:
        await go(pilot, "2", "s")
        shown = await after_a_pause(pilot)
        assert "Origin: captive bred" in shown, "the whole preview stands below the fields"
        form = app.screen
        assert isinstance(form, SaleForm)
        fields = form.query_one(".fields")
        usual = [row.spec.key for row in form.rows if row.display]
        assert usual == ["count", "customer", "price", "channel", "paid", "method", "sold_on"]
        assert fields.max_scroll_y == 0
        assert "stage, sex, tub, postage" in shown

        # By post the postage is asked for; a price of 0 asks for its reason.
        await go(pilot, "tab", "tab", "tab", "p")
        assert fields.max_scroll_y == 0
        assert [row.spec.key for row in form.rows if row.display] == [*usual, "postage"]
        await go(pilot, "c", "shift+tab", "0")
        assert [row.spec.key for row in form.rows if row.display] == [*usual, "note"]

        # By mouse, by the key, and by tab and Enter every field comes in sight; a control: now it scrolls.
        await pilot.click("#button-more")
        await go(pilot)
        assert all(row.display for row in form.rows)
        assert fields.max_scroll_y > 0
        await go(pilot, "ctrl+y")
        assert not all(row.display for row in form.rows)
        await go(pilot, "ctrl+y")
        seen = set()
        for _ in form.rows:
            seen |= {row.spec.key for row in form.rows if app.focused is row.entry}
            await pilot.press("tab")
        assert "claim" in seen
        await go(pilot, "ctrl+y")
        form.set_focus(form.rows[0].entry)
        await go(pilot, *["tab"] * 8, "enter")
        assert all(row.display for row in form.rows)


async def test_what_is_left_stands_beside_the_number_as_it_is_typed_in_a_sale_and_in_a_hold(loft: Ledger) -> None:
    row = loft.ready()[0]
    app = desk(loft)
    async with app.run_test(size=SMALL) as pilot:
        await go(pilot, "2", "s", "tab", "tab")
        await fill_in(pilot, "10.00")
        await go(pilot, "shift+tab", "shift+tab")
        for asked in (2, row.ready - 1, row.ready):
            await fill_in(pilot, str(asked))
            shown = await after_a_pause(pilot)
            left = row.ready - asked
            assert f"how many {asked} then {left or 'none'} {'are' if left > 1 else 'is'} left" in shown

        # More than there are: the reason, and nothing is left beside it.
        await fill_in(pilot, str(row.ready + 1))
        shown = await after_a_pause(pilot)
        assert f"only {row.ready}" in shown
        assert "left" not in shown.partition("only")[0]

        await go(pilot, "escape", "h")
        await fill_in(pilot, "3", "Velo", "fri")
        assert f"how many 3 then {row.ready - 3} are left" in await after_a_pause(pilot)


async def test_the_tub_is_asked_for_where_the_animals_lie_apart_and_no_tub_is_an_answer(loft: Ledger) -> None:
    loft.do(Record("P08", (Move("tub moved", 6, stage="L3", to_tub="2"),), TODAY))
    (row,) = [row for row in loft.ready() if (row.lot, row.stage) == ("P08", "L3")]
    app = desk(loft)
    async with app.run_test(size=SMALL) as pilot:
        await go(pilot, "2", "s")
        shown = await after_a_pause(pilot)
        form = app.screen
        assert isinstance(form, SaleForm)
        assert "tub" in [entry.spec.key for entry in form.rows if entry.display]
        loose = row.ready - 6
        assert f"{loose} in no tub, 6 in tub 2" in shown

        form.set_focus(next(entry.entry for entry in form.rows if entry.spec.key == "tub"))
        await type_in(pilot, "n")
        await go(pilot, "right")
        assert isinstance(app.focused, Input)
        assert app.focused.value == "no tub"
        await go(pilot, "enter")

    with loft.store.reading() as conn:
        tubs = {held.tub: held.count for held in stock_on(conn) if (held.lot, held.stage) == ("P08", "L3")}
    assert tubs == {"": loose - 1, "2": 6}


async def test_a_second_line_is_refused_beside_the_field_it_is_written_in_which_stays_in_sight(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=SMALL) as pilot:
        await go(pilot, "2", "s", "ctrl+y")
        form = app.screen
        assert isinstance(form, SaleForm)
        more = next(entry for entry in form.rows if entry.spec.key == "more")
        form.set_focus(more.entry)
        await type_in(pilot, "P0")
        await go(pilot, "right")
        assert more.typed == "P01"
        await type_in(pilot, " 1 adult at 5.00")
        await go(pilot, "enter")
        assert more.wrong
        assert "P01 is kept for breeding" in str(more.render())
        # What would be sold now takes many lines: the field that is typed in is still there.
        await go(pilot, *AFRESH)
        await type_in(pilot, "P08 2 cocoon at 5.00")
        await after_a_pause(pilot)
        assert form.query_one(".fields").region.contains_region(more.entry.region)


async def test_a_deposit_is_read_back_while_it_is_typed_after_the_field_was_left(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=SMALL) as pilot:
        await go(pilot, "2", "h", *["tab"] * 4, "shift+tab")
        await type_in(pilot, "5,00")
        assert "5,00 5.00 EUR" in await go(pilot)


@pytest.mark.parametrize(
    ("typed", "tub"),
    [
        *(("", None), ("any", None), ("no tub", ""), ("In no tub", ""), ("none", ""), ("-", "")),
        *(("2", "2"), ("tub 2", "2"), ("in tub f05", "f05"), ("NONE.1", "NONE.1")),
    ],
)
def test_a_tub_is_read_as_a_keeper_says_it(typed: str, tub: str | None) -> None:
    assert tub_of()(typed) == tub
    assert tub_of(["NONE"])("none") == "none"


async def test_what_is_left_of_each_lot_stands_beside_the_animals_of_a_pack(loft: Ledger) -> None:
    young = next(row for row in loft.ready() if (row.lot, row.stage) == ("P08", "L3"))
    loft.do(AddLot("P30", "PACH", TODAY, (Arrival("bought", "L3", 4),)))
    app = desk(loft)
    async with app.run_test(size=SMALL) as pilot:
        await go(pilot, "2", "ampersand", "tab", "tab")
        await fill_in(pilot, "10.00")
        await go(pilot, "shift+tab", "shift+tab")
        await fill_in(pilot, "mixed box", "P08 3 L3")
        assert f"P08 3 L3 then {young.ready - 3} are left" in await after_a_pause(pilot)

        assert isinstance(app.focused, Input)
        app.focused.value = "P08 2 L3 and P30 4 L3"
        assert f"then left: P08 {young.ready - 2}, P30 0" in await after_a_pause(pilot)

        # More than there are: the reason, and nothing is left beside it.
        app.focused.value = f"P08 {young.ready + 1} L3"
        shown = await after_a_pause(pilot)
        assert f"only {young.ready}" in shown
        assert "then" not in shown.partition("only")[0]


async def test_a_price_of_nought_is_sold_with_its_reason_in_the_note(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=SMALL) as pilot:
        await go(pilot, "2", "s", "tab", "tab")
        await type_in(pilot, "0")
        await go(pilot, "enter")
        assert count(loft, t.sale) == 1
        await type_in(pilot, "a sample")
        assert "0.00 EUR" in await go(pilot, "enter")

    assert rows(loft, t.sale.c.note)[-1] == ("Line 1 free of charge: a sample.",)


async def test_a_discount_and_a_weaker_origin_are_said_on_the_sale_and_a_stronger_one_is_refused(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=SMALL) as pilot:
        await go(pilot, "2", "s", "tab", "tab")
        await fill_in(pilot, "10.00")
        await pilot.press("ctrl+y", *["tab"] * 7)
        await fill_in(pilot, "1.50", "F2")
        await go(pilot, "enter")
        assert isinstance(app.screen, SaleForm)
        assert count(loft, t.sale) == 1
        await fill_in(pilot, "not known")
        assert "8.50 EUR" in await go(pilot, "enter")

    line = t.sale_line.c
    assert rows(loft, line.price, line.discount, line.net, line.origin_code, line.origin_lowered)[-1] == (
        *(1000, 150, 850),
        *("UNK", 1),
    )


# --- without money ---


async def test_animals_are_given_lent_and_swapped_and_the_loan_comes_back(loft: Ledger, tmp_path: Path) -> None:
    app = desk(loft, papers=tmp_path)
    async with app.run_test(size=SMALL) as pilot:
        assert "Nothing was given away or lent." in await go(pilot, "4", "g")
        await go(pilot, "n", "enter")
        await type_in(pilot, "P08 99 L3")
        # Asked for from another field, the refusal stands beside the animals and takes the keys there.
        await go(pilot, "tab", "enter")
        assert app.focused is not None
        assert app.focused.id == "entry-picks"
        assert count(loft, t.giving) == 0
        await go(pilot, *AFRESH)
        await type_in(pilot, "P08 2 L3")
        await go(pilot, "tab", "right", "tab")
        await type_in(pilot, "Fenlow School")
        assert "2 of P08" in await go(pilot, "enter")

        await go(pilot, "n", "down", "enter")
        await type_in(pilot, "P08")
        await go(pilot, "tab")
        await type_in(pilot, "P08 0.1 adult")
        await go(pilot, "tab")
        await type_in(pilot, "P08L")
        await go(pilot, "tab")
        await type_in(pilot, "Nim Orrel")
        shown = await go(pilot, "enter")
        assert "1 lent out" in shown
        assert "P08L lent to Nim Orrel" in await go(pilot, "up")
        await go(pilot, "w", "down", "down", "enter")
        await rest(pilot, 0.5)
        assert "loan-p08l-r1 (pdf, txt), provenance-" in app.answer.sentence
        shown = await go(pilot, "enter", "enter")
        assert "0 lent out" in shown

        await go(pilot, "n", "down", "down", "enter")
        await type_in(pilot, "P08 2 L3")
        await go(pilot, "tab")
        await type_in(pilot, "Tarn")
        await go(pilot, "tab")
        await type_in(pilot, "3")
        await go(pilot, "tab")
        await type_in(pilot, "X05")
        await go(pilot, "tab")
        await type_in(pilot, "HIER")
        await go(pilot, "tab")
        await type_in(pilot, "2 L1-3 nymph")
        await go(pilot, "enter")
        shown = await go(pilot, "escape")
        assert "S-2025-0002" in shown
        shown = await go(pilot, "up", "enter")
        assert "Tarn, swap" in shown
        assert "Came in against it: 2 L1-3 nymphs, lot X05, at 3.00" in shown

    assert rows(loft, t.giving.c.kind) == [("sample",)]
    assert [(one.lot, one.back_on) for one in loft.loans()] == [("P08L", TODAY)]
    assert rows(loft, t.payment.c.amount, t.payment.c.method)[-1] == (300, "swap")
    assert [row.animals for row in loft.lots() if row.code == "X05"] == [2]
    for stem in ("provenance", "loan"):
        assert {path.suffix for path in tmp_path.glob(f"{stem}-*")} == {".pdf", ".txt"}
    (loan,) = tmp_path.glob("loan-*.txt")
    assert "Lent to: Nim Orrel" in " ".join(loan.read_text("utf-8").split())


# --- what is owed, and prices ---


async def test_what_is_owed_both_ways_is_listed_and_paid_there(loft: Ledger) -> None:
    loft.do(Sell((LineOf("P08", 2, stage="L3"),), TODAY, "Nim Orrel", paid=(Paid(100),)))
    app = desk(loft)
    async with app.run_test(size=SMALL) as pilot:
        shown = await go(pilot, "4", "B")
        assert "by buyers 2.00 · to buyers 2.00 EUR" in shown
        assert "deposit held" in shown
        await go(pilot, "p", "enter")
        assert "by buyers 0.00 · to buyers 2.00 EUR" in await go(pilot)
        await go(pilot, "p")
        assert "X decides on it" in await go(pilot)

    assert rows(loft, t.payment.c.amount)[-1] == (200,)


async def test_the_price_list_is_leafed_through_by_the_days_on_which_it_changed(loft: Ledger, tmp_path: Path) -> None:
    loft.do(SetPrice("PACH", "L3", 180, dt.date(2025, 7, 1)))
    app = desk(loft, papers=tmp_path)
    async with app.run_test(size=SMALL) as pilot:
        shown = await go(pilot, "2", "P")
        assert "1.50" in shown
        assert "Prices change on 1 Jul 2025 (→)." in shown
        shown = await go(pilot, "right")
        assert "1.80" in shown
        assert "on 1 Jul 2025" in shown
        assert "No later change of prices is on record." in await go(pilot, "right")
        assert "1.50" in await go(pilot, "left")
        await go(pilot, "at")
        await type_in(pilot, "2.10")
        await go(pilot, "tab", "tab", "tab", "tab", *AFRESH)
        await type_in(pilot, "1 aug")
        assert "Prices change on 1 Jul 2025" in await go(pilot, "enter")
        await go(pilot, "w")
        await rest(pilot, 0.5)
        assert "Written into" in picture(app)

    assert rows(loft, t.price.c.amount, t.price.c.pack, t.price.c.from_on)[-1] == (210, "single", dt.date(2025, 8, 1))
    assert {path.suffix for path in tmp_path.glob("price*")} == {".pdf", ".txt"}


# --- all of them ---


def test_only_a_pack_at_a_fair_and_a_round_read_through_are_recorded_without_a_form_and_both_by_enter() -> None:
    folder = Path(tui.places.__path__[0])

    recording = sorted(path.name for path in folder.glob("*.py") if "desk.record(" in path.read_text("utf-8"))

    assert recording == ["fairs.py", "round.py"]
    assert all((folder / name).read_text("utf-8").count("desk.record(") == 1 for name in recording)
    assert {act.key for act in RoundPage.ACTS if act.name == "record"} == {"enter"}
    assert {act.key for act in FairPage.ACTS if act.name == "sell_pack"} == {"enter"}


def test_a_key_means_the_same_on_every_page_about_sales() -> None:
    acts: dict[str, set[str]] = {}
    for page in (
        SalesPlace,
        SalePage,
        ParcelsPage,
        OwedPage,
        HoldsPage,
        FairsPage,
        FairPage,
        FairSalesPage,
        GivenPage,
        *PEOPLE,
    ):
        for act in page.ACTS:
            for key in act.key.split(","):
                acts.setdefault(key, set()).add(act.name)

    differing = {key: names for key, names in acts.items() if len(names) > 1}

    # Enter does what a row is for, escape leaves it, n makes a new one of what is listed, s sells from what is there.
    assert set(differing) == {"enter", "escape", "n", "s"}


# --- origins stated wrongly ---


async def test_a_sale_whose_origin_was_lowered_later_is_listed_and_its_buyer_told_there(
    loft: Ledger, tmp_path: Path
) -> None:
    app = desk(loft, papers=tmp_path)
    async with app.run_test(size=SMALL) as pilot:
        await go(pilot, "4", "N")
        await rest(pilot, 0.3)
        assert "Every sale states what the records still give." in await go(pilot, "escape", "N")
        loft.do(LowerOrigin("P08", "UNK", "tubs were mixed up", TODAY))
        await go(pilot, "escape", "N")
        await rest(pilot, 0.3)
        shown = await go(pilot)
        assert f"S-2025-0001 10 May 2025 {HOSTILE_BUYER} 1 P08 ! not yet (N)" in shown
        assert "By our records now: not known" in shown
        assert "No note was written for S-2025-0001 yet" in await go(pilot, "w")
        await go(pilot, "N")
        await type_in(pilot, "tubs were mixed up")
        await go(pilot, "enter")
        await rest(pilot, 0.3)
        assert "✓ 4 Jun 2025" in await go(pilot, "w")
        await rest(pilot, 0.5)

    assert rows(loft, t.correction_note.c.why) == [("tubs were mixed up",)]
    assert {path.suffix for path in tmp_path.glob("correction-*")} == {".pdf", ".txt"}


# --- who bought ---


async def test_a_customer_is_found_by_letters_shown_with_all_on_record_changed_and_erased_only_when_named(
    loft: Ledger,
) -> None:
    loft.do(Sell((LineOf("P08", 2, stage="L3"),), TODAY, "Nim Orrel", paid=(Paid(100),)))
    app = desk(loft)
    async with app.run_test(size=SMALL) as pilot:
        shown = await go(pilot, "4", "j")
        assert f"{HOSTILE_BUYER} retail 1 10 May 2025 6.00" in shown
        assert "Nim Orrel retail 1 4 Jun 2025 3.00 2.00" in shown
        assert "3 customers" in shown
        await go(pilot, "f")
        await type_in(pilot, "orr")
        shown = await go(pilot, "enter")
        assert "only what holds “orr”: 1" in shown
        await go(pilot, "z", "enter")
        await type_in(pilot, "4 Mill Lane / Fenlow")
        await go(pilot, "tab", "right")
        shown = await go(pilot, "enter")
        assert "Nim Orrel: 4 Mill Lane, Fenlow." in shown
        assert rows(loft, t.customer.c.contact, t.customer.c.kind, name="Nim Orrel") == [
            ("4 Mill Lane\nFenlow", "trade")
        ]

        shown = await go(pilot, "enter")
        assert "4 Jun 2025 S-2025-0002 2 L3 P08 3.00 2.00 ! unpaid" in shown
        assert "1 sale, 3.00 EUR · owe 2.00" in shown
        await go(pilot, "z", "down", "enter")
        shown = await after_a_pause(pilot)
        assert "Money is still owed on S-2025-0002" in shown
        await go(pilot, "escape", "p", "enter")
        await go(pilot, "z", "down", "enter")
        shown = await after_a_pause(pilot)
        assert "name, contact and remarks erased for good; 1 sale and their origins stay" in shown
        assert "Rules on invoices" in shown

        shown = await go(pilot, "enter")
        assert "Nothing was erased: type Nim Orrel here" in shown
        await type_in(pilot, "Nim Orre")
        await go(pilot, "enter", "escape", "z", "down", "enter")
        shown = await go(pilot, "enter")
        assert "Nothing was erased" in shown
        assert rows(loft, t.customer.c.erased_on, name="Nim Orrel") == [(None,)]

        app.drafts.keep("hold:P08", {"customer": "nim orrel"})
        await type_in(pilot, "Nim Orrel")
        shown = await go(pilot, "enter")
        assert app.drafts.get("hold:P08") == {}
        assert "Not reached: backups, archives, files, papers and messages made before" in shown
        shown = await go(pilot, "escape", "escape")
        assert "2 customers" in shown

    assert rows(loft, t.customer.c.erased_on, name="Nim Orrel") == []
    assert rows(loft, t.sale.c.customer_name)[-1] == ("",)
    assert rows(loft, t.sale_line.c.origin_text)[-1][0]


async def test_a_sale_is_found_by_what_it_sold_and_what_is_to_do(loft: Ledger) -> None:
    loft.do(Sell((LineOf("P08", 1, 450, stage="adult", sex="female"),), TODAY, "Nim Orrel", "post", to_post=True))
    app = desk(loft)
    async with app.run_test(size=SMALL) as pilot:
        await go(pilot, "4", "f")
        for typed, found in {
            "sun": 2,
            "pach l3": 1,
            "marginata adult": 1,
            "female": 1,
            "P08": 2,
            "orrel": 1,
            "S-2025-2": 1,
            "post": 1,
            "settled": 1,
            "post female orr": 1,
            "mantid": 0,
            "post l3": 0,
        }.items():
            await go(pilot, *AFRESH)
            await type_in(pilot, typed)
            shown = await go(pilot)
            said = f"only what holds “{typed}”: {found}" if found else f"Nothing here holds “{typed}”"
            assert said in shown, (typed, shown)


async def test_what_cannot_be_sold_is_refused_on_the_screen_in_one_sentence_and_nothing_changes(loft: Ledger) -> None:
    wild = OriginStatement("WC", supplier="Nib")
    loft.do(AddLot("W01", "PACH", TODAY, (Arrival("bought", "L3", unsexed=4, value=400),), origin=wild))
    loft.do(Sell((LineOf("P08", 1, stage="L3"),), TODAY, "Nim Orrel"))
    loft.do(CreditSale("S-2025-0002", TODAY, "entered by mistake"))
    before = count(loft, t.operation)
    app = desk(loft)
    async with app.run_test(size=SMALL) as pilot:
        await go(pilot, "2", "s")
        await fill_in(pilot, "99")
        shown = await go(pilot, "enter")
        assert "! P08 has only 10 L3" in shown
        await go(pilot, "ctrl+r", "tab", "tab")
        await fill_in(pilot, "0")
        shown = await go(pilot, "enter")
        assert "free of charge; say why" in shown
        await go(pilot, "ctrl+r", "ctrl+y", *["tab"] * 8)
        await fill_in(pilot, "F3")
        shown = await go(pilot, "enter")
        assert "cannot be said here" in shown
        await go(pilot, "ctrl+r", "escape", "ampersand", *AFRESH)
        await fill_in(pilot, "mixed box", "P08 2 L3 and W01 2 L3", "9")
        shown = await go(pilot, "enter")
        assert "mixed box would mix animals of wild origin (W01) with captive-bred ones (P08)" in shown
        shown = await go(pilot, "ctrl+r", "escape", "4", "p")
        assert "S-2025-0002 was credited in full; nothing is owed on it." in shown

        # The hold lapses while the form that takes it up is open, and on the list.
        await go(pilot, "H", "s")
        loft._clock = lambda: dt.datetime(2025, 6, 7, 9, 0)
        shown = await go(pilot, "enter")
        assert "! R-001 for Tarn lapsed on Fri 6 Jun, 18:00 and its animals are free again" in shown
        shown = await go(pilot, "escape", "escape", "H", "s")
        assert "R-001 is lapsed; its animals are sold from 2 Ready." in shown

    assert count(loft, t.operation) == before
    assert count(loft, t.sale) == 2
