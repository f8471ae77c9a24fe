"""Crews: who they are, what they can do, when they work; added, changed, retired, brought back."""

import logging
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db import IntegrityError, transaction
from django.utils.translation import gettext as _

from plant.models import Plant, User
from plant.services.register_refusals import FieldRefusal, check_version
from workorders.models import Crew, CrewShift
from workorders.planning.outages.shifts import WeeklyShift, first_overlap
from workorders.services.outages.weighing import weighed

logger = logging.getLogger(__name__)


class CrewNameTaken(FieldRefusal):
    code = "crew_name_taken"


class ShiftsOverlap(FieldRefusal):
    code = "shifts_overlap"


class CrewIsRetired(FieldRefusal):
    code = "crew_is_retired"


@dataclass(frozen=True)
class CrewWanted:
    name: str
    people: int
    skills: Sequence[str]
    overtime_minutes: int = 0


@transaction.atomic
def add_crew(
    *, plant: Plant, wanted: CrewWanted, shifts: Iterable[WeeklyShift] = (), by: User | None
) -> Crew:
    """Add a crew; refuses with CrewNameTaken and ShiftsOverlap."""
    crew = Crew(plant=plant)
    _fill(crew, wanted)
    _save(crew)
    _write_shifts(crew, shifts)
    logger.info("Crew %s added by %s.", crew.pk, by)
    return crew


@transaction.atomic
def change_crew(
    *,
    crew_id: int,
    wanted: CrewWanted,
    version: int | None,
    by: User | None,
    now: datetime,
    seen: str | None = None,
) -> Crew:
    """Refuses with StaleForm, CrewNameTaken, CrewIsRetired and AsksFirst."""
    crew = lock_crew(crew_id, version)
    with weighed(crew.plant, seen=seen, now=now):
        _fill(crew, wanted)
        crew.version += 1
        _save(crew)
    return crew


@transaction.atomic
def set_shifts(
    *,
    crew_id: int,
    shifts: Iterable[WeeklyShift],
    version: int | None,
    by: User | None,
    now: datetime,
    seen: str | None = None,
) -> Crew:
    """The week of a crew, anew as a whole; refuses as `change_crew` and with ShiftsOverlap."""
    crew = lock_crew(crew_id, version)
    with weighed(crew.plant, seen=seen, now=now):
        crew.shifts.all().delete()
        _write_shifts(crew, shifts)
        crew.version += 1
        crew.save()
    return crew


@transaction.atomic
def retire_crew(
    *,
    crew_id: int,
    on: date,
    version: int | None,
    by: User | None,
    now: datetime,
    seen: str | None = None,
) -> Crew:
    """No work is planned for it any more; orders placed with it keep their place, marked."""
    crew = lock_crew(crew_id, version)
    with weighed(crew.plant, seen=seen, now=now):
        crew.retired_on = on
        crew.version += 1
        crew.save()
    return crew


@transaction.atomic
def bring_back(*, crew_id: int, by: User | None) -> Crew:
    crew = lock_crew(crew_id, None, also_retired=True)
    if crew.retired_on is not None:
        crew.retired_on = None
        crew.version += 1
        crew.save()
    return crew


def lock_crew(crew_id: int, version: int | None, *, also_retired: bool = False) -> Crew:
    crew = (
        Crew.objects.select_for_update(of=("self",), no_key=True)
        .select_related("plant")
        .get(pk=crew_id)
    )
    check_version(crew, version)
    if crew.retired_on is not None and not also_retired:
        raise CrewIsRetired(_("This crew is retired. Bring it back first."))
    return crew


def _fill(crew: Crew, wanted: CrewWanted) -> None:
    crew.name, crew.people = wanted.name, wanted.people
    crew.skills = list(wanted.skills)
    crew.overtime_minutes = wanted.overtime_minutes


def _save(crew: Crew) -> None:
    try:
        with transaction.atomic():
            crew.save()
    except IntegrityError as error:
        # Its name is the only thing that can stand in the way.
        raise CrewNameTaken(_("Another crew of this plant has this name."), "name") from error


def _write_shifts(crew: Crew, shifts: Iterable[WeeklyShift]) -> None:
    wanted = sorted(set(shifts))
    if both := first_overlap(wanted):
        told = _("Two shifts share time: %(one)s and %(other)s.")
        one, other = (str(_row(crew, shift)) for shift in both)
        raise ShiftsOverlap(told % {"one": one, "other": other}, f"day_{both[1].weekday}")
    CrewShift.objects.bulk_create(_row(crew, shift) for shift in wanted)


def _row(crew: Crew, shift: WeeklyShift) -> CrewShift:
    return CrewShift(
        crew=crew, weekday=shift.weekday, begins_at=shift.begins_at, ends_at=shift.ends_at
    )
