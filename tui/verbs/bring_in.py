"""Verbs that bring records in from a keeper's own sheets: look, record, list, take back, template."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from ledger.errors import BadInput
from ledger.text import quoted
from tui.verbs import answer, typed
from tui.verbs.parser import Parser, common, with_day
from tui.verbs.place import target, to_read, to_write
from tui.verbs.watching import watched

if TYPE_CHECKING:
    from exports.bring_in.bring import Wishes
    from ledger.days import Order
    from ledger.ledger import Ledger
    from ledger.money import DecimalSign
    from ledger.records.bringing import FileRow

NOT_READY = 1


def add(top: Parser) -> None:
    """Add the verb."""
    parser = common(
        top.verb(
            "bring-in",
            "Bring in stock, sales, costs, customers or prices from a sheet (xlsx, ods, csv); looks first.",
            bring_in,
            epilog="rearledger bring-in template records.xlsx\n"
            "rearledger bring-in costs spending.xlsx            look: what would be recorded, what not and why\n"
            "rearledger bring-in costs spending.xlsx --record   record all of it, or nothing\n"
            "rearledger bring-in list\nrearledger bring-in undo 3",
        )
    )
    parser.add_argument("what", metavar="KIND|template|list|undo")
    parser.add_argument("file", metavar="FILE|NUMBER", nargs="?")
    parser.add_argument("--record", action="store_true", help="record it; without this the file is only looked at")
    parser.add_argument("--sheet", metavar="NAME", help="which sheet of the file")
    parser.add_argument("--map", metavar="HEADING=COLUMN", action="append", default=[], help="what a column holds")
    parser.add_argument("--dates", metavar="dmy|mdy|ymd", help="in which order its dates have day, month and year")
    parser.add_argument("--decimal", metavar=".|,", help="which sign its amounts have before the decimals")
    parser.add_argument("--species", metavar="NAME=CODE", action="append", default=[], help="which species a name is")
    parser.add_argument(
        "--kind", metavar="CATEGORY=KIND", action="append", default=[],
        help="of which kind a new category is (used up, lasting, overhead, selling), or which of yours it is",
    )  # fmt: skip
    parser.add_argument("--fill-down", metavar="yes|no", help="whether rows without a day go on from the row above")
    parser.add_argument(
        "--how", metavar="bought|opening|bred", default="", help="how animals came that a price was paid for"
    )
    with_day(parser, "date", "the day a file is taken back; else today")


def bring_in(args: argparse.Namespace) -> int:
    """Look at a file, or record it; list, take back, template."""
    if args.what == "list":
        return _list(args)
    if not args.file:
        raise BadInput("Which file? Write: rearledger bring-in costs spending.xlsx.", field="file")
    if args.what == "template":
        return _template(args)
    if args.what == "undo":
        return _undo(args)
    return _record(args) if args.record else _look(args)


def _look(args: argparse.Namespace) -> int:
    from exports.bring_in.bring import look
    from exports.bring_in.kinds import kind_of
    from exports.bring_in.report import HEADINGS, as_rows, as_text

    kind = kind_of(args.what)
    wishes = _wishes(args)
    with to_write(args) as ledger:
        report = look(ledger, kind, Path(args.file), _with_earlier(ledger, kind.name, wishes), _progress())
        currency = ledger.currency
    if args.format == "json":
        answer.write_json(
            {
                "file": report.file,
                "sha256": report.digest,
                "kind": report.kind,
                "sheet": report.sheet,
                "columns": [{"column": a, "heading": b, "field": c} for a, b, c in report.columns],
                "read": report.read,
                "blank": report.blank,
                "known": report.known,
                "accepted": report.accepted,
                "animals": report.counted,
                "money": answer.money(report.money, currency),
                "ready": report.ready,
                "read_as": list(report.read_as),
                "cautions": list(report.cautions),
                "rows": [dict(zip(HEADINGS, row, strict=True)) for row in as_rows(report)],
            }
        )
    elif args.format == "csv":
        rows = as_rows(report)
        columns = tuple(_column(place, name) for place, name in enumerate(HEADINGS))
        answer.write_rows(rows, columns, "csv", none="")
    else:
        for line in as_text(report, currency).splitlines():
            answer.say(line)
        if report.ready:
            answer.say("Everything that is new can be recorded: add --record.")
        elif report.known and not report.refused and not report.questions:
            answer.say("Every row is in the ledger already; there is nothing to record.")
        else:
            answer.say("Nothing was recorded, and nothing can be until this is mended.")
    return NOT_READY if report.refused or report.questions else 0


def _column(place: int, name: str) -> answer.Column[tuple[str, str, int | None, str, str, str, str, str]]:
    return answer.Column(name, lambda row: row[place])


def _record(args: argparse.Namespace) -> int:
    from exports.bring_in.bring import bring_in as record
    from exports.bring_in.kinds import kind_of
    from tui.verbs.watch import back_up, open_to_write

    kind = kind_of(args.what)
    wishes = _wishes(args)
    with open_to_write(target(args)) as ledger:
        wishes = _with_earlier(ledger, kind.name, wishes)
        back_up(ledger, "bring-in")
        return answer.done(record(ledger, kind, Path(args.file), wishes, _progress()), args.format)


def _with_earlier(ledger: Ledger, kind: str, wishes: Wishes) -> Wishes:
    """The wishes with what was answered about earlier files; what is answered now is kept for later ones."""
    from dataclasses import replace

    from tui.drafts import Drafts, drafts_path
    from tui.sheet_answers import NAME, earlier, remember
    from tui.verbs.place import state_folder

    kept = Drafts(drafts_path(state_folder(), ledger.store.place)).beside(NAME)
    before = earlier(kept, kind)
    remember(kept, kind, wishes)
    return replace(wishes, before=before)


def _undo(args: argparse.Namespace) -> int:
    from ledger.books.commands import TakeBackFile
    from tui.verbs.watch import back_up, open_to_write

    number = typed.whole(args.file, "the number of a file", "file")
    with open_to_write(target(args)) as ledger:
        back_up(ledger, "bring-in")
        done = ledger.do(TakeBackFile(number, typed.day_or_today(args.date, ledger)))
        return answer.done(done, args.format)


def _list(args: argparse.Namespace) -> int:
    from ledger.records.bringing import files

    with to_read(args) as ledger:
        rows = ledger.ask(files)
    columns: tuple[answer.Column[FileRow], ...] = (
        answer.Column("number", lambda row: row.number, figure=True),
        answer.Column("kind", lambda row: row.kind),
        answer.Column("file", lambda row: row.file_name),
        answer.Column("rows", lambda row: row.rows, figure=True),
        answer.Column("recorded_at", lambda row: row.recorded_at, "recorded at"),
        answer.Column("recorded_by", lambda row: row.recorded_by, "by"),
        answer.Column("taken_back", lambda row: row.undone, "taken back"),
    )
    answer.write_rows(rows, columns, args.format, none="No file was brought in yet.")
    return 0


def _template(args: argparse.Namespace) -> int:
    from exports.bring_in.template import write_template

    with to_read(args) as ledger:
        written = write_template(ledger, Path(args.file))
    if args.format == "json":
        answer.write_json({"file": str(written)})
        return 0
    answer.say(f"The template is {written}; its first sheet says how to go on.")
    return 0


def _wishes(args: argparse.Namespace) -> Wishes:
    from exports.bring_in.bring import Wishes
    from exports.bring_in.values import ORDERS

    columns = _pairs(args.map, '--map "HEADING=column"', "map")
    species = _pairs(args.species, '--species "NAME=CODE"', "species")
    kinds = _pairs(args.kind, '--kind "CATEGORY=KIND"', "kind")
    if args.fill_down not in (None, "yes", "no"):
        raise BadInput(f"{quoted(args.fill_down)} is neither yes nor no; write --fill-down yes or no.", "fill-down")
    fill = None if args.fill_down is None else args.fill_down == "yes"
    order: Order | None = next((one for one in ORDERS if one == args.dates), None)
    if args.dates is not None and order is None:
        raise BadInput(f"{quoted(args.dates)} is no order of dates; choose dmy, mdy or ymd.", field="dates")
    signs: tuple[DecimalSign, ...] = (".", ",")
    sign = next((one for one in signs if one == args.decimal), None)
    if args.decimal is not None and sign is None:
        raise BadInput(f"{quoted(args.decimal)} is no decimal sign; choose a point or a comma.", field="decimal")
    return Wishes(args.sheet, columns, order, sign, species, kinds, fill, args.how.strip().lower())


def _pairs(said: list[str], usage: str, field: str) -> dict[str, str]:
    """'Got=started' and its like by what stands before the sign."""
    found = {}
    for one in said:
        name, equals, means = one.rpartition("=")
        if not equals or not name.strip() or not means.strip():
            raise BadInput(f"{quoted(one)} is not understood; write {usage}.", field=field)
        found[name.strip()] = means.strip()
    return found


def _progress() -> Callable[[str, int, int], None]:
    """Says how far it is, to a person who watches."""
    show = watched()

    def tell(what: str, done: int, total: int) -> None:
        part = f"{done * 100 // total:3d} %" if total else f"{done:,} rows"
        show("" if total and done >= total else f"{what.capitalize()}: {part}")

    return tell
