"""Adding a lot: its first animals, where they are said to come from, and its parents.

What may be said of the origin is not decided here: a statement is kept as it was made.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, insert, select

from ledger.act import Act, Done, Scene
from ledger.errors import BadInput, NotFound
from ledger.records import tables as t
from ledger.records.columns import FIRST_DAY
from ledger.records.later import write_one
from ledger.stock.arriving import BORN_HERE, Incoming, incoming
from ledger.stock.commands import AddLot, OriginStatement
from ledger.stock.drafts import Draft
from ledger.stock.facts import purpose
from ledger.stock.holdings import read_tub
from ledger.stock.moving import write_entries
from ledger.stock.naming import LotRef, find_lot, find_species
from ledger.stock.opening import NewLot, free_code, open_lot
from ledger.stock.phrases import phrases
from ledger.stock.purchases import write_purchases
from ledger.stock.recording import references
from ledger.stock.tally import Tally
from ledger.stock.words import when
from ledger.text import clean, clean_block, quoted
from ledger.wording import say, strung

ORIGIN_CODES = ("WC", "WR", "CH", "CF", "CB", "CBU", "MIX", "UNK")


@dataclass(frozen=True, slots=True)
class ParentRow:
    """A lot, or an animal of one (its tub), as mother or father."""

    role: str
    lot: LotRef
    tub: str


@dataclass(frozen=True, slots=True)
class LotPlan:
    """A checked lot with its first animals."""

    new: NewLot
    arrived_on: dt.date
    arrived_from: dt.date | None
    accounting_on: dt.date
    incoming: tuple[Incoming, ...]
    origin: OriginStatement | None
    parents: tuple[ParentRow, ...]
    laid_from: dt.date | None
    laid_on: dt.date | None
    supplier: str
    sentence: str
    cautions: tuple[str, ...]


def plan_lot(conn: Connection, command: AddLot, scene: Scene) -> LotPlan:
    """Check a new lot and say it in full.

    Raises:
        NotFound, BadInput: a name means nothing, or the dates do not fit.
        Refused: the code is taken.
    """
    tally = Tally(conn, scene)
    code = free_code(conn, command.code)
    species = find_species(conn, command.species)
    started_from, started_on, arrived_on = _days(tally, command)
    coming = tuple(one for arrival in command.arrivals for one in incoming(arrival, tally.stages(species.id)))
    parents = tuple(
        ParentRow(role, *_animal(conn, text, species.id, field))
        for role, field, texts in (("mother", "mothers", command.mothers), ("father", "fathers", command.fathers))
        for text in texts
    )
    colony = _colony(conn, command, species.id, coming)
    _check_laid(command, arrived_on)
    origin = _origin(command.origin) if command.origin is not None else None
    of = [parent.lot for parent in parents] + ([colony] if colony else [])
    place = clean(command.place, limit=2000, field="place")
    new = NewLot(
        code,
        species.id,
        started_from,
        started_on,
        clean(command.line, limit=80, field="line"),
        clean_block(command.note, limit=2000, field="note"),
        1 + max(lot.depth for lot in of) if of else 0,
        (("purpose", purpose(command.purpose)), *((("place", place),) if place else ())),
        ((colony.id, "harvested"),) if colony else (),
    )
    accounting_on, cautions = tally.accounting(arrived_on)
    since = started_from if command.arrived_on is None and started_from != started_on else None
    sentence = ""
    if scene.sentences:
        said = phrases([one.said for one in coming], scene.currency) if coming else say("no animals yet")
        started = say(", started {day}", day=when(started_on, started_from)) if started_on != arrived_on else ""
        sentence = say(
            "{code} ({species}): {animals}, {day}{started}.",
            code=code,
            species=species.common or species.scientific,
            animals=said,
            day=when(arrived_on, since),
            started=started,
        )
    return LotPlan(
        new,
        arrived_on,
        since,
        accounting_on,
        coming,
        origin,
        parents,
        command.laid_from or command.laid_on,
        command.laid_on or command.laid_from,
        origin.supplier if origin else "",
        sentence,
        (*cautions, *tally.cautions(arrived_on), *_origin_cautions(code, coming, origin, parents)),
    )


def _days(tally: Tally, command: AddLot) -> tuple[dt.date, dt.date, dt.date]:
    """First and last day of its start, and the day its animals came."""
    started_on = tally.day(command.started_on, field_name="started_on")
    started_from = command.started_from or started_on
    arrived_on = tally.day(command.arrived_on or started_on, field_name="arrived_on")
    if started_from > started_on:
        raise BadInput(
            say(
                "The lot cannot have started from {first} to {last}; swap the two days.",
                first=when(started_from),
                last=when(started_on),
            ),
            field="started_from",
        )
    if started_from < FIRST_DAY:
        raise BadInput(
            say("A lot cannot start before {when}; check the year.", when=when(FIRST_DAY)), field="started_on"
        )
    if arrived_on < started_on:
        raise BadInput(
            say(
                "The animals cannot have come on {day}, before the lot started on {started}.",
                day=when(arrived_on),
                started=when(started_on),
            ),
            field="arrived_on",
        )
    return started_from, started_on, arrived_on


def _animal(conn: Connection, typed: str, species_id: int, field: str) -> tuple[LotRef, str]:
    """'E01' or 'H01/F05' as (lot, tub)."""
    code, slash, label = typed.partition("/")
    lot = find_lot(conn, code)
    tub = read_tub(label) or ""
    if lot.species_id != species_id:
        raise BadInput(say("{code} is of another species; it cannot be a parent.", code=lot.code), field=field)
    if slash:
        h = t.holding.c
        known = conn.execute(select(h.id).where(h.lot_id == lot.id, h.tub == tub).limit(1)).scalar()
        if known is None:
            raise NotFound(
                say("{code} has no tub {label}.", code=lot.code, label=quoted(label)),
                field=field,
                facts={"lot": lot.code},
            )
    return lot, tub


def _colony(conn: Connection, command: AddLot, species_id: int, coming: Sequence[Incoming]) -> LotRef | None:
    harvested = any(one.reason == "harvested" for one in coming)
    if command.colony is None:
        if harvested:
            raise BadInput(say("Say which colony they were harvested from."), field="colony")
        return None
    colony = find_lot(conn, command.colony)
    if colony.species_id != species_id:
        raise BadInput(
            say("{code} is of another species; nothing was harvested from it.", code=colony.code), field="colony"
        )
    if not harvested:
        raise BadInput(say("A colony is named only for animals harvested from it."), field="colony")
    return colony


def _check_laid(command: AddLot, arrived_on: dt.date) -> None:
    laid = [day for day in (command.laid_from, command.laid_on) if day is not None]
    if laid and (laid != sorted(laid) or laid[-1] > arrived_on):
        raise BadInput(
            say("The laying days must be in order and not after {when}; check them.", when=when(arrived_on)),
            field="laid_on",
        )


def _origin(said: OriginStatement) -> OriginStatement:
    """The statement with its texts clean."""
    if said.code not in ORIGIN_CODES:
        raise BadInput(
            say(
                "{code} is no origin; choose one of: {origin_codes}.",
                code=quoted(said.code),
                origin_codes=strung(ORIGIN_CODES, ", "),
            ),
            field="origin",
        )
    if said.generation is not None and not 0 <= said.generation <= 1000:
        raise BadInput(say("A generation is a number from 0 to 1000."), field="generation")
    if said.evidence not in (0, 1, 2, 3):
        raise BadInput(
            say("The evidence is 3 (own records), 2 (supplier's document), 1 (a statement) or 0 (none)."),
            field="evidence",
        )
    country = clean(said.country, limit=2, field="country").upper()
    if country and (len(country) != 2 or not country.isascii() or not country.isalpha()):
        raise BadInput(say("The country is a code of two letters (ISO 3166-1), such as XA."), field="country")
    return OriginStatement(
        said.code,
        said.generation,
        said.evidence,
        country,
        clean(said.locality, limit=200, field="locality"),
        clean(said.supplier, limit=120, field="supplier"),
        clean(said.documents, limit=500, field="documents"),
        clean(said.source_letter, limit=20, field="source letter"),
        clean_block(said.note, limit=2000, field="note"),
    )


def _origin_cautions(
    code: str, coming: Sequence[Incoming], origin: OriginStatement | None, parents: Sequence[ParentRow]
) -> tuple[str, ...]:
    if not coming or origin is not None:
        return ()
    if all(one.reason in BORN_HERE for one in coming):
        if all(one.reason == "harvested" for one in coming) or any(parent.role == "mother" for parent in parents):
            return ()
        return (say("No mother is named for {code}; name her, or its origin reads not known.", code=code),)
    return (say("Nothing is said of where {code} comes from; state it, or its origin reads not known.", code=code),)


def commit_lot(conn: Connection, plan: LotPlan, act: Act) -> Done:
    """Write the lot, what was said of it, and its first animals."""
    lot_id = open_lot(conn, act, plan.new, plan.arrived_on)
    if plan.origin is not None:
        write_one(conn, _NEW_ORIGIN, t.origin_fact, _origin_row(plan.origin, lot_id, plan.arrived_on, act))
    if plan.parents:
        rows = [
            {
                "lot_id": lot_id,
                "role": parent.role,
                "parent_lot_id": parent.lot.id,
                "parent_tub": parent.tub,
                "laid_from": plan.laid_from,
                "laid_on": plan.laid_on,
                "evidence": "",
                "operation_id": act.operation,
            }
            for parent in plan.parents
        ]
        conn.execute(insert(t.parent), rows)
    refs: dict[str, int | str] = {"lot": plan.new.code}
    if plan.incoming:
        moves = tuple(one.move(lot_id) for one in plan.incoming)
        drafts = [Draft(plan.arrived_on, moves, plan.arrived_from, "", plan.accounting_on)]
        written = write_entries(conn, act, drafts)
        refs |= references(written, write_purchases(conn, act, drafts, written, plan.supplier))
    return Done(plan.sentence, refs, plan.cautions)


_NEW_ORIGIN = insert(t.origin_fact).returning(t.origin_fact.c.id)


def _origin_row(said: OriginStatement, lot_id: int, on: dt.date, act: Act) -> dict[str, Any]:
    return {
        "lot_id": lot_id,
        "kind": "stated",
        "code": said.code,
        "generation": said.generation,
        "evidence": said.evidence,
        "country": said.country,
        "locality": said.locality,
        "supplier": said.supplier,
        "documents": said.documents,
        "source_letter": said.source_letter,
        "note": said.note,
        "from_on": on,
        "operation_id": act.operation,
    }
