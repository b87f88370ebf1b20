"""The first start without a ledger: a few answers make one, bad answers are refused and asked again."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from ledger.days import Order
from ledger.errors import BadInput
from ledger.ledger import Ledger
from ledger.records.settings import SETTINGS
from tui.commands import main
from tui.verbs.first_run import LOOK, MAKE, Talk, first_run
from tui.verbs.typed import day_of_year, year


class Keeper:
    """Answers one line after the other, and remembers what was said."""

    def __init__(self, *answers: str) -> None:
        self._left: Iterator[str] = iter(answers)
        self.said: list[str] = []
        self.typed = 0
        self.talk = Talk(self._ask, self.said.append)

    def _ask(self, question: str) -> str:
        self.said.append(question)
        answer = next(self._left, None)
        if answer is None:
            raise EOFError
        self.typed += len(answer) + 1
        return answer


def test_twelve_answers_make_a_ledger_with_a_species_and_a_lot(tmp_path: Path) -> None:
    place = str(tmp_path / "my.rearledger")
    keeper = Keeper("1", "Oakmoss Loft", "eur", "", "en_GB", "sun", "", "20 L3", "bred", "", "", "")

    assert first_run(place, keeper.talk) == MAKE

    with Ledger.open(place) as ledger:
        (lot,) = ledger.lots()
        assert (ledger.name, ledger.currency.code) == ("Oakmoss Loft", "EUR")
        assert (lot.code, lot.species, lot.animals) == ("P01", "PACH", 20)
        assert lot.purpose == "sale"
        assert ledger.prove() == ()
    assert keeper.typed < 60


def test_a_bad_answer_is_refused_in_a_sentence_and_asked_again(tmp_path: Path) -> None:
    place = str(tmp_path / "my.rearledger")
    answers = ("3", "1", "", "euro", "GBP", "31 June", "6 April", "mars", "en_GB")
    more = ("zebra", "mantis", "99", "1", "M 1", "MANT", "lots", "about 40 adult", "tame", "", "pets", "breed", "", "")
    keeper = Keeper(*answers, *more)

    assert first_run(place, keeper.talk) == MAKE

    said = " ".join(keeper.said)
    for refused in (
        '"euro" is not a currency code',
        "no day that every year has",
        '"mars"',
        "No template has that",
        "Write sale, breeding",
    ):
        assert refused in said
    with Ledger.open(place) as ledger:
        (lot,) = ledger.lots()
        assert (lot.code, lot.species, lot.animals, lot.about) == ("M01", "MANT", 40, True)
        assert lot.purpose == "breeding"
        assert ledger.ready() == (), "breeders are not offered as for sale"


@pytest.mark.parametrize(("answers", "there"), [((), False), (("1",), False), (("1", "", "EUR"), False)])
def test_who_leaves_early_has_made_nothing(tmp_path: Path, answers: tuple[str, ...], there: bool) -> None:
    place = tmp_path / "my.rearledger"

    assert first_run(str(place), Keeper(*answers).talk) == ""

    assert place.exists() == there


def test_who_leaves_after_the_ledger_is_made_keeps_it_and_the_rest_can_wait(tmp_path: Path) -> None:
    place = str(tmp_path / "my.rearledger")

    assert first_run(place, Keeper("1", "", "EUR", "", "").talk) == MAKE
    with Ledger.open(place) as ledger:
        assert ledger.species() == ()
    assert first_run(str(tmp_path / "other"), Keeper("2").talk) == LOOK


def test_without_a_terminal_nobody_is_asked(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys.stdin, "isatty", lambda: False, raising=False)

    status = main(["--ledger", str(tmp_path / "none.rearledger")])

    assert status == 2
    assert "rearledger demo" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("written", "order", "day"),
    [("6 April", None, (4, 6)), ("6/4", "dmy", (4, 6)), ("4/6", "mdy", (4, 6)), ("31/12", None, (12, 31))],
)
def test_the_first_day_of_a_year_in_figures_where_it_can_be_only_one(
    written: str, order: Order | None, day: tuple[int, int]
) -> None:
    assert day_of_year(written, "year_start", order) == day


@pytest.mark.parametrize("written", ["2026", "2026-27", " 2026-27 "])
def test_a_year_is_understood_as_it_is_shown(written: str) -> None:
    assert year(written) == 2026


@pytest.mark.parametrize("written", ["2026-28", "2026-26", "26-27", "2026-2027-28"])
def test_two_years_that_do_not_follow_each_other_are_none(written: str) -> None:
    with pytest.raises(BadInput):
        year(written)


@pytest.mark.parametrize(
    ("written", "why"),
    [("6/4", "may be 6 April or 4 June; write the month as a word"), ("31/13", "no day that every year has")],
)
def test_a_first_day_that_may_be_two_is_never_guessed(written: str, why: str) -> None:
    with pytest.raises(BadInput, match=why):
        day_of_year(written, "year_start")


def test_english_is_a_language_where_the_computer_says_which(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("LC_ALL", "en_GB.UTF-8")
    keeper = Keeper("1", "", "GBP", "6/4", "English", "")

    assert first_run(str(tmp_path / "my.rearledger"), keeper.talk) == MAKE

    said = " ".join(keeper.said)
    assert "days are written like" in said
    assert "years begin on 6 April" in said
    assert SETTINGS["document language"]("German") == "de"
    with pytest.raises(BadInput, match="en_GB or en_US"):
        SETTINGS["locale"]("English")
