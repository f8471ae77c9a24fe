"""The cover of a window's pack: what is locked once for which jobs, and who does what when."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import QuerySet
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from diagnostics.selectors.case_report import blocks
from diagnostics.selectors.case_report.blocks import Block
from diagnostics.walking_cautions import walking_cautions
from plant.errors import DomainError
from plant.models import Conveyor
from workorders.models import Crew, OutageWindow, WorkOrder
from workorders.order_states import OrderState
from workorders.part_words import figure
from workorders.selectors.job_papers import forms, sign_off
from workorders.selectors.job_papers.job import job_paper
from workorders.selectors.job_papers.notices import called_off_words
from workorders.selectors.job_papers.rows import JobRecord, records_of
from workorders.selectors.job_papers.sheet import Printing, paper
from workorders.selectors.job_papers.spans import span_words

# What is still to be done; done work needs no sheet.
TO_DO = (OrderState.SCHEDULED.value, OrderState.IN_HAND.value)
# A pack is set while somebody waits for it; so many take some seconds.
MOST_JOBS = 60


class PackIsEmpty(DomainError):
    code = "pack_is_empty"


class PackIsTooLarge(DomainError):
    code = "pack_is_too_large"


@dataclass(frozen=True)
class Pack:
    """The jobs of a window, all or those of one crew, in the order of their times."""

    window: OutageWindow
    crew: Crew | None
    records: list[JobRecord]

    @property
    def belts(self) -> list[Conveyor]:
        found = {one.conveyor.pk: one.conveyor for one in self.records}
        return sorted(found.values(), key=lambda conveyor: conveyor.tag)


def jobs_of(window: OutageWindow, crew: Crew | None = None) -> QuerySet[WorkOrder]:
    orders = WorkOrder.objects.filter(window=window, state__in=TO_DO)
    return (orders.filter(crew=crew) if crew else orders).order_by("planned_for", "pk")


def pack_papers(
    window: OutageWindow, crew: Crew | None, printing: Printing
) -> list[dict[str, Any]]:
    """Cover and sheets; refuses with PackIsEmpty and PackIsTooLarge."""
    orders = jobs_of(window, crew)
    count = orders.count()
    if not count:
        raise PackIsEmpty(_("No job of this window is still to be done. Place orders in it first."))
    if count > MOST_JOBS:
        said = _("%(count)d jobs; a pack holds at most %(most)d. Print one crew at a time.")
        raise PackIsTooLarge(said % {"count": count, "most": MOST_JOBS})
    pack = Pack(window, crew, records_of(orders, printing.now))
    return [_cover(pack, printing), *(job_paper(one, printing) for one in pack.records)]


def _cover(pack: Pack, printing: Printing) -> dict[str, Any]:
    window, plant = pack.window, pack.window.plant
    when = span_words(window.starts_at, window.ends_at, plant)
    return paper(
        heading=window.name,
        dateline=(
            _("Pack of job sheets"),
            when,
            plant.name,
            _("invented demo data") if plant.is_demo else "",
        ),
        address=printing.absolute(reverse("window", args=[window.pk])),
        sections=[
            _called_off(window),
            blocks.section(_("Before anything else"), blocks.cautions(walking_cautions(plant.pk))),
            blocks.section(_("Window"), blocks.facts(_facts(pack, when))),
            *_isolations(pack),
            _in_order(pack),
            blocks.section(_("Signed"), _signatures()),
        ],
        foot=printing.foot(
            [
                (_("Window"), window.name),
                (_("Conveyors"), ", ".join(one.tag for one in pack.belts)),
                (_("When"), when),
                (_("Crew"), str(pack.crew or _("all"))),
            ],
            plant,
        ),
    )


def _called_off(window: OutageWindow) -> Block | None:
    if window.called_off_at is None:
        return None
    return blocks.section(_("Stop"), forms.boxed(called_off_words(window)))


def _facts(pack: Pack, when: str) -> Iterator[tuple[object, object]]:
    window = pack.window
    yield _("When"), when
    yield _("Conveyors down"), "; ".join(str(one) for one in window.conveyors.all())
    yield _("Crews"), "; ".join(_crews(pack.records)) or _("nobody is named")
    yield _("Jobs"), len(pack.records)


def _crews(records: Iterable[JobRecord]) -> Iterator[str]:
    crews: dict[Crew, int] = {}
    for one in records:
        if one.order.crew:
            crews[one.order.crew] = crews.get(one.order.crew, 0) + 1
    for crew, jobs in sorted(crews.items(), key=lambda item: item[0].name):
        people = ngettext("%(count)d person", "%(count)d people", crew.people)
        said = ngettext("%(count)d job", "%(count)d jobs", jobs)
        yield f"{crew.name} ({people % {'count': crew.people}}, {said % {'count': jobs}})"


def _isolations(pack: Pack) -> Iterator[Block]:
    """One for each belt, however many jobs share it."""
    for conveyor in pack.belts:
        sharing = [
            one for one in pack.records if one.conveyor == conveyor and one.order.needs_isolation
        ]
        if not sharing:
            continue
        heading = _("One isolation: %(conveyor)s") % {"conveyor": conveyor}
        yield blocks.section(heading, blocks.lead(_shared(sharing)), *sign_off.points(conveyor))


def _shared(sharing: Sequence[JobRecord]) -> str:
    numbers = ", ".join(one.order.number for one in sharing)
    begins = [one.order.planned_for for one in sharing if one.order.planned_for]
    ends = [one.order.planned_until or one.order.planned_for for one in sharing]
    last = max((one for one in ends if one), default=None)
    when = span_words(min(begins, default=None), last, sharing[0].plant)
    said = _("Shared by %(numbers)s; first to last: %(when)s. It comes off when all are done.")
    return said % {"numbers": numbers, "when": when}


def _in_order(pack: Pack) -> Block:
    columns = (_("When"), _("Order"), _("Conveyor"), _("What"), _("Crew"), "h")
    rows = [_row(one) for one in pack.records]
    widths = (2.6, 1.3, 0.9, 3.6, 1.5, 0.6)
    return blocks.section(
        _("Order of jobs"), forms.form(columns, widths, rows, ticks=[False] * len(rows))
    )


def _row(record: JobRecord) -> tuple[str, ...]:
    order = record.order
    running = "" if order.needs_isolation else _("belt may run")
    return (
        span_words(order.planned_for, order.planned_until, record.plant),
        order.number,
        record.conveyor.tag,
        f"{order.title} ({running})" if running else order.title,
        str(order.crew or "–"),
        "" if order.hours is None else figure(order.hours),
    )


def _signatures() -> Block:
    said = (_("Belts handed over, stopped"), _("All isolations removed"), _("Belts handed back"))
    columns = ("", _("Name"), _("Signature"), _("Day, time"))
    return forms.form(columns, (2, 2, 2, 1.4), [(one, "", "", "") for one in said], tall_mm=9)
