"""Whether a ledger lies where a database file is at risk: on another machine's disk, or in a synchronised folder.

Two computers that write to one file over a network, or a program that swaps a file while it is written, damage it or
lose entries. Judged by the type of the mount (proc(5), mountinfo) and by files that synchronising programs leave.
"""

from __future__ import annotations

import os
import re
from pathlib import Path

from ledger.wording import say

MOUNTS = Path("/proc/self/mountinfo")
_NETWORK = frozenset(
    {"nfs", "nfs4", "cifs", "smb3", "smbfs", "9p", "afs", "ceph", "glusterfs", "lustre", "davfs", "ncpfs", "vboxsf"}
)
_MARKS = (
    ".dropbox",
    ".dropbox.cache",
    ".stfolder",
    ".sync",
    ".owncloudsync.log",
    ".nextcloudsync.log",
    ".sync_*.db",
    "._sync_*.db",
    ".tmp.driveupload",
    ".SeafileSync",
)
"""Files and folders that synchronising programs leave at the top of what they synchronise."""
_FILES_ONLY = frozenset({".dropbox"})
"""A folder of this name lies in the home of everybody who has the program, and marks nothing."""
_CONFLICT = re.compile(r"conflict", re.IGNORECASE)


def cautions(ledger: Path, mounts: Path = MOUNTS) -> tuple[str, ...]:
    """What is risky about where a ledger is, one sentence each; nothing when all is well.

    Args:
        ledger: path of its file.
        mounts: the list of mounts; where there is none nothing is known of them.
    """
    path = Path(os.path.realpath(ledger))
    found = []
    kind = _mounted(path, mounts)
    if kind in _NETWORK or kind.startswith("fuse."):
        found.append(
            say(
                "The ledger is on a disk that is reached over a network or through another program ({kind}), "
                "where entries can be lost; keep it on a disk of this computer, or use a database server for "
                "several people.",
                kind=kind,
            )
        )
    if _is_synchronised(path.parent):
        found.append(
            say(
                "The ledger is in a folder that another program synchronises, where two computers can overwrite "
                "each other's entries; keep it elsewhere and copy backups there instead."
            )
        )
    others = [name for name in _names(path.parent) if name.startswith(path.stem) and _CONFLICT.search(name)]
    if others:
        found.append(
            say(
                "Beside the ledger lies {others}, which looks like a second copy that was written to; compare them.",
                others=others[0],
            )
        )
    return tuple(found)


def _mounted(path: Path, mounts: Path) -> str:
    """Type of the file system a path is on; empty when not known."""
    try:
        lines = mounts.read_text(encoding="utf-8", errors="surrogateescape").splitlines()
    except OSError:
        return ""
    best, kind = "", ""
    for line in lines:
        before, dash, after = line.partition(" - ")
        fields = before.split()
        if not dash or len(fields) < 5:
            continue
        point = re.sub(r"\\([0-7]{3})", lambda octal: chr(int(octal[1], 8)), fields[4])
        inside = path.is_relative_to(point)
        # The last mount on a point hides those before it.
        if inside and len(point) >= len(best):
            best, kind = point, after.split()[0]
    return kind


def _is_synchronised(folder: Path) -> bool:
    found = (left for one in (folder, *folder.parents) for mark in _MARKS for left in one.glob(mark))
    return any(left.name not in _FILES_ONLY or left.is_file() for left in found)


def _names(folder: Path) -> list[str]:
    try:
        return sorted(os.listdir(folder))
    except OSError:
        return []
