"""Where a place of the belt is on the loop at one instant.

Belt positions count along the belt in the direction of travel, loop positions along the path in the
same direction. The belt is a little longer than its path where the take-up holds some of it; that
is spread evenly.
"""

from dataclasses import dataclass


@dataclass(frozen=True)
class Instant:
    """A place of the belt and the loop position where it is, so many seconds later."""

    belt_position_m: float
    loop_position_m: float
    later_s: float = 0.0


def loop_position_m(
    belt_position_m: float,
    instant: Instant,
    *,
    belt_length_m: float,
    loop_length_m: float,
    speed_mps: float,
) -> float:
    """Loop position of a place of the belt.

    Parameters
    ----------
    belt_position_m : float
        From the reference splice in the direction of travel. [m]
    instant : Instant
    belt_length_m, loop_length_m : float
        Once round, > 0. [m]
    speed_mps : float
        Belt speed, negative when a reversing belt runs backwards. [m/s]

    Returns
    -------
    float
        From 0 up to, not including, the length of the loop. [m]

    Notes
    -----
    s = s0 + (b - b0 + v t) S / L, once round: identity.
    """
    ahead_m = belt_position_m - instant.belt_position_m + speed_mps * instant.later_s
    return (instant.loop_position_m + ahead_m * loop_length_m / belt_length_m) % loop_length_m
