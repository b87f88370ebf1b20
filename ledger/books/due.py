"""What needs doing: rounds, lots turning ready, holds, parcels, animals lacking, money owed either way.

Each row is a sentence with the act that settles it. Reads only; reminds, and decides nothing. The days between
rounds, and how long ahead it looks, are common practice without a source, and the first can be set for a species.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from sqlalchemy import BigInteger, Connection, case, cast, func, select

from ledger.act import Scene
from ledger.books.rounds_due import next_rounds
from ledger.books.sold import SaleAccount, sale_accounts
from ledger.costs.in_use import in_use
from ledger.days import long_day
from ledger.money import said
from ledger.records import tables as t
from ledger.selling.deadlines import day_of, moment_in_words
from ledger.selling.doa import claims
from ledger.selling.flags import SOON, flag_rows
from ledger.selling.holds import Hold, holds, undecided
from ledger.selling.lending import loans
from ledger.selling.parcels import waiting as kept_waiting
from ledger.selling.posting import must_not_travel, waiting_lines
from ledger.selling.queue import queue
from ledger.selling.sale import sales_by_id
from ledger.selling.standing import is_set
from ledger.stock.earmarks import earmarks, shorts
from ledger.stock.figures import figures, lot_facts
from ledger.stock.layering import layers_of
from ledger.stock.layers import readiness
from ledger.stock.stock_rows import StockRow, stock_on
from ledger.stock.words import animals, stage_words, tubs_text
from ledger.text import count_words
from ledger.wording import counted, listed, say, word

READY_DAYS = 14
HOLD_DAYS = 2
"""How far ahead lots turning ready, and holds about to lapse, are told."""


@dataclass(frozen=True, slots=True)
class DueRow:
    """One thing to do."""

    on: dt.date
    """The day it is due, or has been due since."""
    kind: str
    """round, ready, hold, queue, deposit, post, short, claim, loan, permit, unpaid, give back, cost or bag."""
    ref: str
    """What it is about: code of a lot or species, number of a hold, sale, claim, earmark or cost."""
    sentence: str
    late: bool
    """Due before today."""


def due(conn: Connection, scene: Scene) -> tuple[DueRow, ...]:
    """Everything that needs doing, the longest due first."""
    rows: list[DueRow] = []
    there = stock_on(conn)
    facts = lot_facts(conn, scene.today)
    rows += _rounds(conn, scene, there, facts)
    rows += _turning_ready(conn, scene, there, facts)
    open_holds = holds(conn, scene.now, only_open=True)
    rows += _holds(scene, open_holds, undecided(conn, scene.now))
    sales = sale_accounts(conn)
    rows += _parcels(conn, scene, sales)
    rows += _of_trade(conn, scene)
    rows += _lacking(conn, scene, open_holds)
    rows += _money(conn, scene, sales)
    rows += _bags(conn, scene)
    return tuple(sorted(rows, key=lambda row: (row.on, row.kind, row.ref)))


def _row(scene: Scene, on: dt.date, kind: str, ref: str, sentence: str) -> DueRow:
    return DueRow(on, kind, ref, sentence, on < scene.today)


def _rounds(
    conn: Connection, scene: Scene, there: Iterable[StockRow], facts: Mapping[tuple[int, str], str]
) -> Iterator[DueRow]:
    """Lots with a tub that nobody has fed or looked at for the days of its species."""
    code = {row.lot_id: row.lot for row in there}
    labels: dict[int, set[str]] = defaultdict(set)
    waiting: dict[int, dict[str, dt.date]] = defaultdict(dict)
    for (lot_id, tub), one in next_rounds(conn, scene, there, facts).items():
        labels[lot_id].add(tub)
        if one.is_due(scene.today):
            waiting[lot_id][tub] = one.due_on
    for lot_id, tubs in waiting.items():
        since = min(tubs.values())
        which = say(", {tubs}", tubs=_tubs(set(tubs))) if len(tubs) < len(labels[lot_id]) else ""
        of, since_day = code[lot_id], long_day(since)
        yield _row(
            scene,
            since,
            "round",
            code[lot_id],
            say("{code}{which}: round due today.", code=of, which=which)
            if since == scene.today
            else say("{code}{which}: round due since {since}.", code=of, which=which, since=since_day),
        )


def _tubs(waiting: set[str]) -> str:
    """'tubs 1 and 2', 'tub 3 and the unlabelled rest'."""
    parts = [tubs_text(waiting - {""})] if waiting - {""} else []
    return listed([*parts, say("the unlabelled rest")] if "" in waiting else parts)


def _turning_ready(
    conn: Connection, scene: Scene, there: Iterable[StockRow], facts: Mapping[tuple[int, str], str]
) -> Iterator[DueRow]:
    """Animals for sale that are due to be hard soon."""
    known = figures(conn, scene.today)
    soft = [
        row
        for row in there
        if known.yes(row.species_id, row.stage_id, "saleable")
        and known.hardening_days(row.species_id, row.stage_id)
        and facts.get((row.lot_id, "purpose"), "sale") == "sale"
        and not is_set(facts.get((row.lot_id, "lent out"), ""))
    ]
    layers = layers_of(conn, [row.holding_id for row in soft])
    found: dict[tuple[str, str, dt.date], int] = defaultdict(int)
    last = scene.today + dt.timedelta(days=READY_DAYS)
    for row in soft:
        wait = known.hardening_days(row.species_id, row.stage_id)
        state = readiness(layers[row.holding_id], row.earmarked or 0, wait, scene.today)
        for day, count in state.soft:
            if day <= last:
                found[row.lot, row.stage, day] += count
    for (code, stage, day), count in found.items():
        what = animals(count, stage)
        yield _row(
            scene,
            day,
            "ready",
            code,
            say("{lot}: {animals} due hard {day}: look first.", lot=code, animals=what, day=long_day(day)),
        )


def _holds(scene: Scene, open_holds: Iterable[Hold], waiting: Iterable[Hold]) -> Iterator[DueRow]:
    last = scene.today + dt.timedelta(days=HOLD_DAYS)
    for hold in open_holds:
        on = day_of(hold.until)
        if on <= last:
            when = moment_in_words(hold.until, scene.today)
            yield _row(
                scene,
                on,
                "hold",
                hold.number,
                say("{number} for {customer} lapses {when}.", number=hold.number, customer=hold.customer, when=when),
            )
    for hold in waiting:
        on = hold.ended_on or day_of(hold.until)
        deposit = said(hold.deposit, scene.currency)
        yield _row(
            scene,
            on,
            "deposit",
            hold.number,
            say(
                "{number} for {customer} is over: decide what becomes of the deposit of {deposit}.",
                number=hold.number,
                customer=hold.customer,
                deposit=deposit,
            ),
        )


def _waiting(sales: Iterable[SaleAccount]) -> list[SaleAccount]:
    return [sale for sale in sales if sale.earned_on is None and not sale.undone]


def _parcels(conn: Connection, scene: Scene, sales: Iterable[SaleAccount]) -> Iterator[DueRow]:
    waiting = {sale.id: sale for sale in _waiting(sales)}
    kept = kept_waiting(conn)
    for sale in sales_by_id(conn, waiting):
        parcel = (
            say("{number} for {customer}", number=sale.number, customer=sale.customer_name)
            if sale.customer_name
            else sale.number
        )
        waits = kept.get(sale.id)
        if waits is not None:
            look = say("; look again {look_on}", look_on=long_day(waits.look_on)) if waits.look_on else ""
            words = say(
                "{parcel} waits to be posted ({why}){look}.",
                parcel=parcel,
                why=waits.why,
                look=look,
            )
            yield _row(scene, waits.look_on or waits.from_on, "post", sale.number, words)
        else:
            yield _row(
                scene,
                sale.sold_on,
                "post",
                sale.number,
                say("{parcel} is to be posted, sold {sold_on}.", parcel=parcel, sold_on=long_day(sale.sold_on)),
            )
        for lot, stage in must_not_travel(conn, waiting_lines(conn, sale), scene.today):
            words = say(
                "{number}: the {stage} of {lot} must not travel now; replace, refund or wait.",
                number=sale.number,
                stage=stage_words(stage, 2),
                lot=lot,
            )
            yield _row(
                scene,
                sale.sold_on,
                "short",
                sale.number,
                words,
            )
        for line in waiting_lines(conn, sale):
            if line.short:
                words = counted(
                    line.short,
                    "{number}, line {position}: {n} animal is lacking; replace, credit or wait.",
                    "{number}, line {position}: {n} animals are lacking; replace, credit or wait.",
                    number=sale.number,
                    position=line.line.position,
                )
                yield _row(
                    scene,
                    sale.sold_on,
                    "short",
                    sale.number,
                    words,
                )


def _of_trade(conn: Connection, scene: Scene) -> Iterator[DueRow]:
    """Buyers whose turn it is, claims to be decided, loans that should be back, permits about to end."""
    for row in queue(conn, scene.now):
        if row.turn:
            words = say(
                "{hold} is over and {customer} is next in its queue: offer the animals.",
                hold=row.hold,
                customer=row.customer,
            )
            yield _row(scene, row.asked_on, "queue", row.hold, words)
    for claim in claims(conn, only_open=True):
        whom = say(" ({customer})", customer=claim.customer) if claim.customer else ""
        dead = count_words(claim.dead, "animal", "animals")
        words = say(
            "Claim {id} on {number}{whom}: {dead} dead on arrival; decide what is done.",
            id=claim.id,
            number=claim.number,
            whom=whom,
            dead=dead,
        )
        yield _row(scene, claim.reported_on, "claim", str(claim.id), words)
    for loan in loans(conn, only_open=True):
        if loan.back_by is not None and loan.back_by <= scene.today:
            words = say(
                "{lot} was to be back from {to} by {back_by}: record that it is, or ask.",
                lot=loan.lot,
                to=loan.to,
                back_by=long_day(loan.back_by),
            )
            yield _row(scene, loan.back_by, "loan", loan.lot, words)
    last = scene.today + dt.timedelta(days=SOON)
    for flag in flag_rows(conn):
        if flag.kind == "permit" and flag.counts_on(scene.today) and flag.expires_on and flag.expires_on <= last:
            ends_on = long_day(flag.expires_on)
            words = (
                say(
                    "{species}: {flag} expired {day}; renew it or end the reminder.",
                    species=flag.species,
                    flag=flag.words,
                    day=ends_on,
                )
                if flag.expired(scene.today)
                else say(
                    "{species}: {flag} expires {day}; renew it or end the reminder.",
                    species=flag.species,
                    flag=flag.words,
                    day=ends_on,
                )
            )
            yield _row(scene, flag.expires_on, "permit", flag.species, words)


def _lacking(conn: Connection, scene: Scene, open_holds: Iterable[Hold]) -> Iterator[DueRow]:
    """Holds and animals kept back with fewer animals than they are for."""
    short = {one.id: one for one in shorts(conn)}
    for hold in open_holds:
        lacking = sum(short[line.earmark_id].short for line in hold.lines if line.earmark_id in short)
        if lacking:
            sentence = counted(
                lacking,
                "{number} for {customer}: {n} animal is lacking; tell the buyer.",
                "{number} for {customer}: {n} animals are lacking; tell the buyer.",
                number=hold.number,
                customer=hold.customer,
            )
            yield _row(scene, day_of(hold.until), "short", hold.number, sentence)
    for one in earmarks(conn, "kept"):
        if one.short:
            why = say(" ({note})", note=one.note) if one.note else ""
            words = counted(
                one.short, "Kept back{why}: {n} animal is lacking.", "Kept back{why}: {n} animals are lacking.", why=why
            )
            yield _row(scene, scene.today, "short", str(one.id), words)


def _bags(conn: Connection, scene: Scene) -> Iterator[DueRow]:
    """Feed and the like that is thought to be finished: one row for all of it, a reminder and never late."""
    over = [row for row in in_use(conn, scene.today) if row.overdue]
    if over:
        items = listed(list(dict.fromkeys(word(row.item) for row in over))[:3])
        words = counted(
            len(over),
            "{n} thing in use is thought to be finished ({items}): open the next, or say its last day.",
            "{n} things in use are thought to be finished ({items}): open the next, or say their last day.",
            items=items,
        )
        yield _row(scene, scene.today, "bag", str(over[0].cost), words)


def _money(conn: Connection, scene: Scene, sales: Iterable[SaleAccount]) -> Iterator[DueRow]:
    for sale in sales:
        balance = sale.balance(scene.today)
        who = say(" ({customer})", customer=sale.customer) if sale.customer else ""
        amount = said(abs(balance), scene.currency)
        if balance > 0 and sale.earned_on is not None:
            since = long_day(sale.earned_on)
            yield _row(
                scene,
                sale.earned_on,
                "unpaid",
                sale.number,
                say(
                    "{number}{who}: {amount} unpaid since {since}.",
                    number=sale.number,
                    who=who,
                    amount=amount,
                    since=since,
                ),
            )
        elif balance < 0 and (sale.undone or sale.earned_on is not None):
            sentence = say("{number}{who}: {amount} is to be given back.", number=sale.number, who=who, amount=amount)
            yield _row(scene, sale.sold_on, "give back", sale.number, sentence)
    c, ch, back = t.cost.c, t.cost_change.c, t.cost.alias("back")
    paid = cast(func.coalesce(func.sum(case((ch.kind == "paid", ch.amount), else_=0)), 0), BigInteger)
    rows = conn.execute(
        select(c.id, c.bought_on, c.supplier, c.category, c.gross, paid.label("paid"))
        .outerjoin(t.cost_change, ch.cost_id == c.id)
        .outerjoin(back, back.c.reverses == c.id)
        .where(c.reverses.is_(None), back.c.id.is_(None))
        .group_by(c.id)
        .having(paid < c.gross)
        .order_by(c.id)
    )
    for row in rows:
        parts = {
            "id": row.id,
            "category": word(row.category),
            "owed": said(row.gross - row.paid, scene.currency),
            "bought_on": long_day(row.bought_on),
        }
        yield _row(
            scene,
            row.bought_on,
            "cost",
            str(row.id),
            say(
                "Cost {id} ({category}): {owed} unpaid to {supplier}, bought {bought_on}.",
                supplier=row.supplier,
                **parts,
            )
            if row.supplier
            else say("Cost {id} ({category}): {owed} unpaid, bought {bought_on}.", **parts),
        )
