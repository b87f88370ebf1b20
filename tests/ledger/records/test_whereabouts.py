"""A ledger on another machine's disk or in a synchronised folder is pointed out, and nowhere else."""

from __future__ import annotations

from pathlib import Path

import pytest

from ledger.records.whereabouts import cautions

MOUNTS = """\
22 1 8:1 / / rw,relatime shared:1 - ext4 /dev/sda1 rw
30 22 0:40 / {point} rw,relatime shared:9 - {kind} server:/loft rw
31 22 0:41 / /elsewhere rw - nfs4 server:/other rw
"""


def mounts(tmp_path: Path, kind: str, point: Path | str) -> Path:
    path = tmp_path / "mountinfo"
    path.write_text(MOUNTS.format(kind=kind, point=str(point).replace(" ", "\\040")))
    return path


@pytest.mark.parametrize("kind", ["nfs", "nfs4", "cifs", "smb3", "9p", "fuse.sshfs", "ceph"])
def test_a_disk_over_a_network_is_pointed_out(tmp_path: Path, kind: str) -> None:
    folder = tmp_path / "far away"
    folder.mkdir()

    found = cautions(folder / "loft.rearledger", mounts(tmp_path, kind, folder))

    assert len(found) == 1
    assert f"({kind})" in found[0]


@pytest.mark.parametrize("kind", ["ext4", "btrfs", "xfs", "tmpfs", "overlay", "vfat"])
def test_a_disk_of_this_computer_is_not(tmp_path: Path, kind: str) -> None:
    """The control: the same place on an ordinary disk."""
    assert cautions(tmp_path / "loft.rearledger", mounts(tmp_path, kind, tmp_path)) == ()


def test_the_last_mount_on_a_place_counts(tmp_path: Path) -> None:
    path = mounts(tmp_path, "nfs", tmp_path)
    path.write_text(path.read_text() + f"40 30 8:2 / {tmp_path} rw - ext4 /dev/sdb1 rw\n")

    assert cautions(tmp_path / "loft.rearledger", path) == ()


@pytest.mark.parametrize("mark", [".stfolder", ".dropbox.cache", ".owncloudsync.log", ".sync_0123abcd.db"])
def test_a_synchronised_folder_is_pointed_out_from_any_depth(tmp_path: Path, mark: str) -> None:
    (tmp_path / mark).touch()
    folder = tmp_path / "animals" / "books"
    folder.mkdir(parents=True)

    found = cautions(folder / "loft.rearledger", tmp_path / "none")

    assert len(found) == 1
    assert "synchronises" in found[0]


def test_a_second_copy_beside_it_is_pointed_out(tmp_path: Path) -> None:
    (tmp_path / "loft (conflicted copy 2025-06-02).rearledger").touch()
    (tmp_path / "other conflict.txt").touch()

    found = cautions(tmp_path / "loft.rearledger", tmp_path / "none")

    assert len(found) == 1
    assert "second copy" in found[0]


def test_where_nothing_is_known_nothing_is_said(tmp_path: Path) -> None:
    assert cautions(tmp_path / "loft.rearledger", tmp_path / "none") == ()


def test_no_caution_names_a_product(tmp_path: Path) -> None:
    (tmp_path / ".dropbox").touch()

    text = " ".join(cautions(tmp_path / "loft.rearledger", mounts(tmp_path, "nfs", tmp_path))).lower()

    assert text
    assert "dropbox" not in text
