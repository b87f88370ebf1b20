"""Every figure of the demo is the same number wherever it stands, and what is shown of its parts adds up to it."""

from __future__ import annotations

import pytest

from ledger.costs.explain.answers import Answer
from ledger.costs.explain.asked import explain_lot, explain_species
from ledger.costs.explain.inside import of_one_kind
from ledger.costs.explain.parts import Key
from ledger.costs.explain.went import where_cost_went
from ledger.costs.so_far import cost_so_far
from ledger.ledger import Ledger
from ledger.money import amount_text
from ledger.rearing.report import RearingRow
from tui.drawn import Parts
from tui.rearing_page import found_of, rearing_picture

SPECIES = ("PACH",)
AXES = ("category", "stage")


@pytest.fixture(scope="module")
def rows(loft: Ledger) -> list[RearingRow]:
    return [row for species in SPECIES for row in loft.rearing(species) if row.cost_shown is not None]


def explained(loft: Ledger, row: RearingRow, by: str, inside: Key | None = None) -> Answer:
    if row.lot:
        return loft.ask(explain_lot, row.lot, loft.today, figure="each", by=by, inside=inside)
    return loft.ask(explain_species, row.species, loft.today, by=by, inside=inside)


def test_cost_per_reared_adult_has_the_same_parts_on_its_page_and_explained(
    loft: Ledger, rows: list[RearingRow]
) -> None:
    assert len(rows) > 8
    for row in rows:
        for by, parts in zip(AXES, (row.by_category, row.by_stage), strict=True):
            found = explained(loft, row, by)

            assert found.shown == row.cost_shown
            assert {line.name: line.shown for line in found.lines} == {part.name: part.shown for part in parts}
            assert sum(part.shown for part in parts) == row.cost_shown


def test_rounding_each_part_by_itself_would_not_add_up(rows: list[RearingRow]) -> None:
    astray = [row for row in rows if sum(round(part.each) for part in row.by_category) != row.cost_shown]

    assert astray


def test_the_drawing_shows_parts_that_add_up_to_the_figure_it_shows(loft: Ledger, rows: list[RearingRow]) -> None:
    row = next(row for row in rows if sum(round(part.each) for part in row.by_category) != row.cost_shown)
    picture = rearing_picture(found_of(loft, row.lot, row.species), loft.currency)
    ladders = [part for part in picture.parts if isinstance(part, Parts)]

    assert len(ladders) == len(AXES)
    for ladder in ladders:
        assert ladder.total.said == amount_text(row.cost_shown or 0, loft.currency)
        assert sum(round(100 * float(rung.said)) for rung in ladder.rungs) == row.cost_shown


def test_what_a_reared_adult_cost_is_what_the_shown_total_divided_by_their_number_is(
    loft: Ledger, rows: list[RearingRow]
) -> None:
    """So the workbook, which divides its own two columns, finds the same."""
    for row in rows:
        found = explained(loft, row, "category")

        assert found.number == row.cost_reached
        assert found.shown == (2 * found.in_all + found.number) // (2 * found.number)


def test_the_cost_so_far_on_the_page_of_a_lot_is_the_explained_one(loft: Ledger) -> None:
    told = [row.lot for row in loft.rearing("EXTA") if row.lot]

    for lot in told:
        found = loft.ask(explain_lot, lot, loft.today, figure="carried")
        assert loft.ask(cost_so_far, lot, loft.today).shown == found.shown


@pytest.mark.parametrize("by", ["category", "stage", "month", "movement"])
def test_what_was_bought_in_a_part_adds_up_to_the_part(loft: Ledger, rows: list[RearingRow], by: str) -> None:
    row = next(row for row in rows if row.lot == "P12")
    for line in explained(loft, row, by).lines[:2]:
        found = explained(loft, row, by, line.key)

        assert found.lines
        assert all(one.cost is not None or one.movement is not None for one in found.lines)
        assert sum(one.exact for one in found.lines) == found.exact == line.exact
        assert sum(one.shown for one in found.lines) == found.shown == line.shown
        assert sum(one.in_all for one in found.lines) == found.in_all == line.in_all


def test_the_places_of_one_outcome_of_a_cost_add_up_to_it_and_stand_lot_by_lot(loft: Ledger) -> None:
    number = max(row.id for row in loft.costs(100) if row.category == "power")
    whole = loft.ask(where_cost_went, number, loft.today)
    one_by_one = loft.ask(where_cost_went, number, loft.today, by="detail")

    for line in whole.lines:
        found = of_one_kind(one_by_one, line, line.name)
        assert sum(one.shown for one in found.lines) == line.shown
    lots = [one.lot for one in one_by_one.lines if one.kind == "on hand"]
    assert len(lots) > 5
    assert lots == sorted(lots)


def test_a_lot_sold_young_or_not_old_enough_shows_no_share_but_how_far_it_may_go(loft: Ledger) -> None:
    found = {row.lot: row for row in loft.rearing("PACH")}

    for sold_young in ("P09", "P10", "P11"):
        row = found[sold_young]
        assert (row.reached, row.pending, row.survival, row.low) == (0, 0, None, 0)
        assert "left young" in row.why
        assert row.high is not None
        assert row.high > 0.9
    for too_young in ("P13", "P14"):
        assert found[too_young].survival is None
        assert "none has reached it yet" in found[too_young].why
    # One that was seen to the end keeps its share, however small: of P08 four of 65 were reared.
    assert found["P08"].survival == pytest.approx(4 / 65)


def test_lots_sold_young_do_not_make_lots_look_more_unlike_than_they_are(loft: Ledger) -> None:
    (group, *_) = loft.survival_of_species("PACH").groups

    told = dict(group.lots)
    assert told["P09"] is None
    # With a nought for each lot sold young it was 16.
    assert group.design_effect == pytest.approx(7.6, abs=0.1)
