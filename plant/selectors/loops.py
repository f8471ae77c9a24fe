"""A conveyor's rows as the pure loop."""

from plant.loop.path import Loop, build_loop
from plant.models import Belt, Conveyor


def fitted_belt(conveyor: Conveyor) -> Belt | None:
    """The belt that is on now, with its splices."""
    return conveyor.belts.filter(removed_on__isnull=True).prefetch_related("splices").first()


def loop_of(conveyor: Conveyor, *, belt: Belt | None = None) -> Loop:
    """Build the loop from the register; raises GeometryError while it is not complete."""
    parts = [component.as_part() for component in conveyor.components.all()]
    return build_loop(parts, belt_length_m=belt.length_m if belt else None)
