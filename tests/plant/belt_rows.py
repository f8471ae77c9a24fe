"""Work on a conveyor's belt, done as people do it."""

from datetime import UTC, datetime

from plant.loop.belt_life import Turn
from plant.loop.belt_operations import TurnOver
from plant.models import BeltWork, Conveyor, User
from plant.services import belt_works

WORKED_AT = datetime(2026, 3, 10, 8, tzinfo=UTC)


def turn_belt(conveyor: Conveyor, by: User | None = None, note: str = "") -> BeltWork:
    return belt_works.work_on_belt(
        conveyor_id=conveyor.pk,
        belt_id=conveyor.belts.get().pk,
        asked=belt_works.Asked(TurnOver(Turn.ALONG), WORKED_AT.date(), note=note),
        by=by,
        now=WORKED_AT,
        today=WORKED_AT.date(),
    )
