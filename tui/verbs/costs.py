"""Verbs about costs that are entered: the list of costs, and what happens to one later."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from tui.verbs import answer, typed
from tui.verbs.parser import Parser, Run, common, with_day
from tui.verbs.place import to_read, to_write
from tui.verbs.selling import page, with_page

if TYPE_CHECKING:
    from ledger.costs.explain.months import MonthRow
    from ledger.costs.in_use import OpenRow
    from ledger.costs.listing import CostRow


def add(top: Parser) -> None:
    """Add these verbs."""
    listed = common(top.verb("costs", "List what was spent, newest first; pay, finish or take back one."))
    with_page(listed)
    parser = _of_one(listed, "pay", "Pay what was bought unpaid.", pay)
    parser.add_argument("amount", metavar="AMOUNT")
    parser = _of_one(listed, "refund", "Record that money came back from the supplier.", refund)
    parser.add_argument("amount", metavar="AMOUNT")
    parser = _of_one(listed, "finished", "Record on which day something was used up.", finished)
    with_day(parser, "last", "the last day it was used; else --date")
    parser = _of_one(listed, "disposed", "Record that equipment was sold or thrown away.", disposed)
    parser.add_argument("--proceeds", metavar="AMOUNT", default="0", help="what it fetched")
    common(listed.verb("open", "List feed and the like in use, and how long it is thought to last.", in_use))
    common(listed.verb("months", "List what was spent in each month on each kind; explain spent goes on.", by_month))
    parser = common(listed.verb("takeback", "Take back a cost entered by mistake.", take_back))
    parser.add_argument("number", metavar="COST", help="the number of the cost")
    parser.add_argument("--note", metavar="WORDS", default="")
    parser = common(listed.verb("correct", "Correct a cost: take it back and record it anew, in one act.", correct))
    parser.add_argument("number", metavar="COST", help="the number of the cost")
    parser.add_argument("--category", metavar="WORD", help="what the money was spent on")
    parser.add_argument("--amount", metavar="AMOUNT", help="with tax")
    parser.add_argument("--supplier", metavar="NAME")
    parser.add_argument("--text", metavar="WORDS", help="what it was")
    with_day(parser, "date", "the day it was bought; else as it was")
    listed.set_defaults(run=list_costs)


def _of_one(listed: Parser, name: str, words: str, run: Run) -> Parser:
    parser = common(listed.verb(name, words, run))
    parser.add_argument("number", metavar="COST", help="the number of the cost")
    parser.add_argument("--note", metavar="WORDS", default="")
    return with_day(parser, "date", "the day of it; else today")


def _number(args: argparse.Namespace) -> int:
    return typed.whole(args.number, "the number of a cost", "cost", most=10**12)


def pay(args: argparse.Namespace) -> int:
    """Pay a cost."""
    from ledger.costs.commands import PayCost

    with to_write(args) as ledger:
        on = typed.day_or_today(args.date, ledger)
        command = PayCost(_number(args), on, typed.amount(args.amount, ledger.currency), args.note)
        return answer.done(ledger.do(command), args.format)


def refund(args: argparse.Namespace) -> int:
    """Money came back."""
    from ledger.costs.commands import RefundCost

    with to_write(args) as ledger:
        on = typed.day_or_today(args.date, ledger)
        command = RefundCost(_number(args), on, typed.amount(args.amount, ledger.currency), args.note)
        return answer.done(ledger.do(command), args.format)


def finished(args: argparse.Namespace) -> int:
    """Used up on a day."""
    from ledger.costs.commands import EndWindow

    with to_write(args) as ledger:
        on = typed.day_or_today(args.date, ledger)
        command = EndWindow(_number(args), on, typed.day(args.last, ledger, "last") or on, args.note)
        return answer.done(ledger.do(command), args.format)


def disposed(args: argparse.Namespace) -> int:
    """Sold or thrown away."""
    from ledger.costs.commands import Dispose

    with to_write(args) as ledger:
        on = typed.day_or_today(args.date, ledger)
        command = Dispose(_number(args), on, typed.amount(args.proceeds, ledger.currency, "proceeds"), args.note)
        return answer.done(ledger.do(command), args.format)


def take_back(args: argparse.Namespace) -> int:
    """Entered by mistake."""
    from ledger.costs.commands import ReverseCost

    with to_write(args) as ledger:
        return answer.done(ledger.do(ReverseCost(_number(args), args.note)), args.format)


def correct(args: argparse.Namespace) -> int:
    """As it should have been; what is not said stays as it was."""
    from ledger.costs.commands import CorrectCost, Spend
    from ledger.errors import NotFound

    with to_write(args) as ledger:
        number = _number(args)
        row = next(iter(ledger.costs(1, number + 1)), None)
        if row is None or row.id != number:
            raise NotFound(f"There is no cost number {number}; look it up under costs.", field="cost")
        category = row.category if args.category is None else args.category.strip().casefold()
        kind = row.kind if category == row.category else ledger.categories().get(category, "used up")
        scope = "none" if kind == "selling" else "all" if row.scope == "none" else row.scope
        spend = Spend(
            typed.day(args.date, ledger, "date") or row.bought_on,
            category,
            row.gross if args.amount is None else typed.amount(args.amount, ledger.currency),
            row.supplier if args.supplier is None else args.supplier,
            row.text if args.text is None else args.text,
            row.tax,
            kind,
            scope,
            row.whom if scope == "species" else (),
            row.whom if scope in ("lots", "brood") else (),
            life_days=row.life_days if kind == "lasting" else None,
            note=row.note,
            unpaid=row.paid < row.gross,
        )
        return answer.done(ledger.do(CorrectCost(number, spend)), args.format)


def in_use(args: argparse.Namespace) -> int:
    """What is open."""
    with to_read(args) as ledger:
        rows = ledger.in_use()
        currency = ledger.currency
    columns: tuple[answer.Column[OpenRow], ...] = (
        answer.Column("cost", lambda row: row.cost, figure=True),
        answer.Column("category", lambda row: row.category),
        answer.Column("item", lambda row: row.item),
        answer.Column("for", lambda row: list(row.whom), text=lambda row: ", ".join(row.whom) or "all animals"),
        answer.Column("opened_on", lambda row: answer.day(row.opened_on), "opened on"),
        answer.Column("thought_until", lambda row: answer.day(row.thought_until), "thought to last until"),
        answer.Column("overdue", lambda row: row.overdue, "", lambda row: "open the next?" if row.overdue else ""),
        answer.Column("basis", lambda row: answer.money(row.basis, currency), f"cost {currency.code}", figure=True),
    )
    answer.write_rows(rows, columns, args.format, none="Nothing is in use.", hint="rearledger spend feed 24.00 Ombrel")
    return 0


def by_month(args: argparse.Namespace) -> int:
    """Spending by month and kind."""
    from ledger.costs.explain.months import months_of_spending

    with to_read(args) as ledger:
        rows = ledger.ask(months_of_spending, ledger.today)
        currency = ledger.currency
    columns: tuple[answer.Column[MonthRow], ...] = (
        answer.Column("month", lambda row: row.month),
        answer.Column("category", lambda row: row.category),
        answer.Column("shown", lambda row: answer.money(row.shown, currency), currency.code, figure=True),
        answer.Column("exact", lambda row: answer.in_major(row.exact, currency), listed=False),
    )
    answer.write_rows(
        rows,
        columns,
        args.format,
        none="Nothing was spent yet.",
        hint="rearledger explain spent power --month 2025-07",
    )
    return 0


def list_costs(args: argparse.Namespace) -> int:
    """The costs."""
    limit, before = page(args)
    with to_read(args) as ledger:
        rows = ledger.costs(limit, before)
        currency = ledger.currency

    def money(name: str, *, listed: bool = False) -> answer.Column[CostRow]:
        return answer.Column(name, lambda row: answer.money(getattr(row, name), currency), figure=True, listed=listed)

    columns: tuple[answer.Column[CostRow], ...] = (
        answer.Column("cost", lambda row: row.id, figure=True),
        answer.Column("bought_on", lambda row: answer.day(row.bought_on), "bought on"),
        answer.Column("category", lambda row: row.category),
        answer.Column("supplier", lambda row: row.supplier),
        answer.Column("text", lambda row: row.text),
        answer.Column("kind", lambda row: row.kind),
        answer.Column("for", whom),
        answer.Column("gross", lambda row: answer.money(row.gross, currency), f"amount {currency.code}", figure=True),
        money("tax"),
        money("basis"),
        money("paid"),
        money("refunded"),
        money("unpaid", listed=True),
        answer.Column("used_from", lambda row: answer.day(row.window_from), listed=False),
        answer.Column("used_to", lambda row: answer.day(row.window_to), listed=False),
        answer.Column("life_days", lambda row: row.life_days, figure=True, listed=False),
        answer.Column("disposed_on", lambda row: answer.day(row.disposed_on), listed=False),
        answer.Column("sale", lambda row: row.sale or None, listed=False),
        answer.Column("taken_back", lambda row: row.taken_back, "", lambda row: "taken back" if row.taken_back else ""),
        answer.Column("note", lambda row: row.note, listed=False),
    )
    hint = "Record one: rearledger spend feed 24.00 Ombrel"
    answer.write_rows(rows, columns, args.format, none="Nothing has been spent yet.", hint=hint)
    return 0


def whom(row: CostRow) -> str:
    """What a cost was for, in words."""
    if row.kind == "animals":
        return "the animals bought"
    if row.scope == "none":
        return f"sale {row.sale}" if row.sale else "selling"
    if row.scope == "all":
        return "all animals"
    return f"{'brood of ' if row.scope == 'brood' else ''}{', '.join(row.whom)}"
