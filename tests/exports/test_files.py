"""Files for people: whole or not at all, for their owner alone, never over another one."""

from __future__ import annotations

import os
import stat
from pathlib import Path

import pytest

from exports import files
from ledger.errors import BadInput, DiskFull


def test_a_new_file_is_whole_and_readable_by_its_owner_alone(tmp_path: Path) -> None:
    path = files.write_new(tmp_path / "a.xlsx", b"content")

    assert path.read_bytes() == b"content"
    assert stat.S_IMODE(path.stat().st_mode) == 0o600


def test_a_file_that_is_there_is_never_written_over(tmp_path: Path) -> None:
    (tmp_path / "a.xlsx").write_bytes(b"mine")

    with pytest.raises(BadInput, match="never written over"):
        files.write_new(tmp_path / "a.xlsx", b"other")

    assert (tmp_path / "a.xlsx").read_bytes() == b"mine"
    assert os.listdir(tmp_path) == ["a.xlsx"]


def test_a_folder_that_is_not_there_is_refused_in_words(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="choose another folder"):
        files.write_new(tmp_path / "nowhere" / "a.xlsx", b"content")


def test_a_disk_without_links_gets_its_file_too_and_still_keeps_what_is_there(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def no_links(_part: Path, _path: Path) -> None:
        raise PermissionError(1, "Operation not permitted")

    monkeypatch.setattr(files.os, "link", no_links)
    files.write_new(tmp_path / "a.xlsx", b"first")

    with pytest.raises(BadInput, match="never written over"):
        files.write_new(tmp_path / "a.xlsx", b"second")

    assert (tmp_path / "a.xlsx").read_bytes() == b"first"
    assert os.listdir(tmp_path) == ["a.xlsx"]


def test_a_full_disk_leaves_nothing_behind(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(_handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(files.os, "fsync", full)

    with pytest.raises(DiskFull, match="nothing was written"):
        files.write_new(tmp_path / "a.xlsx", b"content")

    assert os.listdir(tmp_path) == []


def test_revisions_go_on_from_the_highest_there_is(tmp_path: Path) -> None:
    for name in ("a-r1.xlsx", "a-r7.xlsx", "a-r02.xlsx", "b-r9.xlsx", "a-r8.xlsx.bak"):
        (tmp_path / name).write_bytes(b"")

    path = files.write_revision(tmp_path, "a", ".xlsx", lambda number: str(number).encode())

    assert (path.name, path.read_bytes()) == ("a-r8.xlsx", b"8")


def test_a_revision_somebody_else_took_meanwhile_is_passed_over(tmp_path: Path) -> None:
    made: list[int] = []

    def make(number: int) -> bytes:
        made.append(number)
        if number == 1:
            (tmp_path / "a-r1.xlsx").write_bytes(b"theirs")
        return str(number).encode()

    path = files.write_revision(tmp_path, "a", ".xlsx", make)

    assert (path.name, path.read_bytes(), made) == ("a-r2.xlsx", b"2", [1, 2])
    assert (tmp_path / "a-r1.xlsx").read_bytes() == b"theirs"
