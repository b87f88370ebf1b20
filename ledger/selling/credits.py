"""Credits: what corrects a sale. Nothing on the sale is edited.

In full: the sale never was, its movements are taken back. By lines: animals that came back alive return to where they
were, at the cost they left at; animals that arrived dead do not, and the loss stays with the sale. Money goes back
as far as more was paid than is still due.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import Connection, insert, select

from ledger.act import Act, Done, Scene
from ledger.days import long_day
from ledger.errors import BadInput, NotFound, Refused
from ledger.money import Currency, said
from ledger.records import tables as t
from ledger.records.columns import MOST_MONEY
from ledger.records.lateness import late
from ledger.records.numbers import number_for
from ledger.records.periods import accounting_day, year_of
from ledger.records.series import CREDITS
from ledger.records.undone import reverses_nothing
from ledger.selling.commands import CreditLine, CreditSale
from ledger.selling.posting import waiting_lines
from ledger.selling.sale import IN_KIND, LineOfSale, Sale, find_sale
from ledger.selling.selling import check_method
from ledger.selling.unpaying import commit_unpay, plan_unpay
from ledger.selling.writing import PaidDraft, locked_sale, pay
from ledger.stock import earmarks
from ledger.stock.drafts import Draft, ResolvedMove
from ledger.stock.moving import write_entries
from ledger.stock.purchases import write_purchases
from ledger.stock.reversing import plan_back, reversal_drafts
from ledger.stock.story import movement_rows
from ledger.stock.tally import Tally
from ledger.stock.words import animals
from ledger.text import clean
from ledger.wording import counted, listed, say

_LAW = say("The buyer's legal rights may go further than the terms as sold; a promise of live arrival adds to them.")


@dataclass(frozen=True, slots=True)
class CreditPlan:
    """A credit that can be written."""

    sale: Sale
    on: dt.date
    reason: str
    lines: tuple[CreditLine, ...]
    """Empty: in full."""
    amount: int
    refund: bool
    never: bool
    method: str
    sentence: str
    cautions: tuple[str, ...]


def plan_credit(conn: Connection, command: CreditSale, scene: Scene) -> CreditPlan:
    """Check a credit and say it in full.

    Raises:
        NotFound, BadInput: there is no such sale or line, or more would be credited than was sold.
        Refused: the sale was credited before in a way that leaves nothing for this one.
        NotEnough: its movements cannot be taken back any more.
    """
    sale = find_sale(conn, command.sale)
    on = sale.sold_on if command.never else command.on
    if not sale.sold_on <= on <= scene.today:
        raise BadInput(
            say(
                "{number} was sold on {sold_on}; credit it from that day up to today.",
                number=sale.number,
                sold_on=long_day(sale.sold_on),
            ),
            "on",
        )
    reason = clean(command.reason, limit=500, field="reason")
    if not reason:
        raise BadInput(say("Say why it is credited: arrived dead, wrong animals, entered by mistake."), "reason")
    lines = tuple(_clean_line(line) for line in command.lines)
    amount = _check(conn, sale, lines, scene.currency)
    movements = [] if lines else _all_movements(conn, sale)
    if movements:
        plan_back(conn, Tally(conn, scene), movement_rows(conn, movements=movements), reason)
    money = _back(sale, amount) if command.refund else 0
    back = say(", {money} given back", money=said(money, scene.currency)) if money else ""
    if money and command.never:
        back = say(", {money} taken back as never paid", money=said(money, scene.currency))
    if sale.channel == "swap":
        back = say(", settled in animals as it was")
    return CreditPlan(
        sale,
        on,
        reason,
        lines,
        amount,
        command.refund,
        command.never,
        check_method(command.method),
        say(
            "{what} credited, {on}: {amount}{back} ({reason}).",
            what=_what(sale, lines),
            on=long_day(on),
            amount=said(amount, scene.currency),
            back=back,
            # As it was given where nothing had to be cleaned: it may know how another language says it.
            reason=command.reason if reason == command.reason else reason,
        ),
        (*late(conn, on), *_cautions(conn, sale, lines, repacked=command.repacked)),
    )


def commit_credit(conn: Connection, plan: CreditPlan, act: Act) -> Done:
    """Write a credit with what it does to animals and money."""
    sale = locked_sale(conn, plan.sale.id)
    amount = _check(conn, sale, plan.lines, act.scene.currency)
    entry = _animals_back(conn, act, sale, plan) if plan.lines else _take_back(conn, act, sale, plan)
    if plan.never and sale.channel != "swap":
        _never_paid(conn, act, sale)
        sale = locked_sale(conn, sale.id)
    if plan.refund:
        _refund(conn, act, sale, amount, plan)
    accounted = accounting_day(conn, plan.on)
    number = number_for(conn, CREDITS, year_of(conn, accounted))
    credit_id = int(
        conn.execute(
            insert(t.credit)
            .values(
                number=number,
                sale_id=sale.id,
                credited_on=plan.on,
                accounting_on=accounted,
                amount=amount,
                full=int(not plan.lines),
                reason=plan.reason,
                operation_id=act.operation,
            )
            .returning(t.credit.c.id)
        ).scalar_one()
    )
    conn.execute(insert(t.credit_line), _rows(sale, plan.lines, credit_id))
    refs: dict[str, int | str] = {"credit": credit_id, "number": number, "sale": sale.id}
    if entry is not None:
        refs["entry"] = entry
    return Done(say("{number}: {sentence}", number=number, sentence=plan.sentence), refs, plan.cautions)


# --- checks ---------------------------------------------------------------------------------------------------------


def _clean_line(line: CreditLine) -> CreditLine:
    return CreditLine(line.position, line.amount, line.count, line.back, clean(line.text, limit=120, field="text"))


def _check(conn: Connection, sale: Sale, lines: Sequence[CreditLine], currency: Currency) -> int:
    """The amount of a credit, once nothing stands against it."""
    facts = {"sale": sale.number}
    if sale.undone:
        raise Refused(
            say(
                "{number} was credited in full by {credit} already.",
                number=sale.number,
                credit=sale.credits[-1].number,
            ),
            "sale",
            facts,
        )
    if not lines:
        if sale.credits:
            raise Refused(
                say(
                    "{number} was credited in part by {credit}; credit the rest line by line.",
                    number=sale.number,
                    credit=sale.credits[0].number,
                ),
                "sale",
                facts,
            )
        return sale.total
    if sale.channel == "swap":
        raise Refused(
            say(
                "{number} was a swap, so there is no money to credit by lines; take it back in full.",
                number=sale.number,
            ),
            "sale",
            facts,
        )
    amounts: dict[int, int] = defaultdict(int)
    counts: dict[int, int] = defaultdict(int)
    back: dict[int, int] = defaultdict(int)
    for line in lines:
        _check_line(sale, line)
        amounts[line.position] += line.amount
        counts[line.position] += line.count
        back[line.position] += line.back
    for position, amount in amounts.items():
        _check_sum(conn, sale, position, amount, counts[position], back[position], currency)
    return sum(amounts.values())


def _check_line(sale: Sale, line: CreditLine) -> None:
    if line.position and not any(one.position == line.position for one in sale.lines):
        raise NotFound(
            say(
                "{number} has no line {position}; it has {lines}, and 0 stands for its charges.",
                number=sale.number,
                position=line.position,
                lines=len(sale.lines),
            ),
            "position",
            {"sale": sale.number},
        )
    if not 0 <= line.amount <= MOST_MONEY:
        raise BadInput(say("The amount credited must be nothing or more, and within reason."), "amount")
    if type(line.count) is not int or type(line.back) is not int or not 0 <= line.back <= line.count:
        raise BadInput(say("No more animals can have come back than are credited."), "back")
    if not line.position and line.count:
        raise BadInput(say("A charge has no animals; credit them on their own line."), "count")
    if not line.amount and not line.count:
        raise BadInput(say("Say how many animals or how much money is credited."), "amount")


def _check_sum(
    conn: Connection, sale: Sale, position: int, amount: int, count: int, back: int, currency: Currency
) -> None:
    facts = {"sale": sale.number, "position": position}
    if not position:
        left = sum(charge.amount for charge in sale.charges) - sale.charges_credited
        if amount > left:
            raise BadInput(
                say(
                    "Of the charges of {number} only {left} can still be credited.",
                    number=sale.number,
                    left=said(left, currency),
                ),
                "amount",
                facts,
            )
        return
    line = _line(sale, position)
    left = line.net - line.credited_amount
    if amount > left:
        raise BadInput(
            say(
                "Of line {position} of {number} only {left} can still be credited.",
                position=position,
                number=sale.number,
                left=said(left, currency),
            ),
            "amount",
            facts,
        )
    animals_left = line.animals - line.credited
    if count > animals_left:
        raise BadInput(
            counted(
                animals_left,
                "Of line {position} of {number} only {n} animal can still be credited.",
                "Of line {position} of {number} only {n} animals can still be credited.",
                position=position,
                number=sale.number,
            ),
            "count",
            facts,
        )
    if sale.waits_for_post:
        _check_waiting(conn, sale, line, count, back)


def _check_waiting(conn: Connection, sale: Sale, line: LineOfSale, count: int, back: int) -> None:
    """Before posting, a line can be credited whole, or as far as its animals are lacking."""
    if back:
        raise BadInput(say("{number} was not posted, so nothing can have come back.", number=sale.number), "back")
    one = next((one for one in waiting_lines(conn, sale) if one.line.id == line.id), None)
    if one is None or not count or count == one.wanted or count <= one.short:
        return
    raise Refused(
        say(
            "{number} was not posted yet: credit line {position} whole ({wanted}) and sell the rest anew",
            number=sale.number,
            position=line.position,
            wanted=one.wanted,
        )
        + (say(", or the {short} that are lacking.", short=one.short) if one.short else say(", or post it first.")),
        "count",
        {"sale": sale.number, "position": line.position},
    )


def _line(sale: Sale, position: int) -> LineOfSale:
    return next(line for line in sale.lines if line.position == position)


def _back(sale: Sale, amount: int) -> int:
    """What more was paid than is due once `amount` is credited."""
    return max(0, min(amount, -(sale.owed - amount)))


def _what(sale: Sale, lines: Sequence[CreditLine]) -> str:
    if not lines:
        return say("{number} in full", number=sale.number)
    parts = []
    for line in lines:
        if not line.position:
            parts.append(line.text or say("charges"))
        elif line.count:
            sold = _line(sale, line.position)
            some = say("{animals} of {lot}", animals=animals(line.count, sold.stage_text), lot=sold.lot_code)
            came = say(", {back} of them back alive", back=line.back) if line.back else ""
            parts.append(say("line {position}: {some}{came}", position=line.position, some=some, came=came))
        else:
            parts.append(say("line {position}", position=line.position))
    return say("{number}, {parts}", number=sale.number, parts=listed(parts))


def _cautions(conn: Connection, sale: Sale, lines: Sequence[CreditLine], *, repacked: bool) -> tuple[str, ...]:
    cautions = []
    p, sold = t.fair_pack.c, t.fair_pack_sale.c
    pack = conn.execute(
        select(p.mark).join(t.fair_pack_sale, sold.fair_pack_id == p.id).where(sold.sale_id == sale.id)
    ).scalar()
    if pack is not None and not lines and not repacked:
        cautions.append(
            say(
                "Its animals are free again; pack {mark} does not lie packed again until the page of the fair says so.",
                mark=pack,
            )
        )
    if lines:
        cautions.append(_LAW)
    of_it = t.cost.c.sale_id == sale.id
    costs = conn.execute(select(t.cost.c.id).where(of_it, reverses_nothing(t.cost.c.reverses))).all()
    if not lines and costs:
        cautions.append(
            say("Its selling costs stay, as they were spent; take back those entered by mistake under Costs.")
        )
    if not lines and sale.hold_number:
        cautions.append(
            say("{hold_number} stays taken up; make a new hold if it is to stand again.", hold_number=sale.hold_number)
        )
    return tuple(cautions)


# --- animals --------------------------------------------------------------------------------------------------------


def _take_back(conn: Connection, act: Act, sale: Sale, plan: CreditPlan) -> int | None:
    """The whole sale never was: its movements are taken back, or its animals stop waiting to be posted."""
    for one in waiting_lines(conn, sale):
        earmarks.free(conn, act, one.earmark.id)
    movements = _all_movements(conn, sale)
    if not movements:
        return None
    drafts = reversal_drafts(conn, movements, plan.reason)
    written = write_entries(conn, act, drafts)
    write_purchases(conn, act, drafts, written)
    return written[0].entry_id


def _animals_back(conn: Connection, act: Act, sale: Sale, plan: CreditPlan) -> int | None:
    """Animals that came back return to where they were; those still waiting for a line credited whole are free."""
    waiting = {one.line.position: one for one in waiting_lines(conn, sale)} if sale.waits_for_post else {}
    moves: list[ResolvedMove] = []
    for line in plan.lines:
        one = waiting.get(line.position)
        if one is not None and line.count == one.wanted:
            earmarks.free(conn, act, one.earmark.id)
        if line.back:
            moves += _returns(conn, _line(sale, line.position), line.back)
    if not moves:
        return None
    return write_entries(conn, act, [Draft(plan.on, tuple(moves), note=plan.reason)])[0].entry_id


def _all_movements(conn: Connection, sale: Sale) -> list[int]:
    """The movements that took the animals of a sale out, and of a swap also those that came in for them."""
    link, m, e = t.sale_movement.c, t.movement.c, t.entry.c
    wanted = select(link.movement_id).where(link.sale_line_id.in_([line.id for line in sale.lines]))
    movements = list(conn.execute(wanted.order_by(link.movement_id)).scalars())
    if sale.channel == "swap":
        came = select(m.id).join(t.entry, e.id == m.entry_id)
        movements += conn.execute(came.where(e.operation_id == sale.operation_id, m.reason == "swapped in")).scalars()
    return movements


def _returns(conn: Connection, line: LineOfSale, back: int) -> list[ResolvedMove]:
    """Movements back into the holdings the animals of a line left, the first ones first."""
    m = t.movement
    returned = m.alias("returned")
    rows = conn.execute(
        select(m.c.id, m.c.from_holding_id, m.c.count.label("n"), returned.c.count.label("came_back"))
        .join(t.sale_movement, t.sale_movement.c.movement_id == m.c.id)
        .outerjoin(returned, (returned.c.relates_to == m.c.id) & (returned.c.reason == "returned"))
        .where(t.sale_movement.c.sale_line_id == line.id)
        .order_by(m.c.id)
    ).all()
    left: dict[tuple[int, int], int] = {}
    for row in rows:
        key = (row.id, row.from_holding_id)
        left[key] = left.get(key, row.n) - (row.came_back or 0)
    moves = []
    for (movement, holding), there in left.items():
        part = min(back, there)
        back -= part
        if part:
            moves.append(ResolvedMove("returned", part, target=holding, relates_to=movement))
    return moves


# --- money ----------------------------------------------------------------------------------------------------------


def _refund(conn: Connection, act: Act, sale: Sale, amount: int, plan: CreditPlan) -> None:
    money = _back(sale, amount)
    if money:
        method = IN_KIND if sale.channel == "swap" else plan.method
        pay(conn, act, sale.id, PaidDraft(-money, method, plan.on), plan.reason)


def _never_paid(conn: Connection, act: Act, sale: Sale) -> None:
    """Take back each payment of a sale that stands, on its own day; a deposit of a hold is none of them."""
    p, back = t.payment.c, t.payment.alias("back")
    standing = select(p.id).where(
        p.sale_id == sale.id,
        p.amount > 0,
        reverses_nothing(p.reverses),
        ~select(back.c.id).where(back.c.reverses == p.id).exists(),
    )
    for payment in list(conn.execute(standing.order_by(p.id.desc())).scalars()):
        commit_unpay(conn, plan_unpay(conn, payment, act.scene), act)


def _rows(sale: Sale, lines: Sequence[CreditLine], credit_id: int) -> list[dict[str, object]]:
    """The lines of a credit; in full, every line and the charges of the sale."""
    if not lines:
        charges = sum(charge.amount for charge in sale.charges)
        whole = [CreditLine(line.position, line.net, line.animals) for line in sale.lines]
        lines = [*whole, *([CreditLine(0, charges, text="charges")] if charges else [])]
    return [
        {
            "credit_id": credit_id,
            "sale_line_id": _line(sale, line.position).id if line.position else None,
            "count": line.count,
            "back": line.back,
            "amount": line.amount,
            "text": line.text,
        }
        for line in lines
    ]
