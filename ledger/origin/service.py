"""What may be said of the lots of a ledger: the derivation over the records of a lot's ancestry.

Reads only, and only what bears on the lots asked for. Knows no rule: `derive` and `rules` do.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from sqlalchemy import Connection, func, select

from ledger.origin.derive import Derived, derive_all
from ledger.origin.load import Facts, load
from ledger.origin.provenance import Provenance, provenance, provenance_sentence
from ledger.origin.rules import Origin, evidence_in_words, label
from ledger.records import tables as t
from ledger.records.later import remembers
from ledger.wording import say


@dataclass(frozen=True, slots=True)
class Said:
    """What a paper says of one lot's origin."""

    derived: Derived
    text: str
    """The full label, with the country of origin where it was stated and what it rests on."""
    sentence: str
    """The provenance in one sentence."""
    country: str
    """Of origin, as stated of the lot itself; empty if it was not."""


def derive(facts: Facts) -> dict[int, Derived]:
    """The origin of every lot of the facts."""
    return derive_all(facts.lots.values(), facts.exposures, facts.virgin_facts, facts.species)


def origin_of(conn: Connection, lot_id: int) -> Derived:
    """The origin of one lot with its reasons, parents and gaps."""
    return derive(load(conn, (lot_id,)))[lot_id]


def origins_of(conn: Connection, lot_ids: Iterable[int]) -> dict[int, Origin]:
    """The origin of many lots, without reasons: one reading of all their ancestors together."""
    asked = set(lot_ids)
    if not asked:
        return {}
    derived = derive(load(conn, asked, dates=False))
    return {lot_id: derived[lot_id].origin for lot_id in asked}


def provenance_of(conn: Connection, lot_id: int) -> Provenance:
    """The chain of a lot back to its founders, with its gaps."""
    facts = load(conn, (lot_id,))
    return provenance(lot_id, facts.lots, derive(facts))


def said_of(conn: Connection, lot_ids: Iterable[int], kept: dict[object, object] | None = None) -> dict[int, Said]:
    """What a receipt may say of each lot.

    Args:
        conn: a connection.
        lot_ids: the lots.
        kept: where what was derived is kept (see `fresh.kept`).
    """
    asked = set(lot_ids)
    found: dict[int, Said] = {}
    if kept:
        for lot_id in asked:
            said = kept.get(("said", lot_id))
            if isinstance(said, Said):
                found[lot_id] = said
    if len(found) < len(asked):
        missing = asked - found.keys()
        if kept is not None and remembers(conn):
            missing |= _more(conn, max(missing), kept)
        facts = load(conn, missing)
        derived = derive(facts)
        for lot_id in sorted(missing):
            found[lot_id] = Said(
                derived[lot_id],
                origin_text(derived[lot_id].origin, country_of(facts, lot_id)),
                provenance_sentence(provenance(lot_id, facts.lots, derived)),
                country_of(facts, lot_id),
            )
            if kept is not None:
                kept["said", lot_id] = found[lot_id]
    return found


_MOST_MORE = 500


def _more(conn: Connection, near: int, kept: dict[object, object]) -> set[int]:
    """Lots likely to be asked for next, up to as many as are known already: read together they cost little more."""
    many = min(2 * sum(type(key) is tuple and key[0] == "said" for key in kept), _MOST_MORE)
    wanted = select(t.lot.c.id).order_by(func.abs(t.lot.c.id - near), t.lot.c.id).limit(many)
    return {lot_id for lot_id in conn.execute(wanted).scalars() if ("said", lot_id) not in kept}


def country_of(facts: Facts, lot_id: int) -> str:
    """The country stated for the lot itself when it came; empty if none was."""
    stated = facts.lots[lot_id].stated
    return stated.country if stated else ""


def origin_text(origin: Origin, country: str = "") -> str:
    """An origin as it is printed: 'captive bred, F2 by our records; evidence: own records'."""
    whence = say("; country of origin {country}", country=country) if country else ""
    return say(
        "{label}{whence}; evidence: {evidence}",
        label=label(origin),
        whence=whence,
        evidence=evidence_in_words(origin),
    )
