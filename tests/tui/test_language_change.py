"""Changing the language of the screen while it runs: everything that stands there is told anew, what is typed stays."""

from __future__ import annotations

from textual.widgets import Input

from ledger.ledger import Ledger
from tests.tui.business import desk
from tests.tui.loft import fill_in, quick
from tui.places.ready import ReadyPlace
from tui.widgets.fields import FieldRow


async def test_the_screen_speaks_another_language_at_once_and_the_first_again(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await quick(pilot, "4", "s")
        await fill_in(pilot, "P08 2 adult")
        await quick(pilot, "f2", "down", "f6", "f8", "f9", "down", "enter")
        before = await quick(pilot, "enter")
        await fill_in(pilot, "de")
        here = await quick(pilot, "enter")
        ready = await quick(pilot, "escape", "2")
        place = app.screen
        assert isinstance(place, ReadyPlace)
        row = place.rows.cursor_row
        everything = await quick(pilot, "full_stop")
        sale = await quick(pilot, "escape", "4")
        folded = [row.spec.key for row in app.screen.query(FieldRow) if not row.display]
        typed = app.screen.query(Input).first(Input).value
        english = await quick(pilot, "f9", "ctrl+z")
        again = await quick(pilot, "2")

    assert "1 Due" in before
    assert "screen language" in before
    assert "1 Fällig" in here
    assert "Einstellung" in here
    assert "Settings" not in here
    assert "Nachzucht" in ready
    assert "captive" not in ready
    assert row == 1, "the cursor stays"
    assert "Alles, was geht" in everything
    assert "aufzeichnen" in sale
    assert "record" not in sale
    assert typed == "P08 2 adult"
    assert "postage" in folded, "what is seldom said stays folded away"
    assert "Taken back" in english
    assert "Fällig" not in english
    assert "captive bred" in again
    assert "Nachzucht" not in again
