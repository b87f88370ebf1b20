"""Every list can be had as CSV for a spreadsheet: the rows of its JSON, no cell a formula, guards come off exactly."""

from __future__ import annotations

import csv
import datetime as dt
import io
import json
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from exports.spreadsheet_csv import unguarded
from ledger.costs.commands import Spend
from ledger.ledger import Ledger
from ledger.records.store import open_store
from ledger.selling.commands import AddCustomer
from ledger.text import show
from tests.tui.business import NOW, fill
from tests.tui.command_line import CommandLine
from tui.commands import parser
from tui.verbs.answer import in_words

ROOT = Path(__file__).parents[2]
LISTS = (
    *("setting", "backup list", "bring-in list", "species", "species templates", "price", "lot list", "hold list"),
    *("stock", "ready", "due", "entries", "customers", "affected", "sales", "queue", "give list", "lend list", "owed"),
    *("margin", "parcels", "claims", "arrivals", "fair", "customer find", "reminder", "costs"),
    *("costs open", "store", "hours", "method", "rearing", "coming", "equipment", "checks 2025", "prove"),
    *("paper register", "paper corrections", "stock-count"),
)
NESTED = {"coming"}
"""Lists whose rows hold lists of their own: the CSV has a row for each of those."""
HOSTILE = ("=1+1", "+2", "-3", "@SUM(A1)", "'quoted", "'=2", "=HYPERLINK(0)", '"', "a,b;c", "Müller", "日本")
_NUMBER = re.compile(r"-?\d+(\.\d+)?(E[+-]?\d+)?")


@pytest.fixture(scope="module")
def hostile(sqlite_template: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The business, with names that a spreadsheet could take for formulas."""
    path = tmp_path_factory.mktemp("hostile") / "loft.rearledger"
    shutil.copyfile(sqlite_template, path)
    store = open_store(str(path))
    ledger = fill(store)
    for n, name in enumerate(HOSTILE):
        ledger.do(AddCustomer(name, contact=name, note=name))
        window = dt.date(2025, 6, 30)
        ledger.do(Spend(dt.date(2025, 5, 1), "feed", 100 + n, name, name, window_to=window, note=name))
    store.close()
    return path


@pytest.fixture
def run(hostile: Path, capsys: pytest.CaptureFixture[str]) -> CommandLine:
    return CommandLine(str(hostile), capsys)


def table(out: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(out, newline="")))


@pytest.mark.parametrize("line", LISTS)
def test_a_list_as_csv_has_the_rows_of_its_json(run: CommandLine, line: str) -> None:
    wanted = json.loads(run(*line.split(), "--format", "json").out)
    found = table(run(*line.split(), "--format", "csv").out)

    if line in NESTED:
        return
    assert len(found) == len(wanted)
    for row, expected in zip(found, wanted, strict=True):
        assert row.keys() == expected.keys()
        for name, value in expected.items():
            text = unguarded(row[name])
            if value is None:
                assert text == ""
            elif isinstance(value, str) and _NUMBER.fullmatch(value):
                assert float(text) == float(value)
            elif isinstance(value, float):
                assert float(text) == value
            else:
                assert text == show(in_words(value)), (line, name)


@pytest.mark.parametrize("line", LISTS)
def test_no_cell_of_a_list_is_a_formula(run: CommandLine, line: str) -> None:
    for row in csv.reader(io.StringIO(run(*line.split(), "--format", "csv").out, newline="")):
        for cell in row:
            assert not cell.startswith(("=", "+", "-", "@", "\t", "\r", "\n")) or _NUMBER.fullmatch(cell), (line, cell)


def test_hostile_names_do_reach_the_lists(run: CommandLine) -> None:
    """The control: the names are there, guarded, and come back as they were."""
    raw = [row["name"] for row in table(run.ok("customers", "--format", "csv").out)]

    assert set(HOSTILE) <= {unguarded(name) for name in raw}
    assert "=1+1" not in raw


def test_every_list_of_the_command_line_is_among_them(
    run: CommandLine, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)  # some verbs take the tried word for a file to write
    """A verb that answers an array when it is asked for nothing more is a list, and belongs in the table above."""
    writes = {"demo", "new", "undo", "accept", "upgrade", "backup", "record"}
    lines = [name for name in parser().verbs if name not in writes]
    lines += [f"{name} list" for name in lines]
    found = set()
    for line in lines:
        ran = run(*line.split(), "--format", "json")
        if ran.status in (0, 1) and ran.out.startswith("["):
            found.add(line)

    bare = {line.removesuffix(" list") for line in LISTS}
    assert {line for line in found if line.removesuffix(" list") not in bare} == set()


def test_a_file_of_it_begins_with_the_mark_by_which_spreadsheets_know_it_and_a_pipe_does_not(
    hostile: Path, tmp_path: Path
) -> None:
    words = ["--ledger", str(hostile), "customers", "--format", "csv"]
    command = [sys.executable, "-c", "import sys; from tui.commands import main; sys.exit(main())", *words]
    path = tmp_path / "customers.csv"

    with path.open("wb") as file:
        subprocess.run(command, cwd=ROOT, stdout=file, check=True, env=os.environ)
    piped = subprocess.run(command, cwd=ROOT, stdout=subprocess.PIPE, check=True, env=os.environ).stdout

    assert path.read_bytes() == b"\xef\xbb\xbf" + piped
    assert "日本" in piped.decode()


def test_a_list_from_a_spreadsheet_comes_in_again_with_its_guards_off(
    hostile: Path, tmp_path: Path, run: CommandLine
) -> None:
    """A list of customers written here may be brought in elsewhere: names are as they were."""
    from exports.bring_in.bring import Wishes, bring_in
    from exports.bring_in.kinds import KINDS

    path = tmp_path / "customers.csv"
    path.write_text(run.ok("customers", "--format", "csv").out, encoding="utf-8", newline="")

    with Ledger.create(str(tmp_path / "new.rearledger"), currency="EUR", name="", clock=lambda: NOW) as ledger:
        bring_in(ledger, KINDS["customers"], path, Wishes())
        assert set(HOSTILE) <= {one.name for one in ledger.customers()}


def test_a_list_as_csv_has_every_row_and_a_page_stays_a_page(
    hostile: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    shutil.copyfile(hostile, tmp_path / "long.rearledger")
    run = CommandLine(str(tmp_path / "long.rearledger"), capsys)
    ledger = Ledger.open(run.target)
    bags = [Spend(dt.date(2025, 5, 1), "feed", 100 + n, text=f"bag {n}") for n in range(230)]
    ledger.do_all([(bag.text, lambda conn, bag=bag: bag) for bag in bags], content="bags")
    ledger.close()

    assert len(table(run.ok("costs", "--format", "csv").out)) > 230
    assert len(table(run.ok("costs", "--format", "csv", "--limit", "2").out)) == 2
    assert len(run.ok("costs").out.splitlines()) == 201
