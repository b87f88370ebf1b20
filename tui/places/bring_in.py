"""Sheets of the keeper's own: those brought in, a look at one before anything is recorded, and taking one back.

Reading, trying and recording run aside with a bar, and Escape stops them; what stops records nothing.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING, Any, ClassVar, cast

from ledger.act import Done, Plan
from ledger.books.commands import TakeBackFile
from ledger.errors import BadInput, Refused
from ledger.money import Currency, said
from ledger.records.bringing import files
from ledger.records.operations import new_token
from ledger.text import show
from ledger.wording import counted, say, strung, word
from tui.actions import Act
from tui.aside import Aside
from tui.forms.bring_in import Asked, BringInForm
from tui.places.listing import ListPage
from tui.places.long import LongPage, Progress, Tell
from tui.places.page import BACK, hanging
from tui.widgets.foot import Answer
from tui.widgets.paged import Column, Row

if TYPE_CHECKING:
    from exports.bring_in.report import Report
    from ledger.records.bringing import FileRow

DRAFT = f"{BringInForm.WHERE}:"
"""Name of the draft of the form that asks for a file; it has no subject."""
MOST_SHOWN = 500
"""Rows of a report that a page shows; the command lists them all as CSV."""


ON_SCREEN = (
    (
        "--map, or start from rearledger bring-in template",
        say("columns in the form ('), or start from the template (W in the list of files)"),
    ),
    (say("with --map"), say("under columns in the form (')")),
    (": rearledger species add CODE --template", say(" from the template")),
    ("--map", say("columns in the form (')")),
    ("--dates", say("its dates in the form ('):")),
    ("--decimal", say("its amounts in the form ('):")),
    ("--sheet", say("sheet in the form ('):")),
    (say("Take that back first: rearledger bring-in undo"), say("Take that back first: x in the list of files, file")),
    (say(" A look at the file without --record lists the others."), ""),
)
"""What a refusal names of the command line, and what it is called here."""


def on_screen(sentence: str) -> str:
    """A sentence of the look at a file, with the screen's own words for what is to be done."""
    for command, here in ON_SCREEN:
        sentence = sentence.replace(command, here)
    return sentence


class BringInPage(ListPage, Aside[None]):
    """Files that were brought in, newest first."""

    WHERE = "brought-in"
    HELP = say(
        "Stock, past sales, costs, customers and prices come in from a sheet of your own. It is looked "
        "at first and recorded as a whole or not at all; the same row never comes in twice. A file is "
        "taken back with x."
    )
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("new_file", "n", say("new"), say("Look at a sheet of your own, then record it.")),
        Act("template", "W", say("workbook"), say("Write an empty workbook with the headings, to start from.")),
        Act("take_back_file", "x", say("take back"), say("Take back everything the file of this row recorded.")),
        BACK,
    )
    COLUMNS = (
        Column(say("no."), 5, right=True),
        Column(say("what"), 10),
        Column(say("file")),
        Column(say("rows"), 6, right=True),
        Column(say("recorded"), 17),
        Column(say("by"), 10, above=100),
        Column(say("state"), 10),
    )
    EMPTY = (
        say("No sheet was brought in yet."),
        say("Press n for a sheet of yours, or W for an empty workbook to start from."),
    )

    def __init__(self) -> None:
        super().__init__()
        self._files: dict[str, FileRow] = {}

    def title_words(self) -> str:
        return say("Bring in")

    def all_rows(self) -> list[Row]:
        self._files = {str(row.number): row for row in self.desk.ledger.ask(files)}
        return [
            Row(
                key,
                (
                    (key, "bold"),
                    word(row.kind),
                    row.file_name,
                    str(row.rows),
                    row.recorded_at.replace("T", " ")[:16],
                    row.recorded_by,
                    (say("taken back"), "$quiet") if row.undone else say("stands"),
                ),
            )
            for key, row in self._files.items()
        ]

    def sum_up(self) -> str:
        return counted(len(self._files), "{n} file brought in", "{n} files brought in")

    async def action_new_file(self) -> None:
        """Which one."""
        await self.desk.open_form(BringInForm(self._asked))

    async def _asked(self, values: dict[str, Any]) -> None:
        from tui.sheet_answers import NAME, remember

        asked: Asked = values["asked"]
        remember(self.desk.drafts.beside(NAME), asked.kind, asked.wishes)
        await self.desk.open_form(LookPage(values["asked"], self._asked))

    async def action_take_back_file(self) -> None:
        """Everything it recorded."""
        row = self._files.get(self.chosen or "")
        if row is None:
            return
        if row.undone:
            self.desk.say(Answer(say("File {number} was taken back already.", number=row.number)))
        else:
            await self.desk.open_form(TakeBackPage(row))

    def action_template(self) -> None:
        """An empty workbook, into the folder the program was started in."""
        from exports.bring_in.template import write_template

        ledger, path = self.desk.ledger, self.desk.papers / "records.xlsx"
        self.ask_aside(lambda: write_template(ledger, path))

    def told(self, answer: object) -> None:
        self.desk.say(
            Answer(say("The template is {path}; its first sheet says how to go on.", path=str(answer)), "done")
        )

    def refused(self, refusal: Refused) -> None:
        self.desk.say(Answer(refusal.sentence, "refused"))


class LookPage(LongPage):
    """What bringing in a file would record, and cell by cell what not and why.

    Args:
        asked: the file and how it is read.
        again: called with other answers.
    """

    WHERE = "look-at-file"
    WIDEST = 110
    HELP = say(
        "Nothing is recorded yet. A question is answered in the form ('); a row that is refused is "
        "mended in the sheet itself, then looked at again (a). Enter records everything that is new, as "
        "a whole, with a backup before."
    )
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("record_all", "enter", say("record"), say("Record every new row of the file, all of them or none.")),
        Act(
            "other_answers",
            "apostrophe",
            say("other answers"),
            say("Read the file otherwise: dates, amounts, columns, sheet."),
        ),
        Act("look_again", "a", say("again"), say("Look at the file again, after it was mended and saved.")),
        BACK,
    )

    def __init__(self, asked: Asked, again: Callable[[dict[str, Any]], Any]) -> None:
        super().__init__()
        self._asked = asked
        self._again = again
        self._report: Report | None = None
        self._token = new_token(time.time_ns())

    def opened(self) -> None:
        super().opened()
        # Until they are recorded the answers stand in the form again, also after a closed terminal.
        self.desk.drafts.keep(DRAFT, self._asked.typed)

    def title_words(self) -> str:
        return say("{file} as {kind}", file=self._asked.path.name, kind=word(self._asked.kind))

    def work(self) -> Callable[[Tell], object]:
        ledger, asked = self.desk.ledger, self._asked

        def look(tell: Tell) -> object:
            from exports.bring_in.bring import look as look_at
            from exports.bring_in.kinds import kind_of

            return look_at(ledger, kind_of(asked.kind), asked.path, asked.wishes, tell)

        return look

    def came(self, answer: object) -> None:
        if isinstance(answer, Done):
            self.desk.drafts.drop(DRAFT)
            self.recorded(answer)
            return
        report: Report = answer  # type: ignore[assignment]
        self._report = report
        self._draw(report)

    def _draw(self, report: Report) -> None:
        # It stands on the page itself, and goes with it.
        first = say("This was only a look: nothing is recorded yet.")
        self.show(hanging([first, *report_lines(report, self.desk.ledger.currency)], self.width))
        self.foot.sum_up(
            say("{accepted} to record", accepted=report.accepted) if report.ready else say("nothing is recorded")
        )

    def failed(self, refusal: Refused) -> None:
        if self._report is None:
            super().failed(BadInput(on_screen(refusal.sentence), refusal.field))
            return
        told = any(words in refusal.sentence for words in ("othing was recorded", "othing was saved"))
        sentence = on_screen(refusal.sentence)
        self.desk.say(Answer(sentence if told else strung((sentence, say("Nothing was recorded."))), "refused"))
        self._draw(self._report)

    def action_record_all(self) -> None:
        """All of it, with a backup before."""
        report = self._report
        if self.working or report is None:
            return
        if not report.ready:
            self.desk.say(Answer(_why_not(report), "refused"))
            return
        ledger, asked, token = self.desk.ledger, self._asked, self._token

        def record(tell: Tell) -> object:
            from exports.bring_in.bring import bring_in
            from exports.bring_in.kinds import kind_of
            from tui.verbs.watch import back_up

            tell(say("making a backup first"), 0, 1)
            back_up(ledger, "bring-in")
            return bring_in(ledger, kind_of(asked.kind), asked.path, asked.wishes, tell, token)

        self.begin(record, records=True)

    def action_other_answers(self) -> None:
        """The form again, as it was."""
        if not self._records:
            self.action_back()
            questions = self._report.questions if self._report is not None else ()
            self.desk.call_later(self.desk.open_form, BringInForm(self._again, self._asked.typed, questions))

    def action_look_again(self) -> None:
        """The file as it is now."""
        if not self._records:
            self._report = None
            self.read_anew()


class TakeBackPage(LongPage):
    """A file is taken back: what that means, then the work of it.

    Args:
        row: the file.
    """

    WHERE = "take-back-file"
    HELP = say(
        "Everything the rows of the file recorded is taken back, with a backup before: sales by credits of their own "
        "day, and what was paid as never paid."
    )
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("record_all", "enter", say("go on"), say("Take back everything the file recorded.")),
        BACK,
    )

    def __init__(self, row: FileRow) -> None:
        super().__init__()
        self._row = row

    def title_words(self) -> str:
        return say("Take back file {number}, {file_name}", number=self._row.number, file_name=self._row.file_name)

    def work(self) -> Callable[[Tell], object]:
        ledger, command = self.desk.ledger, self._command()
        return lambda _: ledger.preview(command)

    def _command(self) -> TakeBackFile:
        return TakeBackFile(self._row.number, self.desk.ledger.today)

    def came(self, answer: object) -> None:
        if isinstance(answer, Done):
            self.recorded(answer)
            return
        plan = cast("Plan", answer)
        lines = [
            plan.sentence,
            *(say("Caution: {caution}", caution=self.said(caution)) for caution in plan.cautions),
            "",
            say("Enter takes it back; Escape leaves all as it is."),
        ]
        self.show(hanging(lines, self.width))

    def action_record_all(self) -> None:
        """Take it back, with a backup before."""
        if self.working:
            return
        ledger, command, token = self.desk.ledger, self._command(), new_token(time.time_ns())
        mine = Progress()
        leave = self.leave_of(mine)

        def take_back(tell: Tell) -> object:
            from tui.verbs.watch import back_up

            tell(say("making a backup first"), 0, 1)
            back_up(ledger, "bring-in")
            tell(say("taking back"), 0, 1)
            return ledger.do(command, token=token, source="screen", before_saving=leave)

        self.begin_with(mine, take_back, records=True)


def _why_not(report: Report) -> str:
    if report.questions:
        return say("{sentence} ' answers it; nothing was recorded.", sentence=report.questions[0].sentence)
    if report.refused:
        return say(
            "A row is refused, and a file is recorded as a whole or not at all: mend it in the sheet, then press a."
        )
    return say("Every row is in the ledger already; there is nothing to record.")


def report_lines(report: Report, currency: Currency) -> Iterable[str]:
    """The whole report: what stands in the way first, then what would be recorded and how the columns are read."""
    from exports.bring_in.report import grouped, rows_of

    refused = rows_of(report.refused)
    rows = say(
        "{rows} read, {known} in the ledger already, ",
        rows=counted(report.read, "{n} row", "{n} rows"),
        known=report.known,
    )
    lines = [say("{rows}{accepted} to record, {refused} refused", rows=rows, accepted=report.accepted, refused=refused)]
    if report.counted is not None and (report.accepted or not report.questions):
        lines.append(say("Animals to record: {counted}", counted=f"{report.counted:,}"))
    if report.money is not None and (report.accepted or not report.questions):
        lines.append(say("Money to record: {money}", money=said(report.money, currency)))
    if report.ready:
        lines.append(say("✓ Everything that is new can be recorded: press Enter."))
    else:
        lines.append(say("! {why_not}", why_not=_why_not(report)))
    for question in report.questions:
        choices = say(" ({choices})", choices=strung(question.choices, ", ")) if question.choices else ""
        lines += ["", strung(("? ", question.sentence, choices), "")]
        if question.hint:
            lines.append(question.hint)
    if report.refused:
        alike = grouped(report.refused)
        lines += ["", say("Refused"), *(say("· {one}", one=str(one)) for one in alike[:MOST_SHOWN])]
        if len(alike) > MOST_SHOWN:
            lines.append(
                say(
                    "… and {number} more; the command lists all with --format csv.",
                    number=sum(len(one.rows) for one in alike[MOST_SHOWN:]),
                )
            )
    if report.read_as:
        lines += ["", say("Read as"), *(say("· {one}", one=one) for one in report.read_as)]
    if report.cautions:
        lines += ["", say("Cautions"), *(say("· {one}", one=one) for one in report.cautions)]
    if report.skipped:
        lines += [
            "",
            say("Skipped"),
            *(
                say("· Row {row} ({why}): {text}", row=one.row, why=one.why, text=one.text)
                for one in report.skipped[:MOST_SHOWN]
            ),
        ]
    lines += [
        "",
        say("How its columns are read (sheet {sheet})", sheet=report.sheet)
        if report.sheet
        else say("How its columns are read (sheet without a name)"),
    ]
    lines += [
        say("· {letter} {heading}: {read_as}", letter=letter, heading=heading, read_as=name or say("left out"))
        for letter, heading, name in report.columns
    ]
    return [show(on_screen(line)) for line in lines]
