"""Which file is brought in, what it holds and how it is read; asked before anything is looked at."""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from exports.bring_in.bring import Wishes
from exports.bring_in.kinds import KINDS
from ledger.errors import BadInput
from ledger.text import quoted
from ledger.wording import say
from tui.forms.asking import Asking
from tui.forms.paths import a_path
from tui.widgets.fields import FieldSpec, nothing_beside, text

AS_IT_SHOWS = say("as it shows")
ORDERS = (AS_IT_SHOWS, "dmy", "mdy", "ymd")
SIGNS = {AS_IT_SHOWS: None, "1.50": ".", "1,50": ","}


@dataclass(frozen=True, slots=True)
class Asked:
    """One file, as it is to be brought in; `typed`: what stood in the fields, to begin from again."""

    path: Path
    kind: str
    wishes: Wishes
    typed: Mapping[str, str]


class BringInForm(Asking):
    """Which file.

    Args:
        answered: called with the answers under `asked`.
        typed: what stands in the fields at first.
    """

    WHERE = "bring-in"
    HELP = say(
        "A sheet of your own as xlsx, ods or csv. It is looked at first: what would be recorded, and "
        "cell by cell what not and why; nothing is recorded before you say so. Headings are recognised "
        "and remembered; where one is not, write Heading=column, with a comma between several."
    )

    def __init__(
        self, answered: Callable[[dict[str, Any]], Awaitable[None]], typed: Mapping[str, str] | None = None
    ) -> None:
        super().__init__(answered)
        self._begin = typed or {}

    def heading(self) -> str:
        return say("Bring in a sheet of your own: it is looked at first")

    def specs(self) -> Sequence[FieldSpec]:
        def start(key: str, usual: str = "") -> str:
            return self._begin.get(key, usual)

        return (
            FieldSpec(
                "path",
                say("file"),
                read_path,
                start("path"),
                lambda path: path.name,
                hint=say("where it is, ~/costs.xlsx"),
            ),
            FieldSpec("kind", say("it holds"), str, start("kind", "stock"), choices=tuple(KINDS)),
            FieldSpec(
                "sheet",
                say("sheet"),
                text("sheet", limit=200),
                start("sheet"),
                nothing_beside,
                hint=say("if it has several"),
            ),
            FieldSpec("dates", say("its dates are"), str, start("dates", AS_IT_SHOWS), choices=ORDERS),
            FieldSpec("sign", say("its amounts"), str, start("sign", AS_IT_SHOWS), choices=tuple(SIGNS)),
            FieldSpec(
                "columns",
                say("columns"),
                read_columns,
                start("columns"),
                nothing_beside,
                hint=say("only where not recognised: Paid for=amount"),
            ),
        )

    def said_of(self, values: Mapping[str, Any]) -> str:
        return say(
            "{name} is looked at as {values}; nothing is recorded yet.", name=values["path"].name, values=values["kind"]
        )

    def asked(self, values: Mapping[str, Any]) -> Asked:
        """The answers."""
        order = None if values["dates"] == AS_IT_SHOWS else values["dates"]
        wishes = Wishes(values["sheet"] or None, values["columns"], order, SIGNS[values["sign"]])  # type: ignore[arg-type]
        return Asked(values["path"], values["kind"], wishes, {row.spec.key: row.typed for row in self.rows})

    def values(self) -> dict[str, Any]:
        read = super().values()
        return {**read, "asked": self.asked(read)}


def read_path(typed: str) -> Path:
    """A file that is there. Raises BadInput."""
    path = a_path("file")(typed)
    if not path.is_file():
        what = say("a folder") if path.is_dir() else say("no file there")
        raise BadInput(
            say("{path} is {what}; write the path of the sheet.", path=quoted(str(path)), what=what), field="path"
        )
    return path


def read_columns(typed: str) -> dict[str, str]:
    """'Paid for=amount, Shop=supplier' as field by heading. Raises BadInput."""
    found = {}
    for part in (one.strip() for one in typed.split(",")):
        if not part:
            continue
        heading, equals, name = part.rpartition("=")
        if not equals or not heading.strip() or not name.strip():
            raise BadInput(say("{part} is not understood; write Heading=column.", part=quoted(part)), field="columns")
        found[heading.strip()] = name.strip()
    return found
