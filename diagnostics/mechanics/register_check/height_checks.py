"""Checks of the heights along the carrying run, where they are known."""

import math
from collections.abc import Iterator

from diagnostics.mechanics.register_check import limits
from diagnostics.mechanics.register_check.figures import Figures
from diagnostics.mechanics.register_check.findings import Check, Finding, Unit, about, at_most


def heights(figures: Figures) -> Iterator[Finding]:
    """Rise and length against the conveyor's own figures, and the steepest stretch.

    Without heights there is nothing to ask: most conveyors are known by their lift alone.
    """
    profile = figures.profile
    if profile is None:
        return
    lift_m = figures.lift_m
    yield about(
        Check.HEIGHTS_RISE, profile.rise_m, lift_m, Unit.METRE, within=_within_m(abs(lift_m))
    )
    if figures.loop is not None:
        head_m = figures.loop.head_m
        yield about(Check.HEIGHTS_END, profile.end_m, head_m, Unit.METRE, within=_within_m(head_m))
    steepest_deg = math.degrees(profile.steepest_rad)
    yield at_most(Check.SLOPE, steepest_deg, limits.MOST_SLOPE_DEG, Unit.DEGREE)


def _within_m(figure_m: float) -> float:
    return max(limits.HEIGHTS_WITHIN_M, limits.HEIGHTS_WITHIN_SHARE * figure_m)
