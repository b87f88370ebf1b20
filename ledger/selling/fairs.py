"""Fairs: what is on record of each, what it comes to, and planning one, spending on it and settling it.

The packs of a fair are in `fair_packs`. The margin of a fair is that of its sales less what the fair itself cost.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, replace

from sqlalchemy import ColumnElement, Connection, Select, func, insert, or_, select

from ledger.act import Act, Done, Scene
from ledger.days import long_day
from ledger.errors import BadInput, NotFound, Refused
from ledger.money import said
from ledger.records import tables as t
from ledger.records.columns import MOST_MONEY
from ledger.selling.alone import alone
from ledger.selling.commands import DriveToFair, EndFair, PlanFair, SellingCost, SpendOnFair
from ledger.selling.costs_of_sale import SellingCostDraft, check_selling_costs, write_selling_costs
from ledger.selling.margin import SaleMargin, margins_of
from ledger.selling.mileage import mileage
from ledger.stock import earmarks
from ledger.text import clean, clean_block, quoted
from ledger.wording import counted, say, unended, word

CASH = "cash"
MILEAGE = "mileage"
_RATE = say("The rate of a kilometre is your own; ask your adviser what your rules allow.")
_LICENCE = say("Selling at fairs may be barred or licensed, especially vertebrates; ask your local authority first.")


@dataclass(frozen=True, slots=True)
class Fair:
    """One fair as it was planned, and its end if it is over."""

    id: int
    name: str
    held_on: dt.date
    last_on: dt.date
    cash_float: int
    note: str
    ended_on: dt.date | None
    counted: int | None
    expected: int | None


@dataclass(frozen=True, slots=True)
class FairResult:
    """What a fair comes to. Amounts in minor units."""

    fair: Fair
    sales: tuple[SaleMargin, ...]
    packed: int
    """Packs put together."""
    packs_sold: int
    packs_left: int
    """Packs that still stand ready."""
    cash: int
    """Cash taken for its sales less cash given back."""
    costs: int
    """Table fee, mileage and the like."""

    @property
    def animals(self) -> int:
        """Animals sold, what was given on top included."""
        return sum(line.count + line.extra for sale in self.sales for line in sale.lines)

    @property
    def price(self) -> int:
        """Lines and charges less credits."""
        return sum(sale.price for sale in self.sales)

    @property
    def cost(self) -> int:
        """What the animals left at."""
        return sum(sale.cost for sale in self.sales)

    @property
    def selling_costs(self) -> int:
        """Of single sales, such as card fees."""
        return sum(sale.selling_costs for sale in self.sales)

    @property
    def margin(self) -> int:
        """What is left of the prices after all of these."""
        return self.price - self.cost - self.selling_costs - self.costs

    @property
    def expected(self) -> int:
        """Cash there should be: the float and what was taken; once it was settled, as it stood then."""
        return self.fair.cash_float + self.cash if self.fair.expected is None else self.fair.expected

    @property
    def difference(self) -> int | None:
        """Cash counted less cash expected when it was counted; `None`: not counted yet."""
        if self.fair.counted is None or self.fair.expected is None:
            return None
        return self.fair.counted - self.fair.expected


def fairs(conn: Connection) -> tuple[Fair, ...]:
    """Every fair, oldest first."""
    f, e = t.fair.c, t.fair_end.c
    rows = conn.execute(
        select(f.id, f.name, f.held_on, f.last_on, f.cash_float, f.note, e.ended_on, e.counted, e.expected)
        .outerjoin(t.fair_end, e.fair_id == f.id)
        .order_by(f.held_on, f.id)
    )
    return tuple(Fair(*row) for row in rows)


def find_fair(conn: Connection, typed: str) -> Fair:
    """A fair by its name or number; of several with one name, the latest.

    Raises:
        NotFound: there is none.
    """
    wanted = " ".join(typed.casefold().split())
    fit = [one for one in fairs(conn) if wanted in (one.name.casefold(), str(one.id))]
    if not fit:
        raise NotFound(
            say("There is no fair {typed}; plan it first, or look at the list of fairs.", typed=quoted(typed)), "fair"
        )
    return fit[-1]


def fair_result(conn: Connection, typed: str, until: dt.date) -> FairResult:
    """What a fair comes to, with costs accounted up to a day. Raises NotFound."""
    fair = find_fair(conn, typed)
    sales = sales_of(conn, fair)
    p, sold, line = t.fair_pack.c, t.fair_pack_sale.c, t.fair_pack_line.c
    packs = set(conn.execute(select(p.id).where(p.fair_id == fair.id, p.id.not_in(packs_that_never_were()))).scalars())
    gone = set(conn.execute(select(sold.fair_pack_id).where(sold.fair_pack_id.in_(packs))).scalars())
    lines = conn.execute(select(line.fair_pack_id, line.earmark_id).where(line.fair_pack_id.in_(packs - gone))).all()
    left = {row.fair_pack_id for row in lines if not earmarks.get(conn, row.earmark_id).ended}
    c = t.fair_cost.c
    spent = conn.execute(
        select(func.coalesce(func.sum(t.cost.c.basis), 0))
        .join(t.fair_cost, c.cost_id == t.cost.c.id)
        .where(c.fair_id == fair.id, ~_taken_back())
    ).scalar_one()
    return FairResult(
        fair, margins_of(conn, until, sales), len(packs), len(gone), len(left), cash_of(conn, fair, sales), int(spent)
    )


def packs_that_never_were() -> Select[tuple[int]]:
    """Packs made, sold or taken apart by an act that was undone; instead of those sold or taken apart others lie."""
    p, line, v, back = t.fair_pack.c, t.fair_pack_line.c, t.earmark_event.c, t.undone.c
    made = select(p.id).join(t.undone, back.act_id == p.operation_id)
    ended = (
        select(line.fair_pack_id)
        .join(t.earmark_event, v.earmark_id == line.earmark_id)
        .join(t.undone, back.act_id == v.operation_id)
        .where(v.why.in_(("freed", "taken")))
    )
    return select(made.union(ended).subquery().c[0])


def _taken_back() -> ColumnElement[bool]:
    back = t.cost.alias("taken_back")
    return select(back.c.id).where(back.c.reverses == t.cost.c.id).exists()


def sales_of(conn: Connection, fair: Fair) -> list[int]:
    """Ids of the sales of a fair: its packs, and what else was sold by fair on its days."""
    s, sold, p = t.sale.c, t.fair_pack_sale.c, t.fair_pack.c
    packed = select(sold.sale_id).join(t.fair_pack, p.id == sold.fair_pack_id)
    wanted = select(s.id).where(
        or_(
            s.id.in_(packed.where(p.fair_id == fair.id)),
            (s.channel == "fair") & s.sold_on.between(fair.held_on, fair.last_on) & s.id.not_in(packed),
        )
    )
    return list(conn.execute(wanted.order_by(s.id)).scalars())


def cash_of(conn: Connection, fair: Fair, sales: list[int]) -> int:
    """Cash taken for the sales of a fair on its days, less cash given back."""
    p = t.payment.c
    wanted = select(func.coalesce(func.sum(p.amount), 0)).where(
        p.sale_id.in_(sales), p.method == CASH, p.paid_on.between(fair.held_on, fair.last_on)
    )
    return int(conn.execute(wanted).scalar_one())


def check_open(fair: Fair) -> None:
    """Refuse a fair that is over.

    Raises:
        Refused: it was settled.
    """
    if fair.ended_on is not None:
        raise Refused(
            say("{name} was settled on {ended_on}; plan a new fair.", name=fair.name, ended_on=long_day(fair.ended_on)),
            "fair",
        )


# --- planning -------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class FairPlan:
    """A fair to be planned."""

    command: PlanFair
    sentence: str
    cautions: tuple[str, ...]


def plan_fair(conn: Connection, command: PlanFair, scene: Scene) -> FairPlan:
    """Check a fair.

    Raises:
        BadInput, Refused: it has no name, or days that another fair has.
    """
    name = clean(command.name, limit=120, field="name")
    if not name or name.isdigit():
        raise BadInput(say("Give the fair a name."), "name")
    last = command.last_on or command.held_on
    if last < command.held_on:
        raise BadInput(say("A fair cannot end before it begins; swap the two days."), "last_on")
    if not 0 <= command.cash_float <= MOST_MONEY:
        raise BadInput(say("The cash taken along must be nothing or more, and within reason."), "cash_float")
    for other in fairs(conn):
        if other.held_on <= last and command.held_on <= other.last_on:
            raise Refused(
                say("{name} is on those days already; one fair a day can be kept apart.", name=other.name), "held_on"
            )
    days = long_day(command.held_on)
    if last != command.held_on:
        days = say("{first} to {last}", first=days, last=long_day(last))
    return FairPlan(
        PlanFair(name, command.held_on, last, command.cash_float, clean_block(command.note, limit=2000, field="note")),
        say(
            "{name}, {days}; {cash_float} of change taken along.",
            name=name,
            days=days,
            cash_float=said(command.cash_float, scene.currency),
        ),
        (_LICENCE,),
    )


def commit_fair(conn: Connection, plan: FairPlan, act: Act) -> Done:
    """Write a fair."""
    if alone(conn, "fair"):
        plan = plan_fair(conn, plan.command, act.scene)
    wanted = plan.command
    number = conn.execute(
        insert(t.fair)
        .values(
            name=wanted.name,
            held_on=wanted.held_on,
            last_on=wanted.last_on,
            cash_float=wanted.cash_float,
            note=wanted.note,
            operation_id=act.operation,
        )
        .returning(t.fair.c.id)
    ).scalar_one()
    return Done(plan.sentence, {"fair": int(number)}, plan.cautions)


# --- what it costs --------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class FairCostPlan:
    """A cost of a fair."""

    fair: Fair
    cost: SellingCostDraft
    on: dt.date
    sentence: str
    cautions: tuple[str, ...] = ()


def plan_cost(conn: Connection, command: SpendOnFair, scene: Scene) -> FairCostPlan:
    """Check a cost of a fair.

    Raises:
        NotFound, BadInput: there is no such fair, or no such cost.
    """
    fair = find_fair(conn, command.fair)
    if command.on > scene.today:
        raise BadInput(say("{on} is still to come; enter the cost when it is made.", on=long_day(command.on)), "on")
    [cost] = check_selling_costs([SellingCost(command.category, command.amount, text=command.text or fair.name)])
    return FairCostPlan(
        fair,
        cost,
        command.on,
        say(
            "{name}: {category} {amount}, {on}.",
            name=fair.name,
            category=word(cost.category),
            amount=said(cost.amount, scene.currency),
            on=long_day(command.on),
        ),
    )


def plan_drive(conn: Connection, command: DriveToFair, scene: Scene) -> FairCostPlan:
    """Check kilometres driven for a fair.

    Raises:
        NotFound, BadInput: there is no such fair, no such number, or no rate.
    """
    amount, reckoned = mileage(conn, command.km, command.rate, scene.currency)
    text = f"{reckoned}; {command.text}" if command.text.strip() else reckoned
    plan = plan_cost(conn, SpendOnFair(command.fair, MILEAGE, amount, command.on, text), scene)
    return replace(
        plan,
        sentence=say("{cost}, {reckoned}.", cost=unended(plan.sentence), reckoned=reckoned),
        cautions=(*plan.cautions, _RATE),
    )


def commit_cost(conn: Connection, plan: FairCostPlan, act: Act) -> Done:
    """Write a cost of a fair, paid on the day."""
    [number] = write_selling_costs(conn, act, [plan.cost], None, plan.on)
    conn.execute(insert(t.fair_cost).values(fair_id=plan.fair.id, cost_id=number, operation_id=act.operation))
    return Done(plan.sentence, {"cost": number, "fair": plan.fair.id})


# --- settling -------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class EndPlan:
    """A fair that can be settled."""

    command: EndFair
    fair: Fair
    on: dt.date
    counted: int
    expected: int
    note: str
    marks: tuple[int, ...]
    """Earmarks of what was not sold."""
    sentence: str
    cautions: tuple[str, ...]


def plan_end(conn: Connection, command: EndFair, scene: Scene) -> EndPlan:
    """Check that a fair can be settled, and say what the cash comes to.

    Raises:
        NotFound, BadInput, Refused: there is no such fair, or it was settled.
    """
    fair = find_fair(conn, command.fair)
    check_open(fair)
    if not fair.held_on <= command.on <= scene.today:
        raise BadInput(
            say(
                "{name} was on {held_on}; settle it from that day up to today.",
                name=fair.name,
                held_on=long_day(fair.held_on),
            ),
            "on",
        )
    if not 0 <= command.counted <= MOST_MONEY:
        raise BadInput(say("The cash counted must be nothing or more, and within reason."), "counted")
    expected = fair.cash_float + cash_of(conn, fair, sales_of(conn, fair))
    off = command.counted - expected
    money = scene.currency
    amount = said(abs(off), money)
    tells = say("{amount} too much", amount=amount) if off > 0 else say("{amount} too little", amount=amount)
    tells = tells if off else say("as expected")
    marks = left_over(conn, fair)
    number = len({pack for pack, _ in marks})
    left = (
        counted(
            number,
            "; {n} pack not sold, whose animals are free again",
            "; {n} packs not sold, whose animals are free again",
        )
        if number
        else ""
    )
    return EndPlan(
        command,
        fair,
        command.on,
        command.counted,
        expected,
        clean_block(command.note, limit=2000, field="note"),
        tuple(mark for _, mark in marks),
        say(
            "{name} settled, {on}: {counted} counted, {expected} expected, {tells}{left}.",
            name=fair.name,
            on=long_day(command.on),
            counted=said(command.counted, money),
            expected=said(expected, money),
            tells=tells,
            left=left,
        ),
        (say("Look for the difference; it is noted and changes no sale."),) if off else (),
    )


def left_over(conn: Connection, fair: Fair) -> list[tuple[int, int]]:
    """(pack, earmark) of packs that were neither sold nor taken apart."""
    p, line, sold = t.fair_pack.c, t.fair_pack_line.c, t.fair_pack_sale.c
    rows = conn.execute(
        select(p.id, line.earmark_id)
        .join(t.fair_pack_line, line.fair_pack_id == p.id)
        .outerjoin(t.fair_pack_sale, sold.fair_pack_id == p.id)
        .where(p.fair_id == fair.id, sold.id.is_(None))
        .order_by(p.id, line.id)
    )
    return [(row.id, row.earmark_id) for row in rows if not earmarks.get(conn, row.earmark_id).ended]


def commit_end(conn: Connection, plan: EndPlan, act: Act) -> Done:
    """Settle a fair: what was not sold comes back."""
    if alone(conn, "fair", plan.fair.id):
        plan = plan_end(conn, plan.command, act.scene)
    for mark in plan.marks:
        earmarks.free(conn, act, mark)
    conn.execute(
        insert(t.fair_end).values(
            fair_id=plan.fair.id,
            ended_on=plan.on,
            counted=plan.counted,
            expected=plan.expected,
            note=plan.note,
            operation_id=act.operation,
        )
    )
    return Done(plan.sentence, {"fair": plan.fair.id}, plan.cautions)
