"""Where the archive of the whole ledger goes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from ledger.errors import BadInput
from ledger.text import safe_name
from ledger.wording import say
from tui.forms.asking import Asking
from tui.forms.paths import a_path
from tui.widgets.fields import FieldSpec


class ArchiveForm(Asking):
    """Where the archive goes."""

    WHERE = "archive"
    HELP = say(
        "One zip with every table as CSV and a description of every column. rearledger open-archive "
        "makes an equal ledger of it. A file is never written over."
    )

    def heading(self) -> str:
        return say("The whole ledger as plain tables, in one zip")

    def specs(self) -> Sequence[FieldSpec]:
        ledger = self.desk.ledger
        name = safe_name(f"{ledger.name or 'ledger'} {ledger.today.isoformat()}")
        start = str(self.desk.papers / f"{name}.zip")
        return (FieldSpec("file", say("file"), _zip, start, lambda path: say("in {folder}", folder=str(path.parent))),)

    def said_of(self, values: Mapping[str, Any]) -> str:
        return say("Enter writes the archive to {path}.", path=values["file"])


def _zip(typed: str) -> Path:
    path = a_path("file")(typed)
    if path.exists():
        raise BadInput(
            say("There is {name} already; it is never written over. Choose another name.", name=path.name), field="file"
        )
    return path
