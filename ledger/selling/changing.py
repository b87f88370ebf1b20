"""Changing what is known of a customer: how they are reached, which prices they pay, a remark.

The name is not changed: sales print it as it was, and it is what tells one buyer from another.
"""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import Connection, update

from ledger.act import Act, Done, Scene
from ledger.errors import BadInput
from ledger.records.tables import customer
from ledger.selling.commands import ChangeCustomer
from ledger.selling.customers import KINDS, CustomerRow, find_customer
from ledger.text import clean_block
from ledger.wording import listed, say, word


@dataclass(frozen=True, slots=True)
class ChangePlan:
    """What is changed of a customer."""

    customer: CustomerRow
    contact: str
    kind: str
    note: str
    sentence: str
    cautions: tuple[str, ...] = ()


def plan_change(conn: Connection, command: ChangeCustomer, _scene: Scene) -> ChangePlan:
    """Check what is to be changed of a customer.

    Raises:
        NotFound, BadInput: there is nobody of that name, nothing changes, or a value is none.
    """
    who = find_customer(conn, command.customer)
    kind = who.kind if command.kind is None else command.kind
    if kind not in KINDS:
        raise BadInput(say("A customer is {kinds}.", kinds=" or ".join(KINDS)), "kind")
    contact, note = who.contact, who.note
    if command.contact is not None:
        contact = clean_block(command.contact, limit=500, field="contact")
    if command.note is not None:
        note = clean_block(command.note, limit=2000, field="note")
    changed = []
    if contact != who.contact:
        changed.append(say("contact set") if contact else say("contact taken out"))
    if kind != who.kind:
        changed.append(say("{kind} prices from now on", kind=word(kind)))
    if note != who.note:
        changed.append(say("remark set") if note else say("remark taken out"))
    if not changed:
        raise BadInput(say("Nothing of {name} would change; say what is new.", name=who.name), "contact")
    # What they are is not said: answers are kept, and only the row of the customer is erased.
    return ChangePlan(who, contact, kind, note, say("{name}: {changed}.", name=who.name, changed=listed(changed)))


def commit_change(conn: Connection, plan: ChangePlan, _act: Act) -> Done:
    """Change it."""
    conn.execute(
        update(customer)
        .where(customer.c.id == plan.customer.id, customer.c.erased_on.is_(None))
        .values(contact=plan.contact, kind=plan.kind, note=plan.note)
    )
    return Done(plan.sentence, {"customer": plan.customer.id}, plan.cautions)
