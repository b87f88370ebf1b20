"""One act at a time about one thing that has no animals to lock: a fair, a reminder, a loan, the queue of a hold.

On SQLite writers are alone anyway. On a server an advisory lock, held until the transaction ends, keeps others out; it
is taken before any holding is locked, and what was planned is checked again under it.
"""

from __future__ import annotations

from sqlalchemy import Connection, text

_LOCK = text("SELECT pg_advisory_xact_lock(hashtext(:what), :number)")


def alone(conn: Connection, what: str, number: int = 0) -> bool:
    """Keep others from the same thing until the transaction ends.

    Args:
        conn: the transaction of the act.
        what: fair, reminder, loan or queue.
        number: of the thing; 0: all of its kind.

    Returns:
        Whether others may have been there since the plan was made, so that it must be made again.
    """
    if conn.dialect.name == "sqlite":
        return False
    conn.execute(_LOCK, {"what": f"rearledger {what}", "number": number})
    return True
