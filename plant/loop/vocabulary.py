"""The words of the register: runs, sides, zones, kinds of component.

Model choices, files and the API derive from these, never the reverse.
"""

from enum import StrEnum


class Run(StrEnum):
    CARRYING = "carrying"
    RETURN = "return"


class Side(StrEnum):
    LEFT = "left"
    RIGHT = "right"

    @property
    def opposite(self) -> "Side":
        return Side.RIGHT if self is Side.LEFT else Side.LEFT

    @property
    def sign(self) -> int:
        """+1 for right, -1 for left: the sign of an offset to this side."""
        return 1 if self is Side.RIGHT else -1

    @staticmethod
    def of(offset: float) -> "Side":
        """The side an offset that is not 0 points to."""
        return Side.RIGHT if offset > 0 else Side.LEFT


class Zone(StrEnum):
    """Named stretches of the loop, in the order of belt travel."""

    TAIL = "tail"
    LOAD = "load zone"
    CARRYING_LOWER = "lower carrying run"
    CARRYING_MID = "mid carrying run"
    CARRYING_UPPER = "upper carrying run"
    HEAD = "head"
    RETURN_BEFORE = "return run before the take-up"
    BEND = "bend"
    TAKE_UP = "take-up"
    RETURN_AFTER = "return run after the take-up"


class ComponentKind(StrEnum):
    TAIL_PULLEY = "tail_pulley"
    HEAD_PULLEY = "head_pulley"
    DRIVE_PULLEY = "drive_pulley"
    SNUB_PULLEY = "snub_pulley"
    BEND_PULLEY = "bend_pulley"
    TAKE_UP_PULLEY = "take_up_pulley"
    IMPACT_IDLERS = "impact_idlers"
    TRANSITION_IDLERS = "transition_idlers"
    TROUGHING_IDLERS = "troughing_idlers"
    RETURN_IDLERS = "return_idlers"
    VEE_RETURN_IDLERS = "vee_return_idlers"
    SELF_ALIGNING_IDLER = "self_aligning_idler"
    LOAD_POINT = "load_point"
    SKIRTBOARD = "skirtboard"
    BELT_CLEANER = "belt_cleaner"
    PLOUGH = "plough"
    STRUCTURE_SECTION = "structure_section"
    TAKE_UP_FRAME = "take_up_frame"


class TakeUpKind(StrEnum):
    """`gravity` and `screw` are what case files know; the register keeps the other two as well."""

    GRAVITY = "gravity"
    HORIZONTAL = "horizontal"
    SCREW = "screw"
    FIXED = "fixed"


class Consequence(StrEnum):
    """What stands still with the conveyor, the least first."""

    WAY_ROUND = "way_round"
    PART = "part"
    WHOLE_LINE = "whole_line"


PULLEYS = frozenset(
    {
        ComponentKind.TAIL_PULLEY,
        ComponentKind.HEAD_PULLEY,
        ComponentKind.DRIVE_PULLEY,
        ComponentKind.SNUB_PULLEY,
        ComponentKind.BEND_PULLEY,
        ComponentKind.TAKE_UP_PULLEY,
    }
)
IDLERS = frozenset(
    {
        ComponentKind.IMPACT_IDLERS,
        ComponentKind.TRANSITION_IDLERS,
        ComponentKind.TROUGHING_IDLERS,
        ComponentKind.RETURN_IDLERS,
        ComponentKind.VEE_RETURN_IDLERS,
        ComponentKind.SELF_ALIGNING_IDLER,
    }
)
CARRYING_ONLY = frozenset(
    {
        ComponentKind.IMPACT_IDLERS,
        ComponentKind.TRANSITION_IDLERS,
        ComponentKind.TROUGHING_IDLERS,
        ComponentKind.LOAD_POINT,
        ComponentKind.SKIRTBOARD,
    }
)
RETURN_ONLY = frozenset(
    {
        ComponentKind.RETURN_IDLERS,
        ComponentKind.VEE_RETURN_IDLERS,
        ComponentKind.TAKE_UP_PULLEY,
    }
)
