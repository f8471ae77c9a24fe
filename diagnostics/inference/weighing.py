"""What was seen, weighed for each cause: profile, remarks on persistence, the timed look."""

import math
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from diagnostics.inference.belt_lines import models_of
from diagnostics.inference.causes import Cause
from diagnostics.inference.close_looks import log_findings
from diagnostics.inference.evidence import Evidence
from diagnostics.inference.fault_families import FaultFamilies
from diagnostics.inference.features import splice_positions_m
from diagnostics.inference.places import (
    NumberedFit,
    Places,
    family_names,
    is_placeless,
    places_of,
)
from diagnostics.inference.profile import Profile
from diagnostics.inference.readings import readings_of
from diagnostics.inference.timed_look import Travel
from diagnostics.inference.travelling import passings, said_of_erratic, said_of_fixed
from diagnostics.inference.vocabulary import BELT_CLASSES, CauseClass
from diagnostics.mechanics.nodes import Floats
from plant.loop.vocabulary import ComponentKind

# Of the defects timed to within a splice's neighbourhood, so many are other places by chance;
# engineering judgement.
_ELSEWHERE = 0.05
_NO_PLACE = np.array([0.0])


@dataclass(frozen=True)
class Weighed:
    """One cause against what was seen.

    Attributes
    ----------
    log_share : array, shape (n,)
        Share of each place before the evidence; the shares of a cause sum to 1.
    log_seen : array, shape (n,)
        Likelihood of the offsets and of the remarks on persistence.
    log_timed : array, shape (n,)
        Likelihood of the timed look, against nothing that travels.
    log_found : tuple of array, shape (n,)
        Likelihood of each finding of the case.
    places : Places or None
        None for what travels or acts along the whole belt.
    belt_positions_m : tuple of (float or None)
        For what travels: where on the belt. [m]
    """

    log_share: Floats
    log_seen: Floats
    log_timed: Floats
    log_found: tuple[Floats, ...] = ()
    places: Places | None = None
    belt_positions_m: tuple[float | None, ...] = ()

    @cached_property
    def log_places(self) -> Floats:
        """Share times likelihood of each place."""
        total: Floats = self.log_share + self.log_seen + self.log_timed
        return total + sum(self.log_found)

    @cached_property
    def log_evidence(self) -> float:
        """Likelihood of everything, averaged over the places."""
        top = float(self.log_places.max())
        return top + math.log(float(np.exp(self.log_places - top).sum()))


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
        self._places: dict[tuple[tuple[str, ...], frozenset[ComponentKind]], Places | None] = {}
        for number, fit in enumerate(self.profile.fits()):
            self._fits.setdefault(fit.family.name, []).append(NumberedFit(number, fit))
        self._said_of_fixed = said_of_fixed(self.readings, conveyor)
        self._erratic = self.profile.erratic() + said_of_erratic(self.readings, conveyor)
        self._moving = {is_long: self._log_moving(is_long) for is_long in (False, True)}

    def weigh(self, cause: Cause) -> Weighed:
        seen = self._weigh(cause)
        found = log_findings(cause, self.evidence, seen.places, len(seen.log_share))
        return replace(seen, log_found=found)

    def _weigh(self, cause: Cause) -> Weighed:
        if cause.cause_class in BELT_CLASSES:
            return self._weigh_travelling(cause)
        if not is_placeless(cause):
            places = self._places_of(cause)
            if places is not None:
                seen = places.log_likelihood + self._said_of_fixed
                return Weighed(places.log_share, seen, np.zeros_like(seen), places=places)
        return Weighed(_NO_PLACE, np.array([self._erratic]), _NO_PLACE)

    def _places_of(self, cause: Cause) -> Places | None:
        """Many causes share their places: skewed, dropped or worn, it is the same idlers."""
        loop = self.evidence.conveyor.loop
        key = (tuple(family_names(cause, loop)), cause.stands_at)
        if key not in self._places:
            self._places[key] = places_of(cause, loop, self._fits)
        return self._places[key]

    def _log_moving(self, is_long: bool) -> float:
        found = passings(self.readings, self.evidence.conveyor, self.models, is_long=is_long)
        return self.profile.moving(found)

    def _weigh_travelling(self, cause: Cause) -> Weighed:
        """Splices for the splice class, the timed place for any other."""
        seen = np.array([self._moving[cause.size_unit == "1/m"]])
        belt, travel = self.evidence.conveyor.belt, self.travel
        timed_m = None if travel is None else travel.belt_position_m
        timed = np.array([0.0 if travel is None else travel.log_ratio])
        if cause.cause_class is not CauseClass.BELT_SPLICE:
            return Weighed(_NO_PLACE, seen, timed, belt_positions_m=(timed_m,))
        splices = splice_positions_m(belt)
        even = np.full(len(splices), -math.log(len(splices)))
        seen = np.repeat(seen, len(splices))
        if timed_m is None or travel is None:
            return Weighed(even, seen, timed + np.zeros_like(seen), belt_positions_m=splices)
        # Density of the timed place under each splice, against evenly anywhere on the belt.
        way = (np.array(splices) - timed_m) % belt.length_m
        apart = np.minimum(way, belt.length_m - way)
        bell = np.exp(-0.5 * (apart / travel.spread_m) ** 2)
        bell /= travel.spread_m * math.sqrt(2 * math.pi)
        density = (1 - _ELSEWHERE) * bell * belt.length_m + _ELSEWHERE
        return Weighed(even, seen, timed + np.log(density), belt_positions_m=splices)
