"""The verb that looks ahead week by week: what is coming on, and how the outlooks kept so far did."""

from __future__ import annotations

import argparse
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ledger.errors import BadInput, Refused
from ledger.stock.words import stage_words
from tui.verbs import answer, drawing, typed
from tui.verbs.parser import Parser, common, with_day
from tui.verbs.place import to_read, to_write
from tui.verbs.watching import how_far

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from ledger.ledger import Ledger
    from ledger.rearing.coming import Coming, ComingWeek, Range
    from ledger.rearing.kept import KeptWeek, Record


def add(top: Parser) -> None:
    """Add this verb."""
    parser = common(
        top.verb(
            "coming",
            "Show how many animals become ready in each coming week, and how surely; keep today's outlook.",
            coming,
            epilog="rearledger coming\nrearledger coming --species PACH --weeks 20 --picture pach.svg\n"
            "rearledger coming --record",
        )
    )
    parser.add_argument("--species", metavar="CODE", help="one species only")
    parser.add_argument("--weeks", metavar="N", help="how many weeks ahead; else 12")
    with_day(parser, "on", "as it was on that day; else today")
    parser.add_argument("--record", action="store_true", help="how the outlooks kept so far did")
    drawing.with_picture(parser)


def coming(args: argparse.Namespace) -> int:
    """The outlook, or the record of those kept."""
    file = drawing.asked(args)
    if args.record:
        if file is not None:
            raise BadInput("The record of earlier outlooks has no picture; leave --picture out.", field="picture")
        return _record(args)
    weeks = 12 if args.weeks is None else typed.whole(args.weeks, "a number of weeks", "weeks", least=1, most=52)
    with to_read(args) as ledger:
        whence = drawing.origin(file, ledger, typed.day(args.on, ledger, "on"))
        on = typed.day(args.on, ledger, "on")
        rows = ledger.coming(on, species=args.species, weeks=weeks, told=how_far("Reckoning the outlook"))
        records = ledger.outlook_record(args.species)
        order = typed.order(ledger)
        issue = on is None and any(row.weeks for row in rows) and not _kept(ledger)
    if file is not None:
        from tui.places.outlook import outlook_picture

        drawing.draw(file, outlook_picture(drawing.only_one(rows, "species"), records, order), whence)
    said = _keep(args) if issue else ""
    if args.format == "json":
        answer.write_json([_coming_json(row, records) for row in rows])
    elif args.format == "csv":
        answer.write_rows([_Week(row, week) for row in rows for week in row.weeks], WEEKS, "csv", none="")
    else:
        _say_coming(rows, records)
        if said:
            answer.say(said)
    drawing.say_where(file, args.format)
    return 0


def _kept(ledger: Ledger) -> bool:
    from ledger.rearing.kept import kept_on

    return ledger.ask(kept_on, ledger.today)


def _keep(args: argparse.Namespace) -> str:
    """Keep today's outlook of every species, once; says why not when it cannot be kept."""
    from ledger.rearing.commands import KeepOutlook

    try:
        with to_write(args) as ledger:
            return ledger.do(KeepOutlook(), token=f"outlook {ledger.today}").sentence
    except Refused as refused:
        return f"This outlook was not kept. {refused.sentence}"


@dataclass(frozen=True, slots=True)
class _Week:
    coming: Coming
    week: ComingWeek


def _range_text(one: Range) -> str:
    return f"{one.mean:.0f} ({one.low} to {one.high})"


def _figures(name: str, of: Callable[[ComingWeek], Range]) -> tuple[answer.Column[_Week], ...]:
    def figure(part: str, value: Callable[[Range], answer.Json]) -> answer.Column[_Week]:
        return answer.Column(f"{name}_{part}", lambda row: value(of(row.week)), figure=True, listed=False)

    return (
        answer.Column(
            name,
            lambda row: round(of(row.week).mean, 4),
            TITLES[name],
            lambda row: _range_text(of(row.week)),
            figure=True,
        ),
        figure("low", lambda one: one.low),
        figure("middle", lambda one: one.middle),
        figure("high", lambda one: one.high),
    )


TITLES = {"ready": "become ready", "running": "in all by then", "free": "of them not promised"}


WEEKS: tuple[answer.Column[_Week], ...] = (
    answer.Column("species", lambda row: row.coming.species, listed=False),
    answer.Column("stage", lambda row: row.coming.stage, listed=False),
    answer.Column("from", lambda row: answer.day(row.week.first)),
    answer.Column("to", lambda row: answer.day(row.week.last)),
    *_figures("ready", lambda week: week.ready),
    *_figures("running", lambda week: week.running),
    *_figures("free", lambda week: week.free),
)


def _say_coming(rows: Sequence[Coming], records: Sequence[Record]) -> None:
    from ledger.rearing.kept import score

    if not rows:
        answer.say("No animals are on the way.")
        return
    for place, row in enumerate(rows):
        if place:
            answer.say("")
        answer.say(f"{row.words}.")
        if row.hardening:
            answer.say(f"Hardening of {row.hardening} days is counted in.")
        if row.promised:
            answer.say(f"{row.promised} of those on the way are promised or kept back; the first ready are theirs.")
        answer.say(score(row.species, records))
        if row.weeks:
            answer.write_rows([_Week(row, week) for week in row.weeks], WEEKS, "text", none="")
        for lot in row.lots:
            there = ", ".join(f"{count} {stage_words(stage, count)}" for stage, count in lot.stages)
            half = f", half of them by {answer.day(lot.half_by)}" if lot.half_by is not None else ""
            answer.say(f"{lot.lot}: {there}; about {lot.ready:.0f} within these weeks{half}")
        for remark in row.left_out if row.weeks else ():
            answer.say(remark)
        if row.rests_on:
            answer.say("What it rests on:")
        for remark in row.rests_on:
            answer.say(f"  {remark}")


def _coming_json(row: Coming, records: Sequence[Record]) -> answer.Json:
    from ledger.rearing.kept import score

    def figures(one: Range) -> answer.Json:
        return {"mean": one.mean, "low": one.low, "middle": one.middle, "high": one.high}

    return {
        "species": row.species,
        "name": row.common,
        "stage": row.stage,
        "hardening_days": row.hardening,
        "on": answer.day(row.on),
        "animals": row.animals,
        "promised": row.promised,
        "words": row.words,
        "weeks": [
            {
                "from": answer.day(week.first),
                "to": answer.day(week.last),
                "ready": figures(week.ready),
                "running": figures(week.running),
                "free": figures(week.free),
            }
            for week in row.weeks
        ],
        "lots": [
            {
                "lot": lot.lot,
                "stages": dict(lot.stages),
                "ready": lot.ready,
                "half_by": answer.day(lot.half_by),
            }
            for lot in row.lots
        ],
        "rests_on": list(row.rests_on),
        "left_out": list(row.left_out),
        "earlier_outlooks": score(row.species, records),
    }


def _record(args: argparse.Namespace) -> int:
    with to_read(args) as ledger:
        rows = ledger.outlook_record(args.species)
    if args.format == "text":
        _say_record(rows)
        return 0
    columns: tuple[answer.Column[KeptWeek], ...] = (
        answer.Column("species", lambda row: row.species),
        answer.Column("issued_on", lambda row: answer.day(row.issued_on)),
        answer.Column("from", lambda row: answer.day(row.first)),
        answer.Column("to", lambda row: answer.day(row.last)),
        answer.Column("low", lambda row: row.low, figure=True),
        answer.Column("high", lambda row: row.high, figure=True),
        answer.Column("expected", lambda row: row.expected, figure=True),
        answer.Column("came", lambda row: row.came, figure=True),
        answer.Column("inside", lambda row: row.inside),
        answer.Column("left_young", lambda row: row.left_young, figure=True),
    )
    answer.write_rows([week for row in rows for week in row.weeks], columns, args.format, none="")
    return 0


def _say_record(rows: tuple[Record, ...]) -> None:
    if not rows:
        answer.say("No week of a kept outlook is over yet.")
    for row in rows:
        answer.say(row.words)
