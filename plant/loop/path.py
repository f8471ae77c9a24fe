"""The closed path of the belt: built from parts, checked once, asked for distances and places."""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

from plant.loop.checks import check_parts, the_ends
from plant.loop.parts import Part, Station
from plant.loop.vocabulary import ComponentKind, Run


@dataclass(frozen=True)
class Loop:
    """A checked loop; build it with `build_loop`.

    Attributes
    ----------
    parts : tuple of Part
        In the order in which the belt meets them.
    length_m : float
        Length of the path: once round. [m]
    head_m, tail_m : float
        Where the belt meets the head pulley and the tail pulley. [m]
    questions : tuple of str
        What is possible but unlikely, for the keeper of the register.
    """

    parts: tuple[Part, ...]
    length_m: float
    head_m: float
    tail_m: float
    questions: tuple[str, ...] = ()

    def wrap(self, position_m: float) -> float:
        """The same place as a position from 0 up to, not including, the length. [m]"""
        return position_m % self.length_m

    def ahead_m(self, from_m: float, to_m: float) -> float:
        """Way from one place to another in the direction of travel, over the seam too. [m]"""
        return (to_m - from_m) % self.length_m

    def apart_m(self, one_m: float, other_m: float) -> float:
        """Shortest way between two places, either way round. [m]"""
        ahead = self.ahead_m(one_m, other_m)
        return min(ahead, self.length_m - ahead)

    def run_at(self, position_m: float) -> Run:
        """The run a place belongs to; the head pulley ends the carrying run, the tail the return.

        Past the tail pulley's first touch the belt is still on the pulley: return.
        """
        return Run.CARRYING if self.wrap(position_m) <= self.head_m else Run.RETURN

    @cached_property
    def stations(self) -> tuple[Station, ...]:
        """Every named place, in the order in which the belt passes it from the tail on."""
        return tuple(
            sorted(
                (station for part in self.parts for station in part.stations()),
                key=lambda station: station.position_m,
            )
        )

    @cached_property
    def pulleys(self) -> tuple[Part, ...]:
        return tuple(part for part in self.parts if part.is_pulley)

    def of_kind(self, *kinds: ComponentKind) -> tuple[Part, ...]:
        if len(kinds) == 1:
            return self._by_kind.get(kinds[0], ())
        return tuple(part for part in self.parts if part.kind in kinds)

    @cached_property
    def _by_kind(self) -> dict[ComponentKind, tuple[Part, ...]]:
        kinds = dict.fromkeys(part.kind for part in self.parts)
        return {kind: tuple(part for part in self.parts if part.kind is kind) for kind in kinds}

    def station_named(self, name: str) -> Station | None:
        wanted = name.strip().casefold()
        return next((one for one in self.stations if one.name.casefold() == wanted), None)

    def nearest_station(self, position_m: float) -> Station:
        return min(self.stations, key=lambda one: self.apart_m(one.position_m, position_m))


def belt_revolution_time_s(belt_length_m: float, belt_speed_mps: float) -> float:
    """Time for one splice to come round again.

    Wander with this period points at the belt; wander tied to a place, at the structure.

    Parameters
    ----------
    belt_length_m : float
        Closed length, carrying and return strands together, > 0. [m]
    belt_speed_mps : float
        Belt speed, finite and not 0; negative when a reversing belt runs backwards. [m/s]

    Returns
    -------
    float
        Revolution time, always positive. [s]

    Raises
    ------
    ValueError
        If the length is not positive or the belt stands still.

    Notes
    -----
    Identity t = L / |v|; belt stretch neglected.
    """
    if not (belt_length_m > 0 and math.isfinite(belt_length_m)):
        raise ValueError(f"belt_length_m must be finite and > 0 m, got {belt_length_m!r}")
    if belt_speed_mps == 0 or not math.isfinite(belt_speed_mps):
        raise ValueError(f"belt_speed_mps must be finite and not 0 m/s, got {belt_speed_mps!r}")
    return belt_length_m / abs(belt_speed_mps)


def build_loop(parts: Iterable[Part], *, belt_length_m: float | None = None) -> Loop:
    """Put the parts in order and check that they make one closed path.

    Parameters
    ----------
    parts : iterable of Part
        All components of one conveyor, in any order.
    belt_length_m : float or None
        Length of the belt that is fitted; compared with the path and asked about when it
        cannot be right. [m]

    Returns
    -------
    Loop

    Raises
    ------
    GeometryError
        No or several head or tail pulleys, a part past the loop or on the wrong run, idler
        groups that overlap, pulleys that stand in each other's wrap, names used twice.
        IncompleteLoopError, when nothing but the head or the tail pulley is missing.

    Notes
    -----
    Path length = position of the tail pulley + its arc of contact: the seam of the loop is the
    tail pulley's leaving tangent.
    """
    ordered = check_parts(parts)
    head, tail = the_ends(ordered)
    length_m = tail.first_m + tail.arc_m
    return Loop(
        parts=ordered,
        length_m=length_m,
        head_m=head.first_m,
        tail_m=tail.first_m,
        questions=_questions(length_m, belt_length_m),
    )


def _questions(length_m: float, belt_length_m: float | None) -> tuple[str, ...]:
    if belt_length_m is None:
        return ()
    if belt_length_m < length_m * 0.999:
        return (
            f"The belt is {belt_length_m:g} m long, shorter than its path of {length_m:.1f} m. "
            "Is a position or the belt length mistyped?",
        )
    if belt_length_m > length_m * 1.05:
        return (
            f"The belt is {belt_length_m:g} m long, more than 5 % longer than its path of "
            f"{length_m:.1f} m. Is a take-up loop missing from the register?",
        )
    return ()
