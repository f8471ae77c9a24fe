"""The rolls of an idler set: how many there are, what each is called, why one is changed.

A set is looked at in the direction of carrying travel, so that left and right mean the same on
both runs.
"""

from enum import StrEnum

from plant.loop.parts import Part
from plant.loop.vocabulary import ComponentKind, Run, Side

MOST_ROLLS = 5


class RollPlace(StrEnum):
    """Where in its set a roll sits, from left to right."""

    LEFT_WING = "left_wing"
    LEFT_INNER = "left_inner"
    CENTRE = "centre"
    RIGHT_INNER = "right_inner"
    RIGHT_WING = "right_wing"

    @property
    def side(self) -> Side | None:
        """None for the roll in the middle."""
        return _SIDES.get(self)


class WhyChanged(StrEnum):
    SEIZED = "seized"
    SHELL_WORN = "shell_worn"
    NOISY_BEARING = "noisy_bearing"
    DAMAGED = "damaged"
    PRECAUTION = "precaution"
    OTHER = "other"


_SIDES = {
    RollPlace.LEFT_WING: Side.LEFT,
    RollPlace.LEFT_INNER: Side.LEFT,
    RollPlace.RIGHT_INNER: Side.RIGHT,
    RollPlace.RIGHT_WING: Side.RIGHT,
}
_ROLLS: dict[int, tuple[RollPlace, ...]] = {
    1: (RollPlace.CENTRE,),
    2: (RollPlace.LEFT_WING, RollPlace.RIGHT_WING),
    3: (RollPlace.LEFT_WING, RollPlace.CENTRE, RollPlace.RIGHT_WING),
    4: (
        RollPlace.LEFT_WING,
        RollPlace.LEFT_INNER,
        RollPlace.RIGHT_INNER,
        RollPlace.RIGHT_WING,
    ),
    5: tuple(RollPlace),
}
_TROUGHED = frozenset(
    {
        ComponentKind.TROUGHING_IDLERS,
        ComponentKind.IMPACT_IDLERS,
        ComponentKind.TRANSITION_IDLERS,
        ComponentKind.SELF_ALIGNING_IDLER,
    }
)


def usual_count(kind: ComponentKind, run: Run, trough_angle_deg: float) -> int:
    """How many rolls a set of this kind has where its group does not say otherwise.

    Three where the belt is troughed, two in a vee, one under a flat belt; 0 for what is no idler.
    """
    if kind is ComponentKind.VEE_RETURN_IDLERS:
        return 2
    if kind is ComponentKind.RETURN_IDLERS:
        return 1
    if kind in _TROUGHED:
        return 3 if run is Run.CARRYING and trough_angle_deg > 0 else 1
    return 0


def rolls_of(part: Part, trough_angle_deg: float) -> tuple[RollPlace, ...]:
    """The rolls of each set of a group from left to right; none for what is no idler."""
    count = usual_count(part.kind, part.run, trough_angle_deg)
    if count == 0:
        return ()
    return _ROLLS[part.rolls_per_set or count]
