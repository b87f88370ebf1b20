"""Numbers of papers as the keeper chooses them: nothing doubled, nothing left out, and what is given stays."""

from __future__ import annotations

import pytest
from sqlalchemy import text

from ledger.books.paper_numbers import paper_numbers
from ledger.books.papers import credit_paper
from ledger.errors import BadInput, Refused
from ledger.records.commands import SetSetting
from ledger.records.numbering import numberings
from ledger.records.settings import setting
from ledger.selling.commands import CreditSale, LineOf, Pick, PlaceHold, Sell
from ledger.selling.holds import find_hold
from tests.ledger.selling.shop import Shop, day
from tests.ledger.selling.test_tills import at_once

PATTERN = "sale numbers"


def sell(shop: Shop) -> str:
    return str(shop.do(Sell((LineOf("P08", 1, 100),), shop.today)).refs["number"])


def choose(shop: Shop, pattern: str, name: str = PATTERN) -> str:
    return shop.do(SetSetting(name, pattern)).sentence


def whole(shop: Shop) -> None:
    """Every number given is used once, and none lies outside."""
    for row in shop.ask(paper_numbers):
        assert row.used == row.given, row
        assert row.strange == (), row


def test_a_notebook_is_gone_on_with_and_later_years_begin_at_one(both: Shop) -> None:
    said = choose(both, "re-yyyy-0213")

    assert said == (
        "Sale numbers: the next is RE-2025-0213; each accounting year begins with 1 again. Numbers given before stay."
    )
    assert [sell(both), sell(both)] == ["RE-2025-0213", "RE-2025-0214"]
    both.today = day("2026-01-02")
    assert sell(both) == "RE-2026-0001"
    both.today = day("2026-01-03")
    assert both.do(Sell((LineOf("P08", 1, 100),), day("2025-12-30"))).refs["number"] == "RE-2025-0215"
    assert both.sale("re-2025-214").number == "RE-2025-0214"
    assert both.sale("RE-2026-1").number == "RE-2026-0001"
    whole(both)


def test_numbers_can_go_on_through_the_years(shop: Shop) -> None:
    choose(shop, "RE-09")
    first = sell(shop)
    shop.today = day("2026-01-02")

    assert [first, sell(shop)] == ["RE-09", "RE-10"]
    assert shop.sale("RE-9").number == "RE-09"
    of_2025 = shop.ask(paper_numbers, (2025, day("2025-01-01"), day("2025-12-31")))
    assert [(row.layout, row.given, row.used) for row in of_2025] == [("RE-#", 1, 1)]
    whole(shop)


def test_a_series_that_was_left_is_taken_up_where_it_stood(both: Shop) -> None:
    numbers = [sell(both), sell(both)]
    for pattern in ("RE-YYYY-0040", "S-YYYY-0001", "RE-YYYY-0040", "", "S-YYYY-01"):
        choose(both, pattern)
        numbers.append(sell(both))

    assert numbers == [
        "S-2025-0001",
        "S-2025-0002",
        "RE-2025-0040",
        "S-2025-0003",
        "RE-2025-0041",
        "S-2025-0004",
        "S-2025-05",
    ]
    assert both.sale("S-2025-0005").number == "S-2025-05"
    whole(both)


@pytest.mark.parametrize("first", ["0002", "0100"])
def test_a_first_number_that_would_double_or_leave_out_is_refused(shop: Shop, first: str) -> None:
    for _ in range(3):
        sell(shop)

    refused = shop.refused(SetSetting(PATTERN, f"S-YYYY-{first}"))

    assert str(refused) == (
        "S-2025-0003 is given already, so the next is S-2025-0004: none is given twice and none left out; write "
        "S-YYYY-0004, or begin a series with other letters."
    )
    choose(shop, "S-YYYY-0004")
    assert sell(shop) == "S-2025-0004"


def test_a_beginning_may_be_put_right_until_a_paper_has_it(shop: Shop) -> None:
    choose(shop, "RE-0213")
    choose(shop, "RE-0219")

    assert sell(shop) == "RE-0219"
    shop.refused(SetSetting(PATTERN, "RE-0213"))


def test_a_series_begun_again_next_year_does_not_change_where_this_year_began(shop: Shop) -> None:
    choose(shop, "RE-YYYY-0213")
    sell(shop)
    shop.today = day("2026-01-02")
    choose(shop, "RE-YYYY-0050")

    assert sell(shop) == "RE-2026-0050"
    assert shop.do(Sell((LineOf("P08", 1, 100),), day("2025-12-30"))).refs["number"] == "RE-2025-0214"
    whole(shop)


@pytest.mark.parametrize(
    ("name", "pattern", "taken"),
    [
        ("credit numbers", "S-YYYY-0001", "S-YYYY-#"),
        ("sale numbers", "R-0001", "R-#"),
        ("hold numbers", "S-001-YYYY", "S-YYYY-#"),
        ("sale numbers", "S-0001-YYYY", "S-YYYY-#"),
    ],
)
def test_a_pattern_that_could_give_the_number_of_another_series_is_refused(
    shop: Shop, name: str, pattern: str, taken: str
) -> None:
    sell(shop)

    refused = str(shop.refused(SetSetting(name, pattern)))

    assert refused.startswith(f"{pattern} could repeat a number of {taken} (")


def test_a_number_given_by_hand_stays_and_is_nobody_elses(shop: Shop) -> None:
    shop.do(PlaceHold("Tarn", (Pick("P08", 1),), shop.today, "2025-06-06", number="re-5"))

    assert "could repeat the number of hold RE-5" in str(shop.refused(SetSetting(PATTERN, "RE-001")))
    assert "reads as one of your sale numbers" in str(
        shop.refused(PlaceHold("Tarn", (Pick("P08", 1),), shop.today, "2025-06-06", number="s-2025-0001"))
    )
    choose(shop, "RE-005", "hold numbers")
    hold = shop.do(PlaceHold("Tarn", (Pick("P08", 1),), shop.today, "2025-06-06")).refs["number"]
    assert hold == "RE-006"
    assert shop.ask(find_hold, "re-05", shop.scene.now).number == "RE-5"


def test_credits_and_holds_have_patterns_of_their_own(shop: Shop) -> None:
    choose(shop, "GS-YY-01", "credit numbers")
    choose(shop, "V-YYYY-1", "hold numbers")

    credit = shop.do(CreditSale(sell(shop), shop.today, "entered by mistake"))
    hold = shop.do(PlaceHold("Tarn", (Pick("P08", 1),), shop.today, "2025-06-06"))

    assert credit.refs["number"] == "GS-25-01"
    assert shop.ask(credit_paper, "gs-25-1").number == "GS-25-01"
    assert hold.refs["number"] == "V-2025-1"
    assert [(one.pattern, one.last, one.next) for one in shop.ask(numberings, shop.today)] == [
        ("S-YYYY-0001", "S-2025-0001", "S-2025-0002"),
        ("GS-YY-01", "GS-25-01", "GS-25-02"),
        ("V-YYYY-1", "V-2025-1", "V-2025-2"),
    ]
    whole(shop)


def test_no_pattern_is_refused_and_nothing_changes(shop: Shop) -> None:
    shop.refused(SetSetting(PATTERN, "S-2025-0001"), BadInput)

    assert shop.ask(setting, PATTERN) == ""


def test_tills_that_sell_while_the_pattern_changes_double_and_leave_out_nothing(both: Shop) -> None:
    sales: list[object] = [Sell((LineOf("P08", 1, 100),), both.today) for _ in range(6)]
    changes: list[object] = [
        SetSetting(PATTERN, pattern) for pattern in ("RE-YYYY-0213", "RE-YYYY-0300", "S-YYYY-1", "RE-YYYY-1", "X-9")
    ]
    rival: list[object] = [
        SetSetting("credit numbers", pattern) for pattern in ("RE-YYYY-0001", "C-YYYY-0001", "S-YYYY-0001", "X-9")
    ]

    said = at_once(both, sales, sales, changes, rival)

    assert not [answer for one in said for answer in one if answer.startswith("broken")]
    numbers = [answer for one in said[:2] for answer in one]
    assert len(numbers) == len(set(numbers)) == 12
    whole(both)
    sales_layout, credits_layout = (one.pattern for one in both.ask(numberings, both.today)[:2])
    assert sales_layout.split("-")[0] != credits_layout.split("-")[0]
    assert both.proof() == []


def test_a_number_that_is_missing_or_strange_is_found(shop: Shop) -> None:
    choose(shop, "RE-0213")
    for _ in range(3):
        sell(shop)
    whole(shop)

    with shop.store.writing() as conn:
        conn.execute(text("DROP TRIGGER sale_unchanged"))
        conn.execute(text("UPDATE sale SET number = 'RE-0217' WHERE number = 'RE-0214'"))
        rows = paper_numbers(conn)

    assert [(row.layout, row.given, row.used) for row in rows] == [("RE-#", 3, 2), ("", 0, 0)]
    assert rows[1].strange == ("RE-0217",)
    assert isinstance(shop.refused(SetSetting(PATTERN, "RE-0300")), Refused)
