"""How far a fault moves the belt before somebody complains, and how large faults are.

A complaint is about a belt that is plainly off: a fault that moves it by less than the eye reads
is not complained about, one that moves it farther than the structure allows does not last. So the
size of a fault is uncertain by its effect where it is largest, evenly in its logarithm, and not by
its angle: a pulley and a single idler of the same skew move a belt by very different amounts.
"""

import numpy as np

from diagnostics.mechanics.nodes import Floats

# Largest effects averaged over, each with this spread as a share of it; engineering judgement,
# weighed on simulated belts. [mm]
PEAKS_MM = (22.0, 40.0, 65.0, 105.0, 165.0)
PEAK_SPREAD = 0.3
# From so many times its usual size on a fault is hardly ever met; engineering judgement.
LARGEST = 2.0


def log_plausible(times_usual: Floats) -> Floats:
    """Log weight of faults so many times as large as usual: 0 for a small one."""
    result: Floats = -0.5 * (times_usual / LARGEST) ** 4
    return result


def log_cosh(value: Floats) -> Floats:
    """Natural log of cosh, for large values too."""
    far = np.abs(value)
    result: Floats = far + np.log1p(np.exp(-2 * far)) - np.log(2.0)
    return result
