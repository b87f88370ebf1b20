"""A disk that fills up at a chosen moment: databases that may not grow beyond a page, files beyond a byte.

SQLite answers a page too many as it answers a full disk, with SQLITE_FULL (https://sqlite.org/pragma.html,
max_page_count). A file gets what there is room for, and then the error of a full disk, as write(2) has it.
"""

from __future__ import annotations

import errno
import io
import os
import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from tests.tui.command_line import content


def pages(path: str | Path) -> int:
    """How many pages a database has."""
    with closing(sqlite3.connect(path)) as raw:
        return int(raw.execute("PRAGMA page_count").fetchone()[0])


def no_more_pages(patch: pytest.MonkeyPatch, most: int) -> None:
    """From here on no database grows beyond so many pages; one that is larger already stays as it is."""
    connect = sqlite3.connect

    def small(*args: Any, **more: Any) -> sqlite3.Connection:
        raw: sqlite3.Connection = connect(*args, **more)
        raw.execute(f"PRAGMA max_page_count={most}").fetchall()
        return raw

    patch.setattr(sqlite3, "connect", small)


def no_more_bytes(patch: pytest.MonkeyPatch, most: int) -> None:
    """From here on there is room for so many bytes in each file that is opened by its handle."""

    class Small(io.FileIO):
        def write(self, data: Any) -> int:
            room = most - self.tell()
            if room <= 0:
                raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
            return super().write(memoryview(data)[:room])

    def small(handle: int, mode: str, **more: Any) -> Any:
        raw = io.BufferedWriter(Small(handle, "wb"))
        return raw if "b" in mode else io.TextIOWrapper(raw, **more)

    patch.setattr(os, "fdopen", small)


def there(folder: Path) -> dict[str, int]:
    """Every file in a folder with its length, whatever its name; but for the empty journal that SQLite leaves."""
    found = {str(one.relative_to(folder)): one.stat().st_size for one in folder.rglob("*") if one.is_file()}
    return {name: size for name, size in found.items() if size or not name.endswith("-journal")}


def state(folder: Path, target: str) -> tuple[dict[str, int], str, str]:
    """What must be the same before and after a disk was full: the files, each row, and that SQLite finds it sound."""
    with closing(sqlite3.connect(target)) as raw:
        sound: str = raw.execute("PRAGMA integrity_check").fetchone()[0]
    return there(folder), content(target), sound
