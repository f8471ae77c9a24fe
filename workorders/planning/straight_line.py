"""Straight lines through readings: one that outliers hardly move, one with its uncertainty."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from workorders.planning.lives import Numbers

# Median of absolute normal deviates times this is their standard deviation.
_NORMAL_MAD = 1.4826
# In robust scales. At the 2.5 often used one of eight sets of sound readings would lose one, and
# limits at 90 % would hold for 85 % only (simulated); at 4 they hold for 88 to 91 %.
_OUTLYING = 4.0
# Fewer readings cannot tell which of them is the odd one.
_FEWEST_TO_JUDGE = 5
# Half of the readings being outliers would move the median of slopes; above this share (its
# breakdown point, 1 - 1/sqrt(2)) none is called one.
_MOST_OUTLYING = 0.29
_FEWEST_BEFORE_A_JUMP = 3
_STANDS_OUT = 3.0
_NEXT_TO_EACH_OTHER = 1e-9


@dataclass(frozen=True)
class Line:
    """A least-squares line through its middle.

    Attributes
    ----------
    middle, level : float
        Mean time, and mean value, which the line has there.
    slope : float
        Value per unit of time.
    sum_of_squares : float
        Of the times about their mean, > 0.
    count : int
        Readings.
    sd : float
        Standard deviation of a single reading about the line.
    degrees_of_freedom : float
        Of `sd`; 0 where two readings leave it unknown.
    """

    middle: float
    level: float
    slope: float
    sum_of_squares: float
    count: int
    sd: float
    degrees_of_freedom: float

    @property
    def slope_error(self) -> float:
        return self.sd / math.sqrt(self.sum_of_squares)

    def at(self, time: float) -> float:
        return self.level + self.slope * (time - self.middle)

    def error_at(self, time: float) -> float:
        """Standard error of the line itself, not of a reading."""
        apart = (time - self.middle) ** 2 / self.sum_of_squares
        return self.sd * math.sqrt(1 / self.count + apart)

    def zeros(self, reach: float) -> tuple[float, float] | None:
        """The two times at which 0 is just `reach` standard errors off the line, rising.

        None where 0 is nearer than that at all times, or the two cannot be told in floats.

        Notes
        -----
        (level + slope s)^2 = reach^2 sd^2 (1/n + s^2/S), s from the middle. With a slope that
        differs from 0 by more than `reach` errors the true zero lies between the two
        (E. C. Fieller, J. Roy. Statist. Soc. B 16 (1954) 175-185), else outside of them.
        """
        curve = self.slope**2 - (reach * self.slope_error) ** 2
        half = -self.level * self.slope
        rest = self.level**2 - (reach * self.sd) ** 2 / self.count
        discriminant = half**2 - curve * rest
        if curve == 0 or discriminant < 0:
            return None
        # The sum without cancellation; the other root from the product of both.
        sum_of_both = half + math.copysign(math.sqrt(discriminant), half)
        roots = (sum_of_both / curve, rest / sum_of_both if sum_of_both else 0.0)
        return self.middle + min(roots), self.middle + max(roots)


def least_squares(times: Numbers, values: Numbers, prior_sd: float, prior_count: float) -> Line:
    """The least-squares line.

    Parameters
    ----------
    times, values : array, shape (n,)
        At least two different times.
    prior_sd : float
        What is known beforehand of the error of one reading, >= 0. [unit of value]
    prior_count : float
        How many degrees of freedom that knowledge counts as, >= 0.

    Notes
    -----
    Identity. The variance is pooled: (prior_count prior_sd^2 + residual sum of squares) /
    (prior_count + n - 2), the posterior scale under an inverse chi-square prior.
    """
    middle, level = float(times.mean()), float(values.mean())
    apart = times - middle
    sum_of_squares = float(apart @ apart)
    slope = float(apart @ (values - level)) / sum_of_squares
    residuals = values - level - slope * apart
    freedom = prior_count + len(times) - 2
    squares = prior_count * prior_sd**2 + float(residuals @ residuals)
    sd = math.sqrt(squares / freedom) if freedom else 0.0
    return Line(middle, level, slope, sum_of_squares, len(times), sd, freedom)


def median_slope(times: Numbers, values: Numbers) -> float:
    """Median of the slopes between all pairs at different times.

    Outliers among less than 29 % of the readings hardly move it.

    References
    ----------
    P. K. Sen, J. Amer. Statist. Assoc. 63 (1968) 1379-1389 (Theil-Sen).
    """
    first, second = np.triu_indices(len(times), 1)
    apart = times[second] - times[first]
    # Times next to each other give slopes of any size.
    differs = np.abs(apart) > _NEXT_TO_EACH_OTHER * np.ptp(times)
    return float(np.median((values[second] - values[first])[differs] / apart[differs]))


@dataclass(frozen=True)
class RobustLine:
    """The line of median slope and median level; `scale` is the robust spread about it."""

    slope: float
    at_zero: float
    scale: float

    def at(self, times: Numbers) -> Numbers:
        return self.at_zero + self.slope * times


def robust_line(times: Numbers, values: Numbers) -> RobustLine:
    """A line that outliers among less than 29 % of at least three readings hardly move.

    Notes
    -----
    Scale 1.4826 (1 + 5/(n - 2)) median |residual|.

    References
    ----------
    P. J. Rousseeuw, A. M. Leroy, Robust Regression and Outlier Detection, Wiley 1987, chapter 5
    (the scale with its correction for few readings).
    """
    slope = median_slope(times, values)
    rest = values - slope * times
    at_zero = float(np.median(rest))
    middling = float(np.median(np.abs(rest - at_zero)))
    return RobustLine(slope, at_zero, _NORMAL_MAD * (1 + 5 / (len(times) - 2)) * middling)


def outlying(times: Numbers, values: Numbers, tolerance: float) -> NDArray[np.bool_]:
    """Which readings lie off the line of the others; none of fewer than five.

    Parameters
    ----------
    times, values : array, shape (n,)
    tolerance : float
        Nothing nearer to the line than this is called off it, >= 0. [unit of value]

    Returns
    -------
    array of bool, shape (n,)
        None is called so where more than 29 % would be.

    Notes
    -----
    Off the robust line lies what is further from it than 4 of its scales.
    """
    nothing = np.zeros(len(times), bool)
    if len(times) < _FEWEST_TO_JUDGE:
        return nothing
    line = robust_line(times, values)
    off = np.abs(values - line.at(times)) > max(_OUTLYING * line.scale, tolerance)
    return nothing if off.mean() > _MOST_OUTLYING else off


def jumps_back(times: Numbers, falling: Numbers) -> bool:
    """Whether falling values once jump up by more than half of what had fallen, and stay up.

    Held against the line of all values before, at least three, drawn on: values that come back to
    it were odd ones. Both the fall and the jump must stand out of the spread about that line.
    """
    for first in range(_FEWEST_BEFORE_A_JUMP, len(times)):
        if falling[first] <= falling[first - 1] or _is_one_time(times[:first], times):
            continue
        line = robust_line(times[:first], falling[:first])
        fallen = -line.slope * float(times[first - 1] - times[0])
        above = float((falling[first:] - line.at(times[first:])).min())
        # Not the robust scale: of three readings the median may lie on the line by chance.
        residuals = falling[:first] - line.at(times[:first])
        spread = math.sqrt(float(residuals @ residuals) / (first - 2))
        if fallen > _STANDS_OUT * spread and above > fallen / 2 + spread:
            return True
    return False


def _is_one_time(some: Numbers, times: Numbers) -> bool:
    return bool(np.ptp(some) <= _NEXT_TO_EACH_OTHER * np.ptp(times))


def bend(times: Numbers, values: Numbers, line: Line) -> tuple[float, float]:
    """How deep the best parabola bends away from the line, and the standard error of that.

    Positive where its ends lie above the line. At least four different times; the error is 0 for
    readings that lie on a parabola.
    """
    apart = (times - line.middle) / math.sqrt(line.sum_of_squares)
    curve = apart**2
    curve = curve - curve.mean() - float(apart @ curve) * apart
    curve /= np.abs(curve).max()
    residuals = values - line.level - line.slope * (times - line.middle)
    weight = float(curve @ curve)
    depth = float(curve @ residuals) / weight
    left = residuals - depth * curve
    return depth, math.sqrt(float(left @ left) / (len(times) - 3) / weight)
