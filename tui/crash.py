"""The report of a fault in the program: where it happened, without what it happened to.

No local variables and no text of the error, since both may hold a buyer's name; the lines of the program are enough to
find the fault.
"""

from __future__ import annotations

import os
import platform
import traceback
from pathlib import Path


def write_report(error: BaseException, folder: Path, moment: str) -> Path:
    """Write a report readable by its owner only and return its path; raises OSError and leaves nothing.

    Args:
        error: what was raised.
        folder: made if it is not there.
        moment: local date and time, part of the file name.
    """
    folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    safe_moment = "".join(letter if letter.isalnum() else "-" for letter in moment)
    path = folder / f"fault-{safe_moment}.txt"
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
    try:
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            file.write(f"Fault in rearledger, {moment}, Python {platform.python_version()}, {platform.system()}\n")
            file.write("Nothing of your ledger is in this report.\n\n")
            file.write(report(error))
    except OSError:
        path.unlink(missing_ok=True)
        raise
    return path


def report(error: BaseException) -> str:
    """Kinds of the errors and the lines of the program they went through; the one that came first stands first."""
    chain: list[BaseException] = []
    link: BaseException | None = error
    while link is not None and link not in chain:
        chain.append(link)
        link = link.__cause__ or link.__context__
    parts = []
    for one in reversed(chain):
        parts.extend(traceback.format_list(traceback.extract_tb(one.__traceback__)))
        parts.append(f"{type(one).__module__}.{type(one).__qualname__}\n")
    return "".join(parts)
