"""How costs are shared is set by category and dated: tub-days or animal-days, and care weights of a category's own."""

from __future__ import annotations

from ledger.books.commands import CloseYear
from ledger.costs.commands import SetCare, SetMethod, Spend
from ledger.costs.keys import care_by_category, sharing_keys
from ledger.stock.commands import SetFigure
from tests.ledger.costs.keeper import Keeper, day


def test_a_key_of_a_category_is_dated(keeper: Keeper) -> None:
    keeper.do(SetMethod("sharing heat", "tub-days", day("2025-02-01")))
    keeper.do(SetMethod("sharing heat", "animal-days", day("2025-03-01")))
    keeper.do(SetMethod("sharing beetle jelly", "tub-days", day("2025-01-01")))

    assert keeper.ledger.ask(sharing_keys) == {
        "heat": [(day("2025-02-01").toordinal(), "tub-days"), (day("2025-03-01").toordinal(), "animal-days")],
        "beetle jelly": [(day("2025-01-01").toordinal(), "tub-days")],
    }


def test_a_care_weight_of_one_category_is_dated(keeper: Keeper) -> None:
    keeper.do(SetCare("Beetle jelly", "BUG", "adult", 2500, day("2025-02-01")))
    keeper.do(SetCare("beetle jelly", "BUG", "adult", 3000, day("2025-03-01")))

    assert keeper.ledger.ask(care_by_category) == {
        "beetle jelly": {(1, 1): ((day("2025-02-01").toordinal(), 2500), (day("2025-03-01").toordinal(), 3000))}
    }


def test_a_category_somebody_can_carry_is_left_to_somebody(keeper: Keeper) -> None:
    keeper.do(SetCare("feed", "BUG", "larva", 0, day("2025-02-01")))

    assert "nobody could carry feed" in keeper.refused(SetCare("feed", "BUG", "adult", 0, day("2025-02-01")))

    keeper.do(SetCare("heat", "BUG", "adult", 0, day("2025-02-01")))
    keeper.do(SetFigure("BUG", "larva", "care weight", 0, day("2025-02-01")))
    assert "nobody could carry substrate" in keeper.refused(SetCare("substrate", "BUG", "adult", 0, day("2025-02-01")))


def test_what_cannot_be_a_care_weight_is_refused(keeper: Keeper) -> None:
    assert "between 0 and 1,000" in keeper.refused(SetCare("feed", "BUG", "adult", -1, day("2025-02-01")))
    assert "which category" in keeper.refused(SetCare(" ", "BUG", "adult", 1, day("2025-02-01")))
    keeper.do(Spend(day("2024-12-01"), "feed", 700))
    keeper.do(CloseYear(2024, day("2025-06-02")))
    assert "keeps its figures" in keeper.refused(SetCare("feed", "BUG", "adult", 1000, day("2024-06-01")))
