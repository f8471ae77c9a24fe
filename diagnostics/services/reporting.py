"""Complaints that another system hands in: it cannot be shown open cases and asked."""

from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext as _

from diagnostics.models import Case, Complaint
from diagnostics.services import complaints
from diagnostics.services.complaints import Report
from plant.errors import DomainError
from plant.models import Conveyor, Plant


class SeveralOpenCases(DomainError):
    code = "several_open_cases"


class UnknownCase(DomainError):
    code = "unknown_case"


@transaction.atomic
def hand_in_complaint(
    *,
    plant: Plant,
    report: Report,
    now: datetime,
    join_case: str = "",
    is_new_problem: bool = False,
) -> tuple[Complaint, bool]:
    """Keep a complaint and say whether it opened a case of its own.

    It joins the only case that is open on its conveyor, unless it names another or says that it is
    a new problem. Refuses with SeveralOpenCases and UnknownCase.
    """
    if report.conveyor is None:
        return complaints.take_complaint(plant=plant, report=report, by=None, now=now), False
    join_id, open_ids = case_to_join(report.conveyor, join_case, is_new_problem=is_new_problem)
    complaint = complaints.take_complaint(
        plant=plant,
        report=report,
        by=None,
        now=now,
        join_case_id=join_id,
        seen_case_ids=open_ids,
    )
    return complaint, join_id is None


def case_to_join(
    conveyor: Conveyor, join_case: str, *, is_new_problem: bool
) -> tuple[int | None, frozenset[int]]:
    """Which case a complaint joins, None for one of its own, and those open on the conveyor.

    Refuses with SeveralOpenCases and UnknownCase.
    """
    # Locked before looking, so that no case opens between the look and the complaint.
    conveyor = complaints.lock_conveyor(conveyor.pk)
    open_ids = complaints.open_case_ids(conveyor)
    if join_case:
        return _case_named(join_case, conveyor), open_ids
    return None if is_new_problem else _the_only(open_ids), open_ids


def _case_named(number: str, conveyor: Conveyor) -> int:
    case_id = (
        Case.objects.filter(conveyor=conveyor, number=number).values_list("pk", flat=True).first()
    )
    if case_id is None:
        raise UnknownCase(
            _("No case %(number)s is known on conveyor %(tag)s.")
            % {"number": number, "tag": conveyor.tag}
        )
    return case_id


def _the_only(open_ids: frozenset[int]) -> int | None:
    if len(open_ids) > 1:
        numbers = (
            Case.objects.filter(pk__in=open_ids).order_by("pk").values_list("number", flat=True)
        )
        raise SeveralOpenCases(
            _(
                "Several cases are open on this conveyor: %(numbers)s. Name one in join_case, or "
                "say new_problem."
            )
            % {"numbers": ", ".join(numbers)}
        )
    return next(iter(open_ids), None)
