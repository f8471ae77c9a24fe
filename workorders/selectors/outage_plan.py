"""Rows of the outage sheet as a plan that pure code can judge and propose."""

from collections import defaultdict
from collections.abc import Mapping
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from django.utils.translation import gettext as _

from plant.models import Plant
from workorders import models
from workorders.order_states import OrderState
from workorders.planning.outages.minutes import minute_of
from workorders.planning.outages.plan import Absence, Crew, Job, Placement, Plan, Span, Window
from workorders.planning.outages.shifts import WeeklyShift, shift_spans
from workorders.selectors.outage_rows import SheetRows, rows_of
from workorders.selectors.part_supply import NOTHING_WANTED, Supply, supply_of_orders
from workorders.urgency import Urgency

# For work of which nobody said how long it takes; pages say that it was assumed.
ASSUMED_MINUTES = 60
# Steps of these are done by whoever runs the belt, not by a crew that is planned.
NOT_OF_A_CREW = frozenset({"operator"})
# One late job outweighs two of the next urgency; engineering judgement.
WEIGHTS = {
    Urgency.STOP_NOW: 27,
    Urgency.THIS_SHIFT: 9,
    Urgency.NEXT_OUTAGE: 3,
    Urgency.WATCH: 1,
}
# Shifts are laid out this much beyond the stretch, for work that reaches over its ends.
_MARGIN = timedelta(days=1)


def plan_of(plant: Plant, from_at: datetime, until_at: datetime, now: datetime) -> Plan:
    """All that may be placed in a stretch of time, and where it stands now.

    Keys are numbers of orders and primary keys of windows and crews; belts go by their tags. Jobs
    are approved and scheduled orders; those placed outside the stretch are left out, those in hand
    stand as pinned. A window that was called off and a crew that is gone are not in the plan, so
    that what stands there clashes. A bounded number of queries.
    """
    rows = rows_of(plant, from_at, until_at)
    today = plant.day_of(now)
    return plan_from(rows, supply_of_orders(plant, rows.orders, today=today))


def plan_from(rows: SheetRows, supply: Mapping[int, Supply]) -> Plan:
    """The same from rows that were read; no query."""
    jobs = {one.key: one for one in _jobs(rows, supply)}
    return Plan(
        windows={str(one.pk): _window(one) for one in rows.windows if one.called_off_at is None},
        crews={str(one.pk): _crew(one, rows) for one in rows.crews if one.retired_on is None},
        jobs=jobs,
        placements={key: one.placed for key, one in jobs.items() if one.placed is not None},
    )


def span_of(starts_at: datetime, ends_at: datetime) -> Span:
    """In whole minutes; one that was begun counts."""
    ends = minute_of(ends_at + timedelta(minutes=1) - timedelta(microseconds=1))
    return Span(minute_of(starts_at), ends)


def minutes_wanted(order: models.WorkOrder) -> int:
    """How long an order takes; ASSUMED_MINUTES where nobody said. [min]"""
    return round(order.hours * 60) if order.hours else ASSUMED_MINUTES


def _window(row: models.OutageWindow) -> Window:
    belts = frozenset(one.tag for one in row.conveyors.all())
    return Window(str(row.pk), span_of(row.starts_at, row.ends_at), belts)


def _crew(row: models.Crew, rows: SheetRows) -> Crew:
    weekly = [WeeklyShift(one.weekday, one.begins_at, one.ends_at) for one in row.shifts.all()]
    first, last = _stretch(rows)
    return Crew(
        key=str(row.pk),
        people=row.people,
        skills=frozenset(one.casefold() for one in row.skills),
        shifts=shift_spans(weekly, rows.plant.zone_info, minute_of(first), minute_of(last)),
        absences=tuple(
            Absence(span_of(one.starts_at, one.ends_at), one.people) for one in row.absences.all()
        ),
        overtime_minutes=row.overtime_minutes,
    )


def _stretch(rows: SheetRows) -> tuple[datetime, datetime]:
    """From the first to the last thing that stands on the sheet."""
    begins = [one.starts_at for one in rows.windows]
    begins += [one.planned_for for one in rows.orders if one.planned_for and one.crew_id]
    ends = [one.ends_at for one in rows.windows]
    ends += [one.planned_until for one in rows.orders if one.planned_until]
    return min([rows.from_at, *begins]) - _MARGIN, max([rows.until_at, *ends]) + _MARGIN


def _jobs(rows: SheetRows, supply: Mapping[int, Supply]) -> list[Job]:
    here = {one.pk for one in rows.orders}
    waits_for: dict[int, list[models.WorkOrder]] = defaultdict(list)
    for link in rows.links:
        waits_for[link.order_id].append(link.after)
    return [
        _job(
            order,
            waits_for[order.pk],
            here,
            supply.get(order.pk, NOTHING_WANTED),
            rows.plant.zone_info,
        )
        for order in rows.orders
    ]


def _job(
    order: models.WorkOrder,
    before: list[models.WorkOrder],
    here: set[int],
    supply: Supply,
    zone: ZoneInfo,
) -> Job:
    placed = _placed(order)
    outside = [one for one in before if one.pk not in here]
    return Job(
        key=order.number,
        conveyor=order.conveyor.tag,
        minutes=placed.span.minutes if placed else minutes_wanted(order),
        people=order.people or 1,
        skills=_skills(order),
        weight=WEIGHTS[Urgency(order.urgency)],
        isolation=order.conveyor.tag if order.needs_isolation else None,
        earliest=_earliest(order, outside, zone),
        latest=_day_begins(order.due_on + timedelta(days=1), zone) if order.due_on else None,
        parts_on=_day_begins(supply.ready_on, zone) if supply.ready_on else None,
        parts_missing=supply.missing,
        after=frozenset(one.number for one in before if one.pk in here),
        held=_held(order, outside),
        placed=placed,
        # Without a place there is nothing to be pinned to.
        is_pinned=(order.is_pinned and placed is not None) or order.state == OrderState.IN_HAND,
    )


def _placed(order: models.WorkOrder) -> Placement | None:
    if order.crew_id is None or order.planned_for is None:
        return None
    until = order.planned_until or order.planned_for + timedelta(minutes=minutes_wanted(order))
    window = str(order.window_id) if order.window_id else None
    return Placement(order.number, window, str(order.crew_id), span_of(order.planned_for, until))


def _skills(order: models.WorkOrder) -> frozenset[str]:
    said = {step.skill.strip().casefold() for step in order.steps.all()}
    return frozenset(said - NOT_OF_A_CREW - {""})


def _earliest(
    order: models.WorkOrder, outside: list[models.WorkOrder], zone: ZoneInfo
) -> int | None:
    """Its own first day, and the end of what comes before it and is placed out of this stretch."""
    limits = [minute_of(one.planned_until) for one in outside if one.planned_until]
    if order.earliest_on:
        limits.append(_day_begins(order.earliest_on, zone))
    return max(limits, default=None)


def _held(order: models.WorkOrder, outside: list[models.WorkOrder]) -> str:
    if order.waiting_for:
        told = {"what": order.get_waiting_for_display(), "why": order.waiting_why}
        return _("waits for %(what)s: %(why)s") % told
    for one in outside:
        if one.planned_until is None:
            told = {"number": one.number, "state": one.get_state_display()}
            return _("waits for %(number)s, which is %(state)s") % told
    return ""


def _day_begins(day: date, zone: ZoneInfo) -> int:
    return minute_of(datetime.combine(day, time(), zone).astimezone(UTC))
