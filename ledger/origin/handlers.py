"""How the commands about origin are planned and written, and merging lots with origins known."""

from __future__ import annotations

from collections.abc import Sequence

from sqlalchemy import Connection

from ledger.act import Handler
from ledger.origin import commands as c
from ledger.origin import mating, saying
from ledger.origin.service import origins_of
from ledger.origin.whatif import commit_rows
from ledger.stock.commands import MergeLots
from ledger.stock.merging import merge_handler


def origins_differ(conn: Connection, lots: Sequence[int]) -> bool:
    """Whether lots are of more than one origin: captive-bred lots of several generations are not."""
    return len({origin.code for origin in origins_of(conn, lots).values()}) > 1


HANDLERS: dict[type, Handler] = {
    c.StateOrigin: Handler(saying.plan_state, commit_rows),
    c.LowerOrigin: Handler(saying.plan_lower, commit_rows),
    c.RaiseOrigin: Handler(saying.plan_raise, commit_rows),
    c.ExplainCount: Handler(saying.plan_explain, commit_rows),
    c.Expose: Handler(mating.plan_expose, mating.commit_expose),
    c.EndExposure: Handler(mating.plan_end, mating.commit_end),
    c.NameParents: Handler(mating.plan_parents, commit_rows),
    c.SayVirgin: Handler(mating.plan_virgin, commit_rows),
    MergeLots: merge_handler(origins_differ),
}
"""`WriteCorrectionNote` is written by selling, whose lines it is about. `MergeLots` takes the place of the strict
handler of the stock, which knows no origins."""
