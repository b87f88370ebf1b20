"""Erasing a person at their request: name, contact and remarks go, from the rows and from the file.

Sales, lines and origins stay. The one text of the journals that names a buyer (`ERASABLE` in `records.tables`) is made
empty, which is all the database lets anybody do to it. SQLite overwrites what is freed (`secure_delete`). It is said
before which rules may ask for the buyer to be kept, and afterwards what could not be reached. Retention as an
exception: GDPR Art. 17(3)(b); which records must be kept how long is for local rules.
"""

from __future__ import annotations

import datetime as dt
import json
from dataclasses import dataclass

from sqlalchemy import Column, Connection, select, update

from ledger.act import Act, Done, Scene
from ledger.days import long_day
from ledger.errors import BadInput, Refused
from ledger.records import tables as t
from ledger.selling.commands import EraseCustomer
from ledger.selling.customers import CustomerRow, find_customer
from ledger.selling.doa import claims
from ledger.selling.flags import flag_rows
from ledger.selling.holds import holds
from ledger.selling.lending import loans
from ledger.selling.queue import WAITING, queue
from ledger.selling.sale import sales_by_id
from ledger.wording import counted, listed, say, word

ERASED = "erased buyer {number}"
"""What stands in place of the name."""
_KEEP = say(
    "Rules on invoices, on registers of animals sold, and on permits may ask you to keep who bought; "
    "check first. What was printed or sent, backups, archives and files made before are not reached."
)


@dataclass(frozen=True, slots=True)
class ErasePlan:
    """A person who can be erased."""

    customer: CustomerRow
    on: dt.date
    sentence: str
    cautions: tuple[str, ...]


def plan_erase(conn: Connection, command: EraseCustomer, scene: Scene) -> ErasePlan:
    """Check that a person can be erased, and say what may have to be kept.

    Raises:
        NotFound, Refused, BadInput: there is nobody of that name, or a hold, parcel, loan or sum is still open.
    """
    who = find_customer(conn, command.customer)
    if command.on != scene.today:
        raise BadInput(say("Erasing is done today, {today}.", today=long_day(scene.today)), "on")
    _check_open(conn, who, scene)
    s = t.sale.c
    sold = conn.execute(
        select(s.id, t.lot.c.species_id)
        .join(t.sale_line, t.sale_line.c.sale_id == s.id)
        .join(t.holding, t.holding.c.id == t.sale_line.c.holding_id)
        .join(t.lot, t.lot.c.id == t.holding.c.lot_id)
        .where(s.customer_id == who.id)
    ).all()
    number = len({row.id for row in sold})
    species = {row.species_id for row in sold}
    flagged = sorted(
        {
            say("{species} ({kind})", species=row.species, kind=word(row.kind))
            for row in flag_rows(conn)
            if row.species_id in species and row.ended_on is None
        }
    )
    cautions = [_KEEP]
    if flagged:
        cautions.append(
            say(
                "They bought what has reminders entered: {flagged}; such rules may name the buyer.",
                flagged=listed(flagged),
            )
        )
    return ErasePlan(
        who,
        command.on,
        counted(
            number,
            "{name}: name, contact and remarks erased for good; {n} sale and their origins stay, without a "
            "name. This cannot be undone.",
            "{name}: name, contact and remarks erased for good; {n} sales and their origins stay, without a "
            "name. This cannot be undone.",
            name=who.name,
        ),
        tuple(cautions),
    )


def _check_open(conn: Connection, who: CustomerRow, scene: Scene) -> None:
    for hold in holds(conn, scene.now):
        if hold.customer_id == who.id and (hold.open or hold.deposit_state in ("held", "undecided")):
            names = {"number": hold.number, "name": who.name}
            raise Refused(
                say("{number} for {name} still stands; settle that first.", **names)
                if hold.open
                else say(
                    "{number} for {name} has a deposit that is still to be decided on; settle that first.", **names
                ),
                "customer",
            )
    for row in queue(conn, scene.now):
        if row.customer == who.name and row.state == WAITING:
            raise Refused(
                say("{name} waits in the queue of {hold}; let them leave it first.", name=who.name, hold=row.hold),
                "customer",
            )
    for loan in loans(conn, only_open=True):
        if loan.to == who.name:
            raise Refused(
                say("{lot} is on loan to {name}; record that it is back first.", lot=loan.lot, name=who.name),
                "customer",
            )
    ids = conn.execute(select(t.sale.c.id).where(t.sale.c.customer_id == who.id)).scalars().all()
    undecided = {claim.number for claim in claims(conn, only_open=True)}
    for sale in sales_by_id(conn, ids):
        if sale.number in undecided:
            raise Refused(
                say(
                    "A claim on {number} ({name}) is still to be decided; do that first.",
                    number=sale.number,
                    name=who.name,
                ),
                "customer",
            )
        if sale.waits_for_post:
            raise Refused(
                say("{number} for {name} is still to be posted; settle that first.", number=sale.number, name=who.name),
                "customer",
            )
        if sale.owed:
            raise Refused(
                say("Money is still owed on {number} ({name}); settle that first.", number=sale.number, name=who.name),
                "customer",
            )


def commit_erase(conn: Connection, plan: ErasePlan, act: Act) -> Done:
    """Erase a person.

    The answer names nobody, as it is kept.
    """
    who = plan.customer
    _check_open(conn, who, act.scene)
    anonym = ERASED.format(number=who.id)
    conn.execute(
        update(t.customer).where(t.customer.c.id == who.id).values(name=anonym, contact="", note="", erased_on=plan.on)
    )
    sales = update(t.sale).where(t.sale.c.customer_id == who.id, t.sale.c.customer_name != "")
    conn.execute(sales.values(customer_name=""))
    as_kept = json.dumps(who.name, ensure_ascii=False)[1:-1]
    answers = update(t.outcome).where(t.outcome.c.answer.contains(as_kept, autoescape=True))
    conn.execute(answers.values(answer=""))
    left = _still_named(conn, who.name)
    cautions = [
        say("Not reached: backups, archives, files, papers and messages made before; destroy or redact them yourself."),
    ]
    if conn.dialect.name != "sqlite":
        cautions.append(
            say("Not reached: what the database server still keeps of old rows until it vacuums, and its logs.")
        )
    if left:
        cautions.append(
            say("Not reached, as they cannot be changed: {left} that hold the same name.", left=listed(left))
        )
    return Done(
        say("{upper}{anonym}: erased; sales and origins stay.", upper=anonym[0].upper(), anonym=anonym[1:]),
        {"customer": who.id},
        tuple(cautions),
    )


_ELSEWHERE: dict[str, tuple[Column[str], ...]] = {
    "remarks of sales": (t.sale.c.note, t.sale.c.own_note),
    "remarks of holds": (t.hold.c.note, t.hold_fate.c.note, t.deposit_decision.c.note, t.queue_place.c.note),
    "remarks of payments": (t.payment.c.note,),
    "reasons of credits": (t.credit.c.reason,),
    "remarks of entries": (t.entry.c.note, t.observation.c.note),
    "remarks of what is kept back": (t.earmark.c.note,),
    "remarks of parcels": (t.posting.c.note, t.post_wait.c.why, t.arrival.c.note),
    "remarks of fairs": (t.fair.c.note, t.fair_change.c.note, t.fair_end.c.why, t.fair_end.c.note),
    "claims": (t.claim.c.evidence, t.claim_outcome.c.note),
    "correction notes": (t.correction_note.c.why,),
    "suppliers of costs": (t.cost.c.supplier, t.cost.c.text, t.cost.c.note, t.cost_change.c.note, t.store_issue.c.note),
    "suppliers of lots": (t.origin_fact.c.supplier, t.origin_fact.c.note, t.origin_fact.c.documents),
    "what was known of animals": (t.animal_fact.c.note, t.parent.c.evidence, t.exposure.c.evidence),
    "origins as they were stated": (
        *(t.sale_line.c.origin_text, t.sale_line.c.provenance_text),
        *(t.stated_origin.c.origin_text, t.stated_origin.c.provenance_text),
    ),
    "facts of lots": (t.lot_fact.c.value, t.lot.c.note),
    "terms of loans": (t.loan.c.terms, t.loan_end.c.note),
}
"""Texts of the journals that may hold anything a keeper wrote."""


def _still_named(conn: Connection, name: str) -> list[str]:
    """Where the name still stands, in words."""
    found = []
    for words, columns in _ELSEWHERE.items():
        for column in columns:
            if conn.execute(select(column).where(column.contains(name, autoescape=True)).limit(1)).first():
                found.append(words)
                break
    return found
