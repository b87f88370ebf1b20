"""Proof that the ledger adds up finds each fault that is planted, and nothing where none is."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable

import pytest
from sqlalchemy import Connection, delete, insert, select, text, update

from ledger.books.prove import Finding, prove
from ledger.records import tables as t
from ledger.records.store import Store
from ledger.records.triggers import remove
from tests.exports.small_business import close, tell


def test_a_ledger_that_adds_up_has_no_findings_on_either_database(store: Store) -> None:
    story = tell(store, closed=True)
    close(story, 2025)

    assert story.ledger.ask(prove) == ()


def test_the_control_without_a_fault_the_copied_ledger_adds_up(copied: Store) -> None:
    with copied.writing() as conn:
        remove(conn)

    with copied.reading() as conn:
        assert prove(conn) == ()


def test_an_empty_ledger_adds_up(sqlite_store: Store) -> None:
    with sqlite_store.reading() as conn:
        assert prove(conn) == ()


def _count(conn: Connection) -> None:
    conn.execute(update(t.holding).where(t.holding.c.id == 1).values(count=t.holding.c.count + 1))


def _layer(conn: Connection) -> None:
    first = conn.execute(select(t.layer.c.id).order_by(t.layer.c.id).limit(1)).scalar()
    conn.execute(update(t.layer).where(t.layer.c.id == first).values(count=t.layer.c.count + 1))


def _earmark(conn: Connection) -> None:
    conn.execute(update(t.earmark_on).values(count=t.earmark_on.c.count + 1))


def _counter(conn: Connection) -> None:
    conn.execute(update(t.counter).where(t.counter.c.series == "S", t.counter.c.year == 2025).values(last=99))


def _missing_number(conn: Connection) -> None:
    conn.execute(update(t.sale).where(t.sale.c.number == "S-2025-0002").values(number="S-2025-0077"))


def _figure(conn: Connection) -> None:
    row = t.closing_figure.c
    conn.execute(
        update(t.closing_figure).where(row.figure == "cash", row.detail == "Result").values(value=row.value + 1)
    )


def _digest(conn: Connection) -> None:
    conn.execute(update(t.closing).values(digest="0" * 64))


def _price(conn: Connection) -> None:
    first = conn.execute(select(t.movement.c.id).where(t.movement.c.value == 4500)).scalar()
    conn.execute(update(t.movement).where(t.movement.c.id == first).values(value=4501))


def _no_cost(conn: Connection) -> None:
    cost = conn.execute(select(t.cost.c.id).where(t.cost.c.gross == 4500)).scalar()
    conn.execute(delete(t.cost_change).where(t.cost_change.c.cost_id == cost))
    conn.execute(delete(t.cost).where(t.cost.c.id == cost))


def _residual(conn: Connection) -> None:
    """A cost changed behind the ledger's back: a closed year would now be reckoned otherwise."""
    conn.execute(update(t.cost).where(t.cost.c.category == "heating mat").values(residual=0))


def _origin(conn: Connection) -> None:
    conn.execute(text("PRAGMA ignore_check_constraints=ON"))
    conn.execute(update(t.sale_line).where(t.sale_line.c.id == 2).values(origin_text=""))


def _sold_twice(conn: Connection) -> None:
    """A sale line that says more animals than its movements took out."""
    conn.execute(update(t.sale_line).where(t.sale_line.c.id == 2).values(extra=9))


def _parcel(conn: Connection) -> None:
    """A posting whose movements are gone from its line: the sale is earned, and nothing was sold with it."""
    entry = conn.execute(select(t.posting.c.entry_id)).scalar()
    moves = select(t.movement.c.id).where(t.movement.c.entry_id == entry)
    conn.execute(update(t.movement).where(t.movement.c.id.in_(moves)).values(reason="given away"))


def _too_late(conn: Connection) -> None:
    """Animals accounted to have come after they were sold."""
    came = select(t.movement.c.entry_id).where(t.movement.c.value == 4500).scalar_subquery()
    conn.execute(update(t.entry).where(t.entry.c.id == came).values(accounting_on=dt.date(2025, 8, 1)))


FAULTS: list[tuple[Callable[[Connection], None], str]] = [
    (_count, "stock"),
    (_too_late, "stock"),
    (_layer, "stock"),
    (_earmark, "stock"),
    (_counter, "numbers"),
    (_missing_number, "numbers"),
    (_figure, "closing"),
    (_digest, "closing"),
    (_price, "animals bought"),
    (_no_cost, "animals bought"),
    (_residual, "closing"),
    (_origin, "origin"),
    (_sold_twice, "sold"),
    (_parcel, "sold"),
]


@pytest.mark.parametrize(("plant", "what"), FAULTS, ids=[plant.__name__.strip("_") for plant, _ in FAULTS])
def test_a_planted_fault_is_found(copied: Store, plant: Callable[[Connection], None], what: str) -> None:
    with copied.writing() as conn:
        remove(conn)
        plant(conn)

    with copied.reading() as conn:
        found = prove(conn)

    assert what in {finding.what for finding in found}
    assert all(isinstance(finding, Finding) and finding.sentence.endswith(".") for finding in found)


def test_costs_that_do_not_come_to_what_the_records_say_are_found(
    copied: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Neither side of the check is taken from the other: leave a cost line out of the sharing and it is told."""
    from ledger.costs import account

    real = account.spread_costs
    monkeypatch.setattr(account, "spread_costs", lambda conn, until: real(conn, until)[1:])

    with copied.reading() as conn:
        found = prove(conn)

    assert {"costs", "two ways"} <= {finding.what for finding in found}


def test_a_paper_whose_number_is_none_of_the_series_is_found(copied: Store) -> None:
    with copied.writing() as conn:
        remove(conn)
        one = dict(conn.execute(select(t.credit).limit(1)).one()._mapping)
        conn.execute(insert(t.credit).values({**one, "id": 900, "number": "C-1", "amount": 0, "full": 0}))

    with copied.reading() as conn:
        found = prove(conn)

    assert Finding("numbers", "credit number C-1 lies outside the numbers given.") in found
