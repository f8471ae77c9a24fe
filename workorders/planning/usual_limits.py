"""At which reading a part is renewed where nobody has set a limit.

Engineering judgement, to be set by each plant: makers and duties differ. Of take-up travel there is
none, as it depends on the take-up.
"""

from plant.loop.condition import Quantity

USUAL_LIMITS: dict[Quantity, float] = {
    # Ceramic or grooved rubber below this no longer drives or sheds water.
    Quantity.LAGGING_THICKNESS: 4.0,
    # A shell this thin may break through and its edge cut the belt.
    Quantity.ROLL_SHELL_THICKNESS: 2.0,
    Quantity.BEARING_TEMPERATURE: 80.0,
    Quantity.NOISE_GRADE: 4.0,
    Quantity.BLADE_THICKNESS: 10.0,
    # Before the carcass shows.
    Quantity.CARRY_COVER_THICKNESS: 1.5,
    Quantity.PULLEY_COVER_THICKNESS: 1.0,
}
