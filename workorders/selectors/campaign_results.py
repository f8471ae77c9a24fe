"""What each campaign of a list changed: its belts before and after, in few queries a plant.

The same periods, exposure and cases as on the campaign's own page (`before_after`), without what is
read there beside them.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import datetime

from django.db.models import QuerySet

from diagnostics.models import Case
from diagnostics.selectors import case_rates, usual_exposure
from diagnostics.selectors.case_rates import CaseRate
from diagnostics.selectors.trends import NO_EVENT, Period
from plant.metering.basis import Basis
from plant.metering.clocks import BeltClock
from plant.models import Conveyor, Plant
from plant.selectors import exposures
from workorders.models import Campaign
from workorders.selectors.before_after import Compared, compared_of
from workorders.selectors.campaign_periods import USUAL_DAYS, Periods, periods_of

_Opened = dict[int, list[tuple[datetime, str]]]


def results_of(
    campaigns: Sequence[Campaign], cases: QuerySet[Case], now: datetime
) -> dict[int, Compared | None]:
    """By campaign, its plant and conveyors at hand; None while no day after it is over."""
    by_plant: dict[Plant, list[Campaign]] = defaultdict(list)
    for one in campaigns:
        by_plant[one.plant].append(one)
    found: dict[int, Compared | None] = {one.pk: None for one in campaigns}
    for plant, own in by_plant.items():
        found |= _of_plant(plant, own, cases.filter(conveyor__plant=plant), now)
    return found


def _of_plant(
    plant: Plant, campaigns: Sequence[Campaign], cases: QuerySet[Case], now: datetime
) -> dict[int, Compared]:
    today = now.astimezone(plant.zone_info).date()
    told = [(one, periods_of(one, USUAL_DAYS, today)) for one in campaigns]
    over = [(one, periods) for one, periods in told if periods is not None]
    if not over:
        return {}
    belts = Conveyor.objects.filter(plant=plant)
    areas = dict(belts.values_list("pk", "area"))
    spans = [_span(plant, one, now) for _own, periods in over for one in _both(periods)]
    basis: Basis = usual_exposure.usual_of(plant, now)
    clocks = iter(exposures.clocks_of_spans(belts, spans, basis))
    opened = _opened(cases, spans)
    where = iter(spans)
    return {
        one.pk: compared_of(
            periods,
            [
                _rates(opened, next(where), periods.before.family, next(clocks), _belts(one, areas))
                for _side in _both(periods)
            ],
        )
        for one, periods in over
    }


def _both(periods: Periods) -> tuple[Period, Period]:
    return periods.before, periods.after


def _span(plant: Plant, period: Period, now: datetime) -> tuple[datetime, datetime]:
    return exposures.instants_of(plant.zone_info, period.first, period.last, now)


def _belts(campaign: Campaign, areas: dict[int, str]) -> list[int]:
    named = [one.pk for one in campaign.conveyors.all()]
    if named:
        return named
    return [pk for pk, area in areas.items() if not campaign.area or area == campaign.area]


def _opened(cases: QuerySet[Case], spans: Iterable[tuple[datetime, datetime]]) -> _Opened:
    spans = list(spans)
    rows = (
        cases.exclude(state__in=NO_EVENT)
        .filter(
            opened_at__gte=min(first for first, _last in spans),
            opened_at__lt=max(last for _first, last in spans),
        )
        .order_by("opened_at")
        .values_list("conveyor_id", "opened_at", "cause_class")
    )
    found: _Opened = defaultdict(list)
    for belt, at, family in rows:
        found[belt].append((at, family))
    return found


def _rates(
    opened: _Opened,
    span: tuple[datetime, datetime],
    family: str,
    clocks: dict[int, BeltClock],
    belts: Iterable[int],
) -> dict[int, CaseRate]:
    first, last = span
    return {
        belt: case_rates.rate_of(
            [at for at, own in opened.get(belt, ()) if first <= at < last and family in ("", own)],
            clocks.get(belt),
        )
        for belt in belts
    }
