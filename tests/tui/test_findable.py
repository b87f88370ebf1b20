"""Nobody has to guess a key: the list of all actions finds each by its word and by others, from wherever one is."""

from __future__ import annotations

import pytest

from ledger.ledger import Ledger
from ledger.selling.commands import LineOf, Sell
from tests.tui.business import TODAY, desk
from tests.tui.keys import type_in
from tests.tui.loft import quick
from tui import key_table
from tui.actions import Act
from tui.findable import BY_WORD, elsewhere, found, grouped
from tui.forms.hours import PowerForm
from tui.forms.lot_facts import FactForm
from tui.forms.origin import TogetherForm
from tui.places import PLACES
from tui.places.backups import BackupsPage
from tui.places.bring_in import BringInPage
from tui.places.costs import CostsPlace
from tui.places.round import RoundPlace
from tui.places.settings import SettingsPage
from tui.tongue import tell
from tui.widgets.chooser import Choice, Chooser, narrowed

NAMED_BY_THEMSELVES = {"leaf back", "leaf on", "back", "put away", "whole list", "stop", "start afresh"}


def hard_to_guess() -> list[str]:
    """Words of what a place does on a key that is no letter and that no other word finds."""
    acts = [act for way in PLACES if way.NAME != RoundPlace.NAME for act in way.load().ACTS]
    return [act.words for act in acts if len(act.key.split(",")[0]) > 1 and act.key != "enter" and not found(act).also]


def test_what_stands_on_a_sign_is_found_by_other_words(monkeypatch: pytest.MonkeyPatch) -> None:
    assert set(hard_to_guess()) <= NAMED_BY_THEMSELVES

    monkeypatch.setattr(CostsPlace, "ACTS", (Act("x", "vertical_line", "tally", "Tally."),))
    assert "tally" in hard_to_guess()


def test_every_other_word_belongs_to_an_action_there_is() -> None:
    words = {word for _, word, _, _ in key_table.uses()} | {act.words for way in PLACES for act in way.load().BY_WORD}

    assert sorted(set(BY_WORD) - words) == []


def test_the_help_has_what_is_daily_first_and_the_rest_by_what_it_is_for() -> None:
    groups = grouped(CostsPlace.ACTS)

    assert groups[0][0] == ""
    daily = [act.words for act in groups[0][1]]
    assert daily[0] == "spend"
    assert {"correct", "pay"} <= set(daily)
    assert {"store", "equipment", "in use"} <= {act.words for act in groups[1][1]}
    assert sorted(act.words for _, acts in groups for act in acts) == sorted(act.words for act in CostsPlace.ACTS)


def test_actions_of_other_places_are_offered_but_for_those_of_a_row_of_the_round() -> None:
    offered = {(name, act.words) for _, name, act in elsewhere(PLACES, CostsPlace)}

    assert ("year", "bring in") in offered
    assert ("settings", "Language and days") in offered
    assert not {name for name, _ in offered} & {"costs", "round"}


def test_a_choice_is_found_by_a_word_that_is_not_shown() -> None:
    choices = [Choice("store", 1, "What is in store.", "storage, pantry"), Choice("power", 2)]

    assert [one.value for one in narrowed(choices, "pantry")] == [1]
    assert narrowed(choices, "cellar") == []


def test_a_choice_that_holds_the_whole_word_comes_before_one_that_only_begins_so() -> None:
    choices = [
        Choice("owed", 1, also="open invoices"),
        Choice("papers", 2, "Write receipt, invoice."),
        Choice("inv", 3),
    ]

    assert [one.value for one in narrowed(choices, "invoice")] == [2, 1]
    assert [one.value for one in narrowed(choices, "inv")] == [3, 1, 2]


async def test_a_keeper_finds_what_belongs_to_another_place(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await quick(pilot, "2", "full_stop")
        await type_in(pilot, "import")
        await quick(pilot, "enter")
        assert isinstance(app.screen, BringInPage)
        await quick(pilot, "1", "full_stop")
        await type_in(pilot, "electricity")
        await quick(pilot, "enter")
        assert isinstance(app.screen, PowerForm)
        await quick(pilot, "escape", "full_stop")
        await type_in(pilot, "german")
        await quick(pilot, "enter")
        assert isinstance(app.screen, SettingsPage)
        # What is open on top of Settings stays below what is opened now.
        await quick(pilot, "3", "full_stop")
        await type_in(pilot, "safety copy")
        await quick(pilot, "enter")
        assert isinstance(app.screen, BackupsPage)
        await quick(pilot, "escape")
        assert isinstance(app.screen, SettingsPage)


async def test_breeders_that_stand_among_what_is_ready_are_taken_off_by_what_their_lot_is_for(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await quick(pilot, "2", "full_stop")
        await type_in(pilot, "breed")
        await quick(pilot, "enter")
        form = app.screen
        assert isinstance(form, FactForm)
        await type_in(pilot, "breeding")
        await quick(pilot, "enter")

    assert form.subject not in {row.lot for row in loft.ready()}
    (lot,) = loft.lots(lot=form.subject)
    assert lot.purpose == "breeding"


async def test_what_is_unpaid_is_found_also_where_its_state_says_something_else(loft: Ledger) -> None:
    loft.do(Sell((LineOf("P08", 1, stage="adult", sex="female"),), TODAY, "Nim", "post", to_post=True), token="post")
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        everything = await quick(pilot, "4")
        await quick(pilot, "f")
        await type_in(pilot, "unpaid")
        found = await quick(pilot, "enter")

    assert "S-2025-0001" in everything
    assert "! to post" in found
    assert "S-2025-0002" in found
    assert "S-2025-0001" not in found


async def test_a_pair_is_found_by_what_keepers_call_it_and_not_with_the_merging_of_lots(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await quick(pilot, "3", "full_stop")
        chooser = app.screen
        assert isinstance(chooser, Chooser)
        for typed in ("pair", "mate", "breeding pair", "put together"):
            assert "screen.together" in {one.value for one in narrowed(chooser._choices, typed)}, typed
        assert "screen.merge" not in {one.value for one in narrowed(chooser._choices, "put together")}
        await type_in(pilot, "put together")
        await quick(pilot, "enter")
        assert isinstance(app.screen, TogetherForm)
        await quick(pilot, "escape", "comma")
        more = app.screen
        assert isinstance(more, Chooser)
        assert [tell(one.words) for one in narrowed(more._choices, "mate")] == ["Together"]
