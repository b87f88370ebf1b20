"""What the origin of a lot will read once it is entered, and what the records lack to say more: told before it is.

Puts the planned lot beside the facts of the lots it comes from and derives as ever; decides nothing and writes nothing.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import cast

from sqlalchemy import Connection, select

from ledger.origin import moved, recorded
from ledger.origin.derive import derive_all
from ledger.origin.facts import AnimalRef, Arrival, Kind, LotFacts, Sex, Source, Statement
from ledger.origin.load import load
from ledger.origin.rules import Code, evidence_in_words, label
from ledger.records import tables as t
from ledger.stock.lots import LotPlan
from ledger.wording import say, strung

_NEW = -1
"""Stands for the lot that has no number yet."""


@dataclass(frozen=True, slots=True)
class Foretold:
    """What will be said of a lot that is about to be entered."""

    origin: str
    """The full label."""
    evidence: str
    known: bool
    """False where nothing will be said but that the origin is not known."""
    gaps: tuple[str, ...]
    """What its own records will lack."""
    why: str
    """The last reason of the derivation, in a sentence."""
    generation_known: bool

    @property
    def sentence(self) -> str:
        """'Its origin will read: captive bred, F3 by our records; evidence: own records.'"""
        return say("Its origin will read: {origin}; evidence: {evidence}.", origin=self.origin, evidence=self.evidence)

    @property
    def lacks(self) -> str:
        """What is missing to say more, in a sentence; empty if nothing is."""
        if self.gaps:
            return say("Missing to say more: {gaps}.", gaps=strung(self.gaps, "; "))
        return "" if self.generation_known else self.why


def foretold(conn: Connection, plan: LotPlan) -> Foretold | None:
    """What the origin of a planned lot will read; None while it has no animals."""
    if not plan.incoming:
        return None
    behind = {parent.lot.id for parent in plan.parents} | {lot_id for lot_id, _ in plan.new.sources}
    facts = load(conn, behind)
    lots = {**facts.lots, _NEW: _facts(conn, plan)}
    species = facts.species
    if plan.new.species_id not in {one.species_id for one in species}:
        species = (*species, *recorded.species(conn, {plan.new.species_id}, behind))
    found = derive_all(lots.values(), facts.exposures, facts.virgin_facts, species)[_NEW]
    return Foretold(
        label(found.origin),
        evidence_in_words(found.origin),
        found.origin.code is not Code.UNK,
        found.gaps,
        found.reasons[-1] if found.reasons else "",
        found.origin.code is not Code.CBU,
    )


def _facts(conn: Connection, plan: LotPlan) -> LotFacts:
    reared = conn.execute(
        select(t.stage.c.position).where(t.stage.c.species_id == plan.new.species_id, t.stage.c.reared == 1)
    ).scalar_one()
    first = plan.arrived_from or plan.arrived_on
    came = [
        moved.Came(
            Arrival(
                cast(Kind, one.reason),
                plan.arrived_on,
                one.tub,
                one.stage.position >= reared,
                cast(Sex, one.sex),
            ),
            one.count,
            one.stage.id,
            first,
        )
        for one in plan.incoming
    ]
    laid = [day for day in (plan.laid_from, plan.laid_on) if day is not None] if plan.parents else []
    if not laid:
        laid = [day for one in came if one.arrival.kind == "laid" for day in (first, plan.arrived_on)]
    hatched = moved.hatch_days(plan.new.started_from, came, None)
    said = plan.origin
    return LotFacts(
        _NEW,
        plan.new.code,
        plan.new.species_id,
        arrivals=tuple(dict.fromkeys(one.arrival for one in came)),
        sources=tuple(Source(lot_id, "harvested", plan.arrived_on) for lot_id, _ in plan.new.sources),
        stated=None
        if said is None
        else Statement(
            said.code,
            said.generation,
            said.evidence,
            said.country,
            said.locality,
            said.supplier,
            said.documents,
            said.source_letter,
        ),
        mothers=tuple(AnimalRef(one.lot.id, one.tub) for one in plan.parents if one.role == "mother"),
        stated_fathers=tuple(AnimalRef(one.lot.id, one.tub) for one in plan.parents if one.role == "father"),
        laid_from=min(laid, default=None),
        laid_to=max(laid, default=None),
        hatched_from=hatched[0],
        hatched_to=hatched[1],
        unhatched=hatched == (None, None) and any(one.arrival.kind == "laid" for one in came),
        line=plan.new.line,
    )
