"""How long a proof run takes on a conveyor."""

import math
from dataclasses import dataclass

from plant.loop.parts import GeometryError
from plant.loop.path import belt_revolution_time_s
from plant.models import Conveyor
from plant.selectors.loops import fitted_belt, loop_of
from workorders.proof_rules import LEAST_REVOLUTIONS


@dataclass(frozen=True)
class TimeToWatch:
    revolutions: int
    revolution_s: float

    @property
    def minutes(self) -> int:
        """Of one load state, rounded up. [min]"""
        return math.ceil(self.revolutions * self.revolution_s / 60)


def time_to_watch(conveyor: Conveyor) -> TimeToWatch | None:
    """None while the register knows neither a belt nor a closed loop."""
    belt = fitted_belt(conveyor)
    try:
        length_m = belt.length_m if belt else loop_of(conveyor).length_m
    except GeometryError:
        return None
    return TimeToWatch(LEAST_REVOLUTIONS, belt_revolution_time_s(length_m, conveyor.speed_mps))
