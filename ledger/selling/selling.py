"""Selling: the plan says in full what will be sold to whom, stated as what, for how much; the act writes it.

What the plan chose is locked and looked at again when it is written, because somebody may have been quicker.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from sqlalchemy import Connection

from ledger.act import Act, Done, Scene
from ledger.days import long_day
from ledger.errors import BadInput, Refused
from ledger.money import Currency, said
from ledger.origin.rules import label
from ledger.records.columns import MOST_MONEY
from ledger.records.later import later
from ledger.records.periods import accounting_day
from ledger.selling.commands import Charge, Paid, Sell
from ledger.selling.costs_of_sale import check_selling_costs
from ledger.selling.customers import clean_name, customer_named
from ledger.selling.deadlines import day_of
from ledger.selling.fairs import LICENCE
from ledger.selling.flags import warnings
from ledger.selling.goodwill import REASON as GOODWILL
from ledger.selling.holds import Hold, check_open, find_hold, still_open, sweep_lapsed, write_fate
from ledger.selling.lines import LineDraft, lines_of_hold, resolve_lines
from ledger.selling.prices import PriceList, prices_on
from ledger.selling.shelf import Shelf
from ledger.selling.writing import PaidDraft, SaleDraft, SaleWritten, write_sale
from ledger.stock import earmarks
from ledger.stock.drafts import Draft, ResolvedMove
from ledger.stock.figures import Figures
from ledger.stock.tally import Tally
from ledger.text import clean, clean_block
from ledger.wording import listed, say, strung, word

CHANNELS = ("post", "fair", "collection", "trade", "swap", "other")
CHARGES = ("postage", "packing", "other")
_HANDED_OVER = ("fair", "collection")
"""Channels on which nothing is posted later."""
_POST = say("Carriers and countries have rules of their own for live animals; confirm them on the day.")


@dataclass(frozen=True, slots=True)
class SellPlan:
    """A sale that has been checked and can be written."""

    draft: SaleDraft
    hold: Hold | None
    sentence: str
    cautions: tuple[str, ...]

    @property
    def owed(self) -> int:
        """What it comes to less what is paid with it and the deposit of its hold, minor units."""
        total = sum(line.net for line in self.draft.lines) + sum(charge.amount for charge in self.draft.charges)
        received = sum(paid.amount for paid in self.draft.paid)
        return total - received - (self.hold.deposit if self.hold else 0)


def plan_sell(conn: Connection, command: Sell, scene: Scene, marks: Sequence[int] = ()) -> SellPlan:
    """Check a sale and say it in full.

    Args:
        conn: a connection.
        command: what is sold.
        scene: when.
        marks: earmarks of animals that were put together for this sale and are taken up by it.

    Raises:
        BadInput, NotFound, NotEnough, Ambiguous, Refused: it cannot be made like that.
    """
    _check_day(command.sold_on, scene)
    channel = _check_channel(command)
    hold = _hold(conn, command, scene)
    customer = _customer(command, hold)
    known = customer_named(conn, customer) if customer else None
    lines = command.lines or (lines_of_hold(conn, hold) if hold and not command.packs else ())
    if not lines and not command.packs:
        raise BadInput(say("Say what is sold: at least one line."), "lines")
    preferred = _preferred(conn, hold, marks)
    shelf = Shelf(conn, scene, command.sold_on, (hold.id,) if hold else (), preferred, tuple(marks))
    promised = {
        (line.lot, line.stage, line.sex, line.count): line.price
        for line in (hold.lines if hold else ())
        if line.price is not None
    }
    buyer = known.kind if known else "trade" if channel == "trade" else "retail"
    priced = not command.packs and None not in [line.price for line in lines]
    listed_prices = PriceList(()) if priced else prices_on(conn, command.sold_on)
    drafts = resolve_lines(conn, shelf, lines, listed_prices, buyer, promised, command.packs)
    may_travel = _may_travel(shelf.figures, drafts)
    if channel == "post" and not command.to_post and not all(may_travel):
        raise Refused(cannot_travel([d for d, may in zip(drafts, may_travel, strict=True) if not may]), "lines")
    rules = warnings(
        conn,
        {draft.part.lot.species_id for draft in drafts},
        command.sold_on,
        by_post=channel == "post" or command.to_post,
        kept=shelf.kept,
    )
    charges = _check_charges(command.charges)
    total = sum([line.net for line in drafts]) + sum([charge.amount for charge in charges])
    deposit = hold.deposit if hold else 0
    draft = SaleDraft(
        drafts,
        command.sold_on,
        known.name if known else customer,
        channel,
        charges,
        _check_paid(_in_figures(command.paid, total - deposit), command.sold_on, scene),
        check_selling_costs(command.selling_costs),
        command.to_post,
        hold.id if hold else None,
        _note(command.note, drafts),
        own_note=clean_block("\n".join(rules.noted), limit=2000, field="note"),
    )
    _check_that_day(conn, draft, scene)
    received = sum([paid.amount for paid in draft.paid])
    _check_received(total, received, deposit, scene.currency)
    cautions = [
        *rules.cautions,
        *_cautions(conn, draft, scene),
        *(
            [say("Some of it is at a stage that must not travel yet.")]
            if command.to_post and not all(may_travel)
            else []
        ),
        *_short_cautions(conn, hold),
        *_price_cautions(conn, draft, buyer, scene),
        *_owed_cautions(draft, total - received - deposit, scene.currency),
    ]
    sentence = sale_words(draft, total, received, deposit, hold, scene) if scene.sentences else ""
    return SellPlan(draft, hold, sentence, tuple(cautions))


def commit_sell(conn: Connection, plan: SellPlan, act: Act) -> Done:
    """Write a sale.

    Raises:
        NotEnough: somebody was quicker; says who has the animals.
        Refused: the hold ended meanwhile.
    """
    written = carry_out(conn, act, plan.draft, plan.hold)
    refs: dict[str, int | str] = {"sale": written.sale_id, "number": written.number}
    if written.entry is not None:
        refs |= {"entry": written.entry, "movement": written.movements[0]}
    sentence = say("{number}: {sentence}", number=written.number, sentence=plan.sentence) if plan.sentence else ""
    return Done(sentence, refs, plan.cautions)


def carry_out(
    conn: Connection, act: Act, draft: SaleDraft, hold: Hold | None, marks: Sequence[int] = ()
) -> SaleWritten:
    """Lock what a sale needs, look again, and write it; `marks`: earmarks it takes up."""
    sweep_lapsed(conn, act, _touched(conn, draft, hold, marks))
    if hold is not None:
        hold = still_open(conn, hold.id, act.scene.now)
        write_fate(conn, act, hold, "taken up", draft.sold_on, "applied")
        for line in hold.lines:
            earmarks.take(conn, act, line.earmark_id)
    for mark in marks:
        earmarks.take(conn, act, mark)
    if conn.dialect.name != "sqlite":
        # On SQLite nobody else can have written since the plan was made in this transaction.
        shelf = Shelf(conn, act.scene, draft.sold_on)
        shelf.again((line.part for line in draft.lines), ready=True)
    return write_sale(conn, act, draft)


def _touched(conn: Connection, draft: SaleDraft, hold: Hold | None, marks: Sequence[int]) -> Iterator[int]:
    """The holdings that have to be locked; found out by whoever locks them."""
    for line in draft.lines:
        yield from [holding for holding, _ in line.part.picks]
    if hold is not None:
        yield from [line.holding_id for line in hold.lines]
    for mark in (*[line.earmark_id for line in (hold.lines if hold else ())], *marks):
        yield from [holding for holding, _ in earmarks.get(conn, mark).on]


# --- checks ---------------------------------------------------------------------------------------------------------


def _check_day(on: dt.date, scene: Scene) -> None:
    if on > scene.today:
        raise BadInput(
            say("{on} is still to come; a sale is recorded when it is made. Make a hold until then.", on=long_day(on)),
            "sold_on",
            {"date": on},
        )


def _check_that_day(conn: Connection, draft: SaleDraft, scene: Scene) -> None:
    """Refuse a sale of an earlier day that its animals do not allow, before it is recorded; the writing looks again.

    Of many recorded together each is written at once, and nobody reads what was planned.
    """
    if draft.to_post or draft.sold_on >= scene.today or later(conn) is not None:
        return
    moves = tuple(
        ResolvedMove(draft.reason, count, holding, free_only=True)
        for line in draft.lines
        for holding, count in line.part.picks
    )
    Tally(conn, scene).check_later_days([Draft(draft.sold_on, moves)])


def _check_channel(command: Sell) -> str:
    channel = command.channel.strip().lower()
    if channel not in CHANNELS:
        raise BadInput(
            say(
                "“{channel}” is no way of selling; choose one of: {channels}.",
                channel=command.channel,
                channels=strung(CHANNELS, ", "),
            ),
            "channel",
        )
    if channel == "swap":
        raise BadInput(
            say("A swap is recorded as a swap, with what came in; choose another way of selling."), "channel"
        )
    if command.to_post and channel in _HANDED_OVER:
        raise BadInput(
            say("Nothing is posted after a sale by {channel}; choose post, or hand it over now.", channel=channel),
            "to_post",
        )
    return channel


def _hold(conn: Connection, command: Sell, scene: Scene) -> Hold | None:
    if command.hold is None:
        return None
    hold = find_hold(conn, command.hold, scene.now)
    check_open(hold, scene.today)
    if command.sold_on < hold.made_on:
        raise BadInput(
            say(
                "{number} was made on {made_on}; the sale cannot be before it.",
                number=hold.number,
                made_on=hold.made_on,
            ),
            "sold_on",
        )
    return hold


def _customer(command: Sell, hold: Hold | None) -> str:
    name = clean_name(command.customer)
    if hold is None:
        return name
    if name and name.casefold() != hold.customer.casefold():
        raise Refused(
            say(
                "{number} is {customer}'s, not {name}'s; sell to {customer}, or release it first.",
                number=hold.number,
                customer=hold.customer,
                name=name,
            ),
            "hold",
            {"hold": hold.number, "customer": hold.customer},
        )
    return hold.customer


def _preferred(conn: Connection, hold: Hold | None, marks: Sequence[int]) -> dict[int, int]:
    """How many of each holding were set aside for this sale."""
    found: dict[int, int] = {}
    for mark in (*[line.earmark_id for line in (hold.lines if hold else ())], *marks):
        for holding, count in earmarks.get(conn, mark).on:
            found[holding] = found.get(holding, 0) + count
    return found


def _check_charges(charges: Sequence[Charge]) -> tuple[Charge, ...]:
    checked = []
    for charge in charges:
        if charge.kind not in CHARGES:
            raise BadInput(
                say(
                    "“{kind}” is no charge; choose one of: {charges}.", kind=charge.kind, charges=strung(CHARGES, ", ")
                ),
                "charges",
            )
        if not 0 <= charge.amount <= MOST_MONEY:
            raise BadInput(say("A charge must be nothing or more, and within reason."), "charges")
        checked.append(Charge(charge.kind, charge.amount, clean(charge.text, limit=120, field="text")))
    return tuple(checked)


def _in_figures(payments: Sequence[Paid], owed: int) -> list[Paid]:
    """The payments with their amounts: one without an amount is for all that is left to pay."""
    left = owed - sum([one.amount or 0 for one in payments])
    paid = []
    for one in payments:
        if one.amount is not None:
            paid.append(one)
        elif left > 0:
            paid.append(Paid(left, one.method, one.on))
            left = 0
    return paid


def _check_paid(paid: Sequence[Paid], sold_on: dt.date, scene: Scene) -> tuple[PaidDraft, ...]:
    return tuple([check_payment(one.amount or 0, one.method, one.on or sold_on, scene) for one in paid])


def check_payment(amount: int, method: str, on: dt.date, scene: Scene) -> PaidDraft:
    """Check money received for a sale.

    Raises:
        BadInput: the amount or the day is none.
    """
    if not 1 <= amount <= MOST_MONEY:
        raise BadInput(
            say("A payment must be more than nothing, and within reason; leave out what was not paid."), "paid"
        )
    if on > scene.today:
        raise BadInput(say("{on} is still to come; record a payment when it has been made.", on=long_day(on)), "paid")
    return PaidDraft(amount, check_method(method), on)


def check_method(method: str) -> str:
    """How something was paid, in a word; 'swap' is kept for animals.

    Raises:
        BadInput: it is none.
    """
    word = clean(method, limit=40, field="method").lower()
    if not word or word == "swap":
        raise BadInput(say("Say how it was paid: cash, card or transfer; a swap is recorded as a swap."), "method")
    return word


def _check_received(total: int, received: int, deposit: int, currency: Currency) -> None:
    if received + deposit <= total:
        return
    facts = {"total": total, "received": received, "deposit": deposit}
    if deposit > total:
        raise BadInput(
            say(
                "The deposit of {deposit} is more than the {total} of the sale; release the hold and give the "
                "deposit back instead.",
                deposit=said(deposit, currency),
                total=said(total, currency),
            ),
            "paid",
            facts,
        )
    with_deposit = say(" with the deposit of {deposit}", deposit=said(deposit, currency)) if deposit else ""
    raise BadInput(
        say(
            "{received} paid{with_deposit} is more than the {total} of the sale; enter what was paid for it, "
            "or add a charge.",
            received=said(received, currency),
            with_deposit=with_deposit,
            total=said(total, currency),
        ),
        "paid",
        facts,
    )


def _may_travel(figures: Figures, drafts: Sequence[LineDraft]) -> list[bool]:
    return [not figures.yes(one.part.lot.species_id, one.part.stage.id, "do not post") for one in drafts]


def cannot_travel(drafts: Sequence[LineDraft]) -> str:
    """Why lines cannot be posted."""
    what = listed([draft.words for draft in drafts])
    return say(
        "{what}: animals at this stage must not travel; sell them to be posted later, or hand them over.", what=what
    )


def _note(note: str, drafts: Sequence[LineDraft]) -> str:
    free = [
        say("Line {n} free of charge: {free_because}.", n=n, free_because=d.free_because)
        for n, d in enumerate(drafts, start=1)
        if d.free_because
    ]
    return clean_block("\n".join([part for part in (note.strip(), *free) if part]), limit=2000, field="note")


# --- words ----------------------------------------------------------------------------------------------------------


def sale_words(draft: SaleDraft, total: int, received: int, deposit: int, hold: Hold | None, scene: Scene) -> str:
    """'10 L3 of P08 (...) sold to Tarn, 12 March 2025: 24.00 EUR.'"""
    what = listed(
        [say("{animals} ({origin})", animals=line.words, origin=label(line.stated.origin)) for line in draft.lines]
    )
    how = (
        say(", to be posted")
        if draft.to_post
        else say(", by {channel}", channel=word(draft.channel))
        if draft.channel != "other"
        else ""
    )
    money = [said(total, scene.currency)]
    if received:
        money.append(say("{received} paid", received=said(received, scene.currency)))
    if hold is not None and deposit:
        money.append(
            say(
                "{deposit} paid before as the deposit of {number}",
                deposit=said(deposit, scene.currency),
                number=hold.number,
            )
        )
    elif hold is not None:
        money.append(say("taking up {number}", number=hold.number))
    parts = {"what": what, "how": how, "day": long_day(draft.sold_on), "money": strung(money, ", ")}
    if draft.customer:
        parts["customer"] = draft.customer
        if draft.reason == GOODWILL:
            return say("{what} sent as goodwill to {customer}{how}, {day}: {money}.", **parts)
        return say("{what} sold to {customer}{how}, {day}: {money}.", **parts)
    if draft.reason == GOODWILL:
        return say("{what} sent as goodwill{how}, {day}: {money}.", **parts)
    return say("{what} sold{how}, {day}: {money}.", **parts)


def _cautions(conn: Connection, draft: SaleDraft, scene: Scene) -> list[str]:
    cautions = []
    accounted = accounting_day(conn, draft.sold_on)
    if accounted != draft.sold_on:
        cautions.append(
            say(
                "The year of {sold_on} is closed: this is accounted on {accounted} and keeps its date.",
                sold_on=long_day(draft.sold_on),
                accounted=long_day(accounted),
            )
        )
    if draft.channel == "fair":
        cautions.append(LICENCE)
    if draft.channel == "post":
        cautions.append(_POST)
    if draft.sold_on < day_of(scene.now) and (scene.today - draft.sold_on).days > 366:
        cautions.append(say("{sold_on} is more than a year ago; check the date.", sold_on=long_day(draft.sold_on)))
    return cautions


def _price_cautions(conn: Connection, draft: SaleDraft, buyer: str, scene: Scene) -> list[str]:
    """Where several were given the price that the list has for one: it was perhaps meant for each."""
    several = [line for line in draft.lines if line.count > 1 and line.price and not line.together]
    if not several or not scene.sentences:
        return []
    listed_prices = prices_on(conn, draft.sold_on)
    found = []
    for line in several:
        kind = line.part.lot.species_id, line.part.stage.id, line.part.sex
        one, all_of_them = (listed_prices.price_of(*kind, count, buyer) for count in (1, line.count))
        if line.price == one and all_of_them is not None and all_of_them > one:
            found.append(
                say(
                    "{price} is the list's price of one, and {count} of them come to {together}; write each behind it "
                    "if each costs that.",
                    price=said(one, scene.currency),
                    count=line.count,
                    together=said(all_of_them, scene.currency),
                )
            )
    return found


def _short_cautions(conn: Connection, hold: Hold | None) -> list[str]:
    if hold is None:
        return []
    short = sum(earmarks.get(conn, line.earmark_id).short for line in hold.lines)
    return (
        [
            say(
                "{number} has become short by {short}; tell {customer}.",
                number=hold.number,
                short=short,
                customer=hold.customer,
            )
        ]
        if short
        else []
    )


def _owed_cautions(draft: SaleDraft, owed: int, currency: Currency) -> list[str]:
    if owed <= 0:
        return []
    who = draft.customer or say("somebody who is not named")
    return [say("{owed} is still owed by {who}.", owed=said(owed, currency), who=who)]
