"""Many processes sell and move animals on one ledger at once; each keeps a log of what it asked and what it was told.

By hand: `python -m tests.promises.hammer '{"target": "x.ledger", "folder": "logs", "method": "guarded"}'` (fields of
`Run`) on a ledger that `stock_up` of the method has filled. What is hammered is one of `METHODS`: ways to record a
deed, right and wrong. The wrong ones are the controls: checks that cannot fail on them prove nothing.
"""

from __future__ import annotations

import json
import os
import random
import signal
import sys
import time
import traceback
from collections.abc import Callable
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from ledger.errors import Busy, NotEnough, NotKnown, Unreachable
from ledger.ledger import handlers
from ledger.records.operations import new_token
from tests.promises import methods
from tests.promises.methods import Deed, Method
from tests.promises.services import Services

METHODS: dict[str, type[Method]] = {
    "services": Services,
    "guarded": methods.Guarded,
    "naive": methods.Naive,
    "guard first": methods.GuardFirst,
    "number apart": methods.NumberApart,
}


@dataclass(frozen=True, slots=True)
class Run:
    """How to hammer."""

    target: str
    folder: str
    """Where the logs go, one file for each worker."""
    method: str
    """One of `METHODS`."""
    workers: int = 16
    deeds: int = 40
    """How many deeds each worker asks for."""
    kills: int = 0
    """How many workers are killed without warning and started again."""
    lost: float = 0.03
    """Share of answers that get lost, so that the same form is sent again."""
    undone: float = 0.03
    """Share of transactions rolled back after everything was written."""
    most: int = 3
    """Most animals in one deed."""


class Log:
    """What one worker asked and was told, in a file that outlives the worker."""

    def __init__(self, path: Path) -> None:
        self._file = os.open(path, os.O_CREAT | os.O_APPEND | os.O_WRONLY, 0o600)

    def write(self, what: str, deed: Deed, **more: object) -> None:
        """Add one line, handed to the system at once, so that killing the process loses nothing of it."""
        line = {"what": what, "deed": asdict(deed), **more}
        os.write(self._file, (json.dumps(line) + "\n").encode())


def read_log(path: Path) -> list[dict[str, Any]]:
    """The lines of a log."""
    return [json.loads(line) for line in path.read_text(encoding="utf-8").splitlines()] if path.exists() else []


def log_of(folder: Path, number: int) -> Path:
    """Where a worker keeps its log."""
    return folder / f"worker-{number}.log"


def _work(run: Run, number: int, begin: Callable[[], None]) -> None:
    path = log_of(Path(run.folder), number)
    lines = read_log(path)
    log = Log(path)
    chance = random.Random(f"{number} {os.getpid()}")
    method = METHODS[run.method](run.target)
    parent = os.getppid()
    begin()
    if lines and lines[-1]["what"] == "asked":
        # Killed before the answer came: the form is sent again, as a keeper would.
        _ask(method, Deed(**lines[-1]["deed"]), log, chance, run.lost)
    for _ in range(run.deeds - sum(line["what"] == "asked" for line in lines)):
        if os.getppid() != parent:
            # Whoever started the hammer was stopped.
            return
        _ask(method, _deed(chance, method.places, run), log, chance, run.lost)
    method.close()


def _deed(chance: random.Random, places: tuple[int, ...], run: Run) -> Deed:
    source, target = chance.sample(places, 2)
    return Deed(
        token=new_token(time.time_ns()),
        source=source,
        target=None if chance.random() < 0.7 else target,
        count=chance.randint(1, run.most),
        undone=chance.random() < run.undone,
    )


def _ask(method: Method, deed: Deed, log: Log, chance: random.Random, lost: float) -> None:
    log.write("asked", deed)
    if chance.random() < lost:
        _told(method, deed)
    what = "not known"
    while what == "not known":
        what, more = _told(method, deed)
    log.write(what, deed, **more)


def _told(method: Method, deed: Deed) -> tuple[str, dict[str, object]]:
    try:
        done = method.do(deed)
    except (NotEnough, methods.OnPurpose, Busy) as refused:
        return "refused", {"why": type(refused).__name__}
    except Unreachable as refused:
        time.sleep(0.05)
        return "refused", {"why": type(refused).__name__}
    except NotKnown:
        return "not known", {}
    return "done", {"number": done.refs.get("number", "")}


def _start(run: Run, number: int, begin: Callable[[], None]) -> int:
    child = os.fork()
    if child:
        return child
    try:
        _work(run, number, begin)
    except BaseException:
        traceback.print_exc()
        os._exit(1)
    os._exit(0)


class Gate:
    """Lets all workers begin at the same moment, once each has opened the ledger."""

    def __init__(self) -> None:
        self._ready, self._say_ready = os.pipe()
        self._wait, self._let_go = os.pipe()

    def arrive(self) -> None:
        """Called by a worker: say that it is ready and wait for the others."""
        os.write(self._say_ready, b"x")
        os.read(self._wait, 1)

    def open(self, workers: int) -> None:
        """Called by the parent: wait for all workers, then let them go."""
        os.close(self._say_ready)
        for _ in range(workers):
            os.read(self._ready, 1)
        os.write(self._let_go, b"x" * workers)


def hammer(run: Run) -> int:
    """Run all workers to the end and return how many of them broke."""
    if METHODS[run.method] is Services:
        # What each worker would load for itself is loaded once, before they part.
        handlers()
    gate = Gate()
    workers = {_start(run, number, gate.arrive): number for number in range(run.workers)}
    gate.open(run.workers)
    for _ in range(run.kills):
        time.sleep(random.uniform(0.0, 0.2))
        victim = random.choice(list(workers))
        os.kill(victim, signal.SIGKILL)
        os.waitpid(victim, 0)
        number = workers.pop(victim)
        workers[_start(run, number, lambda: None)] = number
    return sum(os.waitpid(child, 0)[1] != 0 for child in workers)


if __name__ == "__main__":
    sys.exit(hammer(Run(**json.loads(sys.argv[1]))))
