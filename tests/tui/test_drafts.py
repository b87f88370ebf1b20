"""Drafts on disk: single changes of a long form stand beside what was written whole, and are read with it only."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.promises.small_disk import no_more_bytes
from tui.drafts import LONGEST, Drafts
from tui.round_marks import TubMarks
from tui.round_walk import Walk

MARKS = {f"P{n:02}|||L3": "fed, seen" for n in range(40)}


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "drafts.json"


def begun(path: Path) -> Drafts:
    drafts = Drafts(path)
    drafts.keep("round", MARKS)
    drafts.keep("sale", {"buyer": "Tarn"})
    return drafts


def test_a_single_change_is_on_disk_at_once_and_what_was_written_whole_is_not_written_again(path: Path) -> None:
    drafts = begun(path)
    whole = path.read_bytes()

    for n in range(3):
        drafts.change("round", {"P01|||L3": f"{n} died", "at": "P01|||L3"})
    drafts.change("round", {"P02|||L3": None})
    drafts.change("fair", {"day": "heute"})

    assert path.read_bytes() == whole
    assert path.with_suffix(".since").stat().st_mode & 0o777 == 0o600
    again = Drafts(path)
    assert again.get("round") == drafts.get("round")
    assert again.get("round")["P01|||L3"] == "2 died"
    assert "P02|||L3" not in again.get("round")
    assert (again.get("sale"), again.get("fair")) == ({"buyer": "Tarn"}, {"day": "heute"})
    again.change("round", {"P03|||L3": "seen"})
    assert Drafts(path).get("round") == drafts.get("round") | {"P03|||L3": "seen"}
    # The control: this alone is what the first file knows.
    path.with_suffix(".since").unlink(missing_ok=True)
    path.write_bytes(whole)
    assert Drafts(path).get("round") == MARKS


def test_changes_of_a_file_that_is_no_longer_there_say_nothing(path: Path) -> None:
    drafts = begun(path)
    drafts.change("round", {"P01|||L3": "1 died"})
    added = path.with_suffix(".since").read_bytes()
    drafts.keep("round", MARKS | {"P01|||L3": "2 died"})
    assert not path.with_suffix(".since").exists()

    # As a program leaves it that was killed after it had written everything and before it took away the changes.
    path.with_suffix(".since").write_bytes(added)
    assert Drafts(path).get("round")["P01|||L3"] == "2 died"

    again = Drafts(path)
    again.drop("round")
    assert Drafts(path).get("round") == {}


@pytest.mark.parametrize("torn", ['["round", {"P01|||L3": "9 di', '["round", {"P01|||L3": "9 died"}]', "[]\n", "7\n"])
def test_a_change_that_was_not_written_to_its_end_is_passed_over_and_spoils_none_after_it(
    path: Path, torn: str
) -> None:
    begun(path).change("round", {"P01|||L3": "1 died"})
    with path.with_suffix(".since").open("a") as file:
        file.write(torn)

    drafts = Drafts(path)
    assert drafts.get("round")["P01|||L3"] == "1 died"
    drafts.change("round", {"P04|||L3": "4 died"})
    again = Drafts(path).get("round")
    assert (again["P01|||L3"], again["P04|||L3"]) == ("1 died", "4 died")


def test_what_somebody_else_wrote_meanwhile_does_not_take_a_change_with_it(path: Path) -> None:
    drafts = begun(path)
    drafts.change("round", {"P01|||L3": "1 died"})
    Drafts(path).keep("store", {"what": "moss"})
    drafts.change("round", {"P02|||L3": "2 died"})

    kept = Drafts(path).get("round")
    assert (kept["P01|||L3"], kept["P02|||L3"]) == ("1 died", "2 died")


def test_what_must_be_forgotten_is_in_neither_file(path: Path) -> None:
    drafts = begun(path)
    drafts.change("sale", {"note": "for Osrick"})
    assert "Osrick" in path.with_suffix(".since").read_text()

    drafts.forget("osrick")

    left = "".join(file.read_text() for file in path.parent.iterdir())
    assert "Osrick" not in left
    assert "fed, seen" in left


def test_on_a_full_disk_it_is_said_once_and_everything_is_written_when_there_is_room_again(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    drafts = begun(path)
    told: list[str] = []
    drafts.tell = told.append
    with monkeypatch.context() as full:
        no_more_bytes(full, 0)
        drafts.change("round", {"P01|||L3": "1 died"})
        drafts.change("round", {"P02|||L3": "2 died"})
    assert [sentence[:16] for sentence in told] == ["There is no room"]
    assert Drafts(path).get("round") == MARKS

    drafts.change("round", {"P03|||L3": "3 died"})
    kept = Drafts(path).get("round")
    assert [kept[f"P0{n}|||L3"] for n in (1, 2, 3)] == ["1 died", "2 died", "3 died"]
    assert json.loads(path.read_text())["round"] == kept


def test_a_form_with_nothing_left_in_it_is_no_draft(path: Path) -> None:
    drafts = begun(path)
    turn = drafts.turn
    drafts.change("sale", {"buyer": None})

    assert drafts.turn > turn
    assert (drafts.get("sale"), Drafts(path).get("sale")) == ({}, {})


def test_what_was_typed_over_is_forgotten_with_the_rest(path: Path) -> None:
    drafts = begun(path)
    drafts.change("sale", {"note": "for Osrick"})
    drafts.change("sale", {"note": "for nobody"})

    drafts.forget("osrick")

    assert "Osrick" not in "".join(file.read_text() for file in path.parent.iterdir())
    assert Drafts(path).get("sale")["note"] == "for nobody"


def test_what_was_recorded_does_not_come_back_by_changes_of_an_earlier_file_that_held_the_same(path: Path) -> None:
    drafts = Drafts(path)
    drafts.keep("sale", {"buyer": "Tarn"})
    drafts.drop("sale")
    drafts.change("count", {"P01/L3": "3|"})
    added = path.with_suffix(".since").read_bytes()
    drafts.drop("count")

    # The program was ended before it took away the changes, or could not.
    path.with_suffix(".since").write_bytes(added)
    assert Drafts(path).get("count") == {}


def test_a_round_that_made_room_for_other_drafts_is_kept_whole_again_with_its_next_mark(path: Path) -> None:
    drafts = Drafts(path)
    walk = Walk(drafts)
    for key in ("P01|||L3", "P02|||L3"):
        walk.marked[key] = TubMarks(fed=True)
        walk.keep(key)
    for n in range(LONGEST):
        drafts.keep(f"form {n}", {"buyer": "Tarn"})
    assert "round" not in drafts

    walk.marked["P03|||L3"] = TubMarks(seen=True)
    walk.keep("P03|||L3")

    assert dict(Walk(Drafts(path)).marked) == dict(walk.marked)
