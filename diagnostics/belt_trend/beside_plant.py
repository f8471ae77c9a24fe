"""A belt beside the others of its plant: its row of figures and what concerns all of them.

Of a plant of moderate size it is worked out while somebody waits, so that it is never out of date.
Of a larger one the reckoning that stands is read, and asked for where there is none.
"""

from dataclasses import dataclass
from datetime import datetime

import numpy as np

from diagnostics.fault_choice import FaultChoice, Span, span_days
from diagnostics.models import BeltFaults, Case, FaultReckoning
from diagnostics.recurrence.faults.plant import PlantFaults
from diagnostics.recurrence.faults.reckoning import reckon
from diagnostics.selectors import reckoned_faults
from diagnostics.selectors.belt_faults import BeltStudy
from diagnostics.selectors.mends import Mends
from diagnostics.selectors.plant_events import plant_events
from diagnostics.selectors.trends import cases_in
from diagnostics.services import fault_reckoning, fault_work
from plant.metering.basis import Basis

# Engineering judgement: so many cases of 200 belts are reckoned in some 10 ms of processor time;
# reading them takes longer.
MOST_AT_ONCE = 3000


@dataclass(frozen=True)
class BesidePlant:
    """`belt` and `plant` are None while they are still to be reckoned.

    `reckoned_at` is None for figures worked out for this very page; `reckoning` says of which
    choice they are, and is not saved then.
    """

    basis: Basis
    reckoning: FaultReckoning
    belt: BeltFaults | None
    plant: PlantFaults | None
    reckoned_at: datetime | None = None


def beside_plant(study: BeltStudy) -> BesidePlant:
    """One for a study: several parts of the page ask for it."""
    return study.once("beside plant", _beside_plant)


def _beside_plant(study: BeltStudy) -> BesidePlant:
    plant, (basis, _clock) = study.conveyor.plant, study.exposure
    cases = Case.objects.filter(conveyor__plant=plant)
    if cases_in(cases, study.period).count() <= MOST_AT_ONCE:
        return _at_once(study, basis)
    return _kept(study, basis)


def _at_once(study: BeltStudy, basis: Basis) -> BesidePlant:
    period, plant = study.period, study.conveyor.plant
    choice = FaultChoice(basis, period.family, "", period.first, period.last)
    row = FaultReckoning(
        plant=plant,
        family=period.family,
        basis=basis.value,
        first_on=period.first,
        last_on=period.last,
        looked_at=study.now,
    )
    given = plant_events(plant, choice, study.now)
    found = reckon(given.events, given.watch, given.words, rate_per=basis.rate_per)
    at = np.flatnonzero(given.belts == study.conveyor.pk)
    if not len(at):
        return BesidePlant(basis, row, None, found.plant)
    belt = fault_work.belt_row(row, given, found, Mends({}, {}), int(at[0]))
    belt.conveyor = study.conveyor
    return BesidePlant(basis, row, belt, found.plant)


def _kept(study: BeltStudy, basis: Basis) -> BesidePlant:
    plant, period = study.conveyor.plant, study.period
    days = (period.first, period.last)
    is_usual = days == span_days(Span.USUAL, plant.day_of(study.now))
    span, fixed = (Span.USUAL.value, (None, None)) if is_usual else ("", days)
    choice = FaultChoice(basis, period.family, span, *fixed)
    row = fault_reckoning.look(plant, choice, study.now)
    if row.reckoned_at is None:
        return BesidePlant(basis, row, None, None)
    belt = BeltFaults.objects.filter(reckoning=row, conveyor=study.conveyor).first()
    if belt is not None:
        belt.conveyor = study.conveyor
    return BesidePlant(basis, row, belt, reckoned_faults.plant_faults(row), row.reckoned_at)
