from __future__ import annotations

import pytest

from ledger.errors import BadInput, NotFound, Refused
from ledger.records.commands import SetSetting
from ledger.selling.commands import HoldParcel, LetParcelGo, LineOf, PostSale, ReplaceShort, Sell
from ledger.selling.limits import PostLimits
from ledger.selling.parcels import Parcel, parcels
from ledger.stock.commands import Move
from tests.ledger.selling.shop import Shop, day

MONDAY, SATURDAY = day("2025-06-02"), day("2025-06-07")


def sold(shop: Shop, count: int = 3) -> str:
    line = (LineOf("P08", count, 900),)
    return str(shop.do(Sell(line, shop.today, "Tarn", "post", to_post=True)).refs["number"])


def only(shop: Shop, *args: object) -> Parcel:
    [row] = shop.ask(parcels, *(args or (shop.today,)))
    return row


def test_there_are_no_limits_until_the_keeper_sets_them(both: Shop) -> None:
    number = sold(both)
    both.today = SATURDAY

    assert only(both, SATURDAY, -30, 45).may_go
    assert both.do(PostSale(number, SATURDAY, coldest=-30, warmest=45)).cautions[1:] == ()


def test_a_day_that_is_none_of_the_keepers_days_is_refused_and_may_be_recorded_with_a_reason(both: Shop) -> None:
    both.do(SetSetting("post days", "mon, tuesday WED"))
    number = sold(both)
    both.today = SATURDAY

    assert only(both).against == ("Sat is none of your days for posting (Mon, Tue, Wed)",)
    refusal = both.refused(PostSale(number, SATURDAY))
    assert str(refusal) == (
        f"{number}: Sat is none of your days for posting (Mon, Tue, Wed). Wait for another day, or say why it was "
        "posted anyway."
    )
    done = both.do(PostSale(number, SATURDAY, anyway="express, arrives Sunday"))

    assert "Outside your own limits" in done.cautions[1]
    [row] = both.rows("posting")
    assert row.note.endswith("posted anyway: express, arrives Sunday")


@pytest.mark.parametrize(("coldest", "warmest"), [(4, 20), (10, 29), (-1, 35)])
def test_temperatures_outside_the_keepers_limits_are_refused(shop: Shop, coldest: int, warmest: int) -> None:
    shop.do(SetSetting("post temperature", "5 to 28"))
    number = sold(shop)

    assert not only(shop, shop.today, coldest, warmest).may_go
    assert "your limit of" in str(shop.refused(PostSale(number, MONDAY, coldest=coldest, warmest=warmest)))


def test_being_inside_the_limits_is_not_called_safe(both: Shop) -> None:
    both.do(SetSetting("post temperature", "5 to 28"))
    number = sold(both)

    done = both.do(PostSale(number, MONDAY, coldest=5, warmest=28))

    assert "Inside your limits of 5 to 28 °C; that does not make the journey safe." in done.cautions
    [row] = both.rows("posting")
    assert (row.coldest, row.warmest, row.note) == (5, 28, "")


def test_limits_without_temperatures_are_told(shop: Shop) -> None:
    shop.do(SetSetting("post temperature", "-2 to 28"))

    done = shop.do(PostSale(sold(shop), MONDAY))

    assert "No temperatures were given; your limits are -2 to 28 °C." in done.cautions


def test_limits_that_cannot_be_read_are_refused(shop: Shop) -> None:
    shop.refused(SetSetting("post days", "Mon Funday"), BadInput)
    shop.refused(SetSetting("post temperature", "warm"), BadInput)
    shop.refused(SetSetting("post temperature", "28 to 5"), BadInput)
    number = sold(shop)
    shop.refused(PostSale(number, MONDAY, coldest=30, warmest=5), BadInput)
    shop.refused(PostSale(number, MONDAY, coldest=-200), BadInput)


def test_limits_are_compared_to_the_degree() -> None:
    limits = PostLimits(("Mon",), 5, 28)

    assert limits.against(MONDAY, 5, 28) == ()
    assert len(limits.against(SATURDAY, 4, 29)) == 3


def test_a_parcel_waits_for_the_weather_until_it_is_let_go(both: Shop) -> None:
    number = sold(both)

    done = both.do(HoldParcel(number, "heat, 34 degrees", both.today, day("2025-06-05")))

    assert done.sentence == f"{number} for Tarn waits to be posted (heat, 34 degrees); look again on 5 June 2025."
    assert only(both).against == ("it waits (heat, 34 degrees), look again 5 June 2025",)
    both.do(LetParcelGo(number, both.today))
    assert only(both).may_go
    both.refused(LetParcelGo(number, both.today), Refused)
    both.do(PostSale(number, both.today))
    assert both.ask(parcels, both.today) == ()
    both.refused(HoldParcel(number, "heat", both.today), Refused)


def test_waiting_needs_a_reason_and_a_sale_to_post(shop: Shop) -> None:
    number = sold(shop)
    shop.refused(HoldParcel(number, "", shop.today), BadInput)
    shop.refused(HoldParcel(number, "heat", shop.today, day("2025-06-01")), BadInput)
    shop.refused(HoldParcel("S-2025-0099", "heat", shop.today), NotFound)


def test_a_parcel_whose_animals_died_or_must_not_travel_says_what_can_be_done(both: Shop) -> None:
    number = sold(both, 14)
    both.record("P08", Move("died", 2, stage="L3"))
    assert only(both).against == ("2 animals are lacking; replace, refund or wait",)
    assert only(both).short == 2

    both.record("P08", Move("next stage", 12, stage="L3", to_stage="pupa"))

    row = only(both)
    assert row.stages == ("the pupae of P08 must not travel now; replace, refund or wait",)
    assert set(row.against) == {*row.stages, "2 animals are lacking; replace, refund or wait"}
    both.refused(PostSale(number, both.today))


def test_a_replacement_makes_a_short_parcel_whole(shop: Shop) -> None:
    number = sold(shop, 13)
    shop.record("P08", Move("died", 2, stage="L3"))
    assert only(shop).short == 1

    shop.refused(ReplaceShort(number, 1, shop.today))
