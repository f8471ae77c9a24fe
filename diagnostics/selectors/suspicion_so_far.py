"""What is suspected while a person still walks, and which look would tell most."""

from dataclasses import dataclass

from diagnostics.models import Case, Diagnosis
from diagnostics.selectors.walk_route import Place, Route

CLASSES_SHOWN = 3


@dataclass(frozen=True)
class SuspicionSoFar:
    """`classes` are (class, probability), the likeliest first; `is_behind` while a look waits."""

    classes: list[tuple[str, float]]
    first: dict[str, object] | None
    is_sufficient: bool
    is_behind: bool
    check: dict[str, object] | None
    check_at: Place | None


def suspicion_so_far(case: Case, route: Route) -> SuspicionSoFar | None:
    """By the standing diagnosis; None while there is none."""
    made: Diagnosis | None = case.diagnoses.filter(superseded_at__isnull=True).first()
    if made is None:
        return None
    answer = made.answer
    check = next((one for one in answer["next_checks"] if not one["needs_stop"]), None)
    return SuspicionSoFar(
        classes=[(one["class"], one["probability"]) for one in answer["classes"][:CLASSES_SHOWN]],
        first=answer["ranked"][0] if answer["ranked"] else None,
        is_sufficient=made.is_sufficient,
        is_behind=case.diagnosis_owed_at is not None,
        check=check,
        check_at=_station(check["where"], route) if check else None,
    )


def _station(where: str, route: Route) -> Place | None:
    """The station that a check names first, if it names one."""
    return route.place_named(where.split(" at ")[0]) if route.loop else None
