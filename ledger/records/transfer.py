"""Moving a ledger to another database, such as from a file to a server: every row, compared, or nothing.

The ledger it was copied from is left as it is.
"""

from __future__ import annotations

from sqlalchemy import Connection
from sqlalchemy.exc import DataError, IntegrityError

from ledger.errors import DiskFault
from ledger.records.rows import Fingerprint, copy, fingerprint
from ledger.records.store import Store, create
from ledger.wording import say


def move_to(store: Store, target: str) -> Fingerprint:
    """Make an equal ledger on another database.

    Args:
        store: the ledger, open.
        target: path where there is nothing yet, or URL of an empty PostgreSQL database.

    Returns:
        What the rows of both come to.

    Raises:
        BadInput: there is something there already.
        DiskFault: the copy is not equal; nothing is left of it.
        Busy, ReadOnly, DiskFull, Unreachable: it was not made, and why.
    """
    with store.reading() as source:
        here = fingerprint(source)

        def load(conn: Connection) -> None:
            copy(source, conn)
            if fingerprint(conn) != here:
                raise _unequal()

        try:
            create(target, currency=store.currency.code, load=load).close()
        except (IntegrityError, DataError) as error:
            raise _unequal() from error
    return here


def _unequal() -> DiskFault:
    return DiskFault(
        say("The copy does not hold what the ledger holds, so it was not kept; see what rearledger prove finds."),
        "ledger",
    )
