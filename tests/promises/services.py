"""Deeds recorded through the front door, as a screen would: a sale, or animals moved to another tub."""

from __future__ import annotations

import datetime as dt

from sqlalchemy import Connection, select

from ledger.act import Act, Done
from ledger.ledger import Ledger, digest_of, handlers
from ledger.records.operations import perform
from ledger.records.store import Store, open_store
from ledger.records.tables import holding
from ledger.selling.commands import LineOf, Sell
from ledger.stock.commands import AddLot, Arrival, DescribeSpecies, Move, OriginStatement, Record, StageSpec
from tests.promises.methods import DAY, TUBS, Deed, OnPurpose

_NOW = dt.datetime.combine(DAY, dt.time(10, 0))
_LOT = "P01"


class Services:
    """The ledger's own services."""

    def __init__(self, target: str) -> None:
        self._ledger = Ledger(open_store(target), clock=lambda: _NOW, by="keeper")
        with self._ledger.store.reading() as conn:
            rows = conn.execute(select(holding.c.id, holding.c.tub).order_by(holding.c.id)).all()
        self._tubs = {row.id: row.tub for row in rows}
        self.places = tuple(self._tubs)

    @staticmethod
    def stock_up(store: Store, each: int) -> None:
        """One lot in six tubs, `each` animals in every tub."""
        ledger = Ledger(store, clock=lambda: _NOW, by="keeper")
        stages = (StageSpec("young"), StageSpec("adult", saleable=True))
        ledger.do(DescribeSpecies("EX", "Exemplum domesticum", "example", "example", stages, "adult"))
        tubs = tuple(Arrival("opening", "adult", unsexed=each, tub=str(tub)) for tub in range(1, TUBS + 1))
        lot = AddLot(_LOT, "EX", DAY - dt.timedelta(days=90), tubs, origin=OriginStatement("CB", 1))
        ledger.do(lot, token="opening")

    def do(self, deed: Deed) -> Done:
        """Sell or move; raises a refusal when it was not recorded."""
        command = self._command(deed)
        if not deed.undone:
            return self._ledger.do(command, token=deed.token)
        handler, scene = handlers()[type(command)], self._ledger.scene

        def work(conn: Connection, operation: int) -> Done:
            handler.commit(conn, handler.plan(conn, command, scene), Act(operation, scene))
            raise OnPurpose

        digest = digest_of(command)
        return perform(
            self._ledger.store, token=deed.token, kind="undone", digest=digest, source="test", by="keeper", work=work
        )

    def _command(self, deed: Deed) -> Sell | Record:
        tub = self._tubs[deed.source]
        if deed.target is None:
            return Sell((LineOf(_LOT, deed.count, price=500 * deed.count, tub=tub),), DAY)
        return Record(_LOT, (Move("tub moved", deed.count, tub=tub, to_tub=self._tubs[deed.target]),), DAY)

    def close(self) -> None:
        """Let go of the database."""
        self._ledger.close()
