"""Close inspections of components, yes or no."""

import uuid
from collections.abc import Sequence
from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext as _

from diagnostics.models import Case, Finding
from diagnostics.selectors import shelf
from diagnostics.services import cases, diagnosing
from diagnostics.services import photos as photo_service
from diagnostics.services.photos import About, SentPhoto
from plant.errors import DomainError
from plant.models import Component, User


class UnknownCause(DomainError):
    code = "unknown_cause"


class ComponentOfAnotherConveyor(DomainError):
    code = "component_of_another_conveyor"


class FindingChangedMeanwhile(DomainError):
    code = "finding_changed_meanwhile"


def record_finding(
    *,
    case_id: int,
    cause: str,
    is_present: bool,
    by: User | None,
    now: datetime,
    component: Component | None = None,
    place: str = "",
    note: str = "",
    photos: Sequence[SentPhoto] = (),
    found_at: datetime | None = None,
    client_id: uuid.UUID | None = None,
) -> Finding:
    """Keep what a close look at one cause showed, with its photos or not at all.

    `found_at` is earlier than now when a phone tells later, with the id it gave the finding.

    Refuses with UnknownCause, ComponentOfAnotherConveyor and what `take_photos` refuses.
    """
    keeping = photo_service.stored(case_id=case_id, sent=photos, now=now)
    with keeping as pictures, transaction.atomic():
        case = cases.lock_open_case(case_id)
        _check_known(cause, case)
        _check_stands_here(component, case)
        cases.begin_looking(case, by=by, now=now)
        finding = Finding.objects.create(
            case=case,
            client_id=client_id or uuid.uuid4(),
            component=component,
            place=place.strip() or (component.name if component else ""),
            cause=cause,
            is_present=is_present,
            note=note.strip(),
            found_at=found_at or now,
            found_by=by,
        )
        about = About(finding=finding, place=finding.place)
        photo_service.keep(case, pictures, about=about, by=by, now=now)
        diagnosing.owe_diagnosis(case, now=now)
    return finding


def _check_known(cause: str, case: Case) -> None:
    if cause not in shelf.knowledge_of(case.conveyor.plant_id).causes:
        raise UnknownCause(_("%(cause)s is no cause of the catalogue.") % {"cause": cause})


def _check_stands_here(component: Component | None, case: Case) -> None:
    if component is not None and component.conveyor_id != case.conveyor_id:
        raise ComponentOfAnotherConveyor(
            _("%(name)s stands on another conveyor.") % {"name": component.name}
        )


@transaction.atomic
def count_finding(
    *, finding_id: int, case_id: int, counts: bool, now: datetime, version: int | None = None
) -> Finding:
    """Take a finding back or make it count again, as asked; it stays readable.

    Asked for what stands already, nothing changes. Refuses with CaseHasEnded, and with
    FindingChangedMeanwhile unless it is the version that was read.
    """
    case = cases.lock_open_case(case_id)
    finding = Finding.objects.select_for_update(no_key=True).get(pk=finding_id, case=case)
    if version is not None and finding.version != version:
        raise FindingChangedMeanwhile(_("Somebody changed this look meanwhile. Read it again."))
    if counts is not (finding.taken_back_at is None):
        finding.taken_back_at = None if counts else now
        finding.version += 1
        finding.save(update_fields=["taken_back_at", "version"])
        diagnosing.owe_diagnosis(case, now=now)
    return finding
