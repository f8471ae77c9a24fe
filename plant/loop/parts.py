"""Components as the loop sees them: where the belt meets each, and how far a group reaches."""

import math
from dataclasses import dataclass

from plant.loop.vocabulary import CARRYING_ONLY, IDLERS, PULLEYS, RETURN_ONLY, ComponentKind, Run


class GeometryError(ValueError):
    """The parts do not make a loop; `part` names the one to mend, None for the loop as a whole."""

    def __init__(self, text: str, part: str | None = None) -> None:
        super().__init__(text)
        self.part = part


@dataclass(frozen=True)
class Station:
    """A place on the loop with a name, where a person can stand and look."""

    name: str
    kind: ComponentKind
    run: Run
    position_m: float


@dataclass(frozen=True)
class Part:
    """One component, or one evenly spaced group of idler sets.

    Attributes
    ----------
    name : str
        The component's name, or, for a numbered group, the prefix before each set's number.
    kind, run
        What it is and on which run the belt meets it (head pulley: carrying, tail pulley: return).
    first_m : float
        Loop position of the component, or of the first set of the group. [m]
    spacing_m, count : float, int
        Distance between sets of a group [m] and how many there are; a single set keeps its
        spacing to its neighbours.
    is_numbered : bool
        Sets are called name + 1..count in the direction of travel.
    diameter_mm, wrap_deg, in_deg, out_deg : float or None
        Pulleys: shell with lagging [mm], arc of contact [deg], direction of travel before and
        after [deg].
    length_m : float or None
        Skirtboard length from a load point on, length of a structure section. [m]
    """

    name: str
    kind: ComponentKind
    run: Run
    first_m: float
    spacing_m: float | None = None
    count: int = 1
    is_numbered: bool = False
    diameter_mm: float | None = None
    wrap_deg: float | None = None
    in_deg: float | None = None
    out_deg: float | None = None
    length_m: float | None = None

    @property
    def last_m(self) -> float:
        return self.first_m + (self.spacing_m or 0.0) * (self.count - 1)

    @property
    def is_pulley(self) -> bool:
        return self.kind in PULLEYS

    @property
    def is_idler(self) -> bool:
        return self.kind in IDLERS

    @property
    def arc_m(self) -> float:
        """Belt length on the pulley, 0 for everything else. [m]"""
        if not self.is_pulley:
            return 0.0
        return math.pi * (self.diameter_mm or 0.0) / 1000 * (self.wrap_deg or 0.0) / 360

    def stations(self) -> tuple[Station, ...]:
        """Every set of a group, in the direction of travel; one station for anything else."""
        if not self.is_numbered:
            return (Station(self.name, self.kind, self.run, self.first_m),)
        return tuple(
            Station(
                f"{self.name}{index + 1}",
                self.kind,
                self.run,
                round(self.first_m + index * (self.spacing_m or 0.0), 6),
            )
            for index in range(self.count)
        )


def check_part(part: Part) -> None:
    """Refuse what no single component can be.

    Raises
    ------
    GeometryError
        Position not finite or negative, an empty group, a group without spacing, a kind on the
        run where it cannot stand, a pulley without diameter or wrap.
    """
    if not (math.isfinite(part.first_m) and part.first_m >= 0):
        raise GeometryError(
            f"{part.name}: position must be a number from 0 m on, not {part.first_m!r}.", part.name
        )
    if part.count < 1:
        raise GeometryError(f"{part.name}: count must be 1 or more, not {part.count}.", part.name)
    if part.spacing_m is not None and not (math.isfinite(part.spacing_m) and part.spacing_m > 0):
        raise GeometryError(
            f"{part.name}: spacing must be above 0 m, not {part.spacing_m!r}.", part.name
        )
    if part.count > 1 and part.spacing_m is None:
        raise GeometryError(f"{part.name}: a group needs a spacing in metres.", part.name)
    if part.kind in CARRYING_ONLY and part.run is not Run.CARRYING:
        raise GeometryError(f"{part.name}: stands on the carrying run only.", part.name)
    if part.kind in RETURN_ONLY and part.run is not Run.RETURN:
        raise GeometryError(f"{part.name}: stands on the return run only.", part.name)
    if part.is_pulley:
        for word, value, most in (
            ("diameter_mm", part.diameter_mm, 5000.0),
            ("wrap_deg", part.wrap_deg, 360.0),
        ):
            if value is None or not (math.isfinite(value) and 0 < value <= most):
                raise GeometryError(
                    f"{part.name}: {word} must be above 0 and at most {most:g}, not {value!r}.",
                    part.name,
                )
