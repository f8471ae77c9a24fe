"""Taking a complaint: a repeat joins its case, a new problem opens one."""

from dataclasses import dataclass, fields
from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext as _

from diagnostics.models import Case, Complaint
from diagnostics.services import cases
from plant.errors import DomainError
from plant.models import Conveyor, Plant, User


class OpenCasesUnseen(DomainError):
    """Somebody opened a case on this conveyor that the person taking the complaint has not seen."""

    code = "open_cases_unseen"


class CaseOfAnotherConveyor(DomainError):
    code = "case_of_another_conveyor"


class ConveyorOfAnotherPlant(DomainError):
    code = "conveyor_of_another_plant"


class ConveyorMissing(DomainError):
    code = "conveyor_missing"


class ComplaintWithdrawn(DomainError):
    code = "complaint_withdrawn"


class ReasonMissing(DomainError):
    code = "reason_missing"


class ComplaintChangedMeanwhile(DomainError):
    code = "complaint_changed_meanwhile"


@dataclass(frozen=True)
class Report:
    """What the caller said and who they are; `conveyor` is None while nobody is sure."""

    words: str
    conveyor: Conveyor | None = None
    how_bad: str = Complaint.HowBad.OFF_CENTRE
    roughly_where: str = ""
    people_near: str = ""
    caller_name: str = ""
    caller_contact: str = ""
    shift: str = ""
    external_number: str = ""


@transaction.atomic
def take_complaint(
    *,
    plant: Plant,
    report: Report,
    by: User | None,
    now: datetime,
    join_case_id: int | None = None,
    seen_case_ids: frozenset[int] = frozenset(),
) -> Complaint:
    """Keep the complaint and put it into a case: the one joined, or a new one.

    Without a conveyor it waits in the list. Refuses with OpenCasesUnseen when a case is open that
    the person was not shown, so that a repeat is never opened twice by two clerks at once.
    """
    case = None
    if report.conveyor is not None:
        _check_plant(report.conveyor, plant)
        case = _case_for(report, join_case_id, seen_case_ids, by=by, now=now)
    said = {one.name: getattr(report, one.name) for one in fields(report)}
    return Complaint.objects.create(plant=plant, case=case, received_at=now, received_by=by, **said)


def _case_for(
    report: Report,
    join_case_id: int | None,
    seen_case_ids: frozenset[int],
    *,
    by: User | None,
    now: datetime,
) -> Case:
    assert report.conveyor is not None
    # Two clerks with the same belt on the telephone: the second waits here and then sees the
    # first one's case.
    conveyor = lock_conveyor(report.conveyor.pk)
    if join_case_id is not None:
        return _case_to_join(join_case_id, conveyor)
    unseen = conveyor.cases.filter(pk__in=open_case_ids(conveyor) - seen_case_ids).first()
    if unseen is not None:
        raise OpenCasesUnseen(
            _("%(number)s is already open on this conveyor. Is it the same problem?")
            % {"number": unseen.number}
        )
    return cases.open_case(conveyor=conveyor, summary=report.words, by=by, now=now)


def lock_conveyor(conveyor_id: int) -> Conveyor:
    found = Conveyor.objects.select_for_update(no_key=True).filter(pk=conveyor_id).first()
    if found is None:
        raise ConveyorMissing(_("This conveyor is no longer in the register."))
    return found


def open_case_ids(conveyor: Conveyor) -> frozenset[int]:
    return frozenset(Case.objects.open().filter(conveyor=conveyor).values_list("pk", flat=True))


def _case_to_join(case_id: int, conveyor: Conveyor) -> Case:
    # Asked before the case is locked: a refusal must not tell about cases of other plants.
    if not conveyor.cases.filter(pk=case_id).exists():
        raise CaseOfAnotherConveyor(
            _("This case is not about %(tag)s. Look at what is open on it.") % {"tag": conveyor.tag}
        )
    return cases.lock_open_case(case_id)


def _check_plant(conveyor: Conveyor, plant: Plant) -> None:
    if conveyor.plant_id != plant.pk:
        raise ConveyorOfAnotherPlant(
            _("%(tag)s is not a conveyor of %(plant)s.") % {"tag": conveyor.tag, "plant": plant}
        )


def lock_complaint(complaint_id: int) -> Complaint:
    return (
        Complaint.objects.select_for_update(of=("self",), no_key=True)
        .select_related("plant")
        .get(pk=complaint_id)
    )


@transaction.atomic
def move_complaint(
    *, complaint_id: int, to_case_id: int, by: User | None, now: datetime
) -> Complaint:
    """Put a complaint into another open case of its plant; its conveyor becomes the case's."""
    complaint = _standing(complaint_id)
    case = cases.lock_open_case(to_case_id)
    _check_plant(case.conveyor, complaint.plant)
    complaint.case, complaint.conveyor = case, case.conveyor
    return _saved(complaint)


@transaction.atomic
def name_conveyor(
    *,
    complaint_id: int,
    conveyor: Conveyor,
    by: User | None,
    now: datetime,
    join_case_id: int | None = None,
    seen_case_ids: frozenset[int] = frozenset(),
) -> Complaint:
    """Say later which belt it was, with the same choice of joining a case or opening one."""
    complaint = _standing(complaint_id)
    _check_plant(conveyor, complaint.plant)
    report = Report(words=complaint.words, conveyor=conveyor)
    complaint.case = _case_for(report, join_case_id, seen_case_ids, by=by, now=now)
    complaint.conveyor = conveyor
    return _saved(complaint)


@transaction.atomic
def withdraw_complaint(*, complaint_id: int, why: str, by: User | None, now: datetime) -> Complaint:
    """Mark a complaint as withdrawn, with the reason; its case stays and is ended by a person."""
    if not why.strip():
        raise ReasonMissing(_("Say why the complaint is withdrawn."))
    complaint = _standing(complaint_id)
    complaint.withdrawn_at, complaint.withdrawn_why = now, why.strip()[:400]
    return _saved(complaint)


@transaction.atomic
def reinstate_complaint(*, complaint_id: int) -> Complaint:
    """Take a withdrawal back."""
    complaint = lock_complaint(complaint_id)
    complaint.withdrawn_at, complaint.withdrawn_why = None, ""
    return _saved(complaint)


@transaction.atomic
def note_external_number(*, complaint_id: int, external_number: str) -> Complaint:
    """What the complaint is called in the other system, also once it is withdrawn."""
    complaint = lock_complaint(complaint_id)
    complaint.external_number = external_number.strip()
    return _saved(complaint)


def _standing(complaint_id: int) -> Complaint:
    complaint = lock_complaint(complaint_id)
    if complaint.withdrawn_at is not None:
        raise ComplaintWithdrawn(_("This complaint is withdrawn. Take the withdrawal back first."))
    return complaint


def _saved(complaint: Complaint) -> Complaint:
    complaint.version += 1
    complaint.save()
    return complaint
