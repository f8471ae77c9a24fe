"""Does a power law fit at all? Cramer and von Mises' distance with its critical value; pure.

Each event's age as a share of its unit's span, raised to the shape, would be spread evenly from 0
to 1. The shape is here the unbiased one of the ages given the counts of each unit: only then does
the critical value not depend on how the units were watched.
"""

from dataclasses import dataclass

import numpy as np

from diagnostics.recurrence.histories import EndedBy, Floats, Histories
from diagnostics.recurrence.trend_tests import earliness_of

# Critical values by number of events (rows) and significance (columns): own simulation of 400 000
# to 4 000 000 samples a row, standard error below 0.0005 (0.002 in the last column). Within 0.0015
# of MIL-HDBK-189 (1981), table of appendix C, where both have a value.
_SIGNIFICANCE = (0.5, 0.3, 0.2, 0.15, 0.1, 0.05, 0.025, 0.01, 0.005, 0.001)
_CRITICAL = {
    2: (0.1017, 0.1179, 0.1373, 0.1487, 0.1612, 0.1747, 0.1819, 0.1864, 0.1879, 0.1891),
    3: (0.0813, 0.1011, 0.1203, 0.1345, 0.1537, 0.1825, 0.2060, 0.2301, 0.2456, 0.2775),
    4: (0.0746, 0.1005, 0.1205, 0.1342, 0.1542, 0.1907, 0.2290, 0.2795, 0.3209, 0.4110),
    5: (0.0733, 0.0995, 0.1209, 0.1367, 0.1594, 0.1992, 0.2406, 0.2962, 0.3417, 0.4663),
    7: (0.0723, 0.1006, 0.1235, 0.1401, 0.1642, 0.2071, 0.2521, 0.3146, 0.3646, 0.4950),
    10: (0.0724, 0.1016, 0.1254, 0.1426, 0.1676, 0.2119, 0.2588, 0.3235, 0.3752, 0.5025),
    20: (0.0730, 0.1030, 0.1275, 0.1454, 0.1713, 0.2172, 0.2653, 0.3316, 0.3829, 0.5086),
    50: (0.0734, 0.1039, 0.1289, 0.1470, 0.1729, 0.2197, 0.2686, 0.3356, 0.3865, 0.5101),
    200: (0.0738, 0.1046, 0.1296, 0.1480, 0.1743, 0.2217, 0.2702, 0.3362, 0.3895, 0.5139),
}


@dataclass(frozen=True)
class GoodnessOfFit:
    """The fit is doubtful when `distance` is above `critical`; nan where it cannot be said."""

    distance: float
    critical: float
    events: int


def cramer_von_mises(
    histories: Histories, *, significance: float = 0.10, ended_by: EndedBy = EndedBy.TIME
) -> GoodnessOfFit:
    """Distance of the ages from those a power law would give.

    Parameters
    ----------
    histories : Histories
        Ages count from each unit's entry.
    significance : float
        Chance of a distance above the critical one if a power law holds.
    ended_by : EndedBy
        By failure: the last event of each unit is no evidence.

    Returns
    -------
    GoodnessOfFit
        nan with fewer than 2 events that are evidence, critical also for a significance outside
        0.001 to 0.5.

    Notes
    -----
    ``1 / (12 m) + sum (x_j^b - (2 j - 1) / (2 m))^2`` over the m ages x as shares, ascending, with
    ``b = (m - 1) / sum ln(1 / x)``.

    References
    ----------
    MIL-HDBK-189 (1981), appendix C.
    """
    earliness, evidence = earliness_of(histories, ended_by)
    count, total = int(evidence.sum()), float(earliness.sum())
    if count < 2 or total <= 0:
        return GoodnessOfFit(float("nan"), float("nan"), count)
    shares = np.sort(_log_shares(histories, ended_by))
    expected = (2 * np.arange(1, count + 1) - 1) / (2 * count)
    powers = np.exp(shares * (count - 1) / total)
    distance = 1 / (12 * count) + float(((powers - expected) ** 2).sum())
    return GoodnessOfFit(distance, critical_distance(count, significance), count)


def critical_distance(events: int, significance: float) -> float:
    """The distance that so many events exceed with that chance under a power law.

    Between tabulated figures linear in 1 / events and in the logarithm of the significance; nan
    outside 0.001 to 0.5 and below 2 events.
    """
    if events < 2 or not _SIGNIFICANCE[-1] <= significance <= _SIGNIFICANCE[0]:
        return float("nan")
    logs = -np.log(_SIGNIFICANCE)
    by_events = [np.interp(-np.log(significance), logs, row) for row in _CRITICAL.values()]
    # Ascending in 1 / events for the interpolation; beyond the last row its value stands.
    inverse = [1 / tabulated for tabulated in _CRITICAL]
    return float(np.interp(1 / events, inverse[::-1], by_events[::-1]))


def _log_shares(histories: Histories, ended_by: EndedBy) -> Floats:
    since = histories.time - histories.entry[histories.unit]
    logs = np.log(since) - np.log(histories.exposure)[histories.unit]
    if ended_by is EndedBy.TIME:
        return logs
    # In order of time each unit's last event is the last of its rows.
    _, from_last = np.unique(histories.unit[::-1], return_index=True)
    return np.delete(logs, len(logs) - 1 - from_last)
