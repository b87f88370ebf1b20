"""What a command line refuses: exit 2, one sentence on standard error, and not one row changed."""

from __future__ import annotations

import functools
import io
import os
import shutil
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

import ledger.ledger
from ledger.records.operations import perform
from tests.tui.command_line import TODAY, CommandLine, content, one_sentence, play

LONG = "x" * 5000
LIFE = (
    "setting business name Test Loft",
    f"setting pretend today {TODAY}",
    "species add PACH --template pachnoda-marginata",
    "lot add P08 PACH opening 12 L3 and 8 adult and 5 egg --date 2025-05-01 --origin CBU",
    "lot add P09 PACH opening 3 adult --date 2025-05-01 --origin WC",
    "price PACH adult 4.00 --from 2025-01-01",
    "hold P08 3 adult for Tarn until +5",
    "sell P08 2 adult to Tarn paid 8.00",
    "spend feed 10.00 Ombrel --date 2024-06-01",
    "close 2024",
)


@pytest.fixture(scope="module")
def life(sqlite_template: Path, tmp_path_factory: pytest.TempPathFactory) -> str:
    """A small ledger that no test here changes."""
    path = tmp_path_factory.mktemp("refused") / "small.rearledger"
    shutil.copyfile(sqlite_template, path)
    play(str(path), LIFE)
    return str(path)


@pytest.fixture
def run(life: str, capsys: pytest.CaptureFixture[str]) -> CommandLine:
    """Command lines on it."""
    return CommandLine(life, capsys)


REFUSED = [
    # names that are not there
    ("frob", 'There is no verb "frob" after rearledger'),
    ("sel P08 1", "did you mean sell?"),
    ("lot ad P10 PACH", "did you mean add?"),
    ("lot", "Say what to do: rearledger lot"),
    ("record Q99 3 died", '"Q99" is not a lot'),
    ("stock --lot P0", "did you mean"),
    ("stock --species HIER", 'There is no species "HIER"'),
    ("rearing --lot Q99", 'There is no lot "Q99"'),
    ("origin Q99", 'There is no lot "Q99"'),
    ("lot show Q99", 'There is no lot "Q99"'),
    ("species add X --template no-such-beetle", "No species template"),
    ("species add PACH --template pachnoda-marginata", "There is a species PACH already"),
    ("lot add P08 PACH laid 4 eggs", "There is a lot P08 already"),
    ("lot add P10 HIER laid 4 eggs", 'There is no species "HIER"'),
    ("receipt S-2025-9999", 'There is no sale "S-2025-9999"'),
    ("posted S-2025-9999", 'There is no sale "S-2025-9999"'),
    ("credit S-2025-9999 --reason x", 'There is no sale "S-2025-9999"'),
    ("hold release R-099", 'There is no hold "R-099"'),
    ("takeback 4711", "4711"),
    ("costs pay 4711 1.00", "4711"),
    ("setting colour red", "There is no setting"),
    ("lot fact P08 colour red", "That is no fact of a lot"),
    ("record P08/99 died", "no labelled tubs"),
    # stages
    ("record P08 3 L9 died", '"L9"'),
    ("record P08 3 died", "say which stage"),
    ("record P08 2 larvae died", "may be L1, L2 or L3"),
    ("record P08 3 L3 to ootheca", "which stage of P08"),
    ("sell P08 2 ootheca to Tarn paid 1.00", "ootheca"),
    ("sell P08 1 egg at 1.00 paid", "egg"),
    ("price PACH ootheca 2.00", "ootheca"),
    ("species set PACH ootheca hardening days 3", "ootheca"),
    ("lot add P10 PACH laid 40", "At which stage?"),
    # days
    ("ready --on 2025-02-30", "is not a day"),
    ("ready --on 31/02", "is not a day"),
    ("ready --on someday", "is not a date"),
    ("ready --on", "--on needs something after it"),
    ("stock --on 1850-01-01", "lies outside 1990 to 2199"),
    ("record P08 1 L3 died --date 2025-06-03", "3 June 2025"),
    ("record P08 1 L3 died yesterday --date 2025-05-20", "keep one of them"),
    ("record P08 1 L3 died --date 2025-04-30", "P08"),
    ("sell P08 1 adult at 4.00 paid --date 2025-06-03", "3 June 2025"),
    ("sell P08 1 adult at 4.00 paid --date 2024-06-03", "P08"),
    ("hold P08 1 adult for Nim until yesterday", "1 June"),
    ("close 2025", "lasts until 31 December 2025"),
    ("close 2024", "closed already"),
    ("close 24", "is not a year"),
    ("income twenty", "is not a year"),
    ("species set PACH adult hardening days 9 --from 2024-06-01", "is closed"),
    # amounts and currencies
    ("spend feed 24 USD", "is in another currency than EUR"),
    ("spend feed $24.00", "is in another currency than EUR"),
    ("spend feed 1.234", "may mean 1234 or 1.234"),
    ("spend feed 1e3", "is not an amount"),
    ("spend feed NaN", "is not an amount"),
    ("spend feed 4.505", "decimals"),
    ("spend feed 0", "amount"),
    ("spend feed 99999999999999", "more than these books can hold"),
    ("spend feed (5.00)", "is less than nothing"),
    ("spend feed", "How much was spent"),
    ("spend", "On what"),
    ("spend gold 5.00", '"gold"'),
    ("spend feed 5.00 --share 150%", "is not a part"),
    ("spend feed 5.00 --share 0%", "business part"),
    ("spend feed 5.00 --from 2025-06-01 --to 2025-05-01", "swap the two days"),
    ("spend equipment 50.00 --life 0", "is not a number of days"),
    ("spend equipment 50.00 lasts 5 years --residual 60.00", "cannot be more than what it cost"),
    ("price PACH adult -1", "is less than nothing"),
    ("price PACH adult", "Write the species, the stage and the price"),
    ("price PACH adult 4.00 --sex both", "A price is for one of"),
    ("paid S-2025-0001 1.00", "nothing is owed"),
    ("credit S-2025-0001 --reason x --line 1:2", "is no line of a credit"),
    ("credit S-2025-0001 --reason x --line 1:2:99.00", "S-2025-0001"),
    ("credit S-2025-0001 --reason x --line 9:1:1.00", "9"),
    ("credit S-2025-0001", "say --reason too"),
    ("sell P08 1 adult paid 99.00", "more than the 4.00 EUR"),
    # numbers of animals
    ("record P08 300 L3 died", "P08 has only 12 L3"),
    ("record P08 0 L3 died", "Nought animals"),
    ("record P08 -3 L3 died", '"-3"'),
    ("record P08 3.5 L3 died", "P08"),
    ("record P08 99999999999999999999 L3 died", "from 1 to 1,000,000"),
    ("sell P08 5 adult at 20.00 paid", "P08"),
    ("sell P08 99999999999999999999 adult paid 1.00", "from 1 to 1,000,000"),
    ("hold P08 4 adult for Nim until +3", "P08"),
    ("lot split P08 40 L3 --into P10", "P08"),
    ("lot split P08 many L3 --into P10", "is no number"),
    ("lot split P08 2 L3", "say --into too"),
    ("lot keep P08 40 adult --why old", "P08"),
    ("lot add P10 PACH laid many eggs", "is no number"),
    ("lot add P10 PACH found 3 L3", "does not say how they came"),
    # origins
    ("sell P08 1 adult at 4.00 paid --claim CB", "needs its generation"),
    ("sell P09 1 adult at 4.00 paid --claim CBU", "not called “captive bred"),
    ("sell P08 1 adult at 4.00 paid --claim BEST", "BEST"),
    ("lot add P10 PACH bought 1 adult for 1.00 --origin XX", "is no origin"),
    ("lot add P10 PACH bought 1 adult for 1.00 --generation 2", "add --origin"),
    ("lot add P10 PACH bought 1 adult for 1.00 --origin WC --country Z", "two letters"),
    ("lot add P10 PACH bought 1 adult for 1.00 --origin WC --evidence gossip", "is no evidence"),
    ("lot merge P08 P09 --into P10", "mixed by accident"),
    ("lot claim P09 CBU", "our records give"),
    # the line itself
    ("ready --format xml", "is no format"),
    ("ready --fromat json", "has no place there"),
    ("ready now", "words come first"),
    ("rearing --curve=1", "--curve takes nothing after it"),
    ("rearing --lot P08 --species PACH", "leave --species out"),
    ("record", "Write what happened"),
    ("hold", "Of which lot?"),
    ("hold list all", "nothing more"),
    ("hold release", "the number of the hold"),
    ("hold release R-001 --deposit lost", "cannot become of a deposit"),
    ("hold P08 1 adult", "For whom?"),
    ("species set PACH adult hardiness 3", "Say which figure"),
    ("species set PACH adult saleable maybe", "is yes or no"),
    ("species set PACH L3 planning survival 150%", "is not a share"),
    ("sales --limit 0", "is not a number of rows"),
    ("sales --before first", "is not an id"),
    ("year-end 2024 --to /no/such/folder", "Nothing can be written"),
]


@pytest.mark.parametrize(("line", "said"), REFUSED, ids=[line for line, _ in REFUSED])
def test_what_cannot_be_done_is_refused_in_one_sentence(run: CommandLine, line: str, said: str) -> None:
    assert said in run.refused(*line.split())


HOSTILE = {
    "escape": "A\x1b[2J",
    "bell": "A\x07B",
    "carriage return within": "A\rB",
    "line feed within": "A\nB",
    "C1 control": "A\x9b2J",
    "right-to-left override": "A\u202eB",
    "isolate": "A\u2066B",
    "line separator": "A\u2028B",
    "lone surrogate": "A\udcffB",
    "private use": "A\ue000B",
    "too long": LONG,
}


TAKE_LINE_ENDS = (("record", "P08 1 L3 died note {}"), ("lot", "fact"))
"""A jot line takes a line end for a space, and a fact may have several lines."""


@pytest.mark.parametrize("text", HOSTILE.values(), ids=HOSTILE)
@pytest.mark.parametrize(
    "words",
    [
        ("record", "P08 1 L3 died note {}"),
        ("record", "P08 1 {} died"),
        ("{}",),
        ("lot", "add", "{}", "PACH"),
        ("lot", "add", "P10", "PACH", "--place", "{}"),
        ("lot", "fact", "P08", "place", "{}"),
        ("species", "add", "Y", "--template", "{}"),
        ("species", "add", "Y", "--template", "pachnoda-marginata", "--name", "{}"),
        ("sell", "P08 1 adult at 4.00 to {} paid"),
        ("spend", "feed 4.00", "--text", "{}"),
        ("credit", "S-2025-0001", "--reason", "{}"),
        ("receipt", "{}"),
        ("stock", "--lot", "{}"),
        ("ready", "--on", "{}"),
        ("ready", "--{}"),
        ("setting", "business name", "{}"),
    ],
    ids=lambda words: " ".join(words),
)
def test_hostile_and_over_long_text_is_refused_and_cannot_steer_the_terminal(
    run: CommandLine, words: tuple[str, ...], text: str
) -> None:
    if text.split() == ["A", "B"] and (words[0] == "sell" or words[:2] in TAKE_LINE_ENDS):
        return

    run.refused(*(word.replace("{}", text) for word in words))


def test_a_new_ledger_needs_a_currency_that_is_one(tmp_path: Path, run: CommandLine) -> None:
    place = tmp_path / "new.rearledger"

    for words in (("--currency", "XXX"), ("--currency", "euro"), ("--currency", ""), ()):
        ran = run("new", *words, "--at", str(place))
        assert (ran.status, ran.out) == (2, "")
        one_sentence(ran.err)
    assert not place.exists()


def test_a_new_ledger_never_takes_the_place_of_something(run: CommandLine) -> None:
    assert "already" in run.refused("new", "--currency", "EUR", "--at", run.target)


@pytest.mark.parametrize("words", [("ready",), ("record", "P08 3 died"), ("prove",), ()], ids=str)
@pytest.mark.parametrize("kind", ["text", "empty", "other database", "folder", "nothing", "another scheme"])
def test_what_is_no_ledger_is_refused_and_left_alone(
    kind: str, words: tuple[str, ...], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    place = tmp_path / "thing"
    if kind == "text":
        place.write_text("dear diary\n" * 100)
    elif kind == "empty":
        place.touch()
    elif kind == "other database":
        other = sqlite3.connect(place)
        other.execute("CREATE TABLE lot (id INTEGER)")
        other.commit()
        other.close()
    elif kind == "folder":
        place.mkdir()
    before = place.read_bytes() if place.is_file() else None

    ran = CommandLine("mysql://here/there" if kind == "another scheme" else str(place), capsys)(*words)

    assert (ran.status, ran.out) == (2, "")
    one_sentence(ran.err)
    assert (place.read_bytes() if place.is_file() else None) == before
    assert [one.name for one in tmp_path.iterdir()] == ([] if kind in ("nothing", "another scheme") else ["thing"])


def test_a_ledger_that_somebody_else_is_writing_to_can_be_read_and_refuses_a_second_writer(
    run: CommandLine, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(ledger.ledger, "perform", functools.partial(perform, patience=0.2))
    other = sqlite3.connect(run.target, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")

    sentence = run.refused("record", "P08 1 L3 died")
    ready = run.ok("ready")
    other.execute("ROLLBACK")
    other.close()

    assert sentence == "Someone else is writing to this ledger; nothing was saved. Try again."
    assert "P08" in ready.out


@pytest.fixture
def read_only(life: str) -> Iterator[Path]:
    """A copy in a folder in which nobody may write (the superuser may, so he steps down in these tests)."""
    folder = Path(tempfile.mkdtemp(prefix="rearledger-"))
    path = folder / "kept.rearledger"
    shutil.copyfile(life, path)
    path.chmod(0o444)
    folder.chmod(0o555)
    yield path
    folder.chmod(0o755)
    shutil.rmtree(folder)


@contextmanager
def stepped_down() -> Iterator[None]:
    """Without the superuser's power to write everywhere."""
    superuser = os.geteuid() == 0
    if superuser:
        os.seteuid(65534)
    try:
        yield
    finally:
        if superuser:
            os.seteuid(0)


def test_a_ledger_that_may_not_be_written_can_be_read_and_refuses_every_act(
    read_only: Path, life: str, capsys: pytest.CaptureFixture[str]
) -> None:
    # Everything that is loaded late is loaded by this, as long as this process may still read it.
    CommandLine(life, capsys).refused("record", "P08 99 L3 died")
    run = CommandLine(str(read_only), capsys)
    before = content(str(read_only))

    with stepped_down():
        looked = run("stock")
        refused = run("record", "P08 1 L3 died")

    assert (looked.status, looked.err) == (0, "")
    assert "P08" in looked.out
    assert (refused.status, refused.out) == (2, "")
    assert "cannot be written to" in one_sentence(refused.err)
    assert content(str(read_only)) == before


def test_a_ledger_without_its_safeguards_can_be_read_and_proves_false(
    life: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "bare.rearledger"
    shutil.copyfile(life, path)
    raw = sqlite3.connect(path)
    (name,) = raw.execute("SELECT name FROM sqlite_master WHERE type = 'trigger' LIMIT 1").fetchone()
    raw.execute(f'DROP TRIGGER "{name}"')
    raw.commit()
    raw.close()
    run = CommandLine(str(path), capsys)

    assert "safeguards" in run.refused("record", "P08 1 L3 died")
    assert run.ok("stock").lines
    proved = run("prove", "--format", "json")
    assert (proved.status, [row["what"] for row in proved.json]) == (1, ["safeguards"])


def test_of_many_lines_all_are_recorded_or_none(
    life: str, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "copy.rearledger"
    shutil.copyfile(life, path)
    run = CommandLine(str(path), capsys)
    before = content(str(path))

    monkeypatch.setattr("sys.stdin", io.StringIO("P08 1 L3 into tub 7\nP08/7 died\n\nP08 99 L3 died\n"))
    sentence = run.refused("record", "-")
    monkeypatch.setattr("sys.stdin", io.StringIO("P08 1 L3 into tub 7\nP08/7 died\n"))
    done = run.ok("record", "-", "--date", "2025-06-01").lines
    died = sum(row["count"] for row in run.ok("stock", "--lot", "P08", "--format", "json").json)
    # What tells that a refusal changed nothing does tell a change.
    assert content(str(path)) != before
    run.ok("undo")
    back = sum(row["count"] for row in run.ok("stock", "--lot", "P08", "--format", "json").json)

    assert sentence.startswith('Line 4 ("P08 99 L3 died"): P08 has only')
    assert sentence.endswith("Nothing was recorded.")
    assert done[:2] == ["P08: 1 of 12 L3 moved to tub 7, 1 June 2025.", "P08/7: 1 of 1 L3 died, 1 June 2025."]
    assert (died, back) == (22, 23)


@pytest.mark.parametrize(
    ("lines", "said"),
    [
        ("", "There is no line"),
        ("undo\n", "Undo stands alone"),
        ("P08 fed\nP08 fed\x1b[2J\n", "Line 2"),
        ("P08 fed note " + LONG + "\n", "longer than"),
        ("P08 fed\n" * 1001, "More than 1,000 lines"),
    ],
)
def test_many_lines_that_cannot_be_recorded_are_refused(
    run: CommandLine, monkeypatch: pytest.MonkeyPatch, lines: str, said: str
) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO(lines))

    assert said in run.refused("record", "-")
