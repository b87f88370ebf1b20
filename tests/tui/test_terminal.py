"""Two tests in a real terminal: what is typed in one burst, and what a stored name may send to the terminal."""

from __future__ import annotations

import contextlib
import os
import select
import signal
import sys
import time
from pathlib import Path

import pytest

pty = pytest.importorskip("pty", reason="there are no such terminals on this system")

PROGRAM = """
import sys
from pathlib import Path
from tests.tui.fakes import FakeLedger, desk
ledger = FakeLedger(name="Loft \\x1b]0;OWNED\\x07 \\x9b31m")
desk(ledger).run()
Path(sys.argv[1]).write_text(repr(list(ledger.kept.values())))
"""


class Terminal:
    """A program running in a pseudo-terminal of 80 by 24."""

    def __init__(self, told: Path) -> None:
        self.seen = b""
        self.pid, self.handle = pty.fork()
        if self.pid == 0:
            os.environ.update(TERM="xterm-256color", COLUMNS="80", LINES="24", PYTHONPATH=os.getcwd())
            os.execv(sys.executable, [sys.executable, "-c", PROGRAM, str(told)])

    def wait_for(self, text: bytes, seconds: float = 20.0) -> None:
        """Read until a text was seen."""
        until = time.monotonic() + seconds
        while text not in self.seen and time.monotonic() < until:
            ready, _, _ = select.select([self.handle], [], [], 0.1)
            if ready:
                try:
                    self.seen += os.read(self.handle, 65536)
                except OSError:
                    break
        assert text in self.seen

    def send(self, text: bytes) -> None:
        os.write(self.handle, text)

    def ended(self, seconds: float = 20.0) -> bool:
        until = time.monotonic() + seconds
        while time.monotonic() < until:
            ready, _, _ = select.select([self.handle], [], [], 0.05)
            if ready:
                with contextlib.suppress(OSError):
                    self.seen += os.read(self.handle, 65536)
            if os.waitpid(self.pid, os.WNOHANG)[0]:
                return True
        os.kill(self.pid, signal.SIGKILL)
        os.waitpid(self.pid, 0)
        return False


def test_keys_written_in_one_burst_land_in_the_fields_they_were_meant_for(tmp_path: Path) -> None:
    told = tmp_path / "told.txt"
    terminal = Terminal(told)
    terminal.wait_for(b"Shelf")
    time.sleep(0.5)

    terminal.send(b"d3\t-3\t\t\twet\r")
    terminal.wait_for(b"[recorded]")
    terminal.send(b" P08 2 died\r")
    time.sleep(1.0)
    terminal.send(b"\r")
    time.sleep(0.5)
    terminal.send(b"\x11")

    assert terminal.ended()
    kept = told.read_text()
    assert "count=3" in kept
    assert "2025, 6, 1" in kept
    assert "note='wet'" in kept
    assert "count=2" in kept
    assert kept.count("Record(") == 2


def test_what_steers_a_terminal_never_reaches_it_from_a_stored_name(tmp_path: Path) -> None:
    terminal = Terminal(tmp_path / "told.txt")
    terminal.wait_for(b"OWNED")
    time.sleep(0.5)
    terminal.send(b"\x11")

    assert terminal.ended()
    assert b"]0;OWNED" in terminal.seen
    assert b"\x1b]0;OWNED" not in terminal.seen
    assert "\x9b31m".encode() not in terminal.seen
