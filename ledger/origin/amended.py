"""What changes an origin after the records have spoken: a person's lowering or document, and unexplained counts."""

from __future__ import annotations

from dataclasses import replace

from ledger.origin.facts import Claim, CountUp, LotFacts
from ledger.origin.rules import DOCUMENT, NO_EVIDENCE, Origin, label, lowered, may_record, read_claim
from ledger.wording import say


def after_claims(lot: LotFacts, by_records: Origin) -> tuple[Origin, list[str]]:
    """Lowerings and raisings in the order recorded, each against what stood before it or what the records give.

    A lowering that the records have since fallen below is not used: it would raise.
    """
    current = by_records
    reasons: list[str] = []
    for claim in lot.claims:
        current, reason = _after_claim(lot, claim, current, by_records)
        reasons.append(reason)
    return current, reasons


def _after_claim(lot: LotFacts, claim: Claim, current: Origin, by_records: Origin) -> tuple[Origin, str]:
    claimed = read_claim(claim.code, claim.generation)
    day = say(" on {day}", day=str(claim.on)) if claim.on else ""
    for base in (current, by_records):
        if may_record(claimed, base, documents="", note="given") is None:
            down = lowered(base, claimed)
            at = label(down)
            note = say(": {note}", note=claim.note) if claim.note else ""
            if down == base:
                return down, say("{lot}: left{on} at “{origin}”{note}.", lot=lot.code, on=day, origin=at, note=note)
            return down, say("{lot}: lowered{on} at “{origin}”{note}.", lot=lot.code, on=day, origin=at, note=note)
    if claim.documents.strip():
        raised = replace(claimed, evidence=DOCUMENT, stated=True, doubted=by_records.doubted)
        return raised, say(
            "{code}: raised{day} to “{label}” on the document {documents}.",
            code=lot.code,
            day=day,
            label=label(raised),
            documents=claim.documents,
        )
    return current, say(
        "{code}: “{label}”, recorded{day}, is no lowering of what the records now give and names no "
        "document, so it is not used.",
        code=lot.code,
        label=label(claimed),
        day=day,
    )


def after_counts(lot: LotFacts, origin: Origin) -> tuple[Origin, list[str], list[str]]:
    """Unexplained upward counts in a lot that does not breed take one grade of evidence until they are explained.

    Returns:
        The origin, the reasons, and the gaps in the counts.
    """
    open_counts = [] if lot.breeds else [up for up in lot.counts_up if not _explained(up)]
    gaps = [
        say("{more} more than recorded{up} without an explanation", more=up.more, up=_day(up)) for up in open_counts
    ]
    reasons = []
    for up in open_counts:
        beyond = (
            say(", beyond the {tolerance} a miscount may explain", tolerance=up.tolerance)
            if up.why == "miscounted before"
            else ""
        )
        found = say(
            "{code}: {more} more than recorded{up}{beyond}", code=lot.code, more=up.more, up=_day(up), beyond=beyond
        )
        reasons.append(say("{found}; the evidence is lowered until explained.", found=found))
    if open_counts:
        origin = replace(origin, evidence=max(NO_EVIDENCE, origin.evidence - 1), doubted=True)
    if lot.counts_off:
        gaps.append(say("counts do not add up by {number}", number=lot.counts_off))
    return origin, reasons, gaps


def _explained(up: CountUp) -> bool:
    return up.why == "explained" or (up.why == "miscounted before" and up.more <= up.tolerance)


def _day(up: CountUp) -> str:
    return say(" on {day}", day=str(up.on)) if up.on else ""
