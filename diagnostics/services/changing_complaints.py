"""Changes of a complaint that another system sends: several at once, all or none."""

from dataclasses import dataclass
from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext as _

from diagnostics.models import Case, Complaint
from diagnostics.services import complaints, reporting
from diagnostics.services.complaints import ComplaintChangedMeanwhile
from plant.models import Conveyor


@dataclass(frozen=True)
class Changes:
    """What shall be otherwise; None leaves it as it is.

    `case` takes the complaint into an open case, `conveyor` to another belt, where it joins the
    case named in `join_case`, the only open one, or opens one of its own.
    """

    external_number: str | None = None
    is_withdrawn: bool | None = None
    why: str = ""
    case: Case | None = None
    conveyor: Conveyor | None = None
    join_case: str = ""
    is_new_problem: bool = False


@transaction.atomic
def change_complaint(
    *, complaint_id: int, changes: Changes, version: int | None, now: datetime
) -> Complaint:
    """Make the changes, all or none.

    Refuses with ComplaintChangedMeanwhile unless it is the version that was read, and with what
    the single changes refuse.
    """
    complaint = complaints.lock_complaint(complaint_id)
    if version is not None and complaint.version != version:
        raise ComplaintChangedMeanwhile(_("This complaint was changed meanwhile. Read it again."))
    # A withdrawn one stands again before it is moved, a standing one moves before it is withdrawn.
    if changes.is_withdrawn is False and complaint.withdrawn_at is not None:
        complaints.reinstate_complaint(complaint_id=complaint_id)
    _move(complaint_id, changes, now)
    if changes.external_number is not None:
        complaints.note_external_number(
            complaint_id=complaint_id, external_number=changes.external_number
        )
    if changes.is_withdrawn:
        complaints.withdraw_complaint(complaint_id=complaint_id, why=changes.why, by=None, now=now)
    return Complaint.objects.select_related("plant", "conveyor", "case").get(pk=complaint_id)


def _move(complaint_id: int, changes: Changes, now: datetime) -> None:
    if changes.case is not None:
        complaints.move_complaint(
            complaint_id=complaint_id, to_case_id=changes.case.pk, by=None, now=now
        )
    if changes.conveyor is not None:
        join_id, open_ids = reporting.case_to_join(
            changes.conveyor, changes.join_case, is_new_problem=changes.is_new_problem
        )
        complaints.name_conveyor(
            complaint_id=complaint_id,
            conveyor=changes.conveyor,
            by=None,
            now=now,
            join_case_id=join_id,
            seen_case_ids=open_ids,
        )
