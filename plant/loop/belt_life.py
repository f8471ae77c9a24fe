"""What becomes of splices and marks when a belt is worked on.

Belt positions are metres from the reference splice in the direction of travel, and come round: at
the belt's length the reference splice is there again. Stretch is neglected. Every operation takes
the belting as it is and gives it as it will be; nothing is kept here.
"""

from collections.abc import Hashable, Iterable, Iterator
from dataclasses import dataclass, replace
from enum import StrEnum

from plant.loop.vocabulary import Side

# Two splices nearer than this stand in one place; tape measures tell no less.
NEAR_M = 0.001
# A belt shorter than that is none.
LEAST_BELT_M = 1.0
# Figures are kept to the micrometre: sums of decimals must not show the binary dust of floats.
_PLACES = 6
_MIRRORED = {Side.LEFT: Side.RIGHT, Side.RIGHT: Side.LEFT}


class Turn(StrEnum):
    """How a belt can be laid the other way; any two of them make the third.

    Turned over, the cover that carried runs on the pulleys. Sides change where what was left in
    the direction of travel is right afterwards; the order changes where the belt runs backwards.
    """

    ALONG = "over along its length"
    ENDS = "over end for end"
    FLAT = "end for end without turning over"


MIRRORS = frozenset({Turn.ALONG, Turn.FLAT})
REVERSES = frozenset({Turn.ENDS, Turn.FLAT})


class CannotBe(ValueError):
    """A figure of an operation that cannot be; `field` names it, `code` says why."""

    def __init__(self, code: str, field_name: str) -> None:
        super().__init__(f"{field_name}: {code}")
        self.code, self.field = code, field_name


@dataclass(frozen=True)
class Joint:
    """A splice; `key` is the caller's."""

    key: Hashable
    position_m: float


@dataclass(frozen=True)
class Spot:
    """A mark: from its position so far in the direction of travel; one key twice: two parts."""

    key: Hashable
    position_m: float
    length_m: float = 0.0
    side: Side | None = None


@dataclass(frozen=True)
class Belting:
    length_m: float
    joints: tuple[Joint, ...] = ()
    spots: tuple[Spot, ...] = ()

    def joint_at(self, at_m: float) -> Joint | None:
        """The splice that stands there, on either side of the reference."""
        for joint in self.joints:
            away = abs(joint.position_m - at_m) % self.length_m
            if min(away, self.length_m - away) < NEAR_M:
                return joint
        return None


def splice_at(belting: Belting, at_m: float, key: Hashable) -> Belting:
    """A new splice where none is; the belt keeps its length."""
    _check_on(belting, at_m, "at_m")
    if belting.joint_at(at_m) is not None:
        raise CannotBe("splice_there", "at_m")
    return replace(belting, joints=_sorted_joints((*belting.joints, Joint(key, at_m))))


def count_from(belting: Belting, at_m: float) -> Belting:
    """Another splice becomes the reference; nothing on the belt moves."""
    if belting.joint_at(at_m) is None:
        raise CannotBe("no_splice_there", "at_m")
    return _seen_from(belting, at_m)


def cut_out(belting: Belting, from_m: float, to_m: float, key: Hashable) -> Belting:
    """Take out what lies from one position to the other in the direction of travel.

    The ends are joined by a new splice; what stood inside or on the cuts goes, a mark that reached
    in is shortened. A section across the reference splice (`from_m` beyond `to_m`) takes it along:
    then the new splice is the reference.
    """
    _check_on(belting, from_m, "from_m")
    _check_on(belting, to_m, "to_m", or_end=True)
    gone_m = _once_round(to_m - from_m, belting.length_m)
    if gone_m < NEAR_M:
        raise CannotBe("no_length", "to_m")
    left_m = round(belting.length_m - gone_m, _PLACES)
    if left_m < LEAST_BELT_M:
        raise CannotBe("nothing_left", "to_m")
    seen = _seen_from(belting, from_m)
    reference_m = _once_round(-from_m, belting.length_m)
    kept = [one for one in seen.joints if one.position_m > gone_m + NEAR_M]
    joints = [replace(one, position_m=one.position_m - gone_m) for one in kept]
    spots = [part for one in seen.spots for part in _outside(one, gone_m, seen.length_m)]
    cut = Belting(left_m, _sorted_joints((Joint(key, 0.0), *joints)), _sorted_spots(spots))
    # The reference is one of the kept splices' places, or went with the section.
    back_m = reference_m - gone_m if reference_m > gone_m + NEAR_M else 0.0
    return _seen_from(cut, back_m)


def put_in(
    belting: Belting, at_m: float, length_m: float, key: Hashable, second: Hashable
) -> Belting:
    """Open the belt and put a section in, behind the place in the direction of travel.

    A splice that stands there is opened and stays as the first of the two; else `key` is that. A
    mark across the place becomes two parts.
    """
    _check_on(belting, at_m, "at_m")
    if not length_m >= NEAR_M:
        raise CannotBe("no_length", "length_m")
    seen = _seen_from(belting, at_m)
    reference_m = _once_round(-at_m, belting.length_m)
    opened = seen.joint_at(0.0)
    joints = [Joint(opened.key if opened else key, 0.0), Joint(second, length_m)]
    joints += [
        replace(one, position_m=one.position_m + length_m) for one in seen.joints if one != opened
    ]
    spots = [
        replace(part, position_m=part.position_m + length_m)
        for one in seen.spots
        for part in _parted(one, seen.length_m)
    ]
    longer_m = round(belting.length_m + length_m, _PLACES)
    longer = Belting(longer_m, _sorted_joints(joints), _sorted_spots(spots))
    back_m = reference_m + length_m if reference_m > NEAR_M else 0.0
    return _seen_from(longer, back_m)


def turned(belting: Belting, how: Turn) -> Belting:
    """Lay the belt the other way; the reference splice stays the reference."""
    joints, spots = belting.joints, belting.spots
    if how in MIRRORS:
        spots = tuple(
            replace(one, side=_MIRRORED.get(one.side)) if one.side else one for one in spots
        )
    if how in REVERSES:
        length_m = belting.length_m
        joints = tuple(
            replace(one, position_m=_once_round(-one.position_m, length_m)) for one in joints
        )
        # What was a mark's far end in the direction of travel is where it begins now.
        spots = tuple(
            replace(one, position_m=_once_round(-one.position_m - one.length_m, length_m))
            for one in spots
        )
    return Belting(belting.length_m, _sorted_joints(joints), _sorted_spots(spots))


def _seen_from(belting: Belting, at_m: float) -> Belting:
    length_m = belting.length_m
    joints = (
        replace(one, position_m=_once_round(one.position_m - at_m, length_m))
        for one in belting.joints
    )
    spots = (
        replace(one, position_m=_once_round(one.position_m - at_m, length_m))
        for one in belting.spots
    )
    return Belting(length_m, _sorted_joints(joints), _sorted_spots(spots))


def _outside(spot: Spot, gone_m: float, length_m: float) -> Iterator[Spot]:
    """What is left of a mark when [0, gone] is taken out; rests on both sides are one again."""
    if not spot.length_m:
        if spot.position_m > gone_m + NEAR_M:
            yield replace(spot, position_m=spot.position_m - gone_m)
        return
    end_m = spot.position_m + spot.length_m
    ahead_m = min(end_m, length_m) - max(spot.position_m, gone_m)
    behind_m = end_m - length_m - gone_m
    begins_m = max(spot.position_m, gone_m) - gone_m
    rest_m = max(ahead_m, 0.0) + max(behind_m, 0.0)
    if rest_m < NEAR_M:
        return
    # Only a rest past the joint is left: the mark begins there.
    yield replace(
        spot,
        position_m=begins_m if ahead_m >= NEAR_M else 0.0,
        length_m=round(rest_m, _PLACES),
    )


def _parted(spot: Spot, length_m: float) -> Iterator[Spot]:
    """A mark in the parts into which opening the belt at 0 takes it."""
    ahead_m = length_m - spot.position_m
    if spot.length_m <= ahead_m + NEAR_M:
        yield spot
        return
    yield replace(spot, length_m=round(ahead_m, _PLACES))
    yield replace(spot, position_m=0.0, length_m=round(spot.length_m - ahead_m, _PLACES))


def _once_round(position_m: float, length_m: float) -> float:
    found = round(position_m % length_m, _PLACES)
    return 0.0 if found >= round(length_m, _PLACES) else found


def _check_on(belting: Belting, at_m: float, name: str, *, or_end: bool = False) -> None:
    if not (0 <= at_m < belting.length_m or (or_end and at_m == belting.length_m)):
        raise CannotBe("off_the_belt", name)


def _sorted_joints(
    joints: Iterable[Joint],
) -> tuple[Joint, ...]:
    return tuple(sorted(joints, key=lambda one: one.position_m))


def _sorted_spots(spots: Iterable[Spot]) -> tuple[Spot, ...]:
    return tuple(sorted(spots, key=lambda one: (one.position_m, one.length_m)))
