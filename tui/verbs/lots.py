"""Verbs about lots: open one, look at one, split, merge, set a dated fact."""

from __future__ import annotations

import argparse
from dataclasses import replace
from typing import TYPE_CHECKING

from ledger.errors import BadInput, Refused
from ledger.records.lot_facts import LOT_FACTS
from tui.verbs import answer, descent, typed
from tui.verbs.parser import Parser, common, with_day
from tui.verbs.place import to_read, to_write

if TYPE_CHECKING:
    from ledger.stock.queries import LotRow, StoryRow


def add(top: Parser) -> None:
    """Add these verbs."""
    lot = top.verb("lot", "Open a lot and everything about one: add, show, split, merge, parents, facts.")
    parser = lot.verb(
        "add",
        "Open a lot with its first animals.",
        add_lot,
        epilog="rearledger lot add E01 PACH bought 2.3 adult for 24.00 --origin CBU --supplier Nib --purpose breeding\n"
        "rearledger lot add P08 PACH laid 40 eggs --mother E01 --laid 2025-03-01\n"
        "rearledger lot add X02 PACH opening about 40 L3 and 12 L2 in tub B",
    )
    common(parser).add_argument("code", metavar="CODE")
    parser.add_argument("species", metavar="SPECIES")
    parser.add_argument(
        "words",
        metavar="WORDS",
        nargs="*",
        help="how they came (opening, bought, laid, ...), how many, stage, in which tub, for how much",
    )
    with_day(parser, "date", "the day it started; else today")
    with_day(parser, "since", "first day of the range in which it started")
    with_day(parser, "arrived", "the day they came, if later")
    parser.add_argument("--purpose", metavar="sale|breeding|quarantine", default="sale")
    parser.add_argument("--place", metavar="WORDS", default="")
    parser.add_argument("--line", metavar="NAME", default="", help="name of the line")
    parser.add_argument("--note", metavar="WORDS", default="")
    parser.add_argument("--colony", metavar="LOT", help="the colony they were harvested from")
    descent.with_parents(parser)
    descent.with_origin(parser)
    parser = common(lot.verb("list", "List the lots.", list_lots))
    with_day(parser, "on", "as of that day; else today")
    parser.add_argument("--all", action="store_true", help="also those without animals")
    parser = common(lot.verb("show", "Show what is in a lot and everything recorded of it.", show_lot))
    parser.add_argument("lot", metavar="LOT")
    with_day(parser, "on", "what was in it on that day; else now")
    parser = lot.verb(
        "split",
        "Make part of a lot a lot of its own.",
        split,
        epilog="rearledger lot split P08 5 L3 and 1.2 adult --into P08B",
    )
    common(parser).add_argument("lot", metavar="LOT")
    parser.add_argument("words", metavar="WORDS", nargs="+", help="which animals")
    parser.add_argument("--into", metavar="CODE", required=True, help="code of the new lot")
    parser.add_argument("--purpose", metavar="sale|breeding|quarantine")
    parser.add_argument("--note", metavar="WORDS", default="")
    with_day(parser, "date", "the day of it; else today")
    parser = common(lot.verb("merge", "Make one new lot of all animals of several.", merge))
    parser.add_argument("lots", metavar="LOT", nargs="+")
    parser.add_argument("--into", metavar="CODE", required=True, help="code of the new lot")
    parser.add_argument("--accident", action="store_true", help="lots of different origin were mixed by accident")
    parser.add_argument("--note", metavar="WORDS", default="")
    with_day(parser, "date", "the day of it; else today")
    parser = common(lot.verb("keep", "Keep animals of a lot back: they are not for sale.", keep))
    parser.add_argument("lot", metavar="LOT")
    parser.add_argument("words", metavar="WORDS", nargs="+", help="which animals, such as: 2 adult female")
    parser.add_argument("--why", metavar="WORDS", required=True, help="old, deformed, future breeders, ...")
    with_day(parser, "date", "the day of it; else today")
    parser = common(lot.verb("free", "Give animals that were kept back free again.", free))
    parser.add_argument("number", metavar="NUMBER", help="the number that `lot keep` gave")
    with_day(parser, "date", "the day of it; else today")
    parser = lot.verb(
        "fact",
        "Set what holds for a lot from a day on.",
        fact,
        epilog=f"Facts: {', '.join(LOT_FACTS)}.\nrearledger lot fact P08 purpose breeding\n"
        "rearledger lot fact P08 rests until 2025-08-01",
    )
    common(parser).add_argument("lot", metavar="LOT")
    parser.add_argument("words", metavar="FACT VALUE", nargs="+")
    with_day(parser, "from", "from that day; else today")
    descent.add(lot)


def add_lot(args: argparse.Namespace) -> int:
    """Open a lot."""
    from ledger.act import Done
    from ledger.stock.commands import AddLot
    from ledger.stock.queries import find_species, stages
    from tui.origin_ahead import origin_ahead
    from tui.verbs.animals import read_arrivals

    origin = descent.read_origin(args)
    with to_write(args) as ledger:
        kind = ledger.ask(find_species, args.species)
        ladder = ledger.ask(stages, kind.id)
        known = ledger.vocabulary()
        code = args.code.strip().upper()
        known = replace(known, stages={**known.stages, code: tuple((one.name, one.unit) for one in ladder)})
        command = AddLot(
            code,
            kind.code,
            typed.day_or_today(args.date, ledger),
            read_arrivals(" ".join(args.words), code, known, ledger.currency),
            started_from=typed.day(args.since, ledger, "since"),
            purpose=args.purpose,
            place=args.place,
            line=args.line,
            note=args.note,
            origin=origin,
            mothers=tuple(args.mother),
            fathers=tuple(args.father),
            laid_from=typed.day(args.laid_from, ledger, "laid"),
            laid_on=typed.day(args.laid, ledger, "laid"),
            colony=args.colony,
            arrived_on=typed.day(args.arrived, ledger, "arrived"),
        )
        try:
            ahead = origin_ahead(ledger, ledger.preview(command))
        except Refused:
            # Recording says why.
            ahead = ((), ())
        done = ledger.do(command)
        # What the records say has its days as they are stored: in one answer they are written one way.
        said, lacking = (tuple(answer.in_long_days(line) for line in lines) for lines in ahead)
        told = Done(" ".join((done.sentence, *said)), done.refs, (*done.cautions, *lacking))
        return answer.done(told, args.format)


def split(args: argparse.Namespace) -> int:
    """Part of a lot becomes a lot of its own."""
    from ledger.stock.commands import SplitLot
    from ledger.stock.queries import find_lot
    from tui.verbs.animals import read_parts

    with to_write(args) as ledger:
        lot = ledger.ask(find_lot, args.lot).code
        parts = read_parts(" ".join(args.words), lot, ledger.vocabulary())
        on = typed.day_or_today(args.date, ledger)
        return answer.done(ledger.do(SplitLot(lot, args.into, parts, on, args.note, args.purpose)), args.format)


def merge(args: argparse.Namespace) -> int:
    """All animals of several lots become one lot."""
    from ledger.stock.commands import MergeLots
    from ledger.stock.merging import BY_ACCIDENT

    with to_write(args) as ledger:
        reason = BY_ACCIDENT if args.accident else ""
        on = typed.day_or_today(args.date, ledger)
        return answer.done(ledger.do(MergeLots(tuple(args.lots), args.into, on, reason, args.note)), args.format)


def keep(args: argparse.Namespace) -> int:
    """Not for sale."""
    from ledger.stock.commands import KeepBack
    from ledger.stock.queries import find_lot
    from tui.verbs.animals import read_parts

    with to_write(args) as ledger:
        lot = ledger.ask(find_lot, args.lot).code
        parts = read_parts(" ".join(args.words), lot, ledger.vocabulary())
        if len(parts) > 1:
            raise BadInput("Keep animals of one kind back at a time.", field="count")
        one = parts[0]
        on = typed.day_or_today(args.date, ledger)
        command = KeepBack(lot, one.count, args.why, on, one.stage, one.sex, one.tub)
        return answer.done(ledger.do(command), args.format, number="earmark")


def free(args: argparse.Namespace) -> int:
    """For sale again."""
    from ledger.stock.commands import FreeKept

    number = typed.whole(args.number, "a number of `lot keep`", "earmark", most=10**12)
    with to_write(args) as ledger:
        return answer.done(ledger.do(FreeKept(number, typed.day_or_today(args.date, ledger))), args.format)


def fact(args: argparse.Namespace) -> int:
    """A dated fact."""
    from ledger.stock.commands import SetLotFact

    name, value = _fact(" ".join(args.words))
    with to_write(args) as ledger:
        on = typed.day_or_today(getattr(args, "from"), ledger, "from")
        if name in ("rests until", "brood ends"):
            until = typed.day(value, ledger, "value")
            value = answer.day(until) or ""
        return answer.done(ledger.do(SetLotFact(args.lot, name, value, on)), args.format)


def _fact(text: str) -> tuple[str, str]:
    for name in sorted(LOT_FACTS, key=len, reverse=True):
        if text.casefold() == name:
            raise BadInput(f"What is the {name}? Write it after the word.", field="value")
        if text.casefold().startswith(f"{name} "):
            return name, text[len(name) :].strip()
    raise BadInput(f"That is no fact of a lot; the facts are {', '.join(LOT_FACTS)}.", field="fact")


def list_lots(args: argparse.Namespace) -> int:
    """The lots with what is in them."""
    with to_read(args) as ledger:
        rows = ledger.lots(typed.day(args.on, ledger, "on"), empty=args.all)
    columns: tuple[answer.Column[LotRow], ...] = (
        answer.Column("lot", lambda row: row.code),
        answer.Column("species", lambda row: row.species),
        answer.Column("name", lambda row: row.common, listed=False),
        answer.Column("started_from", lambda row: answer.day(row.started_from), listed=False),
        answer.Column("started_on", lambda row: answer.day(row.started_on), "started"),
        answer.Column("animals", lambda row: row.animals, None, _about, figure=True),
        answer.Column("objects", lambda row: row.objects, figure=True, listed=False),
        answer.Column("specimens", lambda row: row.specimens, figure=True, listed=False),
        answer.Column("by_sex", lambda row: row.by_sex, "by sex"),
        answer.Column("about", lambda row: row.about, listed=False),
        answer.Column("stages", lambda row: [f"{one.count} {one.stage}" for one in row.stages]),
        answer.Column("purpose", lambda row: row.purpose),
        answer.Column("place", lambda row: row.place),
        answer.Column("line", lambda row: row.line, listed=False),
        answer.Column("tubs", lambda row: row.tubs, figure=True),
        answer.Column("colony", lambda row: row.colony, listed=False),
    )
    hint = "Open one: rearledger lot add CODE SPECIES opening about 40 L3"
    answer.write_rows(rows, columns, args.format, none="There are no lots with animals.", hint=hint)
    return 0


def _about(row: LotRow) -> str:
    return f"about {row.animals}" if row.about else str(row.animals)


def show_lot(args: argparse.Namespace) -> int:
    """What is in a lot, and its story."""
    from tui.verbs import looking

    with to_read(args) as ledger:
        stock = ledger.stock(typed.day(args.on, ledger, "on"), lot=args.lot)
        story = ledger.story(args.lot)
    columns: tuple[answer.Column[StoryRow], ...] = (
        answer.Column("on", lambda row: answer.day(row.on)),
        answer.Column("since", lambda row: answer.day(row.since), listed=False),
        answer.Column("kind", lambda row: row.kind, listed=False),
        answer.Column("text", lambda row: row.text, title="what"),
        answer.Column("entry", lambda row: row.entry, figure=True),
        answer.Column("movement", lambda row: row.movement, figure=True),
        answer.Column("stands", lambda row: row.stands, text=lambda row: "" if row.stands else "taken back"),
        answer.Column("by", lambda row: row.by),
        answer.Column("note", lambda row: row.note),
    )
    if args.format == "json":
        answer.write_json(
            {
                "stock": [{one.key: one.value(row) for one in looking.STOCK} for row in stock],
                "story": [{one.key: one.value(row) for one in columns} for row in story],
            }
        )
        return 0
    if args.format == "text":
        answer.write_rows(stock, looking.STOCK, "text", none="Nothing of it is here.")
        answer.say("")
    answer.write_rows(story, columns, args.format, none="Nothing is recorded of it.")
    return 0
