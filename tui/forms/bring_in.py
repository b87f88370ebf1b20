"""Which file is brought in, what it holds and how it is read; asked before anything is looked at."""

from __future__ import annotations

import zlib
from collections.abc import Awaitable, Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from exports.bring_in.answers import KINDS_OF_CATEGORY
from exports.bring_in.bring import Wishes
from exports.bring_in.kinds import KINDS, kind_of
from ledger.errors import BadInput
from ledger.text import quoted
from ledger.wording import say, strung
from tui.forms.asking import Asking
from tui.forms.paths import a_path
from tui.sheet_answers import NAME, earlier
from tui.widgets.fields import FieldSpec, nothing_beside, text

if TYPE_CHECKING:
    from exports.bring_in.report import Question

AS_IT_SHOWS = say("as it shows")
ORDERS = (AS_IT_SHOWS, "dmy", "mdy", "ymd")
NOT_SAID = say("not said")
FILL = {NOT_SAID: None, say("yes"): True, say("no"): False}
HOW = (NOT_SAID, "bought", "opening")
_ASKED = "ask"
"""How the keys of fields that answer a question begin."""
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
        questions: what the last look asked; each has a field of its own.
    """

    WHERE = "bring-in"
    HELP = say(
        "A sheet of your own as xlsx, ods or csv. It is looked at first: what would be recorded, and "
        "cell by cell what not and why; nothing is recorded before you say so. Headings are recognised "
        "and remembered; where one is not, write Heading=column, with a comma between several; - leaves a "
        "column out. Words of the sheet that the ledger does not know (a species, a new category of "
        "spending) are asked once each and remembered; under words, sun beetle=PM says otherwise."
    )

    def __init__(
        self,
        answered: Callable[[dict[str, Any]], Awaitable[None]],
        typed: Mapping[str, str] | None = None,
        questions: Sequence[Question] = (),
    ) -> None:
        super().__init__(answered)
        self._begin = typed or {}
        self._questions = [one for one in questions if one.about[0] in ("column", "species", "category")]
        self._wanted = {one.about[0] for one in questions} | {key for key in ("fill", "how") if key in self._begin}

    def heading(self) -> str:
        return say("Bring in a sheet of your own: it is looked at first")

    def specs(self) -> Sequence[FieldSpec]:
        def start(key: str, usual: str = "") -> str:
            return self._begin.get(key, usual)

        return (
            *self._asked_for(),
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
            FieldSpec(
                "words",
                say("words"),
                read_words,
                start("words"),
                nothing_beside,
                hint=say("sun beetle=PM, fruit=used up"),
            ),
        )

    def _asked_for(self) -> Sequence[FieldSpec]:
        """A field for everything the last look asked."""
        specs = []
        for question in self._questions:
            topic, name = question.about
            label = strung((name, "?"), "")
            known: Sequence[str] = question.choices
            if topic == "species":
                hint = say("code of yours: {codes}", codes=strung(question.choices[:4], ", "))
            elif topic == "category":
                hint = say("its kind, or one of yours")
                known = (*KINDS_OF_CATEGORY, *self.desk.ledger.categories())
            else:
                hint = say("which heading: {headings}", headings=strung(question.choices[:4], ", "))
            specs.append(
                FieldSpec(_key(question), label, text(topic, limit=200), "", nothing_beside, hint=hint, known=known)
            )
        if "fill" in self._wanted:
            start = self._begin.get("fill", NOT_SAID)
            specs.append(FieldSpec("fill", say("go on above?"), str, start, choices=tuple(FILL)))
        if "how" in self._wanted:
            start = self._begin.get("how", NOT_SAID)
            specs.append(FieldSpec("how", say("with a price"), str, start, choices=HOW))
        return specs

    def said_of(self, values: Mapping[str, Any]) -> str:
        return say(
            "{name} is looked at as {values}; nothing is recorded yet.", name=values["path"].name, values=values["kind"]
        )

    def asked(self, values: Mapping[str, Any]) -> Asked:
        """The answers."""
        order = None if values["dates"] == AS_IT_SHOWS else values["dates"]
        kind = values["kind"]
        columns: dict[str, str] = dict(values["columns"])
        species: dict[str, str] = {}
        kinds: dict[str, str] = {}
        ours = {row.code.casefold() for row in self.desk.ledger.species()} if values["words"] else set()
        for name, means in values["words"].items():
            (species if means.casefold() in ours else kinds)[name] = means
        for question in self._questions:
            topic, name = question.about
            if not (said := values[_key(question)]):
                continue
            if topic == "column":
                columns[said] = name
            else:
                (species if topic == "species" else kinds)[name] = said
        for name in columns.values():
            if name != "-":
                kind_of(kind).field(name)
        how = values.get("how", NOT_SAID)
        wishes = Wishes(
            values["sheet"] or None,
            columns,
            order,
            SIGNS[values["sign"]],  # type: ignore[arg-type]
            species,
            kinds,
            FILL[values.get("fill", NOT_SAID)],
            "" if how == NOT_SAID else how,
            earlier(self.desk.drafts.beside(NAME), kind),
        )
        typed = {row.spec.key: row.typed for row in self.rows if not row.spec.key.startswith(_ASKED)}
        return Asked(values["path"], kind, wishes, typed)

    def values(self) -> dict[str, Any]:
        read = super().values()
        return {**read, "asked": self.asked(read)}


def _key(question: Question) -> str:
    """The same for the same question, so that a half-written answer never stands under another."""
    return f"{_ASKED}{zlib.crc32(repr(question.about).encode()):08x}"


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
    return _pairs(typed, "columns")


def read_words(typed: str) -> dict[str, str]:
    """'sun beetle=PM, fruit=used up' as what is meant by what is written. Raises BadInput."""
    return _pairs(typed, "words")


def _pairs(typed: str, field: str) -> dict[str, str]:
    found = {}
    for part in (one.strip() for one in typed.split(",")):
        if not part:
            continue
        heading, equals, name = part.rpartition("=")
        if not equals or not heading.strip() or not name.strip():
            raise BadInput(
                say("{part} is not understood; write Heading=column.", part=quoted(part))
                if field == "columns"
                else say("{part} is not understood; write what stands there=what it is.", part=quoted(part)),
                field=field,
            )
        found[heading.strip()] = name.strip()
    return found
