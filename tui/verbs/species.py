"""Verbs about species, their dated figures, and the price list."""

from __future__ import annotations

import argparse
import re
from decimal import Decimal
from typing import TYPE_CHECKING

from ledger.errors import BadInput
from ledger.text import quoted
from ledger.wording import capital, say, strung, word
from tui.verbs import answer, typed
from tui.verbs.parser import Parser, common, with_day, with_format
from tui.verbs.place import to_read, to_write

if TYPE_CHECKING:
    from ledger.selling.listing import PriceRow
    from ledger.stock.catalogue import SpeciesRow
    from ledger.stock.templates import SpeciesTemplate


def add(top: Parser) -> None:
    """Add these verbs."""
    kinds = common(top.verb("species", "List the species; take one in, set its figures, list the templates."))
    parser = kinds.verb(
        "add",
        "Take a species into the ledger: from a template that comes with the program, or described by hand.",
        add_species,
        epilog="rearledger species add PACH --template pachnoda-marginata\n"
        'rearledger species add SNAIL --name "roman snail" --stages "clutch=object, juvenile, adult" --sold adult',
    )
    common(parser).add_argument("code", metavar="CODE", help="a short code of your own, as PACH")
    parser.add_argument("--template", metavar="KEY", help="see: rearledger species templates")
    parser.add_argument("--name", metavar="WORDS", help="the name you call it by")
    parser.add_argument("--stages", metavar="LIST", help="without a template: its stages in order, comma between")
    parser.add_argument("--reared", metavar="STAGE", help="the stage that counts as reared; else the last of animals")
    parser.add_argument("--sold", metavar="LIST", help="the stages that you sell")
    parser.add_argument("--scientific", metavar="NAME", help="its scientific name")
    parser.add_argument("--group", metavar="WORDS", help="what kind of animal it is, such as snails")
    parser = with_format(kinds.verb("templates", "List the templates that come with the program.", list_templates))
    parser.add_argument("part", metavar="WORD", nargs="?", default="", help="only those that have this in a name")
    parser = kinds.verb(
        "set",
        "Set a figure of a species or of one of its stages from a day on.",
        set_figure,
        epilog="rearledger species set PACH adult hardening days 14\n"
        "rearledger species set PACH L3 planning survival 92% --from 2025-01-01\n"
        "rearledger species set PACH round days 4",
    )
    common(parser).add_argument("code", metavar="CODE")
    parser.add_argument("words", metavar="[STAGE] FIGURE VALUE", nargs="+")
    with_day(parser, "from", "the day from which it counts; else today")
    parser.add_argument("--source", metavar="WORDS", help="where the figure comes from")
    kinds.set_defaults(run=list_species)
    parser = common(
        top.verb(
            "price",
            "Set a price from a day on, or list the prices.",
            price,
            epilog="rearledger price\nrearledger price PACH L3 12.00 --pack 10\n"
            'rearledger price PACH adult 9.00 --pack "pair 1.1"\nrearledger price PACH L3 45 --pack 50 --trade',
        )
    )
    parser.add_argument("words", metavar="SPECIES STAGE AMOUNT", nargs="*")
    parser.add_argument(
        "--pack",
        metavar="PACK",
        help="how many animals, or a pack: 'pair 1.1', 'pack of 10 unsexed + 1', ootheca, 'colony of 20'; else one",
    )
    parser.add_argument("--sex", metavar="SEX", default="any", help="any, male, female or unsexed")
    parser.add_argument("--trade", action="store_true", help="for trade buyers")
    with_day(parser, "from", "the day from which it counts; else today")
    with_day(parser, "on", "list the prices of that day; else today's")


def list_species(args: argparse.Namespace) -> int:
    """The species of the ledger."""
    columns: tuple[answer.Column[SpeciesRow], ...] = (
        answer.Column("species", lambda row: row.code),
        answer.Column("name", lambda row: row.common),
        answer.Column("scientific", lambda row: row.scientific),
        answer.Column("group", lambda row: row.group),
        answer.Column("stages", lambda row: [stage.name for stage in row.stages]),
        answer.Column("reared", lambda row: row.reared),
        answer.Column("template", lambda row: row.template, listed=False),
        answer.Column("caution", lambda row: row.caution, listed=False),
    )
    with to_read(args) as ledger:
        rows = ledger.species()
    hint = "Take one in: rearledger species add CODE --template KEY"
    answer.write_rows(rows, columns, args.format, none="There are no species yet.", hint=hint)
    return 0


def list_templates(args: argparse.Namespace) -> int:
    """The templates that come with the program; needs no ledger."""
    from ledger.stock.templates import matching

    columns: tuple[answer.Column[SpeciesTemplate], ...] = (
        answer.Column("template", lambda row: row.key),
        answer.Column("name", lambda row: row.common),
        answer.Column("scientific", lambda row: row.scientific),
        answer.Column("group", lambda row: row.group),
        answer.Column("stages", lambda row: [stage.name for stage in row.stages]),
        answer.Column("reared", lambda row: row.reared),
        answer.Column("caution", lambda row: row.caution, listed=False),
    )
    rows = list(matching(args.part))
    answer.write_rows(rows, columns, args.format, none="No template has that in a name.")
    return 0


def add_species(args: argparse.Namespace) -> int:
    """Take a species in."""
    from ledger.stock.commands import AddSpecies, DescribeSpecies

    command: AddSpecies | DescribeSpecies
    by_hand = [name for name in ("stages", "reared", "sold", "scientific", "group") if getattr(args, name) is not None]
    if args.template is not None:
        if by_hand:
            raise BadInput(f"A template brings its own; leave --{by_hand[0]} out, or --template.", field=by_hand[0])
        command = AddSpecies(args.code, args.template, args.name)
    elif args.stages is None:
        raise BadInput(
            "Say --template and its key, or describe it by hand with --stages; see rearledger species templates.",
            field="template",
        )
    else:
        from tui.verbs.described import described

        command = described(
            args.code,
            args.stages,
            common=args.name or "",
            scientific=args.scientific or "",
            group=args.group or "",
            reared=args.reared or "",
            sold=args.sold or "",
        )
    with to_write(args) as ledger:
        return answer.done(ledger.do(command), args.format)


def set_figure(args: argparse.Namespace) -> int:
    """Set a dated figure."""
    from ledger.stock.commands import SetFigure

    stage, name, value = read_figure(args.words)
    with to_write(args) as ledger:
        on = typed.day_or_today(getattr(args, "from"), ledger, "from")
        command = SetFigure(args.code, stage, name, value, on)
        if args.source is not None:
            command = SetFigure(args.code, stage, name, value, on, args.source)
        return answer.done(ledger.do(command), args.format)


def read_figure(words: list[str]) -> tuple[str | None, str, int]:
    """'soft adult hardening days 14' as (stage or None, figure, value in the units of the records)."""
    from ledger.stock.figures import MILLIONTHS, SPECIES_FIGURES, STAGE_FIGURES, THOUSANDTHS, YES_NO

    known = sorted((*SPECIES_FIGURES, *STAGE_FIGURES), key=len, reverse=True)
    *before, value = " ".join(words).split()
    text = " ".join(before).casefold()
    name = next((one for one in known if text == one or text.endswith(f" {one}")), None)
    if name is None:
        raise BadInput(
            say(
                "Say which figure and its value; the figures are {figures}.",
                figures=strung(map(word, sorted(known)), ", "),
            ),
            field="name",
        )
    stage = " ".join(" ".join(before).split()[: -len(name.split())]) or None
    if name in YES_NO:
        if value.casefold() not in ("yes", "no"):
            raise BadInput(
                say("{figure} is yes or no, not {typed}.", figure=capital(word(name)), typed=quoted(value)),
                field="value",
            )
        return stage, name, int(value.casefold() == "yes")
    if name in MILLIONTHS:
        return stage, name, typed.share(value, 1_000_000, say("a share"), "value")
    if name in THOUSANDTHS:
        return stage, name, _thousandths(value)
    return stage, name, typed.whole(value, say("a number of days"), "value", least=0, most=40_000)


def _thousandths(text: str) -> int:
    if not re.fullmatch(r"[0-9]{1,3}(?:[.,][0-9]{1,3})?", text, flags=re.ASCII):
        raise BadInput(
            say("{typed} is not a weight; write it like 0.5, where 1 is a full share.", typed=quoted(text)),
            field="value",
        )
    return int(Decimal(text.replace(",", ".")) * 1000)


def price(args: argparse.Namespace) -> int:
    """Set a price, or list them."""
    from ledger.selling.commands import SetPrice

    if not args.words:
        return _list_prices(args)
    words = " ".join(args.words).split()
    if len(words) < 3:
        raise BadInput("Write the species, the stage and the price, such as: price PACH L3 12.00 --pack 10.")
    if args.on is not None:
        raise BadInput("--on lists the prices of a day; a price counts --from a day.", field="on")
    species, *stage, amount = words
    animals, pack = read_pack(args.pack)
    with to_write(args) as ledger:
        command = SetPrice(
            species,
            " ".join(stage),
            typed.amount(amount, ledger.currency),
            typed.day_or_today(getattr(args, "from"), ledger, "from"),
            animals,
            args.sex,
            pack,
            "trade" if args.trade else "retail",
        )
        return answer.done(ledger.do(command), args.format)


def read_pack(text: str | None) -> tuple[int, str]:
    """(animals, name of the pack): '10' is a group of ten, 'pair 1.1' counts its own animals, 'pack of 25' too."""
    if text is None:
        return 1, "single"
    if text.isascii() and text.isdigit():
        animals = typed.whole(text, "a number of animals", "pack")
        return animals, "single" if animals == 1 else f"group of {animals}"
    from ledger.selling.packs import read_pack as read

    return read(text).animals, text


def _list_prices(args: argparse.Namespace) -> int:
    with to_read(args) as ledger:
        on = typed.day_or_today(args.on, ledger, "on")
        rows = ledger.prices(on)
        currency = ledger.currency
    columns: tuple[answer.Column[PriceRow], ...] = (
        answer.Column("species", lambda row: row.species),
        answer.Column("stage", lambda row: row.stage),
        answer.Column("sex", lambda row: row.sex),
        answer.Column("pack", lambda row: row.pack),
        answer.Column("animals", lambda row: row.animals, figure=True),
        answer.Column("extra", lambda row: row.extra, "on top", figure=True),
        answer.Column("buyer", lambda row: row.buyer),
        answer.Column("price", lambda row: answer.money(row.amount, currency), f"price {currency.code}", figure=True),
        answer.Column("from", lambda row: answer.day(row.from_on)),
    )
    hint = "Set one: rearledger price SPECIES STAGE AMOUNT"
    answer.write_rows(rows, columns, args.format, none="There are no prices yet.", hint=hint)
    return 0
