"""One conveyor's rows as the figures of the engineering check, and where each is entered."""

from dataclasses import dataclass

from diagnostics.mechanics.register_check.figures import BeltFigures, Figures, Readings
from plant.loop.parts import GeometryError
from plant.loop.path import Loop, build_loop
from plant.loop.profile import kept_profile
from plant.loop.vocabulary import TakeUpKind
from plant.models import Belt, Conveyor
from plant.selectors.loops import fitted_belt


@dataclass(frozen=True)
class Registered:
    """`component_pks`: by name; `missing`: why there is no loop yet, empty when there is one."""

    figures: Figures
    belt_pk: int | None
    component_pks: dict[str, int]
    missing: str


def registered(conveyor: Conveyor, readings: Readings) -> Registered:
    """Three queries: components, the fitted belt and its splices."""
    rows = list(conveyor.components.all())
    parts = tuple(row.as_part() for row in rows)
    belt = fitted_belt(conveyor)
    loop: Loop | None = None
    missing = ""
    try:
        loop = build_loop(parts)
    except GeometryError as refusal:
        missing = str(refusal)
    tension_kn = conveyor.take_up_tension_kn
    figures = Figures(
        parts=parts,
        loop=loop,
        belt=_belt(belt),
        speed_mps=conveyor.speed_mps,
        centre_distance_m=conveyor.centre_distance_m,
        lift_m=conveyor.lift_m,
        profile=kept_profile(conveyor.profile),
        capacity_tph=conveyor.capacity_tph,
        trough_angle_deg=conveyor.trough_angle_deg,
        take_up_kind=TakeUpKind(conveyor.take_up_kind),
        take_up_tension_n=None if tension_kn is None else tension_kn * 1000,
        readings=readings,
    )
    return Registered(
        figures, belt.pk if belt else None, {row.name: row.pk for row in rows}, missing
    )


def _belt(belt: Belt | None) -> BeltFigures | None:
    if belt is None:
        return None
    return BeltFigures(belt.width_mm, belt.length_m, belt.carcass, belt.mass_kg_m2)
