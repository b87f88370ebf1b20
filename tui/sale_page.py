"""The page of one sale as lines of text: what was sold and stated, the money, the post, the claims. Knows no widget."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable
from typing import TYPE_CHECKING

from rich.cells import cell_len

from ledger.money import Currency, amount_text
from ledger.stock.words import stage_words
from ledger.wording import say, strung, word
from tui.charts import beside, fit
from tui.tongue import on_paper, shown

if TYPE_CHECKING:
    from ledger.selling.margin import LineMargin, SaleMargin
    from ledger.selling.one_sale import OneSale
    from ledger.selling.sale import LineOfSale, Sale

SaidDay = Callable[[dt.date], str]
LABEL, AMOUNT = 24, 10
"""Cells of what a line of a sum is, and of its amount."""


_DEAD = re.compile(r"(goodwill for )?(\d+) dead on arrival")


def _reason(reason: str) -> str:
    """Why something was credited; what the answer to a claim wrote there can be said in another language."""
    found = _DEAD.fullmatch(reason)
    if found is None:
        return word(reason)
    dead = int(found[2])
    return (
        say("goodwill for {dead} dead on arrival", dead=dead) if found[1] else say("{dead} dead on arrival", dead=dead)
    )


def _species(text: str) -> str:
    """'sun beetle (Pachnoda marginata)', as it stands with the line of a sale."""
    common, bracket, scientific = text.partition(" (")
    return strung((word(common), bracket + scientific), "")


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
        lines.append(
            say(
                "Came in against it: {count} {stage}, lot {lot}, at {worth}",
                count=one.count,
                stage=stage_words(one.stage, one.count),
                lot=one.lot,
                worth=worth,
            )
        )
    for line in sale.lines:
        lines += ["", *_line(line, costs.get(line.position), currency)]
    lines += ["", *_came_to(sale, currency, day)]
    lines += [_summand(say("margin"), say("reckoning ..."))] if margin is None else _margin(margin, currency)
    lines += ["", *_money(sale, currency, day)]
    if found.terms:
        lines += ["", say("Terms as sold: {split}", split=" ".join(found.terms.split()))]
    if sale.note:
        lines += ["", say("Note: {note}", note=sale.note)]
    if sale.own_note:
        lines += ["", say("For you only: {own_note}", own_note=sale.own_note)]
    return lines


def _head(sale: Sale, day: SaidDay) -> str:
    hold = say(", took up {hold_number}", hold_number=sale.hold_number) if sale.hold_number else ""
    return say(
        "Sold {sold_on} to {customer}, {channel}{hold}",
        sold_on=day(sale.sold_on),
        customer=sale.customer_name or say("no one named"),
        channel=word(sale.channel),
        hold=hold,
    )


def _balance(sale: Sale, currency: Currency) -> str:
    def text(amount: int) -> str:
        return amount_text(amount, currency)

    parts = [say("Total {text} {code}", text=text(sale.total), code=currency.code)]
    if sale.credited:
        parts.append(say("credited {text}", text=text(sale.credited)))
    parts.append(say("paid {text}", text=text(sale.paid)))
    if sale.owed > 0:
        parts.append(say("! owed {text}", text=text(sale.owed)))
    elif sale.owed < 0:
        parts.append(say("! to give back {text}", text=text(-sale.owed)))
    else:
        parts.append(say("nothing owed"))
    return strung(parts, " · ")


def _line(line: LineOfSale, cost: LineMargin | None, currency: Currency) -> list[str]:
    extra = say(" + {extra} extra", extra=line.extra) if line.extra else ""
    pack = say(" ({pack})", pack=line.pack) if line.pack and line.pack != "single" else ""
    less = say(", {discount} discount in it", discount=amount_text(line.discount, currency)) if line.discount else ""
    stage = stage_words(line.stage_text, line.animals)
    said = [
        say(
            "{position}  {count}{extra} {stage} of {lot_code}, {sex_text}{pack}: {net}{less}",
            position=line.position,
            count=line.count,
            extra=extra,
            stage=stage,
            lot_code=line.lot_code,
            sex_text=word(line.sex_text),
            pack=pack,
            net=amount_text(line.net, currency),
            less=less,
        ),
        strung(("   ", _species(line.species_text)), ""),
        say("   Origin as sold: {origin_text}", origin_text=on_paper(line.origin_text)),
    ]
    if line.credited_amount:
        back = say(", {back} came back", back=line.back) if line.back else ""
        said.append(
            say(
                "   Credited: {credited_amount} for {credited} animals{back}",
                credited_amount=amount_text(line.credited_amount, currency),
                credited=line.credited,
                back=back,
            )
        )
    if cost is not None:
        known = "" if cost.cost_known else say(" (a part is not known: the lot is older than the ledger)")
        carried, left = amount_text(cost.cost, currency), amount_text(cost.left, currency)
        said.append(say("   Carried cost {carried}{known}, leaves {left}", carried=carried, known=known, left=left))
    return said


def _summand(name: str, amount: str, more: str = "") -> str:
    """A line of a sum: what, how much, and what there is to know of it."""
    after = strung(("  ", more), "") if more else ""
    return strung(("  ", fit(name, max(LABEL, cell_len(shown(name)))), beside(amount, AMOUNT), after), "")


def _came_to(sale: Sale, currency: Currency, day: SaidDay) -> list[str]:
    """The total of a sale as the sum it is: its animals, what was charged besides, less what was credited."""

    def line(name: str, amount: int, more: str = "") -> str:
        return _summand(name, amount_text(amount, currency), more)

    return [
        say("What it came to, {code}", code=currency.code),
        line(say("animals"), sum(one.net for one in sale.lines)),
        *(line(one.text or word(one.kind), one.amount) for one in sale.charges),
        line(say("total"), sale.total),
        *(
            line(
                say("credit {number}", number=one.number),
                -one.amount,
                say(
                    "{credited_on}{whole}, {reason}",
                    credited_on=day(one.credited_on),
                    whole=say(", the whole sale") if one.full else "",
                    reason=_reason(one.reason),
                ),
            )
            for one in sale.credits
        ),
        *([line(say("total less credit"), sale.total - sale.credited)] if sale.credits else []),
    ]


def _margin(margin: SaleMargin, currency: Currency) -> list[str]:
    """What of the total was left, as the sum it is."""

    def line(name: str, amount: int, more: str = "") -> str:
        return _summand(name, amount_text(amount, currency), more)

    goodwill = amount_text(margin.goodwill, currency)
    sent = say("{amount} of them animals sent as goodwill", amount=goodwill) if margin.goodwill else ""
    lines = [
        line(say("cost of its animals"), -margin.cost),
        line(say("selling costs"), -margin.selling_costs, sent),
        line(say("margin"), margin.margin),
    ]
    if margin.waits:
        lines.append(say("  Its animals are still here, so no cost has left yet."))
    if margin.makes_good:
        lines.append(
            say("  Its animals are goodwill: what they cost is a selling cost of {sale}.", sale=margin.makes_good)
        )
    return lines


def _money(sale: Sale, currency: Currency, day: SaidDay) -> list[str]:
    lines = []
    if sale.deposit:
        lines.append(
            say(
                "Paid: deposit of {hold_number} {deposit}",
                hold_number=sale.hold_number,
                deposit=amount_text(sale.deposit, currency),
            )
        )
    for one in sale.payments:
        paid = say("Paid") if one.amount >= 0 else say("Given back")
        note = say(" ({note})", note=one.note) if one.note else ""
        lines.append(
            say(
                "{paid}: {paid_on} {amount} by {method}{note}",
                paid=paid,
                paid_on=day(one.paid_on),
                amount=amount_text(abs(one.amount), currency),
                method=word(one.method),
                note=note,
            )
        )
    return lines or [say("No money was recorded.")]


def _post(found: OneSale, day: SaidDay) -> list[str]:
    sale = found.sale
    kept = [
        say(
            "Kept from the post {days}: {why}",
            days=say("{day} to {until}", day=day(one.from_on), until=day(one.until)) if one.until else day(one.from_on),
            why=one.why,
        )
        for one in found.waited
    ]
    if sale.undone:
        return [say("Post: the sale was taken back in full.")]
    if sale.posted_on is None:
        if found.parcel is None:
            return [say("Post: none, handed over.")]
        against = found.parcel.against
        return [say("! To post."), *kept, *(say("! Against posting today: {one}", one=one) for one in against)]
    lines = [say("Post: posted {posted_on}", posted_on=day(sale.posted_on))]
    if found.arrived is not None:
        at = say(", {clock}", clock=found.arrived.clock) if found.arrived.clock else ""
        note = say(" ({note})", note=found.arrived.note) if found.arrived.note else ""
        lines[0] += say(", arrived {on}{at}{note}", on=day(found.arrived.on), at=at, note=note)
    else:
        lines[0] += say(", its arrival not noted (press A)")
    return [*kept, *lines]


def _claims(found: OneSale, day: SaidDay) -> list[str]:
    lines = []
    for one in found.claims:
        hours = say(", {hours} h after arrival", hours=one.hours) if one.hours is not None else ""
        seen = (
            say(", seen of it: {split}", split=" ".join(one.evidence.split()))
            if one.evidence
            else say(", no evidence noted")
        )
        lines.append(
            say(
                "Claim {id}, line {position}: {dead} of {sold} of {lot} dead on arrival, reported "
                "{reported_on}{hours}{seen}",
                id=one.id,
                position=one.position,
                dead=one.dead,
                sold=one.sold,
                lot=one.lot,
                reported_on=day(one.reported_on),
                hours=hours,
                seen=seen,
            )
        )
        if one.outcome and one.decided_on:
            paper = say(", see {paper}", paper=one.paper) if one.paper else ""
            note = say(" ({split})", split=" ".join(one.note.split())) if one.note else ""
            lines.append(
                say(
                    "   answered {decided_on}: {outcome}{paper}{note}",
                    decided_on=day(one.decided_on),
                    outcome=word(one.outcome),
                    paper=paper,
                    note=note,
                )
            )
        else:
            lines.append(say("   ! still to be answered (press k)"))
    return lines


def _told(found: OneSale, day: SaidDay) -> list[str]:
    """Lines that state an origin which no longer holds, and whether the buyer was told."""
    lines = []
    for row in found.affected:
        told = (
            say("told {noted_on}", noted_on=day(row.noted_on))
            if row.noted_on
            else say("the buyer is still to be told (press N)")
        )
        sign = "" if row.noted_on else "! "
        lines.append(
            say(
                "{sign}Line {position} states “{was}”; by our records now “{now}”: {told}.",
                sign=sign,
                position=row.position,
                was=on_paper(row.was),
                now=row.now,
                told=told,
            )
        )
    return lines
