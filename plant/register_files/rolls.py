"""Whether a roll of a file can have been changed: its group has such a set, the set such a roll."""

from typing import Any

from plant.loop.rolls import RollPlace, rolls_of
from plant.register_files.loops import part_of
from plant.register_files.refusals import Reason


def reasons(
    component: dict[str, Any], conveyor: dict[str, Any], row: dict[str, Any]
) -> list[Reason]:
    """Reasons against a new row; `component` and `conveyor` as they will be."""
    number, roll, changed_on = (row.get(name) for name in ("set_number", "roll", "changed_on"))
    count = component.get("count") or 1
    if number is None:
        return [] if row.get("set_name") else [Reason("set_needed", values={"count": count})]
    if not 1 <= number <= count:
        return [Reason("no_such_set", values={"count": count})]
    known = rolls_of(part_of(component), conveyor.get("trough_angle_deg") or 0.0)
    found = []
    if roll and RollPlace(roll) not in known:
        words = [one.value.replace("_", " ") for one in known]
        found.append(Reason("no_such_roll", "Roll", {"known": words}))
    fitted_on = component.get("fitted_on")
    if fitted_on and changed_on and changed_on < fitted_on:
        found.append(Reason("group_fitted_later", "Changed", {"day": fitted_on.isoformat()}))
    return found
