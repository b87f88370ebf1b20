"""Verbs about one customer: add, find, show, change, erase; and about what a keeper knows of rules for a species."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from tui.verbs import answer, typed
from tui.verbs.parser import Parser, common, with_day
from tui.verbs.place import to_read, to_write

if TYPE_CHECKING:
    from ledger.selling.customers import CustomerRow
    from ledger.selling.flags import FlagRow
    from ledger.selling.sale import Sale


def add(top: Parser) -> None:
    """Add these verbs."""
    customer = top.verb("customer", "Everything about one customer: add, find, show, change, erase.")
    parser = customer.verb("add", "Add a customer; a name is enough.", add_customer)
    common(parser).add_argument("name", metavar="NAME", nargs="+")
    parser.add_argument("--contact", metavar="WORDS", default="", help="only what you need to reach them")
    parser.add_argument("--trade", action="store_true", help="pays trade prices")
    parser.add_argument("--note", metavar="WORDS", default="")
    parser = common(customer.verb("find", "List the customers whose name holds some letters.", find))
    parser.add_argument("letters", metavar="LETTERS", nargs="*")
    parser = common(customer.verb("show", "Show what is on record of a customer.", show))
    parser.add_argument("name", metavar="NAME", nargs="+")
    parser = customer.verb(
        "change",
        "Change how a customer is reached, the prices they pay, or a remark.",
        change,
        epilog='rearledger customer change Tarn --contact "4 Mill Lane, Fenlow" --prices trade',
    )
    common(parser).add_argument("name", metavar="NAME", nargs="+")
    parser.add_argument("--contact", metavar="WORDS", help="only what you need to reach them; '' takes it out")
    parser.add_argument("--prices", metavar="retail|trade", help="which prices count for them")
    parser.add_argument("--note", metavar="WORDS", help="a remark; '' takes it out")
    parser = customer.verb(
        "erase",
        "Erase a person at their request; sales and origins stay, without a name.",
        erase,
        epilog="rearledger customer erase Tarn          says what would be erased, and what rules may want kept\n"
        "rearledger customer erase Tarn --really",
    )
    common(parser).add_argument("name", metavar="NAME", nargs="+")
    parser.add_argument("--really", action="store_true", help="do it; without it nothing is changed")
    flags = common(top.verb("reminder", "What you know of rules for a species; warns before a sale."))
    parser = flags.verb(
        "add",
        "Enter a reminder; it decides nothing about what is legal.",
        add_flag,
        epilog='rearledger reminder add PACH protected --text "listed at home"\n'
        "rearledger reminder add PACH permit --number 12/345 --expires 2025-12-31\n"
        'rearledger reminder add PACH "post limit" --text "not by letter post"',
    )
    common(parser).add_argument("species", metavar="SPECIES")
    parser.add_argument("kind", metavar="KIND", help="protected, invasive, permit or 'post limit'")
    parser.add_argument("--text", metavar="WORDS", default="")
    parser.add_argument("--number", metavar="WORDS", default="", help="of a permit or document")
    with_day(parser, "expires", "last day on which it is in force")
    with_day(parser, "from", "from that day; else today")
    parser = common(flags.verb("end", "End a reminder.", end_flag))
    parser.add_argument("number", metavar="NUMBER", help="of the list")
    with_day(parser, "from", "from that day; else today")
    flags.set_defaults(run=list_flags)


def add_customer(args: argparse.Namespace) -> int:
    """Add a customer."""
    from ledger.selling.commands import AddCustomer

    kind = "trade" if args.trade else "retail"
    with to_write(args) as ledger:
        return answer.done(ledger.do(AddCustomer(" ".join(args.name), args.contact, kind, args.note)), args.format)


CUSTOMERS: tuple[answer.Column[CustomerRow], ...] = (
    answer.Column("id", lambda row: row.id, figure=True),
    answer.Column("name", lambda row: row.name),
    answer.Column("kind", lambda row: row.kind),
    answer.Column("contact", lambda row: row.contact),
    answer.Column("note", lambda row: row.note),
)


def find(args: argparse.Namespace) -> int:
    """Find customers."""
    with to_read(args) as ledger:
        rows = ledger.find_customers(" ".join(args.letters), 50)
    answer.write_rows(rows, CUSTOMERS, args.format, none="No customer has that in the name.")
    return 0


def show(args: argparse.Namespace) -> int:
    """Show a customer."""
    with to_read(args) as ledger:
        found = ledger.history(" ".join(args.name))
        currency = ledger.currency
    if args.format == "json":
        answer.write_json(
            {
                "id": found.customer.id,
                "name": found.customer.name,
                "kind": found.customer.kind,
                "contact": found.customer.contact,
                "note": found.customer.note,
                "bought": answer.money(found.bought, currency),
                "owed": answer.money(found.owed, currency),
                "sales": [
                    {
                        "number": sale.number,
                        "sold_on": answer.day(sale.sold_on),
                        "channel": sale.channel,
                        "total": answer.money(sale.total - sale.credited, currency),
                        "owed": answer.money(sale.owed, currency),
                    }
                    for sale in found.sales
                ],
                "holds": [{"number": hold.number, "until": hold.until, "state": hold.state} for hold in found.holds],
                "waits_for": [row.hold for row in found.queue if row.state == "waiting"],
                "claims": [
                    {"claim": row.id, "sale": row.number, "dead": row.dead, "outcome": row.outcome or None}
                    for row in found.claims
                ],
                "loans": [{"lot": row.lot, "back_on": answer.day(row.back_on)} for row in found.loans],
                "given": [
                    {"on": answer.day(row.on), "kind": row.kind, "animals": row.animals, "lots": list(row.lots)}
                    for row in found.given
                ],
            }
        )
        return 0
    columns: tuple[answer.Column[Sale], ...] = (
        answer.Column("number", lambda row: row.number),
        answer.Column("sold_on", lambda row: answer.day(row.sold_on)),
        answer.Column("channel", lambda row: row.channel),
        answer.Column("animals", lambda row: sum(line.animals for line in row.lines), figure=True),
        answer.Column("total", lambda row: answer.money(row.total - row.credited, currency), figure=True),
        answer.Column("owed", lambda row: answer.money(row.owed, currency), figure=True),
    )
    if args.format == "text":
        who = found.customer
        answer.say(f"{who.name}, {who.kind}{f'; {who.contact}' if who.contact else ''}")
        answer.say(
            f"Bought for {answer.money(found.bought, currency)} {currency.code} in {len(found.sales)} sales; "
            f"{answer.money(found.owed, currency)} owed."
        )
        for hold in found.holds:
            answer.say(f"{hold.number}: {hold.state}, until {hold.until}.")
        for row in found.claims:
            answer.say(f"Claim {row.id} on {row.number}: {row.dead} dead, {row.outcome or 'to be decided'}.")
        for loan in found.loans:
            answer.say(f"{loan.lot} on loan since {loan.lent_on}{f', back {loan.back_on}' if loan.back_on else ''}.")
        for gift in found.given:
            answer.say(f"{gift.kind.capitalize()} of {gift.animals} from {', '.join(gift.lots)}, {gift.on}.")
    answer.write_rows(found.sales, columns, args.format, none="No sales.")
    return 0


def change(args: argparse.Namespace) -> int:
    """Change what is known of a customer."""
    from ledger.selling.commands import ChangeCustomer

    with to_write(args) as ledger:
        command = ChangeCustomer(" ".join(args.name), args.contact, args.prices, args.note)
        return answer.done(ledger.do(command), args.format)


def erase(args: argparse.Namespace) -> int:
    """Erase a person, or say what that would do."""
    from ledger.act import Done
    from ledger.selling.commands import EraseCustomer

    with to_write(args) as ledger:
        command = EraseCustomer(" ".join(args.name), ledger.today)
        if args.really:
            return answer.done(ledger.do(command), args.format)
        plan = ledger.preview(command)
        asked = f"Nothing was changed. {plan.sentence} To do it, add --really."
        return answer.done(Done(asked, {}, plan.cautions), args.format)


def add_flag(args: argparse.Namespace) -> int:
    """Enter a reminder."""
    from ledger.selling.commands import FlagSpecies

    with to_write(args) as ledger:
        command = FlagSpecies(
            args.species,
            args.kind.strip().casefold(),
            typed.day_or_today(getattr(args, "from"), ledger, "from"),
            args.text,
            args.number,
            typed.day(args.expires, ledger, "expires"),
        )
        return answer.done(ledger.do(command), args.format)


def end_flag(args: argparse.Namespace) -> int:
    """End a reminder."""
    from ledger.selling.commands import EndFlag

    number = typed.whole(args.number, "the number of a reminder", "flag", most=10**12)
    with to_write(args) as ledger:
        on = typed.day_or_today(getattr(args, "from"), ledger, "from")
        return answer.done(ledger.do(EndFlag(number, on)), args.format)


def list_flags(args: argparse.Namespace) -> int:
    """The reminders."""
    with to_read(args) as ledger:
        rows = ledger.flags()
        today = ledger.today
    columns: tuple[answer.Column[FlagRow], ...] = (
        answer.Column("number", lambda row: row.id, figure=True),
        answer.Column("species", lambda row: row.species),
        answer.Column("kind", lambda row: row.kind),
        answer.Column("text", lambda row: row.text),
        answer.Column("document", lambda row: row.number),
        answer.Column("from_on", lambda row: answer.day(row.from_on), "from"),
        answer.Column("expires_on", lambda row: answer.day(row.expires_on), "expires"),
        answer.Column("expired", lambda row: row.expired(today)),
        answer.Column("ended_on", lambda row: answer.day(row.ended_on), "ended"),
    )
    answer.write_rows(rows, columns, args.format, none="No reminders are entered; they are yours to enter.")
    return 0
