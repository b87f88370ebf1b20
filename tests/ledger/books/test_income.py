"""The income on both bases, against what was worked out by hand."""

from __future__ import annotations

import datetime as dt

import pytest

from ledger.books import lines
from ledger.books.commands import CloseYear
from ledger.books.income import Income, IncomeLine, income
from ledger.books.material import material
from ledger.books.paper_rows import GIVEN_BACK, Papers
from ledger.books.sources import BOUGHT, RAISED
from ledger.costs.commands import Dispose, PayCost, RefundCost, ReverseCost, Spend
from ledger.selling.commands import (
    Charge,
    CreditLine,
    CreditSale,
    DecideDeposit,
    LineOf,
    Paid,
    Pick,
    PlaceHold,
    PostSale,
    Sell,
    SellingCost,
    Swap,
    TakePayment,
)
from ledger.stock.commands import AddLot, AddSpecies, Arrival, Move, OriginStatement, Record
from tests.exports.small_business import Story

Day = dt.date


def _bought(code: str, on: Day, count: int, value: int, stage: str = "L3") -> AddLot:
    return AddLot(
        code, "PACH", on, (Arrival("bought", stage, unsexed=count, value=value),), origin=OriginStatement("CBU")
    )


def _worked_by_hand(story: Story) -> None:
    """Ten larvae for 10.00; feed of 0.10 a day in March; four sold, one for own use; equipment of 0.10 a day."""
    say = story.say
    story.clock.today = Day(2024, 3, 1)
    say("2024-03-01", lambda on: AddSpecies("PACH", "pachnoda-marginata"))
    say("2024-03-01", lambda on: _bought("B01", on, 10, 1000))
    say("2024-03-01", lambda on: Spend(on, "feed", 310, window_to=Day(2024, 3, 31)))
    say("2024-04-10", lambda on: Sell((LineOf("B01", 4, 2000, stage="L3"),), on, customer="Tarn"), "sale")
    say("2024-04-20", lambda on: Record("B01", (Move("own use", 1, stage="L3"),), on))
    say("2024-07-01", lambda on: Spend(on, "incubator", 3650, kind="lasting", life_days=365), "incubator")


def _by_number(rows: tuple[IncomeLine, ...]) -> dict[int, tuple[int | None, int | None]]:
    return {row.number: (row.cash, row.accruals) for row in rows if row.cash or row.accruals}


def _of(story: Story, year: int) -> Income:
    found = story.ledger.ask(income, year)
    assert found.agrees
    return found


def test_a_year_worked_by_hand_has_each_line_on_both_bases(story: Story) -> None:
    _worked_by_hand(story)

    found = _of(story, 2024)

    # An animal has cost 100 + 31 = 131 by the end of March. From 1 July to the end of the year are 184 days, so the
    # incubator has given 1840 to the five that are left (5 x 131 + 1840 = 2495) and 1810 are left of it.
    assert _by_number(found.lines) == {
        120: (0, 2000),
        lines.ANIMALS_BOUGHT: (-1000, -1000),
        lines.EQUIPMENT_BOUGHT: (-3650, -3650),
        lines.RUNNING: (-310, -310),
        lines.STOCK_CHANGE: (None, 2495),
        lines.EQUIPMENT_CHANGE: (None, 1810),
    }
    assert (found.cash_result, found.accruals_result) == (-4960, 1345)
    assert _by_number(found.again) == {
        lines.INCOME_AGAIN: (None, 2000),
        lines.COST_OF_SOLD[BOUGHT]: (None, -524),
        lines.COST_OWN_USE: (None, -131),
        lines.RESULT_AGAIN: (None, 1345),
    }
    assert _by_number(found.bridge) == {
        lines.CASH_RESULT: (None, -4960),
        lines.OWED_BY_CUSTOMERS: (None, 2000),
        lines.BRIDGE_STOCK: (None, 2495),
        lines.BRIDGE_EQUIPMENT: (None, 1810),
        lines.BRIDGE_RESULT: (None, 1345),
    }


def test_on_the_cash_basis_neither_stock_nor_its_loss_touches_the_result(story: Story) -> None:
    _worked_by_hand(story)
    before = _of(story, 2024)

    story.say("2024-12-01", lambda on: Record("B01", (Move("died", 5, stage="L3", cause="exceptional"),), on))
    after = _of(story, 2024)

    assert after.cash_result == before.cash_result
    # Written off: 5 x 131 and the 1530 of the 153 days to the end of November; the 31 days of December have no animals.
    assert _by_number(after.again)[lines.WRITTEN_OFF] == (None, -(655 + 1530))
    assert _by_number(after.again)[lines.NO_ANIMALS] == (None, -310)
    assert after.accruals_result == before.accruals_result - 2495


def test_the_next_year_starts_where_the_last_one_ended(story: Story) -> None:
    _worked_by_hand(story)
    story.say("2025-01-15", lambda on: TakePayment(story.number("sale"), 1200, on))
    story.say("2025-02-10", lambda on: Dispose(int(story.refs["incubator"].refs["cost"]), on, 1000))

    found = _of(story, 2025)

    # 40 days to the end of 9 February give 400 to the animals; 1410 are left, for which 1000 come in.
    assert _by_number(found.lines) == {
        120: (1200, 0),
        lines.PROCEEDS: (1000, 1000),
        lines.STOCK_CHANGE: (None, 400),
        lines.EQUIPMENT_CHANGE: (None, -1810),
    }
    assert (found.cash_result, found.accruals_result) == (2200, -410)
    assert _by_number(found.again)[lines.DISPOSED] == (None, -410)
    assert _by_number(found.bridge)[lines.OWED_BY_CUSTOMERS] == (None, -1200)


def _stocked(story: Story) -> None:
    story.say("2024-11-01", lambda on: AddSpecies("PACH", "pachnoda-marginata"))
    story.say("2024-11-01", lambda on: _bought("B01", on, 30, 3000))
    story.say(
        "2024-11-01",
        lambda on: AddLot("C01", "PACH", on, (Arrival("collected", "L3", unsexed=10),), origin=OriginStatement("WC")),
    )


def test_a_parcel_over_the_year_end_is_paid_ahead_and_earned_when_posted(story: Story) -> None:
    _stocked(story)
    story.say(
        "2024-12-28",
        lambda on: Sell(
            (LineOf("B01", 3, 900, stage="L3"),),
            on,
            customer="Linnet",
            channel="post",
            to_post=True,
            charges=(Charge("postage", 600),),
            paid=(Paid(1500),),
        ),
        "parcel",
    )
    story.say("2025-01-05", lambda on: PostSale(story.number("parcel"), on, (SellingCost("postage", 480),)))

    old, new = _of(story, 2024), _of(story, 2025)

    assert _by_number(old.lines)[120] == (900, 0)
    assert _by_number(old.lines)[lines.CHARGES] == (600, 0)
    assert _by_number(old.bridge)[lines.PAID_AHEAD] == (None, -1500)
    assert lines.COST_OF_SOLD[BOUGHT] not in _by_number(old.again)
    assert _by_number(new.lines)[120] == (0, 900)
    assert _by_number(new.lines)[lines.CHARGES] == (0, 600)
    assert _by_number(new.lines)[lines.SELLING] == (-480, -480)
    assert _by_number(new.bridge)[lines.PAID_AHEAD] == (None, 1500)
    assert _by_number(new.again)[lines.COST_OF_SOLD[BOUGHT]] == (None, -300)


def test_deposits_are_cash_when_received_and_income_only_when_kept(story: Story) -> None:
    _stocked(story)
    say = story.say
    for name, until in (("kept", "2024-12-05"), ("back", "2024-12-05"), ("used", "2025-12-31"), ("held", "2025-12-31")):
        pick = Pick("B01", 2, stage="L3")
        say("2024-12-01", lambda on, name=name, until=until, pick=pick: PlaceHold(name, (pick,), on, until, 500), name)
    say("2024-12-10", lambda on: DecideDeposit(story.number("kept"), "kept", on))
    say("2024-12-10", lambda on: DecideDeposit(story.number("back"), "refunded", on))
    say(
        "2024-12-20",
        lambda on: Sell(
            (LineOf("B01", 2, 800, stage="L3"),), on, customer="used", hold=story.number("used"), paid=(Paid(300),)
        ),
    )

    found = _of(story, 2024)

    assert _by_number(found.lines)[lines.DEPOSITS] == (1500, 500)
    assert _by_number(found.lines)[120] == (300, 800)
    assert _by_number(found.bridge)[lines.DEPOSITS_HELD] == (None, -500)
    assert lines.OWED_BY_CUSTOMERS not in _by_number(found.bridge)


@pytest.mark.parametrize("later", [False, True])
def test_what_is_given_back_for_dead_animals_comes_off_the_animals_and_not_off_the_postage(
    story: Story, later: bool
) -> None:
    """9.00 of animals and 6.00 of postage, in three parts: paid 5.00, then 10.00, and 3.00 given back for one."""
    _stocked(story)
    say = story.say
    line, postage = LineOf("B01", 3, 900, stage="L3"), Charge("postage", 600)
    say("2024-12-01", lambda on: Sell((line,), on, "Linnet", "post", (postage,), to_post=True, paid=(Paid(500),)), "s")
    say("2024-12-02", lambda on: PostSale(story.number("s"), on))
    say("2024-12-03", lambda on: TakePayment(story.number("s"), 1000, on))
    credit_day = "2024-12-05" if later else "2024-12-03"
    say(credit_day, lambda on: CreditSale(story.number("s"), on, "one dead", (CreditLine(1, 300, 1),)))
    with story.ledger.store.reading() as conn:
        receipts = Papers(conn, material(conn, 2024)).receipt_rows()

    assert [(row.how, row.line, row.cash) for row in receipts if row.how == GIVEN_BACK] == [(GIVEN_BACK, 120, -300)]
    found = _by_number(_of(story, 2024).lines)
    assert (found[120], found[lines.CHARGES]) == ((600, 600), (600, 600))


def test_a_swap_is_earned_and_spent_without_cash(story: Story) -> None:
    _stocked(story)
    coming = AddLot(
        "S01",
        "PACH",
        Day(2024, 12, 1),
        (Arrival("swapped in", "L2", unsexed=5),),
        origin=OriginStatement("CF"),
    )
    story.say("2024-12-01", lambda on: Swap((Pick("C01", 2, stage="L3"),), coming, 700, on, partner="Alder"))

    found = _of(story, 2024)

    assert _by_number(found.lines)[110] == (0, 700)
    assert _by_number(found.lines)[lines.ANIMALS_BOUGHT] == (-3000, -3700)
    assert _by_number(found.bridge)[lines.SWAPS_OUT] == (None, 700)
    assert _by_number(found.bridge)[lines.SWAPS_IN] == (None, -700)
    assert found.cash_result == -3000


def test_what_is_raised_and_what_is_bought_in_stay_apart_on_both_bases(story: Story) -> None:
    _stocked(story)
    story.say(
        "2024-12-01",
        lambda on: Sell(
            (LineOf("B01", 1, 1000, stage="L3"), LineOf("C01", 1, 500, stage="L3")),
            on,
            customer="Tarn",
            charges=(Charge("postage", 100),),
        ),
        "sale",
    )
    for amount in (533, 1, 1066):
        story.say("2024-12-02", lambda on, amount=amount: TakePayment(story.number("sale"), amount, on))

    found = _of(story, 2024)

    assert _by_number(found.lines)[110] == (500, 500)
    assert _by_number(found.lines)[120] == (1000, 1000)
    # Those bought in cost 100 each; those raised here carry nothing.
    assert _by_number(found.again)[lines.COST_OF_SOLD[BOUGHT]] == (None, -100)
    assert lines.COST_OF_SOLD[RAISED] not in _by_number(found.again)
    assert _by_number(found.lines)[lines.CHARGES] == (100, 100)


@pytest.mark.parametrize("closed", [False, True])
def test_a_sale_taken_back_leaves_the_books_together_with_its_animals(story: Story, closed: bool) -> None:
    _stocked(story)
    story.say(
        "2024-12-20",
        lambda on: Sell((LineOf("B01", 3, 900, stage="L3"),), on, customer="Tarn", paid=(Paid(900),)),
        "sale",
    )
    if closed:
        story.say("2025-01-08", lambda on: CloseYear(2024, on))
    before = _of(story, 2024)
    story.say("2025-01-10", lambda on: CreditSale(story.number("sale"), on, "entered by mistake"))

    old, new = _of(story, 2024), _of(story, 2025)

    if closed:
        assert old == before
        assert _by_number(old.lines)[120] == (900, 900)
        assert _by_number(new.lines)[120] == (-900, -900)
        assert _by_number(new.again)[lines.COST_OF_SOLD[BOUGHT]] == (None, 300)
    else:
        # Open still: neither the sale nor the cost of its animals was ever there; the money is to be given back.
        assert _by_number(old.lines)[120] == (900, 0)
        assert lines.COST_OF_SOLD[BOUGHT] not in _by_number(old.again)
        assert _by_number(old.bridge)[lines.PAID_AHEAD] == (None, -900)
        assert _by_number(new.lines)[120] == (-900, 0)


def test_a_sale_credited_before_it_is_posted_is_never_earned(story: Story) -> None:
    _stocked(story)
    story.say(
        "2024-12-20",
        lambda on: Sell((LineOf("B01", 3, 900, stage="L3"),), on, customer="Tarn", to_post=True, channel="post"),
        "sale",
    )
    story.say("2024-12-21", lambda on: CreditSale(story.number("sale"), on, "changed her mind"))

    found = _of(story, 2024)

    assert _by_number(found.lines) == {
        lines.ANIMALS_BOUGHT: (-3000, -3000),
        lines.STOCK_CHANGE: (None, 3000),
    }


def test_animals_credited_before_the_parcel_goes_are_not_counted_as_sold(story: Story) -> None:
    _stocked(story)
    say = story.say
    line = LineOf("B01", 30, 9000, stage="L3")
    say("2024-12-20", lambda on: Sell((line,), on, customer="Tarn", to_post=True, channel="post"), "sale")
    say("2024-12-21", lambda on: Record("B01", (Move("died", 1, stage="L3", cause="exceptional"),), on))
    say("2024-12-21", lambda on: CreditSale(story.number("sale"), on, "died", (CreditLine(1, 300, count=1),)))
    say("2024-12-22", lambda on: PostSale(story.number("sale"), on))
    with story.ledger.store.reading() as conn:
        rows = Papers(conn, material(conn, 2024)).sales_rows()

    assert [(row.kind, row.animals, row.net) for row in rows] == [("animals", 30, 9000), ("credit", -1, -300)]
    assert _by_number(_of(story, 2024).again)[lines.COST_OF_SOLD[BOUGHT]] == (None, -2900)


def test_mixed_use_payments_refunds_and_takings_back_count_by_the_business_part(story: Story) -> None:
    _stocked(story)
    say = story.say
    say("2024-11-10", lambda on: Spend(on, "heat", 1000, share=3333, unpaid=True, window_to=Day(2024, 12, 31)), "heat")
    number = int(story.refs["heat"].refs["cost"])
    say("2024-11-11", lambda on: PayCost(number, on, 334))
    say("2024-11-12", lambda on: PayCost(number, on, 333))
    say("2025-01-11", lambda on: PayCost(number, on, 333))
    say("2024-11-20", lambda on: Spend(on, "feed", 600, window_to=Day(2024, 12, 31)), "feed")
    say("2024-11-21", lambda on: RefundCost(int(story.refs["feed"].refs["cost"]), on, 150))
    say("2024-11-22", lambda on: Spend(on, "feed", 777, window_to=Day(2024, 12, 31)), "wrong")
    say("2024-11-23", lambda on: ReverseCost(int(story.refs["wrong"].refs["cost"])))

    old, new = _of(story, 2024), _of(story, 2025)

    # 33.33 % of 1000 is 333; of what was paid up to then, 667/1000 of that: 222.
    assert _by_number(old.lines)[lines.RUNNING + 1] == (-222, -333)
    assert _by_number(old.lines)[lines.RUNNING] == (-450, -450)
    assert _by_number(new.lines)[lines.RUNNING + 1] == (-111, 0)
    assert _by_number(old.bridge)[lines.OWED_TO_SUPPLIERS] == (None, -111)


def test_a_cost_taken_back_after_its_year_was_closed_counts_the_other_way_in_the_next(story: Story) -> None:
    _stocked(story)
    say = story.say
    say("2024-11-20", lambda on: Spend(on, "feed", 600, window_to=Day(2024, 12, 31)), "feed")
    say("2024-11-25", lambda on: RefundCost(int(story.refs["feed"].refs["cost"]), on, 200))
    say("2025-01-08", lambda on: CloseYear(2024, on))
    before = _of(story, 2024)
    say("2025-01-10", lambda on: ReverseCost(int(story.refs["feed"].refs["cost"])))

    assert _of(story, 2024) == before
    assert _by_number(before.lines)[lines.RUNNING] == (-400, -400)
    assert _by_number(_of(story, 2025).lines)[lines.RUNNING] == (400, 400)
    # The animals keep the 4.00 they carried when 2024 was closed, so what comes back is a gain of 2025 ...
    assert (before.accruals_result, _of(story, 2025).accruals_result) == (0, 400)

    say("2025-02-01", lambda on: Sell((LineOf("B01", 30, 5000), LineOf("C01", 10, 1000)), on))

    # ... and when they leave, it has come to nothing: 60.00 for animals that were bought for 30.00.
    assert _of(story, 2024).accruals_result + _of(story, 2025).accruals_result == 6000 - 3000


def test_equipment_taken_back_after_a_refund_and_its_disposal_leaves_nothing_behind(story: Story) -> None:
    _stocked(story)
    say = story.say
    say("2024-11-20", lambda on: Spend(on, "rack", 1000, kind="lasting", life_days=100, residual=200), "rack")
    number = int(story.refs["rack"].refs["cost"])
    say("2024-11-25", lambda on: RefundCost(number, on, 100))
    say("2024-12-10", lambda on: Dispose(number, on, 300))
    say("2025-01-08", lambda on: CloseYear(2024, on))
    say("2025-01-10", lambda on: ReverseCost(number))

    old, new = _of(story, 2024), _of(story, 2025)

    # 7 a day for the 20 days to 9 December; 560 and the residual 200 are left, for which 300 come in.
    assert _by_number(old.again) == {lines.DISPOSED: (None, 300 - 760), lines.RESULT_AGAIN: (None, -460)}
    assert _by_number(old.lines)[lines.STOCK_CHANGE] == (None, 3000 + 140)
    assert _by_number(new.lines)[lines.EQUIPMENT_BOUGHT] == (900, 900)
    assert _of(story, 2025).accruals_result == 900
