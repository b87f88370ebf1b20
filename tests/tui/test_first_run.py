"""The first start without a ledger: a few answers make one, bad answers are refused and asked again."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from ledger.ledger import Ledger
from tui.commands import main
from tui.verbs.first_run import LOOK, MAKE, Talk, first_run


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


def test_eleven_answers_make_a_ledger_with_a_species_and_a_lot(tmp_path: Path) -> None:
    place = str(tmp_path / "my.rearledger")
    keeper = Keeper("1", "Oakmoss Loft", "eur", "", "en_GB", "sun", "", "20 L3", "bred", "", "")

    assert first_run(place, keeper.talk) == MAKE

    with Ledger.open(place) as ledger:
        (lot,) = ledger.lots()
        assert (ledger.name, ledger.currency.code) == ("Oakmoss Loft", "EUR")
        assert (lot.code, lot.species, lot.animals) == ("P01", "PACH", 20)
        assert ledger.prove() == ()
    assert keeper.typed < 60


def test_a_bad_answer_is_refused_in_a_sentence_and_asked_again(tmp_path: Path) -> None:
    place = str(tmp_path / "my.rearledger")
    answers = ("3", "1", "", "euro", "GBP", "31 June", "6 April", "mars", "en_GB")
    more = ("zebra", "mantis", "99", "1", "M 1", "MANT", "lots", "about 40 adult", "tame", "", "", "")
    keeper = Keeper(*answers, *more)

    assert first_run(place, keeper.talk) == MAKE

    said = " ".join(keeper.said)
    for refused in ('"euro" is not a currency code', "no day that every year has", '"mars"', "No template has that"):
        assert refused in said
    with Ledger.open(place) as ledger:
        (lot,) = ledger.lots()
        assert (lot.code, lot.species, lot.animals, lot.about) == ("M01", "MANT", 40, True)


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
