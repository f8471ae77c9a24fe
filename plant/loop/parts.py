"""Components as the loop sees them: where the belt meets each, and how far a group reaches."""

import math
from dataclasses import dataclass
from functools import cached_property

from plant.loop.vocabulary import CARRYING_ONLY, IDLERS, PULLEYS, RETURN_ONLY, ComponentKind, Run


class GeometryError(ValueError):
    """The parts do not make a loop.

    `part` names the one to mend, None for the loop as a whole; `field` is what to mend about it,
    a field of Part.
    """

    def __init__(self, text: str, part: str | None = None, field: str | None = None) -> None:
        super().__init__(text)
        self.part = part
        self.field = field


class IncompleteLoopError(GeometryError):
    """Nothing is wrong so far, but the head or the tail pulley is still missing."""


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
        Sets are called prefix + first_number, first_number + 1, ... in the direction of travel.
    set_prefix, first_number : str, int
        Numbered groups: what stands before each set's number where that is not the name, and the
        number of the first set.
    diameter_mm, wrap_deg, in_deg, out_deg : float or None
        Pulleys: shell with lagging [mm], arc of contact [deg], direction of travel before and
        after [deg].
    length_m : float or None
        Skirtboard length from a load point on, length of a structure section. [m]
    rolls_per_set : int or None
        Idlers: rolls of each set; None where they are as many as usual (plant/loop/rolls.py).
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
    set_prefix: str = ""
    first_number: int = 1
    rolls_per_set: int | None = None

    @property
    def prefix(self) -> str:
        """What stands before each set's number; the name of anything without numbers."""
        return (self.set_prefix if self.is_numbered else "") or self.name

    @property
    def last_m(self) -> float:
        return self.first_m + (self.spacing_m or 0.0) * (self.count - 1)

    @property
    def last_number(self) -> int:
        return self.first_number + self.count - 1

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
        return self._stations

    @cached_property
    def _stations(self) -> tuple[Station, ...]:
        # Asked for again and again about one case; long belts have thousands of sets.
        if not self.is_numbered:
            return (Station(self.name, self.kind, self.run, self.first_m),)
        return tuple(
            Station(
                f"{self.prefix}{self.first_number + index}",
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
        run where it cannot stand, a pulley without diameter or wrap, a negative length.
    """
    if not part.name.strip():
        raise GeometryError("A component needs a name.", part.name, "name")
    if not (math.isfinite(part.first_m) and part.first_m >= 0):
        raise _refused(part, "first_m", f"position must be from 0 m on, not {part.first_m!r}")
    _check_group(part)
    if part.length_m is not None and not (math.isfinite(part.length_m) and part.length_m >= 0):
        raise _refused(part, "length_m", f"length must be from 0 m on, not {part.length_m!r}")
    run_wanted = _RUN_OF.get(part.kind)
    if run_wanted is not None and part.run is not run_wanted:
        raise _refused(part, "run", f"stands on the {run_wanted.value} run only")
    if part.is_pulley:
        _check_pulley(part)


_RUN_OF = {
    **dict.fromkeys((*CARRYING_ONLY, ComponentKind.HEAD_PULLEY), Run.CARRYING),
    **dict.fromkeys((*RETURN_ONLY, ComponentKind.TAIL_PULLEY), Run.RETURN),
}


def _refused(part: Part, field: str, text: str) -> GeometryError:
    return GeometryError(f"{part.name}: {text}.", part.name, field)


def _check_group(part: Part) -> None:
    if part.count < 1:
        raise _refused(part, "count", f"count must be 1 or more, not {part.count}")
    if part.first_number < 1:
        text = f"the first number must be 1 or more, not {part.first_number}"
        raise _refused(part, "first_number", text)
    if part.spacing_m is not None and not (math.isfinite(part.spacing_m) and part.spacing_m > 0):
        raise _refused(part, "spacing_m", f"spacing must be above 0 m, not {part.spacing_m!r}")
    if part.count > 1 and part.spacing_m is None:
        raise _refused(part, "spacing_m", "a group needs a spacing in metres")


def _check_pulley(part: Part) -> None:
    for field, word, value, most in (
        ("diameter_mm", "diameter in mm", part.diameter_mm, 5000.0),
        ("wrap_deg", "wrap in degrees", part.wrap_deg, 360.0),
    ):
        if value is None or not (math.isfinite(value) and 0 < value <= most):
            said = "missing" if value is None else repr(value)
            text = f"{word} must be above 0 and at most {most:g}, not {said}"
            raise _refused(part, field, f"{text} ({field})")
    for field, angle in (("in_deg", part.in_deg), ("out_deg", part.out_deg)):
        if angle is not None and not math.isfinite(angle):
            raise _refused(part, field, f"angle must be a number of degrees, not {angle!r}")
