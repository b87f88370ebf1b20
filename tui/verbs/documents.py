"""Verbs for papers to hand on: shown as text, or written into a folder as PDF or text.

Knows no layout: `exports.documents` has it.
"""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from ledger.errors import BadInput
from ledger.text import quoted
from tui.verbs import answer, typed
from tui.verbs.parser import Parser, common, with_day
from tui.verbs.place import to_read

if TYPE_CHECKING:
    from collections.abc import Callable

    from exports.documents.house import House
    from exports.documents.labels import Label
    from exports.documents.paper import Document
    from exports.documents.write import Written
    from ledger.books.papers import CorrectionNote
    from ledger.books.register import InOrOut, RegisterLot
    from ledger.ledger import Ledger

FORMS = ("pdf", "text")
PRINT_AT = "Print it at 100 %, without scaling."


def add(top: Parser) -> None:
    """Add these verbs."""
    paper = top.verb(
        "paper",
        "Show a paper, or write it as PDF to hand on: receipt, invoice, packing note, labels, register, ...",
        epilog="rearledger paper receipt S-2025-0014\n"
        "rearledger paper invoice S-2025-0014 --language de --to papers\n"
        "rearledger paper labels P08 P09/07 --sheet 'a4 5x13' --start 4 --to .\n"
        "rearledger paper register --from 2025-01-01 --until 2025-12-31 --to . --as text",
    )
    for name, words, run in (
        ("receipt", "The receipt of a sale, with the origin of every line.", receipt),
        ("invoice", "The invoice of a sale, with how to pay.", invoice),
        ("credit", "The credit that corrects a sale.", credit),
        ("packing", "The packing note of a sale, without prices.", packing),
    ):
        parser = _written(paper.verb(name, words, run))
        parser.add_argument("number", metavar="NUMBER", help="of the credit" if name == "credit" else "of the sale")
    parser = _written(paper.verb("hold", "What is held for a buyer, until when, and the deposit.", hold))
    parser.add_argument("number", metavar="NUMBER", help="of the hold")
    parser = _written(paper.verb("loan", "A breeding loan: what, to whom, since and until when.", loan))
    parser.add_argument("lot", metavar="LOT", help="that is lent, or that is here on loan")
    parser = _written(paper.verb("gift", "Animals given as a gift or sample, with their origin.", gift))
    parser.add_argument("entry", metavar="NUMBER", help="of the list that `give list` shows")
    parser = _written(paper.verb("prices", "The price list of a day.", prices))
    with_day(parser, "on", "the day whose prices count; else today")
    parser.add_argument("--buyer", metavar="retail|trade", default="retail")
    parser.add_argument("--ready", action="store_true", help="only what is ready to sell, with its origin")
    parser = _written(paper.verb("provenance", "The chain of a lot back to its founders, with the gaps.", provenance))
    parser.add_argument("lot", metavar="LOT")
    parser = _written(paper.verb("register", "The animal register of a period.", register))
    with_day(parser, "from", "first day; else the first of this year")
    with_day(parser, "until", "last day; else today")
    parser.add_argument("--species", metavar="CODE", help="of one species only")
    parser = _written(paper.verb("correction", "The note that tells a buyer of an origin stated wrongly.", correction))
    parser.add_argument("note", metavar="NUMBER", help="of the note, as `tell` gave it")
    common(paper.verb("corrections", "List the correction notes that were written.", corrections))
    parser = _written(paper.verb("labels", "Labels for tubs, with a QR code of the lot.", labels))
    parser.add_argument("lots", metavar="LOT", nargs="*", help="P08, or P08/07 for a tub; else every lot with animals")
    parser.add_argument("--tubs", action="store_true", help="one for each labelled tub of the lots")
    _on_a_sheet(parser)


def add_fair_papers(fair: Parser) -> None:
    """Add the papers for the table of a fair to the verbs of fairs."""
    parser = fair.verb(
        "labels",
        "A label for each pack that stands ready: mark, animals, price and origin.",
        fair_labels,
        epilog="rearledger fair labels Fenlow\nrearledger fair labels Fenlow --sheet 'a4 3x8' --to .",
    )
    _on_a_sheet(_written(parser)).add_argument("fair", metavar="FAIR", help="its name or number")
    parser = fair.verb(
        "prices",
        "The price list of the packs that stand ready, for the table.",
        fair_prices,
        epilog="rearledger fair prices Fenlow\nrearledger fair prices Fenlow --language de --to .",
    )
    _written(parser).add_argument("fair", metavar="FAIR", help="its name or number")


def _on_a_sheet(parser: Parser) -> Parser:
    """Options of labels."""
    parser.add_argument("--sheet", metavar="SHEET", help="'a4 3x8', ... or as you describe it; else as set")
    parser.add_argument("--start", metavar="N", default="1", help="place of the first label on the sheet; else 1")
    parser.add_argument("--shift", metavar="MM,MM", default="0,0", help="move the print right and down")
    parser.add_argument("--outline", action="store_true", help="draw the edges, to hold the print against a sheet")
    return parser


def _written(parser: Parser) -> Parser:
    """Options of every paper."""
    parser.add_argument("--to", metavar="DIR", help="write it into that folder; else it is shown")
    parser.add_argument("--as", dest="form", metavar="|".join(FORMS), type=_form, help="what is written; else pdf")
    parser.add_argument("--language", metavar="en|de", help="of the paper; else as set, else English")
    return common(parser)


def _form(text: str) -> str:
    if text not in FORMS:
        raise BadInput(f"{quoted(text)} is no way to write a paper; choose pdf or text.", field="as")
    return text


def receipt(args: argparse.Namespace) -> int:
    """The receipt of a sale."""
    from exports.documents.receipt import receipt as made

    return _make(args, lambda ledger, house: made(ledger, args.number, house))


def invoice(args: argparse.Namespace) -> int:
    """The invoice of a sale."""
    from exports.documents.receipt import receipt as made

    return _make(args, lambda ledger, house: made(ledger, args.number, house, "invoice"))


def credit(args: argparse.Namespace) -> int:
    """A credit."""
    from exports.documents.sale_papers import credit as made

    return _make(args, lambda ledger, house: made(ledger, args.number, house))


def packing(args: argparse.Namespace) -> int:
    """The packing note of a sale."""
    from exports.documents.sale_papers import packing as made

    return _make(args, lambda ledger, house: made(ledger, args.number, house))


def hold(args: argparse.Namespace) -> int:
    """The paper of a hold."""
    from exports.documents.handed_papers import hold as made

    return _make(args, lambda ledger, house: made(ledger, args.number, house))


def loan(args: argparse.Namespace) -> int:
    """The paper of a breeding loan."""
    from exports.documents.handed_papers import loan as made

    return _make(args, lambda ledger, house: made(ledger, args.lot, house))


def gift(args: argparse.Namespace) -> int:
    """The paper of a gift or sample."""
    from exports.documents.handed_papers import gift as made

    number = typed.whole(args.entry, "the number of a gift", "entry", most=10**9)
    return _make(args, lambda ledger, house: made(ledger, number, house))


def prices(args: argparse.Namespace) -> int:
    """The price list."""
    from exports.documents.price_list import price_list

    def made(ledger: Ledger, house: House) -> Document:
        return price_list(ledger, house, typed.day_or_today(args.on, ledger, "on"), args.buyer, ready=args.ready)

    return _make(args, made)


def provenance(args: argparse.Namespace) -> int:
    """The provenance sheet of a lot."""
    from exports.documents.provenance_sheet import provenance_sheet

    return _make(args, lambda ledger, house: provenance_sheet(ledger, args.lot, house))


def correction(args: argparse.Namespace) -> int:
    """A correction note."""
    from exports.documents.sale_papers import correction as made

    number = typed.whole(args.note, "the number of a note", "note", most=10**9)
    return _make(args, lambda ledger, house: made(ledger, number, house))


def corrections(args: argparse.Namespace) -> int:
    """The notes that were written."""
    from ledger.books.papers import correction_notes

    with to_read(args) as ledger:
        rows = ledger.ask(correction_notes)
    columns: tuple[answer.Column[CorrectionNote], ...] = (
        answer.Column("note", lambda row: row.id, figure=True),
        answer.Column("written_on", lambda row: answer.day(row.written_on), "written on"),
        answer.Column("sale", lambda row: row.number),
        answer.Column("line", lambda row: row.line.position, figure=True),
        answer.Column("customer", lambda row: row.customer),
        answer.Column("was", lambda row: row.was, "stated then"),
        answer.Column("now", lambda row: row.now, "by our records now"),
        answer.Column("why", lambda row: row.why, listed=False),
    )
    answer.write_rows(rows, columns, args.format, none="No correction note was written yet.")
    return 0


def register(args: argparse.Namespace) -> int:
    """The animal register: a paper, or its rows as JSON or CSV."""
    from exports.documents.animal_register import animal_register
    from ledger.books.register import register as rows_of

    if args.format == "text":
        _check(args)
    elif args.to is not None:
        raise BadInput("Rows of the register are shown, not written; leave out --to or --format.", field="to")
    with to_read(args) as ledger:
        last = typed.day_or_today(args.until, ledger, "until")
        first = typed.day(getattr(args, "from"), ledger, "from") or last.replace(month=1, day=1)
        book = ledger.ask(rows_of, first, last, today=ledger.today, species=args.species)
        if args.format == "text":
            from exports.documents.house import House

            house = House(ledger, args.language, logo=_is_pdf(args))
            return _hand_over(args, animal_register(book, house, species=args.species))
    rows = [(lot, one) for lot in book.lots for one in lot.moved]
    answer.write_rows(rows, _REGISTER, args.format, none="")
    return 0


_Act = tuple["RegisterLot", "InOrOut"]
_REGISTER: tuple[answer.Column[_Act], ...] = (
    answer.Column("species", lambda row: row[0].scientific or row[0].common),
    answer.Column("lot", lambda row: row[0].code),
    answer.Column("origin", lambda row: row[0].row.origin),
    answer.Column("since", lambda row: answer.day(row[1].since)),
    answer.Column("day", lambda row: answer.day(row[1].on)),
    answer.Column("came", lambda row: row[1].came),
    answer.Column("what", lambda row: row[1].what),
    answer.Column("animals", lambda row: row[1].count, figure=True),
    answer.Column("by_sex", lambda row: row[1].by_sex),
    answer.Column("stage", lambda row: row[1].stage),
    answer.Column("tubs", lambda row: list(row[1].tubs)),
    answer.Column("who", lambda row: row[1].who),
    answer.Column("paper", lambda row: row[1].paper),
    answer.Column("note", lambda row: row[1].note),
)


def labels(args: argparse.Namespace) -> int:
    """Labels for tubs."""
    from exports.documents.labels import labels as made

    return _label(args, lambda ledger, house: made(ledger, args.lots, house.language, tubs=args.tubs))


def fair_labels(args: argparse.Namespace) -> int:
    """Labels for the packs of a fair."""
    from exports.documents.fair_papers import pack_labels

    return _label(args, lambda ledger, house: pack_labels(ledger, args.fair, house))


def fair_prices(args: argparse.Namespace) -> int:
    """The price list of the packs of a fair."""
    from exports.documents.fair_papers import fair_prices as made

    return _make(args, lambda ledger, house: made(ledger, args.fair, house))


def _label(args: argparse.Namespace, rows_of: Callable[[Ledger, House], tuple[Label, ...]]) -> int:
    from exports.documents import fonts
    from exports.documents import labels as made
    from exports.documents.house import House
    from exports.documents.sheets import USUAL, read_sheet, read_shift
    from exports.documents.write import Written
    from exports.files import write_revision
    from ledger.records.settings import setting

    _check(args)
    start = typed.whole(args.start, "the place of a label", "start", most=1000)
    with to_read(args) as ledger:
        house = House(ledger, args.language, logo=False)
        sheet = read_sheet(args.sheet or ledger.ask(setting, "label sheet", "") or USUAL)
        shift = read_shift(args.shift)
        rows = rows_of(ledger, house)
    if _is_pdf(args):
        options = {"start": start, "shift": shift, "outline": args.outline}
        pdf = made.labels_pdf(rows, sheet, house.language, **options)
        path = write_revision(Path(args.to), "labels", ".pdf", lambda _: pdf)
        lacking = fonts.cautions(line for row in rows for line in row.lines)
        return _say(args, Written(path, (PRINT_AT, *lacking)))
    text = made.labels_text(rows)
    if args.to is None:
        return _show(args, text)
    return _say(args, Written(write_revision(Path(args.to), "labels", ".txt", lambda _: text.encode()), ()))


def _check(args: argparse.Namespace) -> None:
    """Refuse what no paper can be asked for."""
    if args.format == "csv":
        raise BadInput("Of the papers only the register has rows for --format csv; leave it out.", field="format")
    if args.form == "pdf" and args.to is None:
        raise BadInput("A PDF cannot be shown here; say with --to DIR which folder it is written into.", field="to")


def _is_pdf(args: argparse.Namespace) -> bool:
    return args.to is not None and args.form != "text"


def _make(args: argparse.Namespace, made: Callable[[Ledger, House], Document]) -> int:
    from exports.documents.house import House

    _check(args)
    with to_read(args) as ledger:
        house = House(ledger, args.language, logo=_is_pdf(args))
        return _hand_over(args, made(ledger, house))


def _hand_over(args: argparse.Namespace, document: Document) -> int:
    from exports.documents.as_text import as_text
    from exports.documents.write import write

    if args.to is None:
        return _show(args, as_text(document))
    return _say(args, write(document, Path(args.to), "pdf" if _is_pdf(args) else "text"))


def _show(args: argparse.Namespace, text: str) -> int:
    if args.format == "json":
        answer.write_json({"text": text})
        return 0
    for line in text.splitlines():
        answer.say(line)
    return 0


def _say(args: argparse.Namespace, written: Written) -> int:
    if args.format == "json":
        answer.write_json({"file": str(written.path), "cautions": list(written.cautions)})
        return 0
    answer.say(f"It is in {written.path}.")
    for caution in written.cautions:
        answer.say(f"Caution: {caution}")
    return 0
