"""Merging lots: all their animals become a new lot whose clock is a range.

Whether lots differ in origin is told by whoever knows origins; across origins a merge is accepted only as an accident.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Sequence

from sqlalchemy import Connection, select

from ledger.act import Handler, Scene
from ledger.errors import BadInput, NotEnough, Refused
from ledger.records import tables as t
from ledger.stock.commands import MergeLots
from ledger.stock.drafts import Draft, ResolvedMove
from ledger.stock.figures import lot_fact
from ledger.stock.holdings import HoldingKey
from ledger.stock.naming import LotRef
from ledger.stock.opening import NewLot, free_code
from ledger.stock.phrases import Said, phrases
from ledger.stock.recording import NOTE_LIMIT, Planner
from ledger.stock.splitting import NOT_YET, RelotPlan, clock, commit_relot
from ledger.stock.tally import Tally
from ledger.stock.words import tubs_text, when
from ledger.text import clean, clean_block
from ledger.wording import listed, say, word

BY_ACCIDENT = "mixed by accident"

OriginsDiffer = Callable[[Connection, Sequence[int]], bool]
"""Whether lots (ids) are of more than one origin."""


def not_siblings(conn: Connection, lots: Sequence[int]) -> bool:
    """Whether lots may differ in origin as far as the stock alone knows: they do unless all were split from one lot."""
    s = t.lot_source.c
    rows = conn.execute(select(s.lot_id, s.source_id).where(s.how == "split")).all()
    above = {row.lot_id: row.source_id for row in rows}

    def root(lot: int) -> int:
        while lot in above:
            lot = above[lot]
        return lot

    return len({root(lot) for lot in lots}) > 1


def plan_merge(conn: Connection, command: MergeLots, scene: Scene, *, origins_differ: OriginsDiffer) -> RelotPlan:
    """Check that lots can be merged into a new one.

    Args:
        conn: a connection.
        command: which lots, and as what.
        scene: the day.
        origins_differ: tells whether they are of more than one origin.

    Raises:
        NotFound, BadInput: a lot is not there, or they are not of one species.
        NotEnough: one of them has no animals, or had more on that day than later entries leave.
        Refused: they are of different origins and it was no accident; the code is taken.
    """
    planner = Planner(Tally(conn, scene))
    tally = planner.tally
    lots = [tally.lot(code) for code in command.lots]
    if len(lots) < 2 or len({lot.id for lot in lots}) != len(lots):
        raise BadInput(say("Name at least two lots to merge, each once."), field="lots")
    if len({lot.species_id for lot in lots}) > 1:
        raise BadInput(say("Only lots of one species can be merged."), field="lots")
    code = free_code(conn, command.new_code, "new_code")
    reason = clean(command.reason, limit=200, field="reason")
    codes = listed([lot.code for lot in lots])
    if reason != BY_ACCIDENT and origins_differ(conn, [lot.id for lot in lots]):
        raise Refused(
            say(
                "{codes} are not of one origin, and merging would blur it. If it has happened, give the reason "
                "“{by_accident}”; the new lot then has the weaker origin.",
                codes=codes,
                by_accident=word(BY_ACCIDENT),
            ),
            field="reason",
            facts={"lots": tuple(lot.code for lot in lots)},
        )
    on = max(planner.days(lot, command.on, None) for lot in lots)
    moves, said, tubs = _everything(tally, lots, command)
    started_from, started_on = clock([(lot.started_from, lot.started_on) for lot in lots])
    note = "\n".join(part for part in (reason, clean_block(command.note, limit=NOTE_LIMIT - 201, field="note")) if part)
    purposes = {lot_fact(conn, lot.id, "purpose", on) or "sale" for lot in lots}
    kept = purposes.pop() if len(purposes) == 1 else "quarantine"
    new = NewLot(
        code,
        lots[0].species_id,
        started_from,
        started_on,
        lots[0].line if len({lot.line for lot in lots}) == 1 else "",
        note,
        1 + max(lot.depth for lot in lots),
        (("purpose", kept),),
        tuple((lot.id, "merged") for lot in lots),
    )
    accounting_on, cautions = tally.accounting(on)
    draft = Draft(on, tuple(moves), None, note, accounting_on)
    text = say(
        "{codes}: {phrases} as {code}, {when}.",
        codes=codes,
        phrases=phrases(said, scene.currency, say_tubs=False),
        code=code,
        when=when(on),
    )
    if tubs:
        cautions += (
            say("More than one of them has {tubs}; what is labelled alike is put together.", tubs=tubs_text(tubs)),
        )
    if purposes:
        cautions += (
            say("They were for different purposes; {code} is in quarantine until you say what it is for.", code=code),
        )
    return RelotPlan(new, draft, text, (*cautions, *tally.cautions(on)))


def _everything(
    tally: Tally, lots: Sequence[LotRef], command: MergeLots
) -> tuple[list[ResolvedMove], list[Said], list[str]]:
    """All animals of the lots as movements, and tub labels that several of them use."""
    moves: list[ResolvedMove] = []
    said: list[Said] = []
    users: dict[str, set[int]] = defaultdict(set)
    for lot in lots:
        groups = tally.groups(lot, command.on)
        if not groups:
            raise NotEnough(
                say("{code} has no animals on {when}; leave it out.", code=lot.code, when=when(command.on)),
                field="lots",
                facts={"lot": lot.code},
            )
        for group in groups:
            users[group.key.tub].add(lot.id)
            target = HoldingKey(NOT_YET, group.stage.id, group.key.sex, group.key.sure, group.key.tub)
            moves.append(ResolvedMove("merged", group.count, group.holding, target))
            said.append(Said("merged", group.count, group.stage.name, group.key, group.count))
    source_only = [Draft(command.on, tuple(ResolvedMove(m.reason, m.count, m.source) for m in moves))]
    tally.check_later_days(source_only)
    return moves, said, sorted(tub for tub, by in users.items() if tub and len(by) > 1)


def merge_handler(origins_differ: OriginsDiffer) -> Handler:
    """How a merge is planned and written, given who knows origins."""

    def plan(conn: Connection, command: MergeLots, scene: Scene) -> RelotPlan:
        return plan_merge(conn, command, scene, origins_differ=origins_differ)

    return Handler(plan, commit_relot)
