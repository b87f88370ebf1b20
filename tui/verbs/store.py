"""Verbs about what costs are reckoned from: the store, power by watts, the keeper's own hours, figures of method."""

from __future__ import annotations

import argparse
import re
from decimal import Decimal
from typing import TYPE_CHECKING

from ledger.errors import BadInput
from ledger.text import quoted
from ledger.wording import say
from tui.verbs import answer, typed
from tui.verbs.parser import Parser, common, with_day
from tui.verbs.place import to_read, to_write

if TYPE_CHECKING:
    from ledger.costs.hours import HoursRow
    from ledger.costs.methods import MethodRow
    from ledger.costs.store import StoreRow
    from ledger.ledger import Ledger
    from ledger.money import Currency


def add(top: Parser) -> None:
    """Add these verbs."""
    parser = top.verb(
        "power",
        "Record power reckoned from watts: how strong, how long it is on, what a unit costs.",
        power,
        epilog="rearledger power 20W 55% 0.30 --text 'heat mat' --from 2025-01-01 --to 2025-01-31\n"
        "rearledger power 400W 30% 0.2957 --share 60% --from 2024-11-01 --to 2025-03-30",
    )
    common(parser)
    parser.add_argument("watts", metavar="WATTS", help="as printed on it, such as 20W")
    parser.add_argument("duty", metavar="DUTY", help="the part of the time it is on, such as 55%%; measure it")
    parser.add_argument("price", metavar="PRICE", help="of one kWh: the unit price, not the bill by its units")
    with_day(parser, "from", "first day")
    with_day(parser, "to", "last day; else today")
    parser.add_argument("--hours", metavar="HOURS", default="24", help="a day that it is plugged in; else 24")
    parser.add_argument("--text", metavar="WORDS", default="", help="what it was")
    parser.add_argument("--category", metavar="NAME", default="power", help="else power")
    parser.add_argument("--share", metavar="PART", help="the part that is for the business, such as 60%%")
    _for(parser)
    store = common(top.verb("store", "List what is in store at its average price; take some out, put it back."))
    parser = store.verb(
        "out",
        "Record what was weighed or counted out of the store.",
        take_out,
        epilog="rearledger store out feed 2.5 for P08\nrearledger store out flake 0.5 --to +7\n"
        'put in store: rearledger spend feed 40.00 Ombrel --text flake --quantity "10 kg" --store',
    )
    common(parser).add_argument("what", metavar="WHAT", help="its category, or what it is")
    parser.add_argument("quantity", metavar="QUANTITY", help="in the unit it was bought in")
    with_day(parser, "date", "the day it was taken out; else today")
    with_day(parser, "to", "last day it is used up on; else the same day")
    parser.add_argument("--note", metavar="WORDS", default="")
    _for(parser)
    parser = common(store.verb("back", "Take back a taking out that was entered by mistake.", put_back))
    parser.add_argument("number", metavar="NUMBER")
    parser.add_argument("--note", metavar="WORDS", default="")
    store.set_defaults(run=list_store)
    hours = common(top.verb("hours", "List your own hours: a memo that is in no total; note some."))
    parser = common(
        hours.verb("note", "Note time of your own.", note_hours, epilog="rearledger hours note 1:30 cleaning --for P08")
    )
    parser.add_argument("time", metavar="TIME", help="1:30, 90min, or 1.5 for an hour and a half")
    parser.add_argument("work", metavar="WORDS", nargs="*", help="what you did")
    with_day(parser, "date", "the day of it; else today")
    _for(parser)
    parser = common(hours.verb("drop", "Take back time noted by mistake.", drop_hours))
    parser.add_argument("number", metavar="NUMBER")
    hours.set_defaults(run=list_hours)
    parser = top.verb(
        "method",
        "Set how costs are reckoned from a day on, or list what is set. For your adviser.",
        method,
        epilog="rearledger method brood expense --from 2025-01-01\nrearledger method share power 60%\n"
        "rearledger method hour rate 12.00\nrearledger method sharing heat tub-days\nrearledger method cost basis net\n"
        "rearledger method care feed PACH adult 2.5",
    )
    common(parser).add_argument("words", metavar="NAME VALUE", nargs="*")
    with_day(parser, "from", "the day from which it counts; else today")
    parser.add_argument("--note", metavar="WORDS", default="", help="why")
    parser = top.verb(
        "standard",
        "Set the standard cost of one animal of a stage, for the other valuation. For your adviser.",
        standard,
        epilog="rearledger standard PACH adult 3.75 --from 2025-01-01",
    )
    common(parser).add_argument("words", metavar="SPECIES STAGE AMOUNT", nargs="+")
    with_day(parser, "from", "the day from which it counts; else today")


def _for(parser: Parser) -> None:
    parser.add_argument("--for", metavar="LOT|SPECIES", dest="whom", help="else for all animals")


def _whom(args: argparse.Namespace, ledger: Ledger) -> tuple[str | None, str | None]:
    """Species or lot of `--for`."""
    if args.whom is None:
        return None, None
    name = args.whom.strip().upper()
    return (name, None) if name in ledger.vocabulary().species else (None, name)


def power(args: argparse.Namespace) -> int:
    """Power from watts."""
    from ledger.costs.commands import Power

    watts = typed.whole(re.sub(r"\s*[wW]$", "", args.watts), "a number of watts", "watts", most=100_000)
    first = getattr(args, "from")
    if first is None:
        raise BadInput("From which day? Add --from, such as --from 2025-01-01.", field="from")
    with to_write(args) as ledger:
        species, lot = _whom(args, ledger)
        begun = typed.day(first, ledger, "from")
        assert begun is not None
        command = Power(
            args.category,
            args.text,
            watts,
            typed.share(args.duty, 10_000, "a part of the time", "duty"),
            of_thousand(args.price, ledger.currency),
            begun,
            typed.day_or_today(args.to, ledger, "to"),
            minutes_of(args.hours, "hours"),
            None if args.share is None else typed.share(args.share, 10_000, "a part", "share"),
            () if species is None else (species,),
            () if lot is None else (lot,),
        )
        return answer.done(ledger.do(command), args.format, number="cost")


def of_thousand(text: str, currency: Currency) -> int:
    """A price of one kWh, '0.2957', as that of 1,000 in minor units."""
    if re.fullmatch(r"[0-9]{1,6}(?:[.,][0-9]{1,6})?", text, flags=re.ASCII):
        price = Decimal(text.replace(",", ".")) * 1000 * 10**currency.digits
        if price == int(price):
            return int(price)
    raise BadInput(say("{typed} is not the price of a kWh; write it like 0.2957.", typed=quoted(text)), field="price")


def minutes_of(text: str, field: str) -> int:
    """'1:30' or '1.5' hours in minutes."""
    if found := re.fullmatch(r"([0-9]{1,4}):([0-5][0-9])", text, flags=re.ASCII):
        return int(found[1]) * 60 + int(found[2])
    if found := re.fullmatch(r"([0-9]{1,5}) ?min(?:utes?)?", text, flags=re.ASCII):
        return int(found[1])
    text = re.sub(r" ?h(?:ours?)?$", "", text)
    if re.fullmatch(r"[0-9]{1,4}(?:[.,][0-9]{1,2})?", text, flags=re.ASCII):
        minutes = Decimal(text.replace(",", ".")) * 60
        if minutes == int(minutes):
            return int(minutes)
    raise BadInput(
        say("{typed} is no time; write 1:30, 90min, or 1.5 for an hour and a half.", typed=quoted(text)), field=field
    )


def take_out(args: argparse.Namespace) -> int:
    """Out of the store."""
    from ledger.costs.commands import TakeOut
    from ledger.costs.store import thousandths

    with to_write(args) as ledger:
        species, lot = _whom(args, ledger)
        on = typed.day_or_today(args.date, ledger)
        command = TakeOut(
            args.what,
            thousandths(args.quantity),
            on,
            used_to=typed.day(args.to, ledger, "to"),
            species=species,
            lot=lot,
            note=args.note,
        )
        return answer.done(ledger.do(command), args.format, number="issue")


def put_back(args: argparse.Namespace) -> int:
    """It was not taken out."""
    from ledger.costs.commands import PutBack

    number = typed.whole(args.number, "the number of a taking", "number", most=10**12)
    with to_write(args) as ledger:
        return answer.done(ledger.do(PutBack(number, args.note)), args.format)


def list_store(args: argparse.Namespace) -> int:
    """What is in store."""
    from ledger.costs.store import in_words

    with to_read(args) as ledger:
        rows = ledger.store_items()
        currency = ledger.currency
    columns: tuple[answer.Column[StoreRow], ...] = (
        answer.Column("category", lambda row: row.category),
        answer.Column("item", lambda row: row.item),
        answer.Column("quantity", lambda row: in_words(row.quantity, ""), figure=True),
        answer.Column("unit", lambda row: row.unit),
        answer.Column(
            "average", lambda row: answer.rounded(row.average, currency), f"average {currency.code}", figure=True
        ),
        answer.Column("value", lambda row: answer.money(row.value, currency), figure=True),
        answer.Column("average_exact", lambda row: answer.in_major(row.average, currency), listed=False),
        answer.Column("last_out", lambda row: answer.day(row.last_out), "last taken out"),
    )
    hint = 'Put in store: rearledger spend feed 40.00 Ombrel --text flake --quantity "10 kg" --store'
    answer.write_rows(rows, columns, args.format, none="Nothing was ever put in store.", hint=hint)
    return 0


def note_hours(args: argparse.Namespace) -> int:
    """Own time."""
    from ledger.costs.commands import NoteHours

    with to_write(args) as ledger:
        species, lot = _whom(args, ledger)
        on = typed.day_or_today(args.date, ledger)
        time, work = args.time, list(args.work)
        if work and re.fullmatch(r"min(utes?)?|h(ours?)?", work[0]):
            time = f"{time} {work.pop(0)}"
        command = NoteHours(on, minutes_of(time, "time"), " ".join(work), species, lot)
        return answer.done(ledger.do(command), args.format, number="hours")


def drop_hours(args: argparse.Namespace) -> int:
    """Time noted by mistake."""
    from ledger.costs.commands import DropHours

    number = typed.whole(args.number, "a number of hours noted", "number", most=10**12)
    with to_write(args) as ledger:
        return answer.done(ledger.do(DropHours(number)), args.format)


def list_hours(args: argparse.Namespace) -> int:
    """Own time, newest first."""
    from ledger.costs.hours import time_words

    with to_read(args) as ledger:
        rows = ledger.own_hours()
    columns: tuple[answer.Column[HoursRow], ...] = (
        answer.Column("number", lambda row: row.number, figure=True),
        answer.Column("day", lambda row: answer.day(row.on)),
        answer.Column("minutes", lambda row: row.minutes, "time", lambda row: time_words(row.minutes), figure=True),
        answer.Column("for", lambda row: row.whom or None, text=lambda row: row.whom or "all animals"),
        answer.Column("work", lambda row: row.work),
    )
    answer.write_rows(rows, columns, args.format, none="No time was noted.", hint="rearledger hours note 1:30 cleaning")
    if args.format == "text" and rows:
        answer.say("")
        answer.say(f"{time_words(sum(row.minutes for row in rows))} in all: a memo, never in a total.")
    return 0


def method(args: argparse.Namespace) -> int:
    """Set a figure of method, or list them."""
    from ledger.costs.commands import SetMethod

    if not args.words:
        return _list_methods(args)
    if args.words[0].lower() == "care":
        return care(args)
    *before, value = " ".join(args.words).lower().split()
    if before[:1] == ["deposits"]:
        before, value = before[:1], " ".join([*before[1:], value])
    name = " ".join(before)
    if not name:
        raise BadInput("Write the method and its value, such as: method brood expense.", field="name")
    with to_write(args) as ledger:
        if name.startswith("share "):
            value = str(typed.share(value, 10_000, "a part", "value"))
        elif name == "hour rate":
            value = str(typed.amount(value, ledger.currency, "value"))
        on = typed.day_or_today(getattr(args, "from"), ledger, "from")
        return answer.done(ledger.do(SetMethod(name, value, on, args.note)), args.format)


def care(args: argparse.Namespace) -> int:
    """The care weight of a stage for one category."""
    from ledger.costs.commands import SetCare
    from ledger.costs.store import thousandths

    said = " ".join(args.words[1:]).split()
    with to_write(args) as ledger:
        known = ledger.vocabulary().species
        place = next((place for place, word in enumerate(said) if place and word.upper() in known), None)
        if place is None or len(said) < place + 3:
            raise BadInput("Write it like: method care feed PACH adult 2.5.", field="name")
        weight = 0 if said[-1] == "0" else thousandths(said[-1], "weight")
        on = typed.day_or_today(getattr(args, "from"), ledger, "from")
        category, stage = " ".join(said[:place]), " ".join(said[place + 1 : -1])
        return answer.done(ledger.do(SetCare(category, said[place], stage, weight, on, args.note)), args.format)


def _list_methods(args: argparse.Namespace) -> int:
    with to_read(args) as ledger:
        rows = ledger.methods()
        currency = ledger.currency
    columns: tuple[answer.Column[MethodRow], ...] = (
        answer.Column("method", lambda row: row.name),
        answer.Column("value", lambda row: row.value, text=lambda row: row.in_words(currency)),
        answer.Column("from", lambda row: answer.day(row.from_on)),
        answer.Column("note", lambda row: row.note),
    )
    answer.write_rows(rows, columns, args.format, none="No method was set: all stand as they come.")
    return 0


def standard(args: argparse.Namespace) -> int:
    """A standard cost."""
    from ledger.costs.commands import SetStandardCost

    if len(args.words) < 3:
        raise BadInput("Write the species, the stage and the amount, such as: standard PACH adult 3.75.")
    species, *stage, amount = args.words
    with to_write(args) as ledger:
        on = typed.day_or_today(getattr(args, "from"), ledger, "from")
        command = SetStandardCost(species, " ".join(stage), typed.amount(amount, ledger.currency), on)
        return answer.done(ledger.do(command), args.format)
