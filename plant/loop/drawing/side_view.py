"""Where the pulleys stand on the drawing: places true along the conveyor, sizes readable.

A loop of a kilometre is a metre high, so pulleys, take-up and height are drawn larger than true;
pulleys that stand close together keep their order and their arrangement, not their distances.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from plant.loop.drawing.bends import with_bends
from plant.loop.drawing.ground import Ground, even_ground, surveyed_ground
from plant.loop.drawing.side_path import SidePath, Wheel, run_belt
from plant.loop.parts import Part
from plant.loop.path import Loop
from plant.loop.profile import Profile
from plant.loop.turns import is_closed, turns_of
from plant.loop.vocabulary import ComponentKind, Run


@dataclass(frozen=True)
class Frame:
    """Sizes of one layout, in drawing units.

    Attributes
    ----------
    width : float
        From the tail's to the head's centre.
    end_radius, least_radius, most_radius : float
        Head and tail; smallest and largest of the other pulleys.
    leg : float
        Least height of a strand that hangs to a take-up.
    rise : float
        Greatest height of the lift.
    apart : float
        Room kept beside a group of pulleys that hangs below the return run.
    shown_m : (float, float) or None
        The stretch of the structure whose heights have to fit into `rise`; None for all. [m]
    shortest, longest : float
        Between pulleys that are drawn as one arrangement.
    """

    width: float
    end_radius: float
    least_radius: float
    most_radius: float
    leg: float
    rise: float
    apart: float
    shown_m: tuple[float, float] | None = None
    shortest: float = 9.0
    longest: float = 46.0


@dataclass(frozen=True)
class SideView:
    """The laid out loop.

    Attributes
    ----------
    path : SidePath
    wheels : tuple of Wheel
        In the order of `loop.pulleys`.
    ground : Ground
        The line of the structure.
    hanging : tuple of tuples of Wheel
        Groups of pulleys that hang below the return run.
    is_schematic : bool
        The angles of the pulleys make no loop: only head and tail turn the belt.
    distances : tuple of (float, float)
        Loop positions, rising, and how far along the structure each truly lies. [m]
    """

    path: SidePath
    wheels: tuple[Wheel, ...]
    hanging: tuple[tuple[Wheel, ...], ...]
    ground: Ground
    is_schematic: bool
    distances: tuple[tuple[float, float], ...]

    def along_m(self, position_m: float) -> float:
        """How far along the structure a loop position truly lies. [m]"""
        places, alongs = zip(*self.distances, strict=True)
        return float(np.interp(position_m, places, alongs))

    @property
    def below(self) -> float:
        """Room for a weight below the lowest pulley."""
        return max((wheel.radius for group in self.hanging for wheel in group), default=0.0)


@dataclass
class _Group:
    """Pulleys drawn as one arrangement, from where the belt meets the first of them."""

    parts: list[Part]
    turns: list[float]
    heading: float
    entry_m: float
    wheels: list[Wheel]
    exit_x: float = 0.0
    exit_y: float = 0.0
    x: float = 0.0
    y: float = 0.0

    @property
    def left(self) -> float:
        return min([0.0, *(wheel.x - wheel.radius for wheel in self.wheels)])

    @property
    def right(self) -> float:
        return max([0.0, *(wheel.x + wheel.radius for wheel in self.wheels)])

    @property
    def hangs(self) -> bool:
        """Whether it reaches so far below the return run that a lane has to pass round it."""
        lowest = min(wheel.y - wheel.radius for wheel in self.wheels)
        return len(self.wheels) > 1 and lowest < -3 * self.wheels[0].radius


# Straight pieces shorter than this on the drawing belong to one arrangement of pulleys.
_CLOSE = 34.0
_ALONG = 0.7
# A surveyed profile is worth more height on the sheet than a mere lift.
_SURVEYED_RISE = 1.6
# A carrying run may go up and down and, at a tripper, back a little; not most of its way.
_TOWARD_HEAD = 0.5


def side_view(
    loop: Loop, frame: Frame, *, lift_m: float = 0.0, profile: Profile | None = None
) -> SideView:
    """Lay the loop out in a frame, tail left and head right.

    Parameters
    ----------
    loop : Loop
    frame : Frame
    lift_m : float
        Height of the head above the tail, negative downhill; counts without a profile. [m]
    profile : Profile or None
        Heights of the carrying run; the return run is taken to follow it.
    """
    pulleys = loop.pulleys
    turns = turns_of(pulleys)
    is_schematic = not is_closed(turns) or not _leads_to_the_head(pulleys, turns)
    if is_schematic:
        pulleys = loop.of_kind(ComponentKind.HEAD_PULLEY, ComponentKind.TAIL_PULLEY)
        turns = (-180.0, -180.0)
    length_m = _along_m(pulleys, turns)[_head_index(pulleys)]
    ground = _ground(frame, length_m, lift_m, profile)
    groups = _groups(pulleys, turns, frame, ground)
    _place(groups, frame, ground)
    flat = [wheel for group in groups for wheel in _placed(group)]
    placed = [_lifted(_placed(group), ground) for group in groups]
    wheels = tuple(wheel for group in placed for wheel in group)
    hanging = tuple(there for group, there in zip(groups, placed, strict=True) if group.hangs)
    distances = _distances(pulleys, turns, loop.length_m)
    path = _bent(run_belt(flat, loop.length_m), wheels, ground, hanging, frame.apart)
    return SideView(path, wheels, hanging, ground, is_schematic, distances)


def _bent(
    flat: SidePath,
    wheels: tuple[Wheel, ...],
    ground: Ground,
    hanging: tuple[tuple[Wheel, ...], ...],
    apart: float,
) -> SidePath:
    """The belt bent as the structure is; where a slope leaves it no room, on fewer runs."""
    for runs in (tuple(Run), (Run.CARRYING,)):
        found = run_belt(with_bends(flat, wheels, ground, hanging, apart, runs), flat.length_m)
        if found.is_unbroken:
            return found
    return run_belt(wheels, flat.length_m)


def _ground(frame: Frame, length_m: float, lift_m: float, profile: Profile | None) -> Ground:
    if profile is None:
        return even_ground(length_m, frame.width, lift_m, frame.rise, frame.shown_m)
    return surveyed_ground(
        profile, length_m, frame.width, _SURVEYED_RISE * frame.rise, frame.shown_m
    )


def _placed(group: _Group) -> list[Wheel]:
    return [replace(wheel, x=group.x + wheel.x, y=group.y + wheel.y) for wheel in group.wheels]


def _lifted(wheels: Sequence[Wheel], ground: Ground) -> tuple[Wheel, ...]:
    """By the height where each stands, so what hangs stays plumb.

    On a surveyed slope, which can be steep, an arrangement is lifted as one and keeps its form.
    """
    middle = sum(wheel.x for wheel in wheels) / len(wheels)
    places = [middle if ground.is_surveyed else wheel.x for wheel in wheels]
    return tuple(
        replace(wheel, y=wheel.y + ground.rise_at(x))
        for wheel, x in zip(wheels, places, strict=True)
    )


def _leads_to_the_head(pulleys: Sequence[Part], turns: Sequence[float]) -> bool:
    """Whether the carrying run leads on the whole from the tail toward the head."""
    head = _head_index(pulleys)
    return _along_m(pulleys, turns)[head] > _TOWARD_HEAD * pulleys[head].first_m


def _head_index(pulleys: Sequence[Part]) -> int:
    return next(
        index for index, part in enumerate(pulleys) if part.kind is ComponentKind.HEAD_PULLEY
    )


def _along_m(pulleys: Sequence[Part], turns: Sequence[float]) -> list[float]:
    """True distance along the conveyor where the belt meets each pulley, from the tail. [m]"""
    along, heading, left_m, found = 0.0, 0.0, 0.0, []
    for part, turn in zip(pulleys, turns, strict=True):
        along += (part.first_m - left_m) * math.cos(heading)
        found.append(along)
        radius = math.copysign((part.diameter_mm or 0.0) / 2000, turn)
        leaving = heading + math.radians(turn)
        along += radius * (math.sin(leaving) - math.sin(heading))
        heading, left_m = leaving, part.first_m + part.arc_m
    return found


def _distances(
    pulleys: Sequence[Part], turns: Sequence[float], length_m: float
) -> tuple[tuple[float, float], ...]:
    found = [(0.0, 0.0)]
    for part, along in zip(pulleys, _along_m(pulleys, turns), strict=True):
        found.append((part.first_m, along))
        if part.first_m + part.arc_m < length_m:
            found.append((part.first_m + part.arc_m, along))
    return (*found, (length_m, 0.0))


def _groups(
    pulleys: Sequence[Part], turns: Sequence[float], frame: Frame, ground: Ground
) -> list[_Group]:
    along = _along_m(pulleys, turns)
    scale = ground.scale
    groups: list[_Group] = []
    heading, left_m, is_back, alone = 0.0, 0.0, False, True
    for part, turn, entry in zip(pulleys, turns, along, strict=True):
        is_end = part.kind in (ComponentKind.HEAD_PULLEY, ComponentKind.TAIL_PULLEY)
        forward = -math.cos(heading) if is_back else math.cos(heading)
        is_long = (part.first_m - left_m) * scale >= _CLOSE and forward > _ALONG
        if is_end or alone or is_long:
            groups.append(_Group([], [], heading, entry, []))
        group = groups[-1]
        group.parts.append(part)
        group.turns.append(turn)
        alone = is_end
        is_back = is_back or part.kind is ComponentKind.HEAD_PULLEY
        heading, left_m = heading + math.radians(turn), part.first_m + part.arc_m
    largest = max((part.diameter_mm or 0.0) for part in pulleys)
    for group in groups:
        _arrange(group, frame, scale, largest)
    return groups


def _arrange(group: _Group, frame: Frame, scale: float, largest_mm: float) -> None:
    """Walk the belt through the group in drawing units, from (0, 0) where it meets the first."""
    x, y, heading, left_m = 0.0, 0.0, group.heading, None
    for part, turn in zip(group.parts, group.turns, strict=True):
        if left_m is not None:
            length = _drawn_length((part.first_m - left_m) * scale, heading, frame)
            x, y = x + length * math.cos(heading), y + length * math.sin(heading)
        way = 1 if turn > 0 else -1
        radius = _drawn_radius(part, frame, largest_mm)
        centre_x, centre_y = (
            x - way * radius * math.sin(heading),
            y + way * radius * math.cos(heading),
        )
        wrap = math.radians(abs(turn))
        left_m = part.first_m + part.arc_m
        group.wheels.append(
            Wheel(part.name, centre_x, centre_y, radius, way, wrap, part.first_m, left_m)
        )
        heading += math.radians(turn)
        x = centre_x + way * radius * math.sin(heading)
        y = centre_y - way * radius * math.cos(heading)
    group.exit_x, group.exit_y = x, y


def _drawn_length(length: float, heading: float, frame: Frame) -> float:
    if abs(math.sin(heading)) > _ALONG:
        return min(max(length, frame.leg), 1.5 * frame.leg)
    return min(max(length, frame.shortest), frame.longest)


def _drawn_radius(part: Part, frame: Frame, largest_mm: float) -> float:
    if part.kind in (ComponentKind.HEAD_PULLEY, ComponentKind.TAIL_PULLEY):
        return frame.end_radius
    share = (part.diameter_mm or 0.0) / largest_mm
    return frame.least_radius + share * (frame.most_radius - frame.least_radius)


def _place(groups: list[_Group], frame: Frame, ground: Ground) -> None:
    """Put the groups along the two runs, in their order and without standing in each other."""
    head = next(
        index
        for index, group in enumerate(groups)
        if group.parts[0].kind is ComponentKind.HEAD_PULLEY
    )
    groups[head].x = frame.width - groups[head].wheels[0].x
    groups[-1].x = 0.0 - groups[-1].wheels[0].x
    for run in (groups[:head], groups[-2:head:-1]):
        _spread(run, frame, ground)
    x = y = 0.0
    for group in groups:
        across = group.x - x
        # A strand that leaves a pulley at an angle shows it; over a long way that would lead off.
        group.y = y + (across * _slant(group.heading) if abs(across) < frame.longest else 0.0)
        x, y = group.x + group.exit_x, group.y + group.exit_y
    groups[-1].y = 0.0 - groups[-1].exit_y


def _slant(heading: float) -> float:
    """Rise over run of a strand, no steeper than the drawing can show."""
    return min(max(math.tan(heading), -1.0), 1.0)


def _spread(run: list[_Group], frame: Frame, ground: Ground) -> None:
    """From left to right as near to the true places as there is room, then back from the right."""
    edge = frame.end_radius
    for group in run:
        room = frame.apart if group.hangs else frame.shortest
        group.x = max(ground.x_at(group.entry_m), edge + room - group.left)
        edge = group.x + group.right + room
    edge = frame.width - frame.end_radius
    for group in reversed(run):
        room = frame.apart if group.hangs else frame.shortest
        group.x = min(group.x, edge - room - group.right)
        edge = group.x + group.left - room
