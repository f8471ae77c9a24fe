"""How fast a part wears, and when it meets its limit, from readings of its condition.

A straight line in time since the last replacement. Readings that lie off the line of the others are
set aside, named, and not used (`straight_line.outlying` says by which rule); what remains is fitted
by least squares, and the time of meeting the limit has Fieller's limits. Wear that speeds up or
slows down is said, not fitted. Time is running hours or days, whichever the readings come with.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum

import numpy as np

from workorders.planning import readings as of_readings
from workorders.planning import straight_line
from workorders.planning.quantiles import check_level, student_quantile
from workorders.planning.readings import Limit, Reading
from workorders.planning.straight_line import Line

# What is known of an instrument's error counts as so many degrees of freedom: engineering
# judgement, to be calibrated.
_ERROR_COUNTS_AS = 10.0
# Rounding to a step is an error of standard deviation step / sqrt(12).
_ROUNDING = math.sqrt(12)
# A bend is said where chance makes as much of one in a hundred.
_BEND_LEVEL = 0.99
_FEWEST_FOR_BEND = 6
# Further ahead than so many times the stretch of time that was read is a long reach.
_LONG_REACH = 3.0


class WearState(StrEnum):
    TOO_FEW = "too_few"
    PAST_LIMIT = "past_limit"
    NOT_WEARING = "not_wearing"
    WEARING = "wearing"


class WearRemark(StrEnum):
    """What to mind about the figures.

    `LAST_SET_ASIDE`: the latest reading is far off the line; it may be a slip or sudden damage,
    and should be taken again. `RENEWAL_SUSPECTED`: readings jumped back towards new, and no
    replacement is recorded there.
    """

    SINCE_RENEWAL = "since_renewal"
    SET_ASIDE = "set_aside"
    LAST_SET_ASIDE = "last_set_aside"
    RENEWAL_SUSPECTED = "renewal_suspected"
    NO_INTERVAL = "no_interval"
    SPEEDING_UP = "speeding_up"
    SLOWING_DOWN = "slowing_down"
    LONG_REACH = "long_reach"


@dataclass(frozen=True)
class Wear:
    """Rate and the time the limit is met, as far as the readings tell.

    Attributes
    ----------
    state : WearState
    used, set_aside : tuple of Reading
        Readings since the last replacement, by time.
    margin : float or None
        What is left until the limit now, by the line; by the only reading if there is one. [value]
    rate, rate_lower, rate_upper : float or None
        Towards the limit, positive when wearing. [value per unit of time]
    met_at : float or None
        When the line meets the limit; None unless wearing. [time]
    met_lower : float or None
        Earliest the limit may be met, not before now; None where it is not in sight.
    met_upper : float or None
        Latest; None where no wear at all is possible too, or nothing is known of the error.
    remarks : tuple of WearRemark
    """

    state: WearState
    used: tuple[Reading, ...] = ()
    set_aside: tuple[Reading, ...] = ()
    margin: float | None = None
    rate: float | None = None
    rate_lower: float | None = None
    rate_upper: float | None = None
    met_at: float | None = None
    met_lower: float | None = None
    met_upper: float | None = None
    remarks: tuple[WearRemark, ...] = field(default=())


def wear_of(
    readings: Iterable[Reading],
    limit: Limit,
    *,
    now: float,
    renewed_at: Iterable[float] = (),
    reading_error: float | None = None,
    level: float = 0.90,
) -> Wear:
    """Wear rate and remaining life of one part at one spot.

    Parameters
    ----------
    readings : iterable of Reading
        In any order, finite, none after `now`; several at one time are allowed.
    limit : Limit
    now : float
        From when on life remains. [time]
    renewed_at : iterable of float
        When the part was replaced; readings before the last of them up to now do not count, one
        at that very time is of the new part.
    reading_error : float, optional
        Standard deviation of one reading, if known, > 0. Two readings then have an interval.
    level : float
        Two-sided confidence level, between 0 and 1.

    Returns
    -------
    Wear

    Raises
    ------
    ValueError
        If a number is not finite, a reading is after `now`, or the error is not above 0.
    """
    check_level(level)
    kept = of_readings.latest_by_time(readings, now)
    if reading_error is not None and not 0 < reading_error < math.inf:
        raise ValueError(f"reading_error must be finite and > 0, got {reading_error!r}")
    renewed = max((at for at in renewed_at if at <= now), default=-math.inf)
    since = tuple(one for one in kept if one.at >= renewed)
    remarks = [WearRemark.SINCE_RENEWAL] if len(since) < len(kept) else []
    if not of_readings.are_spread(since, now):
        return _too_few(since, limit, remarks)

    times, margins = of_readings.times_and_margins(since, limit)
    tolerance = max(of_readings.step_between(margins), 3 * (reading_error or 0.0))
    off = straight_line.outlying(times, margins, tolerance)
    used = tuple(one for one, is_off in zip(since, off, strict=True) if not is_off)
    aside = tuple(one for one, is_off in zip(since, off, strict=True) if is_off)
    if not of_readings.are_spread(used, now):
        used, aside = since, ()
    line = _line(used, limit, reading_error)
    remarks += _remarks(used, aside, limit, line)
    if straight_line.jumps_back(times, margins):
        remarks.append(WearRemark.RENEWAL_SUSPECTED)
    is_past = line.at(now) <= 0 or margins[times == times[-1]].min() <= 0
    return _answer(used, aside, line, remarks, now=now, level=level, is_past=is_past)


def _too_few(since: tuple[Reading, ...], limit: Limit, remarks: list[WearRemark]) -> Wear:
    if not since:
        return Wear(WearState.TOO_FEW, remarks=tuple(remarks))
    margin = float(np.mean(of_readings.times_and_margins(since, limit)[1]))
    state = WearState.PAST_LIMIT if margin <= 0 else WearState.TOO_FEW
    return Wear(state, used=since, margin=margin, remarks=tuple(remarks))


def _answer(
    used: tuple[Reading, ...],
    aside: tuple[Reading, ...],
    line: Line,
    remarks: list[WearRemark],
    *,
    now: float,
    level: float,
    is_past: bool,
) -> Wear:
    rate = -line.slope
    has_interval = line.degrees_of_freedom > 0
    reach = student_quantile(level, line.degrees_of_freedom) if has_interval else 0.0
    if not has_interval:
        remarks.append(WearRemark.NO_INTERVAL)
    met_at, met_lower, met_upper = None, None, None
    state = WearState.PAST_LIMIT
    if not is_past:
        state = WearState.WEARING if rate > 0 else WearState.NOT_WEARING
        met_at = line.middle + line.level / rate if rate > 0 else None
        met_lower, met_upper = _met_limits(line, reach, now) if has_interval else (None, None)
    if met_at is not None and met_at - now > _LONG_REACH * (used[-1].at - used[0].at):
        remarks.append(WearRemark.LONG_REACH)
    error = reach * line.slope_error
    return Wear(
        state,
        used,
        aside,
        line.at(now),
        rate,
        rate - error if has_interval else None,
        rate + error if has_interval else None,
        met_at,
        met_lower,
        met_upper,
        tuple(remarks),
    )


def _met_limits(line: Line, reach: float, now: float) -> tuple[float | None, float | None]:
    """Earliest and latest time of meeting the limit, for a line still above it now."""
    error = reach * line.slope_error
    if line.slope - error >= 0:
        return None, None
    zeros = line.zeros(reach)
    is_near = zeros is None or line.at(now) <= reach * line.error_at(now)
    if zeros is None or line.slope + error >= 0:
        # No wear at all is possible too: of the two zeros only the later lies ahead.
        return now if zeros is None or is_near else max(now, zeros[1]), None
    return now if is_near else max(now, zeros[0]), zeros[1]


def _line(used: Sequence[Reading], limit: Limit, reading_error: float | None) -> Line:
    times, margins = of_readings.times_and_margins(used, limit)
    known = _ERROR_COUNTS_AS if reading_error is not None else 0.0
    line = straight_line.least_squares(times, margins, reading_error or 0.0, known)
    # Readings rounded onto one line do not make it certain.
    least = of_readings.finest_step(used) / _ROUNDING if line.degrees_of_freedom else 0.0
    return replace(line, sd=max(line.sd, least))


def _remarks(
    used: tuple[Reading, ...], aside: tuple[Reading, ...], limit: Limit, line: Line
) -> list[WearRemark]:
    remarks = []
    if aside:
        is_last = aside[-1].at >= used[-1].at
        remarks.append(WearRemark.LAST_SET_ASIDE if is_last else WearRemark.SET_ASIDE)
    times, margins = of_readings.times_and_margins(used, limit)
    if len(np.unique(times)) >= _FEWEST_FOR_BEND:
        depth, error = straight_line.bend(times, margins, line)
        by_chance = student_quantile(_BEND_LEVEL, len(times) - 3) * error
        if abs(depth) > max(by_chance, of_readings.finest_step(used)):
            # What is left bends down: each hour takes more than the one before.
            remarks.append(WearRemark.SPEEDING_UP if depth < 0 else WearRemark.SLOWING_DOWN)
    return remarks
