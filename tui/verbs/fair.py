"""Verbs about fairs: plan one, put packs together, sell them by a mark, spend, count the cash, see what it came to."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from ledger.errors import BadInput
from tui.verbs import answer, typed
from tui.verbs.documents import add_fair_papers
from tui.verbs.parser import Parser, common, with_day
from tui.verbs.place import to_read, to_write
from tui.verbs.said import picks

if TYPE_CHECKING:
    from ledger.selling.fair_packs import FairPackRow
    from ledger.selling.fair_results import FairResult
    from ledger.selling.fairs import Fair


def add(top: Parser) -> None:
    """Add these verbs."""
    fair = common(top.verb("fair", "Plan a fair, sell at it, and see what it came to."))
    parser = fair.verb(
        "plan", "Plan a fair.", plan, epilog='rearledger fair plan "Fenlow spring fair" --on 12 apr --float 80.00'
    )
    common(parser).add_argument("name", metavar="NAME", nargs="+")
    with_day(parser, "on", "its day; else today")
    with_day(parser, "to", "its last day, if it has several")
    parser.add_argument("--float", metavar="AMOUNT", dest="cash", help="change taken along")
    parser.add_argument("--note", metavar="WORDS", default="")
    parser = fair.verb(
        "change",
        "Set right the name, days or float of a fair that is not settled.",
        change,
        epilog="rearledger fair change Fenlow --on 19 apr --float 60.00",
    )
    common(parser).add_argument("fair", metavar="FAIR", help="its name or number")
    parser.add_argument("--name", metavar="NAME")
    with_day(parser, "on", "its day")
    with_day(parser, "to", "its last day")
    parser.add_argument("--float", metavar="AMOUNT", dest="cash", help="change taken along")
    parser.add_argument("--note", metavar="WORDS")
    parser = common(fair.verb("off", "A fair is not gone to; its packs are taken apart.", call_off))
    parser.add_argument("fair", metavar="FAIR")
    parser = fair.verb(
        "pack",
        "Put packs together for a fair; their animals are kept back for it.",
        pack,
        epilog="rearledger fair pack Fenlow A group of 10 from P08 10 L3 --packs 4 --price 12.00\n"
        "rearledger fair pack Fenlow B pair 1.1 from E03 1.1",
    )
    common(parser).add_argument("fair", metavar="FAIR", help="its name or number")
    parser.add_argument("mark", metavar="MARK", help="the key they are sold by, such as A")
    parser.add_argument("words", metavar="PACK from WHAT", nargs="+", help="the animals of one pack")
    parser.add_argument("--packs", metavar="N", default="1", help="how many alike; else one")
    parser.add_argument("--price", metavar="AMOUNT", help="of one; else from the price list")
    parser.add_argument("--extra", metavar="N", default="0", help="how many of its animals are given on top")
    parser = common(fair.verb("unpack", "Take packs apart; their animals are free again.", unpack))
    parser.add_argument("fair", metavar="FAIR")
    parser.add_argument("mark", metavar="MARK")
    parser.add_argument("--packs", metavar="N", default="1")
    parser = common(fair.verb("again", "Pack again what was brought back and credited in full.", again))
    parser.add_argument("fair", metavar="FAIR")
    parser.add_argument("mark", metavar="MARK")
    parser.add_argument("--packs", metavar="N", default="1")
    parser = fair.verb("sell", "Sell the next pack with a mark.", sell, epilog="rearledger fair sell Fenlow A")
    common(parser).add_argument("fair", metavar="FAIR")
    parser.add_argument("mark", metavar="MARK")
    parser.add_argument("--by", metavar="METHOD", default="cash", help="how it was paid; else cash")
    parser.add_argument("--owed", action="store_true", help="not paid yet")
    parser.add_argument("--price", metavar="AMOUNT", help="if not as packed")
    parser.add_argument("--to", metavar="BUYER", default="")
    with_day(parser, "date", "the day of the sale; else today")
    parser = fair.verb(
        "spend",
        "Record table fee, mileage and other costs of a fair.",
        spend,
        epilog='rearledger fair spend Fenlow "table fee" 25.00\n'
        "rearledger fair spend Fenlow mileage --km 84\n"
        "rearledger fair spend Fenlow mileage --km 84 --rate 0.30",
    )
    common(parser).add_argument("fair", metavar="FAIR")
    parser.add_argument("category", metavar="ON WHAT")
    parser.add_argument("amount", metavar="AMOUNT", nargs="?")
    parser.add_argument("--km", metavar="N", help="kilometres driven")
    parser.add_argument(
        "--rate", metavar="AMOUNT", help="of a kilometre; else as you set it (`setting kilometre rate 0.30`)"
    )
    parser.add_argument("--from-cash", action="store_true", help="paid out of the cash of the fair")
    with_day(parser, "date", "the day of it; else today")
    parser = fair.verb(
        "end", "Count the cash and settle a fair; what was not sold comes back.", end,
        epilog='rearledger fair end Fenlow 231.50\nrearledger fair end Fenlow 222 --taken-out 9.50 --why "feed, Kell"',
    )  # fmt: skip
    common(parser).add_argument("fair", metavar="FAIR")
    parser.add_argument("counted", metavar="AMOUNT", help="cash counted, the float included")
    parser.add_argument("--put-in", metavar="AMOUNT", help="other cash put in, that nothing else tells")
    parser.add_argument("--taken-out", metavar="AMOUNT", help="other cash taken out")
    parser.add_argument("--why", metavar="WORDS", default="", help="what that was for")
    parser.add_argument("--note", metavar="WORDS", default="")
    with_day(parser, "date", "the day of it; else today")
    parser = common(fair.verb("packs", "Show the packs of a fair by their marks.", packs))
    parser.add_argument("fair", metavar="FAIR")
    parser = common(fair.verb("result", "Show what a fair came to.", result))
    parser.add_argument("fair", metavar="FAIR")
    add_fair_papers(fair)
    fair.set_defaults(run=list_fairs)


def plan(args: argparse.Namespace) -> int:
    """Plan a fair."""
    from ledger.selling.commands import PlanFair

    with to_write(args) as ledger:
        cash = 0 if args.cash is None else typed.amount(args.cash, ledger.currency, "float")
        on = typed.day_or_today(args.on, ledger, "on")
        command = PlanFair(" ".join(args.name), on, typed.day(args.to, ledger, "to"), cash, args.note)
        return answer.done(ledger.do(command), args.format)


def change(args: argparse.Namespace) -> int:
    """Plan a fair anew."""
    from ledger.selling.commands import ChangeFair

    with to_write(args) as ledger:
        cash = None if args.cash is None else typed.amount(args.cash, ledger.currency, "float")
        days = typed.day(args.on, ledger, "on"), typed.day(args.to, ledger, "to")
        return answer.done(ledger.do(ChangeFair(args.fair, args.name, *days, cash, args.note)), args.format)


def call_off(args: argparse.Namespace) -> int:
    """Call a fair off."""
    from ledger.selling.commands import CallOffFair

    with to_write(args) as ledger:
        return answer.done(ledger.do(CallOffFair(args.fair)), args.format)


def again(args: argparse.Namespace) -> int:
    """Pack again what was brought back."""
    from ledger.selling.commands import PackAgain

    number = typed.whole(args.packs, "a number of packs", "packs")
    with to_write(args) as ledger:
        return answer.done(ledger.do(PackAgain(args.fair, args.mark, number)), args.format)


def pack(args: argparse.Namespace) -> int:
    """Put packs together."""
    from ledger.selling.commands import PackForFair

    name, found, what = " ".join(args.words).partition(" from ")
    if not found:
        raise BadInput("Write the pack, from, and the animals: fair pack Fenlow A group of 10 from P08 10 L3.")
    with to_write(args) as ledger:
        command = PackForFair(
            args.fair,
            args.mark,
            name,
            picks(ledger, what),
            typed.whole(args.packs, "a number of packs", "packs"),
            None if args.price is None else typed.amount(args.price, ledger.currency, "price"),
            typed.whole(args.extra, "a number of animals", "extra", least=0),
        )
        return answer.done(ledger.do(command), args.format)


def unpack(args: argparse.Namespace) -> int:
    """Take packs apart."""
    from ledger.selling.commands import Unpack

    number = typed.whole(args.packs, "a number of packs", "packs")
    with to_write(args) as ledger:
        return answer.done(ledger.do(Unpack(args.fair, args.mark, number)), args.format)


def sell(args: argparse.Namespace) -> int:
    """Sell a pack."""
    from ledger.selling.commands import SellFairPack

    with to_write(args) as ledger:
        price = None if args.price is None else typed.amount(args.price, ledger.currency, "price")
        on = typed.day_or_today(args.date, ledger)
        command = SellFairPack(args.fair, args.mark, on, "" if args.owed else args.by, price, args.to)
        return answer.done(ledger.do(command), args.format)


def spend(args: argparse.Namespace) -> int:
    """Record a cost of a fair: an amount, or kilometres at the keeper's own rate."""
    from ledger.selling.commands import DriveToFair, SpendOnFair
    from ledger.selling.fair_costs import MILEAGE

    if (args.amount is None) == (args.km is None):
        raise BadInput("Say how much: an amount, or mileage with --km.", field="amount")
    if args.km is not None and args.category.casefold() != MILEAGE:
        raise BadInput("Kilometres are recorded as mileage: fair spend FAIR mileage --km 84.", field="category")
    if args.from_cash and args.km is not None:
        raise BadInput("A drive is reckoned and not paid; leave --from-cash out.", field="from_cash")
    if args.rate is not None and args.km is None:
        raise BadInput("A rate goes with --km; leave it out.", field="rate")
    with to_write(args) as ledger:
        on = typed.day_or_today(args.date, ledger)
        command: DriveToFair | SpendOnFair
        if args.km is not None:
            command = DriveToFair(args.fair, args.km, on, args.rate or "")
        else:
            amount = typed.amount(args.amount, ledger.currency)
            command = SpendOnFair(args.fair, args.category, amount, on, from_cash=args.from_cash)
        return answer.done(ledger.do(command), args.format, number="cost")


def end(args: argparse.Namespace) -> int:
    """Settle a fair."""
    from ledger.selling.commands import EndFair

    with to_write(args) as ledger:
        counted = typed.amount(args.counted, ledger.currency, "counted")
        on = typed.day_or_today(args.date, ledger)
        put_in, taken_out = (
            0 if one is None else typed.amount(one, ledger.currency, name)
            for one, name in ((args.put_in, "put_in"), (args.taken_out, "taken_out"))
        )
        return answer.done(
            ledger.do(EndFair(args.fair, on, counted, args.note, put_in, taken_out, args.why)), args.format
        )


def list_fairs(args: argparse.Namespace) -> int:
    """The fairs."""
    with to_read(args) as ledger:
        rows = ledger.fairs()
        currency = ledger.currency
    columns: tuple[answer.Column[Fair], ...] = (
        answer.Column("id", lambda row: row.id, figure=True),
        answer.Column("name", lambda row: row.name),
        answer.Column("held_on", lambda row: answer.day(row.held_on)),
        answer.Column("last_on", lambda row: answer.day(row.last_on)),
        answer.Column("cash_float", lambda row: answer.money(row.cash_float, currency), "float", figure=True),
        answer.Column("ended_on", lambda row: answer.day(row.ended_on), "settled on"),
        answer.Column("counted", lambda row: answer.money(row.counted, currency), figure=True),
        answer.Column("expected", lambda row: answer.money(row.expected, currency), figure=True),
        answer.Column("called_off", lambda row: row.called_off, listed=False),
        answer.Column("why", lambda row: row.why, listed=False),
        answer.Column("end_note", lambda row: row.end_note, listed=False),
        answer.Column("note", lambda row: row.note, listed=False),
    )
    answer.write_rows(rows, columns, args.format, none="No fair is planned.", hint="rearledger fair plan NAME --on DAY")
    return 0


def packs(args: argparse.Namespace) -> int:
    """The packs of a fair."""
    with to_read(args) as ledger:
        rows = ledger.fair_packs(args.fair)
        currency = ledger.currency
    columns: tuple[answer.Column[FairPackRow], ...] = (
        answer.Column("mark", lambda row: row.mark),
        answer.Column("pack", lambda row: row.pack),
        answer.Column("what", lambda row: row.what),
        answer.Column("price", lambda row: answer.money(row.price, currency), figure=True),
        answer.Column("packed", lambda row: row.packed, figure=True),
        answer.Column("sold", lambda row: row.sold, figure=True),
        answer.Column("ready", lambda row: row.ready, figure=True),
        answer.Column("short", lambda row: row.short, figure=True),
        answer.Column("back", lambda row: row.back, "brought back", figure=True),
        answer.Column("unsold", lambda row: row.unsold, figure=True),
    )
    answer.write_rows(rows, columns, args.format, none="No packs were put together.")
    return 0


def result(args: argparse.Namespace) -> int:
    """What a fair came to."""
    from ledger.selling.fair_cash import cash_words

    with to_read(args) as ledger:
        row = ledger.fair_result(args.fair)
        currency = ledger.currency

    def money(name: str, title: str | None = None) -> answer.Column[FairResult]:
        return answer.Column(name, lambda one: answer.money(getattr(one, name), currency), title, figure=True)

    columns: tuple[answer.Column[FairResult], ...] = (
        answer.Column("fair", lambda one: one.fair.name),
        answer.Column("sales", lambda one: one.standing, figure=True),
        answer.Column("animals", lambda one: one.animals, figure=True),
        answer.Column("packs_sold", lambda one: one.packs_sold, figure=True),
        answer.Column("packs_left", lambda one: one.packs_left, figure=True),
        money("price", f"price {currency.code}"),
        money("cost", "cost of animals"),
        money("selling_costs", "selling costs"),
        money("costs", "costs of the fair"),
        money("margin"),
        answer.Column("cash", lambda one: cash_words(one.cash, currency), "cash is made of", listed=False),
        money("expected", "cash expected"),
        answer.Column("counted", lambda one: answer.money(one.fair.counted, currency), "counted", figure=True),
        money("difference"),
    )
    answer.write_rows((row,), columns, args.format, none="")
    return 0
