"""All figures of a file of events, and what must be said about those that are missing; pure."""

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from diagnostics.recurrence.false_discovery import adjusted_probabilities
from diagnostics.recurrence.goodness_of_fit import GoodnessOfFit, cramer_von_mises
from diagnostics.recurrence.histories import EndedBy, Floats
from diagnostics.recurrence.mean_cumulative import MeanCumulative, Variance, mean_cumulative
from diagnostics.recurrence.power_law import PowerLaw, fit_power_law
from diagnostics.recurrence.rates import FEWEST_UNITS, Rates, shrunk_rates
from diagnostics.recurrence.trend_report.watching import Watched
from diagnostics.recurrence.trend_tests import (
    Laplace,
    MilitaryHandbook,
    evidence_of,
    laplace,
    military_handbook,
    military_handbook_each,
)

ONE_UNIT = (
    "One unit has no other to be compared with, so robust limits are unknown; Poisson limits "
    "(--se poisson) take its events as independent."
)
# By simulation: with 10 units nominal 90 % covers about 84 % (mean cumulative function, robust) and
# 80 % (rates), with 20 or 30 units 88 %.
_FEW_ROBUST, _FEW_RATES = 20, 30
ONE_UNIT_SHORT = "One unit alone has no robust limits."
TOO_EXTREME = "A figure is beyond what can be written as a number."


@dataclass(frozen=True)
class Asked:
    """Two-sided level, kind of standard error, and how much worse is worse."""

    level: float = 0.90
    variance: Variance = Variance.ROBUST
    factor: float = 1.5


@dataclass(frozen=True, eq=False)
class TrendFigures:
    """What `manage.py trends` answers. `trend_each`: adjusted probability of a trend, by unit."""

    watched: Watched
    asked: Asked
    mcf: MeanCumulative
    laplace: Laplace
    handbook: MilitaryHandbook
    power_law: PowerLaw
    fit: GoodnessOfFit
    rates: Rates
    trend_each: Floats

    @property
    def evidence(self) -> int:
        """Events that say something about the trend."""
        return int(evidence_of(self.watched.histories, self.watched.ended_by).sum())

    @property
    def notes(self) -> tuple[str, ...]:
        """About the file, the limits of the mean cumulative function, and the rates."""
        return (*self.watched.notes, *self._mcf_notes(), *self._prior_notes(), *self.worse_notes)

    @property
    def test_notes(self) -> tuple[str, ...]:
        if self.evidence:
            return ()
        if self.watched.histories.events:
            return ("The one event that ended the watching says nothing about a trend.",)
        return ("There are no events to test.",)

    @property
    def power_law_notes(self) -> tuple[str, ...]:
        return tuple(_power_law_notes(self))

    @property
    def worse_notes(self) -> tuple[str, ...]:
        """Why no unit has a probability of being worse."""
        if self.rates.prior is None:
            return ("Without differences between units none is held worse than the others.",)
        if not self.rates.threshold > 0:
            return ("Half of the units or more had no event, so the median unit rate is 0.",)
        return ()

    def _mcf_notes(self) -> Iterator[str]:
        if not self.watched.histories.events:
            yield "There are no events, so the mean cumulative function has no steps."
        elif np.isnan(self.mcf.se).any():
            yield ONE_UNIT
        elif self.asked.variance is Variance.ROBUST and len(self.watched.names) < _FEW_ROBUST:
            yield f"Robust limits from fewer than {_FEW_ROBUST} units are somewhat too narrow."

    def _prior_notes(self) -> Iterator[str]:
        if self.rates.prior is not None:
            if len(self.watched.names) < _FEW_RATES:
                yield (
                    f"With fewer than {_FEW_RATES} units the intervals of their rates are somewhat "
                    "too narrow: they take the prior as known."
                )
            return
        if not self.watched.histories.events:
            why = "There are no events"
        elif len(self.watched.names) < FEWEST_UNITS:
            why = f"There are fewer than {FEWEST_UNITS} units"
        else:
            why = "The units do not differ more than chance would make them"
        yield f"{why}: there is no prior, and each unit is given the pooled rate."


def figures_of(watched: Watched, asked: Asked) -> TrendFigures:
    """Every figure of the contract; what overflows is infinite."""
    with np.errstate(all="ignore"):
        return _figures(watched, asked)


def _figures(watched: Watched, asked: Asked) -> TrendFigures:
    histories, ended_by = watched.histories, watched.ended_by
    each = military_handbook_each(histories, ended_by)
    return TrendFigures(
        watched,
        asked,
        mean_cumulative(histories, level=asked.level, variance=asked.variance),
        laplace(histories, ended_by),
        military_handbook(histories, ended_by),
        fit_power_law(histories, level=asked.level, ended_by=ended_by)
        if histories.events
        else PowerLaw(0),
        cramer_von_mises(histories, significance=1 - asked.level, ended_by=ended_by),
        shrunk_rates(histories.counts, histories.exposure, level=asked.level, factor=asked.factor),
        adjusted_probabilities(each.p_two_sided),
    )


def _power_law_notes(figures: TrendFigures) -> Iterator[str]:
    law, fewest = figures.power_law, 2 if figures.watched.ended_by is EndedBy.TIME else 3
    if math.isnan(law.shape):
        yield from figures.test_notes or ("All events lie at the end of watching: no shape fits.",)
        return
    if math.isnan(law.shape_corrected):
        yield (
            "The bias-corrected figures, the mean time between events and the distance of the fit "
            f"need at least {fewest} events."
        )
    elif math.isnan(law.mtbf_upper):
        yield "So few events leave the mean time between events without an upper limit."
    if figures.fit.events > 1 and math.isnan(figures.fit.critical):
        yield (
            "Critical distances are tabulated for a level from 0.5 to 0.999, not for "
            f"{figures.asked.level:g}."
        )
