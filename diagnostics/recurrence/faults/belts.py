"""Every belt's own figures, all belts at once."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from diagnostics.recurrence.false_discovery import adjusted_probabilities
from diagnostics.recurrence.faults.given import UNKNOWN, Asked, Events, Flags, Watch
from diagnostics.recurrence.histories import Counts, Floats, Histories, histories_of
from diagnostics.recurrence.power_law import shape_each
from diagnostics.recurrence.rates import Rates, shrunk_rates
from diagnostics.recurrence.trend_tests import laplace_each, military_handbook_each

# The tests are exact from one event on, but nobody calls two of them a course; engineering
# judgement.
FEWEST_FOR_TREND = 3


@dataclass(frozen=True, eq=False)
class Counted:
    """Events and hours of each belt in the whole period, whatever is known of its exposure.

    `course` is belts by stretches, `families` and `zones` belts by words; `leading` is the index
    of the family that most events have, `UNKNOWN` while none is known.
    """

    events: Counts
    repeats: Counts
    lost_hours: Floats
    lost_hours_unsaid: Counts
    course: Counts
    families: Counts
    zones: Counts
    leading: Counts


@dataclass(frozen=True, eq=False)
class Trends:
    """Of each belt; nan and 0 where there is no evidence.

    `sign` 1 is worse, -1 better, 0 none that would not be chance; `p` is the military handbook's
    two-sided probability adjusted for looking at many belts, `shape` the corrected power-law shape.
    """

    sign: Counts
    p: Floats
    shape: Floats
    shape_lower: Floats
    shape_upper: Floats
    laplace_u: Floats
    laplace_p: Floats


@dataclass(frozen=True, eq=False)
class OnClock:
    """Events that rates and tests can use: known exposure, within the watch.

    `histories` has only the belts that were watched, `watched` are their indices; `counted` and
    `left_out` are events of every belt.
    """

    histories: Histories
    watched: Counts
    counted: Counts
    left_out: Counts
    in_gaps: int
    before: int
    after: int

    def of_all(self, figure: Floats, belts: int) -> Floats:
        """A figure of the watched belts for all of them, nan for the others."""
        whole = np.full(belts, np.nan)
        whole[self.watched] = figure
        return whole


def count(events: Events, belts: int, *, stretches: int, families: int, zones: int) -> Counted:
    """What is counted without any clock."""
    said = np.isfinite(events.lost_hours)
    hours = np.where(said, events.lost_hours, 0.0)
    by_family = _table(events.belt, events.family, belts, families)
    return Counted(
        events=np.bincount(events.belt, minlength=belts),
        repeats=np.bincount(events.belt[events.is_repeat], minlength=belts),
        lost_hours=np.bincount(events.belt, hours, belts).astype(float),
        lost_hours_unsaid=np.bincount(events.belt[~said], minlength=belts),
        course=_table(events.belt, events.stretch, belts, stretches),
        families=by_family,
        zones=_table(events.belt, events.zone, belts, zones),
        leading=_leading(events, hours, by_family),
    )


def put_on_clock(events: Events, watch: Watch) -> OnClock:
    """Events of known exposure as histories, and how many are left out for which reason."""
    entry, end = watch.entry[events.belt], watch.end[events.belt]
    unknown = np.isnan(events.time) | ~watch.is_watched[events.belt]
    # Comparisons with nan are false.
    before = ~unknown & (events.time <= entry)
    after = ~unknown & (events.time > end)
    used = ~(unknown | before | after)
    watched = np.flatnonzero(watch.is_watched)
    unit = np.full(watch.belts, UNKNOWN)
    unit[watched] = np.arange(watched.size)
    return OnClock(
        histories_of(
            unit[events.belt[used]],
            events.time[used],
            end=watch.end[watched],
            entry=watch.entry[watched],
        ),
        watched,
        _number(events, used, watch.belts),
        _number(events, ~used, watch.belts),
        int(unknown.sum()),
        int(before.sum()),
        int(after.sum()),
    )


def fair_rates(on_clock: OnClock, asked: Asked) -> tuple[Rates, bool]:
    """Rates of the watched belts, and whether the usual one had to be that of the fair rates.

    The usual rate is the median of the belts' own rates. Where half of them had no event that is
    0, above which everybody lies: there it is the median of the fair rates.
    """
    counts, exposure = on_clock.histories.counts, on_clock.histories.exposure
    rates = shrunk_rates(counts, exposure, level=asked.level, factor=asked.factor)
    if rates.prior is None or rates.threshold > 0:
        return rates, False
    usual = float(np.median(rates.shrunk))
    again = shrunk_rates(counts, exposure, level=asked.level, factor=asked.factor, usual=usual)
    return again, True


def trends(on_clock: OnClock, asked: Asked) -> Trends:
    """Which of the watched belts get worse or better beyond chance."""
    histories = on_clock.histories
    enough = histories.counts >= FEWEST_FOR_TREND
    handbook = military_handbook_each(histories)
    p = adjusted_probabilities(np.where(enough, handbook.p_two_sided, np.nan))
    # Events late in the span make the statistic small.
    sign = np.where(handbook.p_lower < 0.5, 1, -1)
    found = np.nan_to_num(p, nan=1.0) <= asked.false_share
    shapes, laplace = shape_each(histories, level=asked.level), laplace_each(histories)

    def proper(figure: Floats) -> Floats:
        return np.where(enough, figure, np.nan)

    return Trends(
        sign=np.where(found, sign, 0),
        p=p,
        shape=proper(shapes.corrected),
        shape_lower=proper(shapes.lower),
        shape_upper=proper(shapes.upper),
        laplace_u=proper(laplace.u),
        laplace_p=proper(laplace.p),
    )


def _leading(events: Events, hours: Floats, by_family: Counts) -> Counts:
    """The family of most events; of equals the one that cost more hours, then the first word."""
    belts, families = by_family.shape
    if not families:
        return np.full(belts, UNKNOWN)
    known = events.family != UNKNOWN
    place = events.belt[known] * families + events.family[known]
    cost = np.bincount(place, hours[known], belts * families).reshape(belts, families)
    # Below 1, so that it decides among equals alone.
    score = by_family + cost / (2 * (cost.max(initial=0.0) + 1))
    return np.where(by_family.any(axis=1), score.argmax(axis=1), UNKNOWN)


def _table(belt: Counts, word: Counts, belts: int, words: int) -> Counts:
    known = word != UNKNOWN
    cells = np.bincount(belt[known] * words + word[known], minlength=belts * words)
    return cells.reshape(belts, words)


def _number(events: Events, chosen: Flags, belts: int) -> NDArray[np.int64]:
    return np.bincount(events.belt[chosen], minlength=belts)
