"""Moments, months and sentences gone on with, in English and as another language says them."""

from __future__ import annotations

import copy
import datetime as dt
import pickle

from ledger.costs.explain.naming import month_words
from ledger.money import Currency, said
from ledger.selling.deadlines import moment_in_words
from ledger.wording import Said, a_day, capital, counted, listed, say, spoken, strung, unended, word
from tui.tongue import Tongue

TODAY = dt.date(2025, 6, 4)
GERMAN = Tongue("de", "de_DE")


def test_a_moment_keeps_its_day() -> None:
    said = moment_in_words("2025-06-06T18:00", TODAY)

    assert said == "Friday 6 June, 18:00"
    assert spoken(said, GERMAN) == "Fr., 6. Juni, 18:00"


def test_a_moment_of_another_year_has_the_year_in_every_language() -> None:
    said = moment_in_words("2026-01-02T23:59", TODAY)

    assert said == "Friday 2 January 2026"
    assert spoken(said, GERMAN) == "Fr., 2. Januar 2026"


def test_a_month_keeps_its_day() -> None:
    assert month_words("2025-07") == "Jul 2025"
    assert spoken(month_words("2025-07"), GERMAN) == "Juli 2025"


def test_a_whole_date_is_told_as_any_other_day() -> None:
    day = dt.date(2025, 3, 12)

    assert spoken(a_day(day, "12 March 2025"), GERMAN) == "12.03.2025"


def test_a_sentence_gone_on_with_loses_its_full_stop_in_every_language() -> None:
    sentence = strung((unended(say("Eggs.")), ", here."), "")

    assert sentence == "Eggs, here."
    assert spoken(sentence, GERMAN) == "Eggs, here."
    assert unended("Eggs") == "Eggs"
    assert spoken(unended(strung((a_day(TODAY, "4 June 2025"), "."), "")), GERMAN) == "04.06.2025"


def test_a_sentence_remembers_its_parts_through_a_pipe() -> None:
    price = said(2400, Currency("EUR", 2))
    sentences = (
        say("{n} rows", n=3),
        counted(2, "{n} egg", "{n} eggs"),
        strung((say("Eggs."), listed((word("larva"), "P08")), price), " · "),
        capital(say("egg")),
        unended(say("Eggs.")),
        a_day(TODAY, "June", "MMMM"),
    )

    for sentence in sentences:
        for again in (pickle.loads(pickle.dumps(sentence)), copy.deepcopy(sentence)):
            assert again == sentence
            assert type(again) is type(sentence)
            assert isinstance(again, Said)
            assert spoken(again, GERMAN) == spoken(sentence, GERMAN)
    assert spoken(str(sentences[3]), GERMAN) != spoken(sentences[3], GERMAN)
