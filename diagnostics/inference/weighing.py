"""What was seen, weighed for each cause: profile, remarks on persistence, the timed look."""

import math
from dataclasses import dataclass

import numpy as np

from diagnostics.inference.belt_lines import models_of
from diagnostics.inference.causes import Cause
from diagnostics.inference.evidence import Evidence
from diagnostics.inference.fault_families import FaultFamilies
from diagnostics.inference.features import splice_positions_m
from diagnostics.inference.places import NumberedFit, Places, is_placeless, places_of
from diagnostics.inference.profile import Profile
from diagnostics.inference.readings import readings_of
from diagnostics.inference.timed_look import Travel
from diagnostics.inference.travelling import passings, said_of_erratic, said_of_fixed
from diagnostics.inference.vocabulary import BELT_CLASSES, CauseClass
from diagnostics.mechanics.nodes import Floats

# Of the defects timed to within a splice's neighbourhood, so many are other places by chance;
# engineering judgement.
_ELSEWHERE = 0.05


@dataclass(frozen=True)
class Weighed:
    """One cause against what was seen.

    Attributes
    ----------
    log_weight : array, shape (n,)
        Log of share of the place times likelihood.
    log_share : array, shape (n,)
        Log of the share of the place alone; the shares of a cause sum to 1.
    places : Places or None
    belt_positions_m : tuple of (float or None)
    """

    log_weight: Floats
    log_share: Floats
    places: Places | None = None
    belt_positions_m: tuple[float | None, ...] = ()


class Weigher:
    """The readings of one case, fitted once, asked for every cause."""

    def __init__(self, evidence: Evidence, travel: Travel | None) -> None:
        self.evidence, self.travel = evidence, travel
        conveyor = evidence.conveyor
        self.readings = readings_of(evidence)
        loads = sorted(set(self.readings.looks.load))
        self.models = models_of(conveyor, loads)
        looks = self.readings.looks
        faults = FaultFamilies(conveyor, self.models, looks.position_m, looks.load)
        self.profile = Profile(self.readings, faults)
        self._fits: dict[str, list[NumberedFit]] = {}
        for number, fit in enumerate(self.profile.fits()):
            self._fits.setdefault(fit.family.name, []).append(NumberedFit(number, fit))
        self._said_of_fixed = said_of_fixed(self.readings, conveyor)
        self._erratic = self.profile.erratic() + said_of_erratic(self.readings, conveyor)
        self._moving = {is_long: self._log_moving(is_long) for is_long in (False, True)}

    def weigh(self, cause: Cause) -> Weighed:
        if cause.cause_class in BELT_CLASSES:
            return self._weigh_travelling(cause)
        if not is_placeless(cause):
            places = places_of(cause, self.evidence.conveyor.loop, self._fits)
            if places is not None:
                log_weight = places.log_likelihood + places.log_share + self._said_of_fixed
                return Weighed(log_weight, places.log_share, places)
        return Weighed(np.array([self._erratic]), np.array([0.0]))

    def _log_moving(self, is_long: bool) -> float:
        found = passings(self.readings, self.evidence.conveyor, self.models, is_long=is_long)
        log = self.profile.moving(found)
        return log + (0.0 if self.travel is None else self.travel.log_ratio)

    def _weigh_travelling(self, cause: Cause) -> Weighed:
        """Splices for the splice class, the timed place for any other."""
        log = self._moving[cause.size_unit == "1/m"]
        belt, travel = self.evidence.conveyor.belt, self.travel
        timed_m = None if travel is None else travel.belt_position_m
        if cause.cause_class is not CauseClass.BELT_SPLICE:
            return Weighed(np.array([log]), np.array([0.0]), None, (timed_m,))
        splices = splice_positions_m(belt)
        even = np.full(len(splices), -math.log(len(splices)))
        if timed_m is None or travel is None:
            return Weighed(log + even, even, None, splices)
        # Density of the timed place under each splice, against evenly anywhere on the belt.
        way = (np.array(splices) - timed_m) % belt.length_m
        apart = np.minimum(way, belt.length_m - way)
        bell = np.exp(-0.5 * (apart / travel.spread_m) ** 2)
        bell /= travel.spread_m * math.sqrt(2 * math.pi)
        density = (1 - _ELSEWHERE) * bell * belt.length_m + _ELSEWHERE
        return Weighed(log + even + np.log(density), even, None, splices)
