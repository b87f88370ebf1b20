"""Animals that arrived dead: what was said, what was decided, what the books see, and what survival does not."""

from __future__ import annotations

from ledger.books.income import income
from ledger.books.lines import COST_GOODWILL, COST_OF_SOLD
from ledger.books.sources import BOUGHT
from ledger.errors import BadInput, NotFound, Refused
from ledger.rearing.report import rearing
from ledger.records.commands import SetSetting
from ledger.selling.arrivals import arrivals
from ledger.selling.commands import (
    Charge,
    CreditSale,
    DecideClaim,
    LineOf,
    NoteArrival,
    Paid,
    PostSale,
    RecordClaim,
    Sell,
)
from ledger.selling.doa import ClaimRow, claims
from ledger.selling.margin import margin_of
from tests.ledger.selling.shop import Shop, day


def posted(shop: Shop, count: int = 4, price: int = 2000) -> str:
    """A parcel of larvae with 5.00 of postage, paid and posted today."""
    sold = shop.do(
        Sell(
            (LineOf("P08", count, price),),
            shop.today,
            "Tarn",
            "post",
            charges=(Charge("postage", 500),),
            paid=(Paid(None),),
            to_post=True,
        )
    )
    number = str(sold.refs["number"])
    shop.do(PostSale(number, shop.today))
    return number


def only(shop: Shop) -> ClaimRow:
    [row] = shop.ask(claims)
    return row


def test_a_claim_keeps_what_was_said_and_the_terms_as_sold(both: Shop) -> None:
    both.do(SetSetting("terms", "Report within 2 hours, with a picture."))
    number = posted(both)
    both.do(SetSetting("terms", "No claims."))

    done = both.do(RecordClaim(number, 1, 3, both.today, hours=1, evidence="picture of three"))

    row = only(both)
    assert (row.dead, row.sold, row.hours, row.evidence, row.outcome) == (3, 4, 1, "picture of three", "")
    assert row.terms == "Report within 2 hours, with a picture."
    assert "3 of 4 L3 of P08 dead on arrival, reported 2 June 2025, 1 hours after arrival" in done.sentence
    assert any("legal rights may go further" in caution for caution in done.cautions)


def test_a_refund_is_of_the_animals_and_not_of_the_postage(both: Shop) -> None:
    number = posted(both)
    claim = int(both.do(RecordClaim(number, 1, 3, both.today)).refs["claim"])

    done = both.do(DecideClaim(claim, "refund", both.today, method="transfer"))

    sale = both.sale(number)
    assert (sale.total, sale.credited, sale.paid, sale.owed) == (2500, 1500, 1000, 0)
    assert (only(both).outcome, only(both).paper) == ("refund", "C-2025-0001")
    assert "met by a refund" in done.sentence
    [line] = sale.lines
    assert (line.credited, line.back, line.credited_amount) == (3, 0, 1500)
    assert both.alive("P08") == 10
    assert both.proof() == []


def test_a_replacement_goes_out_free_of_charge_and_its_cost_with_it(both: Shop) -> None:
    number = posted(both)
    claim = int(both.do(RecordClaim(number, 1, 2, both.today)).refs["claim"])

    both.do(DecideClaim(claim, "replacement", both.today))

    instead = both.sale(only(both).paper)
    assert (instead.total, instead.waits_for_post, instead.customer_name) == (0, True, "Tarn")
    assert f"replacement for 2 dead on arrival, {number}" in instead.note
    both.do(PostSale(instead.number, both.today))
    assert both.alive("P08") == 8
    assert both.ask(margin_of, instead.number, both.today).price == 0


def test_goodwill_credits_money_and_no_animals(both: Shop) -> None:
    number = posted(both)
    claim = int(both.do(RecordClaim(number, 1, 2, both.today)).refs["claim"])
    both.refused(DecideClaim(claim, "goodwill", both.today), BadInput)

    both.do(DecideClaim(claim, "goodwill", both.today, amount=300, refund=False))

    sale = both.sale(number)
    assert (sale.credited, sale.owed, sale.lines[0].credited) == (300, -300, 0)


def test_goodwill_in_animals_is_a_selling_cost_of_the_sale_it_makes_good(both: Shop) -> None:
    """Three adults that cost 10.00 each, sold for 60.00; one more at 10.00 sent for two that died: 60 - 30 - 10."""
    sold = both.do(Sell((LineOf("E03", 3, 6000, sex="female"),), both.today, "Tarn", "post", to_post=True))
    number = str(sold.refs["number"])
    both.do(PostSale(number, both.today))
    claim = int(both.do(RecordClaim(number, 1, 2, both.today, hours=30)).refs["claim"])
    survival, before = both.ask(rearing, both.today), both.ask(income, 2025)
    assert both.ask(margin_of, number, both.today).margin == 3000

    done = both.do(DecideClaim(claim, "goodwill", both.today, animals=1, lot="E03", note="outside the terms"))

    assert "met as goodwill: S-2025-0002: 1 " in done.sentence
    assert "of E03 (wild-collected) sent as goodwill to Tarn, to be posted" in done.sentence
    sent = both.sale(only(both).paper)
    assert (only(both).outcome, sent.total, sent.waits_for_post) == ("goodwill", 0, True)
    assert f"goodwill for 2 dead on arrival, {number}" in sent.note
    assert sent.lines[0].origin_text == both.sale(number).lines[0].origin_text
    both.do(PostSale(sent.number, both.today))

    of_sale, of_sent = (both.ask(margin_of, one, both.today) for one in (number, sent.number))
    assert (of_sale.cost, of_sale.selling_costs, of_sale.goodwill, of_sale.margin) == (3000, 1000, 1000, 2000)
    assert (of_sent.cost, of_sent.margin, of_sent.makes_good) == (0, 0, number)
    assert [row.reason for row in both.rows("movement")][-1] == "goodwill"
    after = both.ask(income, 2025)
    lines = {line.number: line.accruals for line in after.again}
    assert (lines[COST_OF_SOLD[BOUGHT]], lines[COST_GOODWILL]) == (-3000, -1000)
    assert after.agrees
    assert after.accruals_result == before.accruals_result - 1000
    assert after.cash_result == before.cash_result
    assert both.ask(rearing, both.today) == survival
    assert both.proof() == []


def test_goodwill_in_animals_that_is_taken_back_costs_nothing(shop: Shop) -> None:
    number = posted(shop)
    claim = int(shop.do(RecordClaim(number, 1, 2, shop.today)).refs["claim"])
    shop.do(DecideClaim(claim, "goodwill", shop.today, animals=2))
    sent = only(shop).paper
    shop.do(PostSale(sent, shop.today))

    shop.do(CreditSale(sent, shop.today, "came back"))

    assert shop.ask(margin_of, number, shop.today).goodwill == 0
    assert shop.ask(income, 2025).agrees
    assert shop.alive("P08") == 10


def test_goodwill_is_money_or_animals_and_animals_are_only_goodwill(shop: Shop) -> None:
    number = posted(shop)
    claim = int(shop.do(RecordClaim(number, 1, 2, shop.today)).refs["claim"])

    for wrong in (
        DecideClaim(claim, "goodwill", shop.today),
        DecideClaim(claim, "goodwill", shop.today, amount=100, animals=1),
        DecideClaim(claim, "replacement", shop.today, animals=1),
        DecideClaim(claim, "goodwill", shop.today, animals=0),
        DecideClaim(claim, "goodwill", shop.today, animals=99),
    ):
        shop.refused(wrong, Refused)


def test_a_claim_may_be_declined_and_the_wording_leaves_the_law_alone(both: Shop) -> None:
    number = posted(both)
    claim = int(both.do(RecordClaim(number, 1, 2, both.today, hours=30)).refs["claim"])

    done = both.do(DecideClaim(claim, "declined", both.today, note="reported after 30 hours"))

    assert both.sale(number).credits == ()
    assert only(both).outcome == "declined"
    assert "outside the terms as sold" in done.sentence
    words = " ".join((done.sentence, *done.cautions)).casefold()
    assert "the buyer's legal rights may go further" in words
    assert not any(word in words for word in ("no right", "not entitled", "is legal", "lawful", "waive"))


def test_rearing_survival_does_not_change_and_arrivals_have_their_own_line(both: Shop) -> None:
    number = posted(both)
    before = both.ask(rearing, both.today)
    claim = int(both.do(RecordClaim(number, 1, 3, both.today)).refs["claim"])
    both.do(DecideClaim(claim, "refund", both.today))

    assert both.ask(rearing, both.today) == before
    [row] = both.ask(arrivals, both.today, both.today)
    assert (row.species, row.parcels, row.posted, row.claims, row.dead, row.share) == ("BEET", 1, 4, 1, 3, 0.75)
    assert both.ask(arrivals, day("2025-01-01"), day("2025-05-31")) == ()


def test_the_books_follow_a_claim(both: Shop) -> None:
    number = posted(both)
    found = both.ask(income, 2025)
    claim = int(both.do(RecordClaim(number, 1, 3, both.today)).refs["claim"])
    both.do(DecideClaim(claim, "refund", both.today))

    after = both.ask(income, 2025)

    assert (after.cash_result - found.cash_result, after.accruals_result - found.accruals_result) == (-1500, -1500)
    assert found.agrees
    assert after.agrees


def test_a_claim_refuses_what_cannot_be(both: Shop) -> None:
    waiting = str(both.do(Sell((LineOf("P08", 1, 100),), both.today, "Tarn", "post", to_post=True)).refs["number"])
    number = posted(both)

    both.refused(RecordClaim("S-2025-0099", 1, 1, both.today), NotFound)
    both.refused(RecordClaim(number, 2, 1, both.today), NotFound)
    both.refused(RecordClaim(number, 1, 5, both.today), BadInput)
    both.refused(RecordClaim(number, 1, 0, both.today), BadInput)
    both.refused(RecordClaim(number, 1, 1, day("2025-06-01")), BadInput)
    both.refused(RecordClaim(number, 1, 1, both.today, hours=-1), BadInput)
    assert "was not posted yet" in str(both.refused(RecordClaim(waiting, 1, 1, both.today), Refused))
    both.refused(DecideClaim(7, "refund", both.today), NotFound)

    both.do(RecordClaim(number, 1, 3, both.today))
    assert "1 of them not claimed" in str(both.refused(RecordClaim(number, 1, 2, both.today), BadInput))
    claim = only(both).id
    both.refused(DecideClaim(claim, "shrug", both.today), BadInput)
    both.refused(DecideClaim(claim, "declined", both.today, amount=5), BadInput)
    both.do(DecideClaim(claim, "declined", both.today))
    both.refused(DecideClaim(claim, "refund", both.today), Refused)


def test_a_sale_credited_in_full_has_nothing_to_claim(shop: Shop) -> None:
    number = posted(shop)
    shop.do(CreditSale(number, shop.today, "lost"))

    assert "credited in full" in str(shop.refused(RecordClaim(number, 1, 1, shop.today), Refused))


def test_an_arrival_is_noted_once_as_the_buyer_said(both: Shop) -> None:
    number = posted(both)
    both.refused(NoteArrival(number, both.today, "25:00"), BadInput)

    done = both.do(NoteArrival(number, both.today, "14:30", "all lively"))

    assert done.sentence == f"{number} arrived on 2 June 2025, 14:30, as the buyer says."
    both.refused(NoteArrival(number, both.today), Refused)
