"""Ways to record a deed of the hammer: the right one, and three that look right and are not."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

from sqlalchemy import Connection, Engine, create_engine, func, insert, select, update
from sqlalchemy.engine import URL
from sqlalchemy.exc import IntegrityError

from ledger.act import Done
from ledger.errors import NotEnough
from ledger.records.numbers import next_number
from ledger.records.operations import perform
from ledger.records.store import Store, open_store
from ledger.records.tables import (
    entry,
    holding,
    lot,
    movement,
    operation,
    sale,
    sale_line,
    sale_movement,
    species,
    stage,
)
from tests.ledger.records.filled import row_for

DAY = dt.date(2025, 6, 2)
YEAR = 2025
SERIES = "S"
TUBS = 6


@dataclass(frozen=True, slots=True)
class Deed:
    """One form: animals sold (`target` None) or moved to another tub."""

    token: str
    source: int
    target: int | None
    count: int
    undone: bool
    """Everything is written, then the transaction is given up."""


class OnPurpose(Exception):
    """The transaction of a deed that was to be undone is given up."""


class Method(Protocol):
    """A way to record deeds, in one worker process."""

    places: tuple[int, ...]
    """Holdings that animals can be taken from or put into."""

    def __init__(self, target: str) -> None:
        """Open the ledger."""
        ...

    @staticmethod
    def stock_up(store: Store, each: int) -> None:
        """One lot in six tubs, `each` animals in every tub, put into an empty ledger."""
        ...

    def do(self, deed: Deed) -> Done:
        """Record a deed; raises a refusal when it was not recorded."""
        ...

    def close(self) -> None:
        """Let go of the database."""
        ...


def _op(table: object, number: int) -> dict[str, int]:
    return {"operation_id": number} if "operation_id" in table.c else {}  # type: ignore[attr-defined]


def _operation(conn: Connection, token: str, digest: str) -> int:
    row = {"token": token, "kind": "hammer", "digest": digest, "recorded_at": "", "recorded_by": "", "source": "test"}
    return int(conn.execute(insert(operation).values(row).returning(operation.c.id)).scalar_one())


def _entry(conn: Connection, number: int) -> int:
    row = row_for(entry) | {"happened_on": DAY, "accounting_on": DAY, "operation_id": number}
    return int(conn.execute(insert(entry).values(row).returning(entry.c.id)).scalar_one())


def _move(conn: Connection, entry_id: int, source: int | None, target: int | None, count: int) -> int:
    ends = {"entry_id": entry_id, "from_holding_id": source, "to_holding_id": target, "count": count}
    row = row_for(movement) | ends
    return int(conn.execute(insert(movement).values(row).returning(movement.c.id)).scalar_one())


def guard(conn: Connection, deed: Deed) -> None:
    """Change the counts of both holdings, in the order of their ids, only if the animals are there."""
    changes = {deed.source: -deed.count} | ({deed.target: deed.count} if deed.target is not None else {})
    for place in sorted(changes):
        left = holding.c.count + changes[place]
        done = conn.execute(
            update(holding).where(holding.c.id == place, left >= holding.c.earmarked).values(count=left)
        )
        if done.rowcount != 1:
            raise NotEnough("There are not enough animals in that tub.")


def _document(conn: Connection, deed: Deed, number: int, movement_id: int, document: str) -> None:
    row = row_for(sale) | {"number": document, "sold_on": DAY, "accounting_on": DAY, "operation_id": number}
    sold = conn.execute(insert(sale).values(row).returning(sale.c.id)).scalar_one()
    line = row_for(sale_line) | {"sale_id": sold, "holding_id": deed.source, "count": deed.count}
    line_id = conn.execute(insert(sale_line).values(line).returning(sale_line.c.id)).scalar_one()
    conn.execute(insert(sale_movement).values(sale_line_id=line_id, movement_id=movement_id))


def _number(conn: Connection) -> str:
    return f"{SERIES}-{YEAR}-{next_number(conn, SERIES, YEAR):04d}"


def _end(deed: Deed, document: str) -> Done:
    if deed.undone:
        raise OnPurpose
    return Done("Recorded.", {"number": document})


def digest_of(deed: Deed) -> str:
    """What a deed is about."""
    return f"{deed.source} {deed.target} {deed.count}"


class _OneLot:
    """A ledger with one lot in six tubs, written row by row."""

    @staticmethod
    def stock_up(store: Store, each: int) -> None:
        """`each` animals in every tub, put into an empty ledger."""
        with store.writing() as conn:
            number = _operation(conn, "opening", "opening")
            for table in (species, stage, lot):
                conn.execute(insert(table).values(row_for(table) | _op(table, number)))
            opened = _entry(conn, number)
            for tub in range(1, TUBS + 1):
                place = conn.execute(
                    insert(holding)
                    .values(row_for(holding) | {"tub": str(tub), "count": each, "earmarked": 0})
                    .returning(holding.c.id)
                ).scalar_one()
                _move(conn, opened, None, place, each)


class _OnStore(_OneLot):
    def __init__(self, target: str) -> None:
        self.store = open_store(target)
        with self.store.reading() as conn:
            self.places = tuple(conn.execute(select(holding.c.id).order_by(holding.c.id)).scalars())

    def close(self) -> None:
        self.store.close()

    def _perform(self, deed: Deed, work: Callable[[Connection, int], Done]) -> Done:
        return perform(
            self.store, token=deed.token, kind="hammer", digest=digest_of(deed), source="test", by="", work=work
        )


class Guarded(_OnStore):
    """As the ledger does it: the operation first, then the journal, then the guard, the number last."""

    def do(self, deed: Deed) -> Done:
        def work(conn: Connection, number: int) -> Done:
            moved = _move(conn, _entry(conn, number), deed.source, deed.target, deed.count)
            guard(conn, deed)
            document = ""
            if deed.target is None:
                document = _number(conn)
                _document(conn, deed, number, moved, document)
            return _end(deed, document)

        return self._perform(deed, work)


class NumberApart(_OnStore):
    """Wrong: the number comes from a transaction of its own, as from a sequence."""

    def do(self, deed: Deed) -> Done:
        document = ""
        if deed.target is None:
            with self.store.writing() as conn:
                document = _number(conn)

        def work(conn: Connection, number: int) -> Done:
            moved = _move(conn, _entry(conn, number), deed.source, deed.target, deed.count)
            guard(conn, deed)
            if deed.target is None:
                _document(conn, deed, number, moved, document)
            return _end(deed, document)

        return self._perform(deed, work)


class GuardFirst(_OnStore):
    """Wrong: the animals are asked for before it is known whether the form was recorded already."""

    def do(self, deed: Deed) -> Done:
        try:
            with self.store.writing() as conn:
                guard(conn, deed)
                number = _operation(conn, deed.token, digest_of(deed))
                moved = _move(conn, _entry(conn, number), deed.source, deed.target, deed.count)
                document = ""
                if deed.target is None:
                    document = _number(conn)
                    _document(conn, deed, number, moved, document)
                return _end(deed, document)
        except IntegrityError:
            return Done("Recorded before.")


class Naive(_OneLot):
    """Wrong: look whether there are enough, then take them, with a database library as it comes."""

    def __init__(self, target: str) -> None:
        self._engine = _plain_engine(target)
        with self._engine.connect() as conn:
            self.places = tuple(conn.execute(select(holding.c.id).order_by(holding.c.id)).scalars())

    def do(self, deed: Deed) -> Done:
        with self._engine.begin() as conn:
            if _balance(conn, deed.source) < deed.count:
                raise NotEnough("There are not enough animals in that tub.")
            number = _operation(conn, deed.token, digest_of(deed))
            _move(conn, _entry(conn, number), deed.source, deed.target, deed.count)
            return _end(deed, "")

    def close(self) -> None:
        self._engine.dispose()


def _plain_engine(target: str) -> Engine:
    if "://" in target:
        return create_engine(target)
    return create_engine(URL.create("sqlite", database=target), connect_args={"timeout": 60})


def _balance(conn: Connection, place: int) -> int:
    came, went = (
        conn.execute(select(func.coalesce(func.sum(movement.c.count), 0)).where(end == place)).scalar_one()
        for end in (movement.c.to_holding_id, movement.c.from_holding_id)
    )
    return int(came - went)
