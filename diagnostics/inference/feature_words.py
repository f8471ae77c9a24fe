"""The words a rule may ask for: features of the evidence, each with its closed vocabulary.

`features.py` computes them; rule files are checked against them; a rule's `when` names features
and, for each, the words of which one must hold.
"""

from enum import StrEnum


class Feature(StrEnum):
    ONSET = "onset"
    PATTERN = "pattern"
    LOAD = "load"
    TRAVEL = "travel"
    DIRECTION = "direction"
    CONVEYOR = "conveyor"
    REMARKS = "remarks"


class OnsetPlace(StrEnum):
    """Where the belt is first off centre, in the words of the walk."""

    ARRIVES_OFF = "already off where the return run brings it to the tail"
    BEFORE_SKIRTS_END = "off before it is clear of the skirts"
    PAST_SKIRTS = "off a handful of idlers past the skirts"
    CARRYING = "off somewhere along the carrying run"
    AT_HEAD = "off as it meets the head pulley"
    PAST_HEAD = "off a few return idlers past the head"
    RETURN = "off somewhere along the return run"
    AT_TAKE_UP = "central on the bend, off at the take-up"
    PAST_TAKE_UP = "central into the take-up, off at the bend after it"
    LAST_RETURN = "off between the last bend and the tail"
    NOWHERE = "nowhere off centre"
    EVERYWHERE = "off wherever it was looked at"


class LoadWord(StrEnum):
    """Compared where both states were looked at; ONLY_* means the other state was centred."""

    ONLY_LOADED = "off only when loaded"
    ONLY_EMPTY = "off only when empty"
    BOTH = "off loaded and empty"
    NO_LOADED = "not looked at loaded"
    NO_EMPTY = "not looked at empty"


class TravelWord(StrEnum):
    WITH_SPLICE = "extreme comes with a splice"
    NOT_WITH_SPLICE = "extreme comes away from any splice"
    NOT_TIMED = "not timed against the splice"


class DirectionWord(StrEnum):
    """Reversing belts seen running both ways."""

    SAME_SIDE = "same side both ways"
    OTHER_SIDE = "changes side with the direction"


class ConveyorWord(StrEnum):
    REVERSING = "reversing"
    GRAVITY_TAKE_UP = "gravity take-up"
    HORIZONTAL_TAKE_UP = "horizontal take-up"
    SCREW_TAKE_UP = "screw take-up"
    SELF_ALIGNING_CARRYING = "self-aligning idlers on the carrying run"
    SELF_ALIGNING_RETURN = "self-aligning idlers on the return run"
    VEE_RETURN = "vee return idlers"
    FLAT_RETURN = "flat return idlers"
    SNUB = "snub pulley"
    BEND = "bend pulley"
    RETURN_DRIVE = "drive pulley on the return run"
    CLEANER = "belt cleaner"
    PLOUGH = "plough"
    SKIRTBOARD = "skirtboard"
    STEEL_CORD = "steel-cord belt"


class Remark(StrEnum):
    """What people say about the whole case; a walk-down offers these to tick."""

    STARTS_AND_STOPS = "moves over when starting or stopping"
    ERRATIC = "no pattern after several turns of the belt"
    WIND = "with wind"
    WET = "when wet"
    FROZEN = "in frost"
    NEW_BELT = "belt fitted in the last weeks"
    NEW_SPLICE = "since a splice was made"
    NEW_PULLEY_WORK = "since work on a pulley"
    SPILLAGE = "spillage or build-up on rolls or pulleys"
    WANDERS_WITH_FLOW = "changes with the flow of material"
    SLACK = "belt slips or sags"
    WORN_EDGES = "belt edges worn"
    CLEANER_UNEVEN = "cleaner or plough presses on one side"


WORDS: dict[Feature, frozenset[str]] = {
    Feature.ONSET: frozenset(OnsetPlace),
    Feature.PATTERN: frozenset(
        {"fixed", "travelling", "load-dependent", "start-stop", "erratic", "centred"}
    ),
    Feature.LOAD: frozenset(LoadWord),
    Feature.TRAVEL: frozenset(TravelWord),
    Feature.DIRECTION: frozenset(DirectionWord),
    Feature.CONVEYOR: frozenset(ConveyorWord),
    Feature.REMARKS: frozenset(Remark),
}
