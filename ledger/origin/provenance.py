"""The provenance of a lot: its chain back to the founders, what the records lack, and one sentence for a receipt.

Prints what `derive` found; decides nothing. Every statement ends with `ENDING`, and the best that is ever said is
that the ledger's own records have no gaps: nothing here is a certificate.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass

from ledger.origin.derive import Derived
from ledger.origin.facts import BORN_HERE, LotFacts, Statement
from ledger.origin.founders import how_it_came
from ledger.origin.rules import ENDING, evidence_in_words, label
from ledger.wording import capital, counted, say, strung

_NAMED = 6
"""Lots named in the one sentence before the rest is only counted: it must fit on a receipt."""


@dataclass(frozen=True, slots=True)
class ProvenanceRow:
    """One lot of the chain."""

    lot_id: int
    code: str
    steps_back: int
    """0 for the lot itself, 1 for what it comes from, and so on."""
    origin: str
    evidence: str
    founder: bool
    """Comes from no other lot in the records."""
    came: str
    """How and when it came or was born, in words."""
    whence: str
    """Country, locality, supplier, documents and line, as stated; empty if nothing was."""
    parents: tuple[str, ...]
    """Each possible parent with why, or the lots it was made from."""
    reasons: tuple[str, ...]
    gaps: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Provenance:
    """The whole chain of one lot, nearest first."""

    lot_id: int
    code: str
    origin: str
    evidence: str
    headline: str
    rows: tuple[ProvenanceRow, ...]
    gaps: tuple[str, ...]
    """Of the whole chain, each naming its lot."""


def provenance(lot_id: int, lots: Mapping[int, LotFacts], derived: Mapping[int, Derived]) -> Provenance:
    """The chain of a lot back to its founders.

    Args:
        lot_id: the lot asked for.
        lots: the facts `derived` came from, by lot id.
        derived: what `derive_all` gave.

    Raises:
        KeyError: the lot is not among them.
    """
    asked = derived[lot_id]
    steps = asked.steps_back()
    rows = tuple(_row(lots[one], derived[one], far, lots) for one, far in steps.items())
    gaps = tuple(say("{code}: {gap}", code=row.code, gap=gap) for row in rows for gap in row.gaps)
    return Provenance(
        lot_id, asked.code, label(asked.origin), evidence_in_words(asked.origin), _headline(gaps), rows, gaps
    )


def provenance_lines(sheet: Provenance) -> tuple[str, ...]:
    """The sheet as plain text, one line each, ending with `ENDING`."""
    lines = [
        say("{code}: {origin}", code=sheet.code, origin=sheet.origin),
        say("Evidence: {evidence}", evidence=sheet.evidence),
        capital(sheet.headline),
    ]
    for row in sheet.rows:
        lines += [
            "",
            say("{code}: {origin} (evidence: {evidence})", code=row.code, origin=row.origin, evidence=row.evidence),
            strung(("  ", row.came), ""),
        ]
        lines += [strung(("  ", row.whence), "")] if row.whence else []
        lines += [strung(("  ", parent), "") for parent in row.parents]
        lines += [say("  Why: {reason}", reason=reason) for reason in row.reasons]
        lines += [say("  Gap: {gap}", gap=gap) for gap in row.gaps]
    return (*lines, "", ENDING)


def provenance_sentence(sheet: Provenance) -> str:
    """The provenance in one sentence for a receipt, with its ending: well below 2,000 characters."""
    behind = [
        say("{lot} ({origin})", lot=row.code, origin=row.origin)
        for row in sheet.rows
        if row.founder and row.lot_id != sheet.lot_id
    ]
    named = strung(behind[:_NAMED], ", ")
    if len(behind) > _NAMED:
        named += say(" and {number} more lots", number=len(behind) - _NAMED)
    back = say(", going back to {named}", named=named) if behind else ""
    return say(
        "{code}: {origin}{back}; {headline}. {ending}",
        code=sheet.code,
        origin=sheet.origin,
        back=back,
        headline=sheet.headline,
        ending=ENDING,
    )


def _headline(gaps: tuple[str, ...]) -> str:
    if not gaps:
        return say("no gaps in our records")
    return counted(len(gaps), "{n} gap in our records", "{n} gaps in our records")


def _row(lot: LotFacts, found: Derived, steps_back: int, lots: Mapping[int, LotFacts]) -> ProvenanceRow:
    parents = [
        say("Possible mother: {animal}, {why}", animal=one.name, why=one.why)
        if one.role == "mother"
        else say("Possible father: {animal}, {why}", animal=one.name, why=one.why)
        for one in found.parents
    ]

    for source in lot.sources:
        made = _made(source.how, lots[source.lot_id].code)
        parents.append(say("{made} on {day}", made=made, day=str(source.on)) if source.on else made)
    return ProvenanceRow(
        lot.lot_id,
        lot.code,
        steps_back,
        label(found.origin),
        evidence_in_words(found.origin),
        not found.comes_from,
        _came(lot, lots),
        _whence(lot),
        tuple(parents),
        found.reasons,
        found.gaps,
    )


def _made(how: str, lot: str) -> str:
    if how == "split":
        return say("Split off {lot}", lot=lot)
    return say("Merged from {lot}", lot=lot) if how == "merged" else say("Harvested from {lot}", lot=lot)


def _came(lot: LotFacts, lots: Mapping[int, LotFacts]) -> str:
    said = [
        strung((how_it_came(kind), str(on) if on else say("on a day not on record")))
        for kind, on in dict.fromkeys((one.kind, one.on) for one in lot.arrivals)
        if kind not in BORN_HERE
    ]
    if lot.laid_from or lot.laid_to:
        said.append(say("laid {days}", days=_days(lot.laid_from, lot.laid_to)))
    hatched = hatch_dates(lot, lots)
    if hatched != (None, None):
        said.append(say("hatched {days}", days=_days(*hatched)))
    text = strung(said, "; ") or say("no date on record")
    return capital(text)


def _days(first: dt.date | None, last: dt.date | None) -> str:
    days = [str(day) for day in dict.fromkeys((first, last)) if day is not None]
    return say("{first} to {last}", first=days[0], last=days[1]) if len(days) > 1 else "".join(days)


def _whence(lot: LotFacts) -> str:
    """What was stated beside the origin; a source letter only as text copied from a document."""
    said = lot.stated or Statement("UNK")
    parts = {
        say("Country"): said.country,
        say("Locality"): said.locality,
        say("Supplier"): said.supplier,
        say("Documents"): said.documents,
        say("Source letter on the document"): said.source_letter,
        say("Line"): lot.line,
    }
    return strung((strung((name, text), ": ") for name, text in parts.items() if text), "; ")


def hatch_dates(lot: LotFacts, lots: Mapping[int, LotFacts]) -> tuple[dt.date | None, dt.date | None]:
    """First and last hatch date of a lot; of one split off or merged, the range over the lots it was made from."""
    days: list[dt.date] = []
    todo = [lot]
    seen: set[int] = set()
    while todo:
        one = todo.pop()
        if one.lot_id in seen:
            continue
        seen.add(one.lot_id)
        own = [day for day in (one.hatched_from, one.hatched_to) if day is not None]
        days += own
        if not own:
            todo += [lots[source.lot_id] for source in one.sources if source.how != "harvested"]
    return min(days, default=None), max(days, default=None)
