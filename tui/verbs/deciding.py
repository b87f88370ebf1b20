"""Verbs that weigh a decision: rear on or sell now, how many to start, what to charge."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from tui.verbs import answer, drawing, typed
from tui.verbs.parser import Parser, common, with_day
from tui.verbs.place import to_read

if TYPE_CHECKING:
    from collections.abc import Callable

    from ledger.money import Currency
    from ledger.rearing.charging import Charge
    from ledger.rearing.choosing import Choice
    from ledger.rearing.how_many import ToStart
    from ledger.rearing.starting import Start

MOST = 1_000_000
"""Animals wanted."""


def add(top: Parser) -> None:
    """Add these verbs."""
    parser = common(
        top.verb(
            "rear-or-sell",
            "Weigh selling a lot's young now against rearing them on.",
            rear_or_sell,
            epilog="rearledger rear-or-sell P14\nrearledger rear-or-sell P14 --stage L3 --now 1.20 --buyers 12",
        )
    )
    parser.add_argument("lot", metavar="LOT", help="the lot")
    parser.add_argument("--stage", metavar="STAGE", help="one stage only")
    parser.add_argument("--now", metavar="AMOUNT", help="what one fetches now; else the price list's")
    parser.add_argument("--later", metavar="AMOUNT", help="what one fetches when ready; else the price list's")
    parser.add_argument("--upkeep", metavar="AMOUNT", help="what one costs a month; else from the costs")
    parser.add_argument(
        "--buyers", metavar="N", help="how many ready ones will find a buyer, or all; else as sales had it"
    )
    parser.add_argument("--interest", metavar="PERCENT", help="interest a year; else none")
    with_day(parser, "on", "as of that day; else today")
    drawing.with_picture(parser)
    parser = common(
        top.verb(
            "how-many",
            "Say how many young to start so that enough are reared.",
            how_many,
            epilog="rearledger how-many PACH 20\nrearledger how-many PACH 20 --stage L3",
        )
    )
    parser.add_argument("species", metavar="SPECIES", help="its code")
    parser.add_argument("wanted", metavar="N", help="how many are to be reared")
    parser.add_argument("--stage", metavar="STAGE", help="the stage started from; else that of most lots")
    with_day(parser, "on", "from what was known on that day; else today")
    drawing.with_picture(parser)
    parser = common(
        top.verb(
            "charge",
            "Say the least to ask for a reared animal, and what better survival would be worth.",
            charge,
            epilog="rearledger charge PACH --margin 30%\nrearledger charge PACH --survival 80%",
        )
    )
    parser.add_argument("species", metavar="SPECIES", help="its code")
    parser.add_argument("--margin", metavar="SHARE", help="wanted part of the price; else none")
    parser.add_argument("--survival", metavar="SHARE", help="another share reared, for comparison")
    with_day(parser, "on", "as of that day; else today")
    drawing.with_picture(parser)


def rear_or_sell(args: argparse.Namespace) -> int:
    """Rear on or sell now."""
    from ledger.rearing.upkeep import a_day

    file = drawing.asked(args)
    with to_read(args) as ledger:
        whence = drawing.origin(file, ledger, typed.day(args.on, ledger, "on"))
        currency = ledger.currency
        monthly = _amount(args.upkeep, currency, "upkeep")
        found = ledger.rear_or_sell(
            args.lot,
            typed.day(args.on, ledger, "on"),
            stage=args.stage,
            price_now=_amount(args.now, currency, "now"),
            price_later=_amount(args.later, currency, "later"),
            upkeep_a_day=None if monthly is None else a_day(monthly),
            buyers=None if args.buyers is None else typed.buyers(args.buyers),
            interest=_share(args.interest, "interest") or 0.0,
        )
    if file is not None:
        from tui.decided import rear_or_sell_told

        drawing.draw(file, rear_or_sell_told(drawing.only_one(found.choices, "stage"), currency).picture, whence)
    if args.format == "text":
        for place, choice in enumerate(found.choices):
            if place:
                answer.say("")
            for sentence in choice.words:
                answer.say(sentence)
        for sentence in found.left_out:
            answer.say(sentence)
        drawing.say_where(file, args.format)
        return 0
    answer.write_rows(found.choices, _choice_columns(currency), args.format, none="")
    return 0


def _choice_columns(currency: Currency) -> tuple[answer.Column[Choice], ...]:
    scale = 10**currency.digits

    def figure(name: str, value: Callable[[Choice], float]) -> answer.Column[Choice]:
        return answer.Column(name, lambda row: value(row), figure=True)

    def money(name: str, value: Callable[[Choice], float]) -> answer.Column[Choice]:
        return figure(name, lambda row: round(value(row) / scale, currency.digits + 4))

    return (
        answer.Column("lot", lambda row: row.lot),
        answer.Column("stage", lambda row: row.stage),
        answer.Column("ready_stage", lambda row: row.ready_stage),
        figure("animals", lambda row: row.animals),
        answer.Column("rear", lambda row: row.rear),
        money("price_now", lambda row: row.price_now),
        money("price_later", lambda row: row.price_later),
        figure("chance", lambda row: row.chance),
        figure("animal_days", lambda row: row.days),
        figure("days_if_reared", lambda row: row.days_if_reared),
        money("upkeep_a_day", lambda row: row.upkeep_a_day),
        money("goes_on_a_day", lambda row: row.goes_on_a_day),
        money("to_come", lambda row: row.numbers.to_come),
        answer.Column("interest", lambda row: row.interest, figure=True),
        answer.Column("buyers", lambda row: row.buyers, figure=True),
        answer.Column("buyers_by_sales", lambda row: row.demand.buyers, figure=True),
        figure("sold_lately", lambda row: row.demand.sold),
        figure("weeks_looked_back", lambda row: row.demand.weeks),
        figure("break_even_share", lambda row: row.numbers.break_even_share),
        money("break_even_price", lambda row: row.numbers.break_even_price),
        figure("sure", lambda row: row.numbers.sure),
        money("gain", lambda row: row.numbers.gain),
        money("not_knowing_costs", lambda row: row.numbers.wrong),
        answer.Column("rear_this_many", lambda row: row.few.best if row.few is not None else None, figure=True),
        answer.Column("values", lambda row: _few_values(row, scale), listed=False),
        answer.Column("words", lambda row: list(row.words), listed=False),
    )


def _few_values(row: Choice, scale: int) -> answer.Json:
    return None if row.few is None else [value / scale for value in row.few.values]


def how_many(args: argparse.Namespace) -> int:
    """How many to start."""
    file = drawing.asked(args)
    with to_read(args) as ledger:
        whence = drawing.origin(file, ledger, typed.day(args.on, ledger, "on"))
        wanted = typed.whole(args.wanted, "a number of animals", "wanted", least=1, most=MOST)
        found: Start = ledger.how_many_to_start(
            args.species, wanted, typed.day(args.on, ledger, "on"), stage=args.stage
        )
    if file is not None:
        from tui.decided import how_many_told

        drawing.draw(file, how_many_told(found, wanted, None).picture, whence)
    if args.format == "text":
        for sentence in found.words:
            answer.say(sentence)
        drawing.say_where(file, args.format)
        return 0
    columns: tuple[answer.Column[ToStart], ...] = (
        answer.Column("species", lambda row: found.species),
        answer.Column("stage", lambda row: found.stage),
        answer.Column("wanted", lambda row: found.wanted, figure=True),
        answer.Column("confidence", lambda row: row.confidence, figure=True),
        answer.Column("start", lambda row: row.animals, figure=True),
        answer.Column("chance", lambda row: found.chance, figure=True),
        answer.Column("worth_animals", lambda row: found.size, figure=True),
        answer.Column("correlation", lambda row: found.rho, figure=True),
        answer.Column("words", lambda row: row.words, listed=False),
    )
    answer.write_rows(found.answers, columns, args.format, none="")
    return 0


def charge(args: argparse.Namespace) -> int:
    """What to charge."""
    file = drawing.asked(args)
    with to_read(args) as ledger:
        whence = drawing.origin(file, ledger, typed.day(args.on, ledger, "on"))
        currency = ledger.currency
        found = ledger.what_to_charge(
            args.species,
            typed.day(args.on, ledger, "on"),
            margin=_share(args.margin, "margin") or 0.0,
            survival=_share(args.survival, "survival"),
        )
    if file is not None:
        from tui.decided import better_survival_told, least_price_told

        told = (
            least_price_told(found, None, currency)
            if found.better is None
            else better_survival_told(found, found.better.other, currency)
        )
        drawing.draw(file, told.picture, whence)
    if args.format == "text":
        for sentence in found.words:
            answer.say(sentence)
        drawing.say_where(file, args.format)
        return 0
    scale = 10**currency.digits

    def money(name: str, value: Callable[[Charge], float | None]) -> answer.Column[Charge]:
        def amount(row: Charge) -> answer.Json:
            found = value(row)
            return None if found is None else round(found / scale, currency.digits + 4)

        return answer.Column(name, amount, figure=True)

    columns: tuple[answer.Column[Charge], ...] = (
        answer.Column("species", lambda row: row.species),
        answer.Column("stage", lambda row: row.stage),
        money("cost", lambda row: row.floor.cost),
        money("cost_low", lambda row: row.floor.cost_low),
        money("cost_high", lambda row: row.floor.cost_high),
        answer.Column("still_rearing", lambda row: row.pending, figure=True),
        money("selling", lambda row: row.floor.selling),
        answer.Column("margin", lambda row: row.floor.margin, figure=True),
        money("floor", lambda row: row.floor.floor),
        money("floor_high", lambda row: row.floor.floor_high),
        money("stops", lambda row: row.floor.stops),
        money("price", lambda row: row.price),
        answer.Column("verdict", lambda row: row.verdict or None),
        answer.Column("other_survival", lambda row: row.better.other if row.better is not None else None, figure=True),
        money("cost_at_other_survival", lambda row: row.better.cost_other if row.better is not None else None),
        answer.Column("words", lambda row: list(row.words), listed=False),
    )
    answer.write_rows([found], columns, args.format, none="")
    return 0


def _amount(text: str | None, currency: Currency, field: str) -> int | None:
    return None if text is None else typed.amount(text, currency, field)


def _share(text: str | None, field: str) -> float | None:
    return None if text is None else typed.part_of_one(text, "a share", field)
