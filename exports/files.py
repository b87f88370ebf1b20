"""Writing files for people: never over another one, readable by their owner alone, whole or not at all."""

from __future__ import annotations

import errno
import os
import re
import tempfile
from collections.abc import Callable
from pathlib import Path

from ledger.errors import BadInput, DiskFault, DiskFull
from ledger.placing import give_name
from ledger.wording import say

_NO_ROOM = frozenset({errno.ENOSPC, errno.EDQUOT})


def refuse_taken(path: Path) -> None:
    """Say at once that a file cannot be written because there is one, before its content is made.

    Raises:
        BadInput: there is something at that place already.
    """
    if os.path.lexists(path):
        raise _taken(path)


def write_new(path: Path, content: bytes) -> Path:
    """Write a new file, 0600, all of it or nothing.

    Raises:
        BadInput: there is something at that place already, or no such folder.
        DiskFull, DiskFault: it could not be written; nothing is left behind.
    """
    try:
        handle, name = tempfile.mkstemp(prefix=".", suffix=".part", dir=path.parent)
    except OSError as error:
        raise _not_written(path, error) from error
    part = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        give_name(part, path)
    except FileExistsError:
        raise _taken(path) from None
    except OSError as error:
        raise _not_written(path, error) from error
    finally:
        part.unlink(missing_ok=True)
    return path


def write_revision(folder: Path, stem: str, suffix: str, make: Callable[[int], bytes]) -> Path:
    """Write the next revision of a file: `<stem>-r<n><suffix>`, one higher than the highest there is.

    Args:
        folder: where to.
        stem, suffix: of the name.
        make: content of revision n; called again if somebody else takes the number.

    Raises:
        BadInput, DiskFull, DiskFault: as `write_new`.
    """
    while True:
        number = _last_revision(folder, stem, suffix) + 1
        path = folder / f"{stem}-r{number}{suffix}"
        try:
            return write_new(path, make(number))
        except BadInput:
            if not path.exists():
                raise


def _last_revision(folder: Path, stem: str, suffix: str) -> int:
    pattern = re.compile(re.escape(stem) + r"-r([1-9][0-9]{0,8})" + re.escape(suffix))
    try:
        found = [pattern.fullmatch(name) for name in os.listdir(folder)]
    except OSError as error:
        raise _not_written(folder / stem, error) from error
    return max((int(one[1]) for one in found if one), default=0)


def _taken(path: Path) -> BadInput:
    return BadInput(
        f"There is a file {path.name} in {path.parent.absolute()} already; it is never written over. "
        "Choose another name.",
        "file",
        {"path": path},
    )


def _not_written(path: Path, error: OSError) -> Exception:
    facts = {"path": path}
    if error.errno in _NO_ROOM:
        return DiskFull(
            say(
                "There is no room in {folder} for {name}; nothing was written. Make room, or choose another folder.",
                folder=path.parent.absolute(),
                name=path.name,
            ),
            "file",
            facts,
        )
    if isinstance(error, (FileNotFoundError, NotADirectoryError, PermissionError)):
        reason = error.strerror or "not possible"
        return BadInput(f"Nothing can be written to {path.parent} ({reason}); choose another folder.", "file", facts)
    return DiskFault(f"{path.name} could not be written ({error.strerror}); nothing is left of it.", "file", facts)
