"""Long work on a large ledger, done in a process of its own that can be stopped at any moment.

What reads a journal of a million movements takes memory and the interpreter; done in a thread it would hold up the keys
and never give the memory back. The process opens the same ledger for reading only, keeps what it shared of costs from
one question to the next, and is ended when its answer is no longer wanted. An act that reads everything, such as
closing a year, is recorded there too: for that the ledger is opened for writing, once, and saved only with leave. On
small ledgers, and systems without such pipes, a thread does the same.
"""

from __future__ import annotations

import datetime as dt
import io
import os
import pickle
import signal
import sys
import time
import traceback
from collections.abc import Callable
from functools import partial
from threading import Lock, Thread
from typing import TYPE_CHECKING, Any, Literal, ParamSpec, TypeVar, cast

from textual.worker import WorkerCancelled, get_current_worker

from ledger.errors import Refused
from ledger.wording import say

if TYPE_CHECKING:
    import subprocess
    from multiprocessing.connection import Connection

    from ledger.act import Done
    from ledger.ledger import Ledger

P = ParamSpec("P")
T = TypeVar("T")
LARGE = 50_000
"""Movements from which on a question that reads them all is asked in a process of its own (about a second)."""
MANY = 1_000
"""Holdings from which on a list of all of them is not read between two keys (about 30 ms)."""
FEW = 300
"""Lines of a round or a count that are planned, read through and recorded between two keys (about 30 ms)."""
LOOK = 0.1
"""Seconds from one look whether an answer is still wanted to the next."""
LETS_GO = 0.05
"""Seconds a process has to let go of the ledger before it is ended from outside."""
_FILES = 1024
"""Numbers below which a process looks for files it has open."""
_LEDGER, _STORE = "ledger", "store"
SOURCE = "screen"
Kind = Literal["asks", "tells", "records"]
"""What is sent: a question, one that says how far it is, or an act."""
Word = Literal["how far", "may it be saved", "answer", "refused", "fault"]
"""What comes back."""


class BrokenOff(Refused):
    """The process ended before it answered."""


class _GaveWay(Exception):
    """The process let go of the ledger because something was to be saved, and is about to end."""

    def __init__(self, process: subprocess.Popen[bytes]) -> None:
        super().__init__()
        self.process = process


class _Packer(pickle.Pickler):
    """Packs a question; the ledger it is asked of, and its store, stay outside."""

    def __init__(self, into: io.BytesIO, ledger: Ledger) -> None:
        super().__init__(into, pickle.HIGHEST_PROTOCOL)
        self._ledger = ledger

    def persistent_id(self, given: object) -> str | None:
        return _LEDGER if given is self._ledger else _STORE if given is self._ledger.store else None


class _Unpacker(pickle.Unpickler):
    """Unpacks a question, to be asked of another ledger."""

    def __init__(self, packed: bytes, ledger: Ledger) -> None:
        super().__init__(io.BytesIO(packed))
        self._ledger = ledger

    def persistent_load(self, name: object) -> object:
        return self._ledger.store if name == _STORE else self._ledger


def packed(question: Callable[[], object], ledger: Ledger) -> bytes | None:
    """A question fit to be sent: a method of the ledger or a function of a module, with what it is given; else None."""
    into = io.BytesIO()
    try:
        _Packer(into, ledger).dump(question)
    except (pickle.PicklingError, AttributeError, TypeError):
        return None
    return into.getvalue()


def said_before(ledger: Ledger, command: object) -> tuple[str, tuple[str, ...]]:
    """What a command will record, and what to know of it; the plan itself, with thousands of checked lines, stays
    where it was made.

    Raises:
        Refused: it cannot be recorded, and why.
    """
    plan = ledger.preview(command)
    return plan.sentence, plan.cautions


class Reckoner:
    """Asks long questions of one ledger. `close` ends what it started."""

    def __init__(self, ledger: Ledger) -> None:
        self.least = LARGE
        self._ledger = ledger
        self._turn = Lock()
        self._records = False
        """What it is at is an act, not a question."""
        self._process: subprocess.Popen[bytes] | None = None
        self._gave_way: object = None
        """The process that was told last to let go, because something was to be saved."""
        self._line: Connection[Any, Any] | None = None

    def large(self) -> bool:
        """Whether a question that reads every movement takes a process of its own."""
        from ledger.stock.size import movements

        return os.name == "posix" and self._ledger.ask(movements) >= self.least

    def many(self) -> bool:
        """Whether a list of all holdings takes longer than a key may wait."""
        from ledger.stock.size import holdings

        return self._ledger.ask(holdings) >= MANY

    def apart(self, question: Callable[[], object]) -> Callable[[], object]:
        """The question, to be called in a thread: asked in the process where that is worth it."""
        if not self.large():
            return question
        sent = packed(question, self._ledger)
        return question if sent is None else lambda: self._ask(sent)

    def ask(self, question: Callable[P, T], *given: P.args, **named: P.kwargs) -> T:
        """In a thread already: a question and what it is given."""
        asked = partial(question, *given, **named)
        sent = packed(asked, self._ledger) if self.large() else None
        return asked() if sent is None else cast(T, self._ask(sent))

    def call(self, question: Callable[..., T], told: Callable[..., None]) -> T:
        """In a thread already: a question that says how far it is, in the words of its own.

        Args:
            question: called with `told` in the end.
            told: how far it is, with what the question says of it (at first, with nothing); what it raises breaks the
                question off.
        """
        sent = packed(question, self._ledger) if self.large() else None
        return question(told=told) if sent is None else cast(T, self._ask(sent, told))

    def record(
        self, command: object, *, token: str, told: Callable[..., None], leave: Callable[[], None] = lambda: None
    ) -> Done:
        """In a thread already: record a command whose plan reads every movement.

        Args:
            command: what is to be recorded.
            token: records once, whatever is retried.
            told: called again and again, with nothing; what it raises breaks the act off before it is saved.
            leave: called once all is written and before it is saved; what it raises leaves all as it was.

        Raises:
            Refused: it was not recorded, and why; nothing changed.
            NotKnown: whether it was saved could not be found out.
        """
        ledger = self._ledger
        act = partial(ledger.do, command, token=token, source=SOURCE)
        sent = packed(act, ledger) if self.large() else None
        if sent is None:
            return act(before_saving=leave)
        try:
            done = cast("Done", self._ask(sent, told, leave))
        except BrokenOff:
            known = ledger.done_elsewhere(command, token, SOURCE)
            if known is None:
                raise
            return known
        ledger.recorded()
        return done

    def may_record(self) -> None:
        """Whether something can be recorded beside what the process is at.

        Raises:
            Refused: it is recording something itself.
        """
        if self._records:
            raise Refused(say("Something long is being recorded just now; wait until it is done, or stop it there."))

    def give_way(self) -> None:
        """Before something is saved: that cannot be while a process reads, so what it is at is broken off.

        Whoever waits for it asks it anew, unless that is not wanted any more. An act is left to wait for its turn. The
        process closes the ledger and ends: that is not waited for, as one with much memory takes a while, and only
        then would the system close what it had open.
        """
        process = self._process
        if process is None or self._records or not self._turn.locked():
            return
        self._gave_way = process
        process.send_signal(signal.SIGINT)
        if self._turn.acquire(timeout=LETS_GO):
            self._turn.release()
            return
        # Its line is closed by the thread that listens to it.
        process.kill()
        process.wait()

    def _ask(
        self, work: bytes, told: Callable[..., None] | None = None, leave: Callable[[], None] | None = None
    ) -> object:
        """Send it, and wait for the answer; anew where it gave way to what was recorded meanwhile."""
        while True:
            try:
                return self._ask_once(work, told, leave)
            except _GaveWay as gone:
                gone.process.wait()
                # Mostly the screen asks anew by itself, and does not want this any longer.
                time.sleep(LOOK)
                if get_current_worker().is_cancelled:
                    raise WorkerCancelled(say("The answer is no longer wanted.")) from None

    def _ask_once(self, work: bytes, told: Callable[..., None] | None, leave: Callable[[], None] | None) -> object:
        """Send it, wait for the answer, and end the process when nobody wants it any more."""
        worker = get_current_worker()
        while not self._turn.acquire(timeout=LOOK):
            if worker.is_cancelled:
                raise WorkerCancelled(say("The answer is no longer wanted."))
            if told is not None:
                told()
        try:
            line = self._open()
            kind: Kind = "records" if leave is not None else "tells" if told is not None else "asks"
            self._records = kind == "records"
            line.send((self._ledger.scene.now, self._ledger.by, work, kind))
            what: Word = "how far"
            content: Any = ()
            while what in ("how far", "may it be saved"):
                if what == "may it be saved":
                    assert leave is not None
                    leave()
                    line.send(True)
                elif told is not None:
                    told(*content)
                while not line.poll(LOOK):
                    if worker.is_cancelled:
                        raise WorkerCancelled(say("The answer is no longer wanted."))
                    if told is not None and what == "how far":
                        told(*content)
                what, content = line.recv()
        except (WorkerCancelled, Refused):
            # What it is at cannot be called back: it ends, and another one begins with the next question.
            self.close()
            raise
        except (EOFError, OSError):
            gone, ours = self._process, self._line
            if gone is not None and gone is self._gave_way and leave is None and ours is not None:
                self._process = self._line = None
                ours.close()
                raise _GaveWay(gone) from None
            self.close()
            if worker.is_cancelled:
                raise WorkerCancelled(say("The answer is no longer wanted.")) from None
            raise BrokenOff(
                say("Reckoning was broken off: there was too little memory, or it was ended from outside.")
            ) from None
        finally:
            self._records = False
            self._turn.release()
        if what == "refused":
            raise content
        if what == "fault":
            raise RuntimeError(f"a question failed in a process of its own:\n{content}")
        return content

    def _open(self) -> Connection[Any, Any]:
        if self._line is not None and self._process is not None and self._process.poll() is None:
            return self._line
        # Not before it is needed: the first screen does not wait for what only a large ledger uses.
        import subprocess
        from multiprocessing import Pipe

        self.close()
        ours, theirs = Pipe()
        there = {**os.environ, "PYTHONPATH": os.pathsep.join(place for place in sys.path if place)}
        words = [sys.executable, "-P", "-c", "from tui.reckoner import serve; serve()", str(theirs.fileno())]
        self._process = subprocess.Popen(
            words,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            env=there,
            pass_fds=[theirs.fileno()],
            start_new_session=True,
        )
        theirs.close()
        self._line = ours
        # By the pipe, not by the command line, which others can read: an address may hold a password.
        ours.send(self._ledger.store.target)
        return ours

    def close(self) -> None:
        """End the process; what it had shared is forgotten."""
        process, line = self._process, self._line
        self._process = self._line = None
        if process is not None:
            process.kill()
            process.wait()
        if line is not None:
            line.close()


def _end_with(parent: int) -> None:
    """End when the screen is gone, even in the midst of an answer."""
    while os.getppid() == parent:
        time.sleep(1)
    os._exit(0)


def _let_go(line: int) -> None:
    """When told to, close all that is open, the ledger before the line, and end.

    Whatever it is at breaks in the midst, and is never answered. An exception there would let go only once all that was
    read is given back, which takes as long as the end of the process itself.
    """
    signal.sigwait({signal.SIGINT})
    os.closerange(3, line)
    os.closerange(line + 1, _FILES)
    os.close(line)
    os._exit(0)


def serve() -> None:
    """Answer questions until nobody asks any more; what the process of its own runs."""
    # Before anything else runs here: every thread leaves it to the one that waits for it.
    signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    Thread(target=_let_go, args=(int(sys.argv[1]),), daemon=True).start()
    Thread(target=_end_with, args=(os.getppid(),), daemon=True).start()
    from multiprocessing.connection import Connection

    from ledger.ledger import Ledger
    from ledger.records.store import open_store

    line: Connection[Any, Any] = Connection(int(sys.argv[1]))
    moment = [dt.datetime.now()]
    target = line.recv()

    def clock() -> dt.datetime:
        return moment[0]

    def may_it_be_saved() -> None:
        line.send(("may it be saved", ()))
        line.recv()

    with Ledger(open_store(target, read_only=True), clock=clock) as ledger:
        while True:
            try:
                now, by, work, kind = line.recv()
            except EOFError:
                return
            moment[0] = dt.datetime.fromisoformat(now)
            try:
                answer: tuple[Word, object]
                if kind == "records":
                    with Ledger(open_store(target), clock=clock, by=by) as writing:
                        answer = "answer", _Unpacker(work, writing).load()(before_saving=may_it_be_saved)
                elif kind == "tells":
                    answer = "answer", _Unpacker(work, ledger).load()(told=lambda *far: line.send(("how far", far)))
                else:
                    answer = "answer", _Unpacker(work, ledger).load()()
            except Refused as refused:
                answer = "refused", refused
            except Exception as error:
                # Where it happened and of what kind, without what the ledger says.
                answer = "fault", "".join(traceback.format_tb(error.__traceback__)) + type(error).__name__
            line.send(answer)
