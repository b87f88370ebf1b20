"""Holds: promises of animals to a buyer until a moment, with a deposit. Whether one still stands is judged when read.

A hold lapses by itself; the next writer records that (`sweep_lapsed`). What becomes of a deposit is a dated row of its
own (`deposit_decision`), so that it is accounted when it is decided; on the fate of a hold it is 'applied' to a sale,
'undecided' (decided then or later by such a row) or 'none'. Who takes a hold up, releases it or lets it lapse locks
the holdings it was made on first.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from sqlalchemy import Connection, bindparam, insert, select

from ledger.act import Act
from ledger.errors import NotFound, Refused
from ledger.records import tables as t
from ledger.records.later import recall
from ledger.records.numbers import spellings
from ledger.records.periods import accounting_day
from ledger.records.series import HOLDS
from ledger.selling.deadlines import day_of, has_passed, moment_in_words
from ledger.stock import earmarks
from ledger.stock.locks import lock
from ledger.text import quoted
from ledger.wording import say, word


@dataclass(frozen=True, slots=True)
class HoldLine:
    """Animals of one lot, stage and sex that are promised."""

    id: int
    holding_id: int
    """Where they were when it was made."""
    count: int
    price: int | None
    """What the list said for them then."""
    earmark_id: int
    lot: str
    stage: str
    sex: str
    sure: str
    tub: str


@dataclass(frozen=True, slots=True)
class Hold:
    """A hold as it stands at a moment."""

    id: int
    number: str
    customer_id: int
    customer: str
    made_on: dt.date
    until: str
    deposit: int
    note: str
    state: str
    """open, taken up, lapsed or released; lapsed also when nobody has recorded it yet."""
    ended_on: dt.date | None
    deposit_state: str
    """held, applied, refunded, kept, undecided or none."""
    lines: tuple[HoldLine, ...]
    operation_id: int
    """The act that made it."""

    @property
    def open(self) -> bool:
        """Whether the animals are still promised."""
        return self.state == "open"


def find_hold(conn: Connection, number: str, now: str) -> Hold:
    """The hold of that number; R-14 finds R-014.

    Raises:
        NotFound: there is none.
    """
    wanted = number.strip().upper()
    found = _holds(conn, t.hold.c.number == wanted, now)
    if not found:
        found = _holds(conn, t.hold.c.number.in_(spellings(conn, HOLDS, wanted)), now)
    if not found:
        raise NotFound(
            say("There is no hold {number}; look its number up in the list of holds.", number=quoted(number)), "hold"
        )
    return found[0]


def holds(conn: Connection, now: str, *, only_open: bool = False) -> tuple[Hold, ...]:
    """Holds as they stand now, soonest deadline first."""
    ended = select(t.hold_fate.c.id).where(t.hold_fate.c.hold_id == t.hold.c.id).correlate(t.hold).exists()
    found = _holds(conn, ~ended if only_open else None, now)
    return tuple(sorted((one for one in found if one.open or not only_open), key=lambda one: (one.until, one.id)))


def undecided(conn: Connection, now: str) -> tuple[Hold, ...]:
    """Holds that are over and whose deposit nobody has decided on, oldest first."""
    d = t.deposit_decision.c
    decided = select(d.id).where(d.hold_id == t.hold.c.id).correlate(t.hold).exists()
    found = _holds(conn, (t.hold.c.deposit > 0) & ~decided, now)
    return tuple(one for one in found if one.deposit_state == "undecided")


def _holds(conn: Connection, condition, now: str) -> list[Hold]:  # type: ignore[no-untyped-def]
    h, f, d = t.hold.c, t.hold_fate.c, t.deposit_decision.c
    wanted = (
        select(
            h.id,
            h.number,
            h.customer_id,
            t.customer.c.name,
            h.made_on,
            h.until,
            h.deposit,
            h.note,
            h.operation_id,
            f.fate,
            f.happened_on,
            f.deposit.label("became"),
            d.outcome,
        )
        .join(t.customer, t.customer.c.id == h.customer_id)
        .outerjoin(t.hold_fate, f.hold_id == h.id)
        .outerjoin(t.deposit_decision, d.hold_id == h.id)
        .order_by(h.id)
    )
    rows = conn.execute(wanted if condition is None else wanted.where(condition)).all()
    lines = _lines(conn, [row.id for row in rows])
    found = []
    for row in rows:
        lapsed = row.fate is None and has_passed(row.until, now)
        state = row.fate or ("lapsed" if lapsed else "open")
        ended_on = row.happened_on or (day_of(row.until) if lapsed else None)
        deposit = row.outcome or row.became or ("undecided" if lapsed else "held")
        found.append(
            Hold(
                *row[:8],
                state,
                ended_on,
                deposit if row.deposit else "none",
                tuple(lines.get(row.id, ())),
                row.operation_id,
            )
        )
    return found


def _lines(conn: Connection, ids: Sequence[int]) -> dict[int, list[HoldLine]]:
    if not ids:
        return {}
    line, h = t.hold_line.c, t.holding.c
    wanted = (
        select(
            line.hold_id,
            line.id,
            line.holding_id,
            line.count.label("n"),
            line.price,
            t.earmark.c.id.label("earmark_id"),
            t.lot.c.code,
            t.stage.c.name,
            h.sex,
            h.sure,
            h.tub,
        )
        .join(t.earmark, t.earmark.c.hold_line_id == line.id)
        .join(t.holding, h.id == line.holding_id)
        .join(t.lot, t.lot.c.id == h.lot_id)
        .join(t.stage, t.stage.c.id == h.stage_id)
        .order_by(line.id)
    )
    found: dict[int, list[HoldLine]] = {}
    known = set(ids)
    for row in conn.execute(wanted.where(line.hold_id.in_(ids)) if len(ids) <= 500 else wanted):
        if row.hold_id in known:
            found.setdefault(row.hold_id, []).append(HoldLine(*row[1:]))
    return found


# --- taking a hold up, releasing it, letting it lapse -----------------------------------------------------------------


def still_open(conn: Connection, hold_id: int, now: str) -> Hold:
    """Lock a hold and read it again: whoever was first has ended it.

    Raises:
        Refused: it is over; says how.
    """
    line = t.hold_line.c
    lock(conn, conn.execute(select(line.holding_id).where(line.hold_id == hold_id)).scalars().all())
    hold = _holds(conn, t.hold.c.id == hold_id, now)[0]
    check_open(hold, day_of(now))
    return hold


def check_open(hold: Hold, today: dt.date) -> None:
    """Refuse a hold that is over.

    Raises:
        Refused: it lapsed, was released or taken up.
    """
    if hold.open:
        return
    facts = {"hold": hold.number, "state": hold.state}
    if hold.state == "lapsed":
        left = say("; decide what becomes of its deposit") if hold.deposit_state == "undecided" else ""
        raise Refused(
            say(
                "{number} for {customer} lapsed on {until} and its animals are free again{left}. Sell them "
                "without it, or make a new hold.",
                number=hold.number,
                customer=hold.customer,
                until=moment_in_words(hold.until, today),
                left=left,
            ),
            "hold",
            facts,
        )
    raise Refused(
        say(
            "{number} for {customer} was {state} on {ended_on}; make a new hold if need be.",
            number=hold.number,
            customer=hold.customer,
            state=word(hold.state),
            ended_on=hold.ended_on,
        ),
        "hold",
        facts,
    )


def write_fate(conn: Connection, act: Act, hold: Hold, fate: str, on: dt.date, deposit: str, note: str = "") -> None:
    """Record how a hold ended; its earmarks are ended by the caller."""
    conn.execute(
        insert(t.hold_fate).values(
            hold_id=hold.id,
            fate=fate,
            happened_on=on,
            deposit=deposit if hold.deposit else "none",
            note=note,
            operation_id=act.operation,
        )
    )


def decide(conn: Connection, act: Act, hold: Hold, outcome: str, on: dt.date, method: str, note: str = "") -> None:
    """Record that a deposit was kept, or given back."""
    accounted = accounting_day(conn, on)
    conn.execute(
        insert(t.deposit_decision).values(
            hold_id=hold.id,
            outcome=outcome,
            happened_on=on,
            accounting_on=accounted,
            note=note,
            operation_id=act.operation,
        )
    )
    if outcome == "refunded":
        pay_deposit(conn, act, hold.id, on, -hold.deposit, method, note)


def pay_deposit(
    conn: Connection, act: Act, hold_id: int, on: dt.date, amount: int, method: str, note: str = ""
) -> None:
    """Record a deposit received (positive) or given back (negative)."""
    conn.execute(
        insert(t.payment).values(
            sale_id=None,
            hold_id=hold_id,
            paid_on=on,
            accounting_on=accounting_day(conn, on),
            amount=amount,
            method=method,
            note=note,
            operation_id=act.operation,
        )
    )


def lapsed_holdings(conn: Connection, now: str) -> set[int]:
    """Holdings that the next sweep will touch, to be locked together with a writer's own."""
    line, h, o = t.hold_line.c, t.hold.c, t.earmark_on.c
    over = (
        select(line.holding_id, o.holding_id.label("now_in"))
        .join(t.hold, h.id == line.hold_id)
        .join(t.earmark, t.earmark.c.hold_line_id == line.id)
        .outerjoin(t.earmark_on, o.earmark_id == t.earmark.c.id)
        .where(h.until < now[:16], ~select(t.hold_fate.c.id).where(t.hold_fate.c.hold_id == h.id).exists())
    )
    return {holding for row in conn.execute(over) for holding in row if holding is not None}


_ANY_LAPSED = select(
    select(t.hold.c.id)
    .where(
        t.hold.c.until < bindparam("now"),
        ~select(t.hold_fate.c.id).where(t.hold_fate.c.hold_id == t.hold.c.id).exists(),
    )
    .exists()
)


def sweep_lapsed(conn: Connection, act: Act, also: Iterable[int] = ()) -> tuple[str, ...]:
    """Record every hold whose deadline has passed as lapsed and free its animals; returns their numbers.

    Call it before guarding anything. A deposit stays undecided.

    Args:
        conn: the transaction of the act.
        act: the act.
        also: holdings the act will change, locked here with those of the holds so that all are locked in one order.
    """
    now = act.scene.now

    def ask() -> bool:
        return bool(conn.execute(_ANY_LAPSED, {"now": now[:16]}).scalar_one())

    if not recall(conn, ("lapsed", now[:16]), (t.hold.name, t.hold_fate.name), ask):
        if conn.dialect.name != "sqlite":
            lock(conn, also)
        return ()
    lock(conn, {*lapsed_holdings(conn, now), *also})
    over = _holds(
        conn,
        (t.hold.c.until < now[:16]) & t.hold_fate.c.id.is_(None),
        now,
    )
    for hold in over:
        write_fate(conn, act, hold, "lapsed", day_of(hold.until), "undecided")
        for line in hold.lines:
            earmarks.free(conn, act, line.earmark_id)
    return tuple(hold.number for hold in over)


def is_taken(conn: Connection, number: str) -> bool:
    """Whether a hold has that number, written with as many digits or others."""
    same = {number, *spellings(conn, HOLDS, number)}
    return conn.execute(select(t.hold.c.id).where(t.hold.c.number.in_(same))).first() is not None
