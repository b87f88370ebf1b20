"""Bad words about money: one sentence each, and nothing changes. What lies in a closed year is moved, not refused."""

from __future__ import annotations

import pytest
from sqlalchemy import insert

from ledger.books.commands import CloseYear
from ledger.costs.account import account
from ledger.costs.commands import (
    Dispose,
    EndWindow,
    PayCost,
    RefundCost,
    ReverseCost,
    SetCare,
    SetMethod,
    SetStandardCost,
    Spend,
)
from ledger.costs.result import Kind
from ledger.errors import PeriodClosed
from ledger.records import tables as t
from ledger.selling.commands import LineOf, Paid, Sell
from ledger.stock.commands import DescribeSpecies, SetFigure, StageSpec
from tests.ledger.costs.keeper import Keeper, day

JAN = day("2025-01-10")


def test_a_window_that_ends_before_it_starts(keeper: Keeper) -> None:
    backwards = Spend(JAN, "feed", 100, window_from=day("2025-02-10"), window_to=day("2025-02-09"))
    assert "before it starts" in keeper.refused(backwards)

    number = int(keeper.do(Spend(JAN, "feed", 100)).refs["cost"])
    assert "cannot be finished" in keeper.refused(EndWindow(number, day("2025-02-01"), day("2025-01-09")))


@pytest.mark.parametrize("scope", ["lots", "brood"])
def test_a_scope_without_lots(keeper: Keeper, scope: str) -> None:
    assert "Name the lots" in keeper.refused(Spend(JAN, "feed", 100, scope=scope))


def test_lots_without_their_scope_and_a_species_scope_without_species(keeper: Keeper) -> None:
    assert "Name the lots" in keeper.refused(Spend(JAN, "feed", 100, lots=("L",)))
    assert "Name the species" in keeper.refused(Spend(JAN, "feed", 100, scope="species"))


def test_weights_that_are_all_nought(keeper: Keeper) -> None:
    keeper.do(SetFigure("BUG", "larva", "care weight", 0, JAN))

    assert "nobody could carry its costs" in keeper.refused(SetFigure("BUG", "adult", "care weight", 0, JAN))
    two = (StageSpec("egg", care_weight=0), StageSpec("adult", care_weight=0))
    fly = DescribeSpecies("FLY", "Musca inventa", "fly", "fly", two, "adult")
    assert "nobody could carry" in keeper.refused(fly)

    keeper.do(SetFigure("BUG", "larva", "care weight", 500, JAN))
    keeper.do(SetFigure("BUG", "adult", "care weight", 0, JAN))


def test_a_refund_larger_than_its_cost(keeper: Keeper) -> None:
    number = int(keeper.do(Spend(JAN, "feed", 1000)).refs["cost"])
    keeper.do(RefundCost(number, day("2025-02-01"), 400))

    assert "of which 6.00 EUR is not refunded yet" in keeper.refused(RefundCost(number, day("2025-02-02"), 601))
    assert "cannot be larger" in keeper.refused(RefundCost(number, day("2025-02-02"), 0))

    keeper.do(RefundCost(number, day("2025-02-02"), 600))
    assert keeper.carried("2025-06-02") == {}


def test_a_cost_in_a_closed_year_keeps_its_day_and_is_accounted_in_the_open_one(keeper: Keeper) -> None:
    keeper.do(Spend(day("2024-12-01"), "feed", 700))
    keeper.do(CloseYear(2024, day("2025-06-02")))
    before = keeper.ledger.income(2024)

    done = keeper.do(Spend(day("2024-11-01"), "heat", 1000, kind="overhead", window_to=day("2024-12-31")))

    row = keeper.ledger.costs()[0]
    assert row.bought_on == day("2024-11-01")
    assert any("accounted on 1 January 2025" in caution for caution in done.cautions)
    assert keeper.ledger.income(2024) == before
    assert keeper.carried("2025-06-02") == {1: 1000}
    assert keeper.ledger.prove() == ()


def test_no_program_can_put_a_cost_in_a_closed_year(keeper: Keeper) -> None:
    number = int(keeper.do(Spend(day("2024-12-01"), "feed", 700)).refs["cost"])
    keeper.do(CloseYear(2024, day("2025-06-02")))

    with keeper.ledger.store.reading() as conn:
        row = dict(conn.execute(t.cost.select().where(t.cost.c.id == number)).one()._mapping)
    row.pop("id")

    with pytest.raises(PeriodClosed), keeper.ledger.store.writing() as conn:
        conn.execute(insert(t.cost).values(row))


def test_figures_of_method_of_a_closed_year_stand(keeper: Keeper) -> None:
    keeper.do(Spend(day("2024-12-01"), "feed", 700))
    keeper.do(CloseYear(2024, day("2025-06-02")))
    closed = day("2024-06-01")

    assert "keeps its method" in keeper.refused(SetMethod("brood", "expense", closed))
    assert "keeps its figures" in keeper.refused(SetStandardCost("BUG", "adult", 100, closed))
    assert "keeps its figures" in keeper.refused(SetFigure("BUG", "larva", "loss rate", 100_000, closed))


def test_methods_that_are_not_known(keeper: Keeper) -> None:
    assert "not known" in keeper.refused(SetMethod("brood", "eggs", JAN))
    assert "not known" in keeper.refused(SetMethod("luck", "good", JAN))
    assert "not known" in keeper.refused(SetMethod("sharing heat", "by eye", JAN))
    assert "business part" in keeper.refused(SetMethod("share heat", "10001", JAN))
    assert "business part" in keeper.refused(SetMethod("share heat", "0", JAN))
    assert "standard cost must lie" in keeper.refused(SetStandardCost("BUG", "adult", -1, JAN))


def test_equipment_is_disposed_of_once_and_only_equipment(keeper: Keeper) -> None:
    feed = int(keeper.do(Spend(JAN, "feed", 100)).refs["cost"])
    mat = int(keeper.do(Spend(JAN, "equipment", 100, kind="lasting", life_days=100)).refs["cost"])
    keeper.do(Dispose(mat, day("2025-02-01")))

    assert "no equipment" in keeper.refused(Dispose(feed, day("2025-02-01")))
    assert "already" in keeper.refused(Dispose(mat, day("2025-02-01")))


def test_days_of_a_closed_year_bear_nothing_of_what_is_bought_later(keeper: Keeper) -> None:
    """An animal sold in a closed year costs afterwards what it cost at the closing."""
    keeper.do(Sell((LineOf("L", 5, 5000),), day("2025-01-15"), paid=(Paid(None),)))
    keeper.do(Spend(JAN, "feed", 1000, window_to=day("2025-01-19")))
    keeper.at("2026-01-31")
    sold = went_out(keeper)
    keeper.do(CloseYear(2025, day("2026-01-31")))

    for kind in ("used up", "overhead"):
        done = keeper.do(Spend(day("2026-01-31"), "heat", 6200, kind=kind, window_from=JAN))
        assert "used up from 1 January 2026" in " ".join((done.sentence, *done.cautions))

    assert went_out(keeper) == sold > 0
    carried = keeper.carried("2025-12-31")
    assert carried == {1: 1000 - sold}


@pytest.mark.parametrize("how", ["refunded", "taken back"])
def test_what_comes_back_of_a_closed_year_makes_no_animal_cheaper_and_none_negative(keeper: Keeper, how: str) -> None:
    feed = int(keeper.do(Spend(JAN, "feed", 1000, window_to=day("2025-01-19"))).refs["cost"])
    keeper.do(Sell((LineOf("L", 9, 9000),), day("2025-02-01"), paid=(Paid(None),)))
    keeper.at("2026-01-31")
    keeper.do(CloseYear(2025, day("2026-01-31")))
    before = keeper.carried("2026-01-31")

    done = keeper.do(RefundCost(feed, day("2026-01-31"), 1000) if how == "refunded" else ReverseCost(feed))

    assert "makes no animal cheaper and stands by itself in 2026" in done.cautions[0]
    assert keeper.carried("2026-01-31") == before == {1: 100}
    shared = keeper.ledger.ask(account, day("2026-01-31")).shared
    assert sum(sum(row.posted) for row in shared.postings if row.kind is Kind.NO_ANIMALS) == -1000
    assert keeper.ledger.prove() == ()


def went_out(keeper: Keeper) -> int:
    return sum(sum(row.posted) for row in keeper.ledger.ask(account, day("2026-01-31")).shared.postings)


def test_amounts_that_cannot_be_are_said_in_the_currency(keeper: Keeper) -> None:
    assert keeper.refused(Spend(JAN, "feed", 0)) == "The amount must lie between 0.01 and 1000000000.00 EUR."


def test_a_payment_that_is_still_to_come(keeper: Keeper) -> None:
    assert "still to come" in keeper.refused(Spend(JAN, "feed", 100, paid_on=day("2025-06-03")))
    keeper.do(Spend(JAN, "feed", 100, paid_on=day("2025-06-02")))


@pytest.mark.parametrize("name", ["sharing haet", "share haet"])
def test_a_method_for_a_category_that_nothing_was_spent_on_is_doubted(keeper: Keeper, name: str) -> None:
    value = "tub-days" if name.startswith("sharing") else "6000"

    assert 'Nothing was ever spent on "haet"' in keeper.do(SetMethod(name, value, JAN)).cautions[0]
    assert keeper.do(SetMethod(name.replace("haet", "heat"), value, JAN)).cautions == ()


def test_a_care_weight_for_such_a_category_is_doubted_too(keeper: Keeper) -> None:
    assert 'Nothing was ever spent on "fede"' in keeper.do(SetCare("fede", "BUG", "adult", 2000, JAN)).cautions[0]
    assert keeper.do(SetCare("feed", "BUG", "adult", 2000, JAN)).cautions == ()


def test_a_method_set_counts_for_what_follows_in_the_same_transaction(keeper: Keeper) -> None:
    with keeper.ledger.together("test") as acts:
        whole = acts.do(Spend(day("2025-02-01"), "feed", 1000, scope="lots", lots=("L",), window_to=day("2025-02-01")))
        acts.do(SetMethod("share feed", "6000", day("2025-02-01")))
        part = acts.do(Spend(day("2025-02-01"), "feed", 1000))
        before = acts.do(Spend(JAN, "feed", 1000))

    basis = {row.id: row.basis for row in keeper.ledger.costs()}
    assert [basis[done.refs["cost"]] for done in (whole, part, before)] == [1000, 600, 1000]


def test_paying_what_is_paid(keeper: Keeper) -> None:
    keeper.do(Spend(JAN, "feed", 100))

    assert keeper.refused(PayCost(1, JAN, 1)) == "Cost 1 is paid in full."
