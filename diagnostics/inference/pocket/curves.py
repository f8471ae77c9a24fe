"""Long rows of numbers as a few of them with straight lines between.

Idlers stand in even spacings and tension rises evenly, so that some dozen knots tell thousands.
"""

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from diagnostics.mechanics.nodes import Floats

Numbers = NDArray[np.int_]


def knots(x: Floats, y: Floats, within: float) -> Numbers:
    """Numbers of the values to keep so that lines between them err by no more than allowed.

    Parameters
    ----------
    x : array, shape (n,)
        Where the values stand, rising.
    y : array, shape (n,)
    within : float
        Error allowed, > 0, in the unit of the values.

    Notes
    -----
    The value farthest off the line between two kept ones is kept too, until none is too far off.
    """
    if len(x) <= 2:
        return np.arange(len(x))
    kept = [0, len(x) - 1]
    waiting = list(pairwise(kept))
    while waiting:
        start, end = waiting.pop()
        if end - start < 2:
            continue
        inside = slice(start + 1, end)
        slope = (y[end] - y[start]) / (x[end] - x[start])
        off = np.abs(y[inside] - y[start] - slope * (x[inside] - x[start]))
        worst = int(off.argmax())
        if off[worst] > within:
            middle = start + 1 + worst
            kept.append(middle)
            waiting += [(start, middle), (middle, end)]
    return np.array(sorted(kept))
