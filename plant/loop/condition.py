"""What is read of the condition of components and belting, and in which unit it is kept.

Units are those of the register, accepted by the SI: mm, °C, m.
"""

from enum import StrEnum


class Quantity(StrEnum):
    LAGGING_THICKNESS = "lagging_thickness"
    ROLL_SHELL_THICKNESS = "roll_shell_thickness"
    BEARING_TEMPERATURE = "bearing_temperature"
    BLADE_THICKNESS = "blade_thickness"
    TAKE_UP_TRAVEL_USED = "take_up_travel_used"
    CARRY_COVER_THICKNESS = "carry_cover_thickness"
    PULLEY_COVER_THICKNESS = "pulley_cover_thickness"

    @property
    def unit(self) -> str:
        return _UNITS.get(self, "mm")

    @property
    def is_of_belt(self) -> bool:
        """Read on the belt; every other one is read on a component."""
        return self in _OF_BELTS


_UNITS = {Quantity.BEARING_TEMPERATURE: "°C", Quantity.TAKE_UP_TRAVEL_USED: "m"}
_OF_BELTS = frozenset({Quantity.CARRY_COVER_THICKNESS, Quantity.PULLEY_COVER_THICKNESS})
