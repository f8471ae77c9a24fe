"""Whether the components of a conveyor, as a file would leave them, can stand together."""

from decimal import Decimal
from typing import Any

from plant.loop.checks import check_parts, the_ends
from plant.loop.parts import GeometryError, IncompleteLoopError, Part
from plant.loop.vocabulary import ComponentKind, Run
from plant.register_files.planned import PlannedRow
from plant.register_files.refusals import Reason
from plant.register_files.sheets import COMPONENTS
from plant.register_files.standing import StandingConveyor

# Of one conveyor; each one more costs a check of all its parts, and who has so many has others.
_MOST_TOLD = 8


def check(standing: StandingConveyor | None, planned: dict[str, PlannedRow]) -> None:
    """Refuse rows of one conveyor by their name in capitals, each with what is in its way."""
    if not any(plan.writes for plan in planned.values()):
        return
    final = {
        name: row.values
        for name, row in (standing.components.items() if standing else ())
        if name not in planned
    }
    final |= {name: plan.values for name, plan in planned.items() if not plan.reasons}
    parts = {name: part_of(values) for name, values in final.items()}
    for _told in range(_MOST_TOLD):
        try:
            the_ends(check_parts(parts.values()))
        except IncompleteLoopError:
            return
        except GeometryError as error:
            name = _refuse(planned, error)
            if name is None or name not in parts:
                return
            del parts[name]
        else:
            return


def part_of(values: dict[str, Any]) -> Part:
    return Part(
        name=values["name"],
        kind=ComponentKind(values["kind"]),
        run=Run(values["run"]),
        first_m=float(values["first_m"]),
        spacing_m=_metres(values["spacing_m"]),
        count=values["count"],
        is_numbered=values["is_numbered"],
        diameter_mm=values["diameter_mm"],
        wrap_deg=values["wrap_deg"],
        in_deg=values["in_deg"],
        out_deg=values["out_deg"],
        length_m=values["length_m"],
        set_prefix=values["set_prefix"],
        first_number=values["first_number"],
        rolls_per_set=values["rolls_per_set"],
    )


def _metres(value: Decimal | None) -> float | None:
    return None if value is None else float(value)


def _refuse(planned: dict[str, PlannedRow], error: GeometryError) -> str | None:
    """Refuse the row of the part in the way, or every row that changes the conveyor."""
    column = COMPONENTS.by_field.get(error.field or "")
    reason = Reason("geometry", column.header if column else "", {"text": str(error)})
    name = (error.part or "").upper()
    if name in planned:
        planned[name].reasons.append(reason)
        return name
    for plan in planned.values():
        if plan.writes and not plan.reasons:
            plan.reasons.append(reason)
    return None
