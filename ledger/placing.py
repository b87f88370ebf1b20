"""Giving a finished file its name, so that nothing of that name is ever replaced and the name outlasts a power cut."""

from __future__ import annotations

import errno
import os
from pathlib import Path

_NO_LINKS = frozenset({errno.EPERM, errno.ENOSYS, errno.EOPNOTSUPP})


def give_name(part: Path, path: Path) -> None:
    """Name a finished file for good, where a rename would silently replace what is there.

    The unfinished name is left to the caller to remove.

    Raises:
        FileExistsError: there is something of that name; it stays.
        OSError: the folder takes no such file.
    """
    try:
        os.link(part, path)
    except OSError as error:
        if error.errno not in _NO_LINKS:
            raise
        # A memory stick knows no links: take the name first, which fails if it is taken, then put the file there.
        os.close(os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600))
        os.replace(part, path)
    settle(path.parent)


def settle(path: Path) -> None:
    """Have a file, or the names in a folder, on the disk before going on. Raises OSError."""
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
