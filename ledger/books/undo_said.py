"""What an act only said: it no longer counts once the act is undone, and its rows stay."""

from __future__ import annotations

from collections.abc import Mapping

from sqlalchemy import Connection, select

from ledger.books.undo_instead import CannotUndo
from ledger.records import tables as t
from ledger.wording import counted, say, strung

SAID: Mapping[str, tuple[str, str]] = {
    "observation": (say("mark"), say("marks")),
    "price": (say("price"), say("prices")),
    "figure": (say("figure"), say("figures")),
    "method": (say("figure of method"), say("figures of method")),
    "lot_fact": (say("fact of a lot"), say("facts of lots")),
    "post_wait": (say("wait of a parcel"), say("waits of parcels")),
    "arrival": (say("arrival"), say("arrivals")),
    "claim": (say("claim"), say("claims")),
    "species_flag": (say("reminder"), say("reminders")),
    "species_flag_end": (say("end of a reminder"), say("ends of reminders")),
    "fair": (say("fair"), say("fairs")),
    "fair_change": (say("change of a fair"), say("changes of fairs")),
    "fair_end": (say("settling of a fair"), say("settlings of fairs")),
}
"""By table whose rows no longer count once their act is undone, what one and several are called."""


def said_of(conn: Connection, act: int, wrote: set[str]) -> str:
    """What no longer counts, in words; a lot keeps what was said of it.

    Raises:
        CannotUndo: a claim that was decided since.
    """
    words = []
    for name, (one, several) in SAID.items():
        if name in wrote and "lot" not in wrote:
            table = t.metadata.tables[name]
            if name == "claim":
                decided = select(t.claim_outcome.c.id).join(t.claim, t.claim.c.id == t.claim_outcome.c.claim_id)
                if conn.execute(decided.where(t.claim.c.operation_id == act)).first():
                    raise CannotUndo(say("the claim has been decided; record what is right as a payment or a credit"))
            rows = len(conn.execute(select(table.c.id).where(table.c.operation_id == act)).all())
            words.append(strung((str(rows), one if rows == 1 else several)))
    if "cost_change" in wrote:
        c = t.cost_change.c
        ends = len(conn.execute(select(c.id).where(c.operation_id == act, c.kind == "window")).all())
        of_older = c.cost_id.not_in(select(t.cost.c.id).where(t.cost.c.operation_id == act))
        if ends and conn.execute(select(c.id).where(c.operation_id == act, of_older)).first():
            words.append(counted(ends, "{n} day of being used up", "{n} days of being used up"))
    return strung(words, ", ")
