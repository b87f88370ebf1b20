"""Command lines a newcomer missed: a lot as a word, a swap, a species by hand, new names and origins told."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from ledger.ledger import Ledger
from tests.tui.command_line import TODAY, CommandLine, play

MADE = (
    f"setting pretend today {TODAY}",
    "species add PACH --template pachnoda-marginata",
    "lot add P08 PACH hatched 40 L1 --date 2025-01-05",
    "lot add P11 PACH opening 4 male adult and 4 female adult --date 2025-05-01 --origin CBU",
)


@pytest.fixture(scope="module")
def made_file(sqlite_template: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("more") / "made.rearledger"
    shutil.copyfile(sqlite_template, path)
    play(str(path), MADE)
    return path


@pytest.fixture
def run(made_file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> CommandLine:
    path = tmp_path / "copy.rearledger"
    shutil.copyfile(made_file, path)
    return CommandLine(str(path), capsys)


@pytest.fixture
def opened(run: CommandLine) -> Iterator[Ledger]:
    with Ledger.open(run.target, read_only=True) as ledger:
        yield ledger


def test_rearing_takes_a_lot_or_a_species_as_a_word(run: CommandLine) -> None:
    by_word, by_option = (run.ok("rearing", *words, "--format", "json").json for words in (("P08",), ("--lot", "P08")))

    assert by_word == by_option
    assert [row["lot"] for row in by_word] == ["P08"]
    of_species = run.ok("rearing", "pach", "--format", "json").json
    assert [row["lot"] for row in of_species] == [None, "P08", "P11"]
    assert "named twice" in run.refused("rearing", "P08", "--lot", "P08")
    assert "no lot" in run.refused("rearing", "P99").casefold()


def test_new_takes_the_ledger_before_or_after_the_verb(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    from tui.commands import main

    after, before = tmp_path / "a.rearledger", tmp_path / "b.rearledger"
    assert main(["new", "--ledger", str(after), "--currency", "EUR"]) == 0
    assert main(["--ledger", str(before), "new", "--currency", "EUR"]) == 0
    assert (after.exists(), before.exists()) == (True, True)
    assert main(["new", "--at", str(tmp_path / "c"), "--ledger", str(tmp_path / "d"), "--currency", "EUR"]) == 2
    assert "keep one of them" in capsys.readouterr().err


def test_a_swap_sends_animals_out_and_brings_a_lot_in(run: CommandLine) -> None:
    told = run.ok(
        *("swap", "P11", "1.1", "adult", "--with", "Tarn", "--value", "20.00"),
        *("--into", "P20", "PACH", "6 L3", "--origin", "CBU", "--supplier", "Tarn"),
    )

    assert "swapped with Tarn" in told.out
    (lot,) = (row for row in run.ok("lot", "list", "--format", "json").json if row["lot"] == "P20")
    assert lot["animals"] == 6
    assert [row["animals"] for row in run.ok("lot", "list", "--format", "json").json if row["lot"] == "P11"] == [6]


def test_a_swap_that_cannot_be_is_refused_and_changes_nothing(run: CommandLine) -> None:
    into = ("--value", "20.00", "--into", "P20", "PACH")

    assert "swapped in" in run.refused("swap", "P11", "1.1", "adult", *into, "6 L3 and bought 2 adult")
    assert "has only" in run.refused("swap", "P11", "9", "male", "adult", *into, "6 L3")
    assert "not understood" in run.refused("swap", "P11", "1.1", "adult", "at", "4.00", *into, "6 L3")


def test_a_species_is_described_by_hand(run: CommandLine, opened: Ledger) -> None:
    run.ok(
        *("species", "add", "SNAIL", "--name", "roman snail", "--stages", "clutch=object, juvenile, adult"),
        *("--sold", "adult", "--scientific", "Helix pomatia", "--group", "snails"),
    )

    (snail,) = (row for row in opened.species() if row.code == "SNAIL")
    assert [(stage.name, stage.unit) for stage in snail.stages] == [
        ("clutch", "object"),
        ("juvenile", "animal"),
        ("adult", "animal"),
    ]
    assert (snail.reared, snail.common, snail.scientific) == ("adult", "roman snail", "Helix pomatia")
    run.ok("lot", "add", "S01", "SNAIL", "opening", "3", "adult", "--origin", "CBU")
    assert [row["lot"] for row in run.ok("ready", "--format", "json").json if row["species"] == "SNAIL"] == ["S01"]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("X",), "--template"),
        (("X", "--template", "pachnoda-marginata", "--stages", "egg, adult"), "leave --stages out"),
        (("X", "--name", "x", "--stages", "egg,,adult"), "comma"),
        (("X", "--name", "x", "--stages", "egg=box, adult"), "no unit"),
        (("X", "--name", "x", "--stages", "egg, adult", "--sold", "larva"), "none of the stages"),
        (("X", "--name", "x", "--stages", "egg, adult", "--reared", "pupa"), "must be one of the stages"),
        (("X", "--stages", "egg, adult"), "name"),
    ],
)
def test_a_species_that_does_not_hold_together_is_refused(run: CommandLine, words: tuple[str, ...], said: str) -> None:
    assert said in run.refused("species", "add", *words)


def test_a_new_customer_is_named_once(run: CommandLine) -> None:
    first = run.ok("sell", "P11", "1", "male", "adult", "at", "4.00", "to", "Tarn", "paid").out
    again = run.ok("record", "sell P11 1 male adult at 4.00 to Tarn paid").out

    assert "New customer: Tarn." in first
    assert "New customer" not in again


def test_the_origin_of_own_eggs_is_told_with_what_is_missing(run: CommandLine) -> None:
    told = run.ok("lot", "add", "P12", "PACH", "laid", "20", "eggs", "--mother", "P11")

    assert "Its origin will read:" in told.out
    assert "no father on record with P11" in told.out
    assert "rearledger lot with" in told.out


def test_the_answer_to_a_new_lot_writes_its_days_one_way(run: CommandLine) -> None:
    words = ("P13", "PACH", "bought", "3", "adult", "for", "5", "--origin", "CBU", "--date", "2025-05-31")
    told = run.ok("lot", "add", *words, "--arrived", "2025-06-01", "--supplier", "Nib").out
    assert "1 June 2025, started 31 May 2025" in told
    assert "P13: bought 1 June 2025, stated by Nib" in told
    assert "2025-0" not in told
