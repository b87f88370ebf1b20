"""Everything to be said of the survival of one lot, and of the lots of a species together, from the ledger.

Two questions stand apart: of those left alone, how many are reared; and what became of them all. Beside the figures
stand their intervals, the numbers behind them, and in words what they assume and cannot say.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import Connection, select

from ledger.errors import Refused
from ledger.rearing.by_stage import MANY_LEFT, Product, stage_product
from ledger.rearing.cohort import LotHistory, Tie, lot_flows
from ledger.rearing.interval import Interval
from ledger.rearing.outcomes import Outcome, outcomes
from ledger.rearing.plain_words import (
    became_words,
    counted_from,
    percent,
    share_words,
    side_by_side,
    warning_words,
    with_interval,
)
from ledger.rearing.pooling import LotSurvival, lot_survival, pool_lots
from ledger.rearing.prediction import NextLot, predict_next
from ledger.rearing.report import ASSUMES, clock_day
from ledger.rearing.restart import from_day
from ledger.rearing.spells import spells
from ledger.rearing.survival import TakenToZero
from ledger.records import tables as t
from ledger.stock.events import without_reversed
from ledger.stock.journal import events
from ledger.stock.naming import find_lot, find_species, stages
from ledger.stock.reasons import Survival
from ledger.wording import capital, decimals, say, strung, word


@dataclass(frozen=True, slots=True)
class Share:
    """A share with its 95 % limits and the number of fully followed animals it is worth."""

    share: float
    low: float
    high: float
    size: float


@dataclass(frozen=True, slots=True)
class LotLook:
    """The survival of one lot."""

    lot: str
    species: str
    on: dt.date
    stage: str
    """The reared stage."""
    tie: Tie
    alone: Share | None
    """Of those left alone, the share reared; None while nothing is known."""
    if_missing_lived: Share | None
    """The same, the missing taken to have left alive: the upper end of what they leave open. None: none missing."""
    later: Share | None
    """The same counted from a later day, where one early animal had taken the curve to zero."""
    later_from: int | None
    """That day on the lot's clock."""
    became: tuple[Outcome, ...]
    """What became of them all, every way of leaving told apart; the shares sum to 1."""
    product: Product | None
    """Stage by stage, where more than a fifth left young; None otherwise."""
    words: tuple[str, ...]
    """All of it in plain words, the figure first."""


@dataclass(frozen=True, slots=True)
class LotsTogether:
    """Lots of a species that are counted from the same stage."""

    counted_from: str
    lots: tuple[tuple[str, Share | None], ...]
    """Each by itself; None while nothing is known of it."""
    together: Share | None
    """Pooled, each lot out of sight after its own last day; None for fewer than three lots that tell."""
    design_effect: float | None
    """How many times the spread between lots exceeds chance."""
    next_lot: NextLot | None
    words: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SpeciesLook:
    """The survival of the lots of a species, those counted from one stage together, the most lots first."""

    species: str
    on: dt.date
    groups: tuple[LotsTogether, ...]
    words: tuple[str, ...]


def look_at_lot(conn: Connection, lot: str, on: dt.date) -> LotLook:
    """The survival of a lot up to and including a day.

    Raises:
        NotFound: no such lot.
        Refused: no animal of it was ever there before the reared stage, or its movements contradict its stages.
    """
    ref = find_lot(conn, lot)
    species = conn.execute(select(t.species.c.code).where(t.species.c.id == ref.species_id)).scalar_one()
    low, high = (_history(conn, ref.id, on, missing_as) for missing_as in (Survival.LOST, Survival.CENSORED))
    figure = lot_survival(low)
    if figure is None:
        raise Refused(
            say("{code} has no animals that entered before the reared stage, so it has no survival.", code=ref.code)
        )
    upper = lot_survival(high) if low.tie.missing else None
    later_from = next((one.enters_again for one in figure.curve.warnings if isinstance(one, TakenToZero)), None)
    later = lot_survival(from_day(low, later_from)) if later_from is not None else None
    became = outcomes(low)
    assert became is not None
    product = None
    if low.tie.left_early > MANY_LEFT * max(1, low.tie.entered):
        product = stage_product(low.states[: low.reared], spells(low))
    words = [
        say(
            "{lot}: {share}.",
            lot=ref.code,
            share=share_words(low.tie, _known(figure), figure.interval, figure.size, figure.at_most),
        )
    ]
    if low.tie.pending:
        words.append(
            say(
                "{pending} still rearing: neither reared nor lost, so the figure is not final.", pending=low.tie.pending
            )
        )
    if upper is not None and upper.tells and upper.interval is not None:
        words.append(
            say(
                "If the {missing} missing had lived: {share}; they are counted as lost.",
                missing=low.tie.missing,
                share=with_interval(upper.reached, upper.interval),
            )
        )
    if later is not None and later.tells and later.interval is not None:
        words.append(
            say(
                "Counted from day {day}: {share}.",
                day=later_from,
                share=with_interval(later.reached, later.interval),
            )
        )
    if product is not None:
        words.append(_product_words(product, low.tie))
    if low.tie.left_early:
        words.append(say("This {assumes}.", assumes=ASSUMES))
    words.append(became_words(became) + ".")
    words += [_sentence(part) for part in (counted_from(low), *warning_words(figure.curve)) if part]
    return LotLook(
        lot=ref.code,
        species=species,
        on=on,
        stage=low.states[low.reared],
        tie=low.tie,
        alone=_share(figure),
        if_missing_lived=_share(upper),
        later=_share(later),
        later_from=later_from,
        became=became.outcomes,
        product=product,
        words=tuple(words),
    )


def look_at_species(conn: Connection, species: str, on: dt.date, *, animals: int | None = None) -> SpeciesLook:
    """The survival of every lot of a species and of all together, and what the next lot may come to.

    Args:
        conn: an open reading connection.
        species: its code.
        on: last day looked at.
        animals: how many the next lot has; the usual number of the lots so far by default.

    Raises:
        NotFound: no such species.
        Refused: none of its lots had animals before the reared stage.
    """
    kind = find_species(conn, species)
    rows = conn.execute(
        select(t.lot.c.id, t.lot.c.code)
        .where(t.lot.c.species_id == kind.id, t.lot.c.started_from <= on)
        .order_by(t.lot.c.started_on, t.lot.c.id)
    ).all()
    named: list[tuple[str, LotHistory]] = []
    faults = []
    for row in rows:
        try:
            found = _history(conn, row.id, on, Survival.LOST)
        except Refused as refused:
            faults.append(say("{code} is left out. {sentence}", code=row.code, sentence=refused.sentence))
            continue
        if any(found.start):
            named.append((row.code, found))
    if not named:
        raise Refused(
            say("{code} has no lot with animals before the reared stage yet, so it has no survival.", code=kind.code)
        )
    by_stage: dict[str, list[tuple[str, LotHistory]]] = defaultdict(list)
    for code, history in named:
        assert history.first_stage is not None
        by_stage[history.first_stage].append((code, history))
    groups = tuple(
        _together(kind.code, stage, lots, animals)
        for stage, lots in sorted(by_stage.items(), key=lambda group: -len(group[1]))
    )
    words = [sentence for group in groups for sentence in group.words]
    if any(history.tie.left_early for _, history in named):
        words.append(say("This {assumes}.", assumes=ASSUMES))
    return SpeciesLook(species=kind.code, on=on, groups=groups, words=(*words, *faults))


def _together(species: str, stage: str, lots: Sequence[tuple[str, LotHistory]], animals: int | None) -> LotsTogether:
    pooled = pool_lots([history for _, history in lots])
    figures = list(zip([code for code, _ in lots], pooled.lots, strict=True))
    sizes = sorted(history.tie.entered for _, history in lots)
    next_lot = predict_next(pooled, max(1, animals if animals is not None else sizes[len(sizes) // 2]))
    words = []
    together = None
    head = say("{species} from {stage}", species=species, stage=word(stage))
    if pooled.reached is not None and pooled.interval is not None and pooled.size is not None:
        together = Share(pooled.reached, pooled.interval.low, pooled.interval.high, pooled.size)
        words.append(
            say(
                "{head}: {share} from {lots} lots.",
                head=head,
                share=with_interval(pooled.reached, pooled.interval),
                lots=pooled.compared,
            )
        )
        if pooled.design_effect is not None and pooled.design_effect > 1:
            words.append(
                say(
                    "The lots differ {times} times as much as chance would have it; the interval is widened for that.",
                    times=decimals(f"{pooled.design_effect:.1f}"),
                )
            )
    else:
        told = [(code, lot) for code, lot in figures if lot.tells]
        apart = side_by_side([code for code, _ in told], [(lot.reached, lot.interval) for _, lot in told])
        words.append(say("{head}: {why}.", head=head, why=pooled.why))
        if told:
            words.append(apart + ".")
    if next_lot is not None:
        foretold = next_lot.words
        words.append(
            say("The next lot: {foretold}; how lots differ is a guess as yet.", foretold=foretold)
            if next_lot.guessed
            else say("The next lot: {foretold}.", foretold=foretold)
        )
    return LotsTogether(
        stage, tuple((code, _share(lot)) for code, lot in figures), together, pooled.design_effect, next_lot,
        tuple(words),
    )  # fmt: skip


def _history(conn: Connection, lot_id: int, on: dt.date, missing_as: Survival) -> LotHistory:
    row = conn.execute(select(t.lot).where(t.lot.c.id == lot_id)).one()
    ladder = stages(conn, row.species_id)
    reared = next(stage.position for stage in ladder if stage.reared)
    journal = without_reversed(events(conn, {lot_id}), by="happened_on")
    clock = clock_day(row.started_from, row.started_on)
    return lot_flows(journal, {lot_id}, clock, ladder, reared, on.toordinal(), missing_as=missing_as)


def _known(figure: LotSurvival) -> float | None:
    return figure.reached if figure.size is not None else None


def _share(figure: LotSurvival | None) -> Share | None:
    if figure is None or not figure.tells or figure.size is None or figure.interval is None:
        return None
    interval: Interval = figure.interval
    return Share(figure.reached, interval.low, interval.high, figure.size)


def _product_words(product: Product, tie: Tie) -> str:
    left = say("{share} left young", share=percent(tie.left_early / tie.entered))
    if product.share is None or product.interval is None:
        return say("{left}; stage by stage there is no figure yet.", left=left)
    parts = strung(
        (
            strung((word(part.name), percent(part.share)))
            for part in product.stages
            if part.entered and part.share is not None
        ),
        ", ",
    )
    return say(
        "{left}; stage by stage it comes to {share} ({parts}).",
        left=left,
        share=with_interval(product.share, product.interval),
        parts=parts,
    )


def _sentence(part: str) -> str:
    return capital(part) + "."
