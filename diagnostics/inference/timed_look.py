"""What a timed look says: does the wander come round with the belt, and with which part of it.

The door of `watching` for the engine; the whole of what a look says is in `watching.reading`.
"""

from diagnostics.inference.evidence import TimedLook
from diagnostics.inference.watching.travel import (
    ASKED_PASSES,
    LEAST_PASSES,
    POSITION_SPREAD_M,
    Travel,
)
from diagnostics.inference.watching.weighed import weigh_watch

__all__ = [
    "ASKED_PASSES",
    "LEAST_PASSES",
    "POSITION_SPREAD_M",
    "Travel",
    "read_timed_look",
    "strongest",
]


def read_timed_look(look: TimedLook, belt_length_m: float, speed_mps: float) -> Travel:
    """Fold one timed look at the belt's revolution time.

    Parameters
    ----------
    look : TimedLook
    belt_length_m, speed_mps : float
        Belt length, > 0 [m], and speed, not 0. [m/s]

    Returns
    -------
    Travel
    """
    return weigh_watch(look, belt_length_m, speed_mps).travel


def strongest(travels: tuple[Travel, ...]) -> Travel | None:
    """The look that says most; None when there is none."""
    return max(travels, key=lambda one: (abs(one.log_ratio), one.passes), default=None)
