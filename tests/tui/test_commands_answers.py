"""How answers are written: text, JSON and spreadsheet CSV; pages; help; and what a fault of the program says."""

from __future__ import annotations

import argparse
import csv
import io
import shutil
import sqlite3
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len

from exports.spreadsheet_csv import guarded, spreadsheet_csv, unguarded
from ledger.ledger import Ledger
from tests.tui.command_line import TODAY, CommandLine, one_sentence, play
from tui import commands
from tui.commands import SECTIONS, main, parser
from tui.verbs import answer, place
from tui.verbs.animals import read_arrivals
from tui.verbs.parser import Parser
from tui.verbs.species import read_figure, read_pack
from tui.verbs.typed import order_of

READY = ["species", "stage", "sex", "origin", "lot", "ready", "held", "hardening", "hardens_on"]
REARING = [
    *("lot", "species", "origin", "entered", "reached", "lost", "left_early", "pending", "survival", "low", "high"),
    *("n_eff", "cost_per_reared", "cost_without_losses", "naive_cost"),
]
CURVE = ["days", "states", "prob", "se", "reached_by", "lower", "upper", "at_risk", "counts", "warnings"]
SMALL = (
    f"setting pretend today {TODAY}",
    "species add PACH --template pachnoda-marginata",
    "lot add P08 PACH opening 12 L3 and 60 adult --date 2025-05-01 --origin CBU",
    "lot add P09 PACH laid 10 egg --date 2025-05-01",
    "spend feed 10.00 Ombrel --date 2025-05-02",
    "spend feed 11.00 Ombrel --date 2025-05-12",
    "spend power 12.00 Sallow --date 2025-05-22",
    "sell P08 2 adult at 8.00 to Tarn paid",
    "sell P08 1 adult at 4.00 to Nim",
    "sell P08 1 adult free sample",
)


@pytest.fixture(scope="module")
def small_file(sqlite_template: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A small ledger to copy."""
    path = tmp_path_factory.mktemp("answers") / "small.rearledger"
    shutil.copyfile(sqlite_template, path)
    play(str(path), SMALL)
    return path


@pytest.fixture
def small(small_file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> CommandLine:
    """Command lines on a copy of it."""
    path = tmp_path / "copy.rearledger"
    shutil.copyfile(small_file, path)
    return CommandLine(str(path), capsys)


def rename_buyer(run: CommandLine, name: str) -> None:
    """Put a name into the ledger that no way in would let pass, as another program might."""
    raw = sqlite3.connect(run.target)
    raw.execute("UPDATE customer SET name = ? WHERE name = 'Tarn'", (name,))
    raw.commit()
    raw.close()


# --- JSON -------------------------------------------------------------------------------------------------------------


def test_the_names_of_ready_in_json_stand_first_and_in_order(small: CommandLine) -> None:
    rows = small.ok("ready", "--format", "json").json

    assert rows
    assert all(list(row)[: len(READY)] == READY for row in rows)


def test_a_price_that_is_not_known_says_why(small: CommandLine) -> None:
    small.ok("price", "PACH L3 12.00", "--pack", "10")
    small.ok("price", "PACH adult 4.00")

    rows = {row["stage"]: row for row in small.ok("ready", "--format", "json").json}
    assert (rows["L3"]["price_each"], rows["L3"]["why"]) == (None, "priced by the pack only")
    assert rows["L3"]["packs"] == [{"pack": "group of 10", "animals": 10, "price": "12.00"}]
    assert (rows["adult"]["price_each"], rows["adult"]["why"]) == ("4.00", None)


def test_the_names_of_rearing_in_json_stand_first_and_in_order(small: CommandLine) -> None:
    plain = small.ok("rearing", "--format", "json").json
    curved = small.ok("rearing", "--format", "json", "--curve").json

    assert all(list(row)[: len(REARING)] == REARING for row in plain)
    assert all(list(row)[: len(REARING)] == REARING and list(row)[-len(CURVE) :] == CURVE for row in curved)
    assert "prob" not in plain[0]


def test_json_is_plain_ascii_and_gives_back_what_was_stored(small: CommandLine) -> None:
    rename_buyer(small, "Tä\u202ern\x9b\x1b[2J")

    ran = small.ok("customers", "--format", "json")

    assert ran.out.isascii()
    assert not set(ran.out) & set("\x1b\x9b")
    assert "Tä\u202ern\x9b\x1b[2J" in [row["name"] for row in ran.json]


def test_an_act_answers_in_json_with_the_numbers_to_find_it_again(small: CommandLine) -> None:
    said = small.ok("sell", "P08 1 adult at 4.00 paid", "--format", "json").json

    assert said["refs"]["number"] == "S-2025-0004"
    assert "sold" in said["sentence"]
    assert isinstance(said["cautions"], list)


def test_empty_lists_are_empty_in_every_format(target: str, capsys: pytest.CaptureFixture[str]) -> None:
    run = CommandLine(target, capsys)

    for verb in ("species", "stock", "ready", "sales", "costs", "customers", "entries", "due", "affected"):
        assert run.ok(verb, "--format", "json").json == []
        assert len(run.ok(verb, "--format", "csv").lines) == 1
        # In a pipe nothing is said but that there is nothing: no hint what to type.
        assert len(run.ok(verb).lines) == 1
    assert run.ok("hold", "list", "--format", "json").json == []


# --- CSV --------------------------------------------------------------------------------------------------------------


def test_csv_guards_text_and_leaves_figures_alone(small: CommandLine) -> None:
    rename_buyer(small, "=1+1")
    small.ok("credit", "S-2025-0001", "--reason", "two died on the way", "--line", "1:2:8.00", "--owed")

    rows = list(csv.DictReader(io.StringIO(small.ok("sales", "--format", "csv").out, newline="")))
    first = next(row for row in rows if row["number"] == "S-2025-0001")

    assert unguarded(csv_names(small)[0]) == "=1+1"
    assert csv_names(small)[0] == "'=1+1"
    assert (first["total"], first["owed"]) == ("8.00", "-8.00")


def csv_names(run: CommandLine) -> list[str]:
    rows = csv.DictReader(io.StringIO(run.ok("customers", "--format", "csv").out, newline=""))
    return [row["name"] for row in rows if row["name"] != "Nim"]


def test_csv_records_end_as_rfc_4180_says_and_never_break_within_a_cell(small: CommandLine) -> None:
    rename_buyer(small, 'T"a,r\nn')

    raw = small.ok("customers", "--format", "csv").out
    rows = list(csv.reader(io.StringIO(raw, newline="")))

    assert raw.count("\r\n") == len(rows) == 3
    assert 'T"a,r n' in [row[1] for row in rows]


@pytest.mark.parametrize("sign", ["=", "+", "-", "@", "\t", "\r", "\n"])
def test_what_a_spreadsheet_may_read_as_a_formula_is_guarded(sign: str) -> None:
    assert guarded(f"{sign}1") == f"'{sign}1"


@given(st.text())
def test_the_guard_can_be_taken_off_again(text: str) -> None:
    assert unguarded(guarded(text)) == text
    assert not guarded(text).startswith(("=", "+", "-", "@", "\t", "\r", "\n"))


@given(st.lists(st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0")), min_size=1, max_size=4))
def test_any_row_of_text_comes_back_from_csv(cells: list[str]) -> None:
    (_, row) = csv.reader(io.StringIO(spreadsheet_csv(["x"] * len(cells), [cells]), newline=""))

    assert [unguarded(cell) for cell in row] == cells


# --- text -------------------------------------------------------------------------------------------------------------


def test_columns_are_aligned_by_the_cells_of_a_terminal() -> None:
    columns = (
        answer.Column("name", lambda row: row[0]),
        answer.Column("count", lambda row: row[1], figure=True),
    )

    lines = answer.table(columns, [("犬ころ", 5), ("ab", 1234), ("e\u0301", 7)])

    assert {cell_len(line) for line in lines} == {len("name     ") + 5}


def test_text_shows_marks_for_what_would_steer_a_terminal(small: CommandLine) -> None:
    rename_buyer(small, "Ta\x1b[31mrn\x9b2J\u202e\r\nx")

    for words in (("customers",), ("sales",), ("due",)):
        out = small.ok(*words).out
        assert all(letter.isprintable() or letter == "\n" for letter in out), words
    assert "Ta\ufffd[31mrn\ufffd2J\ufffd  x" in small.ok("customers").out


def test_a_long_list_is_read_page_by_page_without_a_gap_or_a_double(small: CommandLine) -> None:
    for verb, key in (("sales", "id"), ("costs", "cost"), ("entries", "entry")):
        whole = [row[key] for row in small.ok(verb, "--format", "json").json]
        paged: list[int] = []
        while len(paged) < len(whole):
            before = ["--before", str(paged[-1])] if paged else []
            paged += [row[key] for row in small.ok(verb, "--limit", "2", *before, "--format", "json").json]
        assert len(whole) >= 3
        assert paged == whole == sorted(whole, reverse=True)


def test_a_list_of_sales_says_what_is_owed(small: CommandLine) -> None:
    rows = {row["number"]: row for row in small.ok("sales", "--format", "json").json}

    assert [rows[f"S-2025-000{n}"]["owed"] for n in (1, 2, 3)] == ["0.00", "4.00", "0.00"]
    small.ok("paid", "S-2025-0002", "4.00", "--by", "card")
    assert small.ok("sales", "--format", "json").json[1]["owed"] == "0.00"


def test_a_cost_is_paid_finished_and_taken_back_by_its_number(small: CommandLine) -> None:
    made = small.ok("spend", "feed 7.50 Ombrel unpaid", "--format", "json").json["refs"]["cost"]
    small.ok("costs", "pay", str(made), "2.50")
    after = small.ok("costs", "--format", "json").json[0]
    small.ok("costs", "takeback", str(made))
    gone = next(row for row in small.ok("costs", "--format", "json").json if row["cost"] == made)

    assert (after["cost"], after["gross"], after["paid"], after["unpaid"]) == (made, "7.50", "2.50", "5.00")
    assert gone["taken_back"] is True


def test_a_cost_is_corrected_by_its_number_and_the_rest_stays_as_it_was(small: CommandLine) -> None:
    made = small.ok("spend", "feed 7.50 Ombrel unpaid", "--format", "json").json["refs"]["cost"]
    new = small.ok("costs", "correct", str(made), "--category", "substrate", "--format", "json").json["refs"]["cost"]

    rows = {row["cost"]: row for row in small.ok("costs", "--format", "json").json}
    assert rows[made]["taken_back"] is True
    assert (rows[new]["category"], rows[new]["gross"], rows[new]["unpaid"]) == ("substrate", "7.50", "7.50")
    assert (rows[new]["supplier"], rows[new]["bought_on"]) == (rows[made]["supplier"], rows[made]["bought_on"])
    assert "4711" in small.refused("costs", "correct", "4711", "--amount", "3")


def test_a_category_that_is_new_is_taken_when_its_kind_is_said(small: CommandLine) -> None:
    small.refused("spend", "beetle jelly 4.00")
    small.ok("spend", "beetle jelly 4.00", "--kind", "used up")
    small.ok("spend", "beetle jelly 5.00")

    rows = small.ok("costs", "--limit", "2", "--format", "json").json
    assert [(row["category"], row["kind"]) for row in rows] == [("beetle jelly", "used up")] * 2


# --- making, help, faults ---------------------------------------------------------------------------------------------


def test_a_new_ledger_is_made_where_it_is_wanted(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    where = tmp_path / "deep" / "loft.rearledger"
    run = CommandLine(str(where), capsys)

    run.ok("new", "--currency", "jpy", "--name", "Loft", "--at", str(where))

    assert where.stat().st_mode & 0o777 == 0o600
    assert "Loft" in run.ok("setting").out
    with Ledger.open(str(where), read_only=True) as opened:
        assert (opened.name, opened.currency.code) == ("Loft", "JPY")


def test_the_ledger_is_found_by_option_then_variable_then_folder(
    small_file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(place, "data_folder", lambda: tmp_path)
    monkeypatch.delenv(place.VARIABLE, raising=False)
    assert main(["new", "--currency", "EUR", "--name", "In the folder"]) == 0
    assert main(["setting"]) == 0
    assert "In the folder" in capsys.readouterr().out

    monkeypatch.setenv(place.VARIABLE, str(small_file))
    assert main(["stock"]) == 0
    assert "P08" in capsys.readouterr().out
    assert main(["stock", "--ledger", str(tmp_path / "my.rearledger")]) == 0
    assert "P08" not in capsys.readouterr().out


def test_without_a_ledger_the_way_to_one_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv(place.VARIABLE, str(tmp_path / "none"))

    status = main([])
    err = capsys.readouterr().err

    assert status == 2
    assert "rearledger new --currency" in one_sentence(err)
    assert "rearledger demo" in err


def test_the_demo_is_whole_or_not_there(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    where = tmp_path / "demo.rearledger"

    def stopped(target: str, progress: object) -> None:
        Ledger.create(target, currency="EUR", name="half").close()
        raise KeyboardInterrupt

    def made(target: str, progress: object) -> None:
        Ledger.create(target, currency="EUR", name="whole").close()

    monkeypatch.setattr("demo.build.build_demo", stopped)
    assert main(["demo", "--at", str(where), "--no-screen"]) == 130
    assert list(tmp_path.iterdir()) == []
    monkeypatch.setattr("demo.build.build_demo", made)
    assert main(["demo", "--at", str(where), "--no-screen"]) == 0
    assert main(["demo", "--at", str(where), "--no-screen"]) == 2

    assert list(tmp_path.iterdir()) == [where]
    one_sentence(capsys.readouterr().err)


def below(one: Parser, path: tuple[str, ...] = ()) -> Iterator[tuple[str, ...]]:
    """Every verb, and those below it."""
    for name, verb in one.verbs.items():
        yield (*path, name)
        yield from below(verb, (*path, name))


@pytest.mark.parametrize("path", list(below(parser())), ids=" ".join)
def test_every_verb_has_its_help(path: tuple[str, ...], capsys: pytest.CaptureFixture[str]) -> None:
    assert main([*path, "--help"]) == 0
    out, err = capsys.readouterr()
    assert err == ""
    assert f"rearledger {' '.join(path)}" in out


def test_the_help_lists_every_verb_once(capsys: pytest.CaptureFixture[str]) -> None:
    listed = [name for names in SECTIONS.values() for name in names]

    assert sorted(listed) == sorted(parser().verbs)
    assert main(["--help"]) == 0
    assert max(map(len, capsys.readouterr().out.splitlines())) <= 88


def test_a_fault_of_the_program_tells_nothing_of_anyone(
    small: CommandLine, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fails(self: Ledger) -> None:
        secret = "Tarn, 2 Loft Lane"
        raise ValueError(secret)

    monkeypatch.setattr(Ledger, "customers", fails)
    monkeypatch.setattr(place, "state_folder", lambda: tmp_path / "state")

    ran = small("customers")

    (report,) = (tmp_path / "state").iterdir()
    assert (ran.status, ran.out) == (1, "")
    assert str(report) in ran.err
    assert "Loft Lane" not in ran.err + report.read_text()
    assert "ValueError" in report.read_text()
    assert report.stat().st_mode & 0o777 == 0o600


def test_ctrl_c_ends_without_a_word(small: CommandLine, monkeypatch: pytest.MonkeyPatch) -> None:
    def stopped(self: Ledger) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(Ledger, "customers", stopped)

    ran = small("customers")

    assert (ran.status, ran.out, ran.err) == (130, "", "")


def test_a_refusal_that_argparse_words_is_worded_anew() -> None:
    """Guards against a Python whose argparse complains in other words than those known here."""
    for words in (["frob"], ["lot", "show"], ["ready", "--on"], ["ready", "--no-such"], ["rearing", "--curve=1"]):
        with pytest.raises(commands.BadInput) as refused:
            parser().parse_args(words)
        assert "was not understood" not in refused.value.sentence


def test_the_order_of_day_and_month_follows_the_locale(small: CommandLine) -> None:
    assert [order_of(name) for name in ("", "en_GB", "de_DE", "en_US", "ja_JP", "xx_QQ")] == [
        *("dmy", "dmy", "dmy", "mdy", "ymd", "dmy")
    ]
    small.ok("setting", "locale", "en_US")
    assert small.ok("stock", "--on", "5/1", "--format", "json").json
    small.refused("stock", "--on", "31/5")


def test_packs_and_figures_are_read_strictly() -> None:
    assert [read_pack(text) for text in (None, "1", "10", "pair 1.1", "pack of 25")] == [
        (1, "single"),
        (1, "single"),
        (10, "group of 10"),
        (2, "pair 1.1"),
        (25, "pack of 25"),
    ]
    assert read_figure(["soft", "adult", "hardening", "days", "9"]) == ("soft adult", "hardening days", 9)
    assert read_figure(["round", "days", "4"]) == (None, "round days", 4)
    assert read_figure(["L3", "planning", "survival", "92.5%"]) == ("L3", "planning survival", 925_000)
    assert read_figure(["L3", "care", "weight", "0,5"]) == ("L3", "care weight", 500)
    assert read_figure(["L3", "saleable", "YES"]) == ("L3", "saleable", 1)


def test_arrivals_are_read_by_sex_tub_and_price(small: CommandLine) -> None:
    with Ledger.open(small.target, read_only=True) as opened:
        names, currency = opened.vocabulary(), opened.currency

    first, second, third = read_arrivals(
        "bought 2.3 adult probable in tub a1 for 24.00 and about 12 L3, laid 40 eggs", "P08", names, currency
    )

    assert (first.reason, first.males, first.females, first.sure) == ("bought", 2, 3, "probable")
    assert (first.tub, first.value) == ("A1", 2400)
    assert (second.reason, second.stage, second.unsexed, second.estimated) == ("bought", "L3", 12, True)
    assert (third.reason, third.stage, third.unsexed, third.value) == ("laid", "egg", 40, None)


def test_namespaces_of_verbs_share_no_run(small: CommandLine) -> None:
    """A verb below another is run itself, not the one above it."""
    args = parser().parse_args(["species", "templates"])

    assert isinstance(args, argparse.Namespace)
    assert args.run.__name__ == "list_templates"
    assert parser().parse_args(["species"]).run.__name__ == "list_species"


def test_the_stock_over_time_is_a_command_too(small: CommandLine, tmp_path: Path) -> None:
    months = small.asked("stock", "--by-month", "--species", "pach", "--picture", str(tmp_path / "stock.svg"))

    assert months[-1]["alive"] == sum(row["count"] for row in small.asked("stock", "--species", "PACH"))
    assert (tmp_path / "stock.svg").exists()
    assert "add --by-month" in small.refused("stock", "--picture", "x.svg")
    assert "were ever recorded" in small.refused("stock", "--by-month", "--species", "NONE")
