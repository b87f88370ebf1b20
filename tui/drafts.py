"""What was typed into forms and not yet recorded: kept on disk at every change; a closed terminal loses nothing.

Holds what a person typed, so its files are readable by their owner only. Knows neither forms nor the ledger's content.
A single change of a long form, such as one mark in a round of thousands, is added to a second file. That begins with
the digest of the first one, and says nothing once the first one was written anew.
"""

from __future__ import annotations

import contextlib
import errno
import hashlib
import json
import os
import secrets
from collections.abc import Callable, Mapping
from pathlib import Path

from ledger.wording import say

LONGEST = 200
"""Most drafts kept; the oldest go first."""
JOTTED = "jot line"
"""What stands in the jot lines, by place."""
_TURN = ""
"""Where other drafts have the name of their form: what tells one writing of the file from another."""
LONG = 1_000_000
"""Bytes of single changes after which everything is written anew."""


class Drafts:
    """Drafts of one ledger, by the name of their form.

    Args:
        path: the file they are kept in; `None` keeps them only as long as the program runs.
    """

    def __init__(self, path: Path | None = None) -> None:
        self._path = path
        self.tell: Callable[[str], None] = lambda _sentence: None
        """Told when what is typed can no longer be kept on disk."""
        self._unkept = False
        """That has been said, and nothing could be kept since."""
        self._besides: dict[str, Drafts] = {}
        self._written: tuple[int, ...] = ()
        """What the file written last looks like from outside; empty: the next change writes everything anew."""
        self._digest = ""
        self._added = 0
        """Bytes of single changes since."""
        self.turn = 0
        """Goes up with every change of any draft."""
        self._kept: dict[str, dict[str, str]] = self._read()

    def beside(self, name: str) -> Drafts:
        """Another file of the same ledger, called by that name in place of 'drafts'."""
        path = self._path and self._path.with_name(self._path.name.replace("drafts", name, 1))
        if path is not None and path == self._path:
            path = self._path.with_name(f"{name}-{self._path.name}")
        return self._besides.setdefault(name, Drafts(path))

    def get(self, form: str) -> dict[str, str]:
        """What was typed into a form, by field; empty if nothing was."""
        return dict(self._kept.get(form, {}))

    def __contains__(self, form: str) -> bool:
        """Whether anything was typed into a form."""
        return form in self._kept

    def keep(self, form: str, typed: Mapping[str, str]) -> None:
        """Remember what stands in a form."""
        if self._kept.get(form) == dict(typed):
            return
        self._kept.pop(form, None)
        self._kept[form] = dict(typed)
        self._write()

    def change(self, form: str, changed: Mapping[str, str | None]) -> None:
        """Remember some fields of a form, and leave the others as they are.

        Args:
            form: its name.
            changed: what stands in these fields now; `None`: nothing any more.
        """
        typed = self._kept.pop(form, {})
        for field, text in changed.items():
            if text is None:
                typed.pop(field, None)
            else:
                typed[field] = text
        if typed:
            self._kept[form] = typed
        if len(self._kept) > LONGEST or not self._add(form, changed):
            self._write()
        else:
            self.turn += 1

    def drop(self, form: str) -> None:
        """Forget a form that was recorded."""
        if self._kept.pop(form, None) is not None:
            self._write()

    def forget(self, text: str) -> None:
        """Forget every draft that holds a text, such as the name of somebody who was erased."""
        wanted = text.casefold()
        held = [form for form, typed in self._kept.items() if wanted in " ".join((form, *typed.values())).casefold()]
        for form in held:
            del self._kept[form]
        # What was typed over since stands among the single changes still.
        since = self._path is not None and _since(self._path).exists()
        if (held or since) and not self._write() and self._path is not None:
            # Better no draft on disk than one with a name that must go.
            for path in (self._path, _since(self._path)):
                with contextlib.suppress(OSError):
                    path.unlink(missing_ok=True)

    def _read(self) -> dict[str, dict[str, str]]:
        if self._path is None or not self._path.exists():
            return {}
        try:
            written = self._path.read_bytes()
            found = json.loads(written)
        except (OSError, ValueError):
            # A damaged draft file must not keep anyone from their ledger; it is set aside, not overwritten.
            with contextlib.suppress(OSError):
                self._path.replace(self._path.with_suffix(".damaged"))
            return {}
        if not isinstance(found, dict):
            return {}
        found.pop(_TURN, None)
        kept = {
            str(form): {str(field): str(text) for field, text in typed.items()}
            for form, typed in found.items()
            if isinstance(typed, dict)
        }
        for form, changed in _added(self._path, written):
            typed = kept.pop(form, {}) | changed
            left = {field: text for field, text in typed.items() if text is not None}
            if left:
                kept[form] = left
        return kept

    def _write(self) -> bool:
        """Put everything on disk; where that cannot be done say so, once, and go on without."""
        while len(self._kept) > LONGEST:
            del self._kept[next(iter(self._kept))]
        self.turn += 1
        if self._path is None:
            return True
        try:
            self._put(self._path)
        except OSError as error:
            if not self._unkept:
                self._unkept = True
                self.tell(_why_not(self._path.parent, error))
            return False
        self._unkept = False
        return True

    def _put(self, path: Path) -> None:
        self._written = ()
        path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        aside = path.with_suffix(".new")
        # No two are alike, or changes of one would be taken for those of a later one that holds the same.
        content = json.dumps({_TURN: secrets.token_hex(8), **self._kept}, ensure_ascii=False).encode()
        handle = os.open(aside, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(content)
            looks = _looks(aside)
            aside.replace(path)
        except OSError:
            aside.unlink(missing_ok=True)
            raise
        # From here on what was added says nothing any more, whether it can be taken away or not.
        with contextlib.suppress(OSError):
            _since(path).unlink(missing_ok=True)
        self._written, self._digest, self._added = looks, _digest(content), 0

    def _add(self, form: str, changed: Mapping[str, str | None]) -> bool:
        """Add one change to what is on disk; whether that could be done. Elsewise everything has to be written."""
        if self._path is None:
            return True
        try:
            if not self._written or self._added > LONG or _looks(self._path) != self._written:
                # It was never written, or somebody else has written it since.
                return False
            said = json.dumps([form, changed], ensure_ascii=False) + "\n"
            first = "" if self._added else self._digest + "\n"
            anew = 0 if self._added else os.O_TRUNC
            handle = os.open(_since(self._path), os.O_WRONLY | os.O_CREAT | os.O_APPEND | anew, 0o600)
            with os.fdopen(handle, "wb") as file:
                self._added += file.write((first + said).encode())
        except OSError:
            # A line that was begun would spoil the next one.
            self._written = ()
            return False
        return True


def _since(path: Path) -> Path:
    """The file of single changes beside that of everything."""
    return path.with_suffix(".since")


def _looks(path: Path) -> tuple[int, ...]:
    found = path.stat()
    return found.st_ino, found.st_size, found.st_mtime_ns


def _digest(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()


def _added(path: Path, written: bytes) -> list[tuple[str, dict[str, str | None]]]:
    """The single changes since a file was written, in their order; a line that was not ended is passed over."""
    try:
        first, *lines = _since(path).read_bytes().split(b"\n")
    except OSError:
        return []
    found: list[tuple[str, dict[str, str | None]]] = []
    if first.decode(errors="replace") == _digest(written):
        # After the last line feed stands nothing, or what a broken write left.
        for line in lines[:-1]:
            with contextlib.suppress(ValueError, TypeError, AttributeError):
                form, changed = json.loads(line)
                fields = {str(field): None if text is None else str(text) for field, text in changed.items()}
                found.append((str(form), fields))
    return found


def _why_not(folder: Path, error: OSError) -> str:
    if error.errno in (errno.ENOSPC, errno.EDQUOT):
        return say("There is no room in {folder} for what you type: record it before you leave.", folder=folder)
    return say(
        "What you type cannot be kept in {folder} ({reason}): record it before you leave.",
        folder=folder,
        reason=error.strerror or type(error).__name__,
    )


def drafts_path(folder: Path, ledger: str) -> Path:
    """File of a ledger's drafts within a folder; the name tells nothing of the ledger."""
    return folder / f"drafts-{hashlib.sha256(ledger.encode()).hexdigest()[:16]}.json"
