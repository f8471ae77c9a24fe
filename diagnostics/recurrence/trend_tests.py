"""Do events come thicker or thinner with time? Laplace's and the handbook's test; pure.

Null hypothesis: each unit has a constant rate of its own. Given how many events a unit had, their
times are then spread evenly over its span; pooled, units may differ in rate. Ended by failure, the
last event sets the span and is no evidence.
"""

from dataclasses import dataclass

import numpy as np
from scipy.special import chdtr, chdtrc, ndtr

from diagnostics.recurrence.histories import Counts, EndedBy, Floats, Histories


@dataclass(frozen=True, eq=False)
class Laplace:
    """Normal score, negative when events thin out, with its two-sided probability.

    Arrays with one entry a unit from `laplace_each`, nan without evidence.
    """

    u: Floats
    p: Floats


@dataclass(frozen=True, eq=False)
class MilitaryHandbook:
    """Chi-square statistic, large when events thin out.

    `p_lower` is P(X <= chi2), `p_two_sided` twice the smaller tail. Arrays as in `Laplace`.
    """

    chi2: Floats
    df: Counts
    p_lower: Floats
    p_two_sided: Floats


def laplace(histories: Histories, ended_by: EndedBy = EndedBy.TIME) -> Laplace:
    """Laplace's test over all units: are events late or early in their spans?

    The best test against a rate that grows or falls exponentially.

    Parameters
    ----------
    histories : Histories
    ended_by : EndedBy
        Of all units; by failure, each unit's end must be its last event.

    Returns
    -------
    Laplace
        nan without evidence.

    Raises
    ------
    ValueError
        Ended by failure, and a unit goes on beyond its last event.

    Notes
    -----
    ``u = sum (t - m_i) / sqrt(sum k_i L_i^2 / 12)`` with m_i the middle and L_i the length of the
    unit's span, k_i its events; by failure without the last event of each unit.

    References
    ----------
    NIST/SEMATECH e-Handbook of Statistical Methods, 8.2.3.4; several units: D. R. Cox and
    P. A. W. Lewis, "The Statistical Analysis of Series of Events" (1966), chapter 3.
    """
    late, variance = _lateness(histories, ended_by)
    return _laplace(late.sum(), variance.sum())


def laplace_each(histories: Histories, ended_by: EndedBy = EndedBy.TIME) -> Laplace:
    """`laplace` of every unit by itself."""
    return _laplace(*_lateness(histories, ended_by))


def military_handbook(histories: Histories, ended_by: EndedBy = EndedBy.TIME) -> MilitaryHandbook:
    """The military handbook's test over all units.

    The best test against a rate that grows or falls with a power of time.

    Parameters
    ----------
    histories : Histories
    ended_by : EndedBy
        As for `laplace`.

    Returns
    -------
    MilitaryHandbook
        nan and 0 degrees of freedom without evidence.

    Raises
    ------
    ValueError
        As for `laplace`.

    Notes
    -----
    ``chi2 = 2 sum ln(L_i / (t - entry_i))`` on 2 sum k_i degrees of freedom; ended by failure
    without the last event of each unit.

    References
    ----------
    MIL-HDBK-189 (1981); NIST/SEMATECH e-Handbook of Statistical Methods, 8.2.3.4.
    """
    earliness, evidence = earliness_of(histories, ended_by)
    return _military_handbook(earliness.sum(), evidence.sum())


def military_handbook_each(
    histories: Histories, ended_by: EndedBy = EndedBy.TIME
) -> MilitaryHandbook:
    """`military_handbook` of every unit by itself."""
    return _military_handbook(*earliness_of(histories, ended_by))


def earliness_of(histories: Histories, ended_by: EndedBy) -> tuple[Floats, Counts]:
    """Sum of ``ln(L / (t - entry))`` of each unit, and how many events are evidence."""
    check_ended(histories, ended_by)
    since = histories.time - histories.entry[histories.unit]
    # Logarithms apart: a quotient of extreme times would overflow. A last event adds 0.
    logs = np.log(histories.exposure)[histories.unit] - np.log(since)
    return histories.sums(logs), evidence_of(histories, ended_by)


def evidence_of(histories: Histories, ended_by: EndedBy) -> Counts:
    """Events of each unit that say something about its trend."""
    if ended_by is EndedBy.TIME:
        return histories.counts
    return np.maximum(histories.counts - 1, 0)


def check_ended(histories: Histories, ended_by: EndedBy) -> None:
    """Refuse units that were said to end with their last event and did not."""
    if ended_by is EndedBy.TIME:
        return
    last = np.zeros(histories.units)
    np.maximum.at(last, histories.unit, histories.time)
    if (last != histories.end).any():
        first = int(np.argmax(last != histories.end))
        raise ValueError(f"unit {first} ends at {histories.end[first]}, not with its last event")


def _lateness(histories: Histories, ended_by: EndedBy) -> tuple[Floats, Floats]:
    check_ended(histories, ended_by)
    counts = evidence_of(histories, ended_by)
    # The longest span is the unit of time: squares of times could leave the range of numbers.
    span = histories.exposure / histories.exposure.max(initial=0.0)
    since = (histories.time - histories.entry[histories.unit]) / histories.exposure[histories.unit]
    late = histories.sums((since - 0.5) * span[histories.unit])
    if ended_by is EndedBy.FAILURE:
        late = late - span / 2
    return late, counts * span**2 / 12


def _laplace(late: Floats, variance: Floats) -> Laplace:
    with np.errstate(invalid="ignore", divide="ignore"):
        u = np.where(variance > 0, late / np.sqrt(variance), np.nan)
    return Laplace(u, 2 * ndtr(-np.abs(u)))


def _military_handbook(earliness: Floats, evidence: Counts) -> MilitaryHandbook:
    chi2 = np.where(evidence > 0, 2 * earliness, np.nan)
    df = 2 * evidence
    lower, upper = chdtr(df, chi2), chdtrc(df, chi2)
    return MilitaryHandbook(chi2, df, lower, 2 * np.minimum(lower, upper))
