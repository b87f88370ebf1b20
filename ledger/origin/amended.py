"""What changes an origin after the records have spoken: a person's lowering or document, and unexplained counts."""

from __future__ import annotations

from dataclasses import replace

from ledger.origin.facts import Claim, CountUp, LotFacts
from ledger.origin.rules import DOCUMENT, NO_EVIDENCE, Origin, label, lowered, may_record, read_claim


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
    day = f" on {claim.on}" if claim.on else ""
    for base in (current, by_records):
        if may_record(claimed, base, documents="", note="given") is None:
            down = lowered(base, claimed)
            verb = "left" if down == base else "lowered"
            note = f": {claim.note}" if claim.note else ""
            return down, f"{lot.code}: {verb}{day} at “{label(down)}”{note}."
    if claim.documents.strip():
        raised = replace(claimed, evidence=DOCUMENT, stated=True, doubted=by_records.doubted)
        return raised, f"{lot.code}: raised{day} to “{label(raised)}” on the document {claim.documents}."
    return current, (
        f"{lot.code}: “{label(claimed)}”, recorded{day}, is no lowering of what the records now give "
        "and names no document, so it is not used."
    )


def after_counts(lot: LotFacts, origin: Origin) -> tuple[Origin, list[str], list[str]]:
    """Unexplained upward counts in a lot that does not breed take one grade of evidence until they are explained.

    Returns:
        The origin, the reasons, and the gaps in the counts.
    """
    open_counts = [] if lot.breeds else [up for up in lot.counts_up if not _explained(up)]
    gaps = [f"{up.more} more than recorded{_day(up)} without an explanation" for up in open_counts]
    reasons = []
    for up in open_counts:
        beyond = f", beyond the {up.tolerance} a miscount may explain" if up.why == "miscounted before" else ""
        found = f"{lot.code}: {up.more} more than recorded{_day(up)}{beyond}"
        reasons.append(f"{found}; the evidence is lowered until explained.")
    if open_counts:
        origin = replace(origin, evidence=max(NO_EVIDENCE, origin.evidence - 1), doubted=True)
    if lot.counts_off:
        gaps.append(f"counts do not add up by {lot.counts_off}")
    return origin, reasons, gaps


def _explained(up: CountUp) -> bool:
    return up.why == "explained" or (up.why == "miscounted before" and up.more <= up.tolerance)


def _day(up: CountUp) -> str:
    return f" on {up.on}" if up.on else ""
