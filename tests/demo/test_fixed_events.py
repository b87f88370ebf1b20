"""Every event with a fixed day is in the demo by its own record, and says what the story says."""

from __future__ import annotations

import datetime as dt
from itertools import pairwise

from sqlalchemy import Connection, select

from ledger.ledger import Ledger
from ledger.records import tables as t
from ledger.selling.parcels import waiting
from ledger.selling.sale import find_sale

Day = dt.date


def test_the_pair_that_was_never_fetched_lapsed_and_its_deposit_was_kept(loft: Ledger) -> None:
    [hold] = loft.holds()

    assert (hold.number, hold.customer, hold.state) == ("R-014", "Ethwick Sorbram", "lapsed")
    assert (hold.deposit, hold.deposit_state) == (2750, "kept")
    assert hold.made_on == Day(2025, 6, 1)
    assert sum(line.count for line in hold.lines) == 2


def test_the_second_buyer_of_the_pair_stood_in_the_queue_of_the_hold(loft: Ledger) -> None:
    [row] = loft.queue("R-014")

    assert (row.customer, row.count, row.asked_on) == ("Ollrud Tarquor", 2, Day(2025, 6, 7))
    assert row.state == "left"


def test_three_nymphs_dead_on_arrival_inside_the_terms_were_refunded_without_postage(loft: Ledger) -> None:
    first = loft.claims()[0]

    def credited(conn: Connection) -> int:
        return sum(line.credited_amount for line in find_sale(conn, first.number).lines)

    assert (first.dead, first.sold, first.hours, first.outcome) == (3, 10, 2, "refund")
    assert first.reported_on == Day(2024, 7, 10)
    assert "1 hour 50" in first.evidence
    assert "photos" in first.evidence
    assert "within 2 hours" in first.terms
    assert first.paper
    assert loft.ask(credited) == 900


def test_a_claim_after_26_hours_was_met_with_nymphs_as_goodwill_at_the_cost_of_that_sale(loft: Ledger) -> None:
    claims = loft.claims()
    assert len(claims) == 2
    second = claims[1]

    def sent(conn: Connection) -> tuple[int, int, bool]:
        sale = find_sale(conn, second.paper)
        return sum(line.animals for line in sale.lines), sum(line.net for line in sale.lines), sale.waits_for_post

    assert (second.dead, second.hours, second.outcome) == (3, 26, "goodwill")
    assert "outside the terms" in second.evidence
    assert loft.ask(sent) == (3, 0, False)
    assert [count for _, count in moved(loft, "goodwill")] == [3]
    made_good, goodwill = loft.margin(second.number), loft.margin(second.paper)
    assert goodwill.makes_good == second.number
    assert (goodwill.cost, goodwill.margin) == (0, 0)
    assert made_good.goodwill > 0
    assert made_good.selling_costs == made_good.goodwill


def test_four_fairs_were_planned_with_a_float_and_settled(loft: Ledger) -> None:
    found = [(fair.held_on, fair.last_on, fair.cash_float, fair.ended_on) for fair in loft.fairs()]

    assert found == [
        (Day(2024, 4, 21), Day(2024, 4, 21), 6000, Day(2024, 4, 21)),
        (Day(2024, 10, 12), Day(2024, 10, 13), 6000, Day(2024, 10, 13)),
        (Day(2025, 4, 13), Day(2025, 4, 13), 6000, Day(2025, 4, 13)),
        (Day(2025, 10, 12), Day(2025, 10, 12), 6000, Day(2025, 10, 12)),
    ]


def test_the_fair_weekend_sold_packs_paid_table_and_mileage_and_lacked_a_little_cash(loft: Ledger) -> None:
    result = loft.fair_result("Quillmere autumn fair 2024")

    assert 20 <= len(result.sales) <= 24
    assert result.costs == 3500 + 86 * 30
    assert result.packs_sold >= 8
    assert result.packed > result.packs_sold
    assert result.packs_left == 0  # what was not sold came back
    assert result.difference == -150
    assert loft.fair_result("Quillmere spring fair 2025").difference == 0


def test_prices_changed_on_1_february_2025_and_older_ones_still_stand_before(loft: Ledger) -> None:
    def prices(conn: Connection) -> list[tuple[str, str, int]]:
        p = t.price.c
        rows = conn.execute(
            select(t.species.c.code, p.pack, p.amount)
            .join(t.species, t.species.c.id == p.species_id)
            .where(p.from_on == Day(2025, 2, 1))
            .order_by(t.species.c.code)
        )
        return [(code, pack, amount) for code, pack, amount in rows]

    assert loft.ask(prices) == [
        ("HIER", "pair 1.1", 2600),
        ("PACH", "group of 10", 1400),
        ("PORC", "group of 10", 700),
    ]


def sold_to_the_shop(loft: Ledger) -> list[tuple[str, str, int, int, dt.date]]:
    """Every pack of fifty grubs the shop took: how, what pack, how many, for how much, when."""

    def rows(conn: Connection) -> list[tuple[str, str, int, int, dt.date]]:
        s, line = t.sale.c, t.sale_line.c
        found = conn.execute(
            select(s.channel, line.pack, line.count, line.net, s.sold_on)
            .join(t.sale_line, line.sale_id == s.id)
            .where(s.customer_name == "Marrowby Pets", line.pack == "group of 50")
            .order_by(s.id)
        )
        return [(channel, pack, count, net, on) for channel, pack, count, net, on in found]

    return loft.ask(rows)


def listed(loft: Ledger, buyer: str, on: dt.date) -> list[int]:
    """What the list of a day asks of a buyer for fifty grubs."""
    return [
        row.amount for row in loft.prices(on) if (row.species, row.pack, row.buyer) == ("PACH", "group of 50", buyer)
    ]


def at_list_price(loft: Ledger, sales: list[tuple[str, str, int, int, dt.date]], buyer: str) -> list[bool]:
    """Whether each pack went at the price a kind of buyer had on its day."""
    return [[net] == listed(loft, buyer, on) for _, _, _, net, on in sales]


def test_a_shop_took_fifty_grubs_three_times_at_the_trade_price(loft: Ledger) -> None:
    taken = [row for row in sold_to_the_shop(loft) if row[4] >= Day(2025, 4, 22)]

    assert [(channel, count, net) for channel, _, count, net, _ in taken] == [("trade", 50, 3800)] * 3
    assert all(later[4] - one[4] >= dt.timedelta(days=28) for one, later in pairwise(taken))
    assert at_list_price(loft, taken, "trade") == [True] * 3


def test_the_price_of_other_buyers_is_told_from_that_of_the_trade(loft: Ledger) -> None:
    taken = [row for row in sold_to_the_shop(loft) if row[4] >= Day(2025, 4, 22)]

    assert listed(loft, "retail", Day(2025, 5, 1)) != listed(loft, "trade", Day(2025, 5, 1))
    assert at_list_price(loft, taken, "retail") == [False] * 3
    assert at_list_price(loft, [(*taken[0][:3], taken[0][3] + 1, taken[0][4])], "trade") == [False]


def test_a_school_was_given_ten_nymphs(loft: Ledger) -> None:
    [row] = loft.given()

    assert (row.kind, row.to, row.animals, row.on) == ("sample", "Quillmere School", 10, Day(2025, 9, 18))


def test_parcels_waited_while_it_was_too_hot_or_too_cold_and_none_left_meanwhile(loft: Ledger) -> None:
    spans = {
        "heat on the way": (Day(2024, 7, 29), Day(2024, 8, 9)),
        "frost on the way": (Day(2025, 1, 6), Day(2025, 1, 17)),
    }

    def waits(conn: Connection) -> list[tuple[str, dt.date, dt.date, dt.date]]:
        w = t.post_wait.c
        rows = conn.execute(
            select(w.why, w.from_on, w.look_on, t.posting.c.posted_on)
            .join(t.posting, t.posting.c.sale_id == w.sale_id)
            .where(w.why != "")
        )
        return [(why, start, look, posted) for why, start, look, posted in rows]

    def posted(conn: Connection) -> list[dt.date]:
        return list(conn.execute(select(t.posting.c.posted_on)).scalars())

    found = loft.ask(waits)
    assert {why for why, *_ in found} == set(spans)
    for why, start, look, went in found:
        first, last = spans[why]
        assert first <= start <= last < look <= went
    assert not [day for day in loft.ask(posted) for first, last in spans.values() if first <= day <= last]
    assert loft.ask(waiting) == {}


def test_dead_beetles_were_kept_as_specimens_and_six_sold_at_3_euros(loft: Ledger) -> None:
    def kept(conn: Connection) -> int:
        m = t.movement.c
        return sum(conn.execute(select(m.count).where(m.reason == "dried")).scalars())

    def sold(conn: Connection) -> list[int]:
        line = t.sale_line.c
        rows = conn.execute(
            select(line.net)
            .join(t.holding, t.holding.c.id == line.holding_id)
            .join(t.stage, t.stage.c.id == t.holding.c.stage_id)
            .where(t.stage.c.name == "dried specimen")
        )
        return list(rows.scalars())

    assert loft.ask(kept) == 18
    assert loft.ask(sold) == [300] * 6


def moved(loft: Ledger, reason: str) -> list[tuple[dt.date, int]]:
    def rows(conn: Connection) -> list[tuple[dt.date, int]]:
        m, e = t.movement.c, t.entry.c
        found = conn.execute(
            select(e.happened_on, m.count).join(t.entry, e.id == m.entry_id).where(m.reason == reason).order_by(m.id)
        )
        return [(day, count) for day, count in found]

    return loft.ask(rows)


def test_a_male_gecko_was_here_on_loan_from_february_to_may(loft: Ledger) -> None:
    assert moved(loft, "lent in") == [(Day(2025, 2, 10), 1)]
    assert moved(loft, "loan returned") == [(Day(2025, 5, 31), 1)]


def test_fifteen_grubs_were_swapped_for_ten_nymphs(loft: Ledger) -> None:
    assert moved(loft, "swapped out") == [(Day(2024, 11, 9), 15)]
    assert moved(loft, "swapped in") == [(Day(2024, 11, 9), 10)]


def test_both_sales_under_the_wrong_origin_say_in_their_note_what_it_was_and_is(loft: Ledger) -> None:
    def notes(conn: Connection) -> list[tuple[str, str, dt.date]]:
        n = t.correction_note.c
        return [(was, now, on) for was, now, on in conn.execute(select(n.was, n.now, n.written_on).order_by(n.id))]

    found = loft.ask(notes)

    assert len(found) == 2
    for was, now, on in found:
        assert was != now
        assert "F1" in was
        assert "F1" not in now
        assert on == Day(2024, 7, 6)
