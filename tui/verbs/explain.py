"""The verb that takes a figure apart: of a lot, a species or a sale; two lots side by side; where a cost went."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from ledger.errors import BadInput
from tui.verbs import answer, typed
from tui.verbs.parser import Parser, common, with_day
from tui.verbs.place import to_read

if TYPE_CHECKING:
    from collections.abc import Sequence

    from ledger.costs.explain.answers import Answer, Line, LotSide, Versus
    from ledger.money import Currency

FOR_A_HUNDRED = "for a hundred"
LISTS = ("causes", "by_category", "by_stage")
TITLES = {"causes": "why", "by_category": "by category", "by_stage": "by the stage at which it was borne"}


def add(top: Parser) -> None:
    """Add this verb."""
    kinds = common(
        top.verb(
            "explain",
            "Take a cost figure apart, compare two lots, or show where a cost went.",
            epilog="rearledger explain lot P11\nrearledger explain lot P11 --by month\n"
            "rearledger explain lot P11 --against P09\nrearledger explain sale S-2025-0014 --line 1\n"
            "rearledger explain cost 123\nrearledger explain spent power --month 2025-07",
        )
    )
    parser = _one(kinds, "lot", "LOT", "Why a lot costs what it costs, or why more than another.", lot, "axis")
    parser.add_argument("--figure", metavar="FIGURE", help="each (reared adult), carried, lost or brood")
    parser.add_argument("--stage", metavar="STAGE", help="only what the animals at this stage carry")
    parser.add_argument("--against", metavar="LOT", help="why a reared adult is dearer than one of that lot")
    _one(kinds, "species", "CODE", "Why a reared adult of a species costs what it costs.", species, "axis")
    parser = _one(kinds, "sale", "NUMBER", "What the animals of a sale had cost.", sale, "axis")
    parser.add_argument("--line", metavar="N", help="one line of it only")
    _one(kinds, "uncarried", "", "Costs that no animals carried, for there were none.", uncarried, "axis")
    _one(kinds, "cost", "COST", "Where a cost went: alive, sold, lost, not used up.", cost, "way")
    parser = _one(kinds, "spent", "CATEGORY", "Where a month of spending on a category went.", spent, "way")
    parser.add_argument("--month", metavar="MONTH", required=True, help="as 2025-07")


def _one(kinds: Parser, name: str, what: str, words: str, run: object, by: str) -> Parser:
    parser = common(kinds.verb(name, words, run))  # type: ignore[arg-type]
    if what:
        parser.add_argument("what", metavar=what)
    said = "category, stage, month, entry or movement" if by == "axis" else "outcome, lot or detail"
    parser.add_argument("--by", metavar="PART", default="category" if by == "axis" else "outcome", help=said)
    return with_day(parser, "on", "with what is accounted up to that day; else today")


def lot(args: argparse.Namespace) -> int:
    """A figure of a lot, or two lots."""
    from ledger.costs.explain.asked import compare_lots, explain_lot

    if args.against is not None and (args.figure is not None or args.stage is not None or args.by != "category"):
        raise BadInput("Two lots are compared in every way at once; leave the other options out.", "against")
    with to_read(args) as ledger:
        on = typed.day(args.on, ledger, "on") or ledger.today
        if args.against is not None:
            return _write_versus(ledger.ask(compare_lots, args.what, args.against, on), args.format, ledger.currency)
        found = ledger.ask(explain_lot, args.what, on, figure=args.figure, stage=args.stage, by=args.by)
        return _write(found, args.format, ledger.currency)


def species(args: argparse.Namespace) -> int:
    """A species."""
    from ledger.costs.explain.asked import explain_species

    with to_read(args) as ledger:
        on = typed.day(args.on, ledger, "on") or ledger.today
        return _write(ledger.ask(explain_species, args.what, on, by=args.by), args.format, ledger.currency)


def sale(args: argparse.Namespace) -> int:
    """A sale."""
    from ledger.costs.explain.asked import explain_sale

    line = None if args.line is None else typed.whole(args.line, "the number of a line", "line")
    with to_read(args) as ledger:
        on = typed.day(args.on, ledger, "on") or ledger.today
        return _write(ledger.ask(explain_sale, args.what, on, line=line, by=args.by), args.format, ledger.currency)


def uncarried(args: argparse.Namespace) -> int:
    """What no animals carried."""
    from ledger.costs.explain.asked import explain_uncarried

    with to_read(args) as ledger:
        on = typed.day(args.on, ledger, "on") or ledger.today
        return _write(ledger.ask(explain_uncarried, on, by=args.by), args.format, ledger.currency)


def cost(args: argparse.Namespace) -> int:
    """Where a cost went."""
    from ledger.costs.explain.went import where_cost_went

    # A cost may be named as it is talked of: C123.
    number = typed.whole(args.what.lstrip("cC#"), "the number of a cost", "cost", most=10**12)
    with to_read(args) as ledger:
        on = typed.day(args.on, ledger, "on") or ledger.today
        return _write(ledger.ask(where_cost_went, number, on, by=args.by), args.format, ledger.currency)


def spent(args: argparse.Namespace) -> int:
    """Where a month of a category went."""
    from ledger.costs.explain.went import where_month_went

    with to_read(args) as ledger:
        on = typed.day(args.on, ledger, "on") or ledger.today
        found = ledger.ask(where_month_went, args.what, args.month, on, by=args.by)
        return _write(found, args.format, ledger.currency)


# --- writing ----------------------------------------------------------------------------------------------------------


def _columns(currency: Currency, by: str, in_all: str | None) -> list[answer.Column[Line]]:
    def money(name: str, title: str, *, listed: bool = True) -> answer.Column[Line]:
        return answer.Column(
            name, lambda line: answer.money(getattr(line, name), currency), title, figure=True, listed=listed
        )

    return [
        answer.Column("kind", lambda line: line.kind, listed=False),
        answer.Column("name", lambda line: line.name, by),
        answer.Column("about", lambda line: line.about, ""),
        money("shown", currency.code if in_all is None else f"{currency.code} each"),
        money("in_all", in_all or "in all", listed=in_all is not None),
        answer.Column("exact", lambda line: answer.in_major(line.exact, currency), listed=False),
        answer.Column(
            "categories",
            lambda line: {name: answer.in_major(part, currency) for name, part in line.categories if name},
            listed=False,
        ),
        answer.Column("cost", lambda line: line.cost, figure=True, listed=False),
        answer.Column("movement", lambda line: line.movement, figure=True, listed=False),
        answer.Column("lot", lambda line: line.lot or None, listed=False),
    ]


def _write(found: Answer, form: str, currency: Currency) -> int:
    from ledger.costs.explain.words import in_words

    columns = _columns(currency, found.by, None if found.number is None else "in all")
    if form == "json":
        answer.write_json(
            {
                "about": found.about,
                "figure": found.figure,
                "words": in_words(found, currency),
                "shown": answer.money(found.shown, currency),
                "exact": answer.in_major(found.exact, currency),
                "in_all": answer.money(found.in_all, currency),
                "number": found.number,
                "by": found.by,
                "parts": _as_json(found.lines, columns),
                "notes": list(found.notes),
            }
        )
    elif form == "csv":
        answer.write_rows(found.lines, columns, form, none="")
    else:
        answer.say(in_words(found, currency))
        if found.lines:
            answer.say("")
            answer.write_rows(found.lines, columns, form, none="")
            answer.say("")
            answer.say(f"Adds up to {answer.money(found.shown, currency)} {currency.code}.")
        for note in found.notes:
            answer.say(f"{note[0].upper()}{note[1:]}.")
    return 0


def _as_json(lines: Sequence[Line], columns: Sequence[answer.Column[Line]]) -> answer.Json:
    return [{column.key: column.value(line) for column in columns} for line in lines]


def _write_versus(found: Versus, form: str, currency: Currency) -> int:
    from ledger.costs.explain.words import why_dearer

    columns = _columns(currency, "", FOR_A_HUNDRED)
    lists: dict[str, tuple[Line, ...]] = {name: getattr(found, name) for name in LISTS}
    if form == "json":
        answer.write_json(
            {
                "lots": [_side(side, currency) for side in (found.one, found.other)],
                "words": list(why_dearer(found, currency)),
                "shown": answer.money(found.shown, currency),
                "exact": answer.in_major(found.exact, currency),
                **{name: _as_json(lines, columns) for name, lines in lists.items()},
                "notes": list(found.notes),
            }
        )
    elif form == "csv":
        rows = [(name, line) for name, lines in lists.items() for line in lines]
        named: list[answer.Column[tuple[str, Line]]] = [answer.Column("list", lambda row: row[0])]
        named += [_of_pair(column) for column in columns]
        answer.write_rows(rows, named, form, none="")
    else:
        for sentence in why_dearer(found, currency):
            answer.say(sentence)
        for name, lines in lists.items():
            titled = _columns(currency, TITLES[name], FOR_A_HUNDRED)
            answer.say("")
            answer.write_rows(lines, titled, form, none="No difference.")
        answer.say("")
        answer.say(f"Each list adds up to {answer.money(found.shown, currency)} {currency.code}.")
        for note in found.notes:
            answer.say(f"{note[0].upper()}{note[1:]}.")
    return 0


def _of_pair(column: answer.Column[Line]) -> answer.Column[tuple[str, Line]]:
    return answer.Column(column.key, lambda row: column.value(row[1]), figure=column.figure)


def _side(side: LotSide, currency: Currency) -> answer.Json:
    return {
        "lot": side.lot,
        "shown": answer.money(side.shown, currency),
        "exact": answer.in_major(side.each, currency),
        "reared": side.reared,
        "lost": side.lost,
        "came_with": answer.in_major(side.came_with, currency),
        "spent": answer.in_major(side.spent, currency),
        "bears": str(side.bears),
    }
