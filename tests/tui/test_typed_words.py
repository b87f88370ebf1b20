"""What is typed in the language of the screen is read; English always is."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import replace

import pytest

from ledger.errors import BadInput, Refused
from ledger.stock.commands import Move, Record
from ledger.stock.words import animals, counted_stage
from ledger.wording import a_day, decimals, in_short, say, spoken, word
from tests.tui.words import SETTING
from tui import tongue, typed_words
from tui.forms.costs import _life, life_words
from tui.jot_line import _cut_day, read_line
from tui.jot_trade import read_until
from tui.jot_words import Setting
from tui.look import short, without_year
from tui.places.ready import short_sex
from tui.spans import read_span
from tui.tongue import Tongue
from tui.typed_words import day_in_english, known_word, typed_day
from tui.widgets.fields import FieldSpec, day, in_days, text
from tui.widgets.help import JOTS as EXAMPLES

TODAY = dt.date(2026, 11, 30)
"""A Monday."""


@pytest.fixture
def german() -> Iterator[Tongue]:
    speaker = Tongue("de", "de_DE")
    tongue.speak(speaker)
    yield speaker
    tongue.speak(None)


@pytest.mark.parametrize(
    ("typed", "read"),
    [
        ("heute", TODAY),
        ("Gestern", dt.date(2026, 11, 29)),
        ("Freitag", dt.date(2026, 11, 27)),
        ("fr", dt.date(2026, 11, 27)),
        ("Fre", dt.date(2026, 11, 27)),
        ("15 Dez", dt.date(2025, 12, 15)),
        ("15. Dezember 2026", dt.date(2026, 12, 15)),
        ("5. Sept.", dt.date(2026, 9, 5)),
        ("3. März", dt.date(2026, 3, 3)),
        ("Sonntag, 29.11.2026", dt.date(2026, 11, 29)),
        ("yesterday", dt.date(2026, 11, 29)),
        ("5 oct", dt.date(2026, 10, 5)),
    ],
)
def test_a_day_is_read_in_german_and_in_english(german: Tongue, typed: str, read: dt.date) -> None:
    assert day(TODAY)(typed) == read


@pytest.mark.parametrize("typed", ["letzten Freitag", "letzter fr", "am letzten Freitag", "last fri"])
def test_the_last_such_weekday_is_read_in_german(german: Tongue, monkeypatch: pytest.MonkeyPatch, typed: str) -> None:
    # The words themselves are the catalogue's.
    monkeypatch.setattr(typed_words, "_LAST", say("letzten|letzter|am letzten{jot}", jot=""))

    assert typed_day(typed, TODAY) == dt.date(2026, 11, 27)
    assert read_line(f"P08 3 died {typed}", replace(SETTING, today=TODAY)) == Record(
        "P08", (Move("died", 3),), dt.date(2026, 11, 27)
    )
    with pytest.raises(BadInput):
        typed_day("letzten", TODAY)


def test_german_days_are_no_days_on_an_english_screen() -> None:
    for typed in ("heute", "15 Dez", "Freitag"):
        with pytest.raises(BadInput):
            typed_day(typed, TODAY)


def test_what_is_no_day_in_any_language_is_refused(german: Tongue) -> None:
    for typed in ("futter", "30. Februar", "Ju", "5 J"):
        with pytest.raises(BadInput):
            typed_day(typed, TODAY)


def test_what_the_screen_writes_for_a_day_can_be_typed_back(german: Tongue) -> None:
    for ago in range(0, 360, 3):
        one = TODAY - dt.timedelta(days=ago)
        for written in (short(one), without_year(one), short(one, "mdy"), tongue.tell(in_days(one))):
            order = "mdy" if written == short(one, "mdy") else "dmy"
            assert typed_day(written, TODAY, order) == one, written  # type: ignore[arg-type]
        assert typed_day(tongue.tell(a_day(one, "", "MMMMd")), TODAY) == one


def test_lengths_of_time_are_read_and_written_in_german(german: Tongue) -> None:
    assert [_life(typed) for typed in ("2 Monate", "1 Monat", "5 Jahre", "3 Wochen", "10 Tage", "2 months")] == [
        *(60, 30, 1825, 21, 10, 60)
    ]
    assert [_life(life_words(days)) for days in (1, 10, 7, 14, 365, 730)] == [1, 10, 7, 14, 365, 730]
    assert life_words(730) == "2 Jahre"
    with pytest.raises(BadInput):
        _life("2 Kisten")


def test_english_lengths_stay_as_they_are() -> None:
    assert (life_words(730), life_words(30)) == ("2 years", "1 month")
    with pytest.raises(BadInput):
        _life("2 Monate")


def test_a_known_word_is_read_in_german(german: Tongue) -> None:
    known = ["feed", "heat", "our own kind"]

    assert tongue.tell(word("feed")) == "Futter"
    assert [known_word(typed, known) for typed in ("Futter", "futter ", "feed", "our own kind", "Fu")] == [
        *("feed", "feed", "feed", "our own kind", "Fu")
    ]
    assert known_word("Futter", [*known, "Futter"]) == "Futter", "a keeper's own word is itself"


def test_a_field_begins_in_german_and_is_read_as_known(german: Tongue) -> None:
    spec = FieldSpec("category", "on what", text("category"), "feed", known=["feed", "heat"])
    several = FieldSpec("for", "for", text("for"), "all", known=["all", "P08", "P09"], several=True)

    assert (spec.start, spec.read_typed(spec.start)) == ("Futter", "feed")
    assert several.read_typed("P09 alle") == "P09 all"
    assert FieldSpec("on", "when", day(TODAY), "today").start == "heute"


def test_a_field_of_an_english_screen_is_as_it_was_written() -> None:
    spec = FieldSpec("category", "on what", text("category"), "feed", known=["feed", "heat"])

    assert (spec.start, spec.read_typed("Futter")) == ("feed", "Futter")
    assert in_days(TODAY) == "Monday 30 November 2026"


@pytest.mark.parametrize(
    ("line", "cut"),
    [
        ("P08 3 died gestern", ("P08 3 died", dt.date(2026, 11, 29))),
        ("P08 3 died 15. Dez", ("P08 3 died", dt.date(2025, 12, 15))),
        ("P08 3 died 15. Dez 2024", ("P08 3 died", dt.date(2024, 12, 15))),
        ("feed 3 Son", ("feed 3 Son", TODAY)),
    ],
)
def test_a_day_after_a_jot_line(german: Tongue, line: str, cut: tuple[str, dt.date]) -> None:
    setting = Setting.__new__(Setting)
    object.__setattr__(setting, "today", TODAY)
    object.__setattr__(setting, "order", "dmy")

    assert _cut_day(line, setting) == cut


def test_a_german_weekday_is_told(german: Tongue) -> None:
    assert tongue.tell(in_days(dt.date(2026, 11, 29))).startswith("Sonntag")
    assert day_in_english("Sonntag") == "sun"


def test_a_deadline_is_typed_in_german(german: Tongue) -> None:
    setting = Setting.__new__(Setting)
    object.__setattr__(setting, "today", TODAY)
    object.__setattr__(setting, "order", "dmy")

    assert read_until("Freitag", setting) == "2026-12-04"
    assert read_until("15. Dez 18:00", setting) == "2026-12-15T18:00"


def test_what_animals_are_called_can_be_said_in_another_order() -> None:
    class Behind(Tongue):
        def message(self, message: str) -> str:
            return {"{count} {sex} {stage}": "{count} {stage}, {sex}"}.get(message, super().message(message))

    assert animals(5, "adult", "female") == "5 female adults"
    assert spoken(animals(5, "adult", "female"), Behind("de")) == "5 Alttiere, weiblich"


def test_a_sex_in_the_list_of_what_is_ready_has_words_of_its_own() -> None:
    assert (short_sex("male"), short_sex("female")) == ("male", "female")
    assert short_sex("male").message == "male{in_short}"  # type: ignore[attr-defined]


JOTS = (
    ("P08 3 gestorben", "P08 3 died"),
    ("P08 2 weiche Alttiere gestorben außergewöhnlich", "P08 2 soft adults died exceptional"),
    ("P08 12 L3 zu Kokon gestern", "P08 12 L3 to cocoon yesterday"),
    ("E03 10 L3 in Dosen 1-10", "E03 10 L3 into tubs 1-10"),
    ("P08 gefüttert und nachgesehen", "P08 fed and looked"),
    ("P08 3 Kokons ausgehärtet gesehen", "P08 3 cocoon seen hard"),
    ("P08 legte 42 Eier als X1", "P08 laid 42 eggs as X1"),
    ("alle gefüttert", "all fed"),
    ("Futter 24,00 an Futter Meier", "feed 24.00 an Futter Meier"),
    ("Strom 24,00 Ombrel für Mai", "power 24.00 Ombrel for may"),
    ("Ausrüstung 145 Nib & Crate Fittings hält 5 Jahre", "equipment 145 Nib & Crate Fittings lasts 5 years"),
    ("verkaufe E03 5 für 18,00 an Karte Ei bezahlt bar", "sell E03 5 at 18.00 to Karte Ei paid cash"),
    ("P08 3 gestorben Notiz zu an und", "P08 3 died note zu an und"),
)


@pytest.mark.parametrize(("told", "english"), JOTS)
def test_a_jot_line_is_read_in_german(german: Tongue, told: str, english: str) -> None:
    assert read_line(told, SETTING) == read_line(english, SETTING)


def test_the_examples_of_the_help_are_read_as_they_are_shown(german: Tongue) -> None:
    for line, _ in EXAMPLES:
        assert tongue.tell(line) != line
        lot = ("P08 10 L3", "P09 10 L3")  # P08 of these words has labelled tubs already
        assert read_line(tongue.tell(line).replace(*lot), SETTING) == read_line(line.replace(*lot), SETTING)


def test_german_words_are_no_words_of_an_english_jot_line() -> None:
    for told, _ in JOTS[:4]:
        with pytest.raises(Refused):
            read_line(told, SETTING)


@pytest.mark.parametrize(
    ("told", "english"),
    [
        ("Nov", "nov"),
        ("1. Nov bis 30. Nov", "1 nov to 30 nov"),
        ("letzter Monat", "last month"),
        ("Mai 2025", "may 2025"),
    ],
)
def test_a_period_is_read_in_german(german: Tongue, told: str, english: str) -> None:
    assert read_span(told, TODAY) == read_span(english, TODAY)
    with pytest.raises(BadInput, match="is no period"):
        read_span("1. Nov bis Futter", TODAY)


def test_what_is_weighed_and_reckoned_has_the_sign_of_the_language(german: Tongue) -> None:
    assert decimals("2.5") == "2.5"
    assert tongue.tell(decimals("2.5")) == "2,5"
    assert [tongue.tell(in_short(one)) for one in ("soft adult", "adult", "my own stage")] == [
        *("weich", "Alttier", "my own stage")
    ]
    assert counted_stage(3, "adult", "female") == "3 adult female"
    assert tongue.tell(counted_stage(3, "adult", "female")) == "3 Alttiere, weiblich"
