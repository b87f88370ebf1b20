"""Verbs about where animals come from: who was with whom, who laid what, what is claimed, and the chain back."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from ledger.errors import BadInput
from ledger.text import quoted
from tui.verbs import answer, typed
from tui.verbs.parser import Parser, common, with_day
from tui.verbs.place import to_read, to_write

if TYPE_CHECKING:
    from ledger.origin.provenance import ProvenanceRow
    from ledger.stock.commands import OriginStatement

GRADES = {"own": 3, "document": 2, "said": 1, "none": 0}
"""What a statement rests on: own records, a supplier's document, the word of supplier or keeper, nothing."""


def add(lot: Parser) -> None:
    """Add the verbs below `lot`."""
    parser = common(lot.verb("with", "Record that a female and a male were together.", together))
    parser.add_argument("female", metavar="FEMALE", help="E01, or E01/f05 for one animal")
    parser.add_argument("male", metavar="MALE", help="E02, or E02/m01 for one animal")
    with_day(parser, "from", "first day; else today")
    with_day(parser, "to", "last day; else they still are")
    parser.add_argument("--seen", action="store_true", help="the mating was seen")
    parser.add_argument("--evidence", metavar="WORDS", default="", help="what shows it")
    parser = common(lot.verb("parted", "Record that they are no longer together.", parted))
    parser.add_argument("number", metavar="NUMBER", help="the number that `lot with` gave")
    with_day(parser, "to", "last day together; else today")
    parser = common(lot.verb("parents", "Record who laid a lot.", parents))
    parser.add_argument("lot", metavar="LOT")
    with_parents(parser)
    parser.add_argument("--evidence", metavar="WORDS", default="", help="what shows it")
    parser = common(lot.verb("stated", "State, or state anew, what is known of a lot's origin when it came.", stated))
    parser.add_argument("lot", metavar="LOT")
    with_origin(parser, named=True)
    with_day(parser, "from", "the day it was stated; else today")
    parser = common(lot.verb("claim", "Claim less of a lot than the records give, or more by a document.", claim))
    parser.add_argument("lot", metavar="LOT")
    parser.add_argument("origin", metavar="ORIGIN", help="a code of the origin list, such as CBU")
    parser.add_argument("--generation", metavar="N", help="for CB: the generation, 2 for F2")
    parser.add_argument("--note", metavar="WORDS", default="", help="why less is claimed")
    parser.add_argument("--documents", metavar="WORDS", help="the document that shows more than the records")
    with_day(parser, "from", "from that day; else today")
    parser = common(lot.verb("explain", "Explain why a lot had more animals than recorded.", explain))
    parser.add_argument("lot", metavar="LOT")
    parser.add_argument("--note", metavar="WORDS", required=True, help="why")
    with_day(parser, "from", "from that day; else today")
    parser = common(lot.verb("virgin", "Record whether a female was a virgin when she came.", virgin))
    parser.add_argument("animal", metavar="ANIMAL", help="E01, or E01/f05 for one animal")
    parser.add_argument("value", metavar="yes|no|not-known")
    parser.add_argument("--note", metavar="WORDS", default="")
    with_day(parser, "from", "from that day; else today")


def add_chain(top: Parser) -> None:
    """Add the verb that shows a lot's chain."""
    parser = common(top.verb("origin", "Show where a lot comes from, back to its founders, with the gaps.", chain))
    parser.add_argument("lot", metavar="LOT")


def with_parents(parser: Parser) -> None:
    """Options that name parents and the laying."""
    parser.add_argument(
        "--mother", metavar="ANIMAL", action="append", default=[], help="E01 or E01/f05; may be repeated"
    )
    parser.add_argument(
        "--father", metavar="ANIMAL", action="append", default=[], help="stated beside who was with her"
    )
    with_day(parser, "laid", "the day it was laid, or the last of a range")
    with_day(parser, "laid-from", "first day of the range")


def with_origin(parser: Parser, *, named: bool = False) -> None:
    """Options that state an origin; `named`: the code stands without an option before it."""
    if named:
        parser.add_argument("origin", metavar="ORIGIN", help="WC, WR, CH, CF, CB, CBU, MIX or UNK")
    else:
        parser.add_argument("--origin", metavar="CODE", help="WC, WR, CH, CF, CB, CBU, MIX or UNK, as stated")
    parser.add_argument("--generation", metavar="N", help="for CB: the generation, 2 for F2")
    parser.add_argument("--evidence", metavar="|".join(GRADES), default="said", help="what the statement rests on")
    parser.add_argument("--country", metavar="XX", default="", help="country of origin, two letters of ISO 3166-1")
    parser.add_argument("--locality", metavar="WORDS", default="")
    parser.add_argument("--supplier", metavar="NAME", default="")
    parser.add_argument("--documents", metavar="WORDS", default="", help="permits, invoices")


def read_origin(args: argparse.Namespace) -> OriginStatement | None:
    """What the options state, `None` if no origin was named."""
    from ledger.stock.commands import OriginStatement

    if args.origin is None:
        named = [name for name in ("generation", "country", "locality", "supplier", "documents") if getattr(args, name)]
        if named:
            raise BadInput(f"--{named[0]} belongs to an origin; add --origin and its code.", field="origin")
        return None
    if args.evidence not in GRADES:
        raise BadInput(f"{quoted(args.evidence)} is no evidence; write {', '.join(GRADES)}.", field="evidence")
    return OriginStatement(
        args.origin.strip().upper(),
        _generation(args.generation),
        GRADES[args.evidence],
        args.country,
        args.locality,
        args.supplier,
        args.documents,
    )


def _generation(text: str | None) -> int | None:
    return (
        None if text is None else typed.whole(text.upper().removeprefix("F"), "a generation", "generation", most=1000)
    )


def together(args: argparse.Namespace) -> int:
    """Female and male from a day on."""
    from ledger.origin.commands import Expose

    with to_write(args) as ledger:
        first = typed.day_or_today(getattr(args, "from"), ledger, "from")
        last = typed.day(args.to, ledger, "to")
        done = ledger.do(Expose(args.female, args.male, first, last, args.seen, args.evidence))
        return answer.done(done, args.format, number="exposure")


def parted(args: argparse.Namespace) -> int:
    """No longer together."""
    from ledger.origin.commands import EndExposure

    number = typed.whole(args.number, "a number of `lot with`", "exposure", most=10**9)
    with to_write(args) as ledger:
        return answer.done(ledger.do(EndExposure(number, typed.day_or_today(args.to, ledger, "to"))), args.format)


def parents(args: argparse.Namespace) -> int:
    """Who laid a lot."""
    from ledger.origin.commands import NameParents

    with to_write(args) as ledger:
        command = NameParents(
            args.lot,
            tuple(args.mother),
            tuple(args.father),
            typed.day(args.laid_from, ledger, "laid"),
            typed.day(args.laid, ledger, "laid"),
            args.evidence,
        )
        return answer.done(ledger.do(command), args.format)


def stated(args: argparse.Namespace) -> int:
    """What is known of a lot's origin when it came."""
    from ledger.origin.commands import StateOrigin

    statement = read_origin(args)
    assert statement is not None
    with to_write(args) as ledger:
        on = typed.day_or_today(getattr(args, "from"), ledger, "from")
        return answer.done(ledger.do(StateOrigin(args.lot, statement, on)), args.format)


def claim(args: argparse.Namespace) -> int:
    """Less than derived with a note, or more with a document."""
    from ledger.origin.commands import LowerOrigin, RaiseOrigin

    generation = _generation(args.generation)
    code = args.origin.strip().upper()
    with to_write(args) as ledger:
        on = typed.day_or_today(getattr(args, "from"), ledger, "from")
        command: object = LowerOrigin(args.lot, code, args.note, on, generation)
        if args.documents is not None:
            command = RaiseOrigin(args.lot, code, args.documents, on, generation, args.note)
        return answer.done(ledger.do(command), args.format)


def explain(args: argparse.Namespace) -> int:
    """Why there were more than recorded."""
    from ledger.origin.commands import ExplainCount

    with to_write(args) as ledger:
        on = typed.day_or_today(getattr(args, "from"), ledger, "from")
        return answer.done(ledger.do(ExplainCount(args.lot, args.note, on)), args.format)


def virgin(args: argparse.Namespace) -> int:
    """Whether she was a virgin when she came."""
    from ledger.origin.commands import SayVirgin

    with to_write(args) as ledger:
        on = typed.day_or_today(getattr(args, "from"), ledger, "from")
        value = args.value.replace("-", " ").casefold()
        return answer.done(ledger.do(SayVirgin(args.animal, value, on, args.note)), args.format)


def chain(args: argparse.Namespace) -> int:
    """The chain back to the founders."""
    with to_read(args) as ledger:
        sheet = ledger.origin(args.lot)
    if args.format == "text":
        from ledger.origin.provenance import provenance_lines

        for line in provenance_lines(sheet):
            answer.say(line)
        return 0
    columns: tuple[answer.Column[ProvenanceRow], ...] = (
        answer.Column("lot", lambda row: row.code),
        answer.Column("steps_back", lambda row: row.steps_back, figure=True),
        answer.Column("origin", lambda row: row.origin),
        answer.Column("evidence", lambda row: row.evidence),
        answer.Column("founder", lambda row: row.founder),
        answer.Column("came", lambda row: row.came),
        answer.Column("whence", lambda row: row.whence),
        answer.Column("parents", lambda row: list(row.parents)),
        answer.Column("reasons", lambda row: list(row.reasons)),
        answer.Column("gaps", lambda row: list(row.gaps)),
    )
    if args.format == "csv":
        answer.write_rows(sheet.rows, columns, "csv", none="")
        return 0
    from ledger.origin.rules import ENDING

    answer.write_json(
        {
            "lot": sheet.code,
            "origin": sheet.origin,
            "evidence": sheet.evidence,
            "headline": sheet.headline,
            "gaps": list(sheet.gaps),
            "chain": [{column.key: column.value(row) for column in columns} for row in sheet.rows],
            "note": ENDING,
        }
    )
    return 0
