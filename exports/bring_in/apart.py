"""Reading a keeper's workbook in a process of its own, which gets only so much memory and time.

`exports.zips` and `reading` refuse the traps that are known by their figures; the limits of the system hold for those
that are not, and a parser that is brought down takes nothing with it. CSV is read by Python itself, row by row, and
needs none of this. The limits are a rule of thumb (common practice, no source). A system without them reads in this
process.
"""

from __future__ import annotations

import os
import pickle
import subprocess
import sys
import traceback
from pathlib import Path
from typing import Any

from exports.bring_in.cells import Book
from exports.bring_in.reading import Progress, read_file
from ledger.errors import BadInput, Refused

MEMORY = 2_000_000_000
"""Bytes of address space."""
SECONDS = 300
"""Of the processor's time."""
_APART = frozenset({".xlsx", ".xlsm", ".ods"})


def read_apart(
    path: Path, progress: Progress = lambda rows: None, *, memory: int = MEMORY, seconds: int = SECONDS
) -> Book:
    """Read a sheet file, as `reading.read_file` does, without being brought down by it.

    Raises:
        BadInput: it cannot be read, or needs more than such a file needs.
    """
    if path.suffix.lower() not in _APART or os.name != "posix":
        return read_file(path, progress)
    there = {
        **os.environ,
        "PYTHONPATH": os.pathsep.join(place for place in sys.path if place),
        # Each thread of a numeric library that openpyxl loads takes address space.
        "OPENBLAS_NUM_THREADS": "1",
    }
    # -P: modules that lie in the folder the program was started from are none of ours.
    words = [sys.executable, "-P", "-c", "from exports.bring_in.apart import serve; serve()"]
    words += [str(path), str(memory), str(seconds)]
    with subprocess.Popen(
        words, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, env=there
    ) as reader:
        assert reader.stdout is not None
        try:
            while True:
                # Written by this same module of this same program, never by the file.
                what, content = pickle.load(reader.stdout)
                if what != "rows":
                    break
                progress(content)
        except (EOFError, pickle.UnpicklingError):
            raise _too_much(path) from None
        finally:
            reader.kill()
    if what == "refused":
        raise content
    if what == "fault":
        raise RuntimeError(f"reading a sheet failed in a process of its own:\n{content}")
    book: Book = content
    return book


def serve() -> None:
    """Read the file named on the command line and write what was found; what a process of its own runs."""
    path, memory, seconds = Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3])
    _limit(memory, seconds)
    out = sys.stdout.buffer

    def tell(what: str, content: object) -> None:
        pickle.dump((what, content), out, protocol=pickle.HIGHEST_PROTOCOL)
        out.flush()

    try:
        tell("book", read_file(path, lambda rows: tell("rows", rows)))
    except Refused as refused:
        tell("refused", refused)
    except MemoryError:
        tell("refused", _too_much(path))
    except Exception as error:
        # Where it happened and of what kind, without what the file says.
        tell("fault", "".join(traceback.format_tb(error.__traceback__)) + type(error).__name__)


def _limit(memory: int, seconds: int) -> None:
    import resource

    wanted: tuple[tuple[Any, int], ...] = (
        (resource.RLIMIT_AS, memory),
        (resource.RLIMIT_CPU, seconds),
        (resource.RLIMIT_CORE, 0),
    )
    for what, most in wanted:
        _, hard = resource.getrlimit(what)
        soft = most if hard == resource.RLIM_INFINITY else min(most, hard)
        resource.setrlimit(what, (soft, hard))


def _too_much(path: Path) -> BadInput:
    return BadInput(
        f"{path.name} needs more memory or time than a sheet should, or is damaged; it is not read. "
        "Save it as CSV, or in parts.",
        "file",
    )
