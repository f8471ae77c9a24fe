"""Wear of each spot of a conveyor that is read: its line, and the day it meets its limit."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any

from plant.loop.condition import Quantity
from plant.metering.readings import MeterQuantity
from plant.models import Belt, Component, ConditionReading, Conveyor
from plant.roll_words import set_words
from plant.selectors import meters
from workorders.planning.readings import MOST_READINGS, Limit, Reading, direction_of
from workorders.planning.running_clock import Clock, clock_for, clock_of
from workorders.planning.wear import Wear, wear_of
from workorders.selectors.limits import LimitInForce, Limits, limits_of
from workorders.selectors.renewals import Renewals, SpotKey, begin_of, renewals_of

LEVEL = 0.90


@dataclass(frozen=True)
class Taken:
    """A reading with the hours of the clock at which it was taken."""

    pk: int
    at: datetime
    value: float
    hours: float


@dataclass(frozen=True)
class SpotWear:
    """`wear` is None where no limit is set; its times are hours of `clock`.

    `met_on`, `met_from` and `met_until` are days; None where the line does not meet the limit, or
    that end is not known or not in sight.
    """

    key: SpotKey
    component: Component | None
    belt: Belt | None
    where: str
    limit: LimitInForce
    clock: Clock
    taken: tuple[Taken, ...]
    last_pk: int
    renewed_on: date | None
    older: int
    now_h: float
    wear: Wear | None = None
    met_on: date | None = None
    met_from: date | None = None
    met_until: date | None = None

    @property
    def last(self) -> Taken | None:
        return self.taken[-1] if self.taken else None


class ConveyorWear:
    """Reads a conveyor once, then tells of its spots: eight queries, however many there are.

    `component_id` narrows it to one component.
    """

    def __init__(
        self,
        conveyor: Conveyor,
        now: datetime,
        limits: Limits | None = None,
        component_id: int | None = None,
    ) -> None:
        self.conveyor, self.now, self._only = conveyor, now, component_id
        self.zone = conveyor.plant.zone_info
        self.today = now.astimezone(self.zone).date()
        self.limits = limits or limits_of(conveyor.plant_id)
        self.clock = clock_of(meters.readings_of(conveyor, MeterQuantity.RUNNING_HOURS))
        self.components = {one.pk: one for one in conveyor.components.all()}
        self.renewals: Renewals = renewals_of(conveyor)
        self._belts = {one.pk: one for one in conveyor.belts.filter(removed_on__isnull=True)}

    def spots(self) -> list[SpotWear]:
        """Of everything that is fitted, in the order of the loop; the belt last."""
        found = [self._spot(SpotKey(*key), rows) for key, rows in self._readings().items()]
        return sorted(found, key=self._order)

    def spot_of(self, reading: ConditionReading) -> SpotWear | None:
        """The spot of one reading; None if it was read on a belt that is off."""
        if reading.belt_id is not None and reading.belt_id not in self._belts:
            return None
        rows = self._readings(reading)
        return next((self._spot(SpotKey(*key), found) for key, found in rows.items()), None)

    def _readings(self, like: ConditionReading | None = None) -> dict[Any, list[Any]]:
        """Readings by spot, the oldest first; at most the latest 400 of each count."""
        rows = self.conveyor.readings.filter(taken_at__lte=self.now).order_by("taken_at", "pk")
        if self._only is not None:
            rows = rows.filter(component=self._only)
        if like is not None:
            rows = rows.filter(
                component=like.component_id,
                belt=like.belt_id,
                set_number=like.set_number,
                quantity=like.quantity,
                spot__iexact=like.spot,
            )
        found: dict[Any, list[Any]] = defaultdict(list)
        spelt: dict[Any, Any] = {}
        for one in rows.values_list(*_FIELDS, named=True):
            if one.belt_id is not None and one.belt_id not in self._belts:
                continue
            quantity = Quantity(one.quantity)
            key = SpotKey(one.component_id, one.belt_id, one.set_number, one.spot, quantity)
            as_spelt = (one.component_id, one.belt_id, one.set_number, one.spot, quantity)
            found[spelt.setdefault(key.plain, as_spelt)].append(one)
        return {key: rows[-MOST_READINGS:] for key, rows in found.items()}

    def _spot(self, key: SpotKey, rows: Sequence[Any]) -> SpotWear:
        component = self.components.get(key.component_id or 0)
        belt = self._belts.get(key.belt_id or 0)
        renewed_on = self.renewals.last_of(key, component, belt, self.today)
        since = rows
        if renewed_on is not None:
            begun = begin_of(renewed_on, self.zone)
            since = [one for one in rows if one.taken_at >= begun]
        clock = clock_for(self.clock, [one.taken_at for one in since[:1]])
        taken = tuple(
            Taken(one.pk, one.taken_at, one.value, clock.hours_at(one.taken_at)) for one in since
        )
        limit = self.limits.of(key.quantity, self.conveyor.pk, key.component_id)
        spot = SpotWear(
            key,
            component,
            belt,
            _where(key, component, belt),
            limit,
            clock,
            taken,
            rows[-1].pk,
            renewed_on,
            len(rows) - len(since),
            clock.hours_at(self.now),
        )
        return spot if limit.value is None else self._worn(spot, limit.value)

    def _worn(self, spot: SpotWear, limit: float) -> SpotWear:
        wear = wear_of(
            [Reading(one.hours, one.value) for one in spot.taken],
            Limit(limit, direction_of(spot.key.quantity)),
            now=spot.now_h,
            level=LEVEL,
        )
        days = [self._day(spot.clock, one) for one in (wear.met_at, wear.met_lower, wear.met_upper)]
        met_on, met_from, met_until = days
        return replace(spot, wear=wear, met_on=met_on, met_from=met_from, met_until=met_until)

    def _day(self, clock: Clock, hours: float | None) -> date | None:
        at = None if hours is None else clock.at_hours(hours)
        return None if at is None else max(at.astimezone(self.zone).date(), self.today)

    def _order(self, spot: SpotWear) -> tuple[Any, ...]:
        at = float(spot.component.first_m) if spot.component else float("inf")
        return (at, spot.key.set_number or 0, spot.key.quantity, spot.key.spot)


_FIELDS = ("pk", "component_id", "belt_id", "set_number", "spot", "quantity", "value", "taken_at")


def _where(key: SpotKey, component: Component | None, belt: Belt | None) -> str:
    if component is None:
        name = str(belt) if belt is not None else ""
    elif key.set_number is not None:
        name = set_words(component.as_part(), key.set_number)
    else:
        name = component.name
    return f"{name}, {key.spot}" if key.spot else name
