from __future__ import annotations

import pytest

from ledger.errors import BadInput, NotFound, Refused
from ledger.selling.commands import LineOf, PackOf, Pick, Sell, SetPrice
from ledger.selling.packs import PackKind, read_pack, split, with_sexes
from ledger.stock.commands import AddLot, Arrival, DescribeSpecies, Move, OriginStatement, StageSpec
from tests.ledger.selling.shop import Shop, day

FROM = day("2025-01-01")


def captive(shop: Shop, code: str, **counts: int) -> None:
    """A lot of adults stated captive-bred, bought with a document."""
    arrival = Arrival("bought", "adult", value=1000, **counts)
    origin = OriginStatement("CBU", evidence=2, supplier="Nib Rearing", documents="invoice 12")
    shop.do(AddLot(code, "BEET", day("2025-04-02"), (arrival,), origin=origin))


def pack(shop: Shop, *picks: Pick, name: str = "group of 10", **more: object) -> Sell:
    return Sell((), shop.today, "Tarn", packs=(PackOf(name, picks, **more),))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("name", "kind"),
    [
        ("single", PackKind(1, 0, None, None, "any")),
        ("pair 1.1", PackKind(2, 0, (1, 1, 0), None, "any")),
        ("1.2", PackKind(3, 0, (1, 2, 0), None, "any")),
        ("group of 10", PackKind(10, 0, None, None, "any")),
        ("pack of 10 unsexed + 1", PackKind(10, 1, None, None, "unsexed")),
        ("pack of 25 + 2 extra", PackKind(25, 2, None, None, "any")),
        ("Ootheca", PackKind(1, 0, None, "object", "any")),
        ("clutch", PackKind(1, 0, None, "object", "any")),
        ("starter colony of 20", PackKind(20, 0, None, None, "any")),
        ("dried", PackKind(1, 0, None, "specimen", "any")),
    ],
)
def test_the_name_of_a_pack_says_what_is_in_it(name: str, kind: PackKind) -> None:
    assert read_pack(name) == kind


@pytest.mark.parametrize("name", ["colony", "group of many", "10 or 20", "0.0"])
def test_a_pack_whose_number_is_not_said_is_refused(name: str) -> None:
    with pytest.raises(BadInput):
        read_pack(name)


def test_a_price_is_split_as_the_lines_would_be_priced_alone() -> None:
    """50 for goods that cost 30, 25 and 45 alone (100): 15, 12.50 and 22.50, by relative stand-alone price."""
    assert split(5000, (1, 1, 1), (3000, 2500, 4500)) == (1500, 1250, 2250)
    assert split(1000, (6, 4), (None, 400)) == (600, 400)
    assert sum(split(1001, (3, 3, 1), (None, None, None))) == 1001


def test_a_pack_over_several_lots_keeps_a_line_with_origin_and_share_for_each(both: Shop) -> None:
    both.do(AddLot("P09", "BEET", day("2025-03-05"), (Arrival("hatched", "L3", unsexed=9),)))
    both.do(SetPrice("BEET", "L3", 1200, FROM, 10, pack="group of 10"))

    done = both.do(pack(both, Pick("P08", 6), Pick("P09", 4)))

    sale = both.sale(str(done.refs["number"]))
    assert [(one.lot_code, one.count, one.price, one.pack, one.together) for one in sale.lines] == [
        ("P08", 6, 720, "group of 10", 1),
        ("P09", 4, 480, "group of 10", 1),
    ]
    assert all(one.origin_text for one in sale.lines)
    assert (both.alive("P08"), both.alive("P09")) == (8, 5)
    assert both.proof() == []


def test_the_dearer_animals_of_a_pack_carry_more_of_its_price(shop: Shop) -> None:
    shop.do(SetPrice("BEET", "adult", 3000, FROM, sex="female"))
    shop.do(SetPrice("BEET", "adult", 1000, FROM, sex="male"))
    shop.do(SetPrice("BEET", "adult", 3600, FROM, 2, pack="pair 1.1"))

    number = shop.do(pack(shop, Pick("E03", 1, sex="male"), Pick("E03", 1, sex="female"), name="pair 1.1")).refs

    assert [one.price for one in shop.sale(str(number["number"])).lines] == [900, 2700]


def test_weights_of_the_keepers_own_split_a_price(shop: Shop) -> None:
    shop.do(AddLot("P09", "BEET", day("2025-03-05"), (Arrival("hatched", "L3", unsexed=9),)))

    command = pack(shop, Pick("P08", 5), Pick("P09", 5), price=1000, weights=(3, 1), discount=100)
    sale = shop.sale(str(shop.do(command).refs["number"]))

    assert [(one.price, one.discount, one.net) for one in sale.lines] == [(750, 75, 675), (250, 25, 225)]
    shop.refused(pack(shop, Pick("P08", 1), price=5, weights=(0,), name="single"), BadInput)
    shop.refused(pack(shop, Pick("P08", 1), price=5, weights=(1, 2), name="single"), BadInput)


def test_extras_of_a_pack_go_out_with_it_and_are_not_paid_for(both: Shop) -> None:
    both.do(SetPrice("BEET", "L3", 1200, FROM, 10, pack="pack of 10 unsexed + 1"))

    done = both.do(pack(both, Pick("P08", 11), name="pack of 10 unsexed + 1"))

    [line] = both.sale(str(done.refs["number"])).lines
    assert (line.count, line.extra, line.price) == (10, 1, 1200)
    assert "10 + 1 extra L3 of P08" in done.sentence
    assert both.alive("P08") == 3
    [price] = both.rows("price")
    assert (price.animals, price.extra, price.sex) == (10, 1, "unsexed")


def test_a_number_that_makes_no_whole_pack_is_refused(shop: Shop) -> None:
    shop.do(SetPrice("BEET", "L3", 1200, FROM, 10, pack="group of 10"))

    refusal = shop.refused(pack(shop, Pick("P08", 7)), BadInput)

    assert str(refusal) == "Group of 10 has 10 animals; 7 were chosen. Choose as many as make whole packs."
    shop.refused(pack(shop, Pick("E03", 2, sex="male"), name="pair 1.1", price=100), BadInput)


def test_a_pack_without_a_price_is_refused(shop: Shop) -> None:
    assert "has no price for “group of 10”" in str(shop.refused(pack(shop, Pick("P08", 10)), NotFound))


def test_a_pack_that_mixes_wild_and_captive_bred_is_refused(both: Shop) -> None:
    captive(both, "C01", females=3)

    mixed = pack(both, Pick("E03", 1, sex="male"), Pick("C01", 1, sex="female"), name="pair 1.1", price=5000)
    refusal = both.refused(mixed)
    assert str(refusal) == (
        "pair 1.1 would mix animals of wild origin (E03) with captive-bred ones (C01); sell them as lines of their own."
    )
    two_lines = (
        LineOf("E03", 1, 2500, sex="male", pack="pair 1.1"),
        LineOf("C01", 1, 2500, sex="female", pack="pair 1.1"),
    )
    both.refused(Sell(two_lines, both.today))

    apart = (LineOf("E03", 1, 2500, sex="male"), LineOf("C01", 1, 2500, sex="female"))
    assert len(both.sale(str(both.do(Sell(apart, both.today)).refs["number"])).lines) == 2


def test_lowering_the_claim_does_not_help_a_mixed_pack(shop: Shop) -> None:
    captive(shop, "C01", females=3)
    lines = tuple(
        LineOf(lot, 1, 2500, sex=sex, pack="pair 1.1", claim="UNK") for lot, sex in (("E03", "male"), ("C01", "female"))
    )

    assert isinstance(shop.refused(Sell(lines, shop.today)), Refused)


def test_pairs_of_different_lots_that_are_whole_by_themselves_may_be_on_one_sale(shop: Shop) -> None:
    captive(shop, "C01", females=2, males=2)
    lines = tuple(
        LineOf(lot, 1, 2500, sex=sex, pack="pair 1.1") for lot in ("E03", "C01") for sex in ("male", "female")
    )

    sale = shop.sale(str(shop.do(Sell(lines, shop.today)).refs["number"]))

    assert [one.together for one in sale.lines] == [1, 1, 2, 2]


def test_a_pack_names_the_unit_of_its_stage(shop: Shop) -> None:
    shop.do(
        DescribeSpecies(
            "MANT",
            "Inventus mantis",
            "loft mantis",
            "mantis",
            (
                StageSpec("ootheca", "object", saleable=True),
                StageSpec("adult", saleable=True),
                StageSpec("specimen", "specimen", saleable=True),
            ),
            "adult",
        )
    )
    shop.do(AddLot("M01", "MANT", day("2025-05-01"), (Arrival("bought", "ootheca", unsexed=2, value=10),)))
    shop.do(AddLot("M02", "MANT", day("2025-05-01"), (Arrival("bought", "adult", females=2, value=10),)))
    shop.record("M02", Move("dried", 1, stage="adult", to_stage="specimen"))
    shop.do(SetPrice("MANT", "ootheca", 800, FROM, pack="ootheca"))
    shop.do(SetPrice("MANT", "specimen", 300, FROM, pack="dried"))

    for lot, name, price in (("M01", "ootheca", 800), ("M02", "dried", 300)):
        stage = "specimen" if name == "dried" else None
        done = shop.do(pack(shop, Pick(lot, 1, stage), name=name))
        assert shop.sale(str(done.refs["number"])).total == price

    shop.refused(SetPrice("MANT", "adult", 800, FROM, pack="ootheca"), BadInput)
    shop.refused(pack(shop, Pick("M02", 1, "adult"), name="dried", price=5), BadInput)


def test_old_sales_keep_their_prices_and_a_day_has_the_prices_of_its_day(both: Shop) -> None:
    both.do(SetPrice("BEET", "L3", 1200, FROM, 10, pack="group of 10"))
    both.do(SetPrice("BEET", "L3", 1000, FROM, 10, pack="group of 10", buyer="trade"))
    first = both.do(pack(both, Pick("P08", 10)))
    both.do(AddLot("P09", "BEET", day("2025-03-05"), (Arrival("hatched", "L3", unsexed=30),)))
    both.do(SetPrice("BEET", "L3", 1500, both.today, 10, pack="group of 10"))

    later = both.do(pack(both, Pick("P09", 10)))
    trade = both.do(Sell((), both.today, channel="trade", packs=(PackOf("group of 10", (Pick("P09", 10),)),)))
    before = both.do(Sell((), day("2025-05-30"), packs=(PackOf("group of 10", (Pick("P09", 10),)),)))

    totals = [both.sale(str(one.refs["number"])).total for one in (first, later, trade, before)]
    assert totals == [1200, 1500, 1000, 1200]


@pytest.mark.parametrize(
    ("name", "counts", "full"),
    [
        ("pair", {"male": 1, "female": 1}, "pair 1.1"),
        ("Pair", {"male": 3, "female": 3}, "Pair 1.1"),
        ("trio", {"male": 1, "female": 2}, "trio 1.2"),
        ("trio", {"male": 1, "female": 1}, "trio"),
        ("pair", {"male": 1, "unsexed": 1}, "pair"),
        ("pair", {"unsexed": 2}, "pair"),
        ("group of 2", {"male": 1, "female": 1}, "group of 2"),
    ],
)
def test_a_bare_pair_is_named_in_full_by_the_sexes_of_its_animals(name: str, counts: dict[str, int], full: str) -> None:
    assert with_sexes(name, counts) == full
