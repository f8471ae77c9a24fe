"""Cases as lists show them."""

from django.db.models import Exists, OuterRef, Q, QuerySet

from diagnostics.case_states import CaseState
from diagnostics.models import Case, Complaint, Diagnosis

# Asked for beside the states themselves.
OPEN, TO_LOOK_AT, TO_CONFIRM, ALL = "open ones", "to be looked at", "to be confirmed", "all"
_WITHOUT_CAUSE = (CaseState.OPEN.value, CaseState.LOOKED_AT.value)


def cases_wanted(
    rows: QuerySet[Case], *, state: str = OPEN, plant: str = "", belt: str = "", words: str = ""
) -> QuerySet[Case]:
    """The newest first, filtered; an empty state means the open ones."""
    if plant:
        rows = rows.filter(conveyor__plant__code=plant)
    if belt:
        rows = rows.filter(Q(conveyor__tag__icontains=belt) | Q(conveyor__name__icontains=belt))
    if words:
        said = Complaint.objects.filter(case=OuterRef("pk"), words__icontains=words)
        rows = rows.filter(
            Q(number__icontains=words) | Q(summary__icontains=words) | Q(Exists(said))
        )
    return in_state(rows, state or OPEN).select_related("conveyor__plant", "repeat_of")


def in_state(rows: QuerySet[Case], state: str) -> QuerySet[Case]:
    if state == ALL:
        return rows
    if state == OPEN:
        return rows.filter(pk__in=Case.objects.open().values("pk"))
    if state == TO_LOOK_AT:
        return to_look_at(rows)
    if state == TO_CONFIRM:
        return to_confirm(rows)
    return rows.filter(state=state)


def to_look_at(rows: QuerySet[Case]) -> QuerySet[Case]:
    """Nobody has confirmed a cause yet, and no diagnosis is ready to be confirmed."""
    return rows.filter(~_has_answer(), state__in=_WITHOUT_CAUSE)


def to_confirm(rows: QuerySet[Case]) -> QuerySet[Case]:
    """The evidence supports an answer; a person has to say whether it is right."""
    return rows.filter(_has_answer(), state__in=_WITHOUT_CAUSE)


def _has_answer() -> Exists:
    standing = Diagnosis.objects.filter(
        case=OuterRef("pk"), superseded_at__isnull=True, is_sufficient=True
    )
    # After a mend that did not hold, the answer that led to it waits for nobody any more.
    not_yet_followed = Q(case__cause_found_at__isnull=True) | Q(
        made_at__gt=OuterRef("cause_found_at")
    )
    return Exists(standing.filter(not_yet_followed))
