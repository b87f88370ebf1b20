"""What the trade leaves to be done: parcels, short ones, queues, claims, permits; and notes for a whole sale."""

from __future__ import annotations

from ledger.books.due import DueRow, due
from ledger.errors import Refused
from ledger.origin.commands import StateOrigin
from ledger.selling.affected import affected_sales
from ledger.selling.commands import (
    DecideClaim,
    FlagSpecies,
    HoldParcel,
    JoinQueue,
    LendOut,
    LineOf,
    LoanBack,
    OfferNext,
    Paid,
    Pick,
    PlaceHold,
    PostSale,
    RecordClaim,
    Sell,
    TellOfSale,
)
from ledger.stock.commands import Move, OriginStatement
from tests.ledger.selling.shop import Shop, day


def rows(shop: Shop, kind: str) -> list[DueRow]:
    return [row for row in shop.ask(due, shop.scene) if row.kind == kind]


def by_post(shop: Shop, count: int) -> str:
    line = (LineOf("P08", count, 1000),)
    return str(shop.do(Sell(line, shop.today, "Tarn", "post", paid=(Paid(None),), to_post=True)).refs["number"])


def test_an_earmark_turned_short_by_a_death_or_a_stage_is_due_with_its_choices(both: Shop) -> None:
    number = by_post(both, 14)
    both.record("P08", Move("died", 1, stage="L3"))
    both.record("P08", Move("next stage", 13, stage="L3", to_stage="pupa"))

    assert sorted(row.sentence for row in rows(both, "short")) == [
        f"{number}, line 1: 1 animal is lacking; replace, credit or wait.",
        f"{number}: the pupae of P08 must not travel now; replace, refund or wait.",
    ]


def test_a_parcel_on_the_weather_list_is_due_when_it_is_to_be_looked_at_again(both: Shop) -> None:
    number = by_post(both, 2)
    both.do(HoldParcel(number, "frost", both.today, day("2025-06-05")))

    [row] = rows(both, "post")

    assert (row.on, row.sentence) == (
        day("2025-06-05"),
        f"{number} for Tarn waits to be posted (frost); look again 5 June 2025.",
    )


def test_the_next_in_a_queue_is_due_once_the_hold_is_over_and_until_the_animals_are_offered(both: Shop) -> None:
    both.do(PlaceHold("Tarn", (Pick("E03", 1, sex="male"),), both.today, "24h"))
    both.do(JoinQueue("R-001", "Fennick", both.today))
    assert rows(both, "queue") == []
    both.today = day("2025-06-04")

    [row] = rows(both, "queue")
    assert row.sentence == "R-001 is over and Fennick is next in its queue: offer the animals."
    both.do(OfferNext("R-001", both.today, "24h"))
    assert rows(both, "queue") == []


def test_a_claim_is_due_until_it_is_decided(both: Shop) -> None:
    number = by_post(both, 3)
    both.do(PostSale(number, both.today))
    claim = int(both.do(RecordClaim(number, 1, 1, both.today)).refs["claim"])

    [row] = rows(both, "claim")
    assert row.sentence == f"Claim {claim} on {number} (Tarn): 1 animal dead on arrival; decide what is done."
    both.do(DecideClaim(claim, "declined", both.today))
    assert rows(both, "claim") == []


def test_a_permit_is_told_of_a_month_before_it_ends(both: Shop) -> None:
    both.do(FlagSpecies("BEET", "permit", day("2025-01-01"), number="7", expires_on=day("2025-07-02")))
    assert [row.sentence for row in rows(both, "permit")] == [
        "BEET: permit 7 expires 2 July 2025; renew it or end the reminder."
    ]
    both.today = day("2025-07-03")
    assert rows(both, "permit")[0].sentence.startswith("BEET: permit 7 expired")


def test_the_notes_of_a_sale_are_written_together_and_once(both: Shop) -> None:
    lines = (LineOf("E03", 1, 100, sex="male"), LineOf("E03", 1, 100, sex="female"), LineOf("P08", 1, 50))
    both.do(Sell(lines, both.today, "Tarn"))
    both.refused(TellOfSale("S-2025-0001", both.today), Refused)
    both.do(StateOrigin("E03", OriginStatement("UNK", country="XB"), both.today))

    done = both.do(TellOfSale("S-2025-0001", both.today, "the invoice was another's"))

    assert done.refs["notes"] == 2
    assert done.sentence.count("Correction note for Tarn") == 2
    assert all(row.noted_on == both.today for row in both.ask(affected_sales))
    assert "every note for it was written already" in str(both.refused(TellOfSale("S-2025-0001", both.today), Refused))


def test_a_loan_is_due_from_the_day_it_should_be_back_by_until_it_is(shop: Shop) -> None:
    shop.do(LendOut("E03", "Tarn", shop.today, back_by=day("2025-06-10")))
    shop.today = day("2025-06-09")
    assert rows(shop, "loan") == []

    shop.today = day("2025-06-10")
    [row] = rows(shop, "loan")
    assert (row.ref, row.on, row.late) == ("E03", day("2025-06-10"), False)
    assert row.sentence == "E03 was to be back from Tarn by 10 June 2025: record that it is, or ask."

    shop.do(LoanBack("E03", shop.today))
    assert rows(shop, "loan") == []
