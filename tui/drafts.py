"""What was typed into forms and not yet recorded: kept on disk at every change; a closed terminal loses nothing.

Holds what a person typed, so the file is readable by its owner only. Knows neither forms nor the ledger's content.
"""

from __future__ import annotations

import contextlib
import errno
import hashlib
import json
import os
from collections.abc import Callable, Mapping
from pathlib import Path

from ledger.wording import say

LONGEST = 200
"""Most drafts kept; the oldest go first."""
JOTTED = "jot line"
"""What stands in the jot lines, by place."""


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

    def keep(self, form: str, typed: Mapping[str, str]) -> None:
        """Remember what stands in a form."""
        if self._kept.get(form) == dict(typed):
            return
        self._kept.pop(form, None)
        self._kept[form] = dict(typed)
        while len(self._kept) > LONGEST:
            del self._kept[next(iter(self._kept))]
        self._write()

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
        if held and not self._write() and self._path is not None:
            # Better no draft on disk than one with a name that must go.
            with contextlib.suppress(OSError):
                self._path.unlink(missing_ok=True)

    def _read(self) -> dict[str, dict[str, str]]:
        if self._path is None or not self._path.exists():
            return {}
        try:
            found = json.loads(self._path.read_text(encoding="utf-8"))
        except (OSError, ValueError):
            # A damaged draft file must not keep anyone from their ledger; it is set aside, not overwritten.
            with contextlib.suppress(OSError):
                self._path.replace(self._path.with_suffix(".damaged"))
            return {}
        if not isinstance(found, dict):
            return {}
        return {
            str(form): {str(field): str(text) for field, text in typed.items()}
            for form, typed in found.items()
            if isinstance(typed, dict)
        }

    def _write(self) -> bool:
        """Put everything on disk; where that cannot be done say so, once, and go on without."""
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
        path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        aside = path.with_suffix(".new")
        handle = os.open(aside, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
        try:
            with os.fdopen(handle, "w", encoding="utf-8") as file:
                json.dump(self._kept, file, ensure_ascii=False)
            aside.replace(path)
        except OSError:
            aside.unlink(missing_ok=True)
            raise


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
