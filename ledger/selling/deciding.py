"""What is done about a claim of animals that arrived dead: refund, replacement, goodwill, or nothing.

A refund is a credit and a replacement a sale free of charge; goodwill is a credit, or animals sent free of charge,
whose cost is a selling cost of the sale they make good (`goodwill`). The books follow those. What the law gives the
buyer is left alone, also when a claim is declined.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, replace

from sqlalchemy import Connection, insert

from ledger.act import Act, Done, Scene
from ledger.days import long_day
from ledger.errors import BadInput, NotFound, Refused
from ledger.money import round_half_even
from ledger.records import tables as t
from ledger.selling.commands import CreditLine, CreditSale, DecideClaim, LineOf, Sell
from ledger.selling.credits import CreditPlan, commit_credit, plan_credit
from ledger.selling.doa import LAW, ClaimRow, claims
from ledger.selling.goodwill import REASON
from ledger.selling.sale import LineOfSale, Sale, find_sale
from ledger.selling.selling import SellPlan, commit_sell, plan_sell, sale_words
from ledger.selling.writing import locked_sale
from ledger.text import clean_block
from ledger.wording import say, strung, word

OUTCOMES = ("refund", "replacement", "goodwill", "declined")


@dataclass(frozen=True, slots=True)
class DecisionPlan:
    """What a claim comes to."""

    row: ClaimRow
    outcome: str
    on: dt.date
    note: str
    credit: CreditPlan | None
    instead: SellPlan | None
    sentence: str
    cautions: tuple[str, ...]


def plan_decision(conn: Connection, command: DecideClaim, scene: Scene) -> DecisionPlan:
    """Check what a claim comes to.

    Raises:
        NotFound, BadInput, Refused, NotEnough: there is no such claim, it was decided, or it cannot be met like that.
    """
    row = _open(conn, command.claim)
    if command.outcome not in OUTCOMES:
        raise BadInput(say("A claim is met by one of: {outcomes}.", outcomes=strung(OUTCOMES, ", ")), "outcome")
    if not row.reported_on <= command.on <= scene.today:
        raise BadInput(
            say(
                "It was reported on {reported_on}; decide it from that day up to today.",
                reported_on=long_day(row.reported_on),
            ),
            "on",
        )
    _check_measure(command)
    sale = find_sale(conn, row.number)
    line = next(one for one in sale.lines if one.position == row.position)
    credit = _credit(conn, command, row, sale, line, scene)
    sends = command.outcome == "replacement" or command.animals is not None
    instead = _instead(conn, command, row, sale, line, scene) if sends else None
    of = credit or instead

    cautions = [LAW, *(of.cautions if of is not None else ())]
    if command.outcome == "declined":
        cautions.append(say("Declining says nothing of what the law gives the buyer; ask if in doubt."))
    return DecisionPlan(
        row,
        command.outcome,
        command.on,
        clean_block(command.note, limit=2000, field="note"),
        credit,
        instead,
        _sentence(row, command.outcome, of.sentence if of is not None else ""),
        tuple(dict.fromkeys(cautions)),
    )


def _sentence(row: ClaimRow, outcome: str, done: str) -> str:
    """What a claim comes to. Args: the claim, its outcome, the sentence of the credit or the sale if there is one."""
    words = {
        "declined": say("declined as outside the terms as sold"),
        "goodwill": say("met as goodwill"),
        "refund": say("met by a refund"),
        "replacement": say("met by a replacement"),
    }
    return say(
        "Claim {id} ({dead} of {lot} dead on arrival, {number}) {how}{what}",
        id=row.id,
        dead=row.dead,
        lot=row.lot,
        number=row.number,
        how=words[outcome],
        what=strung((": ", done), "") if done else ".",
    )


def _check_measure(command: DecideClaim) -> None:
    """Refuse money or animals where the outcome has no place for them, and goodwill that is neither or both."""
    if command.amount is not None and command.outcome not in ("refund", "goodwill"):
        raise BadInput(
            say("No money goes back by “{outcome}”; leave the amount out.", outcome=command.outcome), "amount"
        )
    if command.animals is not None and command.outcome != "goodwill":
        raise BadInput(
            say("A number of animals goes with goodwill; a replacement is for as many as were dead."), "animals"
        )
    if command.outcome == "goodwill" and (command.amount is None) == (command.animals is None):
        raise BadInput(say("Say what is given as goodwill: an amount, or how many animals are sent."), "amount")


def _open(conn: Connection, number: int) -> ClaimRow:
    row = next((one for one in claims(conn) if one.id == number), None)
    if row is None:
        raise NotFound(say("There is no claim {number}; see the list of claims.", number=number), "claim")
    if row.outcome:
        raise Refused(
            say("Claim {number} was decided already: {outcome}.", number=number, outcome=word(row.outcome)),
            "claim",
            {"claim": number},
        )
    return row


def _credit(
    conn: Connection, command: DecideClaim, row: ClaimRow, sale: Sale, line: LineOfSale, scene: Scene
) -> CreditPlan | None:
    if command.outcome not in ("refund", "goodwill") or command.animals is not None:
        return None
    animals = command.outcome == "refund"
    amount = command.amount
    if amount is None:
        amount = min(round_half_even(line.net * row.dead, line.animals), line.net - line.credited_amount)
    text = "dead on arrival" if animals else "goodwill"
    credited = CreditLine(line.position, amount, row.dead if animals else 0, text=text)
    reason = (
        say("{dead} dead on arrival", dead=row.dead)
        if animals
        else say("goodwill for {dead} dead on arrival", dead=row.dead)
    )
    return plan_credit(
        conn, CreditSale(sale.number, command.on, reason, (credited,), command.refund, command.method), scene
    )


def _instead(
    conn: Connection, command: DecideClaim, row: ClaimRow, sale: Sale, line: LineOfSale, scene: Scene
) -> SellPlan:
    """A sale free of charge; the animals are stated as what they are, which may be less than what they replace."""
    goodwill = command.animals is not None
    what = LineOf(
        command.lot or line.lot_code,
        row.dead if command.animals is None else command.animals,
        0,
        line.stage_text,
        line.sex_text,
        command.tub,
        price_zero_reason=f"{'goodwill' if goodwill else 'replacement'} for {row.dead} dead on arrival, {sale.number}",
    )
    by_post = sale.channel == "post"
    channel = "post" if by_post else "other"
    plan = plan_sell(conn, Sell((what,), command.on, sale.customer_name, channel, to_post=by_post), scene)
    if not goodwill:
        return plan
    draft = plan.draft._replace(reason=REASON)
    return replace(plan, draft=draft, sentence=sale_words(draft, 0, 0, 0, None, scene))


def commit_decision(conn: Connection, plan: DecisionPlan, act: Act) -> Done:
    """Write what a claim comes to, and what the books see of it."""
    locked_sale(conn, find_sale(conn, plan.row.number).id)
    _open(conn, plan.row.id)
    refs: dict[str, int | str] = {"claim": plan.row.id}
    credit_id = sale_id = None
    sentence = plan.sentence
    if plan.credit is not None:
        done = commit_credit(conn, plan.credit, act)
        credit_id = int(done.refs["credit"])
        refs |= {"credit": credit_id, "number": done.refs["number"]}
        sentence = _sentence(plan.row, plan.outcome, done.sentence)
    if plan.instead is not None:
        done = commit_sell(conn, plan.instead, act)
        sale_id = int(done.refs["sale"])
        refs |= {"sale": sale_id, "number": done.refs["number"]}
        sentence = _sentence(plan.row, plan.outcome, done.sentence)
    conn.execute(
        insert(t.claim_outcome).values(
            claim_id=plan.row.id,
            outcome=plan.outcome,
            decided_on=plan.on,
            credit_id=credit_id,
            sale_id=sale_id,
            note=plan.note,
            operation_id=act.operation,
        )
    )
    return Done(sentence, refs, plan.cautions)
