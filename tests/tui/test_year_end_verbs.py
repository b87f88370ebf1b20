"""Verbs on the way to a year end: counting the stock by a file, late facts, tax figures, looking before closing."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import openpyxl
import pytest

from ledger.ledger import Ledger
from ledger.records import backups
from ledger.records.rows import Fingerprint, fingerprint
from tests.exports.messy import ods
from tests.tui.command_line import TODAY, CommandLine, play

LOFT = (
    f"setting pretend today {TODAY}",
    "species add PACH --template pachnoda-marginata",
    "lot add P08 PACH opening 20 L3 and 4 adult --date 2024-06-01 --origin CBU",
    "lot add P09 PACH opening 9 L2 --date 2024-06-01 --origin CBU",
    "price PACH adult 4.00 --from 2024-01-01",
    "sell P08 2 adult to Tarn paid 8.00 --date 2024-09-01",
)


@pytest.fixture
def run(sqlite_target: str, capsys: pytest.CaptureFixture[str]) -> CommandLine:
    play(sqlite_target, LOFT)
    return CommandLine(sqlite_target, capsys)


def filled_in(run: CommandLine, path: Path, counted: dict[tuple[str, str], tuple[str, str]]) -> str:
    """The list to count by with numbers and reasons filled in, as a spreadsheet saves it."""
    rows = list(csv.DictReader(io.StringIO(run.ok("stock-count", "--date", "2024-12-31", "--format", "csv").out)))
    with path.open("w", newline="", encoding="utf-8-sig") as file:
        writer = csv.DictWriter(file, list(rows[0]))
        writer.writeheader()
        for row in rows:
            row["counted"], row["reason"] = counted.get((row["lot"], row["stage"]), ("", ""))
            writer.writerow(row)
    return str(path)


def test_the_list_is_filled_in_and_brought_back_in_one_act(run: CommandLine, tmp_path: Path) -> None:
    counted = {("P08", "L3"): ("18", "died"), ("P08", "adult"): ("2", ""), ("P09", "L2"): ("9", "")}
    path = filled_in(run, tmp_path / "count.csv", counted)

    said = run.ok("stock-count", "--date", "2024-12-31", "--from", path).out

    assert "3 lines counted, 2 as recorded; P08: 18 L3 counted, 20 recorded, 2 died." in said
    rows = {(row["lot"], row["stage"]): row for row in run.asked("stock-count", "--date", "2024-12-31")}
    assert (rows["P08", "L3"]["recorded"], rows["P08", "L3"]["counted_on"]) == (18, "2024-12-31")
    assert run("prove").status == 0


@pytest.mark.parametrize("form", ["semicolons", "xlsx", "ods"])
def test_the_list_comes_back_from_any_spreadsheet(run: CommandLine, tmp_path: Path, form: str) -> None:
    counted = {("P08", "L3"): ("18", "died"), ("P09", "L2"): ("9", "")}
    with open(filled_in(run, tmp_path / "count.csv", counted), encoding="utf-8-sig", newline="") as file:
        rows = list(csv.reader(file))
    figures = [[int(cell) if cell.isdigit() else cell for cell in row] for row in rows]
    path = tmp_path / ("filled.csv" if form == "semicolons" else f"filled.{form}")
    if form == "semicolons":
        path.write_text("\n".join(";".join(row) for row in rows), encoding="utf-8")
    elif form == "xlsx":
        book = openpyxl.Workbook()
        for row in figures:
            book.active.append(row)
        book.save(path)
    else:
        ods(path, figures)

    said = run.ok("stock-count", "--date", "2024-12-31", "--from", str(path)).out

    assert "2 lines counted, 1 as recorded; P08: 18 L3 counted, 20 recorded, 2 died." in said


def test_lines_left_blank_are_not_counted(run: CommandLine, tmp_path: Path) -> None:
    path = filled_in(run, tmp_path / "count.csv", {("P09", "L2"): ("9", "")})

    assert "1 line counted, 1 as recorded" in run.ok("stock-count", "--date", "2024-12-31", "--from", path).out


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"lot,stage\nP08,L3\n", "no column counted"),
        (b"lot,stage,counted\nP08,L3,some\n", 'row 2: "some" is not a number counted'),
        (b"lot,stage,counted\nP08,L3,18\nQ99,L3,1\n", 'bad.csv, row 3: There is no lot "Q99"'),
        (b"lot,stage,counted\n", "Nothing was counted"),
        (b"\xff\xfe\x00", "no column lot"),
        (b"lot,stage,counted,reason\nP08,L3,18,elves\n", 'bad.csv, row 2: "elves" is no reason'),
        (b"", "no column lot"),
    ],
)
def test_a_file_that_cannot_be_taken_changes_nothing(
    run: CommandLine, tmp_path: Path, content: bytes, said: str
) -> None:
    path = tmp_path / "bad.csv"
    path.write_bytes(content)
    before = run.asked("stock-count")

    assert said in run.refused("stock-count", "--from", str(path))
    assert run.asked("stock-count") == before


def test_one_line_is_counted_by_its_words(run: CommandLine) -> None:
    assert "P09: 7 L2 counted, 9 recorded, 2 missing" in run.ok("stock-count", "P09", "L2", "7").out
    assert "Say the lot, the stage" in run.refused("stock-count", "P09", "L2")
    assert "one of them" in run.refused("stock-count", "P09", "L2", "7", "--from", "x.csv")
    assert "cannot be read" in run.refused("stock-count", "--from", "nowhere.csv")


def test_what_is_missing_is_told_before_closing_and_late_facts_after(run: CommandLine) -> None:
    look = run.asked("close", "2024", "--look")
    assert look["closed"] is False
    assert "Not counted in the year: P08 and P09." in look["missing"]
    assert "Not closed yet." in run.ok("close", "2024", "--look").out
    assert run.asked("late", "2024")["closed"] is False

    running = run.asked("close", "2025", "--look")
    assert "lasts until 31 December 2025" in running["sentence"]
    assert "Not counted in the year: P08 and P09." in running["missing"]
    assert "lasts until 31 December 2025" in run.ok("close", "2025", "--look").out
    assert "lasts until" in run.refused("close", "2026", "--look")

    run.ok("close", "2024")
    run.ok("record", "P09", "3", "L2", "died", "--date", "2024-12-01")

    found = run.asked("late", "2024")
    assert [(one["happened_on"], one["accounted_on"], one["what"]) for one in found["facts"]] == [
        ("2024-12-01", "2025-01-01", "3 died (P09)")
    ]
    (row,) = [one for one in found["stock"] if one["differs"]]
    assert (row["lot"], row["in_books"], row["known_now"]) == ("P09", 9, 6)
    assert "as known now" in run.ok("late", "2024").out


def test_a_year_is_closed_with_a_backup_first_that_is_as_the_ledger_was(run: CommandLine) -> None:
    before = fingerprint_of(run.target)
    run.refused("close", "2025")
    assert not [one for one in backups.backups(run.target) if one.why == "closing"]

    closed = run.asked("close", "2024")

    (made,) = [one for one in backups.backups(run.target) if one.why == "closing"]
    assert closed["refs"]["backup"] == str(made.path)
    assert f"The ledger as it was is in {made.path}." in closed["sentence"]
    assert backups.verify(made.path) == before
    assert fingerprint_of(run.target) != before


def test_without_a_backup_no_year_is_closed(run: CommandLine) -> None:
    folder = backups.folder_of(run.target)
    folder.rename(folder.with_name("elsewhere"))
    folder.write_text("in the way")

    said = run.refused("close", "2024")

    assert "Nothing was recorded, since there is no backup to go back to." in said
    assert "is no folder" in said


def fingerprint_of(path: str) -> Fingerprint:
    """Of all rows of a ledger."""
    with Ledger.open(path, read_only=True) as ledger, ledger.store.reading() as conn:
        return fingerprint(conn)


def test_a_threshold_and_years_to_keep_are_the_keepers_own(run: CommandLine) -> None:
    assert "No threshold was set." in run.ok("tax-helps").out
    said = run.ok("tax-helps", "threshold", "small seller", "10.00", "--from", "2024-01-01", "--note", "leaflet").out
    assert "check your local rules" in said
    run.ok("tax-helps", "keep", "7", "--from", "2024-01-01")

    found = run.asked("tax-helps")
    (one,) = found["thresholds"]
    assert (one["amount"], one["twelve_months"], one["reached"], one["note"]) == ("10.00", "8.00", False, "leaflet")
    assert found["keep"][0] == {"year": 2024, "keep_until": "2031-12-31", "years": 7, "note": ""}
    shown = run.ok("tax-helps").out
    assert "Check your local rules. The totals are sales and charges" in shown

    run.ok("tax-helps", "threshold", "small seller", "none")
    assert run.asked("tax-helps")["thresholds"] == []
    assert "from 1 to 100" in run.refused("tax-helps", "keep", "0")


def test_a_ledger_of_years_that_begin_on_any_day(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    april = CommandLine(str(tmp_path / "april.rearledger"), capsys)
    april.ok("new", "--currency", "GBP", "--year-start", "6 April")
    april.ok("spend", "feed", "10.00", "--date", "2025-04-05")
    april.ok("spend", "feed", "5.00", "--date", "2025-04-06")

    assert [april.asked("income", year)["cash_result"] for year in ("2024", "2025")] == ["-10.00", "-5.00"]
    for day in ("29 February", "31 June", "6", "", "6 April 2025", "tomorrow"):
        ran = CommandLine(str(tmp_path / "no.rearledger"), capsys)("new", "--currency", "GBP", "--year-start", day)
        assert (ran.status, ran.out) == (2, "")
        assert "no day that every year has" in ran.err
    assert not (tmp_path / "no.rearledger").exists()
