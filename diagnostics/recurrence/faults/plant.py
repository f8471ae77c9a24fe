"""What concerns all belts of a plant together, and how it is written down and read back."""

import math
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field, fields
from typing import Any

import numpy as np

from diagnostics.recurrence.faults.notes import About, Note
from diagnostics.recurrence.mean_cumulative import MeanCumulative

# Raised when what is written down changes its shape: older ones are then reckoned anew.
FORMAT_VERSION = 1
# Steps of the mean cumulative function that a chart can show.
MOST_STEPS = 400


class UnreadableFaults(ValueError):
    """What was written down is of another format, or not of any."""


@dataclass(frozen=True)
class Course:
    """The mean cumulative function, thinned to `MOST_STEPS` of its `steps`.

    Cases that a belt has had on average by `time` (exposure since the watch began), with
    two-sided robust limits; None where the data cannot say.
    """

    time: tuple[float, ...] = ()
    mcf: tuple[float, ...] = ()
    lower: tuple[float | None, ...] = ()
    upper: tuple[float | None, ...] = ()
    at_risk: tuple[float, ...] = ()
    steps: int = 0


@dataclass(frozen=True)
class PlantTrend:
    """Whether the plant as a whole gets worse; None without evidence.

    `sign` 1 worse, -1 better, 0 no trend beyond chance by the military handbook's test; `shape` is
    the corrected power-law shape of all belts with its limits, `fit_distance` above
    `fit_critical` says that no power law fits.
    """

    sign: int = 0
    laplace_u: float | None = None
    laplace_p: float | None = None
    handbook_chi2: float | None = None
    handbook_df: int = 0
    handbook_p: float | None = None
    shape: float | None = None
    shape_lower: float | None = None
    shape_upper: float | None = None
    scale: float | None = None
    fit_distance: float | None = None
    fit_critical: float | None = None


@dataclass(frozen=True)
class PlantRates:
    """Rates in events in `rate_per` of exposure; None where there is none.

    `pooled` with exact Poisson limits is that of all belts as one; `usual` the median belt's,
    `threshold` the factor times it; `prior_a`, `prior_b` the gamma distribution of the belts' rates
    (`prior_b` in units of exposure), None where the belts differ no more than by chance.
    """

    rate_per: float = 1.0
    pooled: float | None = None
    lower: float | None = None
    upper: float | None = None
    usual: float | None = None
    threshold: float | None = None
    prior_a: float | None = None
    prior_b: float | None = None


@dataclass(frozen=True)
class PlantFaults:
    """All figures of a plant in one period.

    Attributes
    ----------
    level, factor, false_share : float
        Of the intervals; how much worse is worse; how many trends of belts may be false.
    belts, watched : int
        Belts, and how many of them have any exposure.
    since : str
        Day (ISO) from which the first of them was watched: time 0 of the calendar.
    events, counted, repeats : int
        Cases of the period; those of known exposure, which rates and tests use; those come back.
    lost_hours, lost_hours_unsaid : float, int
    exposure : float
        Of all belts together.
    stretches : tuple of str
        First days (ISO) of the months, quarters or years of the period.
    course : tuple of int
        Cases in each of them.
    families, zones : tuple of (word, cases)
        Most cases first; "" is not known.
    """

    level: float
    factor: float
    false_share: float
    belts: int
    watched: int
    since: str
    events: int
    counted: int
    repeats: int
    lost_hours: float
    lost_hours_unsaid: int
    exposure: float
    stretches: tuple[str, ...]
    course: tuple[int, ...]
    families: tuple[tuple[str, int], ...]
    zones: tuple[tuple[str, int], ...]
    mean: Course = field(default_factory=Course)
    trend: PlantTrend = field(default_factory=PlantTrend)
    rates: PlantRates = field(default_factory=PlantRates)
    notes: tuple[Note, ...] = ()

    def as_json(self) -> dict[str, Any]:
        """As PostgreSQL and every browser take it: lists, no figure that is not a number."""
        found = {one.name: getattr(self, one.name) for one in fields(self)}
        for name in _PARTS:
            found[name] = asdict(found[name])
        found["notes"] = [one.as_json() for one in self.notes]
        return {"format": FORMAT_VERSION, **_plain(found)}

    @classmethod
    def of_json(cls, written: Mapping[str, Any]) -> "PlantFaults":
        """What `as_json` wrote; raises UnreadableFaults for anything else."""
        if written.get("format") != FORMAT_VERSION:
            raise UnreadableFaults(f"format is {written.get('format')!r}, not {FORMAT_VERSION}")
        try:
            found = {name: value for name, value in written.items() if name != "format"}
            for name, part in _PARTS.items():
                found[name] = part(**{one: _tuples(of) for one, of in found[name].items()})
            found["notes"] = tuple(Note(About(code), count) for code, count in found["notes"])
            for name in ("stretches", "course", "families", "zones"):
                found[name] = _tuples(found[name])
            return cls(**found)
        except (KeyError, TypeError, ValueError, AttributeError) as error:
            raise UnreadableFaults(str(error)) from error


_PARTS: dict[str, Any] = {"mean": Course, "trend": PlantTrend, "rates": PlantRates}


def thinned(found: MeanCumulative) -> Course:
    """At most `MOST_STEPS` steps, about as far apart in height, the first and last among them.

    Belts that are alike to the last event have no spread, which is no limit of width nothing.
    """
    size = len(found.time)
    if not size:
        return Course()
    kept = np.arange(size)
    if size > MOST_STEPS:
        heights = np.linspace(found.mcf[0], found.mcf[-1], MOST_STEPS)
        # Rounding in the last place must not lead beyond the end.
        kept = np.unique(np.minimum(np.searchsorted(found.mcf, heights), size - 1))
    spread = found.se > 0
    lower, upper = (np.where(spread, one, np.nan) for one in (found.lower, found.upper))
    return Course(
        time=tuple(found.time[kept].tolist()),
        mcf=tuple(found.mcf[kept].tolist()),
        lower=tuple(map(figure, lower[kept])),
        upper=tuple(map(figure, upper[kept])),
        at_risk=tuple(found.at_risk[kept].tolist()),
        steps=size,
    )


def figure(value: Any) -> float | None:
    """A figure that can be written as a number, or None."""
    plain = float(value)
    return plain if math.isfinite(plain) else None


def _plain(value: Any) -> Any:
    if isinstance(value, dict):
        return {name: _plain(one) for name, one in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(one) for one in value]
    return figure(value) if isinstance(value, float) else value


def _tuples(value: Any) -> Any:
    return tuple(_tuples(one) for one in value) if isinstance(value, list) else value
