"""Verbs about the books: income, checks, closing a year, its workbook, and the proof that the ledger adds up."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from tui.verbs import answer, typed
from tui.verbs.parser import Parser, common, with_day
from tui.verbs.place import target, to_read
from tui.verbs.watching import watched

if TYPE_CHECKING:
    from ledger.books.checks import Check
    from ledger.books.income import IncomeLine
    from ledger.books.missing import BeforeClosing
    from ledger.books.prove import Finding

DOES_NOT_ADD_UP = 1


def add(top: Parser) -> None:
    """Add these verbs."""
    parser = common(top.verb("income", "Show the income of a year on both bases, and the bridge between them.", income))
    parser.add_argument("year", metavar="YEAR")
    parser = common(top.verb("checks", "Show every check of a year's books; exit 1 if one does not hold.", checks))
    parser.add_argument("year", metavar="YEAR")
    parser = common(top.verb("close", "Close a year: from then on its figures stand.", close))
    parser.add_argument("year", metavar="YEAR")
    with_day(parser, "date", "the day of closing; else today")
    parser.add_argument("--look", action="store_true", help="only say what is missing; nothing is closed")
    parser = common(top.verb("year-end", "Write the workbook of a year for whoever checks the books.", year_end))
    parser.add_argument("year", metavar="YEAR")
    parser.add_argument("--to", metavar="DIR", required=True, help="the folder it is written into")
    parser.add_argument("--plain", action="store_true", help="values only, without frozen panes and filters")
    common(top.verb("prove", "Prove that the whole ledger adds up; exit 0 if it does, 1 if not.", prove))


def income(args: argparse.Namespace) -> int:
    """Income of a year."""
    year = typed.year(args.year)
    with to_read(args) as ledger:
        result = ledger.income(year)
        currency = ledger.currency
    columns: tuple[answer.Column[IncomeLine], ...] = (
        answer.Column("line", lambda row: row.name),
        answer.Column("cash", lambda row: answer.money(row.cash, currency), f"cash {currency.code}", figure=True),
        answer.Column(
            "accruals", lambda row: answer.money(row.accruals, currency), f"accruals {currency.code}", figure=True
        ),
        answer.Column("how", lambda row: row.how, listed=False),
    )
    if args.format == "json":
        groups = {"lines": result.lines, "again": result.again, "bridge": result.bridge}
        summary: dict[str, answer.Json] = {
            "year": result.year,
            "closed": result.closed,
            "currency": currency.code,
            "cash_result": answer.money(result.cash_result, currency),
            "accruals_result": answer.money(result.accruals_result, currency),
            "agrees": result.agrees,
        }
        for name, rows in groups.items():
            summary[name] = [{one.key: one.value(row) for one in columns} for row in rows]
        answer.write_json(summary)
        return 0
    answer.write_rows(result.lines, columns, args.format, none="")
    if args.format == "text":
        answer.say("")
        answer.say(f"Result on the cash basis      {answer.money(result.cash_result, currency)} {currency.code}")
        answer.say(f"Result on the accruals basis  {answer.money(result.accruals_result, currency)} {currency.code}")
        for title, rows in (("From what went out", result.again), ("From cash to accruals", result.bridge)):
            answer.say("")
            answer.say(title)
            answer.write_rows(rows, (columns[0], columns[2]), "text", none="")
        answer.say("")
        answer.say("Working paper, not a tax return.")
    return 0


def checks(args: argparse.Namespace) -> int:
    """Checks of a year."""
    year = typed.year(args.year)
    with to_read(args) as ledger:
        rows = ledger.checks(year)
        currency = ledger.currency

    def side(name: str) -> answer.Column[Check]:
        def value(row: Check) -> answer.Json:
            number: int = getattr(row, name)
            return answer.money(number, currency) if row.unit == "money" else number

        return answer.Column(name, value, figure=True)

    columns: tuple[answer.Column[Check], ...] = (
        answer.Column("check", lambda row: row.name),
        side("first"),
        side("second"),
        side("difference"),
        answer.Column("result", lambda row: row.result),
        answer.Column("holds", lambda row: row.holds, listed=False),
        answer.Column("key", lambda row: row.key, listed=False),
        answer.Column("advice", lambda row: "" if row.difference == 0 else row.advice, "what to do"),
    )
    answer.write_rows(rows, columns, args.format, none="There is nothing to check.")
    return 0 if all(row.holds for row in rows) else DOES_NOT_ADD_UP


def close(args: argparse.Namespace) -> int:
    """Close a year."""
    from ledger.books.commands import CloseYear
    from tui.verbs.watch import back_up, open_to_write

    year = typed.year(args.year)
    if args.look:
        return _look_before_closing(args, year)
    with open_to_write(target(args)) as ledger:
        command = CloseYear(year, typed.day_or_today(args.date, ledger))
        ledger.preview(command)
        # What a closing settles cannot be taken back.
        back_up(ledger, "closing")
        return answer.done(ledger.do(command), args.format)


def _look_before_closing(args: argparse.Namespace, year: int) -> int:
    from ledger.books.commands import CloseYear
    from ledger.books.missing import not_over

    with to_read(args) as ledger:
        lasts = None if args.date else ledger.before_closing(year)
        if lasts is not None and not lasts.over:
            return _missing_so_far(args, lasts, not_over(lasts.period))
        plan = ledger.preview(CloseYear(year, typed.day_or_today(args.date, ledger)))
    if args.format == "json":
        answer.write_json({"sentence": plan.sentence, "missing": list(plan.cautions), "closed": False})
        return 0
    for caution in plan.cautions:
        answer.say(caution)
    answer.say("" if plan.cautions else "Nothing is missing.")
    answer.say(f"Not closed yet. If it is: {plan.sentence}")
    return 0


def _missing_so_far(args: argparse.Namespace, found: BeforeClosing, sentence: str) -> int:
    missing = [one.sentence for one in found.missing]
    if args.format == "json":
        answer.write_json({"sentence": sentence, "missing": missing, "closed": False})
        return 0
    for one in missing:
        answer.say(one)
    answer.say("" if missing else "Nothing is missing.")
    answer.say(sentence)
    return 0


def prove(args: argparse.Namespace) -> int:
    """Whether the whole ledger adds up."""
    with to_read(args) as ledger:
        findings = [*_doubts(ledger.store.identity.doubts), *ledger.prove()]
    columns: tuple[answer.Column[Finding], ...] = (
        answer.Column("what", lambda row: row.what),
        answer.Column("sentence", lambda row: row.sentence, title="does not add up"),
    )
    answer.write_rows(findings, columns, args.format, none="Everything adds up.")
    return DOES_NOT_ADD_UP if findings else 0


def _doubts(doubts: tuple[str, ...]) -> list[Finding]:
    """Safeguards against changed records that are not as they were made."""
    from ledger.books.prove import Finding

    return [Finding("safeguards", f"{doubt[0].upper()}{doubt[1:]}.") for doubt in doubts]


def _progress() -> Callable[[str, int, int], None]:
    """Says on a terminal which sheet is being written; elsewhere nothing."""
    show = watched()
    return lambda sheet, done, of: show(f"{sheet} ({done + 1} of {of})" if done + 1 < of else "")


def year_end(args: argparse.Namespace) -> int:
    """Write the workbook; a draft says so, since not every check holds."""
    from exports.workbook import write

    year = typed.year(args.year)
    with to_read(args) as ledger:
        written = write(ledger, year, Path(args.to), plain=args.plain, progress=_progress())
    failing = [check.name for check in written.checks if not check.holds]
    if args.format == "json":
        answer.write_json({"file": str(written.path), "draft": bool(failing), "does_not_hold": failing})
        return 0
    answer.say(f"The year end of {year} is in {written.path}.")
    if failing:
        answer.say(f"Caution: it is marked a draft, since a check does not hold: {'; '.join(failing)}.")
    return 0
