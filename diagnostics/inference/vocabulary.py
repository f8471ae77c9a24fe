"""The words of evidence and answer; model choices and files derive from these."""

from enum import StrEnum


class LoadState(StrEnum):
    EMPTY = "empty"
    LOADED = "loaded"


class Degree(StrEnum):
    """Share of the clearance: centred < 0.15, slight < 0.4, half < 0.8, hard over beyond."""

    CENTRED = "centred"
    SLIGHT = "slight"
    HALF = "half"
    HARD_OVER = "hard-over"

    @property
    def share(self) -> float:
        """Middle of the class as a share of the clearance."""
        return {"centred": 0.0, "slight": 0.275, "half": 0.6, "hard-over": 0.95}[self.value]

    @staticmethod
    def of(share: float) -> "Degree":
        """The degree of an offset, as a share of the clearance to either side."""
        size = abs(share)
        if size < CENTRED_SHARE:
            return Degree.CENTRED
        if size < 0.4:
            return Degree.SLIGHT
        return Degree.HALF if size < 0.8 else Degree.HARD_OVER


# Below this share of the clearance a belt counts as centred.
CENTRED_SHARE = 0.15


class Persistence(StrEnum):
    STEADY = "steady"
    COMES_AND_GOES = "comes-and-goes"
    NO_PATTERN = "no-pattern"


class Pattern(StrEnum):
    FIXED = "fixed"
    TRAVELLING = "travelling"
    LOAD_DEPENDENT = "load-dependent"
    START_STOP = "start-stop"
    ERRATIC = "erratic"
    CENTRED = "centred"


class CauseClass(StrEnum):
    """Where to look: the nine classes of the case files and one of our own for what rubs it."""

    CARRYING = "carrying_idler_structure"
    LOADING = "loading"
    TAIL_PULLEY = "tail_pulley"
    HEAD_PULLEY = "head_pulley"
    BEND_PULLEY = "bend_pulley"
    TAKE_UP = "take_up"
    RETURN_IDLER = "return_idler"
    BELT_SPLICE = "belt_splice"
    BELT_SECTION = "belt_section"
    SURROUNDINGS = "surroundings"


BELT_CLASSES = frozenset({CauseClass.BELT_SPLICE, CauseClass.BELT_SECTION})


class TimedLookKind(StrEnum):
    LOG = "log"
    TAPS = "taps"


class TapEvent(StrEnum):
    OVER_LEFT = "over-left"
    OVER_RIGHT = "over-right"
    BACK = "back"
    SPLICE = "splice"
