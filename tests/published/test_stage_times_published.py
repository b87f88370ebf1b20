"""Turnbull's estimate against published interval-censored data.

Breast cosmesis, radiation arm, 46 women, months: Finkelstein & Wolfe 1985 (Biometrics 41:933-945); masses and
likelihood as the constrained Newton method of R's npsurv gives them (Wang 2007, J R Stat Soc B 69:185-198).
"""

from __future__ import annotations

import math

import pytest

from ledger.rearing.turnbull import turnbull

RADIATION = (
    "0-5 0-7 0-8 4-11 5-12 5-11 6-10 7-14 7-16 11-15 11-18 15+ 17-25 17-25 17+ 18-26 18+ 19-35 22+ 24+ 24+ 25-37 "
    "26-40 27-34 32+ 33+ 34+ 36-44 36-48 36+ 36+ 37-44 37+ 37+ 37+ 38+ 40+ 45+ 46+ 46+ 46+ 46+ 46+ 46+ 46+ 46+"
)


def intervals(text: str) -> list[tuple[float, float]]:
    """(low, high] of each; '+' has no end."""
    found = []
    for part in text.split():
        low, _, high = part.rstrip("+").partition("-")
        found.append((float(low), math.inf if part.endswith("+") else float(high)))
    return found


def test_breast_cosmesis_has_the_published_masses_and_likelihood() -> None:
    found = turnbull(intervals(RADIATION))

    assert found.animals == 46
    assert [(piece.low, piece.high) for piece in found.pieces] == [
        (4, 5), (6, 7), (7, 8), (11, 12), (24, 25), (33, 34), (38, 40), (46, 48),
    ]  # fmt: skip
    assert [piece.mass for piece in found.pieces] == pytest.approx(
        [
            *(0.0463467740, 0.0333633709, 0.0886673681, 0.0707529218),
            *(0.0926458366, 0.0817857649, 0.1208798273, 0.4655581364),
        ],
        abs=1e-9,
    )
    assert found.log_likelihood == pytest.approx(-58.060021954, abs=1e-9)


def test_taking_intervals_as_closed_would_move_the_estimate() -> None:
    """Another program's way: an interval that begins where another ends would meet it there."""
    closed = [(max(0.0, low - 1e-6), high) for low, high in intervals(RADIATION)]

    still = sum(piece.mass for piece in turnbull(closed).pieces if piece.low >= 34)
    half_open = sum(piece.mass for piece in turnbull(intervals(RADIATION)).pieces if piece.low >= 34)

    assert half_open == pytest.approx(0.5864, abs=1e-4)
    assert still != pytest.approx(half_open, abs=1e-3)
