"""Settings and what hangs on them: each change goes through the ledger, read as one types, or is refused in words."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

from textual.widgets import Input

from ledger.costs.commands import SetMethod
from ledger.ledger import Ledger
from ledger.records import tables as t
from ledger.records.backups import backups
from ledger.records.settings import setting
from ledger.stock.figures import figures
from tests.tui.business import TODAY, desk
from tests.tui.keys import burst, rest
from tests.tui.loft import count, fill_in, go, quick, rows
from tests.tui.screenshot import picture
from tui.places import PLACES
from tui.places.backups import age_words
from tui.places.settings import TITLES, SettingsPage, SettingsPlace
from tui.places.species import StagesPage
from tui.tongue import listen_to, tell

HERE = str([place.NAME for place in PLACES].index("settings") + 1)


async def test_plain_settings_are_read_as_typed_and_kept(loft: Ledger) -> None:
    app = desk(loft)
    before = count(loft, t.operation)
    async with app.run_test(size=(80, 24)) as pilot:
        await quick(pilot, HERE, "enter", "down", "enter")
        await fill_in(pilot, "3 Quill Lane")
        await quick(pilot, "tab")
        await fill_in(pilot, "Oakmoss")
        shown = await quick(pilot, "enter")
        assert isinstance(app.screen, SettingsPage)
        assert "address 3 Quill Lane / Oakmoss" in shown
        assert loft.ask(setting, "address") == "3 Quill Lane\nOakmoss"

        # The order of days follows at once, also in the strip and the foot.
        await quick(pilot, "escape", "down", "enter", "down", "enter")
        await fill_in(pilot, "en_US")
        shown = await quick(pilot, "enter")
        assert "Wed Jun 4, 2025" in shown
        assert app.order == "mdy"

        # What cannot be kept is refused beside the field and nothing is recorded.
        await quick(pilot, "escape", "down", "down", "enter", "down", "enter")
        await fill_in(pilot, "warm")
        shown = await quick(pilot, "enter")
        assert '! "warm" is no range of temperatures' in shown
        assert count(loft, t.operation) == before + 2
        await fill_in(pilot, "5 to 28")
        assert "post temperature 5 to 28" in await quick(pilot, "enter")
        assert "5 to 28" in await quick(pilot, "escape")

    assert loft.ask(setting, "post temperature") == "5 to 28"


async def test_a_species_a_figure_and_a_reminder_from_the_list_of_species(loft: Ledger) -> None:
    pach = next(row for row in loft.species() if row.code == "PACH")
    adult = next(stage for stage in pach.stages if stage.name == "adult")
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await quick(pilot, HERE, *["down"] * 4, "enter")
        shown = await quick(pilot, "down", "enter")
        assert isinstance(app.screen, StagesPage)
        assert "adult (reared) yes 150-210 1" in shown
        await quick(pilot, *["down"] * 7, "enter")
        await quick(pilot, "h", "tab")
        await fill_in(pilot, "many")
        assert "! " in await quick(pilot, "enter")
        assert loft.ask(figures, TODAY).of(pach.id, adult.id, "hardening days") is None
        await fill_in(pilot, "14")
        shown = await quick(pilot, "enter")
        assert "adult (reared) yes 14 150-210 1" in shown
        assert loft.ask(figures, TODAY).of(pach.id, adult.id, "hardening days") == 14

        await quick(pilot, "escape", "ctrl+n", "tab", "right", "right")
        await rest(pilot)
        assert "! Give the number of the permit" in picture(app)
        await quick(pilot, "tab", "tab")
        await fill_in(pilot, "12-345")
        await quick(pilot, "tab")
        await fill_in(pilot, "1.2.2025")
        await quick(pilot, "tab")
        app.screen.query_one("#entry-from_on", Input).value = "2025-01-01"
        shown = await quick(pilot, "enter")
        assert "decides nothing about what is legal" in shown
        shown = await quick(pilot, "escape")
        assert isinstance(app.screen, SettingsPlace)
        assert "1 in force · ! 1 permit expired" in shown
        shown = await quick(pilot, "down", "enter")
        assert "PACH permit 12-345 1 Feb 2025 ! expired" in shown
        assert "no finding of what is legal" in shown
        await quick(pilot, "Z", "enter")

    assert rows(loft, t.species_flag.c.kind, t.species_flag.c.number) == [("permit", "12-345")]
    assert count(loft, t.species_flag_end) == 1


async def test_methods_thresholds_and_a_backup(loft: Ledger, tmp_path: Path) -> None:
    loft.do(SetMethod("brood", "expense", dt.date(2025, 3, 1), "adviser"))
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await quick(pilot, HERE, *["down"] * 7, "enter", "n")
        await fill_in(pilot, "small seller")
        await quick(pilot, "tab")
        await fill_in(pilot, "5")
        shown = await quick(pilot, "enter")
        await rest(pilot)
        assert "small seller" in shown
        assert loft.tax_helps().thresholds[0].threshold == 500

        shown = await quick(pilot, "escape", "down", "enter")
        assert "brood expense 1 Mar 2025 adviser" in shown
        assert "threshold" not in shown.split("method is from why")[1].split("─")[0]
        await quick(pilot, "n")
        await fill_in(pilot, "business")
        await quick(pilot, "enter")
        await fill_in(pilot, "power")
        await quick(pilot, "tab")
        await fill_in(pilot, "60%")
        shown = await quick(pilot, "enter")
        assert "business part of power 60 %" in shown

        await quick(pilot, "escape", "down", "enter")
        assert "There is no backup yet." in await quick(pilot)
        shown = await quick(pilot, "n")
        assert "was read back row by row" in shown
        assert "minutes old" in shown
        # The command stands there whole: it works as it is copied, whichever ledger a terminal has in hand.
        (made,) = backups(loft.store.target)
        assert app.screen.detail(made.path.name) == (  # type: ignore[attr-defined]
            f"rearledger restore {made.path} --at restored.rearledger makes a ledger from it."
        )
    assert made.why == "asked"


def test_the_age_of_a_backup_in_words() -> None:
    now = dt.datetime(2025, 6, 4, 12, 0, tzinfo=dt.UTC)
    ages = [dt.timedelta(minutes=1), dt.timedelta(hours=3), dt.timedelta(days=5), -dt.timedelta(hours=1)]

    said = [age_words(now - age, now) for age in ages]

    assert said == ["1 minute old", "3 hours old", "5 days old", "dated ahead of this computer's clock"]


async def test_keys_in_one_burst_open_the_row_they_went_to(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await quick(pilot, HERE)
        burst(app, "down", "down", "down", "enter")
        shown = await quick(pilot)

        assert isinstance(app.screen, SettingsPage)
        assert "post temperature" in shown


async def test_numbers_of_papers_are_chosen_and_refused_in_words(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        shown = await quick(pilot, HERE, "down", "down", "enter")
        assert "sale numbers S-YYYY-0001 S-2025-" in shown
        await quick(pilot, "enter")
        await fill_in(pilot, "R-0001")
        assert "! R-0001 could repeat a number of R-# (hold numbers)" in await quick(pilot, "enter")
        await fill_in(pilot, "re-yyyy-0213")
        await rest(pilot)
        assert "the next is RE-2025-0213" in picture(app)
        shown = await quick(pilot, "enter")
        assert "sale numbers RE-YYYY-0213 none yet RE-2025-0213" in shown
        await quick(pilot, "ctrl+z", "enter")
        await rest(pilot)

    assert loft.ask(setting, "sale numbers") == ""


async def test_in_german_every_title_is_whole_and_a_phone_says_in_a_line_how_to_begin(loft: Ledger) -> None:
    app = desk(loft)
    app.voice.speaker = listen_to({"screen language": "de"})
    async with app.run_test(size=(80, 24)) as pilot:
        shown = await go(pilot, "9")
        assert all(tell(title) in shown for title in TITLES.values())
        assert "Für die Steuerberatung: Verfahren" in shown
        assert "Leertaste drücken und schreiben" in shown
    app = desk(loft)
    app.voice.speaker = listen_to({"screen language": "de"})
    async with app.run_test(size=(40, 24)) as pilot:
        shown = await go(pilot, "9")
        assert "Schreiben, was geschah: Leertaste" in shown
        assert "Leertaste drücken und schreiben" not in shown
