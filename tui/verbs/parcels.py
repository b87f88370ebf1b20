"""Verbs about the post: what may go, what waits, what arrived; and claims of animals that arrived dead."""

from __future__ import annotations

import argparse
import datetime as dt
from typing import TYPE_CHECKING

from ledger.errors import BadInput
from tui.verbs import answer, typed
from tui.verbs.parser import Parser, common, with_day
from tui.verbs.place import to_read, to_write
from tui.verbs.selling import read_degrees, with_degrees

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from ledger.money import Currency
    from ledger.selling.arrivals import ArrivalsRow
    from ledger.selling.commands import DecideClaim
    from ledger.selling.doa import ClaimRow
    from ledger.selling.parcels import Parcel


def add(top: Parser) -> None:
    """Add these verbs."""
    parser = common(top.verb("parcels", "List what waits to be posted, and what stands against posting it.", parcels))
    with_day(parser, "on", "on that day; else today")
    with_degrees(parser)
    parser = top.verb(
        "wait",
        "Keep a parcel waiting: for the weather, a holiday; or let it go again.",
        wait,
        epilog="rearledger wait S-2025-0014 heat --look fri\nrearledger wait S-2025-0014 --over",
    )
    common(parser).add_argument("number", metavar="NUMBER", help="of the sale")
    parser.add_argument("why", metavar="WHY", nargs="*")
    with_day(parser, "look", "the day to look again")
    parser.add_argument("--over", action="store_true", help="it waits no longer")
    parser = common(top.verb("arrived", "Note that a parcel arrived, as the buyer said.", arrived))
    parser.add_argument("number", metavar="NUMBER", help="of the sale")
    with_day(parser, "date", "the day it arrived; else today")
    parser.add_argument("--at", metavar="TIME", default="", help="time of day, such as 14:30")
    parser.add_argument("--note", metavar="WORDS", default="")
    parser = top.verb(
        "claim",
        "Record animals that arrived dead, and what is done about it.",
        claim,
        epilog='rearledger claim S-2025-0014 1 3 --hours 2 --evidence "picture of all three"\n'
        "rearledger claim S-2025-0014 1 3 --hours 2 --refund\nrearledger claim decide 4 --replace\n"
        "rearledger claim decide 4 --goodwill 3.00\nrearledger claim decide 4 --goodwill --animals 3 --lot E05",
    )
    common(parser).add_argument("words", metavar="SALE LINE DEAD", nargs="+", help="or: decide CLAIM and what is done")
    parser.add_argument("--hours", metavar="N", help="from arrival to the report")
    parser.add_argument("--evidence", metavar="WORDS", default="", help="what was seen of it")
    parser.add_argument("--refund", action="store_true", help="the price of the animals goes back")
    parser.add_argument("--replace", action="store_true", help="others are sent free of charge")
    parser.add_argument("--goodwill", metavar="AMOUNT", nargs="?", const="", help="so much goes back as goodwill")
    parser.add_argument("--animals", metavar="N", help="with --goodwill: so many are sent instead of money")
    parser.add_argument("--decline", action="store_true", help="outside the terms as sold")
    parser.add_argument("--amount", metavar="AMOUNT", help="of the refund, if not the price of the animals")
    parser.add_argument("--lot", metavar="LOT", help="others come from this lot")
    parser.add_argument("--tub", metavar="TUB", help="others come from this tub")
    parser.add_argument("--owed", action="store_true", help="the money does not go back at once")
    parser.add_argument("--by", metavar="METHOD", default="cash", help="how it goes back")
    parser.add_argument("--note", metavar="WORDS", default="")
    with_day(parser, "date", "the day of it; else today")
    parser = common(top.verb("claims", "List the claims of animals that arrived dead.", list_claims))
    parser.add_argument("--open", action="store_true", help="only those still to be decided")
    parser = common(top.verb("arrivals", "Show what was posted and what of it arrived dead, by species.", arrivals))
    with_day(parser, "from", "posted from that day; else from the beginning")
    with_day(parser, "to", "posted up to that day; else today")


def parcels(args: argparse.Namespace) -> int:
    """What waits to be posted."""
    coldest, warmest = read_degrees(args)
    with to_read(args) as ledger:
        rows = ledger.parcels(typed.day(args.on, ledger, "on"), coldest, warmest)
        currency = ledger.currency
    columns: tuple[answer.Column[Parcel], ...] = (
        answer.Column("number", lambda row: row.number),
        answer.Column("customer", lambda row: row.customer),
        answer.Column("sold_on", lambda row: answer.day(row.sold_on)),
        answer.Column("animals", lambda row: row.animals, figure=True),
        answer.Column("lots", lambda row: list(row.lots)),
        answer.Column("owed", lambda row: answer.money(row.owed, currency), figure=True),
        answer.Column("short", lambda row: row.short, figure=True, listed=False),
        answer.Column("may_go", lambda row: row.may_go, "may go"),
        answer.Column("against", lambda row: list(row.against), text=lambda row: "; ".join(row.against)),
        answer.Column("look_on", lambda row: answer.day(row.waits.look_on) if row.waits else None, listed=False),
    )
    answer.write_rows(rows, columns, args.format, none="Nothing waits to be posted.")
    return 0


def wait(args: argparse.Namespace) -> int:
    """Keep a parcel waiting, or let it go."""
    from ledger.selling.commands import HoldParcel, LetParcelGo

    with to_write(args) as ledger:
        if args.over:
            return answer.done(ledger.do(LetParcelGo(args.number, ledger.today)), args.format)
        look = typed.day(args.look, ledger, "look")
        command = HoldParcel(args.number, " ".join(args.why), ledger.today, look)
        return answer.done(ledger.do(command), args.format)


def arrived(args: argparse.Namespace) -> int:
    """Note an arrival."""
    from ledger.selling.commands import NoteArrival

    with to_write(args) as ledger:
        on = typed.day_or_today(args.date, ledger)
        return answer.done(ledger.do(NoteArrival(args.number, on, args.at, args.note)), args.format)


def claim(args: argparse.Namespace) -> int:
    """A claim, and what is done about it."""
    from ledger.selling.commands import RecordClaim
    from ledger.selling.doa import claims

    outcome = _outcome(args)
    words = args.words
    with to_write(args) as ledger:
        on = typed.day_or_today(args.date, ledger)
        if words[0].casefold() == "decide":
            if len(words) != 2 or outcome is None:
                raise BadInput("Write claim decide, its number, and --refund, --replace, --goodwill or --decline.")
            number = typed.whole(words[1], "the number of a claim", "claim", most=10**12)
            return answer.done(ledger.do(_decision(args, outcome, number, on, ledger.currency)), args.format)
        if len(words) != 3:
            raise BadInput("Write the sale, the line and how many arrived dead: claim S-2025-0014 1 3.")
        line = typed.whole(words[1], "the number of a line", "line", most=1000)
        dead = typed.whole(words[2], "a number of animals", "dead")
        hours = None if args.hours is None else typed.whole(args.hours, "hours", "hours", least=0, most=10_000)
        report = RecordClaim(words[0], line, dead, on, hours, args.evidence)
        if outcome is None:
            return answer.done(ledger.do(report), args.format, number="claim")

        def decided(conn: Connection) -> object:
            return _decision(args, outcome, claims(conn)[-1].id, on, ledger.currency)

        def reported(_conn: Connection) -> object:
            return report

        both = ledger.do_all([("The claim", reported), ("What is done", decided)], content=repr((report, vars(args))))
        return answer.done(both[-1], args.format)


def _outcome(args: argparse.Namespace) -> str | None:
    said = {
        "refund": args.refund,
        "replacement": args.replace,
        "goodwill": args.goodwill is not None,
        "declined": args.decline,
    }
    chosen = [name for name, one in said.items() if one]
    if len(chosen) > 1:
        raise BadInput("Choose one of --refund, --replace, --goodwill and --decline.", field="outcome")
    return chosen[0] if chosen else None


def _decision(args: argparse.Namespace, outcome: str, claim: int, on: dt.date, currency: Currency) -> DecideClaim:
    from ledger.selling.commands import DecideClaim

    # `--goodwill` alone is for animals.
    amount = (args.goodwill or None) if outcome == "goodwill" else args.amount
    animals = None if args.animals is None else typed.whole(args.animals, "a number of animals", "animals")
    return DecideClaim(
        claim,
        outcome,
        on,
        None if amount is None else typed.amount(amount, currency),
        not args.owed,
        args.by,
        args.lot,
        args.tub,
        args.note,
        animals,
    )


def list_claims(args: argparse.Namespace) -> int:
    """The claims."""
    with to_read(args) as ledger:
        rows = ledger.claims(only_open=args.open)
    columns: tuple[answer.Column[ClaimRow], ...] = (
        answer.Column("id", lambda row: row.id, "claim", figure=True),
        answer.Column("number", lambda row: row.number, "sale"),
        answer.Column("line", lambda row: row.position, figure=True),
        answer.Column("customer", lambda row: row.customer),
        answer.Column("lot", lambda row: row.lot),
        answer.Column("sold", lambda row: row.sold, figure=True),
        answer.Column("dead", lambda row: row.dead, figure=True),
        answer.Column("reported_on", lambda row: answer.day(row.reported_on)),
        answer.Column("hours", lambda row: row.hours, figure=True),
        answer.Column("outcome", lambda row: row.outcome or None),
        answer.Column("paper", lambda row: row.paper or None),
        answer.Column("evidence", lambda row: row.evidence, listed=False),
        answer.Column("terms", lambda row: row.terms, listed=False),
        answer.Column("decided_on", lambda row: answer.day(row.decided_on), listed=False),
        answer.Column("note", lambda row: row.note, listed=False),
    )
    answer.write_rows(rows, columns, args.format, none="There are no claims.")
    return 0


def arrivals(args: argparse.Namespace) -> int:
    """What arrived dead."""
    from ledger.days import FIRST_DAY

    with to_read(args) as ledger:
        first = typed.day(getattr(args, "from"), ledger, "from") or FIRST_DAY
        rows = ledger.arrivals(first, typed.day(args.to, ledger, "to") or ledger.today)
    columns: tuple[answer.Column[ArrivalsRow], ...] = (
        answer.Column("species", lambda row: row.species),
        answer.Column("parcels", lambda row: row.parcels, figure=True),
        answer.Column("posted", lambda row: row.posted, figure=True),
        answer.Column("claims", lambda row: row.claims, figure=True),
        answer.Column("dead", lambda row: row.dead, "dead on arrival", figure=True),
        answer.Column("share", lambda row: row.share, figure=True),
    )
    answer.write_rows(rows, columns, args.format, none="Nothing was posted then.")
    if args.format == "text" and rows:
        answer.say("By what buyers said; rearing survival ends when animals leave and is not changed by this.")
    return 0
