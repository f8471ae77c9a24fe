"""Power-law process: a rate that grows or falls with a power of age (Crow-AMSAA); pure.

``a t^b`` events are expected of a unit up to age t. b < 1: events thin out; b > 1: they come
thicker. Several units are one process in identical systems and are fitted jointly, whether or not
they were watched over the same span. How well the fit lies is `goodness_of_fit`, what the limits
rest on `power_law_limits`.
"""

from dataclasses import dataclass

import numpy as np
from scipy.optimize import brentq

from diagnostics.recurrence import power_law_limits as limits
from diagnostics.recurrence.histories import EndedBy, Floats, Histories
from diagnostics.recurrence.trend_tests import earliness_of, evidence_of

# Shapes beyond these are no property of a machine.
_SMALLEST_SHAPE, _LARGEST_SHAPE = 1e-6, 1e6


@dataclass(frozen=True)
class PowerLaw:
    """The fit; nan for what too few events cannot tell.

    Attributes
    ----------
    events : int
    shape, scale : float
        b and a by maximum likelihood.
    shape_corrected, scale_corrected : float
        The same with the bias of b taken out.
    shape_lower, shape_upper : float
        Two-sided limits of b.
    mtbf_at_end : float
        Mean time between a unit's events at the largest end, from the corrected figures.
    mtbf_lower, mtbf_upper : float
        Its limits; the upper one is nan where a few events leave it open.
    """

    events: int
    shape: float = np.nan
    scale: float = np.nan
    shape_corrected: float = np.nan
    scale_corrected: float = np.nan
    shape_lower: float = np.nan
    shape_upper: float = np.nan
    mtbf_at_end: float = np.nan
    mtbf_lower: float = np.nan
    mtbf_upper: float = np.nan


@dataclass(frozen=True, eq=False)
class Shapes:
    """Shape of each unit by itself, one entry a unit; nan for what too few events cannot tell."""

    shape: Floats
    corrected: Floats
    lower: Floats
    upper: Floats


def fit_power_law(
    histories: Histories, *, level: float = 0.90, ended_by: EndedBy = EndedBy.TIME
) -> PowerLaw:
    """Fit one power law to all units jointly.

    Parameters
    ----------
    histories : Histories
    level : float
        Two-sided level of the limits, between 0 and 1.
    ended_by : EndedBy
        By failure: one unit from entry 0, its end the last event.

    Returns
    -------
    PowerLaw
        With n events: shape and scale need 1 (by failure 2), the corrected ones 2 (by failure 3).

    Raises
    ------
    ValueError
        Level out of range; ended by failure with several units or a late entry.

    Notes
    -----
    The shape solves ``n / b + sum ln t = n d/db ln sum (T_i^b - S_i^b)`` with T_i, S_i end and
    entry of the units; ``a = n / sum (T_i^b - S_i^b)``. Of one unit from entry 0:
    ``b = n / sum ln(T / t)``. Corrected: times (n - 1) / n, ended by failure (n - 2) / n.
    ``mtbf_at_end = T^(1 - b) / (a b)``.

    References
    ----------
    L. H. Crow, "Reliability analysis for complex, repairable systems", in "Reliability and
    Biometry" (SIAM 1974); MIL-HDBK-189 (1981), appendix C; NIST/SEMATECH e-Handbook, 8.4.5.2.
    """
    if not 0 < level < 1:
        raise ValueError(f"level must lie between 0 and 1, got {level}")
    _check_failure(histories, ended_by)
    shape = joint_shape(histories, ended_by)
    if not np.isfinite(shape):
        return PowerLaw(histories.events)
    spans = limits.Spans.of(histories)
    n, last = histories.events, float(histories.end.max())
    corrected = shape * _kept(n, ended_by)
    scale = _scale(n, spans, shape)
    lower, upper = _shape_limits(spans, n, shape, level, ended_by)
    from_mtbf, to_mtbf = (
        _mtbf_limits(spans, n, shape, level, ended_by)
        if np.isfinite(corrected)
        else (np.nan, np.nan)
    )
    return PowerLaw(
        n,
        shape,
        scale,
        corrected,
        _scale(n, spans, corrected),
        lower,
        upper,
        _mtbf(n, spans, corrected, last),
        from_mtbf,
        to_mtbf,
    )


def shape_each(
    histories: Histories, *, level: float = 0.90, ended_by: EndedBy = EndedBy.TIME
) -> Shapes:
    """Shape of every unit by itself, age counted from its entry, with exact limits."""
    earliness, _ = earliness_of(histories, ended_by)
    counts, evidence = histories.counts, evidence_of(histories, ended_by)
    with np.errstate(divide="ignore", invalid="ignore"):
        shape = np.where((evidence > 0) & (earliness > 0), counts / earliness, np.nan)
        kept = np.where(evidence > 1, (evidence - 1) / counts, np.nan)
    lower, upper = limits.exact_shape(shape, counts, evidence, level)
    return Shapes(shape, shape * kept, lower, upper)


def joint_shape(histories: Histories, ended_by: EndedBy = EndedBy.TIME) -> float:
    """The shape that makes the events of all units likeliest; nan when none does."""
    evidence = int(evidence_of(histories, ended_by).sum())
    if not evidence:
        return float("nan")
    spans = limits.Spans.of(histories)
    if spans.are_alike:
        earliness = float(earliness_of(histories, ended_by)[0].sum())
        return histories.events / earliness if earliness > 0 else float("nan")
    mean_log = float(np.mean(np.log(histories.time))) - spans.log_last

    def slope(log_shape: float) -> float:
        shape = float(np.exp(log_shape))
        return 1 / shape + mean_log - spans.log_shares_slope(shape)

    at_smallest, at_largest = np.log(_SMALLEST_SHAPE), np.log(_LARGEST_SHAPE)
    if slope(at_smallest) <= 0 or slope(at_largest) >= 0:
        return float("nan")
    return float(np.exp(brentq(slope, at_smallest, at_largest, xtol=1e-14, rtol=1e-14)))


def _check_failure(histories: Histories, ended_by: EndedBy) -> None:
    if ended_by is EndedBy.TIME:
        return
    if histories.units != 1 or histories.entry[0] != 0:
        raise ValueError("a power law ended by failure needs exactly one unit from entry 0")


def _kept(n: int, ended_by: EndedBy) -> float:
    """What the correction leaves of a shape; nan when the events are too few for one."""
    lost = 1 if ended_by is EndedBy.TIME else 2
    return (n - lost) / n if n > lost else float("nan")


def _scale(n: int, spans: limits.Spans, shape: float) -> float:
    with np.errstate(over="ignore", under="ignore"):
        return float(np.exp(np.log(n) - spans.log_sum(shape)))


def _mtbf(n: int, spans: limits.Spans, shape: float, last: float) -> float:
    with np.errstate(over="ignore", under="ignore"):
        log_rate = np.log(n) - spans.log_sum(shape) + np.log(shape) + (shape - 1) * np.log(last)
        return float(np.exp(-log_rate))


def _shape_limits(
    spans: limits.Spans, n: int, shape: float, level: float, ended_by: EndedBy
) -> tuple[float, float]:
    if spans.are_alike:
        evidence = n if ended_by is EndedBy.TIME else n - 1
        lower, upper = limits.exact_shape(shape, n, evidence, level)
        return float(lower), float(upper)
    return limits.adjusted_shape(spans, n, shape, level)


def _mtbf_limits(
    spans: limits.Spans, n: int, shape: float, level: float, ended_by: EndedBy
) -> tuple[float, float]:
    plain = _mtbf(n, spans, shape, float(spans.end.max()))
    if ended_by is EndedBy.FAILURE:
        return limits.exact_mtbf(plain, n, level)
    return limits.approximate_mtbf(plain, spans.events_worth(n, shape), level)
