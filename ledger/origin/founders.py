"""What may be said of animals that came from outside, and of lots made from other lots.

A founder is what was stated of it, no more: a generation stated without a document is not believed, and a source
letter copied from a document is never read as an origin.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from ledger.origin.breeding import Young
from ledger.origin.facts import FROM_OTHERS, Kind, LotFacts, Statement
from ledger.origin.parents import Book
from ledger.origin.rules import DOCUMENT, OWN_RECORDS, STATEMENT, Code, Origin, label, merged, read_claim
from ledger.wording import say, strung, word


def how_it_came(kind: Kind) -> str:
    """The kind of an arrival as it reads in a sentence."""
    words: dict[Kind, str] = {"opening": say("here at the start"), "lent in": say("lent to us")}
    return words.get(kind) or word(kind)


def stated(lot: LotFacts) -> Young:
    """Opening stock, bought, swapped in, lent to us: as stated, not known if nothing was."""
    came = next((one for one in lot.arrivals if one.kind in FROM_OTHERS), None)
    how = how_it_came(came.kind) if came else say("came")
    when = strung((how, str(came.on))) if came and came.on else how
    gaps = () if came and came.on else (say("no arrival date on record"),)
    if lot.stated is None:
        reason = say("{code}: {when}; nothing was stated of its origin.", code=lot.code, when=when)
        return Young(Origin(Code.UNK), (reason,), (), (*gaps, say("no origin stated on arrival")))
    origin, doubt = _believed(lot.stated)
    by = lot.stated.supplier or say("the keeper")
    if origin.code is Code.UNK:
        gaps = (*gaps, say("origin not known on arrival"))
    return Young(
        origin,
        (
            say(
                "{code}: {when}, stated by {by}: {label}{doubt}.",
                code=lot.code,
                when=when,
                by=by,
                label=label(origin),
                doubt=doubt,
            ),
        ),
        (),
        gaps,
    )


def _believed(said: Statement) -> tuple[Origin, str]:
    """The origin a statement gives, and what of it is not believed."""
    evidence = min(said.evidence, DOCUMENT if said.documents.strip() else STATEMENT)
    if said.code == Code.CB:
        if said.generation is not None and evidence == DOCUMENT:
            return Origin(Code.CB, said.generation, evidence=evidence, stated=True), ""

        doubt = say(" (captive bred was stated without a generation)")
        if said.generation is not None:
            doubt = say(" ({generation} was stated without a document that shows it)", generation=f"F{said.generation}")
        return Origin(Code.CBU, evidence=evidence), doubt
    origin = read_claim(said.code)
    return (origin if origin.code is Code.UNK else replace(origin, evidence=evidence)), ""


def collected(lot: LotFacts) -> Young:
    """Collected by the keeper: wild, whatever else was stated."""
    came = next(one for one in lot.arrivals if one.kind == "collected")
    origin = Origin(Code.WC, evidence=OWN_RECORDS)
    if lot.stated and lot.stated.code in (Code.WR, Code.MIX):
        origin = replace(read_claim(lot.stated.code), evidence=OWN_RECORDS)
    when = f" {came.on}" if came.on else ""
    gaps = () if came.on else (say("no arrival date on record"),)
    return Young(
        origin, (say("{code}: collected{when}: {label}.", code=lot.code, when=when, label=label(origin)),), (), gaps
    )


def made_from(lot: LotFacts, sources: Sequence[int], book: Book, origins: Mapping[int, Origin]) -> Young:
    """A split keeps the origin; a merge has that of all its sources together."""
    origin = merged(origins[source] for source in sources)
    named = strung(
        (say("{lot} ({origin})", lot=book.lots[source].code, origin=label(origins[source])) for source in sources), ", "
    )
    parts = {"lot": lot.code, "sources": named, "origin": label(origin)}
    return Young(
        origin,
        (
            say("{lot}: split off {sources}, so: {origin}.", **parts)
            if len(sources) == 1
            else say("{lot}: merged from {sources}, so: {origin}.", **parts),
        ),
        (),
        (),
    )


def harvested_founders(lot: LotFacts, book: Book, origins: Mapping[int, Origin]) -> Young | None:
    """Animals harvested when already reared may be the colony's founders, not its young; None if they cannot be."""
    grown = [one.reared is not False for one in lot.arrivals if one.kind == "harvested"]
    colonies = [source.lot_id for source in lot.sources if source.how == "harvested"]
    if not colonies or (grown and not any(grown)):
        return None
    named = strung((book.lots[colony].code for colony in colonies), ", ")
    reason = say(
        "{code}: harvested when reared or at a stage not on record, so some may be founders of {named}.",
        code=lot.code,
        named=named,
    )
    return Young(merged(origins[colony] for colony in colonies), (reason,), (), ())
