"""Rolls of a conveyor's idler sets, changed as people write them down."""

from datetime import date
from typing import Any

from plant.loop.rolls import RollPlace, WhyChanged
from plant.models import Conveyor, RollChange, User
from plant.services import changing_rolls
from plant.services.changing_rolls import Changed

TODAY = date(2026, 3, 10)
LEFT, CENTRE, RIGHT = RollPlace.LEFT_WING, RollPlace.CENTRE, RollPlace.RIGHT_WING


def change(
    conveyor: Conveyor,
    sets: str,
    *rolls: RollPlace,
    of: str = "C",
    by: User | None = None,
    **more: Any,
) -> list[RollChange]:
    given = {"changed_on": TODAY, "why": WhyChanged.NOISY_BEARING, **more}
    return changing_rolls.change_rolls(
        conveyor_id=conveyor.pk,
        component_id=conveyor.components.get(name=of).pk,
        changed=Changed(sets, rolls or (LEFT,), **given),
        by=by,
        today=TODAY,
    )
