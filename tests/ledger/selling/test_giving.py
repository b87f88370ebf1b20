"""Gifts, samples, own use, specimens and breeding loans: animals that leave, or are away, without a sale."""

from __future__ import annotations

from ledger.books.income import income
from ledger.books.lines import COST_GIVEN, COST_OWN_USE
from ledger.errors import BadInput, NotEnough, NotFound, Refused
from ledger.selling.borrowing import borrowed
from ledger.selling.commands import GiveAway, LendOut, LineOf, LoanBack, Pick, Sell
from ledger.selling.giving import given
from ledger.selling.lending import loans
from ledger.stock.commands import AddLot, Arrival, Move, OriginStatement, Reverse
from tests.ledger.selling.shop import Shop, day


def test_a_sample_leaves_the_stock_and_says_who_got_it(both: Shop) -> None:
    done = both.do(GiveAway((Pick("P08", 5),), both.today, "sample", "Fenlow School", "for a terrarium"))

    assert done.sentence == "P08: 5 of 14 L3 given away, 2 June 2025 (sample to Fenlow School)."
    assert both.alive("P08") == 9
    [row] = both.ask(given)
    assert (row.kind, row.to, row.animals, row.lots, row.note) == (
        "sample",
        "Fenlow School",
        5,
        ("P08",),
        "for a terrarium",
    )
    assert both.rows("sale") == []
    assert both.proof() == []


def test_gifts_and_own_use_have_lines_of_their_own_in_the_books(both: Shop) -> None:
    both.do(GiveAway((Pick("E03", 1, sex="male"),), both.today, "gift", "Tarn"))
    both.do(GiveAway((Pick("E03", 2, sex="female"),), both.today, "own use"))

    lines = {line.number: line.accruals for line in both.ask(income, 2025).again}

    assert (lines[COST_GIVEN], lines[COST_OWN_USE]) == (-1000, -2000)


def test_several_lots_are_given_in_one_act(shop: Shop) -> None:
    shop.do(GiveAway((Pick("P08", 2), Pick("E03", 1, sex="male")), shop.today, "gift", "Tarn"))

    assert (shop.alive("P08"), shop.alive("E03")) == (12, 6)
    assert sum(row.animals for row in shop.ask(given)) == 3


def test_what_was_taken_back_was_not_given(shop: Shop) -> None:
    done = shop.do(GiveAway((Pick("P08", 2),), shop.today, "gift"))
    shop.do(Reverse(int(done.refs["movement"])))

    assert shop.ask(given) == ()
    assert shop.alive("P08") == 14


def test_giving_refuses_what_makes_no_sense(shop: Shop) -> None:
    shop.refused(GiveAway((Pick("P08", 2),), shop.today, "bribe"), BadInput)
    shop.refused(GiveAway((), shop.today, "gift"), BadInput)
    shop.refused(GiveAway((Pick("P08", 2),), shop.today, "own use", "Tarn"), BadInput)
    shop.refused(GiveAway((Pick("P08", 99),), shop.today, "gift"), NotEnough)
    shop.refused(GiveAway((Pick("P08", 9), Pick("P08", 9)), shop.today, "gift"), NotEnough)
    shop.refused(GiveAway((Pick("Q99", 1),), shop.today, "gift"), NotFound)


def test_a_breeding_loan_keeps_the_owner_and_takes_the_lot_off_the_ready_list(both: Shop) -> None:
    done = both.do(LendOut("E03", "Tarn", both.today, "half of the young"))

    assert "lent to Tarn for breeding, 2 June 2025; the owner stays the same" in done.sentence
    assert done.sentence.endswith("agreed: half of the young.")
    assert both.ready_of("E03", sex="male") is None
    assert both.alive("E03") == 7
    both.refused(Sell((LineOf("E03", 1, 100, sex="male"),), both.today), Refused)
    both.refused(LendOut("E03", "Oda", both.today), Refused)
    both.today = day("2025-06-20")

    both.do(LoanBack("E03", both.today))

    assert both.ready_of("E03", sex="male") is not None
    [row] = both.ask(loans)
    assert (row.lot, row.to, row.lent_on, row.back_on) == ("E03", "Tarn", day("2025-06-02"), day("2025-06-20"))
    both.refused(LoanBack("E03", both.today), Refused)


def test_some_of_a_lot_are_split_off_for_a_loan_in_the_same_act(both: Shop) -> None:
    both.do(LendOut("E03", "Tarn", both.today, "", (Pick("E03", 1, sex="male"),), "E03L"))

    assert (both.alive("E03"), both.alive("E03L")) == (6, 1)
    assert both.ready_of("E03L") is None
    assert both.ready_of("E03", sex="male") is not None
    assert [row.lot for row in both.ask(loans, only_open=True)] == ["E03L"]
    assert both.proof() == []


def test_a_loan_needs_somebody_and_a_code(shop: Shop) -> None:
    shop.refused(LendOut("E03", "", shop.today), BadInput)
    shop.refused(LendOut("E03", "Tarn", day("2025-06-03")), BadInput)
    shop.refused(LendOut("E03", "Tarn", shop.today, "", (Pick("E03", 1, sex="male"),)), BadInput)
    shop.refused(LendOut("E03", "Tarn", shop.today, "", (Pick("P08", 1),), "E03L"), BadInput)
    shop.refused(LoanBack("E03", shop.today), Refused)


def test_animals_lent_to_us_are_listed_with_whose_they_are_until_all_went_back(both: Shop) -> None:
    both.do(
        AddLot(
            "E09",
            "BEET",
            day("2025-05-01"),
            (Arrival("lent in", "adult", males=2),),
            purpose="breeding",
            origin=OriginStatement("CBU", supplier="Alder"),
        )
    )
    assert [(one.lot, one.owner, one.animals, one.left_on) for one in both.ask(borrowed)] == [("E09", "Alder", 2, None)]
    both.record("E09", Move("loan returned", 1))
    assert both.ask(borrowed)[0].left_on is None

    both.record("E09", Move("loan returned", 1))

    assert both.ask(borrowed)[0].left_on == both.today
