"""Cases of belts to their exposure: what is counted, what falls into time nobody knows of."""

from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

import numpy as np
from django.db.models import QuerySet

from diagnostics.models import Case
from diagnostics.recurrence.rates import poisson_limits
from diagnostics.selectors import usual_exposure
from diagnostics.selectors.trends import Period, cases_in
from plant.metering.basis import Basis
from plant.metering.clocks import BeltClock, Gap
from plant.models import Conveyor
from plant.selectors import exposures

Clocks = dict[int, BeltClock]
LEVEL = 0.90


@dataclass(frozen=True)
class CaseRate:
    """Cases of a belt in a period, and those of them whose exposure is known.

    `gaps` are parts of unknown exposure, each with the cases that fall into it; `clock` is None
    for a belt that was not watched in the period.
    """

    cases: int
    counted: int
    clock: BeltClock | None
    gaps: tuple[tuple[Gap, int], ...] = ()

    @property
    def left_out(self) -> int:
        return self.cases - self.counted

    @property
    def unwatched(self) -> int:
        """Cases before the belt was watched, or after it was retired."""
        return self.left_out - sum(cases for _gap, cases in self.gaps)

    @property
    def exposure(self) -> float | None:
        """[h, t or d]; None where nothing is known."""
        return self.clock.total if self.clock is not None and self.clock.is_known else None

    @property
    def rate(self) -> float | None:
        """Cases for each unit of exposure; None without a known exposure above nothing."""
        return self.counted / self.exposure if self.exposure else None

    @property
    def limits(self) -> tuple[float, float] | None:
        """Between them the true rate lies with `LEVEL` certainty; exact Poisson limits."""
        return poisson_limits(self.counted, self.exposure, LEVEL) if self.exposure else None


def clocks_in(
    conveyors: QuerySet[Conveyor], period: Period, basis: Basis | None, now: datetime
) -> tuple[Basis, Clocks]:
    """The clocks of belts in a period, its days counted in their plants' zones; up to now.

    Without a basis on the usual one of their plants. The number of queries grows with the zones
    alone, once the plants were reckoned.
    """
    basis = basis or usual_exposure.usual_of_belts(conveyors, now)
    return basis, _clocks(conveyors, period, basis, now)


def _clocks(conveyors: QuerySet[Conveyor], period: Period, basis: Basis, now: datetime) -> Clocks:
    zones = conveyors.order_by().values_list("plant__time_zone", flat=True).distinct()
    found: Clocks = {}
    for zone in zones:
        span = exposures.instants_of(ZoneInfo(zone), period.first, period.last, now)
        own = conveyors.filter(plant__time_zone=zone)
        found |= exposures.clocks_of(own, *span, basis)
    return found


def rates_of(
    cases: QuerySet[Case], period: Period, clocks: Clocks, conveyors: Collection[int]
) -> dict[int, CaseRate]:
    """Of each of the belts, by its key; one query."""
    opened: dict[int, list[datetime]] = defaultdict(list)
    rows = cases_in(cases, period).filter(conveyor__in=conveyors).order_by("opened_at")
    for conveyor, at in rows.values_list("conveyor_id", "opened_at"):
        opened[conveyor].append(at)
    return {pk: rate_of(opened[pk], clocks.get(pk)) for pk in conveyors}


def rate_of(opened: list[datetime], clock: BeltClock | None) -> CaseRate:
    """Of one belt, from the instants of its cases."""
    if clock is None:
        return CaseRate(len(opened), 0, None)
    is_unknown = np.isnan(clock.at_many(opened))
    in_gaps = [clock.gap_at(at) for at, unknown in zip(opened, is_unknown, strict=True) if unknown]
    gaps = tuple((gap, in_gaps.count(gap)) for gap in clock.gaps)
    return CaseRate(len(opened), len(opened) - len(in_gaps), clock, gaps)
