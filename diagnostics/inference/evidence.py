"""What is known before the answer: the conveyor, the sightings, timed looks and findings."""

from dataclasses import dataclass, field

from diagnostics.inference.priors import Priors
from diagnostics.inference.vocabulary import (
    Degree,
    LoadState,
    Persistence,
    TapEvent,
    TimedLookKind,
)
from plant.loop.path import Loop
from plant.loop.vocabulary import Run, Side, TakeUpKind


@dataclass(frozen=True)
class SpliceFact:
    name: str
    belt_position_m: float


@dataclass(frozen=True)
class BeltFacts:
    width_mm: float
    length_m: float
    carcass: str = "EP"
    strength_n_mm: float | None = None
    modulus_kn_m: float | None = None
    mass_kg_m2: float | None = None
    splices: tuple[SpliceFact, ...] = ()


@dataclass(frozen=True)
class ConveyorFacts:
    """One conveyor as the register or a case file states it.

    `left_words` and `right_words` are the conveyor's own words for its sides, empty when it has
    none; sentences put them beside left and right.
    """

    tag: str
    loop: Loop
    belt: BeltFacts
    speed_mps: float
    clearance_mm: float
    centre_distance_m: float
    lift_m: float = 0.0
    capacity_tph: float | None = None
    trough_angle_deg: float = 35.0
    return_vee_deg: float = 0.0
    take_up_kind: TakeUpKind = TakeUpKind.GRAVITY
    take_up_tension_kn: float | None = None
    is_reversing: bool = False
    left_words: str = ""
    right_words: str = ""

    def side_in_words(self, side: Side) -> str:
        own = self.left_words if side is Side.LEFT else self.right_words
        return f"{side.value} ({own})" if own else side.value


@dataclass(frozen=True)
class Sighting:
    """What was seen at one station.

    `offset_mm` wins over `degree` and `side` where both are given; `degree` is None only with an
    offset. `is_running_backwards`: a reversing belt that ran against carrying travel.
    """

    station: str
    run: Run
    position_m: float
    load: LoadState
    offset_mm: float | None = None
    degree: Degree | None = None
    side: Side | None = None
    persistence: Persistence | None = None
    is_running_backwards: bool = False

    def offset_or_middle_mm(self, clearance_mm: float) -> float:
        """Signed offset: the reading, or the middle of the noted degree. [mm]"""
        if self.offset_mm is not None:
            return self.offset_mm
        degree = self.degree or Degree.CENTRED
        sign = 0 if self.side is None else self.side.sign
        return sign * degree.share * clearance_mm


@dataclass(frozen=True)
class Tap:
    at_s: float
    event: TapEvent


@dataclass(frozen=True)
class TimedLook:
    """A timed observation at one station: taps, or a log of offsets.

    A log is sampled from 0 at `rate_hz`, or at `times_s` where that is given. Running backwards,
    what is ahead on the belt passes later and not earlier.
    """

    station: str
    run: Run
    position_m: float
    kind: TimedLookKind
    duration_s: float
    taps: tuple[Tap, ...] = ()
    rate_hz: float | None = None
    offsets_mm: tuple[float, ...] = ()
    splice_passes_s: tuple[float, ...] = ()
    times_s: tuple[float, ...] = ()
    is_running_backwards: bool = False


@dataclass(frozen=True)
class FindingFact:
    """A close inspection that said yes or no to one cause, at a component or for the whole."""

    cause: str
    is_present: bool
    component: str | None = None


@dataclass(frozen=True)
class Evidence:
    """Everything the engine may use for one case.

    `remarks` are words of the rule vocabulary about the whole case ("starts and stops", "wind",
    "wet", "frozen", "new belt" ...); `priors` are the base rates, equal for all classes unless
    they were learned.
    """

    conveyor: ConveyorFacts
    sightings: tuple[Sighting, ...]
    timed_looks: tuple[TimedLook, ...] = ()
    findings: tuple[FindingFact, ...] = ()
    remarks: frozenset[str] = frozenset()
    priors: Priors = field(default_factory=Priors)
