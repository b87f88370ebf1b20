"""Customers: only what a sale needs. Finds them by name while it is typed, and adds them; `erasing` takes them out.

The one mutable thing of selling; what a sale printed stays on the sale.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from sqlalchemy import Connection, bindparam, insert, select

from ledger.act import Act, Done, Scene
from ledger.errors import BadInput, NotFound, Refused
from ledger.records.later import Later, later, write_one
from ledger.records.tables import customer
from ledger.selling.commands import AddCustomer
from ledger.text import clean, clean_block, quoted
from ledger.wording import say, word

KINDS = ("retail", "trade")


@dataclass(frozen=True, slots=True)
class CustomerRow:
    """One customer who has not been erased."""

    id: int
    name: str
    contact: str
    kind: str
    """retail or trade: which prices count."""
    note: str


_ALL = (
    select(customer.c.id, customer.c.name, customer.c.contact, customer.c.kind, customer.c.note)
    .where(customer.c.erased_on.is_(None))
    .order_by(customer.c.id)
)
_SPELT = _ALL.where(customer.c.name == bindparam("spelt")).limit(1)


def _all(conn: Connection) -> list[CustomerRow]:
    return [CustomerRow(*row) for row in conn.execute(_ALL)]


def find_customers(conn: Connection, typed: str, limit: int = 10) -> tuple[CustomerRow, ...]:
    """Customers whose name holds `typed`, whatever its case: those that begin with it first, then by name.

    The comparison is made here because a database folds the case of some alphabets only.
    """
    wanted = typed.strip().casefold()
    found = [row for row in _all(conn) if wanted in row.name.casefold()]
    found.sort(key=lambda row: (not row.name.casefold().startswith(wanted), row.name.casefold(), row.id))
    return tuple(found[:limit])


def customer_named(conn: Connection, name: str) -> CustomerRow | None:
    """The customer of exactly this name, or of this name in another case; the first one entered if two share it."""
    waiting = later(conn)
    if waiting is not None:
        return _known(conn, waiting).named(name.strip())
    # Most are named as they are spelt, and are found without reading all of them.
    spelt = conn.execute(_SPELT, {"spelt": name.strip()}).one_or_none()
    if spelt is not None:
        return CustomerRow(*spelt)
    wanted = name.strip().casefold()
    return next((row for row in _all(conn) if row.name.casefold() == wanted), None)


@dataclass(slots=True)
class _Known:
    """Everybody, by name: a sheet of ten thousand buyers asks for one in every row."""

    _spelt: dict[str, CustomerRow] = field(default_factory=dict)
    _folded: dict[str, CustomerRow] = field(default_factory=dict)

    def add(self, row: CustomerRow) -> None:
        """Add one; who was entered before them keeps the name."""
        self._spelt.setdefault(row.name, row)
        self._folded.setdefault(row.name.casefold(), row)

    def named(self, name: str) -> CustomerRow | None:
        """The one spelt like that, or in another case."""
        return self._spelt.get(name) or self._folded.get(name.casefold())


def _known(conn: Connection, waiting: Later) -> _Known:
    def ask() -> _Known:
        known = _Known()
        for row in _all(conn):
            known.add(row)
        return known

    return waiting.recall("customers by name", (customer.name,), ask)


def clean_name(name: str, field: str = "customer") -> str:
    """A customer's name fit for the records.

    Raises:
        BadInput: it holds characters no name has, or is too long.
    """
    return clean(name, limit=120, field=field)


def add_customer(conn: Connection, name: str, contact: str = "", kind: str = "retail", note: str = "") -> int:
    """Write a new customer and answer its id."""
    waiting = later(conn)
    known = None if waiting is None else _known(conn, waiting)
    row = {"name": name, "contact": contact, "kind": kind, "note": note}
    number = write_one(conn, _NEW, customer, row, known=True)
    if known is not None:
        known.add(CustomerRow(number, name, contact, kind, note))
    return number


_NEW = insert(customer).returning(customer.c.id)


def find_customer(conn: Connection, name: str) -> CustomerRow:
    """The customer of that name.

    Raises:
        NotFound: there is none; names those it may mean.
    """
    found = customer_named(conn, name)
    if found is None:
        near = [row.name for row in find_customers(conn, name, 3)] if name.strip() else []
        meant = (
            say("; did you mean {near}?", near=" or ".join(near)) if near else say("; look at the list of customers.")
        )
        raise NotFound(say("There is no customer {name}{meant}", name=quoted(name), meant=meant), "customer")
    return found


def find_or_add(conn: Connection, name: str) -> int:
    """The id of the customer called `name`, added as a retail customer if not known yet."""
    known = customer_named(conn, name)
    return known.id if known else add_customer(conn, name)


def check_new(conn: Connection, name: str) -> None:
    """Refuse a second customer of the same name: two people who cannot be told apart on a list get mixed up.

    Raises:
        Refused: the name is empty or taken.
    """
    if not name:
        raise Refused(say("A customer needs a name."), "name")
    known = customer_named(conn, name)
    if known:
        raise Refused(
            say("There is already a customer called {name}; add something to tell the two apart.", name=known.name),
            "name",
            {"customer": known.id},
        )


@dataclass(frozen=True, slots=True)
class CustomerPlan:
    """A customer that can be added."""

    row: AddCustomer
    sentence: str
    cautions: tuple[str, ...] = ()


def plan_customer(conn: Connection, command: AddCustomer, scene: Scene) -> CustomerPlan:
    """Check a new customer.

    Raises:
        BadInput, Refused: the name is missing, taken or no name.
    """
    row = AddCustomer(
        clean_name(command.name, "name"),
        clean_block(command.contact, limit=500, field="contact"),
        command.kind,
        clean_block(command.note, limit=2000, field="note"),
    )
    if row.kind not in KINDS:
        raise BadInput(say("A customer is {kinds}.", kinds=" or ".join(KINDS)), "kind")
    check_new(conn, row.name)
    return CustomerPlan(
        row, say("{name}: new {kind} customer.", name=row.name, kind=word(row.kind)) if scene.sentences else ""
    )


def commit_customer(conn: Connection, plan: CustomerPlan, _act: Act) -> Done:
    """Add a customer."""
    row = plan.row
    number = add_customer(conn, row.name, row.contact, row.kind, row.note)
    return Done(plan.sentence, {"customer": number}, plan.cautions)
