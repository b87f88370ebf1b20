"""Tests in a real terminal: what is typed in one burst, what a stored name may send to it, and what is left of a form
when the program or the terminal is gone."""

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
from tui.drafts import Drafts
ledger = FakeLedger(name="Loft \\x1b]0;OWNED\\x07 \\x9b31m")
drafts = Drafts(Path(sys.argv[1] + ".drafts"))
desk(ledger, drafts=drafts).run()
Path(sys.argv[1]).write_text(repr(list(ledger.kept.values())))
"""


class Terminal:
    """A program running in a pseudo-terminal of 80 by 24."""

    def __init__(self, told: Path) -> None:
        self.seen = b""
        self.pid, self.handle = pty.fork()
        if self.pid == 0:
            # Whoever started the tests may have asked for this to be ignored (nohup), and it would be inherited.
            signal.signal(signal.SIGHUP, signal.SIG_DFL)
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


def test_a_form_is_as_it_was_left_after_the_program_was_killed_and_after_the_terminal_was_closed(
    tmp_path: Path,
) -> None:
    told = tmp_path / "told.txt"
    drafts = Path(f"{told}.drafts")

    def kept(text: str) -> bool:
        until = time.monotonic() + 10
        while time.monotonic() < until:
            if drafts.exists() and text in drafts.read_text():
                return True
            time.sleep(0.05)
        return False

    terminal = Terminal(told)
    terminal.wait_for(b"Shelf")
    time.sleep(0.5)
    terminal.send(b"d7\t\t\t\tin the midst")
    assert kept("in the midst")
    os.kill(terminal.pid, signal.SIGKILL)
    os.waitpid(terminal.pid, 0)

    again = Terminal(told)
    again.wait_for(b"Shelf")
    time.sleep(0.5)
    again.send(b"d")
    again.wait_for(b"as it was left")
    again.send(b"\t\t\t\t and on")
    assert kept("and on")
    # The terminal is closed: whoever reads from it hears of it, and the program ends by itself.
    os.close(again.handle)
    until = time.monotonic() + 20
    gone = False
    while not gone and time.monotonic() < until:
        gone = bool(os.waitpid(again.pid, os.WNOHANG)[0])
        time.sleep(0.05)
    if not gone:
        os.kill(again.pid, signal.SIGKILL)

    assert gone
    assert '"7"' in drafts.read_text()
    assert "and on" in drafts.read_text()
    assert not told.exists()
