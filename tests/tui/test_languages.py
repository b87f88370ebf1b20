"""The screen in other languages: nothing is missing, nothing stays English by mistake, nothing is cut off unseen."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterator, Sequence
from pathlib import Path

import pytest
from rich.cells import cell_len, set_cell_size

from exports.documents.sentences import ENDING
from ledger.books.income import Income
from ledger.days import long_day
from ledger.ledger import Ledger
from ledger.money import Currency, amount_text, parse_amount, said
from ledger.wording import Said, capital, counted, listed, say, spoken, strung
from tests.exports.documents import catalogues as papers
from tests.exports.documents.test_catalogues import missing, said_by, texts
from tests.tui import catalogues
from tests.tui.business import desk
from tests.tui.loft import go, quick
from tests.tui.screenshot import picture
from tui import key_table, places, tongue
from tui.charts import beside, fit
from tui.places import PLACES
from tui.places.listing import ListScreen
from tui.places.mortality import HEADS
from tui.places.year_lines import income_lines
from tui.plain import cell, drawing, within
from tui.tongue import LANGUAGES, SOURCE, Tongue
from tui.widgets.paged import Column, widths_of

OTHERS = [language for language in LANGUAGES if language != SOURCE]
_VALUE = re.compile(r"\{[a-z0-9_]+\}")
OPEN, CLOSE, MORE = "⟦", "⟧", "…"


class Longer(Tongue):
    """No language: every message half as long again, between brackets that show where one is cut off."""

    def __init__(self) -> None:
        self.code, self._locale = "de", "de"

    def message(self, message: str) -> str:
        bare = _VALUE.sub("", message)
        return f"{OPEN}{message}{'~' * (len(bare) // 2)}{CLOSE}" if any(map(str.isalpha, bare)) else message

    def plural(self, one: str, many: str, n: int) -> str:
        return self.message(one if n == 1 else many)


@pytest.fixture
def german() -> Iterator[Tongue]:
    speaker = Tongue("de", "de_DE")
    tongue.speak(speaker)
    yield speaker
    tongue.speak(None)


# --- what is said ---


def test_a_sentence_is_english_text_and_can_be_said_again() -> None:
    day, price = long_day(dt.date(2025, 3, 12)), said(2400, Currency("EUR", 2))
    sentence = say("{lot}: {what} on {day} for {price}", lot="P08", what=listed(["a", "b", "c"]), day=day, price=price)

    assert sentence == "P08: a, b and c on 12 March 2025 for 24.00 EUR"
    assert isinstance(sentence, Said)
    assert spoken(sentence, Longer()).startswith(f"{OPEN}P08: a, b und c on 12.03.2025 for 24,00\xa0€~")


def test_an_amount_is_written_one_way_with_its_currency_and_without(german: Tongue) -> None:
    money = Currency("EUR", 2)

    assert [amount_text(-123456, money), amount_text(5, Currency("JPY", 0))] == ["-1234.56", "5"]
    assert [tongue.tell(amount_text(n, money)) for n in (-123456, 50, 0)] == ["-1234,56", "0,50", "0,00"]
    assert tongue.tell(amount_text(5, Currency("JPY", 0))) == "5"
    assert parse_amount(tongue.tell(amount_text(1250, money)), money) == 1250


def test_sentences_strung_together_keep_their_parts() -> None:
    both = strung([say("One."), say("Two.")], " ") + " " + say("Three.")

    assert both == "One. Two. Three."
    assert spoken(both, Longer()) == "⟦One.~~⟧ ⟦Two.~~⟧ ⟦Three.~~~⟧"
    assert spoken(f"{both}", Longer()) == "One. Two. Three.", "an f-string has forgotten them"


def test_a_sentence_without_the_spaces_at_its_end_keeps_its_parts() -> None:
    sentence = say("{what} died. {note}", what=say("egg"), note="").rstrip()

    assert sentence == "egg died."
    assert spoken(sentence, Longer()).startswith("⟦⟦egg~⟧ died.")


def test_what_a_paper_states_of_an_origin_is_told_as_on_a_paper(german: Tongue) -> None:
    kept = "P08: captive bred, F1 by our records; no gaps in our records. By our records; not a certificate."
    short = tongue.on_paper(kept, ending=False)

    assert short == "P08: captive bred, F1 by our records; no gaps in our records."
    assert tongue.tell(short).startswith("P08: Nachzucht, F1")
    assert tongue.tell(tongue.on_paper(kept)) == f"{tongue.tell(short)} {german.paper.say(ENDING)}"
    assert tongue.tell(tongue.on_paper("something else")) == "something else"


def test_plurals_are_those_of_the_language(german: Tongue) -> None:
    eggs = [counted(n, "{n} egg", "{n} eggs") for n in (0, 1, 2)]

    assert eggs == ["0 eggs", "1 egg", "2 eggs"]
    assert spoken(capital(say("egg")), german) == "Ei"


def test_what_people_wrote_is_never_a_message(german: Tongue) -> None:
    assert tongue.tell("{lot} died") == "{lot} died"
    assert spoken(say("{what}", what="{lot} {0} died"), german) == "{lot} {0} died"


# --- the catalogues ---


def test_the_template_holds_exactly_the_messages_of_the_code() -> None:
    assert catalogues.TEMPLATE.read_bytes() == papers.po(catalogues.extracted()), "run `python -m tests.tui.catalogues`"


@pytest.mark.parametrize("language", OTHERS)
def test_no_message_is_missing(language: str) -> None:
    wanted = catalogues.extracted()

    assert missing(papers.translated(language, catalogues.FOLDER), wanted) == []
    assert len(wanted) > 2000
    wanted.add("A sentence nobody has translated yet.")
    assert missing(papers.translated(language, catalogues.FOLDER), wanted) == ["A sentence nobody has translated yet."]


@pytest.mark.parametrize("language", OTHERS)
def test_every_translation_has_the_values_of_its_message(language: str) -> None:
    wrong = []
    for message in papers.translated(language, catalogues.FOLDER):
        ids, translations = texts(message)
        for text in translations if message.id else ():
            if set(_VALUE.findall(text)) not in [set(_VALUE.findall(one)) for one in ids]:
                wrong.append((ids[0], text))

    assert wrong == []


@pytest.mark.parametrize("language", OTHERS)
def test_what_is_shipped_is_what_was_translated(language: str) -> None:
    shipped = (catalogues.FOLDER / f"{language}.mo").read_bytes()

    assert said_by(shipped) == said_by(papers.compiled(language, catalogues.FOLDER)), (
        "run `python -m tests.tui.catalogues`"
    )


# --- the screen ---


async def test_the_places_speak_german(loft: Ledger, german: Tongue) -> None:
    app = desk(loft)
    async with app.run_test(size=(120, 24)) as pilot:
        due, ready = await go(pilot), await go(pilot, "2")
        costs = await go(pilot, "5")

    assert "1 Fällig" in due
    assert "Runde fällig" in due
    assert "04.06.2025" in due
    assert "Nachzucht" in ready
    assert "24,00" in costs or "24.00" in costs
    assert not re.search(r"\b(the|and|what|since)\b", due + ready)


_WORD = re.compile(r"[^\W\d_]{2,}")
OF_THE_KEEPER = "leave shelf keeper leaf litter note red loft egg not known english"
"""Words of the invented loft and its names, and what is typed into fields, that are English."""


def _only_english() -> set[str]:
    """Words that stand in messages and in no translation of one."""
    english, german = set(), set()
    for message in papers.translated("de", catalogues.FOLDER):
        ids, translations = texts(message)
        english |= {word.casefold() for text in ids for word in _WORD.findall(_VALUE.sub(" ", text))}
        german |= {word.casefold() for text in translations for word in _WORD.findall(_VALUE.sub(" ", text))}
    return english - german - set(OF_THE_KEEPER.split())


def _english_in(shown: str, english: set[str]) -> list[str]:
    return [line.strip() for line in shown.split("\n") if {w.casefold() for w in _WORD.findall(line)} & english]


WALK = (
    *(str(n) for n in range(1, 10)),
    "2 s",
    "3 l",
    "3 l <",
    "4 enter",
    "4 H",
    "4 j",
    "5 e",
    "5 ctrl+u",
    "6 enter",
    "8 d enter",
)


async def test_a_german_screen_holds_no_english_but_the_keepers_own_words(loft: Ledger, german: Tongue) -> None:
    english = _only_english()
    app = desk(loft)
    found = {}
    async with app.run_test(size=(110, 40)) as pilot:
        for walk in WALK:
            await quick(pilot, *("less_than_sign" if key == "<" else key for key in walk.split()))
            lines = _english_in(picture(app), english)
            if lines:
                found[walk] = lines
            while len(app.screen_stack) > 1:
                await app.pop_screen()

    assert found == {}
    assert _english_in("Runde\n3 of 14 larvae died, yesterday", english) == ["3 of 14 larvae died, yesterday"]


def test_a_long_sentence_below_a_list_is_cut_with_a_sign() -> None:
    assert within(say("one two three"), 5, 3) == "one two three"
    assert within(say("one two three"), 5, 2) == "one\ntwo…"


def test_lines_put_together_to_be_shown_keep_their_words(german: Tongue) -> None:
    assert drawing([say("egg"), say("egg")]).plain == "Ei\nEi" != "\n".join([say("egg"), say("egg")])


def _lists() -> list[type[ListScreen[object]]]:
    list(key_table.screens())
    found, more = [], list(ListScreen.__subclasses__())
    while more:
        one = more.pop()
        more += one.__subclasses__()
        # Lists that other tests made for themselves are none of the screen.
        found += [one] if one.COLUMNS and one.__module__.startswith("tui.") else []
    return sorted(found, key=lambda one: one.__name__)


def _headings(columns: Sequence[Column]) -> Iterator[tuple[int, Column]]:
    """Every heading of a list with the cells it has, on a phone, a laptop and a wide screen."""
    for screen in (40, 80, 120, 200):
        yield from ((wide, column) for _, wide, column in widths_of(columns, screen, screen - 1))


def _too_long(columns: Sequence[Column]) -> list[str]:
    return [
        f"{tongue.tell(c.words)} ({wide})" for wide, c in _headings(columns) if cell_len(tongue.tell(c.words)) > wide
    ]


@pytest.mark.parametrize("language", list(LANGUAGES))
def test_every_heading_of_every_list_has_room_in_its_column(language: str) -> None:
    tongue.speak(Tongue(language) if language != SOURCE else None)
    lists = _lists()
    found = {one.__name__: cut for one in lists if (cut := _too_long(one.COLUMNS))}
    control = _too_long([Column("a heading that is too long", 8), Column("rest")])
    tongue.speak(None)

    assert found == {}
    assert len(lists) > 30
    assert control == ["a heading that is too long (8)"] * 4


def test_a_heading_in_longer_words_is_cut_with_a_sign() -> None:
    tongue.speak(Longer())
    unsigned = [
        (one.__name__, said)
        for one in _lists()
        for wide, column in _headings(one.COLUMNS)
        if any(map(str.isalpha, column.words))
        and not (said := cell(column.words, wide, right=column.right).strip()).endswith((CLOSE, MORE))
    ]
    control = set_cell_size(tongue.tell(say("enter does")), 8).strip()
    tongue.speak(None)

    assert unsigned == []
    assert not control.endswith((CLOSE, MORE))


async def test_longer_words_are_cut_with_a_sign_or_not_at_all(loft: Ledger) -> None:
    """Half as long again: each message that begins on the screen ends there, or with the sign that more follows."""
    tongue.speak(Longer())
    app = desk(loft)
    cut = {}
    async with app.run_test(size=(80, 24)) as pilot:
        for number, place in enumerate(PLACES, start=1):
            shown = await go(pilot, str(number))
            shown = shown[shown.index("┴") :]  # the names of the places above the rule are cut to fit beside each other
            if shown.count(OPEN) > shown.count(CLOSE) + shown.count(MORE):
                cut[place.NAME] = shown
    tongue.speak(None)

    assert cut == {}


def test_columns_of_a_text_page_have_a_space_between_however_long_their_words_are() -> None:
    money = Currency("EUR", 2)
    none = Income(2025, False, (), 0, 0, (), ())
    tongue.speak(Longer())
    heading = income_lines(none, money, 76)[0]
    tongue.speak(None)

    assert re.search(r"\S +⟦accru\S*(?:…|⟧)$", heading), heading
    assert beside("abcdef", 4) == " ab…"
    assert fit("abcdef", 4, right=True) == "abc…", "which leaves no space"


def test_the_headings_of_what_losses_cost_fit_at_80_columns() -> None:
    for head, wide in zip(HEADS, (7, 6, *(9,) * 6), strict=True):
        assert max(map(cell_len, head.rpartition(" ")[::2])) < wide


def test_a_sum_of_one_is_in_the_singular() -> None:
    made = ["costs", "lot", "sales", "rearing", "due", "listing", "customers", "journal", "affected", "stock"]
    plural = re.compile(r'say\(\s*"\{\w+\} (things|costs|lots|sales|rows|entries|customers|lines)\b')
    found = [one for one in made if plural.search(Path(places.__file__).with_name(f"{one}.py").read_text("utf-8"))]

    assert found == []
    assert plural.search('say("{due} things", due=1)')
