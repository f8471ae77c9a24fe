"""Orders that wait for a place on the outage sheet, and what to know before giving them one."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.utils.formats import date_format
from django.utils.text import get_text_list
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from workorders.models import WorkOrder
from workorders.planning.outages.plan import Job, Plan
from workorders.selectors.outage_rows import SheetRows
from workorders.span_words import day_words, length_words
from workorders.urgency import Urgency

_RANKS = {urgency.value: rank for rank, urgency in enumerate(Urgency)}


@dataclass(frozen=True)
class Waiting:
    """`notes` are what a planner should know, `holds` what stands against any place."""

    order: WorkOrder
    length: str
    is_assumed: bool
    minutes: int
    people: int
    notes: tuple[str, ...]
    holds: tuple[str, ...]


def waiting_orders(rows: SheetRows, plan: Plan) -> Iterable[Waiting]:
    """The most urgent first, then what is due first."""
    windows: dict[str, int] = {}
    for window in plan.windows.values():
        for belt in window.conveyors:
            windows[belt] = windows.get(belt, 0) + 1
    found = [one for one in rows.orders if one.number not in plan.placements]
    for order in sorted(found, key=lambda one: _rank(one, plan.jobs[one.number])):
        job = plan.jobs[order.number]
        yield Waiting(
            order=order,
            length=length_words(job.minutes),
            is_assumed=not order.hours,
            minutes=job.minutes,
            people=job.people,
            notes=tuple(_notes(order, job, windows, rows)),
            holds=tuple(_holds(job, windows)),
        )


def _rank(order: WorkOrder, job: Job) -> tuple[object, ...]:
    return _RANKS[order.urgency], job.latest or float("inf"), order.raised_at, order.pk


def _notes(order: WorkOrder, job: Job, windows: dict[str, int], rows: SheetRows) -> Iterable[str]:
    zone = rows.plant.zone_info
    if order.planned_for:
        at = date_format(order.planned_for.astimezone(zone), "D j M H:i")
        yield _("planned for %(time)s, without a crew") % {"time": at}
    if job.skills:
        yield get_text_list(sorted(job.skills), _("and"))
    if job.earliest is not None:
        yield _("not before %(day)s") % {"day": day_words(job.earliest, zone)}
    if job.latest is not None:
        yield _("due %(day)s") % {"day": day_words(job.latest - 1, zone)}
    if job.parts_on is not None:
        yield _("parts come on %(day)s") % {"day": day_words(job.parts_on, zone)}
    if job.after:
        yield _("after %(orders)s") % {"orders": get_text_list(sorted(job.after), _("and"))}
    if not job.needs_window:
        yield _("the belt may run")
    elif windows.get(job.conveyor):
        number = windows[job.conveyor]
        told = ngettext("%(number)s window here", "%(number)s windows here", number)
        yield told % {"number": number}


def _holds(job: Job, windows: dict[str, int]) -> Iterable[str]:
    if job.held:
        yield job.held
    if job.parts_missing:
        yield _("parts are missing: %(parts)s") % {"parts": job.parts_missing}
    if job.needs_window and not windows.get(job.conveyor):
        yield _("no window of %(belt)s in this stretch") % {"belt": job.conveyor}
