"""What a person writes down at a station, given what the belt really does there; pure."""

from dataclasses import dataclass

from numpy.random import Generator

from diagnostics.inference.vocabulary import CENTRED_SHARE, Degree, LoadState, Persistence
from plant.loop.parts import Station
from plant.loop.vocabulary import Side

# Error of a person reading an edge against a steel rule, and of the trade's eye. [mm]
READING_SD_MM = 11.0
# A person stands about so long at a station; how much of the belt passes decides what is seen. [s]
STANDS_S = 45.0


@dataclass(frozen=True)
class Going:
    """How the belt goes while it is walked along."""

    load: LoadState
    is_backwards: bool = False


@dataclass(frozen=True)
class Seen:
    """One line of a walk-down: an offset, or a degree with its side, or why nothing was seen."""

    station: Station
    going: Going
    offset_mm: float | None = None
    degree: Degree | None = None
    side: Side | None = None
    persistence: Persistence | None = None
    not_seen: str = ""


@dataclass(frozen=True)
class Eye:
    """How one person looks: with a rule or by eye, along a belt that takes so long once round."""

    clearance_mm: float
    revolution_s: float
    measures: bool

    def look(
        self,
        station: Station,
        going: Going,
        true_mm: float,
        rng: Generator,
        *,
        travels: bool,
    ) -> Seen:
        """Write down a true offset [mm, + right] as this person would."""
        caught = not travels or rng.random() < min(1.0, 0.15 + STANDS_S / self.revolution_s)
        shown_mm = true_mm * (rng.uniform(0.6, 1.0) if travels else 1.0) if caught else 0.0
        read_mm = float(shown_mm + rng.normal(0, READING_SD_MM))
        read_mm = max(-self.clearance_mm, min(self.clearance_mm, read_mm))
        share = abs(read_mm) / self.clearance_mm
        if share < CENTRED_SHARE:
            return Seen(station, going, degree=Degree.CENTRED)
        persistence = _persistence(rng, comes_and_goes=travels and caught)
        if self.measures:
            return Seen(station, going, offset_mm=5.0 * round(read_mm / 5), persistence=persistence)
        return Seen(
            station,
            going,
            degree=Degree.of(share),
            side=Side.of(read_mm),
            persistence=persistence,
        )


def _persistence(rng: Generator, *, comes_and_goes: bool) -> Persistence:
    # People are mistaken now and then.
    if rng.random() < 0.05:
        return Persistence.NO_PATTERN
    return Persistence.COMES_AND_GOES if comes_and_goes else Persistence.STEADY
