"""Working out one reckoning of a plant's recurring faults to its end: kept, stopped or refused."""

import logging
from collections.abc import Callable, Iterator
from datetime import datetime
from typing import Any

from django.db import transaction
from django.db.models import QuerySet
from django.utils import timezone

from diagnostics.fault_choice import FaultChoice
from diagnostics.models import BeltFaults, FaultReckoning
from diagnostics.recurrence.faults.detail import BeltDetail, Gap
from diagnostics.recurrence.faults.given import UNKNOWN
from diagnostics.recurrence.faults.plant import figure
from diagnostics.recurrence.faults.reckoning import Reckoned, most_first, reckon
from diagnostics.selectors import mends, usual_exposure
from diagnostics.selectors.mends import Mends
from diagnostics.selectors.plant_events import PlantEvents, plant_events
from plant.metering.basis import Basis
from plant.metering.clocks import BeltClock
from plant.services.claiming import Heartbeat

logger = logging.getLogger(__name__)

STOPPED = "stopped"
Tell = Callable[[float], None]
_ROWS_AT_ONCE = 1000
# A page shows the longest ones; with more of them a meter is hardly read at all.
_MOST_GAPS = 12


class _Stopped(Exception):
    """Somebody pressed stop, or another worker has ended it."""


def run(one: FaultReckoning, tell: Tell = lambda share: None) -> None:
    """Reckon one, whatever its plant holds; it is owed no longer then."""
    try:
        _run(one, _Progress(one.pk, tell))
    except _Stopped:
        refuse(one, STOPPED)
    except Exception:
        # Owed for ever it would be tried for ever; it can be asked for again.
        logger.exception("Reckoning %s failed.", one.pk)
        refuse(one, "failed")


def refuse(one: FaultReckoning, code: str) -> None:
    """What stood before stands on, with the reason why there is nothing newer."""
    end(FaultReckoning.objects.owed().filter(pk=one.pk), refusal=code)


def end(rows: QuerySet[FaultReckoning], **what: Any) -> None:
    rows.update(owed_at=None, worked_at=None, stop_asked_at=None, times_begun=0, **what)


class _Progress:
    def __init__(self, reckoning_id: int, tell: Tell) -> None:
        self._beat = Heartbeat(FaultReckoning.objects.owed().filter(pk=reckoning_id))
        self._tell = tell

    def __call__(self, share: float) -> None:
        self._tell(share)
        if not self._beat(progress=share):
            raise _Stopped


def _run(one: FaultReckoning, tick: _Progress) -> None:
    # What is changed from here on is newer than what this finds.
    began, basis = timezone.now(), Basis(one.basis)
    given = plant_events(one.plant, FaultChoice.of(one), began)
    tick(0.3)
    found = reckon(
        given.events,
        given.watch,
        given.words,
        rate_per=basis.rate_per,
        tick=lambda share: tick(0.3 + 0.4 * share),
    )
    tick(0.7)
    done = mends.mends_of(given, found.belts.counted.leading)
    tick(0.85)
    usual = usual_exposure.weighed(one.plant, began) if one.is_usual else basis
    _keep(one, given, found, list(_rows(one, given, found, done)), began)
    if usual is not basis:
        _make_usual(one, usual, began)


@transaction.atomic
def _keep(
    one: FaultReckoning,
    given: PlantEvents,
    found: Reckoned,
    rows: list[BeltFaults],
    began: datetime,
) -> None:
    # Of two workers, one of them thought dead, the first to come here keeps what it found.
    owed = FaultReckoning.objects.owed().filter(pk=one.pk)
    stands = owed.select_for_update(no_key=True).first()
    if stands is None:
        return
    if stands.stop_asked_at is not None:
        raise _Stopped
    BeltFaults.objects.filter(reckoning=one).delete()
    BeltFaults.objects.bulk_create(rows, batch_size=_ROWS_AT_ONCE)
    period = given.period
    end(
        owed,
        first_on=period.first,
        last_on=period.last,
        reckoned_at=began,
        result=found.plant.as_json(),
        progress=1.0,
        refusal="",
    )


@transaction.atomic
def _make_usual(one: FaultReckoning, basis: Basis, now: datetime) -> None:
    """Meters came or went: from now on another exposure is the usual one."""
    FaultReckoning.objects.filter(pk=one.pk).update(is_usual=False, looked_at=now)
    FaultReckoning.objects.update_or_create(
        plant=one.plant,
        family=one.family,
        basis=basis.value,
        span=one.span,
        defaults={"is_usual": True},
        create_defaults={
            "is_usual": True,
            "first_on": one.first_on,
            "last_on": one.last_on,
            "owed_at": now,
            "looked_at": now,
        },
    )


def _rows(
    one: FaultReckoning, given: PlantEvents, found: Reckoned, done: Mends
) -> Iterator[BeltFaults]:
    """One a belt, in the order of the register."""
    for index in range(len(given.belts)):
        yield belt_row(one, given, found, done, index)


def belt_row(
    one: FaultReckoning, given: PlantEvents, found: Reckoned, done: Mends, index: int
) -> BeltFaults:
    """A belt's row, not saved; `index` counts the belts of what was given."""
    belts, counted, conveyor = found.belts, found.belts.counted, int(given.belts[index])
    leading, clock = int(counted.leading[index]), given.clocks.get(conveyor)
    return BeltFaults(
        reckoning=one,
        conveyor_id=conveyor,
        events=int(counted.events[index]),
        repeats=int(counted.repeats[index]),
        lost_hours=float(counted.lost_hours[index]),
        lost_hours_unsaid=int(counted.lost_hours_unsaid[index]),
        exposure=figure(belts.exposure[index]),
        unknown_days=0.0 if clock is None else clock.unknown_days,
        rate=figure(belts.rate[index]),
        shrunk=figure(belts.shrunk[index]),
        lower=figure(belts.lower[index]),
        upper=figure(belts.upper[index]),
        probability_worse=figure(belts.probability_worse[index]),
        trend=int(belts.trend[index]),
        trend_p=figure(belts.trend_p[index]),
        trend_shape=figure(belts.trend_shape[index]),
        course=counted.course[index].tolist(),
        leading_family="" if leading == UNKNOWN else given.words.families[leading],
        leading_events=0 if leading == UNKNOWN else int(counted.families[index, leading]),
        detail=_detail(given, found, done, index, clock).as_json(),
    )


def _detail(
    given: PlantEvents, found: Reckoned, done: Mends, index: int, clock: BeltClock | None
) -> BeltDetail:
    belts, counted = found.belts, found.belts.counted
    events = int(counted.events[index])
    return BeltDetail(
        counted=int(belts.on_clock[index]),
        left_out=int(belts.left_out[index]),
        laplace_u=figure(belts.laplace_u[index]),
        laplace_p=figure(belts.laplace_p[index]),
        shape_lower=figure(belts.shape_lower[index]),
        shape_upper=figure(belts.shape_upper[index]),
        families=most_first(given.words.families, counted.families[index], events),
        zones=most_first(given.words.zones, counted.zones[index], events),
        failed=done.failed.get(index, ()),
        mends=done.tried.get(index, ()),
        **_watched(given, clock),
    )


def _watched(given: PlantEvents, clock: BeltClock | None) -> dict[str, Any]:
    """From and until when the belt was watched, where that is not the whole period; its gaps."""
    if clock is None:
        return {"why_unknown": "not_watched"}
    zone, period = given.plant.zone_info, given.period
    # The end of a day is the beginning of the next one.
    first, last = clock.first.astimezone(zone), clock.last.astimezone(zone)
    gaps = sorted(clock.gaps, key=lambda gap: -gap.days)[:_MOST_GAPS]
    return {
        "watched_from": first.date().isoformat() if first.date() != period.first else "",
        "watched_until": last.date().isoformat() if last.date() < period.last else "",
        "why_unknown": gaps[0].why.value if gaps else "",
        "gaps": tuple(Gap(gap.first.isoformat(), gap.last.isoformat()) for gap in gaps),
    }
