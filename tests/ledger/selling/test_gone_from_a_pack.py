"""Animals that die or leave while they lie packed for a fair: said by the pack's mark, or asked for."""

from __future__ import annotations

import pytest

from ledger.errors import Ambiguous, BadInput, NotEnough, NotFound
from ledger.selling.commands import PackForFair, Pick, PlaceHold, PlanFair, SellFairPack
from ledger.selling.fair_packs import fair_packs
from ledger.stock import earmarks
from ledger.stock.commands import Move, Record, Reverse
from tests.ledger.selling.shop import Shop, day

FENLOW = "Fenlow spring fair"


def state(shop: Shop) -> dict[str, tuple[int, int]]:
    """{mark: (packs that are whole, packs that lack animals)}."""
    return {row.mark: (row.ready, row.short) for row in shop.ask(fair_packs, FENLOW)}


def died(count: int, pack: str = "", **more: object) -> Record:
    return Record("P08", (Move("died", count, pack=pack, **more),), day("2025-06-02"))  # type: ignore[arg-type]


@pytest.fixture
def fair(both: Shop) -> Shop:
    """Of 14 larvae two packs A of four and a pack B of three: three lie in no pack."""
    both.do(PlanFair(FENLOW, both.today))
    both.do(PackForFair(FENLOW, "A", "group of 4", (Pick("P08", 4),), packs=2, price=600))
    both.do(PackForFair(FENLOW, "B", "group of 3", (Pick("P08", 3),), price=500))
    return both


def test_a_death_in_a_pack_makes_that_pack_short_though_others_are_free(fair: Shop) -> None:
    done = fair.do(died(1, "b"))

    assert done.sentence == f"P08: 1 of 14 L3 died (pack B for {FENLOW}), 2 June 2025."
    assert done.cautions == (
        f"A pack lacks animals now and is not sold like that: B for {FENLOW}. Take it apart, and pack it anew.",
    )
    assert state(fair) == {"A": (2, 0), "B": (0, 1)}
    ready = fair.ready_of("P08")
    assert ready is not None
    assert (fair.alive("P08"), ready.ready) == (13, 3)
    fair.refused(SellFairPack(FENLOW, "B", fair.today))
    assert fair.proof() == []

    fair.do(Reverse(int(done.refs["movement"])))

    assert state(fair) == {"A": (2, 0), "B": (1, 0)}
    assert fair.proof() == []


def test_a_death_in_no_pack_leaves_every_pack_whole(fair: Shop) -> None:
    """The control: what is free dies first."""
    assert fair.do(died(3)).cautions == ()

    assert state(fair) == {"A": (2, 0), "B": (1, 0)}


def test_where_too_few_lie_in_no_pack_it_is_asked_in_which_they_lay(fair: Shop) -> None:
    refusal = fair.refused(died(4), Ambiguous)

    assert refusal.sentence == (
        'P08: of 14 L3 only 3 lie in no pack, and 4 are gone; say which pack they lay in, such as "in pack B", or take '
        f"one apart first. There are B for {FENLOW} and A for {FENLOW}."
    )
    assert refusal.field == "pack"
    assert refusal.choices == ("P08 in pack B", "P08 in pack A")
    fair.do(Record("P08", (Move("died", 3), Move("died", 1, pack="A")), fair.today))
    assert state(fair) == {"A": (1, 1), "B": (1, 0)}


def test_where_all_packs_are_alike_nothing_is_asked(both: Shop) -> None:
    both.do(PlanFair(FENLOW, both.today))
    both.do(PackForFair(FENLOW, "A", "group of 4", (Pick("P08", 4),), packs=3, price=600))

    both.do(died(3))

    assert state(both) == {"A": (2, 1)}


def test_animals_held_in_no_pack_are_gone_before_those_in_packs(both: Shop) -> None:
    """Though the packs were put together later: who lies in a pack is said."""
    both.do(PlaceHold("Tarn", (Pick("P08", 5),), both.today, "2025-06-06"))
    both.do(PlanFair(FENLOW, both.today))
    both.do(PackForFair(FENLOW, "A", "group of 4", (Pick("P08", 4),), price=600))
    both.do(PackForFair(FENLOW, "B", "group of 3", (Pick("P08", 3),), price=500))

    both.do(died(4))

    assert state(both) == {"A": (1, 0), "B": (1, 0)}
    [short] = both.ask(earmarks.shorts)
    assert (short.kind, short.short) == ("held", 2)
    assert both.proof() == []


def test_a_pack_that_moves_on_stays_whole(fair: Shop) -> None:
    done = fair.do(Record("P08", (Move("next stage", 3, to_stage="adult", pack="B"),), fair.today))

    assert done.cautions == ()
    assert state(fair) == {"A": (2, 0), "B": (1, 0)}
    assert fair.proof() == []


def test_a_pack_that_is_not_there_or_too_small_is_refused_in_words(fair: Shop) -> None:
    before = fair.everything()

    none = fair.refused(died(1, "C"), NotFound)
    assert none.sentence == f'No animals of P08 lie in a pack "C"; there are B for {FENLOW} and A for {FENLOW}.'
    few = fair.refused(died(4, "B"), NotEnough)
    assert few.sentence.startswith(f"P08 has 3 animals in pack B for {FENLOW}, not 4;")
    lone = fair.refused(Record("E03", (Move("died", 1, sex="male", pack="A"),), fair.today), NotFound)
    assert lone.sentence == "No animals of E03 lie in a pack; leave the pack out."
    fair.refused(Record("P08", (Move("found", 1, pack="A"),), fair.today), BadInput)
    assert fair.everything() == before


def test_the_mark_of_two_fairs_is_not_guessed(fair: Shop) -> None:
    fair.do(PlanFair("Mirebrook fair", day("2025-06-09")))
    fair.do(PackForFair("Mirebrook fair", "B", "pair", (Pick("P08", 2),), price=300))

    refusal = fair.refused(died(1, "B"), Ambiguous)

    assert "Packs B stand for Mirebrook fair and Fenlow spring fair" in refusal.sentence
