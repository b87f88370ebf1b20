"""The survival curve of one lot with everything needed to check it from outside."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import Connection

from ledger.errors import Refused
from ledger.rearing.band import ReachedBy, band
from ledger.rearing.cohort import LotHistory
from ledger.rearing.plain_words import warning_words
from ledger.rearing.pooling import lot_survival
from ledger.rearing.report import history_of
from ledger.stock.naming import find_lot
from ledger.wording import say


@dataclass(frozen=True, slots=True)
class LotCurve:
    """Shares of a lot's animals in each state, day by day."""

    lot: str
    states: tuple[str, ...]
    """Animal stages before the reared one, the reared stage, 'lost'."""
    days: tuple[int, ...]
    """Days on the lot's clock on which something happened."""
    prob: tuple[tuple[float, ...], ...]
    """days x states: share in each state at the end of the day."""
    se: tuple[tuple[float, ...], ...]
    drawn: tuple[ReachedBy, ...]
    """The share that has reached the reared stage by each day, with its band, as it is drawn."""
    at_risk: tuple[tuple[int, ...], ...]
    """Number in each state just before the day."""
    counts: tuple[tuple[tuple[int, ...], ...], ...]
    """days x states x states: moves from one state to another on the day."""
    warnings: tuple[str, ...]


def curve(conn: Connection, lot: str, on: dt.date) -> LotCurve:
    """The curve of one lot up to and including a day.

    Raises:
        NotFound: no such lot.
        Refused: no animal of it was ever there before the reared stage.
    """
    ref = find_lot(conn, lot)
    history = history_of(conn, ref.id, on)
    figure = lot_survival(history)
    if figure is None:
        raise Refused(
            say("{code} has no animals that entered before the reared stage, so it has no survival.", code=ref.code)
        )
    found = figure.curve
    assert found.se is not None
    tie = history.tie
    return LotCurve(
        lot=ref.code,
        states=found.states,
        days=tuple(int(day) for day in found.days),
        prob=tuple(tuple(float(p) for p in row) for row in found.prob),
        se=tuple(tuple(float(p) for p in row) for row in found.se),
        drawn=band(found, resolved=tie.reached + tie.lost, animals=tie.entered),
        at_risk=tuple(tuple(int(n) for n in row) for row in found.at_risk),
        counts=_moves(history, tuple(int(day) for day in found.days)),
        warnings=warning_words(found),
    )


def _moves(history: LotHistory, days: Sequence[int]) -> tuple[tuple[tuple[int, ...], ...], ...]:
    """Moves by day; nothing moved in the first row, which is the start."""
    k = len(history.states)
    rows = [[[0] * k for _ in range(k)] for _ in days]
    place = {day: row for row, day in enumerate(days)}
    for flow in history.flows:
        if flow.kind == "move" and flow.source is not None and flow.target is not None:
            rows[place[flow.day]][flow.source][flow.target] += flow.count
    return tuple(tuple(tuple(line) for line in day) for day in rows)
