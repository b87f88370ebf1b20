"""Survival in plain words: always the figure, its interval and the numbers behind it. Only wording; decides nothing."""

from __future__ import annotations

from collections.abc import Sequence

from ledger.rearing.cohort import LotHistory, Tie
from ledger.rearing.interval import Interval
from ledger.rearing.outcomes import Outcomes
from ledger.rearing.survival import Curve, NothingAtRisk


def percent(share: float) -> str:
    """'65 %'; a share that is not quite nothing or everything is never written as if it were."""
    if 0 < share < 0.005:
        return "under 1 %"
    if 0.995 <= share < 1 - 1e-12:
        return "over 99 %"
    return f"{share * 100:.0f} %"


def with_interval(share: float, interval: Interval) -> str:
    """'65 %, 43 to 82 %'."""
    return f"{percent(share)}, {interval.low * 100:.0f} to {interval.high * 100:.0f} %"


def share_words(tie: Tie, share: float | None, interval: Interval | None, size: float | None) -> str:
    """'13 of 20 reared: 65 %, 43 to 82 %', with what the interval rests on where some left or are still rearing."""
    counts = f"{tie.reached} of {tie.entered} reared"
    if share is None or interval is None or size is None:
        return f"{counts}: no information yet, none has been reared or lost"
    known = tie.reached + tie.lost
    worth = "" if known == tie.entered else f" (worth {size:.0f} animals followed to the end)"
    counts += " so far" if tie.pending else ""
    return f"{counts}: {with_interval(share, interval)}{worth}"


def became_words(found: Outcomes) -> str:
    """'Of 100 that entered: 48 reared as adult, 30 lost, 17 sold, 5 still rearing'."""
    reared = found.curve.states[_reared(found.curve, found)]
    parts = []
    for one in found.outcomes:
        number = round(one.share * 100)
        if not number:
            continue
        parts.append(f"{number} became {reared}" if one.name == reared else f"{number} {one.name}")
    return f"Of 100 that entered: {', '.join(parts)}" if parts else "Nothing has become of them yet"


def _reared(curve: Curve, found: Outcomes) -> int:
    return curve.states.index(found.outcomes[0].name)


def warning_words(curve: Curve) -> tuple[str, ...]:
    """What the curve cannot say, one sentence part each."""
    return tuple(
        f"from day {one.from_day}"
        + (f" to day {one.to_day}" if one.to_day is not None else " on")
        + f" no {curve.states[one.state]} was at risk: the curve is flat there"
        if isinstance(one, NothingAtRisk)
        else f"on day {one.day} the only {curve.states[one.state]} at risk took its share to zero, "
        f"though others came later; start the count on day {one.enters_again} to see past it"
        for one in curve.warnings
    )


def counted_from(history: LotHistory) -> str:
    """'counted from the first count, L2; deaths before that were not seen'; empty for lives seen from the first day."""
    if history.first_stage is None or (history.start_dated and history.first_stage == history.states[0]):
        return ""
    late = f" on day {history.start_day}" if history.start_day else ""
    return f"counted from the first count, {history.first_stage}{late}; deaths before that were not seen"


def side_by_side(names: Sequence[str], figures: Sequence[tuple[float, Interval | None]]) -> str:
    """'P03 65 %, 43 to 82 %; P04 25 %, 11 to 47 %'."""
    return "; ".join(
        f"{name} {with_interval(share, interval) if interval is not None else 'no information yet'}"
        for name, (share, interval) in zip(names, figures, strict=True)
    )
