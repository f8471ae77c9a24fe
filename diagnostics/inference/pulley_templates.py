"""How a pulley out of square, or thicker at one end, moves the belt before and behind it.

The belt meets a pulley at the heading that the pulley gives and leaves it at another; its
position passes through, its heading and bending do not.
"""

import math

import numpy as np

from diagnostics.inference.reach import Floats, LoopResponse
from plant.loop.parts import Part
from plant.loop.path import Loop
from plant.loop.vocabulary import ComponentKind

# Usual difference of diameter from end to end; engineering judgement, to be calibrated.
PULLEY_TAPER_MM = 3.0
# A belt that hangs between two pulleys follows a turned second one by this share of the way
# between them (2/3 for a stiff belt, 1 for a slack one), and keeps this share of a heading given
# by the first (the rest to 1 of the same limits).
FREE_SPAN_FOLLOWS = 0.8
FREE_SPAN_KEEPS = 0.2
# Pulleys that touch each other leave no span; keeps the division finite.
_SHORTEST_M = 0.01


def skew_m_rad(one: LoopResponse, seen: Floats, pulley: Part, turned_deg: float) -> Floats:
    """Offset per radian of a pulley turned so that the belt meets it heading right.

    `turned_deg`: direction, against that of the arriving belt, in which one bearing is displaced.
    """
    wrap = math.radians(pulley.wrap_deg or 0.0)
    turned = math.radians(turned_deg)
    heading_in, heading_out = math.cos(turned), math.cos(turned - wrap)
    sideways = pulley.arc_m * (math.sin(turned) - math.sin(turned - wrap)) / wrap
    entering, leaving = np.array([pulley.first_m]), np.array([leaves_m(one.loop, pulley)])
    free = one.free_way_before_m(pulley.first_m)
    way = one.ahead_m(seen, entering)
    run = one.run_before(pulley.first_m)
    before, gathered = run.before_heading(way), run.upstream_m
    if free is not None:
        gathered = FREE_SPAN_FOLLOWS * free
        before = gathered * np.clip(1 - way / max(free, _SHORTEST_M), 0.0, 1.0)
    settles = heading_out * _settles_m(one, pulley)
    # Close behind the pulley the heading it gave has not acted yet.
    passed = one.ahead_m(leaving, seen).T
    not_yet = settles * np.exp(-one.run_after(float(leaving[0])).settling_per_m * passed)
    after = one.downstream(seen, leaving) * (heading_in * gathered + sideways + settles) - not_yet
    result: Floats = np.where(one.is_before(seen, entering), heading_in * before, after)
    return result


def taper_m_mm(one: LoopResponse, seen: Floats, pulley: Part) -> Floats:
    """Offset per millimetre of diameter more on the right: the belt runs to the larger end.

    The moment bends the belt over the last metres before the pulley, by T b / 6 at the most,
    when its slack edge lifts.
    """
    duty = one.duty
    diameter_m = (pulley.diameter_mm or 0.0) / 1000
    run = one.run_before(pulley.first_m)
    slack = run.tension_n * duty.width_m / (6 * duty.bending_nm2)
    usual = PULLEY_TAPER_MM / 1000 / (diameter_m * duty.width_m)
    curvature = slack * math.tanh(usual / slack) / PULLEY_TAPER_MM
    entering, leaving = np.array([pulley.first_m]), np.array([leaves_m(one.loop, pulley)])
    before = run.before_bend(one.ahead_m(seen, entering))
    after = one.downstream(seen, leaving) * run.before_bend(np.array([0.0]))
    result: Floats = curvature * np.where(one.is_before(seen, entering), before, after)
    return result


def late_m(one: LoopResponse, seen: Floats, pulley: Part) -> Floats:
    """Offset per metre made at the pulley, as the trade's table has it: nothing before it.

    On a belt that is gripped harder than assumed, or looked at only from the pulley on, the way
    before the pulley is too short to be noticed.
    """
    entering, leaving = np.array([pulley.first_m]), np.array([leaves_m(one.loop, pulley)])
    after = one.downstream(seen, leaving)
    return np.where(one.is_before(seen, entering), 0.0, after)


def _settles_m(one: LoopResponse, pulley: Part) -> float:
    """Offset that a heading given by the pulley makes before the belt takes it back. [m/rad]"""
    leaving_m = leaves_m(one.loop, pulley)
    following = [other for other in one.loop.pulleys if other.first_m > leaving_m - 1e-3]
    if following:
        free = one.free_way_before_m(following[0].first_m)
        if free is not None:
            return FREE_SPAN_KEEPS * free
    return 1 / one.run_after(leaving_m).settling_per_m


def leaves_m(loop: Loop, pulley: Part) -> float:
    """Where the belt leaves a pulley; the tail's leaving tangent is the seam."""
    if pulley.kind is ComponentKind.TAIL_PULLEY:
        return 0.0
    return pulley.first_m + pulley.arc_m


def directions_deg(pulley: Part) -> tuple[float, ...]:
    """A half turn knows one direction that steers; a quarter turn two, along and across."""
    return (0.0,) if (pulley.wrap_deg or 0.0) > 135 else (0.0, pulley.wrap_deg or 90.0)
