"""The running hours that the cases of an invented plant cost, where somebody wrote them down."""

from collections.abc import Sequence
from decimal import Decimal

from diagnostics.case_states import CaseState
from diagnostics.models import Case
from diagnostics.services import cases as service
from plant.models import Plant
from plant.roles import Role
from workorders.services.demo_history.cast import Cast
from workorders.services.demo_history.files import read

_UNSAID = "-"


def note_hours(plant: Plant, cast: Cast) -> None:
    """A planner noted them once a case was closed; some were forgotten."""
    planner = cast.by_role[Role.PLANNER][0]
    for tag, hours in read("lost_hours.yaml")["lost_hours"].items():
        for number, lost in _said(_closed(plant, tag), hours):
            service.note_lost_hours(case_id=number, lost_hours=lost, by=planner)


def _closed(plant: Plant, tag: str) -> list[int]:
    rows = Case.objects.filter(
        conveyor__plant=plant, conveyor__tag=tag, state=CaseState.CLOSED.value
    )
    return list(rows.order_by("opened_at", "pk").values_list("pk", flat=True))


def _said(cases: Sequence[int], hours: Sequence[float | str]) -> list[tuple[int, Decimal]]:
    pairs = zip(cases, hours, strict=False)
    return [(case, Decimal(str(lost))) for case, lost in pairs if lost != _UNSAID]
