"""Who of a crew is away, from when until when; said, taken back, put back."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from plant.models import User
from plant.services.register_refusals import FieldRefusal
from workorders.models import Crew, CrewAbsence
from workorders.services.moving import FARTHEST_PLAN
from workorders.services.outages.crews import lock_crew
from workorders.services.outages.weighing import weighed

# Who is away longer belongs to the crew no more; engineering judgement.
LONGEST_ABSENCE = timedelta(days=366)


class AbsenceRefused(FieldRefusal):
    code = "absence_refused"


@dataclass(frozen=True)
class AbsenceWanted:
    starts_at: datetime
    ends_at: datetime
    people: int
    why: str = ""


@transaction.atomic
def say_absence(
    *,
    crew_id: int,
    wanted: AbsenceWanted,
    by: User | None,
    now: datetime,
    seen: str | None = None,
) -> CrewAbsence:
    """So many are away; refuses with AbsenceRefused, CrewIsRetired and AsksFirst."""
    crew = lock_crew(crew_id, None)
    _check(crew, wanted, now)
    with weighed(crew.plant, seen=seen, now=now):
        return CrewAbsence.objects.create(
            crew=crew,
            starts_at=wanted.starts_at,
            ends_at=wanted.ends_at,
            people=wanted.people,
            why=wanted.why.strip(),
            said_at=now,
            said_by=by,
        )


@transaction.atomic
def take_back(*, absence_id: int, now: datetime) -> CrewAbsence:
    """They are there after all; nothing can be broken by that, so it is not asked about."""
    absence = _locked(absence_id)
    if absence.taken_back_at is None:
        absence.taken_back_at = now
        absence.save(update_fields=["taken_back_at"])
    return absence


@transaction.atomic
def put_back(*, absence_id: int, now: datetime, seen: str | None = None) -> CrewAbsence:
    """Taking back was a mistake; refuses with AsksFirst."""
    absence = _locked(absence_id)
    with weighed(absence.crew.plant, seen=seen, now=now):
        absence.taken_back_at = None
        absence.save(update_fields=["taken_back_at"])
    return absence


def _locked(absence_id: int) -> CrewAbsence:
    rows = CrewAbsence.objects.select_for_update(of=("self",), no_key=True)
    return rows.select_related("crew__plant").get(pk=absence_id)


def _check(crew: Crew, wanted: AbsenceWanted, now: datetime) -> None:
    if wanted.ends_at <= wanted.starts_at:
        raise AbsenceRefused(_("The absence must end after it begins."), "ends_at")
    if wanted.ends_at <= now:
        raise AbsenceRefused(_("That is past; plans are made for what is to come."), "ends_at")
    if wanted.ends_at - wanted.starts_at > LONGEST_ABSENCE:
        told = _("Longer than a year: give the crew fewer people instead.")
        raise AbsenceRefused(told, "ends_at")
    if wanted.starts_at > now + FARTHEST_PLAN:
        told = _("That is more than ten years ahead. Give a nearer day.")
        raise AbsenceRefused(told, "starts_at")
    if wanted.people > crew.people:
        told = ngettext(
            "The crew has %(count)d person.", "The crew has %(count)d people.", crew.people
        )
        raise AbsenceRefused(told % {"count": crew.people}, "people")
