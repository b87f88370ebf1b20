"""Running `rearledger` in a test: one call is one command line."""

from __future__ import annotations

import hashlib
import io
import json
import sqlite3
from collections.abc import Sequence
from contextlib import closing, redirect_stderr, redirect_stdout
from dataclasses import dataclass
from typing import Any
from urllib.parse import quote

import pytest

from tui.commands import main

TODAY = "2025-06-02"


@dataclass(frozen=True, slots=True)
class Ran:
    """What one command line came to."""

    status: int
    out: str
    err: str

    @property
    def lines(self) -> list[str]:
        """The lines of the answer."""
        return self.out.splitlines()

    @property
    def json(self) -> Any:
        """The answer read as JSON."""
        return json.loads(self.out)


class CommandLine:
    """Runs command lines on one ledger.

    Args:
        target: path or URL of the ledger.
        capture: reads what was written.
    """

    def __init__(self, target: str, capture: pytest.CaptureFixture[str]) -> None:
        self.target = target
        self._capture = capture

    def __call__(self, *words: str) -> Ran:
        """Run a command line, whatever comes of it."""
        self._capture.readouterr()
        status = main(["--ledger", self.target, *words])
        out, err = self._capture.readouterr()
        return Ran(status, out, err)

    def ok(self, *words: str) -> Ran:
        """Run a command line that must be done."""
        ran = self(*words)
        assert (ran.status, ran.err) == (0, ""), (words, ran)
        return ran

    def asked(self, *words: str) -> Any:
        """What a command line that must be done answers in JSON."""
        return self.ok(*words, "--format", "json").json

    def refused(self, *words: str) -> str:
        """Run a command line that must be refused in one sentence, nothing recorded; gives the sentence."""
        before = content(self.target)
        ran = self(*words)
        assert (ran.status, ran.out) == (2, ""), (words, ran)
        assert content(self.target) == before, words
        return one_sentence(ran.err)


def play(target: str, lines: Sequence[str]) -> None:
    """Run command lines that must be done, words parted by spaces; nothing is kept of what they answer."""
    for line in lines:
        out, err = io.StringIO(), io.StringIO()
        with redirect_stdout(out), redirect_stderr(err):
            status = main(["--ledger", target, *line.split()])
        assert (status, err.getvalue()) == (0, ""), (line, out.getvalue(), err.getvalue())


def one_sentence(err: str) -> str:
    """What stands on standard error: one line, ended as a sentence is, without anything that steers a terminal."""
    assert err.endswith("\n")
    sentence = err[:-1]
    assert "\n" not in sentence, err
    assert sentence.endswith((".", "?", "!", "”", ")")), err
    assert sentence.isprintable(), err
    assert len(sentence) < 500, sentence
    assert "Traceback" not in sentence
    return sentence


def content(path: str) -> str:
    """Fingerprint of every row of every table of a ledger in a file."""
    seen = hashlib.sha256()
    with closing(sqlite3.connect(f"file:{quote(path)}?mode=ro", uri=True)) as raw:
        tables = raw.execute("SELECT name FROM sqlite_master WHERE type = 'table' ORDER BY name").fetchall()
        for (name,) in tables:
            for row in raw.execute(f'SELECT * FROM "{name}" ORDER BY rowid'):
                seen.update(f"{name}{row!r}".encode("utf-8", "surrogatepass"))
    return seen.hexdigest()
