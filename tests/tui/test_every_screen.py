"""Every place, page and form in a language in which everything said stands between signs: what stands outside them has
been forgotten by the catalogue, what opens and does not close has been cut off."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from rich.cells import cell_len
from textual.widgets import Input

from ledger import wording
from ledger.errors import Refused
from ledger.ledger import Ledger
from ledger.wording import Said, say, strung
from tests.exports.documents import catalogues as papers
from tests.exports.documents.test_catalogues import texts
from tests.tui import catalogues, gallery
from tests.tui.business import desk
from tests.tui.screenshot import picture
from tui import tongue
from tui.frame import Framed
from tui.places import PLACES
from tui.tongue import Tongue
from tui.widgets.fields import FieldRow

OPEN, CLOSE, MORE = "⟦", "⟧", "…"
PARTS = 4
"""The screens are looked at in so many tests, which may run beside each other."""
_VALUE = re.compile(r"(\{[a-z0-9_]+\})")
_WORD = re.compile(r"[^\W\d_]{2,}")
_POINT = re.compile(r"(?<![\d.,])(?!1\.50)\d+\.\d+(?![\d.])")
_KEY = re.compile(r"\b[a-z]+(?:-[a-z]+)+\b|/\S+")
"""Templates are named by keys, files by paths."""
_DAY = re.compile(
    r"\b(?:\d{1,2} (?:Jan|Feb|Mar|Apr|May|Jun|Jul|Aug|Sep|Oct|Nov|Dec)|(?:Mon|Tue|Wed|Thu|Fri|Sat|Sun) \d)"
)
OF_THE_KEEPER = frozenset(
    re.findall(
        r"\w+",
        "quillmere loft shelf red leaf litter note with velo marrick ombrel co tarn nim p01 pach marginata hierodula "
        "membranacea pachnoda keeper english rearledger click app leave letter single eur kg generation de at ch fr nl "
        "es en gb us nz au ca ie xlsx ods csv zip re yyyy doa cbu",
    )
)
"""Words of the loft, names, and what is the same in every language."""


class Signed(Tongue):
    """No language: every piece of a message longer, between signs; values stand outside of them."""

    def __init__(self) -> None:
        super().__init__("de", "de_DE")
        self.known = {one for message in papers.translated("de", catalogues.FOLDER) for one in texts(message)[0]}

    def message(self, message: str) -> str:
        return self._signed(message) if message in self.known else message

    def plural(self, one: str, many: str, n: int) -> str:
        return self._signed(one if n == 1 else many)

    def day(self, day: Any) -> str:
        return f"{OPEN}{super().day(day)}{CLOSE}"

    def told(self, day: Any, how: str) -> str:
        return f"{OPEN}{super().told(day, how)}{CLOSE}"

    def amount(self, minor: int, code: str, digits: int) -> str:
        return f"{OPEN}{super().amount(minor, code, digits)}{CLOSE}"

    def figure(self, text: str) -> str:
        return f"{OPEN}{super().figure(text)}{CLOSE}"

    @staticmethod
    def _signed(message: str) -> str:
        return "".join(
            part
            if _VALUE.fullmatch(part) or not any(map(str.isalpha, part))
            else f"{OPEN}{part}{'~' * (len(part) // 3)}{CLOSE}"
            for part in _VALUE.split(message)
        )


CITES = ("StageTimesPage",)
"""Screens that cite published sources, as they were written."""


def outside(told: str) -> str:
    """What of a text stands outside of the signs."""
    kept, depth = [], 0
    for letter in told:
        depth += (letter == OPEN) - (letter == CLOSE)
        kept.append(letter if depth == 0 and letter != CLOSE else " " if letter == CLOSE else "")
    return "".join(kept)


def forgotten(told: str, english: set[str]) -> list[str]:
    """What is wrong with what stands outside: words of English messages, amounts with a point, days as English has
    them."""
    bare = _KEY.sub("", outside(told))
    words = [word for word in _WORD.findall(bare) if word.casefold() in english]
    return [*words, *_POINT.findall(bare), *(found[0] for found in _DAY.finditer(bare))]


def _again(text: str, told: list[str]) -> bool:
    """Whether a text is a line of one that was told before and broken into lines."""
    bare = " ".join(text.split())
    return any(bare in " ".join(one.split()) for one in told if OPEN in one)


@pytest.fixture
def heard(monkeypatch: pytest.MonkeyPatch) -> Iterator[list[str]]:
    """Everything a screen says, as it is told."""
    told: list[str] = []
    spoken, depth = wording.spoken, 0

    def noted(text: str, speaker: wording.Speaker) -> str:
        nonlocal depth
        depth += 1
        try:
            said = spoken(text, speaker)
        finally:
            depth -= 1
        if depth == 0 and (isinstance(text, Said) or not _again(text, told)):
            told.append(said)
        return said

    monkeypatch.setattr(wording, "spoken", noted)
    tongue.speak(Signed())
    yield told
    tongue.speak(None)


@pytest.fixture(scope="module")
def english() -> set[str]:
    """Words of messages, but for those of the keeper."""
    words = {
        word.casefold()
        for message in papers.translated("de", catalogues.FOLDER)
        for text in texts(message)[0]
        for word in _WORD.findall(_VALUE.sub(" ", text))
    }
    return words - OF_THE_KEEPER


def _cut(shown: str, scrolled: int = 0) -> bool:
    """Whether something below the strip of places opens and neither closes nor ends with the sign that more follows.

    Args:
        shown: the screen.
        scrolled: how many fields hold more than they show, which a person sees by going along them.
    """
    below = shown[shown.index("┴") :]
    return below.count(OPEN) > below.count(CLOSE) + below.count(MORE) + scrolled


def _try_fields(screen: Framed[Any]) -> list[str]:
    """Read what each field begins with, nothing, and nonsense; give the fields that cannot read their own start."""
    unread = []
    for row in screen.query(FieldRow):
        try:
            if bare := re.sub(f"[{OPEN}{CLOSE}~]", "", row.spec.start):
                row.spec.read_typed(bare)
        except Refused as refusal:
            unread.append(f"{row.spec.key}: {row.spec.start}: {refusal.sentence}")
        if isinstance(row.entry, Input):
            for typed in ("", "qqq"):
                with screen.prevent(Input.Changed):
                    row.entry.value = typed
                row.check()
    return unread


def _say_help(screen: Framed[Any]) -> None:
    for text in (screen.title_words(), screen.HELP, *(part for act in screen.ACTS for part in (act.words, act.tip))):
        tongue.tell(text)


@pytest.mark.parametrize("part", range(PARTS))
async def test_every_screen_is_said_in_the_language_and_cut_with_a_sign(
    part: int, loft: Ledger, heard: list[str], english: set[str]
) -> None:
    gallery.happen(loft)
    screens: list[tuple[str, Callable[[], Framed[Any]] | str]] = [
        *((place.NAME, str(n)) for n, place in enumerate(PLACES, start=1)),
        *gallery.made(loft),
    ]
    app = desk(loft)
    wrong: dict[str, object] = {}
    async with app.run_test(size=(80, 90)) as pilot:
        for name, way in screens[part::PARTS]:
            heard.clear()
            if isinstance(way, str):
                await pilot.press(way)
            else:
                await app.open_form(way())
            await app.workers.wait_for_complete()
            await pilot.pause()
            screen = app.screen
            assert isinstance(screen, Framed)
            _say_help(screen)
            fields = screen.query(Input)
            scrolled = sum(OPEN in field.value and cell_len(field.value) >= field.size.width for field in fields)
            cut = _cut(picture(app), scrolled)
            unread = _try_fields(screen)
            if name in CITES:
                heard[:] = [one for one in heard if "the usual figure" not in one]
            left = sorted({f"{word}: {told}" for told in heard for word in forgotten(told, english)})
            if cut or unread or left:
                wrong[name] = (cut, unread, left)
            while len(app.screen_stack) > 1:
                await app.pop_screen()

    assert wrong == {}


def test_every_class_of_a_screen_stands_in_the_gallery(loft: Ledger) -> None:
    gallery.happen(loft)
    shown = {name.partition(" ")[0] for name, _ in gallery.made(loft)}

    assert shown >= {one.__name__ for one in gallery.screens()}
    assert len(shown) > 120


def test_the_look_at_what_is_said_finds_what_was_forgotten(english: set[str]) -> None:
    """The control: a word of a closed list, an amount in an f-string, a day in English."""
    tongue.speak(Signed())
    price = strung((say("price"), "24.00"))
    told = [
        tongue.tell(text)
        for text in ("3 female", price, strung((say("since"), "4 Jun 2025")), f"{say('price')} of it", say("price"))
    ]
    tongue.speak(None)

    assert [bool(forgotten(one, english)) for one in told] == [True, True, True, True, False]
    assert forgotten(told[1], english) == ["24.00"]
    assert forgotten(told[2], english)[-1] == "4 Jun"
    assert _cut(f"┴ {OPEN}price")
    assert not _cut(f"┴ {OPEN}price{MORE}")
