"""From a plant's events to every figure of its belts and of the plant."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from diagnostics.recurrence import goodness_of_fit, power_law, trend_tests
from diagnostics.recurrence.faults import belts as each
from diagnostics.recurrence.faults.belts import Counted, OnClock, Trends
from diagnostics.recurrence.faults.given import Asked, Events, Watch
from diagnostics.recurrence.faults.notes import About, Note
from diagnostics.recurrence.faults.plant import (
    Course,
    PlantFaults,
    PlantRates,
    PlantTrend,
    figure,
    thinned,
)
from diagnostics.recurrence.histories import Counts, Floats
from diagnostics.recurrence.mean_cumulative import mean_cumulative
from diagnostics.recurrence.rates import FEWEST_UNITS, Rates, poisson_limits

# By simulation (tests/diagnostics/recurrence/test_coverage.py): from 30 belts on nominal 90 % of
# fair rates covers 86 % or more, from 20 on that of robust limits; with 10 about 80 and 84 %.
FEW_BELTS = 30


@dataclass(frozen=True)
class Words:
    """What the indices of events stand for; stretches by their first days, `since` is time 0."""

    families: Sequence[str]
    zones: Sequence[str]
    stretches: Sequence[str]
    since: str


@dataclass(frozen=True, eq=False)
class BeltFigures:
    """One entry a belt; nan where the data cannot say. Rates are in `rate_per` of exposure."""

    counted: Counted
    on_clock: Counts
    left_out: Counts
    exposure: Floats
    rate: Floats
    shrunk: Floats
    lower: Floats
    upper: Floats
    probability_worse: Floats
    trend: Counts
    trend_p: Floats
    trend_shape: Floats
    shape_lower: Floats
    shape_upper: Floats
    laplace_u: Floats
    laplace_p: Floats


@dataclass(frozen=True, eq=False)
class Reckoned:
    plant: PlantFaults
    belts: BeltFigures


def reckon(
    events: Events,
    watch: Watch,
    words: Words,
    *,
    rate_per: float = 1.0,
    asked: Asked | None = None,
    tick: Callable[[float], None] = lambda share: None,
) -> Reckoned:
    """Every figure of a plant and its belts in one period.

    Parameters
    ----------
    events : Events
    watch : Watch
    words : Words
    rate_per : float
        Exposure that rates are stated for: 1000 for events per 1,000 running hours.
    asked : Asked, optional
        Levels and factors; the usual ones unless given.
    tick : callable
        Hears how far it is, as a share of 1, and may raise to end it.

    Returns
    -------
    Reckoned

    Notes
    -----
    Rates: gamma-Poisson empirical Bayes (`rates`). Trend of a belt: military handbook's test,
    two-sided, adjusted after Benjamini and Hochberg over the belts with at least
    `FEWEST_FOR_TREND` cases of known exposure. Of the plant: `mean_cumulative` with robust limits,
    Laplace, military handbook and power law over all belts together.
    """
    asked = asked or Asked()
    # An exposure of next to nothing overflows in places; what does is written as unknown.
    with np.errstate(all="ignore"):
        counted = each.count(
            events,
            watch.belts,
            stretches=len(words.stretches),
            families=len(words.families),
            zones=len(words.zones),
        )
        on_clock = each.put_on_clock(events, watch)
        tick(0.2)
        rates, is_usual_of_fair = each.fair_rates(on_clock, asked)
        tick(0.4)
        trends = each.trends(on_clock, asked)
        tick(0.6)
        plant = _plant(counted, on_clock, watch, words, rates, rate_per, asked)
        notes = tuple(_notes(events, watch, on_clock, rates, is_usual_of_fair))
    belts = _belts(counted, on_clock, watch, rates, trends, rate_per)
    return Reckoned(replace(plant, notes=notes), belts)


def _belts(
    counted: Counted,
    on_clock: OnClock,
    watch: Watch,
    rates: Rates,
    trends: Trends,
    rate_per: float,
) -> BeltFigures:
    def every(of_watched: Floats) -> Floats:
        return on_clock.of_all(of_watched, watch.belts)

    sign = np.zeros(watch.belts, dtype=np.int64)
    sign[on_clock.watched] = trends.sign
    return BeltFigures(
        counted=counted,
        on_clock=on_clock.counted,
        left_out=on_clock.left_out,
        exposure=watch.exposure,
        rate=every(rates.rate) * rate_per,
        shrunk=every(rates.shrunk) * rate_per,
        lower=every(rates.lower) * rate_per,
        upper=every(rates.upper) * rate_per,
        probability_worse=every(rates.probability_worse),
        trend=sign,
        trend_p=every(trends.p),
        trend_shape=every(trends.shape),
        shape_lower=every(trends.shape_lower),
        shape_upper=every(trends.shape_upper),
        laplace_u=every(trends.laplace_u),
        laplace_p=every(trends.laplace_p),
    )


def _plant(
    counted: Counted,
    on_clock: OnClock,
    watch: Watch,
    words: Words,
    rates: Rates,
    rate_per: float,
    asked: Asked,
) -> PlantFaults:
    histories = on_clock.histories
    events = int(counted.events.sum())
    course = mean_cumulative(histories, level=asked.level) if histories.events else None
    return PlantFaults(
        level=asked.level,
        factor=asked.factor,
        false_share=asked.false_share,
        belts=watch.belts,
        watched=histories.units,
        since=words.since,
        events=events,
        counted=histories.events,
        repeats=int(counted.repeats.sum()),
        lost_hours=float(counted.lost_hours.sum()),
        lost_hours_unsaid=int(counted.lost_hours_unsaid.sum()),
        exposure=float(histories.exposure.sum()),
        stretches=tuple(words.stretches),
        course=tuple(counted.course.sum(axis=0).tolist()),
        families=most_first(words.families, counted.families.sum(axis=0), events),
        zones=most_first(words.zones, counted.zones.sum(axis=0), events),
        mean=Course() if course is None else thinned(course),
        trend=_plant_trend(on_clock, asked),
        rates=_plant_rates(on_clock, rates, rate_per, asked),
    )


def most_first(words: Sequence[str], cases: Counts, of: int) -> tuple[tuple[str, int], ...]:
    """Words that have cases, those with most first; "" last for the rest of them."""
    found = [
        (words[index], int(cases[index]))
        for index in np.argsort(-cases, kind="stable")
        if cases[index]
    ]
    rest = of - int(cases.sum())
    return (*found, ("", rest)) if rest else tuple(found)


def _plant_trend(on_clock: OnClock, asked: Asked) -> PlantTrend:
    histories = on_clock.histories
    if not histories.events:
        return PlantTrend()
    handbook = trend_tests.military_handbook(histories)
    laplace = trend_tests.laplace(histories)
    law = power_law.fit_power_law(histories, level=asked.level)
    fit = goodness_of_fit.cramer_von_mises(histories, significance=1 - asked.level)
    found = float(handbook.p_two_sided) <= 1 - asked.level
    sign = 1 if float(handbook.p_lower) < 0.5 else -1
    return PlantTrend(
        sign if found else 0,
        figure(laplace.u),
        figure(laplace.p),
        figure(handbook.chi2),
        int(handbook.df),
        figure(handbook.p_two_sided),
        figure(law.shape_corrected),
        figure(law.shape_lower),
        figure(law.shape_upper),
        figure(law.scale_corrected),
        figure(fit.distance),
        figure(fit.critical),
    )


def _plant_rates(on_clock: OnClock, rates: Rates, rate_per: float, asked: Asked) -> PlantRates:
    histories = on_clock.histories
    events, exposure = histories.events, float(histories.exposure.sum())
    if not exposure > 0:
        return PlantRates(rate_per)
    lower, upper = poisson_limits(events, exposure, asked.level)
    prior = rates.prior
    return PlantRates(
        rate_per,
        figure(events / exposure * rate_per),
        figure(lower * rate_per),
        figure(upper * rate_per),
        figure(rates.threshold / asked.factor * rate_per),
        figure(rates.threshold * rate_per),
        None if prior is None else figure(prior.a),
        None if prior is None else figure(prior.b),
    )


def _notes(
    events: Events, watch: Watch, on_clock: OnClock, rates: Rates, is_usual_of_fair: bool
) -> Iterator[Note]:
    histories = on_clock.histories
    counts = {
        About.NO_EXPOSURE: watch.belts - histories.units,
        About.IN_GAPS: on_clock.in_gaps,
        About.BEFORE_WATCH: on_clock.before,
        About.AFTER_WATCH: on_clock.after,
        About.SAME_INSTANT: events.same_instant,
    }
    yield from (Note(about, number) for about, number in counts.items() if number)
    if not histories.events:
        yield Note(About.NO_EVENTS)
    elif histories.units == 1:
        yield Note(About.ONE_BELT)
    elif histories.units < FEW_BELTS:
        yield Note(About.FEW_BELTS, histories.units)
    if histories.events and rates.prior is None:
        few = histories.units < FEWEST_UNITS
        yield Note(About.NO_PRIOR_FEW if few else About.NO_PRIOR_ALIKE, histories.units)
    if is_usual_of_fair:
        yield Note(About.USUAL_OF_FAIR)
