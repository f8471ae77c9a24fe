"""Many belts tested at once: which findings would not be chance; pure.

Of a hundred belts without any trend five have one "at 5 %". Adjusted probabilities are to be held
against the share of false findings that one accepts among the findings.
"""

from typing import Any

import numpy as np

from diagnostics.recurrence.histories import Floats


def adjusted_probabilities(probabilities: Any) -> Floats:
    """Benjamini-Hochberg adjusted probabilities of many tests.

    Calling all belts with an adjusted probability up to q remarkable, at most a share q of them is
    expected to be so by chance.

    Parameters
    ----------
    probabilities : array-like of float
        0 to 1; nan where nothing could be tested.

    Returns
    -------
    array of float
        In the same order, never below the given ones; nan stays nan and does not count.

    Raises
    ------
    ValueError
        A probability is out of range.

    Notes
    -----
    ``min over j >= i of m p_(j) / j``; holds for independent or positively dependent tests.

    References
    ----------
    Y. Benjamini and Y. Hochberg, "Controlling the false discovery rate", Journal of the Royal
    Statistical Society B 57 (1995), 289-300.
    """
    given = np.asarray(probabilities, dtype=float)
    known = np.isfinite(given)
    if ((given[known] < 0) | (given[known] > 1)).any():
        raise ValueError("probabilities must lie between 0 and 1")
    ordered = np.argsort(given[known], kind="stable")
    ranks = np.arange(1, len(ordered) + 1)
    raised = given[known][ordered] * len(ordered) / ranks
    own = np.empty(len(ordered))
    own[ordered] = np.minimum(np.minimum.accumulate(raised[::-1])[::-1], 1.0)
    adjusted = np.full_like(given, np.nan)
    adjusted[known] = own
    return adjusted
