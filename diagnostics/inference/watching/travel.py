"""What a timed look says about a defect of the belt, in the few figures the engine weighs."""

from dataclasses import dataclass

from plant.loop.vocabulary import Side

# Fewer turns of the belt than this say nothing; three are the minimum that is asked for.
LEAST_PASSES = 2.0
ASKED_PASSES = 3
# Spread of a belt position when nothing better is known: 90 % within 3 m; engineering
# judgement. [m]
POSITION_SPREAD_M = 1.8


@dataclass(frozen=True)
class Travel:
    """What one timed look, or the best of several, says about a defect of the belt.

    Attributes
    ----------
    passes : float
        Turns of the belt that were watched.
    log_ratio : float
        Natural log of the likelihood ratio "travels with the belt" against "does not"; 0 when the
        look was too short.
    belt_position_m : float or None
        Where on the belt the extreme lies, from the reference splice; None when no pass of the
        splice was noted or nothing travels. [m]
    spread_m : float
        Standard deviation of that. [m]
    side : Side or None
        To which side the belt goes as the extreme passes.
    bump_mm : float or None
        How far, from a log. [mm]
    """

    passes: float
    log_ratio: float
    belt_position_m: float | None
    side: Side | None = None
    bump_mm: float | None = None
    spread_m: float = POSITION_SPREAD_M

    @property
    def is_too_short(self) -> bool:
        return self.passes < LEAST_PASSES
