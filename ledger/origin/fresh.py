"""Whether anything that origin rests on may have been recorded since it was last derived.

On SQLite acts are numbered in the order they are saved, so the newest act that is not mere trade tells. On PostgreSQL
acts may be saved in another order than they are numbered; there nothing is kept by it.
"""

from __future__ import annotations

from sqlalchemy import Connection, select

from ledger.records import tables as t
from ledger.records.later import ORIGINS, recall, remembers

TRADE = (
    "AddCustomer",
    "CallOffFair",
    "ChangeCustomer",
    "ChangeFair",
    "DecideDeposit",
    "DriveToFair",
    "DropHours",
    "HoldParcel",
    "JoinQueue",
    "LeaveQueue",
    "LetParcelGo",
    "NoteArrival",
    "NoteHours",
    "OfferNext",
    "PackAgain",
    "PackForFair",
    "PayCost",
    "PlaceHold",
    "PlanFair",
    "PostSale",
    "Power",
    "PutBack",
    "RecordClaim",
    "RefundCost",
    "ReleaseHold",
    "Sell",
    "SellFairPack",
    "SetCare",
    "SetMethod",
    "SetPrice",
    "SetSetting",
    "SetStandardCost",
    "Spend",
    "SpendFromBox",
    "SpendOnFair",
    "TakeOut",
    "TakePayment",
    "Unpack",
)
"""Acts that say nothing of where animals come from."""

_NEWEST = (
    select(t.operation.c.id, t.operation.c.token)
    .where(*(t.operation.c.kind != kind for kind in TRADE))
    .order_by(t.operation.c.id.desc())
    .limit(1)
)


def newest_act(conn: Connection) -> tuple[int, str] | None:
    """What tells the state of all that origin rests on; `None` where nothing does."""
    if conn.dialect.name != "sqlite":
        return None

    def ask() -> tuple[int, str]:
        row = conn.execute(_NEWEST).one_or_none()
        return (0, "") if row is None else (row.id, row.token)

    return recall(conn, "newest act", (t.operation.name,), ask)


def kept(conn: Connection, memo: dict[str, object]) -> dict[object, object]:
    """What may be kept of species, lots and origins between acts: empty again whenever such an act was recorded.

    Args:
        conn: a connection.
        memo: of the open ledger (`Scene.memo`).
    """
    if remembers(conn):
        # Many acts saved as one have one number: among them it is what they wrote that tells.
        return recall(conn, "kept", _TOLD_BY, dict)
    now = newest_act(conn)
    if now is None:
        return {}
    held = memo.get(_KEPT)
    if not isinstance(held, tuple) or held[0] != now:
        held = memo[_KEPT] = (now, {})
    found: dict[object, object] = held[1]
    return found


_TABLES = (
    t.species,
    t.stage,
    t.figure,
    t.species_flag,
    t.species_flag_end,
    t.lot,
    t.lot_fact,
    t.lot_source,
    t.origin_fact,
    t.parent,
    t.exposure,
    t.exposure_end,
    t.animal_fact,
    t.holding,
    t.movement,
    t.undone,
    t.operation,
)
_TOLD_BY = (*(table.name for table in _TABLES), ORIGINS)
"""What is kept rests on these."""
_KEPT = "kept since the newest act that is not mere trade"
