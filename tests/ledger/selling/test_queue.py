from __future__ import annotations

from ledger.errors import BadInput, NotEnough, NotFound, Refused
from ledger.selling.commands import JoinQueue, LeaveQueue, LineOf, OfferNext, Pick, PlaceHold, ReleaseHold, Sell
from ledger.selling.holds import find_hold
from ledger.selling.queue import QueueRow, queue
from tests.ledger.selling.shop import Shop, day

PAIR = (Pick("E03", 1, sex="male"), Pick("E03", 1, sex="female"))


def waiting(shop: Shop, hold: str | None = None) -> tuple[QueueRow, ...]:
    return shop.ask(queue, shop.scene.now, hold)


def test_a_hold_may_be_made_for_so_many_hours(both: Shop) -> None:
    both.do(PlaceHold("Tarn", PAIR, both.today, "48h"))

    assert both.ask(find_hold, "R-001", both.scene.now).until == "2025-06-04T10:00"
    both.refused(PlaceHold("Tarn", (Pick("P08", 1),), both.today, "0h"), BadInput)
    both.refused(PlaceHold("Tarn", (Pick("P08", 1),), both.today, "99999 hours"), BadInput)


def test_buyers_who_wait_stand_in_the_order_they_asked_and_have_no_claim(both: Shop) -> None:
    both.do(PlaceHold("Tarn", PAIR, both.today, "48h"))

    done = both.do(JoinQueue("R-001", "Fennick", both.today))
    both.do(JoinQueue("R-001", "Oda", both.today, count=1, note="female only"))

    assert done.sentence == ("Fennick waits for 2 animals of R-001 (held for Tarn), place 1 in the queue, 2 June 2025.")
    rows = waiting(both, "R-1")
    assert [(row.position, row.customer, row.count, row.turn) for row in rows] == [
        (1, "Fennick", 2, False),
        (2, "Oda", 1, False),
    ]
    females = both.ready_of("E03", sex="female")
    assert females is not None
    assert (females.ready, females.held) == (3, 1)


def test_when_a_hold_lapses_with_the_program_closed_the_first_in_the_queue_is_offered_its_animals(both: Shop) -> None:
    both.do(PlaceHold("Tarn", PAIR, both.today, "2025-06-06T18:00"))
    both.do(JoinQueue("R-001", "Fennick", both.today))
    both.do(JoinQueue("R-001", "Oda", both.today, count=1))
    both.refused(OfferNext("R-001", both.today, "48h"))
    both.today = day("2025-06-09")

    assert [row.turn for row in waiting(both)] == [True, False]
    done = both.do(OfferNext("R-001", both.today, "24h", deposit=1000))

    assert done.sentence.startswith("R-002: Next in the queue of R-001: 1 male adult of E03 and 1 female adult of E03")
    hold = both.ask(find_hold, "R-002", both.scene.now)
    assert (hold.customer, hold.deposit, sum(line.count for line in hold.lines)) == ("Fennick", 1000, 2)
    assert [(row.customer, row.state, row.position, row.new_hold) for row in waiting(both, "R-001")] == [
        ("Fennick", "offered", 0, "R-002"),
        ("Oda", "waiting", 1, ""),
    ]
    assert both.proof() == []


def test_nobody_waits_any_more_for_animals_that_the_first_buyer_took(both: Shop) -> None:
    both.do(PlaceHold("Tarn", PAIR, both.today, "48h"))
    both.do(JoinQueue("R-001", "Fennick", both.today))
    both.do(Sell((LineOf("E03", 1, 10, sex="male"), LineOf("E03", 1, 10, sex="female")), both.today, hold="R-001"))

    [row] = waiting(both)
    assert (row.state, row.position, row.turn) == ("sold to the first", 0, False)
    both.refused(OfferNext("R-001", both.today, "48h"), NotFound)


def test_a_buyer_may_leave_the_queue_once(both: Shop) -> None:
    both.do(PlaceHold("Tarn", PAIR, both.today, "48h"))
    both.do(JoinQueue("R-001", "Fennick", both.today))
    place = waiting(both)[0].place
    both.do(LeaveQueue(place, both.today))

    assert [row.state for row in waiting(both)] == ["left"]
    both.refused(LeaveQueue(place, both.today))
    both.refused(LeaveQueue(99, both.today), NotFound)


def test_animals_that_were_sold_meanwhile_are_not_offered(shop: Shop) -> None:
    shop.do(PlaceHold("Tarn", (Pick("E03", 3, sex="male"),), shop.today, "48h"))
    shop.do(JoinQueue("R-001", "Fennick", shop.today))
    shop.do(ReleaseHold("R-001", shop.today))
    shop.do(Sell((LineOf("E03", 3, 30, sex="male"),), shop.today))

    shop.refused(OfferNext("R-001", shop.today, "48h"), NotEnough)


def test_a_queue_refuses_what_makes_no_sense(shop: Shop) -> None:
    shop.do(PlaceHold("Tarn", PAIR, shop.today, "48h"))
    shop.do(JoinQueue("R-001", "Fennick", shop.today))

    shop.refused(JoinQueue("R-009", "Oda", shop.today), NotFound)
    shop.refused(JoinQueue("R-001", "", shop.today), BadInput)
    shop.refused(JoinQueue("R-001", "tarn", shop.today), Refused)
    shop.refused(JoinQueue("R-001", "fennick", shop.today), Refused)
    shop.refused(JoinQueue("R-001", "Oda", shop.today, count=3), BadInput)
    shop.refused(JoinQueue("R-001", "Oda", day("2025-06-03")), BadInput)
    shop.do(ReleaseHold("R-001", shop.today))
    shop.refused(JoinQueue("R-001", "Oda", shop.today), Refused)
