"""A day of cleaning, as a keeper walks it: what is refused says why, and what is recorded can be seen afterwards."""

from __future__ import annotations

import pytest

from ledger.errors import NotEnough
from ledger.ledger import Ledger
from tests.tui.fakes import DeathForm, FakeLedger, desk
from tests.tui.keys import rest, type_in
from tests.tui.screenshot import picture
from tui.jot_line import read_line
from tui.jot_words import Setting


async def test_a_form_on_a_phone_says_below_the_fields_why_it_records_nothing() -> None:
    ledger = FakeLedger()
    app = desk(ledger)
    async with app.run_test(size=(40, 24)) as pilot:
        await pilot.press("d")
        assert isinstance(app.screen, DeathForm)
        await type_in(pilot, "abc")
        await pilot.press("enter")
        await rest(pilot)

        said = " ".join(picture(app).split())
        assert "is not a number of animals" in said
        assert ledger.kept == {}

        await pilot.press("ctrl+r")
        await rest(pilot)
        assert "is not a number" not in picture(app)


def _write(loft: Ledger, line: str) -> str:
    """Record a line as the jot line does; what was recorded, in words."""
    setting = Setting(loft.vocabulary(), loft.today, loft.currency)
    return loft.do(read_line(line, setting), token=line, source="screen").sentence


def _stock(loft: Ledger, lot: str) -> dict[tuple[str, str], int]:
    return {(row.stage, row.sex): row.count for row in loft.stock(lot=lot)}


def test_the_sexes_said_of_animals_that_moved_on_are_theirs_and_not_those_of_their_brothers(loft: Ledger) -> None:
    before = _stock(loft, "P08")

    said = _write(loft, "P08 4 cocoons to soft, 1 male, 2 female")
    after = _stock(loft, "P08")

    assert said.startswith("P08: 1 of 8 cocoons moved on to soft adult, male; 2 of 7 cocoons moved on to soft adult, f")
    assert after["cocoon", "unsexed"] == before["cocoon", "unsexed"] - 4
    assert (after["soft adult", "male"], after["soft adult", "female"]) == (1, 2)
    assert after["soft adult", "unsexed"] == before["soft adult", "unsexed"] + 1
    assert loft.prove() == ()


def test_animals_of_a_sex_nobody_recorded_are_not_advised_to_be_found_at_a_count(loft: Ledger) -> None:
    with pytest.raises(NotEnough) as refused:
        _write(loft, "P08 2 male L3 died")

    assert "has no male L3 on" in refused.value.sentence
    assert "Leave the sex out" in refused.value.sentence
    assert "found" not in refused.value.sentence
    with pytest.raises(NotEnough, match="found at count"):
        _write(loft, "P08 500 L3 died")
