"""Survival in plain words: always the figure, its interval and the numbers behind it. Only wording; decides nothing."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from ledger.costs.explain.parts import apportion
from ledger.rearing.cohort import LotHistory, Tie
from ledger.rearing.interval import Interval
from ledger.rearing.outcomes import Outcomes
from ledger.rearing.survival import Curve, NothingAtRisk
from ledger.wording import say, strung, word


def percent(share: float) -> str:
    """'65 %'; a share that is not quite nothing or everything is never written as if it were."""
    if 0 < share < 0.005:
        return say("under 1 %")
    if 0.995 <= share < 1 - 1e-12:
        return say("over 99 %")
    return f"{share * 100:.0f} %"


def with_interval(share: float, interval: Interval) -> str:
    """'65 %, 43 to 82 %'."""
    return say(
        "{share}, {low} to {high} %",
        share=percent(share),
        low=f"{interval.low * 100:.0f}",
        high=f"{interval.high * 100:.0f}",
    )


def none_yet(tie: Tie, limit: float) -> str:
    """Why there is no share of animals none of which was reared though not all were lost, and what can be said."""
    if tie.pending:
        return say("none has reached it yet; with those lost so far it can be at most {limit}", limit=percent(limit))
    return say(
        "those that were not lost left young, before any could reach it; it could have been at most {limit}",
        limit=percent(limit),
    )


def share_words(
    tie: Tie, share: float | None, interval: Interval | None, size: float | None, limit: float | None = None
) -> str:
    """'13 of 20 reared: 65 %, 43 to 82 %', with what the interval rests on where some left or are still rearing.

    `limit`: the most it can be, where no share can be told.
    """
    counts = say("{reached} of {entered} reared", reached=tie.reached, entered=tie.entered)
    if share is None or interval is None or size is None:
        return say("{counts}: no information yet, none has been reared or lost", counts=counts)
    known = tie.reached + tie.lost
    worth = (
        ""
        if known == tie.entered
        else say(" (as well known as from {size} animals followed to the end)", size=f"{size:.0f}")
    )
    if tie.pending:
        counts = say("{reached} of {entered} reared so far", reached=tie.reached, entered=tie.entered)
    if limit is not None:
        return say("{counts}: {none_yet}", counts=counts, none_yet=none_yet(tie, limit))
    return say("{counts}: {share}{worth}", counts=counts, share=with_interval(share, interval), worth=worth)


def became_words(found: Outcomes) -> str:
    """'Of 100 that entered: 48 reared as adult, 30 lost, 17 sold, 5 still rearing'."""
    reared = found.curve.states[_reared(found.curve, found)]
    parts = []
    # Of a hundred, whole animals: they add up to a hundred.
    for one, number in zip(
        found.outcomes, apportion(100, [Fraction(one.share) * 100 for one in found.outcomes]), strict=True
    ):
        if not number:
            continue
        parts.append(
            say("{number} became {reared}", number=number, reared=word(reared))
            if one.name == reared
            else strung((str(number), word(one.name)))
        )
    return (
        say("Of 100 that entered: {parts}", parts=strung(parts, ", "))
        if parts
        else say("Nothing has become of them yet")
    )


def _reared(curve: Curve, found: Outcomes) -> int:
    return curve.states.index(found.outcomes[0].name)


def warning_words(curve: Curve) -> tuple[str, ...]:
    """What the curve cannot say, one sentence part each."""
    return tuple(
        _nothing_at_risk(one, word(curve.states[one.state]))
        if isinstance(one, NothingAtRisk)
        else say(
            "on day {day} the only {stage} at risk took its share to zero, though others came later; start "
            "the count on day {enters_again} to see past it",
            day=one.day,
            stage=word(curve.states[one.state]),
            enters_again=one.enters_again,
        )
        for one in curve.warnings
    )


def _nothing_at_risk(gap: NothingAtRisk, stage: str) -> str:
    if gap.to_day is None:
        return say("from day {day} on no {stage} was at risk: the curve is flat there", day=gap.from_day, stage=stage)
    return say(
        "from day {day} to day {to_day} no {stage} was at risk: the curve is flat there",
        day=gap.from_day,
        to_day=gap.to_day,
        stage=stage,
    )


def counted_from(history: LotHistory) -> str:
    """'counted from the first count, L2; deaths before that were not seen'; empty for lives seen from the first day."""
    if history.first_stage is None or (history.start_dated and history.first_stage == history.states[0]):
        return ""
    first = word(history.first_stage)
    if history.start_day:
        return say(
            "counted from the first count, {stage} on day {day}; deaths before that were not seen",
            stage=first,
            day=history.start_day,
        )
    return say(
        "counted from the first count, {stage}; deaths before that were not seen",
        stage=first,
    )


def side_by_side(names: Sequence[str], figures: Sequence[tuple[float, Interval | None]]) -> str:
    """'P03 65 %, 43 to 82 %; P04 25 %, 11 to 47 %'."""
    return strung(
        (
            strung((name, with_interval(share, interval) if interval is not None else say("no information yet")))
            for name, (share, interval) in zip(names, figures, strict=True)
        ),
        "; ",
    )
