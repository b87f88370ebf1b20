"""A day of cleaning, as a keeper walks it: what is refused says why, and what is recorded can be seen afterwards."""

from __future__ import annotations

from tests.tui.fakes import DeathForm, FakeLedger, desk
from tests.tui.keys import rest, type_in
from tests.tui.screenshot import picture


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
