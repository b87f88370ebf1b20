"""Verbs that only look: what is alive, what is ready to sell, what needs doing, what was recorded."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from ledger.errors import BadInput, NotFound
from tui.verbs import answer, drawing, typed
from tui.verbs.parser import Parser, common, with_day
from tui.verbs.place import to_read
from tui.verbs.selling import page, with_page

if TYPE_CHECKING:
    import datetime as dt

    from ledger.books.due import DueRow
    from ledger.money import Currency
    from ledger.selling.affected import AffectedRow
    from ledger.selling.customers import CustomerRow
    from ledger.selling.holds import Hold
    from ledger.selling.prices import Pack
    from ledger.selling.ready import ReadyRow
    from ledger.stock.entries import EntryRow
    from ledger.stock.queries import StockRow

STOCK: tuple[answer.Column[StockRow], ...] = (
    answer.Column("species", lambda row: row.species),
    answer.Column("lot", lambda row: row.lot),
    answer.Column("stage", lambda row: row.stage),
    answer.Column("sex", lambda row: row.sex, text=lambda row: f"{row.sure} {row.sex}" if _unsure(row) else row.sex),
    answer.Column("sure", lambda row: row.sure, listed=False),
    answer.Column("tub", lambda row: row.tub),
    answer.Column("count", lambda row: row.count, figure=True),
    answer.Column("set_aside", lambda row: row.earmarked, figure=True),
    answer.Column("unit", lambda row: row.unit, listed=False),
)


def _unsure(row: StockRow) -> bool:
    return row.sure == "probable"


def add(top: Parser) -> None:
    """Add these verbs."""
    parser = common(top.verb("stock", "Show what is alive: species, lot, stage, sex, tub and number.", stock))
    with_day(parser, "on", "at the end of that day; else now")
    parser.add_argument("--species", metavar="CODE", help="one species only")
    parser.add_argument("--lot", metavar="LOT", help="one lot only")
    parser.add_argument("--by-month", action="store_true", help="how many were alive at the end of each month")
    drawing.with_picture(parser)
    parser = common(top.verb("ready", "Show what can be sold now or soon, at what price and of what origin.", ready))
    with_day(parser, "on", "as of that day; else today")
    common(top.verb("due", "Show what needs doing.", due))
    parser = common(top.verb("entries", "Show what was recorded of the stock, newest first.", entries))
    with_page(parser)
    common(top.verb("customers", "List the customers.", customers))
    common(top.verb("affected", "List sales whose stated origin no longer reads as the records give it.", affected))


def stock(args: argparse.Namespace) -> int:
    """What is alive."""
    if args.by_month:
        return _over_time(args)
    if args.picture is not None:
        raise BadInput("Only the stock by month is drawn; add --by-month.", "picture")
    with to_read(args) as ledger:
        rows = ledger.stock(typed.day(args.on, ledger, "on"), species=args.species, lot=args.lot)
    hint = "Open a lot: rearledger lot add CODE SPECIES opening about 40 L3"
    answer.write_rows(rows, STOCK, args.format, none="There are no animals.", hint=hint)
    return 0


def _over_time(args: argparse.Namespace) -> int:
    from ledger.stock.over_time import alive_over_time
    from tui.drawn import Picture
    from tui.over_time import over_time_picture

    path = drawing.asked(args)
    with to_read(args) as ledger:
        whence = drawing.origin(path, ledger, typed.day(args.on, ledger, "on"))
        known = ledger.ask(alive_over_time, typed.day(args.on, ledger, "on") or ledger.today)
    if args.lot is not None:
        raise BadInput("The stock by month is told by species; leave the lot out.", "lot")
    wanted = (args.species or "").upper()
    found = [one for one in known if one.species == wanted]
    if known and not found:
        raise NotFound(f"No animals of {args.species} were ever recorded.", "species")
    rows = [row for one in found for row in one.months]
    if path is not None:
        drawing.draw(path, over_time_picture(found[0]) if found else Picture("", ()), whence)
    columns: tuple[answer.Column[tuple[dt.date, int]], ...] = (
        answer.Column("end", lambda row: answer.day(row[0]), "end of the month"),
        answer.Column("alive", lambda row: row[1], figure=True),
    )
    answer.write_rows(rows, columns, args.format, none="There are no animals.")
    drawing.say_where(path, args.format)
    return 0


def ready(args: argparse.Namespace) -> int:
    """What can be sold."""
    with to_read(args) as ledger:
        on = typed.day(args.on, ledger, "on")
        rows = ledger.ready(on)
        currency = ledger.currency
    columns: tuple[answer.Column[ReadyRow], ...] = (
        answer.Column("species", lambda row: row.species),
        answer.Column("stage", lambda row: row.stage),
        answer.Column("sex", lambda row: row.sex, text=lambda row: f"probable {row.sex}" if _guess(row) else row.sex),
        answer.Column("origin", lambda row: row.origin),
        answer.Column("lot", lambda row: row.lot),
        answer.Column("ready", lambda row: row.ready, figure=True),
        answer.Column("held", lambda row: row.held, figure=True),
        answer.Column("hardening", lambda row: row.hardening, figure=True),
        answer.Column("hardens_on", lambda row: answer.day(row.hardens_on), "due hard, look first"),
        answer.Column("name", lambda row: row.common, listed=False),
        answer.Column("sure", lambda row: row.sure, listed=False),
        answer.Column("origin_code", lambda row: row.origin_code, listed=False),
        answer.Column("kept", lambda row: row.kept, figure=True),
        answer.Column("to_post", lambda row: row.to_post, figure=True),
        answer.Column("pending", lambda row: [[answer.day(on), n] for on, n in row.pending], listed=False),
        answer.Column(
            "price_each", lambda row: answer.money(row.price_each, currency), f"{currency.code} each", figure=True
        ),
        answer.Column("why", _no_price, listed=False),
        answer.Column("packs", lambda row: [_pack(pack, currency) for pack in row.packs], listed=False),
    )
    hint = "Stages that may be sold, and days before sale, are figures of the species: rearledger species set"
    answer.write_rows(rows, columns, args.format, none="Nothing is ready to sell, nor soon.", hint=hint)
    return 0


def _guess(row: ReadyRow) -> bool:
    return row.sure == "probable"


def _no_price(row: ReadyRow) -> str | None:
    """Why there is no price for one."""
    if row.price_each is not None:
        return None
    return "priced by the pack only" if row.packs else "the price list says nothing of them"


def _pack(pack: Pack, currency: Currency) -> answer.Json:
    return {"pack": pack.pack, "animals": pack.animals, "price": answer.money(pack.amount, currency)}


def due(args: argparse.Namespace) -> int:
    """What needs doing."""
    with to_read(args) as ledger:
        rows = ledger.due()
    columns: tuple[answer.Column[DueRow], ...] = (
        answer.Column("on", lambda row: answer.day(row.on), "due"),
        answer.Column("late", lambda row: row.late, "", lambda row: "late" if row.late else ""),
        answer.Column("kind", lambda row: row.kind),
        answer.Column("ref", lambda row: row.ref, listed=False),
        answer.Column("sentence", lambda row: row.sentence, "what"),
    )
    answer.write_rows(rows, columns, args.format, none="Nothing needs doing.")
    return 0


def entries(args: argparse.Namespace) -> int:
    """What was recorded."""
    limit, before = page(args)
    with to_read(args) as ledger:
        rows = ledger.entries(limit, before)
    columns: tuple[answer.Column[EntryRow], ...] = (
        answer.Column("entry", lambda row: row.id, figure=True),
        answer.Column("on", lambda row: answer.day(row.on)),
        answer.Column("since", lambda row: answer.day(row.since), listed=False),
        answer.Column("accounting_on", lambda row: answer.day(row.accounting_on), listed=False),
        answer.Column("text", lambda row: row.text, "what"),
        answer.Column("lots", lambda row: list(row.lots), listed=False),
        answer.Column("movements", lambda row: list(row.movements)),
        answer.Column("stands", lambda row: row.stands, "", lambda row: "" if row.stands else "taken back"),
        answer.Column("by", lambda row: row.by),
        answer.Column("source", lambda row: row.source, listed=False),
        answer.Column("recorded_at", lambda row: row.recorded_at, listed=False),
        answer.Column("note", lambda row: row.note),
    )
    answer.write_rows(rows, columns, args.format, none="Nothing has been recorded yet.")
    return 0


def holds(args: argparse.Namespace) -> int:
    """The holds, open ones first by their deadline."""
    with to_read(args) as ledger:
        rows = ledger.holds()
        currency = ledger.currency
    columns: tuple[answer.Column[Hold], ...] = (
        answer.Column("number", lambda row: row.number),
        answer.Column("customer", lambda row: row.customer),
        answer.Column("animals", lambda row: sum(line.count for line in row.lines), figure=True),
        answer.Column("what", _promised),
        answer.Column("made_on", lambda row: answer.day(row.made_on), listed=False),
        answer.Column("until", lambda row: row.until, text=lambda row: row.until.replace("T", " ")),
        answer.Column("state", lambda row: row.state),
        answer.Column("ended_on", lambda row: answer.day(row.ended_on), listed=False),
        answer.Column(
            "deposit", lambda row: answer.money(row.deposit, currency), f"deposit {currency.code}", figure=True
        ),
        answer.Column("deposit_state", lambda row: row.deposit_state, "its state"),
        answer.Column("note", lambda row: row.note, listed=False),
    )
    answer.write_rows(rows, columns, args.format, none="There are no holds.")
    return 0


def _promised(row: Hold) -> str:
    parts = []
    for line in row.lines:
        sex = f"{line.sure} {line.sex}" if line.sure == "probable" else line.sex
        place = f"{line.lot}/{line.tub}" if line.tub else line.lot
        parts.append(" ".join(part for part in (place, str(line.count), line.stage, sex) if part != "unsexed"))
    return ", ".join(parts)


def customers(args: argparse.Namespace) -> int:
    """The customers."""
    with to_read(args) as ledger:
        rows = ledger.customers()
    columns: tuple[answer.Column[CustomerRow], ...] = (
        answer.Column("id", lambda row: row.id, figure=True),
        answer.Column("name", lambda row: row.name),
        answer.Column("kind", lambda row: row.kind),
        answer.Column("contact", lambda row: row.contact),
        answer.Column("note", lambda row: row.note),
    )
    answer.write_rows(rows, columns, args.format, none="There are no customers yet.")
    return 0


def affected(args: argparse.Namespace) -> int:
    """Sales whose origin was stated otherwise than it now reads."""
    with to_read(args) as ledger:
        rows = ledger.affected_sales()
    columns: tuple[answer.Column[AffectedRow], ...] = (
        answer.Column("sale_line", lambda row: row.sale_line, "note for", figure=True),
        answer.Column("number", lambda row: row.number),
        answer.Column("line", lambda row: row.position, figure=True),
        answer.Column("sold_on", lambda row: answer.day(row.sold_on)),
        answer.Column("customer", lambda row: row.customer),
        answer.Column("lot", lambda row: row.lot),
        answer.Column("animals", lambda row: row.animals, figure=True),
        answer.Column("was", lambda row: row.was, "sold as"),
        answer.Column("now", lambda row: row.now, "by our records"),
        answer.Column("noted_on", lambda row: answer.day(row.noted_on), "buyer told on"),
    )
    answer.write_rows(rows, columns, args.format, none="Every sale states what the records give.")
    return 0
