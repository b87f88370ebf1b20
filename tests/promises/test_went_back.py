"""Promise 12: a ledger that went backwards or forked is noticed, and an honest one is never accused."""

from __future__ import annotations

import datetime as dt
import json
import os
import random
import shutil
from pathlib import Path

import pytest
from sqlalchemy.event import listen

from ledger.ledger import Ledger
from ledger.records.commands import SetSetting
from ledger.records.head import Head, WentBack
from ledger.selling.commands import AddCustomer, EraseCustomer

LONG = bool(os.environ.get("REARLEDGER_LONG"))
TRIALS = 100 if LONG else 12
"""Of each class."""


class Computer:
    """One computer with a memory of its own and a copy of the ledger's file."""

    def __init__(self, folder: Path, template: Path) -> None:
        folder.mkdir()
        self.file = folder / "loft.rearledger"
        shutil.copyfile(template, self.file)
        self.head = Head(folder / "memory", "loft")

    def work(self, acts: int) -> None:
        """Open the ledger as the program does, record, and remember."""
        with Ledger.open(str(self.file)) as ledger:
            self.head.check(ledger.store)
            self.head.note(ledger.store)
            for _ in range(acts):
                ledger.do(SetSetting("business name", f"Loft {random.random()}"))
                self.head.note(ledger.store)

    def look(self) -> None:
        """Open it once more."""
        self.work(0)

    def get(self, other: Computer) -> None:
        """A synchronising program puts another computer's file in place of this one's."""
        shutil.copyfile(other.file, self.file)


@pytest.fixture
def two(tmp_path: Path, sqlite_template: Path) -> tuple[Computer, Computer]:
    return Computer(tmp_path / "a", sqlite_template), Computer(tmp_path / "b", sqlite_template)


def acts(random_: random.Random) -> int:
    return random_.randint(1, 4)


@pytest.mark.parametrize("seed", range(TRIALS))
def test_an_older_copy_that_came_back_is_noticed(two: tuple[Computer, Computer], seed: int) -> None:
    chance = random.Random(seed)
    here, stick = two
    here.work(acts(chance))
    stick.get(here)
    here.work(acts(chance))

    here.get(stick)

    with pytest.raises(WentBack, match="an older copy came back") as noticed:
        here.look()
    assert noticed.value.missing


@pytest.mark.parametrize("seed", range(TRIALS))
def test_two_copies_that_were_both_written_to_are_noticed(two: tuple[Computer, Computer], seed: int) -> None:
    chance = random.Random(seed)
    here, there = two
    here.work(acts(chance))
    there.get(here)
    more = acts(chance)
    here.work(more)
    there.work(more + (seed % 2) * 2)

    here.get(there)

    with pytest.raises(WentBack, match="written to elsewhere"):
        here.look()


@pytest.mark.parametrize("seed", range(TRIALS))
def test_an_older_copy_that_was_written_on_is_noticed(two: tuple[Computer, Computer], seed: int) -> None:
    """As after a backup was put back by hand and work went on: the numbers have caught up."""
    chance = random.Random(seed)
    here, there = two
    there.get(here)
    here.work(acts(chance))
    there.work(20)

    here.get(there)

    with pytest.raises(WentBack):
        here.look()


@pytest.mark.parametrize("seed", range(TRIALS))
def test_an_honest_hand_over_is_never_accused(two: tuple[Computer, Computer], seed: int) -> None:
    chance = random.Random(seed)
    pair = list(two)
    for _ in range(6):
        chance.shuffle(pair)
        here, there = pair
        here.get(there)
        here.work(chance.choice((0, 1, 3, 60)))
        there.get(here)
        there.look()


def test_a_file_compared_by_its_last_number_alone_would_be_taken_for_whole(two: tuple[Computer, Computer]) -> None:
    """The control: a memory without fingerprints lets a forked copy pass, so the fingerprints do the work."""
    here, there = two
    here.work(3)
    there.work(5)
    text = here.head.path.read_text()
    here.get(there)
    with pytest.raises(WentBack):
        here.look()

    with Ledger.open(str(there.file)) as ledger:
        there.head.note(ledger.store)
    theirs, mine = there.head.path.read_text(), text

    assert max(number for number, *_ in _read(mine)) < max(number for number, *_ in _read(theirs))


def _read(text: str) -> list[list[object]]:
    import json

    acts_: list[list[object]] = json.loads(text)["acts"]
    return acts_


def test_another_ledger_at_the_same_place_is_not_accused(tmp_path: Path, sqlite_template: Path) -> None:
    here = Computer(tmp_path / "a", sqlite_template)
    here.work(3)
    here.file.unlink()

    Ledger.create(str(here.file), currency="EUR", name="New").close()

    here.look()


def test_an_unreadable_memory_stands_in_nobodys_way(tmp_path: Path, sqlite_template: Path) -> None:
    here = Computer(tmp_path / "a", sqlite_template)
    here.work(2)
    here.head.path.write_text("{half")

    here.look()

    assert here.head.path.read_text().startswith('{"made_at"')


def test_the_memory_holds_no_word_of_what_was_recorded(tmp_path: Path, sqlite_template: Path) -> None:
    here = Computer(tmp_path / "a", sqlite_template)
    with Ledger.open(str(here.file)) as ledger:
        ledger.do(SetSetting("business name", "Marrick"))
        here.head.note(ledger.store)

    assert "Marrick" not in here.head.path.read_text()
    assert here.head.path.stat().st_mode & 0o777 == 0o600


def test_whoever_was_erased_is_remembered_among_other_acts_without_looking_all_through_each_time(
    tmp_path: Path, sqlite_template: Path
) -> None:
    computer = Computer(tmp_path / "a", sqlite_template)
    sent: list[str] = []
    with Ledger.open(str(computer.file), clock=lambda: dt.datetime(2025, 6, 2, 10)) as ledger:
        listen(ledger.store._reader, "before_cursor_execute", lambda conn, cursor, said, *_: sent.append(said))

        def act(command: object) -> int:
            ledger.do(command)
            sent.clear()
            computer.head.note(ledger.store)
            return sum("FROM customer" in one for one in sent)

        act(SetSetting("business name", "Loft"))
        looked = [act(AddCustomer("Tarn")), act(AddCustomer("Velo"))]
        looked.append(act(EraseCustomer("Tarn", dt.date(2025, 6, 2))))
        looked.append(act(SetSetting("business name", "Loft again")))
        said = json.loads(computer.head.path.read_text())

    assert looked == [0, 0, 1, 0]
    assert said["erased"] == [[1, "2025-06-02"]]
