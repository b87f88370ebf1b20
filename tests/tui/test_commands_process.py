"""The command as a process of its own: what it loads, what it writes into pipes, what it does when nobody reads."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests.tui.command_line import one_sentence, play

ROOT = Path(__file__).parents[2]
PROGRAM = "import sys; from tui.commands import main; sys.exit(main())"
HEAVY = {"sqlalchemy", "textual", "numpy", "babel", "openpyxl", "xlsxwriter", "alembic", "psycopg"}


def started(*words: str, python: tuple[str, ...] = (), **env: str) -> subprocess.CompletedProcess[str]:
    """Run the program to its end with its standard streams in pipes."""
    return subprocess.run(
        [sys.executable, *python, "-c", PROGRAM, *words],
        capture_output=True,
        text=True,
        cwd=ROOT,
        env=os.environ | env,
        timeout=120,
        check=False,
    )


def loaded(*words: str) -> set[str]:
    """Top-level packages that a command line loads, after Python's own report."""
    ran = started(*words, python=("-X", "importtime"))
    assert ran.returncode == 0, ran.stderr[-2000:]
    return {name.split(".")[0] for name in re.findall(r"\|\s+\d+ \|\s+(\S+)$", ran.stderr, re.MULTILINE)}


@pytest.fixture(scope="module")
def ledger_file(sqlite_template: Path, tmp_path_factory: pytest.TempPathFactory) -> str:
    """A ledger with animals to sell."""
    path = tmp_path_factory.mktemp("process") / "small.rearledger"
    shutil.copyfile(sqlite_template, path)
    play(
        str(path),
        (
            "species add PACH --template pachnoda-marginata",
            "lot add P08 PACH opening 60 adult --origin CBU --date yesterday",
        ),
    )
    return str(path)


@pytest.mark.parametrize("words", [("--help",), ("--version",), ("lot", "add", "--help")], ids=" ".join)
def test_help_and_version_load_nothing_heavy(words: tuple[str, ...]) -> None:
    assert not loaded(*words) & HEAVY


def test_looking_loads_the_database_and_neither_the_screen_nor_numbers(ledger_file: str) -> None:
    names = loaded("ready", "--ledger", ledger_file)

    assert "sqlalchemy" in names
    assert not names & {"textual", "numpy", "openpyxl", "xlsxwriter"}


@pytest.mark.parametrize("words", [("record", "P08 fed"), ("rearing",), ("prove",)], ids=" ".join)
def test_no_verb_loads_the_screen(ledger_file: str, words: tuple[str, ...]) -> None:
    assert "textual" not in loaded("--ledger", ledger_file, *words)


def test_no_module_of_the_verbs_names_the_screen_library() -> None:
    files = [ROOT / "tui" / "commands.py", *(ROOT / "tui" / "verbs").glob("*.py")]

    assert len(files) > 10
    for file in files:
        assert not re.search(r"^\s*(?:from|import) textual", file.read_text("utf-8"), re.MULTILINE), file


def test_nobody_reading_on_is_no_fault(ledger_file: str) -> None:
    running = subprocess.Popen(
        [sys.executable, "-c", PROGRAM, "species", "templates", "--format", "json"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        cwd=ROOT,
    )
    assert running.stdout is not None
    assert running.stderr is not None
    running.stdout.close()
    err = running.stderr.read()
    running.stderr.close()

    assert (running.wait(timeout=60), err) == (141, b"")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is always full")
@pytest.mark.parametrize("form", ["text", "json", "csv"])
def test_an_answer_that_cannot_be_written_out_is_said_in_a_sentence(form: str) -> None:
    with open("/dev/full", "w", encoding="utf-8") as full:
        ran = subprocess.run(
            [sys.executable, "-c", PROGRAM, "species", "templates", "--format", form],
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            cwd=ROOT,
            check=False,
        )

    assert ran.returncode == 1
    assert "cannot be written out" in one_sentence(ran.stderr)


def test_what_a_terminal_cannot_show_becomes_a_mark(ledger_file: str) -> None:
    ran = started("origin", "P08", "--ledger", ledger_file, PYTHONIOENCODING="ascii", NO_COLOR="1")
    nothing = started("rearing", "--ledger", ledger_file, PYTHONIOENCODING="ascii")

    assert (ran.returncode, ran.stderr) == (0, "")
    assert (nothing.returncode, nothing.stderr) == (0, "")
    assert nothing.stdout.isascii()


def test_nothing_is_coloured_even_when_colour_is_asked_for(ledger_file: str) -> None:
    for words in (("--help",), ("ready", "--ledger", ledger_file), ("frob",)):
        ran = started(*words, FORCE_COLOR="1", CLICOLOR_FORCE="1")
        assert "\x1b" not in ran.stdout + ran.stderr


def test_words_that_are_not_text_are_refused(ledger_file: str) -> None:
    ran = subprocess.run(
        [sys.executable, "-c", PROGRAM, "--ledger", ledger_file, "receipt", b"S-\xff"],
        capture_output=True,
        text=True,
        cwd=ROOT,
        check=False,
    )

    assert (ran.returncode, ran.stdout) == (2, "")
    assert "is not text" in one_sentence(ran.stderr)


def test_lines_that_are_not_text_are_refused(ledger_file: str) -> None:
    ran = subprocess.run(
        [sys.executable, "-c", PROGRAM, "--ledger", ledger_file, "record", "-"],
        input=b"P08 fed\nP08 \xff\xfe died\n",
        capture_output=True,
        cwd=ROOT,
        env=os.environ | {"PYTHONIOENCODING": "utf-8:strict"},
        check=False,
    )

    assert (ran.returncode, ran.stdout) == (2, b"")
    assert "UTF-8" in one_sentence(ran.stderr.decode())


def test_the_screen_needs_a_terminal(ledger_file: str) -> None:
    ran = started("--ledger", ledger_file)

    assert (ran.returncode, ran.stdout) == (2, "")
    assert "needs a terminal" in one_sentence(ran.stderr)
