"""The page of one sale as lines of text: what was sold and stated, the money, the post, the claims. Knows no widget."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable
from typing import TYPE_CHECKING

from ledger.money import Currency, amount_text
from ledger.stock.words import stage_words
from ledger.wording import say, strung, word
from tui.tongue import on_paper

if TYPE_CHECKING:
    from ledger.selling.margin import LineMargin, SaleMargin
    from ledger.selling.one_sale import OneSale
    from ledger.selling.sale import LineOfSale, Sale

SaidDay = Callable[[dt.date], str]


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
    lines.append("")
    if margin is None:
        lines.append(say("Margin: reckoning ..."))
    else:
        lines.append(_margin(margin, currency))
    lines += _money(sale, currency, day)
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


def _margin(margin: SaleMargin, currency: Currency) -> str:
    def text(amount: int) -> str:
        return amount_text(amount, currency)

    waits = say("; its animals are still here, so no cost has left yet") if margin.waits else ""
    waits += say(" ({text} of them animals sent as goodwill)", text=text(margin.goodwill)) if margin.goodwill else ""
    if margin.makes_good:
        waits += say(
            ". Its animals are goodwill: what they cost is a selling cost of {makes_good}", makes_good=margin.makes_good
        )
    return say(
        "Margin {text}: price {text2}, less cost of animals {text3}, less selling costs {text4}{waits}",
        text=text(margin.margin),
        text2=text(margin.price),
        text3=text(margin.cost),
        text4=text(margin.selling_costs),
        waits=waits,
    )


def _money(sale: Sale, currency: Currency, day: SaidDay) -> list[str]:
    lines = [
        say("Charged: {what} {amount}", what=one.text or word(one.kind), amount=amount_text(one.amount, currency))
        for one in sale.charges
    ]
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
    lines += [
        say(
            "Credit {number}: {credited_on} {amount}{whole}, {reason}",
            number=one.number,
            credited_on=day(one.credited_on),
            amount=amount_text(one.amount, currency),
            whole=say(", the whole sale") if one.full else "",
            reason=_reason(one.reason),
        )
        for one in sale.credits
    ]
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
        lines[0] += say(", arrival not noted (A)")
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
            lines.append(say("   ! still to be answered (k)"))
    return lines


def _told(found: OneSale, day: SaidDay) -> list[str]:
    """Lines that state an origin which no longer holds, and whether the buyer was told."""
    lines = []
    for row in found.affected:
        told = (
            say("told {noted_on}", noted_on=day(row.noted_on))
            if row.noted_on
            else say("the buyer is still to be told (N)")
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
