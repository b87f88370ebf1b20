"""The verb `paper`: each paper from the command line, into a folder or onto the screen."""

from __future__ import annotations

import csv
import io
import stat
from pathlib import Path

import pytest

from ledger.ledger import Ledger
from tests.exports.documents.business import POSTED, WAITING
from tests.exports.documents.pages import codes, picture, text_of
from tests.tui.command_line import CommandLine, Ran

LINES = {
    "receipt": ("receipt", POSTED),
    "invoice": ("invoice", WAITING),
    "credit": ("credit", "C-2025-0001"),
    "packing": ("packing", WAITING),
    "prices": ("prices", "--on", "2025-06-01", "--ready"),
    "provenance": ("provenance", "P03"),
    "hold": ("hold", "R-2"),
    "loan": ("loan", "P03"),
    "gift": ("gift", "GIVEN"),
    "register": ("register", "--from", "2025-01-01", "--until", "2025-12-31"),
    "correction": ("correction", "1"),
    "labels": ("labels", "P02", "T01", "--tubs", "--start", "3"),
}


@pytest.fixture
def run(papers: Ledger, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> CommandLine:
    """Runs command lines on the business, which thinks it is the end of its year."""
    monkeypatch.setattr(Ledger, "today", papers.today)
    return CommandLine(papers.store.target, capsys)


@pytest.mark.parametrize("name", LINES)
def test_each_paper_is_written_as_pdf_and_as_text_and_shown(
    name: str, run: CommandLine, papers: Ledger, tmp_path: Path
) -> None:
    given = str(papers.given()[0].entry)
    words = ("paper", *(given if word == "GIVEN" else word for word in LINES[name]))
    into = ("--to", str(tmp_path))

    pdf, text, shown = run.ok(*words, *into), run.ok(*words, *into, "--as", "text"), run.ok(*words)

    assert file_of(pdf).read_bytes().startswith(b"%PDF")
    assert file_of(text).read_text(encoding="utf-8").split() == shown.out.split()
    assert len(list(tmp_path.iterdir())) == 2
    assert {stat.S_IMODE(path.stat().st_mode) for path in tmp_path.iterdir()} == {0o600}


def file_of(ran: Ran) -> Path:
    """The file an answer names."""
    return Path(ran.lines[0].removeprefix("It is in ").removesuffix("."))


def test_the_answer_as_json_names_the_file_and_the_cautions(run: CommandLine, tmp_path: Path) -> None:
    answer = run.ok("paper", "packing", WAITING, "--to", str(tmp_path), "--format", "json").json

    assert answer["file"] == f"{tmp_path}/packing-s-2025-0002-r1.pdf"
    assert "No address of the buyer" in answer["cautions"][0]


def test_the_answer_says_where_the_paper_is_and_what_to_mind(run: CommandLine, tmp_path: Path) -> None:
    ran = run.ok("paper", "labels", "P02", "--to", str(tmp_path))

    assert ran.lines == [f"It is in {tmp_path}/labels-r1.pdf.", "Caution: Print it at 100 %, without scaling."]


def test_labels_are_scanned_from_the_file(run: CommandLine, tmp_path: Path) -> None:
    run.ok("paper", "labels", "T01", "--tubs", "--sheet", "a4 5x13", "--start", "7", "--to", str(tmp_path))

    grey = picture((tmp_path / "labels-r1.pdf").read_bytes())

    assert [one.text for one in codes(grey)] == ["T01/A1", "T01/A2"]


def test_a_paper_may_be_asked_for_in_another_language(run: CommandLine, tmp_path: Path) -> None:
    run.ok("paper", "receipt", POSTED, "--language", "de", "--to", str(tmp_path))

    assert "Quittung S-2025-0001" in text_of((tmp_path / "receipt-s-2025-0001-r1.pdf").read_bytes())


def test_the_register_is_also_rows_for_a_spreadsheet(run: CommandLine) -> None:
    rows = list(csv.DictReader(io.StringIO(run.ok("paper", "register", "--format", "csv").out)))
    as_json = run.ok("paper", "register", "--format", "json").json

    assert len(rows) == len(as_json) > 8
    sold = next(row for row in rows if row["paper"] == POSTED)
    assert (sold["who"], sold["what"], sold["came"]) == ("Tarn", "sold", "no")


def test_correction_notes_are_listed(run: CommandLine) -> None:
    (note,) = run.ok("paper", "corrections", "--format", "json").json

    assert (note["sale"], note["line"], note["why"]) == ("S-2025-0006", 1, "tubs were mixed up")


@pytest.mark.parametrize(
    "words",
    [
        (),
        ("letter",),
        ("receipt",),
        ("receipt", "S-2031-0001"),
        ("receipt", POSTED, "--language", "xx"),
        ("receipt", POSTED, "--as", "docx"),
        ("receipt", POSTED, "--format", "csv"),
        ("receipt", POSTED, "--as", "pdf"),
        ("register", "--as", "pdf"),
        ("register", "--format", "csv", "--to", "."),
        ("receipt", POSTED, "--to", "/no/such/folder"),
        ("credit", POSTED),
        ("correction", "one"),
        ("correction", "99"),
        ("prices", "--buyer", "friend"),
        ("prices", "--on", "2025-02-30"),
        ("register", "--from", "2025-03-01", "--until", "2025-02-01"),
        ("register", "--until", "2040-01-01"),
        ("provenance", "ZZ"),
        ("labels", "ZZ"),
        ("labels", "T01/ZZ"),
        ("labels", "--sheet", "a3"),
        ("labels", "--start", "0"),
        ("labels", "--start", "25", "--to", "."),
        ("labels", "--shift", "left"),
    ],
)
def test_bad_words_are_refused_in_one_sentence_and_leave_no_file(
    words: tuple[str, ...], run: CommandLine, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)

    run.refused("paper", *words)

    assert list(tmp_path.iterdir()) == []


def test_treatments_and_settings_are_entered_by_the_usual_verbs(
    sqlite_target: str, capsys: pytest.CaptureFixture[str]
) -> None:
    run = CommandLine(sqlite_target, capsys)
    run.ok("species", "add", "PACH", "--template", "pachnoda-marginata")
    run.ok("lot", "add", "P01", "PACH", "bought", "2", "L3", "for", "3.00", "--date", "2025-01-02")

    run.ok("lot", "fact", "P01", "treatment", "mites: dry litter", "--from", "2025-02-01")
    run.refused("lot", "fact", "P01", "treatment")
    run.ok("setting", "document", "language", "de")
    run.ok("setting", "label", "sheet", "a4 5x13")
    run.refused("setting", "document", "language", "deutsch!")

    shown = run.ok("paper", "register", "--from", "2025-01-01").out
    assert "Behandlungen:" in shown
    assert "01.02.2025: mites: dry litter" in shown
