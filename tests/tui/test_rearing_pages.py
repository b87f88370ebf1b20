"""Rearing looks ahead and weighs decisions: every figure shown is the ledger's, and asking never blocks a key."""

from __future__ import annotations

import datetime as dt
import threading
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from textual.widgets import Input

from ledger.errors import Refused
from ledger.ledger import Ledger
from ledger.money import Currency, amount_text
from ledger.rearing.commands import KeepOutlook
from ledger.rearing.mortality import MortalityRow
from ledger.records import tables as t
from ledger.selling.commands import LineOf, Sell
from ledger.stock.commands import AddLot, Arrival, Move, Record
from tests.tui.business import desk
from tests.tui.keys import rest, type_in
from tests.tui.loft import count, go
from tests.tui.screenshot import picture, same_as_stored
from tui.app import Desk
from tui.forms.decide import BetterSurvival, HowMany, LeastPrice, RearOrSell
from tui.forms.what_if import WhatIf
from tui.look import each, signs_for
from tui.places.mortality import MortalityPage, mortality_lines, mortality_picture
from tui.places.outlook import OutlookPage
from tui.places.rearing import RearingPage
from tui.places.stage_times import StageTimesPage
from tui.tongue import listen_to
from tui.widgets.lines import Lines

P08 = ("6", "down", "down")
SIZES = pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=["80x24", "120x40"])


def squeezed(sentence: str) -> str:
    return " ".join(sentence.split())


def field(app: Desk, key: str) -> Input:
    return app.screen.query_one(f"#entry-{key}", Input)


async def write(pilot: Any, key: str, text: str) -> str:
    """Put text into a field as a person does, and wait for the answer."""
    field(pilot.app, key).focus()
    await pilot.press("ctrl+u", "ctrl+k")
    await type_in(pilot, text.replace("%", ""))
    if "%" in text:
        await pilot.press("percent_sign")
    await rest(pilot, 0.5)
    return squeezed(picture(pilot.app))


def said_on(app: Desk) -> str:
    """The sentences below the picture, whether in sight or not."""
    assert isinstance(app.screen, WhatIf)
    assert app.screen.picture is not None
    return " ".join(app.screen.picture.said)


# --- the outlook ------------------------------------------------------------------------------------------------------


@SIZES
async def test_the_outlook_looks_as_stored_and_says_what_the_ledger_says(loft: Ledger, size: tuple[int, int]) -> None:
    (expected,) = loft.coming()
    app = desk(loft)
    async with app.run_test(size=size) as pilot:
        shown = await go(pilot, "6", "O")

        assert isinstance(app.screen, OutlookPage)
        same_as_stored(app, f"outlook-{size[0]}x{size[1]}")
        assert app.screen.picture is not None
        (bars,) = app.screen.picture.parts
        assert f"{expected.words}." in shown
        assert len(bars.rows) == len(expected.weeks) == 12  # type: ignore[union-attr]
        for bar, week in zip(bars.rows, expected.weeks, strict=True):  # type: ignore[union-attr]
            assert (bar.value, bar.low, bar.high) == (week.ready.mean, week.ready.low, week.ready.high)
            assert bar.after == f"in all {week.running.mean:.0f} ({week.running.low} to {week.running.high})"


async def test_the_outlook_of_a_large_ledger_with_many_lots_is_the_same(
    loft: Ledger, monkeypatch: pytest.MonkeyPatch
) -> None:
    loft.do(KeepOutlook(loft.coming()), token="kept before")
    read = []
    for least, many in ((10**9, 50), (0, 0)):
        monkeypatch.setattr("tui.places.outlook.MANY", many)
        app = desk(loft)
        app.voice.speaker = listen_to({"screen language": "de"})
        # From the first movement on it is asked of a process of its own, which says how far it is.
        app.reckoner.least = least
        async with app.run_test(size=(80, 24)) as pilot:
            await go(pilot, "6")
            await go(pilot, "O")
            text = app.screen.query_one("#page-text", Lines)
            read.append(str(text.visual))
    assert "PACH" in read[0]
    assert "Lot by lot" not in read[0], "it is said in the language of the screen"
    assert read[0] == read[1]


async def test_the_first_outlook_of_a_day_is_kept_as_shown_and_the_second_is_not(loft: Ledger) -> None:
    (expected,) = loft.coming()
    app = desk(loft)
    async with app.run_test(size=(120, 40)) as pilot:
        assert count(loft, t.outlook_week) == 0
        assert "is kept: 12 weeks of PACH" in await go(pilot, "6", "O")
        assert count(loft, t.outlook_week) == 12
        assert "is kept" not in await go(pilot, "escape", "O")
        assert count(loft, t.outlook_week) == 12
    with loft.store.reading() as conn:
        kept = conn.execute(t.outlook_week.select().order_by(t.outlook_week.c.first_day)).all()
    assert [(row.low, row.high) for row in kept] == [(week.ready.low, week.ready.high) for week in expected.weeks]


async def test_keys_are_taken_while_the_outlook_is_reckoned(loft: Ledger, monkeypatch: pytest.MonkeyPatch) -> None:
    go_on = threading.Event()
    reckon = Ledger.coming

    def slow(ledger: Ledger, *args: Any, **more: Any) -> Any:
        assert go_on.wait(20)
        return reckon(ledger, *args, **more)

    monkeypatch.setattr(Ledger, "coming", slow)
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("6", "O")
        await pilot.pause(0.3)
        try:
            assert "Reckoning" in picture(app)
            await pilot.press("space")
            await type_in(pilot, "P08 1 L3 died")
            await pilot.pause(0.4)
            assert "P08: 1 of" in picture(app)
        finally:
            go_on.set()
        await go(pilot, "escape")
        assert "in four cases of five" in squeezed(picture(app))


async def test_a_bar_shows_how_far_the_outlook_is_and_escape_stops_it(
    loft: Ledger, monkeypatch: pytest.MonkeyPatch
) -> None:
    seen: list[str] = []
    go_on = threading.Event()
    reckon = Ledger.coming

    def slow(ledger: Ledger, *args: Any, told: Any, **more: Any) -> Any:
        try:
            told(0.5)
            assert go_on.wait(20)
            told(0.6)
        except Refused as refusal:
            seen.append(refusal.sentence)
            raise
        return reckon(ledger, *args, told=told, **more)

    monkeypatch.setattr(Ledger, "coming", slow)
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("6", "O")
        await pilot.pause(0.6)
        try:
            shown = picture(app)
            assert "█" * 20 + "·" * 20 + "  50 %" in shown
            assert "Escape stops it" in shown
            await pilot.press("escape")
        finally:
            go_on.set()
        await rest(pilot, 0.5)
        assert not isinstance(app.screen, OutlookPage)

    assert seen == ["The outlook was stopped before it was done; nothing was kept."]
    assert count(loft, t.outlook_week) == 0


async def test_earlier_outlooks_are_scored_in_words(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        assert "no week of a kept outlook of PACH is over yet" in await go(pilot, "6", "O")
    loft._clock = lambda: dt.datetime(2025, 6, 20, 10, 0)
    (record,) = loft.outlook_record()
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        shown = await go(pilot, "6", "O")

    assert f"Earlier outlooks: {record.words.removeprefix('PACH: ')}" in shown
    assert f"of {len(record.weeks)} weeks fell inside" in shown
    assert len(record.weeks) == 2


async def test_an_empty_ledger_says_why_there_is_no_outlook(bare: Ledger) -> None:
    app = desk(bare)
    async with app.run_test(size=(80, 24)) as pilot:
        assert "No animals are on the way" in await go(pilot, "6", "O")
        assert "nothing drawn here yet" in await go(pilot, "ctrl+o")


# --- sell now or rear on ----------------------------------------------------------------------------------------------


@SIZES
async def test_selling_or_rearing_is_filled_in_from_the_ledger(loft: Ledger, size: tuple[int, int]) -> None:
    (choice,) = loft.rear_or_sell("P08", stage="L3").choices
    app = desk(loft)
    async with app.run_test(size=size) as pilot:
        await go(pilot, *P08, "D", "enter")

        assert isinstance(app.screen, RearOrSell)
        same_as_stored(app, f"rear-or-sell-{size[0]}x{size[1]}")
        assert field(app, "price_now").value == "1.50"
        assert field(app, "price_later").value == "4.50"
        monthly = choice.upkeep_a_day * choice.animals * 365 / 12
        assert field(app, "upkeep").value == amount_text(round(monthly), loft.currency)
        assert said_on(app) == " ".join(choice.words)


async def test_an_edited_field_reckons_anew_and_the_others_stay_the_ledgers_to_the_last_digit(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, *P08, "D", "enter")
        before = said_on(app)
        shown = await write(pilot, "price_now", "4.20")

        (expected,) = loft.rear_or_sell("P08", stage="L3", price_now=420).choices
        assert said_on(app) == " ".join(expected.words) != before
        assert "ledger: 1.50" in shown
        await write(pilot, "buyers", "2")
        (few,) = loft.rear_or_sell("P08", stage="L3", price_now=420, buyers=2).choices
        assert said_on(app) == " ".join(few.words)
        assert "2 buyers to come" in said_on(app)
        await write(pilot, "upkeep", "30")
        monthly = 3000 * 12 / 365 / few.animals
        (dear,) = loft.rear_or_sell("P08", stage="L3", price_now=420, buyers=2, upkeep_a_day=monthly).choices
        assert said_on(app) == " ".join(dear.words)
        await go(pilot, "ctrl+r")
        assert said_on(app) == before
        assert field(app, "price_now").value == "1.50"


async def test_buyers_to_come_are_filled_in_from_the_sales_and_all_lifts_the_limit(loft: Ledger) -> None:
    loft.do(Sell((LineOf("P08", 2, 900, stage="adult", sex="unsexed"),), loft.today, "Tarn"))
    (choice,) = loft.rear_or_sell("P08", stage="L3").choices
    assert choice.demand.buyers
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        shown = await go(pilot, *P08, "D", "enter")

        assert field(app, "buyers").value == str(choice.demand.buyers)
        assert "2 sold in 4 weeks" in shown
        assert said_on(app) == " ".join(choice.words)
        shown = await write(pilot, "buyers", "all")
        assert f"ledger: {choice.demand.buyers}" in shown
        assert "Every one that is reared is taken to find a buyer." in said_on(app)


async def test_another_stage_brings_its_own_prices_or_says_which_is_missing(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, *P08, "D", "enter")
        shown = await go(pilot, "right")

        assert "the price list has no price of cocoons; give one" in shown
        assert field(app, "price_now").value == ""
        await write(pilot, "price_now", "2")
        (expected,) = loft.rear_or_sell("P08", stage="cocoon", price_now=200).choices
        assert said_on(app) == " ".join(expected.words)
        assert field(app, "price_later").value == "4.50"


async def test_what_cannot_be_read_is_said_beside_its_field_and_stays(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, *P08, "D", "enter")
        shown = await write(pilot, "buyers", "many")

        assert '"many" is not a number of buyers' in shown
        assert field(app, "buyers").value == "many"


async def test_a_decision_records_nothing(loft: Ledger) -> None:
    tables = (t.operation, t.entry, t.cost, t.sale, t.price)
    before = [count(loft, table) for table in tables]
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, *P08, "D", "enter")
        await write(pilot, "price_now", "9")
        await go(pilot, "enter", "tab", "enter")

    assert [count(loft, table) for table in tables] == before


# --- how many, the least price, better survival -----------------------------------------------------------------------


async def test_how_many_to_start_is_the_ledgers_answer_and_follows_the_wanted_number(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, *P08, "D", "down", "enter")
        assert isinstance(app.screen, HowMany)
        # Of P08 eight were reared so far: as many as the lots usually gave.
        assert field(app, "wanted").value == "8"
        assert said_on(app) == " ".join(loft.how_many_to_start("PACH", 8).words)
        await write(pilot, "wanted", "30")
        assert said_on(app) == " ".join(loft.how_many_to_start("PACH", 30).words)


async def test_more_are_started_where_fewer_would_be_reared(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, *P08, "D", "down", "enter")
        numbers = []
        for share in ("90 %", "60 %", "30 %"):
            await write(pilot, "survival", share)
            assert isinstance(app.screen, HowMany)
            assert app.screen.picture is not None
            (bars,) = app.screen.picture.parts
            numbers.append([bar.value for bar in bars.rows])  # type: ignore[union-attr]
            assert f"were {share} of L1 reared" in said_on(app)

    assert numbers[0][0] < numbers[1][0] < numbers[2][0]


async def test_the_least_price_follows_the_margin_and_judges_the_price_asked(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, *P08, "D", "down", "down", "enter")
        assert isinstance(app.screen, LeastPrice)
        assert field(app, "price").value == "4.50"
        assert said_on(app) == " ".join(loft.what_to_charge("PACH").words)
        await write(pilot, "margin", "30 %")
        assert said_on(app) == " ".join(loft.what_to_charge("PACH", margin=0.3).words)
        await write(pilot, "price", "0.10")
        verdict = loft.what_to_charge("PACH", margin=0.3).floor.verdict(10.0)
        assert verdict
        assert f"At 0.10 EUR: {verdict}." in said_on(app)


async def test_better_survival_starts_ten_points_above_todays(loft: Ledger) -> None:
    today = loft.what_to_charge("PACH", survival=1.0).better
    assert today is not None
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, *P08, "D", "down", "down", "down", "enter")
        assert isinstance(app.screen, BetterSurvival)
        assert field(app, "survival").value == f"{(today.survival + 0.1) * 100:.0f} %"
        await write(pilot, "survival", "80 %")
        assert loft.what_to_charge("PACH", survival=0.8).words[-1] in said_on(app)
        refused = await write(pilot, "survival", "0 %")
        assert "The survival must be above 0" in refused


# --- curves, stage times, losses --------------------------------------------------------------------------------------


async def test_a_species_shows_the_curve_of_its_lots_together(loft: Ledger) -> None:
    for code, reared, lost in (("P21", 18, 2), ("P22", 9, 11), ("P23", 14, 6)):
        start = dt.date(2024, 9, 1)
        loft.do(AddLot(code, "PACH", start, (Arrival("hatched", "L1", unsexed=reared + lost),)))
        loft.do(Record(code, (Move("died", lost, stage="L1"),), start + dt.timedelta(days=20)))
        loft.do(Record(code, (Move("next stage", reared, stage="L1", to_stage="adult"),), dt.date(2025, 2, 1)))
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        shown = await go(pilot, "6", "enter")

        assert isinstance(app.screen, RearingPage)
        assert "4 lots counted from L1" in shown
        assert app.screen.picture is not None
        # The sentences of the command stand under the curve, the next lot's range among them.
        for sentence in loft.survival_of_species("PACH").words:
            assert sentence in app.screen.picture.said
        assert any(sentence.startswith("The next lot: of ") for sentence in app.screen.picture.said)
        assert "░" in shown


async def test_lots_that_do_not_tell_have_no_curve_and_the_page_says_why(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        shown = await go(pilot, "6", "enter")

        assert "PACH has no common curve" in shown


@SIZES
async def test_stage_times_look_as_stored_and_are_the_ledgers(loft: Ledger, size: tuple[int, int]) -> None:
    times = [one for one in loft.stage_times("PACH") if one.days is not None]
    app = desk(loft)
    async with app.run_test(size=size) as pilot:
        await go(pilot, *P08, "t")

        assert isinstance(app.screen, StageTimesPage)
        same_as_stored(app, f"stage-times-{size[0]}x{size[1]}")
        assert app.screen.picture is not None
        rule, bars = app.screen.picture.parts
        assert [span.days for span in rule.spans] == [one.days for one in times]  # type: ignore[union-attr]
        assert [span.own for span in rule.spans] == [one.own_weight > 0 for one in times]  # type: ignore[union-attr]
        assert [bar.value for bar in bars.rows] == [one.days for one in times]  # type: ignore[union-attr]


@SIZES
async def test_a_lot_shows_the_days_its_stages_take(loft: Ledger, size: tuple[int, int]) -> None:
    times = {one.stage: one for one in loft.stage_times("PACH")}
    app = desk(loft)
    async with app.run_test(size=size) as pilot:
        shown = await go(pilot, *P08, "l")

        same_as_stored(app, f"lot-{size[0]}x{size[1]}")
        for stage in ("L3", "cocoon"):
            sign = "" if times[stage].own_weight == 1 else "~"
            assert f"{stage} {sign}{times[stage].days:.0f}" in shown
        assert isinstance((await go(pilot, "t"), app.screen)[1], StageTimesPage)


async def test_what_losses_cost_is_the_ledgers_and_of_the_year_asked_for(loft: Ledger) -> None:
    loft.do(AddLot("P30", "PACH", dt.date(2025, 1, 1), (Arrival("hatched", "L1", unsexed=10),)))
    loft.do(Record("P30", (Move("died", 3, stage="L1"),), dt.date(2025, 2, 1)))
    loft.do(Record("P30", (Move("next stage", 7, stage="L1", to_stage="adult"),), dt.date(2025, 5, 1)))
    (row,) = loft.mortality(2025)
    assert row.price > 0
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        shown = await go(pilot, "6", "L")

        assert isinstance(app.screen, MortalityPage)
        assert f"PACH {row.reared} {row.lost}" in shown
        assert f"{each(row.actual, loft.currency)} {each(row.price, loft.currency)}" in shown
        assert "No lot finished rearing in 2024" in await go(pilot, "left")
        assert "PACH 7 3" in await go(pilot, "right")


# --- saved pictures ---------------------------------------------------------------------------------------------------


async def test_every_picture_is_saved_by_one_key_and_never_over_another(loft: Ledger, tmp_path: Path) -> None:
    folder = tmp_path / "papers"
    folder.mkdir()
    app = desk(loft, papers=folder)
    async with app.run_test(size=(80, 24)) as pilot:
        for keys in (
            ("6", "O", "ctrl+o", "escape"),
            ("down", "down", "t", "ctrl+o", "escape"),
            ("enter", "ctrl+o", "escape"),
            ("D", "enter", "ctrl+o", "escape"),
            ("D", "down", "enter", "ctrl+o", "escape"),
            ("D", "down", "down", "enter", "ctrl+o", "escape"),
            ("D", "down", "down", "down", "enter", "ctrl+o", "escape"),
        ):
            await go(pilot, *keys)
        names = sorted(path.name for path in folder.iterdir())
        first = (folder / "outlook-pach-2025-06-04-r1.svg").read_bytes()
        said = await go(pilot, "O", "ctrl+o")

    assert names == [
        "better-survival-pach-r1.svg",
        "how-many-to-start-pach-r1.svg",
        "outlook-pach-2025-06-04-r1.svg",
        "price-floor-pach-r1.svg",
        "rear-or-sell-p08-l3-r1.svg",
        "rearing-p08-r1.svg",
        "stage-times-pach-r1.svg",
    ]
    assert "The picture is" in said
    assert (folder / "outlook-pach-2025-06-04-r1.svg").read_bytes() == first
    assert (folder / "outlook-pach-2025-06-04-r2.svg").exists()


async def test_a_picture_that_cannot_be_written_says_so(loft: Ledger, tmp_path: Path) -> None:
    app = desk(loft, papers=tmp_path / "nowhere")
    async with app.run_test(size=(80, 24)) as pilot:
        assert "Nothing can be written to" in await go(pilot, "6", "O", "ctrl+o")


def test_on_a_phone_losses_are_said_in_sentences_with_the_same_figures() -> None:
    row = MortalityRow(
        "PACH", 2025, ("P08",), 9, 11, Fraction(1, 2), Fraction(900), Fraction(50), Fraction(80), Fraction(100),
        Fraction(450), Fraction(120), "",
    )  # fmt: skip
    money = Currency.of("EUR")

    lines = mortality_lines(2025, (row,), money, mortality_picture(2025, (row,), money), 36, signs_for())

    assert [line.strip() for line in lines[:5]] == [
        "PACH: 9 reared, 11 lost (50 %",
        "expected)",
        "losses cost 4.50 EUR",
        "of it 1.20 beyond expected",
        "one adult 1.00; had none died 0.50",
    ]
    assert max(map(len, lines)) <= 36


async def test_the_decision_comes_first_and_page_down_moves_what_it_rests_on(loft: Ledger) -> None:
    (choice,) = loft.rear_or_sell("P08", stage="L3").choices
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, *P08, "D", "enter")
        text = app.screen.query_one("#whatif-answer")

        shown = squeezed(picture(app))
        assert shown.index(choice.words[0][:40]) < shown.index("sell now │")
        assert text.scroll_y == 0
        await go(pilot, "pagedown")
        assert text.scroll_y > 0
        await go(pilot, "pageup")
        assert text.scroll_y == 0
        assert app.focused is not None
        assert app.focused.id is not None
        assert app.focused.id.startswith("entry-")


async def test_a_lot_is_found_in_rearing_by_its_species(loft: Ledger) -> None:
    app = desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await go(pilot, "6")
        everything = app.screen.rows.held  # type: ignore[attr-defined]
        await go(pilot, "f", *"PACH")

        assert app.screen.rows.held == everything  # type: ignore[attr-defined]
        await go(pilot, "escape", "f", *"P08")
        assert app.screen.rows.held == 1  # type: ignore[attr-defined]


def test_headings_of_losses_stand_apart_at_eighty_cells_and_the_species_are_added_up() -> None:
    row = MortalityRow(
        "PACH", 2025, ("P08",), 9, 11, Fraction(1, 2), Fraction(900), Fraction(50), Fraction(80), Fraction(100),
        Fraction(450), Fraction(120), "",
    )  # fmt: skip
    rows = (row, replace(row, species="HIER", reared=4, lost=61, price=Fraction(1000), beyond=Fraction(-20)))
    money = Currency.of("EUR")
    drawn = mortality_picture(2025, rows, money)

    lines = mortality_lines(2025, rows, money, drawn, 76, signs_for())

    for line in lines[:2]:
        assert not {"expectedhad", "diedexpected", "costexpected"} & set(line.replace("  ", " ").split())
    assert [line.split() for line in lines[:2]] == [
        ["expected", "had", "none", "at", "the", "as", "it", "losses", "beyond"],
        ["species", "reared", "lost", "reared", "died", "expected", "was", "cost", "expected"],
    ]
    together = next(line for line in lines if line.startswith("together"))
    assert together.split() == ["together", "13", "72", "14.50", "1.00"]
