from __future__ import annotations

from ledger.origin.memo import OriginMemo
from ledger.selling.commands import CreditSale, LineOf, Pick, PlaceHold, PostSale, ReleaseHold, Sell, SetPrice
from ledger.selling.ready import ReadyRow, ready
from ledger.stock.commands import AddLot, Arrival, FreeKept, KeepBack, Mark, Move, SaveRound, SetFigure, SetLotFact
from tests.ledger.selling.shop import Shop, day


def numbers(row: ReadyRow | None) -> tuple[int, int, int, int, int] | None:
    """Ready, held, kept, to post, hardening."""
    return None if row is None else (row.ready, row.held, row.kept, row.to_post, row.hardening)


def test_the_list_says_what_of_what_origin_and_at_what_price(both: Shop) -> None:
    both.do(SetPrice("BEET", "adult", 3000, day("2025-01-01"), sex="female"))
    both.do(SetPrice("BEET", "L3", 1200, day("2025-01-01"), 10, pack="group of 10"))

    rows = both.ready()

    assert [(row.species, row.stage, row.lot, row.sex, row.ready) for row in rows] == [
        ("BEET", "L3", "P08", "unsexed", 14),
        ("BEET", "adult", "E03", "male", 3),
        ("BEET", "adult", "E03", "female", 4),
    ]
    larvae, males, females = rows
    assert (females.common, females.sure, females.origin, females.origin_code) == (
        "loft beetle",
        "confirmed",
        "wild-collected",
        "WC",
    )
    assert females.price_each == 3000
    assert (males.price_each, males.packs) == (None, ())
    assert (larvae.price_each, larvae.packs[0].amount) == (None, 1200)


def test_every_way_of_not_being_ready_is_told_apart(both: Shop) -> None:
    both.record("P08", Move("next stage", 6, stage="L3", to_stage="adult"), on=day("2025-05-10"))
    both.record("P08", Move("next stage", 3, stage="L3", to_stage="adult"), on=day("2025-05-30"))
    both.record("P08", Move("next stage", 1, stage="L3", to_stage="adult"), on=day("2025-06-01"))
    both.do(PlaceHold("Tarn", (Pick("P08", 2, stage="adult"),), both.today, "2025-06-06"))
    both.do(KeepBack("P08", 1, "old", both.today, stage="adult"))
    both.do(Sell((LineOf("P08", 1, 100, "adult"),), both.today, "Marl", "post", to_post=True))

    row = both.ready_of("P08", "adult")

    assert numbers(row) == (2, 2, 1, 1, 4)
    assert row is not None
    assert row.pending == ((day("2025-06-09"), 3), (day("2025-06-11"), 1))
    assert row.hardens_on == day("2025-06-09")
    assert numbers(both.ready_of("P08", "L3")) == (4, 0, 0, 0, 0)


def test_more_animals_set_aside_than_are_hard_take_those_due_soonest(shop: Shop) -> None:
    shop.record("P08", Move("next stage", 2, stage="L3", to_stage="adult"), on=day("2025-05-10"))
    shop.record("P08", Move("next stage", 3, stage="L3", to_stage="adult"), on=day("2025-05-30"))
    shop.record("P08", Move("next stage", 1, stage="L3", to_stage="adult"), on=day("2025-06-01"))
    shop.do(PlaceHold("Tarn", (Pick("P08", 4, stage="adult"),), shop.today, "2025-06-20"))

    row = shop.ready_of("P08", "adult")

    assert numbers(row) == (0, 4, 0, 0, 2)
    assert row is not None
    assert row.pending == ((day("2025-06-09"), 1), (day("2025-06-11"), 1))


def test_animals_turn_ready_on_the_day_they_are_due_and_not_a_day_before(shop: Shop) -> None:
    shop.record("P08", Move("next stage", 4, stage="L3", to_stage="adult"), on=day("2025-05-30"))

    shop.today = day("2025-06-08")
    assert numbers(shop.ready_of("P08", "adult")) == (0, 0, 0, 0, 4)
    shop.today = day("2025-06-09")
    assert numbers(shop.ready_of("P08", "adult")) == (4, 0, 0, 0, 0)


def test_a_day_to_come_shows_what_will_have_hardened_by_then(shop: Shop) -> None:
    shop.record("P08", Move("next stage", 4, stage="L3", to_stage="adult"), on=day("2025-05-30"))

    [row] = [row for row in shop.ready(day("2025-06-09")) if row.lot == "P08" and row.stage == "adult"]

    assert numbers(row) == (4, 0, 0, 0, 0)


def test_animals_seen_hard_are_ready_at_once(shop: Shop) -> None:
    shop.record("P08", Move("next stage", 4, stage="L3", to_stage="adult"))
    shop.do(SaveRound((Mark("P08", "seen hard", stage="adult"),), shop.today))

    assert numbers(shop.ready_of("P08", "adult")) == (4, 0, 0, 0, 0)


def test_breeding_quarantined_and_lent_lots_are_not_on_the_list(shop: Shop) -> None:
    for fact, value, back in (
        ("purpose", "breeding", "sale"),
        ("purpose", "quarantine", "sale"),
        ("lent out", "Marl", ""),
    ):
        shop.do(SetLotFact("E03", fact, value, shop.today))
        assert {row.lot for row in shop.ready()} == {"P08"}
        shop.do(SetLotFact("E03", fact, back, shop.today))
    assert {row.lot for row in shop.ready()} == {"P08", "E03"}


def test_stages_not_for_sale_and_dead_animals_are_not_on_the_list(shop: Shop) -> None:
    shop.record("P08", Move("next stage", 10, stage="L3", to_stage="pupa"))
    shop.record("P08", Move("died", 4, stage="L3"))

    assert {row.lot for row in shop.ready()} == {"E03"}


def test_the_list_agrees_with_what_a_sale_accepts(both: Shop) -> None:
    """Each row's ready animals can be sold, and not one more."""
    both.record("P08", Move("next stage", 6, stage="L3", to_stage="adult"), on=day("2025-05-10"))
    both.record("P08", Move("next stage", 2, stage="L3", to_stage="adult"), on=day("2025-05-30"))
    both.do(PlaceHold("Tarn", (Pick("P08", 2, stage="adult"), Pick("E03", 1, sex="male")), both.today, "2025-06-06"))

    for row in both.ready():
        one_more = LineOf(row.lot, row.ready + 1, 100, row.stage, row.sex)
        both.refused(Sell((one_more,), both.today))
        both.do(Sell((LineOf(row.lot, row.ready, 100, row.stage, row.sex),), both.today))

    assert all(row.ready == 0 for row in both.ready())
    assert both.proof() == []


def past(shop: Shop, on: str) -> dict[tuple[str, str, str], tuple[int, int, int, int, int] | None]:
    return {(row.lot, row.stage, row.sex): numbers(row) for row in shop.ready(day(on))}


def test_a_past_day_reads_as_it_read_then(both: Shop) -> None:
    """The list is written down day by day while things happen, and asked for again afterwards."""
    then = {}

    def night() -> None:
        then[both.today.isoformat()] = past(both, both.today.isoformat())

    both.record("P08", Move("next stage", 6, stage="L3", to_stage="adult"))
    night()
    both.today = day("2025-06-05")
    both.do(PlaceHold("Tarn", (Pick("E03", 2, sex="male"),), both.today, "2025-06-09T18:00"))
    both.do(PlaceHold("Marl", (Pick("P08", 2, stage="L3"),), both.today, "2025-07-09"))
    kept = both.do(KeepBack("E03", 1, "old", both.today, sex="female")).refs["earmark"]
    night()
    both.today = day("2025-06-08")
    both.do(Sell((LineOf("P08", 3, 900, "L3"),), both.today, "Fennick", "post", to_post=True))
    both.record("P08", Move("tub moved", 3, stage="L3", to_tub="A"))
    night()
    both.today = day("2025-06-11")
    both.record("P08", Move("died", 2, stage="adult"))
    both.do(PostSale("S-2025-0001", both.today))
    both.do(FreeKept(int(kept), both.today))
    both.do(Sell((LineOf("E03", 3, 900, sex="male"),), both.today))
    night()
    both.today = day("2025-06-14")
    both.do(ReleaseHold("R-002", both.today))
    both.do(Sell((LineOf("P08", 1, 100, "L3", tub=""),), both.today, "Fennick", "post", to_post=True))
    night()
    both.today = day("2025-06-15")
    both.do(CreditSale("S-2025-0003", both.today, "changed their mind"))
    night()

    both.today = day("2025-08-01")
    for on, was in then.items():
        assert past(both, on) == was, on
    assert past(both, "2025-05-31")["P08", "L3", "unsexed"] == (14, 0, 0, 0, 0)


def test_figures_of_the_day_decide_what_is_for_sale(shop: Shop) -> None:
    shop.do(SetFigure("BEET", "L3", "saleable", 0, day("2025-07-01")))

    assert {row.lot for row in shop.ready()} == {"P08", "E03"}
    assert {row.lot for row in shop.ready(day("2025-07-01"))} == {"E03"}


def test_the_list_reads_a_fixed_number_of_times_however_much_there_is(shop: Shop) -> None:
    from sqlalchemy import event

    def reads(memo: OriginMemo) -> int:
        seen = []
        with shop.store.reading() as conn:
            event.listen(conn, "before_cursor_execute", lambda *_: seen.append(1))
            ready(conn, shop.today, shop.scene.now, memo)
        return len(seen)

    memo = OriginMemo()
    reads(memo)
    few = reads(memo)
    for number in range(30):
        shop.do(AddLot(f"N{number:02d}", "BEET", day("2025-05-01"), (Arrival("hatched", "L3", unsexed=3),)))
        shop.do(PlaceHold("Tarn", (Pick(f"N{number:02d}", 1),), shop.today, "2025-07-01"))
    reads(memo)
    many = reads(memo)

    assert many == few <= 14


def test_a_past_day_goes_by_when_things_happened_not_by_when_they_were_recorded(shop: Shop) -> None:
    shop.today = day("2025-08-01")
    shop.do(Sell((LineOf("P08", 3, 900, "L3"),), day("2025-06-10"), "Fennick", "post", to_post=True))
    shop.do(Sell((LineOf("P08", 2, 900, "L3"),), day("2025-06-11"), "Tarn", "post", to_post=True))
    shop.do(PostSale("S-2025-0001", day("2025-06-12")))
    shop.do(PlaceHold("Marl", (Pick("E03", 2, sex="male"),), day("2025-06-15"), "2025-09-01"))
    shop.do(ReleaseHold("R-001", day("2025-06-20")))

    def both_kinds(on: str) -> tuple[object, object]:
        rows = past(shop, on)
        return rows["P08", "L3", "unsexed"], rows["E03", "adult", "male"]

    assert both_kinds("2025-06-09") == ((14, 0, 0, 0, 0), (3, 0, 0, 0, 0))
    assert both_kinds("2025-06-11") == ((9, 0, 0, 5, 0), (3, 0, 0, 0, 0))
    assert both_kinds("2025-06-12") == ((9, 0, 0, 2, 0), (3, 0, 0, 0, 0))
    assert both_kinds("2025-06-15") == ((9, 0, 0, 2, 0), (1, 2, 0, 0, 0))
    assert both_kinds("2025-06-20") == ((9, 0, 0, 2, 0), (3, 0, 0, 0, 0))


def test_animals_at_a_soft_stage_are_listed_as_soft_until_they_are_seen_in_the_next(shop: Shop) -> None:
    shop.do(SetFigure("BEET", "pupa", "hardening days", 7, day("2025-01-01")))
    shop.record("P08", Move("next stage", 5, stage="L3", to_stage="pupa"), on=day("2025-05-28"))
    shop.record("P08", Move("next stage", 2, stage="pupa", to_stage="adult"), on=day("2025-05-30"))

    soft = shop.ready_of("P08", "pupa")

    assert numbers(soft) == (0, 0, 0, 0, 3)
    assert soft is not None
    assert soft.pending == ((day("2025-06-04"), 3),)
    # the calendar alone makes nothing ready
    shop.today = day("2025-07-01")
    assert numbers(shop.ready_of("P08", "pupa")) == (0, 0, 0, 0, 3)


def test_a_stage_that_is_neither_sold_nor_hardening_is_not_listed(shop: Shop) -> None:
    shop.record("P08", Move("next stage", 5, stage="L3", to_stage="pupa"), on=day("2025-05-28"))

    assert shop.ready_of("P08", "pupa") is None


def test_a_past_list_shows_the_soft_stage_of_that_day(shop: Shop) -> None:
    shop.do(SetFigure("BEET", "pupa", "hardening days", 7, day("2025-01-01")))
    shop.record("P08", Move("next stage", 5, stage="L3", to_stage="pupa"), on=day("2025-05-20"))
    shop.record("P08", Move("next stage", 5, stage="pupa", to_stage="adult"), on=day("2025-05-30"))

    [row] = [row for row in shop.ready(day("2025-05-25")) if row.lot == "P08" and row.stage == "pupa"]

    assert (row.ready, row.hardening) == (0, 5)
