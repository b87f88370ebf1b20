"""How many of several groups do something, each group with a chance of its own: the Poisson-binomial, and its mixtures.

Pure numbers. Exact by the discrete Fourier transform of the product of (1 - p + p e^{iw})^n (Fernandez & Williams 2010,
IEEE Trans Aerosp Electron Syst 46:803-817; Hong 2013, Comput Stat Data Anal 59:41-51), on no more points than the mass
needs: the tails and frequencies left out weigh below 1e-10 together.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Reals = NDArray[np.float64]
Counts = NDArray[np.int64]

_SPREADS = 7.5
"""Standard deviations kept on each side, with `_MORE` beside: few animals have longer tails than a normal's."""
_MORE = 14
_FAR = 2.2
"""Frequency up to which the expansion converges fast enough to be worth it."""
_SMALL = 25.0
"""A frequency whose amplitude is below exp(-25) is left out."""


@dataclass(frozen=True, slots=True)
class CountPmf:
    """Probabilities of the counts first, first + 1, ..."""

    first: int
    pmf: Reals

    @property
    def mean(self) -> float:
        """The count to expect."""
        return float(self.pmf @ (self.first + np.arange(len(self.pmf))))

    @property
    def variance(self) -> float:
        """Of the count."""
        away = self.first + np.arange(len(self.pmf)) - self.mean
        return float(self.pmf @ (away * away))

    def quantile(self, level: float) -> int:
        """The smallest count that is not exceeded with probability `level`."""
        place = int(np.searchsorted(np.cumsum(self.pmf), level * (1 - 1e-12), side="left"))
        return self.first + min(place, len(self.pmf) - 1)

    def below(self, count: int) -> float:
        """Probability of at most `count`."""
        return float(self.pmf[: max(0, count - self.first + 1)].sum())


def mixture(chances: Reals, counts: Counts, certain: int = 0) -> CountPmf:
    """The count of a mixture with equal weights of Poisson-binomials.

    Args:
        chances: shape (draws, groups): in each draw the chance of an animal of each group.
        counts: shape (groups,): animals in each.
        certain: animals that are counted in any case.

    Raises:
        ValueError: not one chance for each group.
    """
    if chances.shape[1] != len(counts):
        raise ValueError("one chance is needed for each group")
    live = (counts > 0) & (chances.max(axis=0, initial=0.0) > 0)
    p, n = np.clip(chances[:, live], 0.0, 1.0), counts[live].astype(float)
    if not len(n):
        return CountPmf(certain, np.ones(1))
    mean = p @ n
    variance = (p * (1 - p)) @ n
    reach = _SPREADS * np.sqrt(variance) + _MORE
    first = max(0, math.floor(float((mean - reach).min())))
    last = min(int(n.sum()), math.ceil(float((mean + reach).max())))
    points = last - first + 1
    frequency = 2 * np.pi * np.arange(points // 2 + 1) / points
    # log|phi| <= -variance (1 - cos w) for every Poisson-binomial.
    kept = frequency[float(variance.min()) * (1 - np.cos(frequency)) <= _SMALL]
    spectrum = np.zeros(points // 2 + 1, dtype=complex)
    spectrum[: len(kept)] = _characteristic(p, n, kept) * np.exp(-1j * kept * first)
    pmf = np.fft.irfft(spectrum.conj(), points)
    np.maximum(pmf, 0.0, out=pmf)
    return CountPmf(certain + first, pmf / pmf.sum())


def _characteristic(p: Reals, n: Reals, frequency: Reals) -> NDArray[np.complex128]:
    """Mean over the draws of the product over the groups, at each frequency (in rising order)."""
    low = int(np.searchsorted(frequency, _FAR, side="right"))
    logs = np.concatenate([_near(p, n, frequency[:low]), _far(p, n, frequency[low:])], axis=1)
    return np.asarray(np.exp(logs).mean(axis=0))


def _near(p: Reals, n: Reals, frequency: Reals) -> NDArray[np.complex128]:
    """Logarithms of the products, shape (draws, frequencies), by expanding each in Chebyshev polynomials of p.

    The nearest singularity lies at 2p - 1 = i cot(w/2), so the terms shrink by cot(w/2) + 1/sin(w/2) each (Trefethen
    2013, *Approximation Theory and Approximation Practice*, ch. 8). The sums over the groups are taken once for all
    frequencies.
    """
    if len(frequency) < 2:
        return _far(p, n, frequency)
    half = float(frequency[-1]) / 2
    terms = math.ceil(32 / math.log((math.cos(half) + 1) / math.sin(half))) + 2
    angles = np.pi * (np.arange(terms) + 0.5) / terms
    nodes = (np.cos(angles) + 1) / 2
    values = np.log(1 - nodes + nodes * np.exp(1j * frequency)[:, None])
    coefficients = values @ np.cos(np.outer(angles, np.arange(terms))) * (2 / terms)
    coefficients[:, 0] /= 2
    x = 2 * p - 1
    sums = np.empty((terms, len(p)))
    before, now = np.ones_like(x), x.copy()
    sums[0], sums[1] = n.sum(), x @ n
    twice = 2 * x
    for term in range(2, terms):
        before *= -1.0
        before += twice * now
        before, now = now, before
        sums[term] = now @ n
    return np.asarray(sums.T @ coefficients.T)


def _far(p: Reals, n: Reals, frequency: Reals) -> NDArray[np.complex128]:
    """The same, each by itself."""
    found = np.empty((len(p), len(frequency)), dtype=complex)
    spread = 2.0 * p * (1.0 - p)
    for place, w in enumerate(frequency.tolist()):
        cosine, sine = math.cos(w), math.sin(w)
        # At w = pi a chance of exactly one half gives nothing: the logarithm of 0 stands for that.
        inside = np.maximum(1.0 - spread * (1.0 - cosine), 1e-300)
        found[:, place] = 0.5 * np.log(inside) @ n + 1j * (np.arctan2(p * sine, 1.0 - p + p * cosine) @ n)
    return found
