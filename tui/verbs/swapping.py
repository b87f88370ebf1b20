"""The verb for a swap: animals out against animals in, at an agreed value each way and without cash."""

from __future__ import annotations

import argparse
from dataclasses import replace

from ledger.errors import BadInput
from tui.verbs import answer, descent, typed
from tui.verbs.parser import Parser, common, with_day
from tui.verbs.place import to_write

CAME = "swapped in"


def add(top: Parser) -> None:
    """Add this verb."""
    parser = top.verb(
        "swap",
        "Record a swap: animals out against a new lot of animals in, without cash.",
        swap,
        epilog='rearledger swap P11 2.2 adult --with Tarn --value 20.00 --into X05 EXTA "6 L1-3 nymph" --origin CBU',
    )
    common(parser).add_argument("words", metavar="WORDS", nargs="+", help="what goes out, such as P11 2.2 adult")
    parser.add_argument("--with", dest="partner", metavar="NAME", default="", help="whom you swap with")
    parser.add_argument("--value", metavar="AMOUNT", required=True, help="what either side is worth, as agreed")
    parser.add_argument(
        "--into",
        metavar=("CODE", "SPECIES", "ANIMALS"),
        nargs=3,
        required=True,
        help="the new lot, its species, and what comes in",
    )
    parser.add_argument("--purpose", metavar="sale|breeding|quarantine", default="sale")
    parser.add_argument("--place", metavar="WORDS", default="")
    descent.with_origin(parser)
    with_day(parser, "date", "the day of it; else today")
    parser.add_argument("--note", metavar="WORDS", default="")


def swap(args: argparse.Namespace) -> int:
    """Record a swap."""
    from ledger.selling.commands import Swap
    from ledger.stock.commands import AddLot
    from ledger.stock.queries import find_species, stages
    from tui.jot_trade import read_picks
    from tui.jot_words import Setting
    from tui.verbs.animals import read_arrivals

    code, species, animals = args.into[0].strip().upper(), args.into[1], " ".join(args.into[2].split())
    origin = descent.read_origin(args)
    with to_write(args) as ledger:
        on = typed.day_or_today(args.date, ledger)
        known = ledger.vocabulary()
        out = read_picks(" ".join(args.words), Setting(known, ledger.today, ledger.currency, typed.order(ledger)))
        kind = ledger.ask(find_species, species)
        ladder = tuple((one.name, one.unit) for one in ledger.ask(stages, kind.id))
        if not animals.casefold().startswith(CAME):
            animals = f"{CAME} {animals}"
        known = replace(known, stages={**known.stages, code: ladder})
        arrivals = read_arrivals(animals, code, known, ledger.currency)
        if any(one.reason != CAME for one in arrivals):
            raise BadInput("What comes in by a swap is swapped in; write only how many, such as: 6 L3.", field="into")
        coming = AddLot(code, kind.code, on, arrivals, purpose=args.purpose, place=args.place, origin=origin)
        value = typed.amount(args.value, ledger.currency, "value")
        return answer.done(ledger.do(Swap(tuple(out), coming, value, on, args.partner, args.note)), args.format)
