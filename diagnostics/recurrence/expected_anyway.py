"""What units picked for a bad record would have done anyway; pure.

Belts are chosen for a campaign because they had many cases, and part of that was bad luck, which
does not come twice. What they are to be held against is therefore not their own past but what
belts with such a past go on to do.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np

from diagnostics.recurrence.histories import Floats
from diagnostics.recurrence.rates import FEWEST_UNITS, shrunk_rates

# So many standard deviations above the mean the number is summed; what lies beyond is below 1e-9
# even for the long tail of a single unit.
_REACH = 25.0


@dataclass(frozen=True)
class ExpectedAnyway:
    """Events of the later time, had nothing been done.

    Attributes
    ----------
    expected : float
        Mean number.
    lower, upper : int
        Two-sided limits of the number itself, not of its mean.
    p_as_few : float
        Probability of no more than were observed.
    is_pooled : bool
        The units of the plant did not differ more than chance makes them: their one rate served.
    """

    expected: float
    lower: int
    upper: int
    p_as_few: float
    is_pooled: bool


def expected_anyway(
    counts: Any,
    exposure: Any,
    later_exposure: Any,
    observed: int,
    *,
    level: float = 0.90,
) -> ExpectedAnyway | None:
    """Events that the picked units would have had in the later time without a campaign.

    Parameters
    ----------
    counts, exposure : array-like, one a unit
        Of all units of the plant in the earlier time, picked or not: they tell how much units
        differ. Exposure > 0.
    later_exposure : array-like of float, one a unit
        Of the later time; 0 for a unit that was not picked.
    observed : int
        Events of the picked units in the later time.
    level : float
        Two-sided level of the limits.

    Returns
    -------
    ExpectedAnyway or None
        None with fewer than `FEWEST_UNITS` units, without an event, or when none was picked.

    Notes
    -----
    Each unit's rate after its record is gamma with shape ``a + n`` and rate ``b + t`` (see
    `rates.py`), so that its later number is negative binomial; the picked ones are summed. The
    fitted prior is taken as known. Without a prior the pooled rate serves, with gamma shape
    ``N + 1/2`` and rate ``T``.

    References
    ----------
    E. Hauer, "Observational Before-After Studies in Road Safety" (1997), chapter 11: the empirical
    Bayes before-after study.
    """
    n, t = np.asarray(counts, dtype=float), np.asarray(exposure, dtype=float)
    later = np.asarray(later_exposure, dtype=float)
    if not (n.shape == t.shape == later.shape):
        raise ValueError("counts, exposure and later_exposure must have one figure a unit")
    if not (np.isfinite(later).all() and (later >= 0).all()):
        raise ValueError("later_exposure must be finite and from 0")
    picked = later > 0
    if len(n) < FEWEST_UNITS or not n.sum() or not picked.any():
        return None
    prior = shrunk_rates(n, t, level=level).prior
    if prior is None:
        # One rate for all: what the picked ones do is one number of it.
        shape, rate, later = (
            np.array([n.sum() + 0.5]),
            t.sum(keepdims=True),
            later.sum(keepdims=True),
        )
    else:
        shape, rate, later = (prior.a + n)[picked], (prior.b + t)[picked], later[picked]
    sums = np.cumsum(_sum_of_negative_binomials(shape, later / (rate + later)))
    low, high = np.searchsorted(sums, [(1 - level) / 2, (1 + level) / 2])
    few = float(min(sums[min(observed, len(sums) - 1)], 1.0))
    expected = float((shape / rate * later).sum())
    return ExpectedAnyway(expected, int(low), int(high), few, prior is None)


def _sum_of_negative_binomials(shape: Floats, share: Floats) -> Floats:
    """Probabilities of 0, 1, 2, ... of a sum of independent negative binomial numbers.

    Each has the generating function ``((1 - q) / (1 - q z))^r``, r its shape and q its share; the
    product of them is turned back by a discrete Fourier transform.
    """
    mean = float((shape * share / (1 - share)).sum())
    spread = float(np.sqrt((shape * share / (1 - share) ** 2).sum()))
    size = 1 << int(np.ceil(np.log2(mean + _REACH * spread + 16)))
    circle = np.exp(-2j * np.pi * np.arange(size) / size)
    log_product = np.zeros(size, dtype=complex)
    for r, q in zip(shape, share, strict=True):
        log_product += r * (np.log1p(-q) - np.log(1 - q * circle))
    return np.clip(np.fft.ifft(np.exp(log_product)).real, 0.0, None)
