"""What a look at a file found: rows read, known, accepted and refused, with the place and reason of each refusal.

The same report is shown by screens, written as text and as CSV.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from ledger.money import Currency, said
from ledger.text import count_words, quoted, show

MOST_SHOWN = 20
TOTAL = "a total"
"""Why a row that sums up others is skipped."""


@dataclass(frozen=True, slots=True)
class Refusal:
    """A row, or a cell of one, that cannot be brought in."""

    sheet: str
    row: int
    column: str
    """Letter; empty: the row as a whole."""
    heading: str
    text: str
    """What stands there."""
    reason: str
    suggestion: str = ""

    def __str__(self) -> str:
        """In a sentence: where, what stands there, why not, what to do."""
        where = f"Row {self.row}" + (f", column {self.column} ({self.heading})" if self.column else "")
        # Some reasons begin with what stands there; others go on from it, and a sentence of the ledger stands alone.
        what = "" if not self.text or self.reason.startswith('"') else f" {quoted(self.text, limit=80)}"
        if what and not self.reason[:1].islower():
            what += "."
        return f"{where}:{what} {self.reason} {self.suggestion}".rstrip()


@dataclass(frozen=True, slots=True)
class Question:
    """Something only the keeper can say before the file can be read."""

    sentence: str
    option: str
    """How to answer it on the command line."""
    choices: tuple[str, ...] = ()
    hint: str = ""
    """What an answer may be, where that is more than the choices."""
    about: tuple[str, str] = ("", "")
    """What sort of answer it wants (column, species, category, fill, how), and of what."""


@dataclass(frozen=True, slots=True)
class Skipped:
    """A row that is no record: a title, a total."""

    row: int
    why: str
    text: str


@dataclass(frozen=True, slots=True)
class Report:
    """What a look at a file found."""

    file: str
    digest: str
    kind: str
    sheet: str
    columns: tuple[tuple[str, str, str], ...]
    """(letter, heading, field; empty: left out) of each column."""
    read: int
    """Rows under the headings that hold something, without those skipped."""
    blank: int
    skipped: tuple[Skipped, ...]
    known: int
    """Rows that are in the ledger already."""
    accepted: int
    refused: tuple[Refusal, ...]
    questions: tuple[Question, ...]
    cautions: tuple[str, ...] = ()
    counted: int | None = None
    """Animals in the rows accepted."""
    money: int | None = None
    """Their amounts, minor units."""
    read_as: tuple[str, ...] = ()
    """What was matched, filled in or taken for granted, to be looked over before it is recorded."""

    @property
    def ready(self) -> bool:
        """Whether everything that is new in the file can be brought in."""
        return not self.refused and not self.questions and self.accepted > 0


@dataclass(frozen=True, slots=True)
class Alike:
    """Refusals that have the same reason in the same column."""

    rows: tuple[int, ...]
    first: Refusal
    texts: tuple[str, ...]
    """What stands in these cells, each text once."""

    def __str__(self) -> str:
        """In a sentence; of one row, as that row's own."""
        if len(self.rows) == 1:
            return str(self.first)
        one = self.first
        where = f"{count_words(len(self.rows), 'row', 'rows')} {some_rows(self.rows)}"
        where += f", column {one.column} ({one.heading})" if one.column else ""
        texts = "" if one.reason.startswith('"') else _texts(self.texts)
        if texts and not one.reason[:1].islower():
            texts += "."
        return f"{where}:{texts} {one.reason} {one.suggestion}".rstrip()


def _texts(texts: tuple[str, ...]) -> str:
    shown = ", ".join(quoted(text, limit=40) for text in texts[:_MOST_TEXTS] if text)
    more = f" and {len(texts) - _MOST_TEXTS} others" if len(texts) > _MOST_TEXTS else ""
    return f" {shown}{more}" if shown else ""


_MOST_TEXTS = 4
_MOST_ROWS = 6


def some_rows(rows: Sequence[int]) -> str:
    """The numbers of rows in brackets, as many as are easily read: '(12, 14, 19, ...)'."""
    some = ", ".join(str(row) for row in rows[:_MOST_ROWS])
    return f"({some}{', ...' if len(rows) > _MOST_ROWS else ''})"


def grouped(refused: Iterable[Refusal]) -> list[Alike]:
    """Refusals that are alike together, in the order of their first rows."""
    kinds: dict[tuple[str, str, str], list[Refusal]] = {}
    for one in refused:
        kinds.setdefault((one.column, one.reason, one.suggestion), []).append(one)
    return [
        Alike(tuple(dict.fromkeys(one.row for one in alike)), alike[0], tuple(dict.fromkeys(one.text for one in alike)))
        for alike in kinds.values()
    ]


def rows_of(refused: Iterable[Refusal]) -> int:
    """How many rows are refused: one may be wrong in several columns."""
    return len({one.row for one in refused})


def as_text(report: Report, currency: Currency) -> str:
    """The report in lines."""
    lines = [f"{report.file}, sheet {report.sheet or '–'}: {report.kind}", f"SHA-256 {report.digest}"]
    used = [f"{letter} {heading} → {name}" for letter, heading, name in report.columns if name]
    left = [f"{letter} {heading}" for letter, heading, name in report.columns if not name]
    lines.append("Columns: " + ("; ".join(used) or "none"))
    if left:
        lines.append("Left out: " + "; ".join(left))
    lines.append(
        f"{count_words(report.read, 'row', 'rows')} read, {report.blank} blank, {len(report.skipped)} skipped, "
        f"{report.known} in the ledger already, {report.accepted} to bring in, {rows_of(report.refused)} refused"
    )
    if report.counted is not None and (report.accepted or not report.questions):
        lines.append(f"Animals to bring in: {report.counted:,}")
    if report.money is not None and (report.accepted or not report.questions):
        lines.append(f"Money to bring in: {said(report.money, currency)}")
    lines += [f"Read as: {one}" for one in report.read_as]
    lines += [f"Row {one.row} skipped ({one.why}): {one.text}" for one in report.skipped[:MOST_SHOWN]]
    for question in report.questions:
        lines.append(f"Question: {question.sentence} Answer with {question.option}. {question.hint}".rstrip())
    alike = grouped(report.refused)
    lines += [str(one) for one in alike[:MOST_SHOWN]]
    if len(alike) > MOST_SHOWN:
        more = sum(len(one.rows) for one in alike[MOST_SHOWN:])
        lines.append(f"… and {more} more refused; --format csv lists them all.")
    lines += [f"Caution: {caution}" for caution in report.cautions[:MOST_SHOWN]]
    return "\n".join(show(line) for line in lines)


HEADINGS = ("what", "sheet", "row", "column", "heading", "text", "reason", "suggestion")


def as_rows(report: Report) -> list[tuple[str, str, int | None, str, str, str, str, str]]:
    """Every refusal, question and skipped row as rows of one table."""
    rows: list[tuple[str, str, int | None, str, str, str, str, str]] = [
        ("question", report.sheet, None, "", "", "", one.sentence, one.option) for one in report.questions
    ]
    rows += [
        ("refused", one.sheet, one.row, one.column, one.heading, one.text, one.reason, one.suggestion)
        for one in report.refused
    ]
    rows += [("skipped", report.sheet, one.row, "", "", one.text, one.why, "") for one in report.skipped]
    return rows
