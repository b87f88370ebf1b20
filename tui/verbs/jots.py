"""Verbs that take the keeper's own words: record, sell, spend, hold, undo."""

from __future__ import annotations

import argparse
import sys
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from ledger.errors import BadInput
from ledger.text import quoted
from tui.verbs import answer, typed
from tui.verbs.looking import holds
from tui.verbs.parser import Parser, common, with_day
from tui.verbs.place import to_write
from tui.verbs.said import done_with_names, from_line, on_day, words

if TYPE_CHECKING:
    from ledger.ledger import Ledger
    from ledger.selling.commands import LineOf

KINDS = ("used up", "lasting", "overhead", "selling")
MOST_LINES = 1_000
LONGEST = 2_000
"""Most characters of a line."""


def add(top: Parser) -> None:
    """Add these verbs."""
    parser = top.verb(
        "record",
        "Record what happened, in one line of your own words.",
        record,
        epilog='rearledger record "P08 3 died"\nrearledger record P08 12 L3 to cocoon --date yesterday\n'
        "rearledger record - < notes.txt      many lines, all or none",
    )
    _words(parser, "what happened; - reads lines from standard input")
    with_day(parser, "date", "the day it happened, if the line names none; else today")
    parser = top.verb(
        "sell",
        "Sell animals with their origin stated.",
        sell,
        epilog="rearledger sell E03 5 at 18.00 to Tarn by post postage 8.50 paid\n"
        "rearledger sell E03 2.3 adult at 4.00 each to Tarn paid card --hold R-007\n"
        "rearledger sell --hold R-007        all that the hold promised\n"
        "rearledger sell P08 10 L3 to Tarn paid --extra 1",
    )
    _words(parser, "what, at which price, to whom")
    with_day(parser, "date", "the day of the sale; else today")
    parser.add_argument("--hold", metavar="NUMBER", help="the hold that is taken up; its deposit counts as paid")
    parser.add_argument(
        "--claim", metavar="ORIGIN", help="an origin to state that claims less than the records, as CBU"
    )
    parser.add_argument("--extra", metavar="N", help="how many are given on top of those paid for")
    parser.add_argument("--discount", metavar="AMOUNT", help="taken off the price")
    parser = top.verb(
        "spend",
        "Record what was bought or paid for.",
        spend,
        epilog="rearledger spend feed 24.00 Ombrel\nrearledger spend equipment 145 Nib lasts 5 years --text incubator\n"
        "rearledger spend power 96 --from 2025-01-01 --to 2025-03-31 --share 40%",
    )
    _words(parser, "on what, how much, from whom, for which lots or species")
    with_day(parser, "date", "the day it was bought; else today")
    with_day(parser, "from", "first day it is used up on")
    with_day(parser, "to", "last day it is used up on; else until the next is opened")
    parser.add_argument("--brood", action="store_true", help="for the young of the lots named, not for the lots")
    parser.add_argument("--kind", metavar="KIND", help=f"the kind of a category that is new: {', '.join(KINDS)}")
    parser.add_argument("--share", metavar="PART", help="the part that is for the business, such as 60%%")
    parser.add_argument("--life", metavar="DAYS", help="how many days a lasting thing will last")
    parser.add_argument("--residual", metavar="AMOUNT", help="what a lasting thing will still be worth then")
    parser.add_argument("--text", metavar="WORDS", help="what it was")
    parser.add_argument("--quantity", metavar="WORDS", help="how much of it, such as '20 l'")
    parser.add_argument("--store", action="store_true", help="put it in store, to be taken out by weight or number")
    parser.add_argument("--sale", metavar="NUMBER", help="the sale that a selling cost belongs to")
    parser = top.verb(
        "hold",
        "Promise animals to a buyer until a day; list the holds, release one.",
        hold,
        epilog="rearledger hold E03 5 for Tarn until fri\nrearledger hold list\n"
        "rearledger hold release R-007 --deposit refunded\nrearledger hold deposit R-007 --deposit kept",
    )
    _words(parser, "what, for whom, until when; or: list; release NUMBER; deposit NUMBER")
    with_day(parser, "date", "the day of the release; else today")
    parser.add_argument("--deposit", metavar="refunded|kept", help="what becomes of the deposit")
    parser.add_argument("--number", metavar="NUMBER", help="a number of your own for the hold")
    parser = common(top.verb("takeback", "Take back one movement; see lot show for its number.", take_back))
    parser.add_argument("movement", metavar="MOVEMENT")
    parser.add_argument("--note", metavar="WORDS", default="")
    common(top.verb("undo", "Take back your own last act.", undo))


def _words(parser: Parser, help_words: str) -> None:
    common(parser).add_argument("words", metavar="WORDS", nargs="*", help=help_words)


def record(args: argparse.Namespace) -> int:
    """One line, or many from standard input."""
    if args.words == ["-"]:
        return _record_many(args)
    line = words(args)
    with to_write(args) as ledger:
        return answer.done(done_with_names(ledger, from_line(ledger, line, args.date)), args.format)


def _record_many(args: argparse.Namespace) -> int:
    """Lines of standard input as one act: all are recorded, or none."""
    from tui.verbs.said import reader

    lines = _lines()
    with to_write(args) as ledger:
        each = [(f"Line {number} ({quoted(line)})", reader(ledger, line, args.date)) for number, line in lines]
        done = ledger.do_all(each, content="\n".join([args.date or "", *(line for _, line in lines)]))
    if args.format == "json":
        answer.write_json([answer.as_json(one) for one in done])
        return 0
    for one in done:
        answer.done(one, args.format)
    return 0


def _lines() -> list[tuple[int, str]]:
    """Lines of standard input that hold something, with their numbers."""
    lines: list[tuple[int, str]] = []
    try:
        for number, raw in enumerate(sys.stdin, start=1):
            if not raw.strip():
                continue
            if len(raw) > LONGEST:
                raise BadInput(f"Line {number} is longer than {LONGEST:,} characters; nothing was recorded.")
            lines.append((number, raw.strip()))
            if len(lines) > MOST_LINES:
                raise BadInput(f"More than {MOST_LINES:,} lines at once; record them in several parts.")
    except UnicodeDecodeError:
        raise BadInput("Standard input is not text in UTF-8; save it so and try again.") from None
    if not lines:
        raise BadInput("There is no line on standard input; write one for each thing that happened.")
    return lines


def sell(args: argparse.Namespace) -> int:
    """One sale."""
    with to_write(args) as ledger:
        command = _taking_up(ledger, args) or from_line(ledger, words(args, "sell"), args.date)
        if args.claim is not None:
            lines = tuple(replace(line, claim=args.claim.strip().upper()) for line in command.lines)
            command = replace(command, lines=lines)
        if args.extra is not None or args.discount is not None:
            command = replace(command, lines=_one_line_with_more(ledger, args, command.lines))
        return answer.done(done_with_names(ledger, replace(command, hold=args.hold)), args.format)


def _taking_up(ledger: Ledger, args: argparse.Namespace) -> Any:
    """The sale of all that a hold promised, where the line names no animals; else nothing."""
    from tui.jot_trade import is_of_sale, read_taking_up
    from tui.jot_words import Setting

    if args.hold is None or not is_of_sale(words(args)):
        return None
    setting = Setting(ledger.vocabulary(), ledger.today, ledger.currency, typed.order(ledger))
    return on_day(read_taking_up(words(args), setting), typed.day(args.date, ledger, "date"), ledger.today)


def _one_line_with_more(ledger: Ledger, args: argparse.Namespace, lines: tuple[LineOf, ...]) -> tuple[LineOf, ...]:
    """The line of a sale with what is given on top of it and taken off its price."""
    if len(lines) != 1:
        raise BadInput("--extra and --discount are of a sale of one line; several are sold as a pack.", field="lines")
    extra = 0 if args.extra is None else typed.whole(args.extra, "a number of animals", "extra")
    discount = 0 if args.discount is None else typed.amount(args.discount, ledger.currency, "discount")
    return (replace(lines[0], extra=extra, discount=discount),)


def spend(args: argparse.Namespace) -> int:
    """One cost."""
    from ledger.costs.commands import Spend
    from ledger.selling.commands import SpendFromBox

    with to_write(args) as ledger:
        command = from_line(ledger, _spending_words(args), args.date, _new_category(args))
        from_box = isinstance(command, SpendFromBox)
        if isinstance(command, SpendFromBox):
            command = command.spend
        if not isinstance(command, Spend):
            raise BadInput(f"{quoted(words(args))} is nothing that money is spent on; write: spend feed 24.00.")
        changes: dict[str, Any] = {}
        if (first := typed.day(getattr(args, "from"), ledger, "from")) is not None:
            changes["window_from"] = first
        if (last := typed.day(args.to, ledger, "to")) is not None:
            changes["window_to"] = last
        if args.brood:
            if not command.lots:
                raise BadInput("Whose brood? Name the lots, such as: spend feed 9.00 for H01 --brood.", field="brood")
            changes["scope"] = "brood"
        if args.share is not None:
            changes["share"] = typed.share(args.share, 10_000, "a part", "share")
        if args.life is not None:
            changes["life_days"] = typed.whole(args.life, "a number of days", "life", most=40_000)
            changes["kind"] = "lasting"
        if args.residual is not None:
            changes["residual"] = typed.amount(args.residual, ledger.currency, "residual")
        changes |= {name: value for name in ("text", "quantity", "sale") if (value := getattr(args, name)) is not None}
        if args.store:
            number, _, unit = (args.quantity or "").strip().partition(" ")
            changes |= {"stored": True, "quantity": number, "unit": unit.strip()}
        spent = replace(command, **changes)
        whole = SpendFromBox(spent) if from_box else spent
        return answer.done(done_with_names(ledger, whole), args.format, number="cost")


def _new_category(args: argparse.Namespace) -> dict[str, str]:
    """With `--kind`, the words before the amount are a category of that kind, known or not."""
    if args.kind is None:
        return {}
    if args.kind not in KINDS:
        raise BadInput(f"{quoted(args.kind)} is no kind of cost; choose {', '.join(KINDS)}.", field="kind")
    name = words(args).split()
    first = next((place for place, word in enumerate(name) if any(letter.isdigit() for letter in word)), len(name))
    if first == 0:
        raise BadInput("On what? Write a category before the amount.", field="category")
    return {" ".join(name[:first]).casefold(): args.kind}


def _spending_words(args: argparse.Namespace) -> str:
    """The words; a lasting thing whose life stands in `--life` says so in the line too, where it is asked for."""
    line = words(args)
    if not line:
        raise BadInput("On what was how much spent? Write it, such as: spend feed 24.00 Ombrel.", field="category")
    if args.life is not None and " lasts " not in f" {line} ".lower():
        days = typed.whole(args.life, "a number of days", "life", most=40_000)
        return f"{line} lasts {days} days"
    return line


def hold(args: argparse.Namespace) -> int:
    """A promise, or what becomes of one."""
    first = args.words[0].casefold() if args.words else ""
    if first == "list":
        if len(args.words) > 1:
            raise BadInput("Write hold list and nothing more; it lists every hold that stands.")
        return holds(args)
    if first in ("release", "deposit"):
        if len(args.words) != 2:
            raise BadInput(f"Write hold {first} and the number of the hold; see hold list for the numbers.")
        return _end(args, first, args.words[1])
    if args.date is not None:
        raise BadInput("A hold is made now; leave --date out.", field="date")
    with to_write(args) as ledger:
        command = from_line(ledger, words(args, "hold"))
        return answer.done(done_with_names(ledger, replace(command, number=args.number)), args.format)


def _end(args: argparse.Namespace, what: str, number: str) -> int:
    from ledger.selling.commands import DecideDeposit, ReleaseHold

    outcome = args.deposit or "none"
    if outcome not in ("none", "refunded", "kept"):
        raise BadInput(f"{quoted(outcome)} cannot become of a deposit; write refunded or kept.", field="deposit")
    with to_write(args) as ledger:
        on = typed.day_or_today(args.date, ledger)
        if what == "release":
            return answer.done(ledger.do(ReleaseHold(number, on, outcome)), args.format)
        if outcome == "none":
            raise BadInput("What became of the deposit? Add --deposit refunded or --deposit kept.", field="deposit")
        return answer.done(ledger.do(DecideDeposit(number, outcome, on)), args.format)


def take_back(args: argparse.Namespace) -> int:
    """Take back one movement."""
    from ledger.stock.commands import Reverse

    number = typed.whole(args.movement, "the number of a movement", "movement", most=10**12)
    with to_write(args) as ledger:
        return answer.done(ledger.do(Reverse(number, args.note)), args.format)


def undo(args: argparse.Namespace) -> int:
    """Take back the last act."""
    from ledger.stock.commands import Undo

    with to_write(args) as ledger:
        return answer.done(ledger.do(Undo()), args.format)
