"""Promise 2, the full disk: whatever fills up in the middle of an act, one sentence is said and all is as it was.

Each act is tried with less room than it needs, at moments chosen at random, and then with just the room it needs.
"""

from __future__ import annotations

import csv
import os
import random
import shutil
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from exports import files
from ledger.errors import DiskFull
from ledger.records import identity
from ledger.records.head import Head
from ledger.records.store import create, open_store
from ledger.records.upgrading import bring_up
from tests.promises.later_step import NOW, steps
from tests.promises.small_disk import no_more_bytes, no_more_pages, pages, state, there
from tests.promises.test_upgrade import fill_with_acts
from tests.tui.command_line import CommandLine, content, play
from tui.crash import write_report
from tui.drafts import Drafts

SEED = int(os.environ.get("REARLEDGER_SEED", "1"))
TRIES = 12 if os.environ.get("REARLEDGER_LONG") else 2
"""Moments tried for each act, besides the first and the last."""
SHEET, TAKEN_BACK = "spending.csv", "1"


@pytest.fixture(scope="module")
def kept(filled_loft: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a ledger, its backup and archive, a sheet, and the ledger with that sheet brought in."""
    folder = tmp_path_factory.mktemp("kept")
    loft = folder / "loft.rearledger"
    shutil.copyfile(filled_loft, loft)
    with (folder / SHEET).open("w", newline="", encoding="utf-8") as file:
        csv.writer(file).writerows(
            [
                ("Date", "Category", "Amount", "Supplier"),
                *(("2025-05-01", "feed", f"{n}.50", "Ombrel") for n in range(60)),
            ]
        )
    play(str(loft), ("setting pretend today 2025-06-02", f"archive {folder / 'loft.zip'}"))
    play(str(loft), (f"backup --to {folder}",))
    (folder / "loft.backup").write_bytes(next(folder.glob("*.backup")).read_bytes())
    for one in folder.glob("2*.backup"):
        one.unlink()
    shutil.copyfile(loft, folder / "brought.rearledger")
    play(str(folder / "brought.rearledger"), (f"bring-in costs {folder / SHEET} --record",))
    _nearly_full(loft, folder / "spending.rearledger", "spend feed 3.00 Ombrel", spent=15)
    _nearly_full(loft, folder / "closing.rearledger", "close 2024", spent=34)
    return folder


def _nearly_full(loft: Path, ledger: Path, line: str, spent: int = 0) -> None:
    """A copy of a ledger whose pages are so full that the act of a line needs another one."""
    shutil.copyfile(loft, ledger)
    play(str(ledger), ("spend feed 3.00 Ombrel",) * spent)
    for n in range(60):
        trial = ledger.with_name(f"{ledger.stem}-{n}.trial")
        shutil.copyfile(ledger, trial)
        play(str(trial), (line,))
        if pages(trial) > pages(ledger):
            return
        play(str(ledger), ("spend feed 3.00 Ombrel",))
    pytest.fail(f"{line} never needs another page")


GROWING: dict[str, tuple[str, tuple[str, ...]]] = {
    "an ordinary act": ("spending", ("spend", "feed", "3.00", "Ombrel")),
    "closing a year": ("closing", ("close", "2024")),
    "a sheet brought in": ("loft", ("bring-in", "costs", SHEET, "--record")),
    "a look at a sheet": ("loft", ("bring-in", "costs", SHEET)),
    "a sheet taken back": ("brought", ("bring-in", "undo", TAKEN_BACK)),
}
"""Acts that need more room in the ledger, and the ledger they are done in."""

MAKING: dict[str, tuple[str, ...]] = {
    "a backup": ("backup", "--to", "new"),
    "a backup restored": ("restore", "loft.backup", "--at", "new/loft.rearledger"),
    "an archive opened": ("open-archive", "loft.zip", "--at", "new/loft.rearledger"),
    "a ledger moved": ("move-to", "new/loft.rearledger"),
}
"""What makes another database beside the ledger."""


def _moments(least: int, needed: int) -> list[int]:
    """Too little room: the least, some at random, and one page less than is needed."""
    assert needed > least, "it would need no room at all"
    chance = random.Random(SEED)
    return sorted({least, needed - 1, *(chance.randrange(least, needed) for _ in range(TRIES))})


@pytest.fixture
def home(kept: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with a ledger in which commands are run; what they read is in it too."""
    place = tmp_path / "home"
    (place / "new").mkdir(parents=True)
    for name in ("loft.rearledger", SHEET, "loft.backup", "loft.zip"):
        shutil.copyfile(kept / name, place / name)
    monkeypatch.chdir(place)
    return place


@pytest.mark.parametrize("name", GROWING)
def test_an_act_for_which_the_disk_is_full_leaves_the_ledger_as_it_was(
    kept: Path, home: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], name: str
) -> None:
    ledger, words = GROWING[name]
    target, trial = str(home / "loft.rearledger"), str(home.parent / "trial.rearledger")
    for copy in (target, trial):
        shutil.copyfile(kept / f"{ledger}.rearledger", copy)
    # A look takes back what it tried, and need not write all of it.
    looks = words == GROWING["a look at a sheet"][1]
    CommandLine(trial, capsys).ok(*words, *(("--record",) if looks else ()))
    needed = pages(trial)
    run = CommandLine(target, capsys)
    run.ok("backup")
    run.ok("stock")
    before = state(home, target)

    for most in [pages(target)] if looks else _moments(pages(target), needed):
        with monkeypatch.context() as small:
            no_more_pages(small, most)
            said = run.refused(*words)
        assert said == (
            f"There is no room left on the disk; nothing was saved. Make room where {target} is, and try again."
        )
        assert state(home, target) == before, f"seed {SEED}, {most} of {needed} pages"

    no_more_pages(monkeypatch, needed)
    run.ok(*words)
    assert (content(target) == before[1]) == looks, "with just the room it needs it is done"
    assert run("prove").status == 0


@pytest.mark.parametrize("name", MAKING)
def test_a_database_for_which_the_disk_is_full_is_not_left_half_made(
    home: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], name: str
) -> None:
    target = str(home / "loft.rearledger")
    run = CommandLine(target, capsys)
    words = MAKING[name]
    run.ok(*words)
    (made,) = (home / "new").glob("*[!l]")
    needed = pages(made)
    shutil.rmtree(home / "new")
    (home / "new").mkdir()
    before = state(home, target)

    for most in _moments(1, needed):
        with monkeypatch.context() as small:
            no_more_pages(small, most)
            said = run.refused(*words)
        assert said.startswith("There is no room"), said
        assert "new" in said, "it says where"
        assert state(home, target) == before, f"seed {SEED}, {most} of {needed} pages"

    no_more_pages(monkeypatch, needed)
    run.ok(*words)


def test_an_upgrade_for_which_the_disk_is_full_leaves_the_older_ledger_and_its_backup(
    sqlite_target: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    fill_with_acts(sqlite_target, 500)
    (home := tmp_path / "home").mkdir()
    target, trial = str(home / "x.rearledger"), str(tmp_path / "trial.rearledger")
    for copy in (target, trial):
        shutil.copyfile(sqlite_target, copy)
    later = steps(tmp_path / "steps")
    bring_up(trial, NOW, schema=2, steps=later)
    before = state(home, target)

    for most in _moments(pages(target), pages(trial)):
        with monkeypatch.context() as small:
            no_more_pages(small, most)
            with pytest.raises(DiskFull, match="nothing was saved"):
                bring_up(target, NOW, schema=2, steps=later)
        found, rows, sound = state(home, target)
        assert (rows, sound) == before[1:], f"seed {SEED}, {most} pages"
        (backup,) = set(found) - set(before[0])
        assert backup.endswith(".backup")
        assert content(str(home / backup)) == rows
        shutil.rmtree(f"{target}-backups")

    with monkeypatch.context() as small:
        no_more_pages(small, 2)
        with pytest.raises(DiskFull, match=r"no room in .*-backups for a copy"):
            bring_up(target, NOW, schema=2, steps=later)
    assert state(home, target) == before, "without room for its backup it is not begun"
    assert bring_up(target, NOW, schema=2, steps=later).after == 2
    monkeypatch.setattr(identity, "SCHEMA", 2)
    open_store(target).close()


def test_the_control_row_by_row_would_be_found_half_done(home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    target = str(home / "loft.rearledger")
    before = state(home, target)

    with monkeypatch.context() as small:
        no_more_pages(small, pages(target) + 2)
        with closing(sqlite3.connect(target, isolation_level=None)) as raw:
            rows = [(f"big {number}", "x" * 1000) for number in range(1000)]
            with pytest.raises(sqlite3.OperationalError, match="full"):
                raw.executemany("INSERT INTO setting (name, value) VALUES (?, ?)", rows)

    found = state(home, target)
    assert found[1] != before[1]
    assert found[0] != before[0], "and its file has grown"


# --- files ----------------------------------------------------------------------------------------------------------


def _naively(path: Path, data: bytes) -> None:
    """The control: a file written under its own name at once."""
    with os.fdopen(os.open(path, os.O_CREAT | os.O_WRONLY, 0o600), "wb") as file:
        file.write(data)


@pytest.mark.parametrize(
    ("write", "left"), [(lambda path, data: files.write_new(path, data), []), (_naively, ["a.zip"])]
)
@pytest.mark.parametrize("room", [0, 1, 4096, 99_999])
def test_a_disk_that_fills_up_at_any_byte_leaves_no_part_of_a_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, room: int, write: Callable[[Path, bytes], object], left: list[str]
) -> None:
    with monkeypatch.context() as small:
        no_more_bytes(small, room)
        with pytest.raises((DiskFull, OSError)) as caught:
            write(tmp_path / "a.zip", bytes(100_000))

    assert os.listdir(tmp_path) == left
    if not left:
        said = f"There is no room in {tmp_path} for a.zip; nothing was written. Make room, or choose another folder."
        assert str(caught.value) == said
        files.write_new(tmp_path / "a.zip", bytes(100_000))


WRITING: tuple[tuple[str, ...], ...] = (
    ("archive", "new/a.zip"),
    ("year-end", "2025", "--to", "new"),
    ("bring-in", "template", "new/t.xlsx"),
    ("paper", "prices", "--to", "new"),
    ("paper", "labels", "--to", "new", "--as", "text"),
    ("coming", "--species", "PACH", "--picture", "new/p.svg"),
)


def test_every_file_for_people_is_whole_or_not_there(
    home: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    target = str(home / "loft.rearledger")
    run = CommandLine(target, capsys)
    run.ok("backup")
    before = there(home)

    with monkeypatch.context() as small:
        no_more_bytes(small, 30)
        for words in WRITING:
            said = run.refused(*words)
            assert said.startswith(f"There is no room in {home / 'new'} for "), words
            assert said.endswith("nothing was written. Make room, or choose another folder."), words

    assert there(home) == before
    run.ok(*WRITING[0])
    assert set(there(home)) - set(before) == {"new/a.zip"}


def test_what_is_typed_stays_in_the_form_when_it_cannot_be_kept_and_that_is_said_once(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    told: list[str] = []
    drafts = Drafts(tmp_path / "drafts.json")
    drafts.tell = told.append
    drafts.keep("sell", {"buyer": "Ann O'Example"})
    before = there(tmp_path)

    with monkeypatch.context() as small:
        no_more_bytes(small, 10)
        for buyer in ("T", "Ta", "Tarn"):
            drafts.keep("hold", {"buyer": buyer})
        assert there(tmp_path) == before
        assert drafts.get("hold") == {"buyer": "Tarn"}
        drafts.forget("O'Example")
        assert there(tmp_path) == {}, "who was erased is not left on a full disk"

    assert told == [f"There is no room in {tmp_path} for what you type: record it before you leave."]
    drafts.keep("hold", {"buyer": "Tarn of"})
    assert Drafts(tmp_path / "drafts.json").get("hold") == {"buyer": "Tarn of"}
    assert drafts.get("sell") == {}


def test_a_report_of_a_fault_is_whole_or_not_there(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    no_more_bytes(monkeypatch, 20)

    with pytest.raises(OSError, match="No space left"):
        write_report(RuntimeError("x"), tmp_path, "2025-06-02T10:00")

    assert os.listdir(tmp_path) == []


@pytest.mark.parametrize("room", [0, 100])
def test_what_was_seen_of_a_ledger_is_not_forgotten_when_the_disk_is_full(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, room: int
) -> None:
    store = create(str(tmp_path / "x.rearledger"), currency="EUR", made_at="2025-01-01T08:00:00+00:00")
    head = Head(tmp_path / "state", store.place)
    head.note(store)
    before = head.path.read_bytes()
    write = os.pwrite

    def small(handle: int, data: bytes, at: int) -> int:
        # What is there already has its place; what grows finds none.
        if len(data) <= len(before):
            return write(handle, data, at)
        if not room:
            raise OSError(28, "No space left on device")
        return write(handle, data[:room], at)

    play(str(tmp_path / "x.rearledger"), ("spend feed 3.00 Ombrel",))
    with monkeypatch.context() as patch:
        patch.setattr(os, "pwrite", small)
        with pytest.raises(OSError, match="No space left"):
            head.note(store)
        assert head.path.read_bytes() == before
        with pytest.raises(OSError, match="No space left"):
            Head(tmp_path / "state", "elsewhere").note(store)
    assert os.listdir(tmp_path / "state") == [head.path.name], "no empty file of one that was never seen"
    head.note(store)
    assert len(head.path.read_bytes()) > len(before)
    store.close()
