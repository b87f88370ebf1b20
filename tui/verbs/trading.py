"""Verbs about trade beside the plain sale: packs, queues, gifts, loans, specimens; what is owed and earned."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from ledger.errors import BadInput
from ledger.text import quoted
from tui.verbs import answer, typed
from tui.verbs.parser import Parser, common, with_day
from tui.verbs.place import to_read, to_write
from tui.verbs.said import picks
from tui.ways import CHANNELS

if TYPE_CHECKING:
    import datetime as dt

    from ledger.selling.borrowing import BorrowedRow
    from ledger.selling.giving import GivenRow
    from ledger.selling.lending import LoanRow
    from ledger.selling.margin import SaleMargin
    from ledger.selling.owed import OwedPaper
    from ledger.selling.queue import QueueRow

    _Loan = tuple[str, str, dt.date, dt.date | None, dt.date | None, LoanRow | BorrowedRow]


def add(top: Parser) -> None:
    """Add these verbs."""
    parser = top.verb(
        "pack",
        "Sell animals of one or several lots as one pack at one price.",
        pack,
        epilog="rearledger pack group of 10 from P08 6 L3 and P09 4 L3 --to Tarn --paid\n"
        "rearledger pack pair 1.1 from E03 1 male and E04 1 female --price 55 --by post\n"
        "rearledger pack mixed box from P08 5 L3 and E03 1 --price 20 --weights 1:3",
    )
    common(parser).add_argument("words", metavar="PACK from WHAT", nargs="+", help="the pack, from, and the animals")
    parser.add_argument("--price", metavar="AMOUNT", help="of all of it; else from the price list")
    parser.add_argument("--extra", metavar="N", help="how many of the animals are given on top")
    parser.add_argument("--discount", metavar="AMOUNT")
    parser.add_argument("--weights", metavar="A:B", help="how the price is split over the lots; else by their prices")
    parser.add_argument("--to", metavar="BUYER", default="")
    parser.add_argument("--by", metavar="WAY", default="collection", help=", ".join(CHANNELS))
    parser.add_argument("--paid", metavar="METHOD", nargs="?", const="cash", help="paid in full; how, else cash")
    parser.add_argument("--note", metavar="WORDS", default="")
    with_day(parser, "date", "the day of the sale; else today")
    _add_queue(top)
    parser = top.verb(
        "give",
        "Record animals that leave without a sale: gift, sample, own use.",
        give,
        epilog="rearledger give P08 5 L3 --as sample --to Fenlow school\nrearledger give list",
    )
    common(parser).add_argument("words", metavar="WORDS", nargs="+", help="which animals; or: list")
    parser.add_argument("--as", metavar="KIND", dest="kind", default="gift", help="gift, sample or own use; else gift")
    parser.add_argument("--to", metavar="NAME", nargs="+", default=[], help="who gets them")
    parser.add_argument("--note", metavar="WORDS", default="")
    with_day(parser, "date", "the day of it; else today")
    parser = top.verb(
        "lend",
        "Record a breeding loan: the animals are with somebody else and stay yours.",
        lend,
        epilog="rearledger lend E01 --to Tarn --terms 'half of the young'\n"
        "rearledger lend E03 1 male --into E03L --to Tarn\nrearledger lend back E03L\nrearledger lend list",
    )
    common(parser).add_argument("words", metavar="WORDS", nargs="+", help="a lot, or some of it; or: back LOT; list")
    parser.add_argument("--to", metavar="NAME", nargs="+", default=[], help="who has them")
    parser.add_argument("--into", metavar="CODE", default="", help="code of the lot split off, if only some go")
    with_day(parser, "until", "the day they are to be back by, if one was agreed")
    parser.add_argument("--terms", metavar="WORDS", default="", help="what was agreed")
    parser.add_argument("--note", metavar="WORDS", default="")
    with_day(parser, "date", "the day of it; else today")
    parser = common(top.verb("dry", "Keep animals as dried specimens, which may be sold as such.", dry))
    parser.add_argument("words", metavar="WORDS", nargs="+", help="which animals, such as: P08 2 adult")
    with_day(parser, "date", "the day of it; else today")
    common(top.verb("owed", "List what is owed on sales both ways, and deposits held.", list_owed))
    parser = common(top.verb("margin", "Show price less cost and selling costs of each sale, or of one.", margin))
    parser.add_argument("number", metavar="NUMBER", nargs="?", help="of one sale, line by line")
    with_day(parser, "from", "sales from that day; else all")
    with_day(parser, "to", "sales up to that day; else today")


def _add_queue(top: Parser) -> None:
    parser = top.verb(
        "queue",
        "Who waits for the animals of a hold: list, add, leave, offer them to the next.",
        waiting,
        epilog="rearledger queue\nrearledger queue R-007 Fennick\nrearledger queue leave 3\n"
        "rearledger queue offer R-007 --until 48h --deposit 5.00",
    )
    common(parser).add_argument("words", metavar="WORDS", nargs="*", help="NUMBER BUYER; leave PLACE; offer NUMBER")
    parser.add_argument("--count", metavar="N", help="how many of the animals; else all")
    parser.add_argument("--note", metavar="WORDS", default="")
    parser.add_argument("--until", metavar="WHEN", help="48h, or a day: how long they are offered")
    parser.add_argument("--deposit", metavar="AMOUNT")
    parser.add_argument("--by", metavar="METHOD", default="cash", help="how the deposit was paid")


def pack(args: argparse.Namespace) -> int:
    """One pack."""
    from ledger.selling.commands import PackOf, Paid, Sell

    name, found, what = " ".join(args.words).partition(" from ")
    if not found:
        raise BadInput("Write the pack, from, and the animals: pack group of 10 from P08 6 L3 and P09 4 L3.")
    if args.by not in CHANNELS:
        raise BadInput(f"Sold by {quoted(args.by)}? Write --by {', '.join(CHANNELS)}.", field="channel")
    with to_write(args) as ledger:
        money = ledger.currency
        of = PackOf(
            name,
            picks(ledger, what),
            None if args.price is None else typed.amount(args.price, money, "price"),
            None if args.extra is None else typed.whole(args.extra, "a number of animals", "extra", least=0),
            0 if args.discount is None else typed.amount(args.discount, money, "discount"),
            _weights(args.weights),
        )
        command = Sell(
            (),
            typed.day_or_today(args.date, ledger),
            args.to,
            args.by,
            paid=(Paid(None, args.paid),) if args.paid else (),
            to_post=args.by == "post",
            note=args.note,
            packs=(of,),
        )
        return answer.done(ledger.do(command), args.format)


def _weights(text: str | None) -> tuple[int, ...]:
    if text is None:
        return ()
    return tuple(typed.whole(one, "a weight", "weights", least=0) for one in text.split(":"))


def waiting(args: argparse.Namespace) -> int:
    """The queue of a hold."""
    from ledger.selling.commands import JoinQueue, LeaveQueue, OfferNext

    words = args.words
    if len(words) < 2:
        return _list_queue(args, words[0] if words else None)
    first = words[0].casefold()
    with to_write(args) as ledger:
        if first == "leave" and len(words) == 2:
            place = typed.whole(words[1], "a place of the list", "place", most=10**12)
            return answer.done(ledger.do(LeaveQueue(place, ledger.today)), args.format)
        if first == "offer" and len(words) == 2:
            if args.until is None:
                raise BadInput("Until when are they offered? Add --until 48h, or a day.", field="until")
            from tui.jot_trade import read_until
            from tui.jot_words import Setting

            setting = Setting(ledger.vocabulary(), ledger.today, ledger.currency, typed.order(ledger))
            deposit = 0 if args.deposit is None else typed.amount(args.deposit, ledger.currency, "deposit")
            until = read_until(args.until, setting)
            return answer.done(ledger.do(OfferNext(words[1], ledger.today, until, deposit, args.by)), args.format)
        count = None if args.count is None else typed.whole(args.count, "a number of animals", "count")
        command = JoinQueue(words[0], " ".join(words[1:]), ledger.today, count, args.note)
        return answer.done(ledger.do(command), args.format)


def _list_queue(args: argparse.Namespace, hold: str | None) -> int:
    with to_read(args) as ledger:
        rows = ledger.queue(hold)
    columns: tuple[answer.Column[QueueRow], ...] = (
        answer.Column("place", lambda row: row.place, figure=True),
        answer.Column("hold", lambda row: row.hold),
        answer.Column("held_for", lambda row: row.held_for),
        answer.Column("hold_state", lambda row: row.hold_state, "hold is"),
        answer.Column("position", lambda row: row.position or None, "turn", figure=True),
        answer.Column("customer", lambda row: row.customer),
        answer.Column("count", lambda row: row.count, figure=True),
        answer.Column("asked_on", lambda row: answer.day(row.asked_on)),
        answer.Column("state", lambda row: row.state),
        answer.Column("can_be_offered", lambda row: row.turn, listed=False),
        answer.Column("new_hold", lambda row: row.new_hold or None),
        answer.Column("note", lambda row: row.note, listed=False),
    )
    answer.write_rows(rows, columns, args.format, none="Nobody waits.", hint="rearledger queue R-007 Fennick")
    return 0


def give(args: argparse.Namespace) -> int:
    """Gift, sample or own use."""
    from ledger.selling.commands import GiveAway

    if args.words == ["list"]:
        return _list_given(args)
    with to_write(args) as ledger:
        what = picks(ledger, " ".join(args.words))
        on = typed.day_or_today(args.date, ledger)
        command = GiveAway(what, on, args.kind.strip().casefold(), " ".join(args.to), args.note)
        return answer.done(ledger.do(command), args.format)


def _list_given(args: argparse.Namespace) -> int:
    with to_read(args) as ledger:
        rows = ledger.given()
    columns: tuple[answer.Column[GivenRow], ...] = (
        answer.Column("on", lambda row: answer.day(row.on)),
        answer.Column("kind", lambda row: row.kind),
        answer.Column("to", lambda row: row.to),
        answer.Column("animals", lambda row: row.animals, figure=True),
        answer.Column("lots", lambda row: list(row.lots)),
        answer.Column("entry", lambda row: row.entry, figure=True),
        answer.Column("note", lambda row: row.note),
    )
    answer.write_rows(rows, columns, args.format, none="Nothing was given away.")
    return 0


def lend(args: argparse.Namespace) -> int:
    """A breeding loan, or its end."""
    from ledger.selling.commands import LendOut, LoanBack

    words = args.words
    if words == ["list"]:
        return _list_loans(args)
    with to_write(args) as ledger:
        on = typed.day_or_today(args.date, ledger)
        if words[0].casefold() == "back":
            if len(words) != 2:
                raise BadInput("Write lend back and the lot that came back.", field="lot")
            return answer.done(ledger.do(LoanBack(words[1], on, args.note)), args.format)
        some = picks(ledger, " ".join(words)) if len(words) > 1 else ()
        lot = some[0].lot if some else words[0]
        back_by = typed.day(args.until, ledger, "until", ahead=True)
        command = LendOut(lot, " ".join(args.to), on, args.terms, some, args.into, back_by)
        return answer.done(ledger.do(command), args.format)


def _list_loans(args: argparse.Namespace) -> int:
    from ledger.selling.borrowing import borrowed

    with to_read(args) as ledger:
        rows: list[_Loan] = [
            *(("lent", one.to, one.lent_on, one.back_by, one.back_on, one) for one in ledger.loans()),
            *(("lent to us", one.owner, one.came_on, None, one.left_on, one) for one in ledger.ask(borrowed)),
        ]
    columns: tuple[answer.Column[_Loan], ...] = (
        answer.Column("lot", lambda row: row[5].lot),
        answer.Column("as", lambda row: row[0]),
        answer.Column("to", lambda row: row[1], "with"),
        answer.Column("lent_on", lambda row: answer.day(row[2])),
        answer.Column("back_by", lambda row: answer.day(row[3])),
        answer.Column("back_on", lambda row: answer.day(row[4])),
        answer.Column("terms", lambda row: getattr(row[5], "terms", "")),
        answer.Column("note", lambda row: getattr(row[5], "note", ""), listed=False),
    )
    answer.write_rows(rows, columns, args.format, none="Nothing is on loan.")
    return 0


def dry(args: argparse.Namespace) -> int:
    """Specimens."""
    from ledger.stock.commands import Move, Record
    from ledger.stock.queries import find_lot, stages

    with to_write(args) as ledger:
        some = picks(ledger, " ".join(args.words))
        lot = ledger.ask(find_lot, some[0].lot)
        into = next((one.name for one in ledger.ask(stages, lot.species_id) if one.unit == "specimen"), None)
        if into is None:
            raise BadInput(f"The species of {lot.code} has no stage for specimens; describe one first.", field="stage")
        if any(pick.lot != some[0].lot for pick in some):
            raise BadInput("Keep specimens of one lot at a time.", field="lot")
        moves = tuple(Move("dried", one.count, one.stage, one.sex, one.tub, to_stage=into) for one in some)
        on = typed.day_or_today(args.date, ledger)
        return answer.done(ledger.do(Record(lot.code, moves, on)), args.format)


def list_owed(args: argparse.Namespace) -> int:
    """What is owed."""
    with to_read(args) as ledger:
        rows = ledger.owed()
        currency = ledger.currency

    def money(name: str, title: str) -> answer.Column[OwedPaper]:
        return answer.Column(name, lambda row: answer.money(getattr(row, name), currency), title, figure=True)

    columns: tuple[answer.Column[OwedPaper], ...] = (
        answer.Column("kind", lambda row: row.kind, "what"),
        answer.Column("number", lambda row: row.number),
        answer.Column("customer", lambda row: row.customer),
        answer.Column("since", lambda row: answer.day(row.since)),
        answer.Column("days", lambda row: row.days, figure=True),
        money("total", f"total {currency.code}"),
        money("paid", "paid"),
        money("owed", "owed"),
        answer.Column("waits", lambda row: row.waits, "to be posted"),
    )
    answer.write_rows(rows, columns, args.format, none="Nothing is owed on sales, and no deposit is held.")
    return 0


def margin(args: argparse.Namespace) -> int:
    """Margins of sales."""
    with to_read(args) as ledger:
        if args.number is not None:
            rows: tuple[SaleMargin, ...] = (ledger.margin(args.number),)
        else:
            rows = ledger.margins(typed.day(getattr(args, "from"), ledger, "from"), typed.day(args.to, ledger, "to"))
        currency = ledger.currency

    def money(name: str, title: str | None = None) -> answer.Column[SaleMargin]:
        return answer.Column(name, lambda row: answer.money(getattr(row, name), currency), title, figure=True)

    columns: tuple[answer.Column[SaleMargin], ...] = (
        answer.Column("number", lambda row: row.number),
        answer.Column("sold_on", lambda row: answer.day(row.sold_on)),
        answer.Column("customer", lambda row: row.customer),
        answer.Column("channel", lambda row: row.channel),
        money("price", f"price {currency.code}"),
        money("cost", "cost of animals"),
        money("selling_costs", "selling costs"),
        money("margin"),
        answer.Column("cost_known", lambda row: row.cost_known, "cost known"),
        answer.Column("waits", lambda row: row.waits, "to be posted", listed=False),
        answer.Column("goodwill", lambda row: answer.money(row.goodwill, currency), listed=False),
        answer.Column("makes_good", lambda row: row.makes_good or None, listed=False),
        answer.Column(
            "lines",
            lambda row: [
                {
                    "line": line.position,
                    "lot": line.lot,
                    "stage": line.stage,
                    "sex": line.sex,
                    "origin": line.origin,
                    "count": line.count,
                    "extra": line.extra,
                    "price": answer.money(line.price, currency),
                    "credited": answer.money(line.credited, currency),
                    "cost": answer.money(line.cost, currency),
                }
                for line in row.lines
            ],
            listed=False,
        ),
    )
    answer.write_rows(rows, columns, args.format, none="Nothing was sold then.")
    if args.format == "text" and args.number is not None:
        for line in rows[0].lines:
            some = f"{line.count} + {line.extra} extra" if line.extra else str(line.count)
            answer.say(
                f"Line {line.position}: {some} {line.stage} of {line.lot}, {line.sex}, {line.origin}: "
                f"{answer.money(line.price - line.credited, currency)} less {answer.money(line.cost, currency)} cost."
            )
    return 0
