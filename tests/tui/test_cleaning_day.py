"""A day of cleaning, as a keeper walks it: what is refused says why, and what is recorded can be seen afterwards."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from types import SimpleNamespace

import pytest
from textual.widgets import Static

from ledger.costs.commands import Spend, TakeOut
from ledger.costs.taken import taken
from ledger.errors import Ambiguous, BadInput, NotEnough
from ledger.ledger import Ledger
from ledger.origin.commands import EndExposure, Expose
from ledger.records import tables as t
from ledger.stock.commands import AddLot, Arrival, Move, OriginStatement, Record, SetLotFact
from ledger.stock.kin import young_of
from tests.tui.business import TODAY
from tests.tui.business import desk as business_desk
from tests.tui.fakes import DeathForm, FakeLedger, desk
from tests.tui.keys import rest, type_in
from tests.tui.loft import count, fill_in, quick
from tests.tui.screenshot import lines, picture
from tests.tui.words import SETTING, SomeWords
from tests.tui.words import TODAY as WORDS_TODAY
from tui.forms.animals import MoveOnForm, many
from tui.forms.costs import SpendForm
from tui.forms.lot_facts import FactForm
from tui.forms.lots import NewLotForm
from tui.jot_line import read_line
from tui.jot_words import Setting
from tui.new_names import new_names
from tui.places.due import DuePlace
from tui.places.ready import ReadyPlace
from tui.places.stock import StockPlace
from tui.telling import preview
from tui.verbs.said import on_day
from tui.widgets.help import Help


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


def test_a_form_takes_a_number_by_sex() -> None:
    values = {"stage": "cocoon", "sex": None, "tub": None, "to_stage": "soft adult", "on": TODAY, "note": ""}

    made = MoveOnForm("P08").command({**values, "count": many("2.1")})

    moved = Move("next stage", 2, "cocoon", to_stage="soft adult", to_sex="male")
    assert made == Record("P08", (moved, replace(moved, count=1, to_sex="female")), TODAY)
    assert many(" 4 ") == ((None, 4),)
    with pytest.raises(BadInput, match="says the sexes already"):
        MoveOnForm("P08").command({**values, "sex": "male", "count": many("2.1")})
    for nonsense in ("0.0", "2.", "two", "2.1.1.1"):
        with pytest.raises(BadInput):
            many(nonsense)


async def test_home_and_end_go_to_the_first_and_last_row_of_a_list(loft: Ledger) -> None:
    app = business_desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await quick(pilot, "3")
        await rest(pilot)
        screen = app.screen
        assert isinstance(screen, StockPlace)
        await quick(pilot, "end")
        assert screen.rows.cursor_row == screen.rows.held - 1 > 0
        await quick(pilot, "home")
        assert screen.rows.cursor_row == 0


async def test_a_supplier_named_by_mistake_is_not_offered_again_and_the_form_lies_there_to_be_corrected(
    loft: Ledger,
) -> None:
    known = loft.suppliers()
    app = business_desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await quick(pilot, "5", "minus")
        await fill_in(pilot, "feed", "9.50", "Kell")
        assert isinstance(app.screen, SpendForm)
        await quick(pilot, "enter")
        assert loft.suppliers() == (*known, "Kell")

        await quick(pilot, "ctrl+z")
        assert loft.suppliers() == known
        assert "Kell" not in loft.vocabulary().suppliers
        shown = await quick(pilot, "minus")
        assert "(as it was left)" in shown
        assert "Kell" in shown
        await quick(pilot, "ctrl+r")
        await rest(pilot)
        assert "(as it was left)" not in picture(app)
        assert isinstance(app.screen, SpendForm)
        assert [row.typed for row in app.screen.rows if row.spec.key == "supplier"] != ["Kell"]


def test_a_name_that_is_begun_or_ends_like_a_payment_is_doubted() -> None:
    def doubts(name: str) -> str:
        return " ".join(new_names(Spend(TODAY, "feed", 950, name), SomeWords())[1])

    assert "much like Ombrel Leaf & Litter" in doubts("ombr")
    assert "looks like a way to pay" in doubts("Kell cash")
    assert doubts("Kell") == doubts("Cash & Sons") == ""

    def of_place(name: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
        return new_names(SetLotFact("P08", "place", name, TODAY), SomeWords())

    doubt = '"egg shelv" is much like egg shelf, where lots stand already.'
    assert of_place("egg shelv") == (("New place: egg shelv.",), (doubt,))
    assert of_place("Egg shelf") == of_place("") == ((), ())


async def test_a_pair_and_the_young_of_a_lot_stand_in_its_story_and_by_the_list_of_what_is_ready(loft: Ledger) -> None:
    loft.do(Record("P01", (Move("tub moved", 1, sex="female", to_tub="F1"),), TODAY), token="tub")
    pair = loft.do(Expose("P01/F1", "P08", TODAY, None, witnessed=True), token="pair").refs["exposure"]

    def story(lot: str) -> list[str]:
        return [row.text for row in loft.story(lot)]

    assert story("P01").count("P01: P01/F1 together with P08, mating seen") == 1
    assert story("P08")[-1] == "P08: P01/F1 together with P08, mating seen"
    assert "P08: laid by P01" in story("P08")
    assert "P01: young: P08" in story("P01")
    assert loft.ask(young_of, "P01") == ("P08",)
    assert loft.ask(young_of, "P08") == ()

    app = business_desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await quick(pilot, "3", "enter")
        assert "young: P08" in " ".join(picture(app).split())
        loft.do(SetLotFact("P01", "purpose", "sale", TODAY), token="sale")
        await quick(pilot, "escape", "2")
        await rest(pilot)
        screen = app.screen
        assert isinstance(screen, ReadyPlace)
        said = {key: screen.detail(key) for key in screen._rows}
        paired = [row.sex for key, row in screen._rows.items() if said[key].startswith("Paired now: P01/F1. ")]
        assert paired == ["female"]

    loft.do(EndExposure(int(pair), TODAY), token="parted")
    assert "P01: P01/F1 and P08 parted" in story("P01")
    assert loft.prove() == ()


async def test_what_holds_for_a_lot_stands_in_the_form_and_is_not_wiped_by_enter(loft: Ledger) -> None:
    loft.do(SetLotFact("P01", "place", "egg shelf", TODAY), token="place")
    before = count(loft, t.lot_fact)
    app = business_desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await quick(pilot, "3")
        await app.open_form(FactForm("P08", "place"))
        form = app.screen
        assert isinstance(form, FactForm)
        (field, _) = form.rows
        assert (field.typed, list(field.spec.known)) == ("shelf [3]", ["egg shelf", "shelf [3]"])
        await quick(pilot, "enter")
        assert "nothing would change" in str(form.query_one("#form-preview", Static).content)
        assert count(loft, t.lot_fact) == before

        field.entry.value = ""
        await quick(pilot, "enter")
        assert 'P08: no place any more from 4 Jun 2025 on; it was "shelf [3]".' in " ".join(picture(app).split())
    assert count(loft, t.lot_fact) == before + 1

    with pytest.raises(BadInput, match="P08 has no note on record; write what it is"):
        loft.preview(SetLotFact("P08", "note", "", TODAY))


def test_a_whole_shelf_is_cleaned_in_one_line_and_a_second_feeding_of_the_day_is_said(loft: Ledger) -> None:
    said = _write(loft, "shelf [3] cleaned and fed")

    assert said == "P08: looked at (cleaned); P08: fed, 4 June 2025."
    assert [(row.text, row.note) for row in loft.story("P08") if row.on == TODAY][:2] == [
        ("P08: looked", "cleaned"),
        ("P08: fed", ""),
    ]
    setting = Setting(loft.vocabulary(), loft.today, loft.currency)
    twice = loft.preview(read_line("all fed", setting))
    assert twice.sentence == "P01: fed; P08: fed, 4 June 2025."
    assert twice.cautions == ("P08 was marked as fed on that day already.",)
    assert loft.preview(read_line("all looked", setting)).cautions == ()


def test_eggs_begin_a_lot_of_their_own_from_the_jot_line_with_their_mothers_named(loft: Ledger) -> None:
    setting = Setting(loft.vocabulary(), loft.today, loft.currency)
    with pytest.raises(Ambiguous) as asked:
        read_line("P01 laid 42 eggs", setting)
    (line,) = asked.value.choices

    said = _write(loft, line)

    assert line == "P01 laid 42 eggs as P09"
    assert "P09" in said
    assert [(row.stage, row.count) for row in loft.stock(lot="P09")] == [("egg", 42)]
    assert loft.ask(young_of, "P01") == ("P08", "P09")
    assert "no father on record with P01" in loft.origin("P09").gaps[0]


async def test_a_bag_bought_unopened_is_in_store_until_it_is_opened_and_in_use_from_then_on(loft: Ledger) -> None:
    bought = _write(loft, "substrate 18.90 Ombrel & Co unopened")
    assert "1 bag" in bought
    assert [row.category for row in loft.in_use()] == []

    opened = _write(loft, "substrate opened lasts 2 weeks")
    assert opened.startswith("1 bag of substrate taken out for all animals, 4 June 2025, used up by 17 June 2025")
    with pytest.raises(NotEnough):
        _write(loft, "substrate opened")

    (row,) = loft.ask(taken, TODAY)
    assert (row.item, row.quantity, row.used_to) == ("substrate", "1 bag", TODAY + dt.timedelta(days=13))
    assert loft.ask(taken, TODAY + dt.timedelta(days=14)) == ()
    app = business_desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await quick(pilot, "5", "ctrl+u")
        await rest(pilot)
        shown = " ".join(picture(app).split())
        assert "store substrate" in shown
        assert "1 in use" in shown


async def test_bags_thought_to_be_finished_are_one_quiet_reminder_under_due(loft: Ledger) -> None:
    assert not any(row.kind == "bag" for row in loft.due())
    for day, text in ((1, "jelly"), (2, "flake"), (3, "oak")):
        loft.do(Spend(dt.date(2025, 3, day), "substrate", 900, text=text), token=text)

    (row,) = [row for row in loft.due() if row.kind == "bag"]
    assert row.sentence.startswith("3 things in use are thought to be finished (jelly, flake and oak)")
    assert (row.on, row.late) == (TODAY, False)

    app = business_desk(loft)
    async with app.run_test(size=(80, 24)) as pilot:
        await rest(pilot)
        screen = app.screen
        assert isinstance(screen, DuePlace)
        screen.rows.move_cursor(row=[row.kind for row in screen._due.values()].index("bag"))
        await quick(pilot, "enter")
        await rest(pilot)
        assert picture(app).count("! over?") == 3


def test_how_many_go_into_each_tub_is_said_where_the_numbers_differ(loft: Ledger) -> None:
    setting = Setting(loft.vocabulary(), loft.today, loft.currency)

    def said(line: str) -> str:
        return loft.preview(read_line(line, setting)).sentence

    assert "10 of 10 L3 moved to tub A (6) and tub B (4)" in said("P08 6 L3 into tub A, 4 L3 into tub B")
    assert "10 of 10 L3 moved to tubs 1 and 2" in said("P08 10 L3 into tubs 1-2")


def test_the_day_of_a_command_line_is_that_of_eggs_and_of_what_was_opened() -> None:
    earlier = WORDS_TODAY - dt.timedelta(days=3)

    def on_that_day(line: str) -> object:
        return on_day(read_line(line, SETTING), earlier, WORDS_TODAY)

    laid = on_that_day("P08 laid 42 eggs as P10")
    assert isinstance(laid, AddLot)
    assert (laid.started_on, laid.laid_on) == (earlier, earlier)
    opened = on_that_day("feed opened lasts 2 weeks")
    assert isinstance(opened, TakeOut)
    assert (opened.on, opened.used_to) == (earlier, earlier + dt.timedelta(days=13))


def test_a_lot_together_with_itself_is_its_females_and_its_males(loft: Ledger) -> None:
    words = loft.vocabulary()
    shown = preview(loft, Expose("P01", "P01", TODAY), words)
    assert shown.sentence.startswith("P01: its females with its males")
    assert not any("for sale" in caution for caution in shown.cautions)  # P01 breeds
    sold = preview(loft, Expose("P01", "P08", TODAY), words)
    assert sold.sentence.startswith("P01 with P08")
    assert [caution for caution in sold.cautions if "takes the pair off the list" in caution]

    loft.do(
        AddLot("P30", "PACH", TODAY, (Arrival("opening", "adult", females=2),), origin=OriginStatement("CB")), token="f"
    )
    loft.do(Expose("P01", "P01", TODAY), token="both")
    assert [row.text for row in loft.story("P01")][-1] == "P01: females and males of P01 together"
    with pytest.raises(BadInput, match="only been female"):
        loft.preview(Expose("P30", "P30", TODAY))


async def test_a_question_mark_that_begins_a_field_is_help_and_elsewhere_a_letter() -> None:
    app = desk(FakeLedger())
    async with app.run_test(size=(100, 24)) as pilot:
        await pilot.press("d")
        form = app.screen
        assert isinstance(form, DeathForm)
        assert "? help" in lines(app)[-1]
        await type_in(pilot, "1?")
        await rest(pilot)
        assert form.rows[0].typed == "1?"
        assert app.screen is form
        await pilot.press("backspace", "backspace", "question_mark")
        await rest(pilot)
        assert isinstance(app.screen, Help)
        await pilot.press("escape")
        await rest(pilot)
        assert app.screen is form
        assert form.rows[0].typed == ""


def test_young_of_a_mother_here_stand_where_she_does_unless_said_otherwise(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(NewLotForm, "desk", SimpleNamespace(jot_setting=lambda: SETTING))
    given = dict.fromkeys(("code", "species", "value", "tub", "note", "place"), "")
    numbers = dict.fromkeys(("unsexed", "males", "females"), 1)
    values = {
        **given,
        **numbers,
        "started_on": TODAY,
        "stage": "egg",
        "purpose": "sale",
        "estimated": "",
        "fathers": (),
    }

    def stands(reason: str, *mothers: str, **other: str) -> str:
        laid = {**values, **other, "reason": reason, "mothers": mothers}
        laid |= {"origin": "bred", "generation": None, "documents": "", "country": "", "supplier": ""}
        return NewLotForm().command(laid).place

    assert stands("laid", "P08/07") == stands("hatched", "p08") == "egg shelf"
    assert stands("laid", "P08", place="rack, upper") == "rack, upper"
    assert stands("laid") == stands("opening", "P08") == ""


def test_what_helps_to_say_more_of_an_origin_is_said_by_keys_on_the_screen(loft: Ledger) -> None:
    line = "P08 laid 5 eggs as P30"
    known = loft.vocabulary()
    said = preview(loft, read_line(line, Setting(known, loft.today, loft.currency)), known)
    helps = [caution for caution in said.cautions if caution.startswith("To say more")]
    assert helps
    assert "on the page of" in helps[0]
    assert "rearledger lot" not in helps[0]
    assert "It stands on: shelf [3]." in said.sentence
