"""The page of one sale as lines of text: what was sold and stated, the money, the post, the claims. Knows no widget."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from typing import TYPE_CHECKING

from ledger.money import Currency, amount_text
from ledger.stock.words import stage_words

if TYPE_CHECKING:
    from ledger.selling.margin import LineMargin, SaleMargin
    from ledger.selling.one_sale import OneSale
    from ledger.selling.sale import LineOfSale, Sale

SaidDay = Callable[[dt.date], str]


def sale_lines(found: OneSale, margin: SaleMargin | None, currency: Currency, day: SaidDay) -> list[str]:
    """The whole page.

    Args:
        found: the sale and what followed it.
        margin: what its animals cost; `None`: not reckoned yet.
        currency: of the amounts.
        day: how a day is written.
    """
    sale = found.sale
    costs = {line.position: line for line in margin.lines} if margin is not None else {}
    lines = [_head(sale, day), _balance(sale, currency), *_post(found, day), *_claims(found, day), *_told(found, day)]
    for one in found.came_in:
        worth = amount_text(one.value, currency)
        lines.append(f"Came in against it: {one.count} {stage_words(one.stage, one.count)}, lot {one.lot}, at {worth}")
    for line in sale.lines:
        lines += ["", *_line(line, costs.get(line.position), currency)]
    lines.append("")
    if margin is None:
        lines.append("Margin: reckoning ...")
    else:
        lines.append(_margin(margin, currency))
    lines += _money(sale, currency, day)
    if found.terms:
        lines += ["", f"Terms as sold: {' '.join(found.terms.split())}"]
    if sale.note:
        lines += ["", f"Note: {sale.note}"]
    if sale.own_note:
        lines += ["", f"For you only: {sale.own_note}"]
    return lines


def _head(sale: Sale, day: SaidDay) -> str:
    hold = f", took up {sale.hold_number}" if sale.hold_number else ""
    return f"Sold {day(sale.sold_on)} to {sale.customer_name or 'no one named'}, {sale.channel}{hold}"


def _balance(sale: Sale, currency: Currency) -> str:
    def text(amount: int) -> str:
        return amount_text(amount, currency)

    parts = [f"Total {text(sale.total)} {currency.code}"]
    if sale.credited:
        parts.append(f"credited {text(sale.credited)}")
    parts.append(f"paid {text(sale.paid)}")
    if sale.owed > 0:
        parts.append(f"! owed {text(sale.owed)}")
    elif sale.owed < 0:
        parts.append(f"! to give back {text(-sale.owed)}")
    else:
        parts.append("nothing owed")
    return " · ".join(parts)


def _line(line: LineOfSale, cost: LineMargin | None, currency: Currency) -> list[str]:
    extra = f" + {line.extra} extra" if line.extra else ""
    pack = f" ({line.pack})" if line.pack and line.pack != "single" else ""
    less = f", {amount_text(line.discount, currency)} discount in it" if line.discount else ""
    stage = stage_words(line.stage_text, line.animals)
    said = [
        f"{line.position}  {line.count}{extra} {stage} of {line.lot_code}, {line.sex_text}{pack}: "
        f"{amount_text(line.net, currency)}{less}",
        f"   {line.species_text}",
        f"   Origin as sold: {line.origin_text}",
    ]
    if line.credited_amount:
        back = f", {line.back} came back" if line.back else ""
        said.append(f"   Credited: {amount_text(line.credited_amount, currency)} for {line.credited} animals{back}")
    if cost is not None:
        known = "" if cost.cost_known else " (a part is not known: the lot is older than the ledger)"
        carried, left = amount_text(cost.cost, currency), amount_text(cost.left, currency)
        said.append(f"   Carried cost {carried}{known}, leaves {left}")
    return said


def _margin(margin: SaleMargin, currency: Currency) -> str:
    def text(amount: int) -> str:
        return amount_text(amount, currency)

    waits = "; its animals are still here, so no cost has left yet" if margin.waits else ""
    waits += f" ({text(margin.goodwill)} of them animals sent as goodwill)" if margin.goodwill else ""
    if margin.makes_good:
        waits += f". Its animals are goodwill: what they cost is a selling cost of {margin.makes_good}"
    return (
        f"Margin {text(margin.margin)}: price {text(margin.price)}, less cost of animals {text(margin.cost)}, less "
        f"selling costs {text(margin.selling_costs)}{waits}"
    )


def _money(sale: Sale, currency: Currency, day: SaidDay) -> list[str]:
    lines = [f"Charged: {one.text or one.kind} {amount_text(one.amount, currency)}" for one in sale.charges]
    if sale.deposit:
        lines.append(f"Paid: deposit of {sale.hold_number} {amount_text(sale.deposit, currency)}")
    for one in sale.payments:
        word = "Paid" if one.amount >= 0 else "Given back"
        note = f" ({one.note})" if one.note else ""
        lines.append(f"{word}: {day(one.paid_on)} {amount_text(abs(one.amount), currency)} by {one.method}{note}")
    lines += [
        f"Credit {one.number}: {day(one.credited_on)} {amount_text(one.amount, currency)}"
        f"{', the whole sale' if one.full else ''}, {one.reason}"
        for one in sale.credits
    ]
    return lines or ["No money was recorded."]


def _post(found: OneSale, day: SaidDay) -> list[str]:
    sale = found.sale
    kept = [
        f"Kept from the post {day(one.from_on)}{f' to {day(one.until)}' if one.until else ''}: {one.why}"
        for one in found.waited
    ]
    if sale.undone:
        return ["Post: the sale was taken back in full."]
    if sale.posted_on is None:
        if found.parcel is None:
            return ["Post: none, handed over."]
        against = found.parcel.against
        return ["! To post.", *kept, *(f"! Against posting today: {one}" for one in against)]
    lines = [f"Post: posted {day(sale.posted_on)}"]
    if found.arrived is not None:
        at = f", {found.arrived.clock}" if found.arrived.clock else ""
        note = f" ({found.arrived.note})" if found.arrived.note else ""
        lines[0] += f", arrived {day(found.arrived.on)}{at}{note}"
    else:
        lines[0] += ", arrival not noted (a)"
    return [*kept, *lines]


def _claims(found: OneSale, day: SaidDay) -> list[str]:
    lines = []
    for one in found.claims:
        hours = f", {one.hours} h after arrival" if one.hours is not None else ""
        seen = f", seen of it: {' '.join(one.evidence.split())}" if one.evidence else ", no evidence noted"
        lines.append(
            f"Claim {one.id}, line {one.position}: {one.dead} of {one.sold} of {one.lot} dead on arrival, reported "
            f"{day(one.reported_on)}{hours}{seen}"
        )
        if one.outcome and one.decided_on:
            paper = f", see {one.paper}" if one.paper else ""
            note = f" ({' '.join(one.note.split())})" if one.note else ""
            lines.append(f"   answered {day(one.decided_on)}: {one.outcome}{paper}{note}")
        else:
            lines.append("   ! still to be answered (k)")
    return lines


def _told(found: OneSale, day: SaidDay) -> list[str]:
    """Lines that state an origin which no longer holds, and whether the buyer was told."""
    lines = []
    for row in found.affected:
        told = f"told {day(row.noted_on)}" if row.noted_on else "the buyer is still to be told (N)"
        sign = "" if row.noted_on else "! "
        lines.append(f"{sign}Line {row.position} states “{row.was}”; by our records now “{row.now}”: {told}.")
    return lines
