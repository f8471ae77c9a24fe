"""What a person would read at places not looked at yet, under each of the leading suspicions.

Suspicions are drawn evenly from the probability of all candidate places, so that a broad answer
is represented as broadly as a sharp one.
"""

from dataclasses import dataclass

import numpy as np

from diagnostics.inference.belt_lines import models_of
from diagnostics.inference.evidence import ConveyorFacts
from diagnostics.inference.fault_families import FaultFamilies
from diagnostics.inference.profile import (
    ERRATIC_MM,
    IDLER_DEG,
    USUAL_BACKGROUND,
    Profile,
    wander_mm2,
)
from diagnostics.inference.readings import READING_MM, Looks
from diagnostics.inference.scoring import Standing
from diagnostics.inference.travelling import (
    LOOKS_S,
    SAID_WHEN_CAUGHT,
    chance_of_seeing,
)
from diagnostics.inference.vocabulary import BELT_CLASSES, CauseClass
from diagnostics.mechanics.nodes import Floats

# Suspicions drawn; more tell no more about which place to look at.
DRAWN = 64
# A defect worth a complaint moves the belt by so much where it passes; engineering judgement. [mm]
_PASSING_MM = 40.0
# How often "comes and goes" is said of a belt whose cause stays in place; engineering judgement.
_SAID_OF_FIXED = 0.06


@dataclass(frozen=True)
class Suspect:
    """A drawn suspicion: a class at one candidate place, or without a place.

    Attributes
    ----------
    column : tuple of int or None
        Family and candidate of the profile.
    is_travelling : bool
    weight : float
        All drawn ones sum to 1.
    """

    cause_class: CauseClass
    column: tuple[int, int] | None
    is_travelling: bool
    weight: float


@dataclass(frozen=True, eq=False)
class Predictions:
    """Readings at looks not taken yet, given what was read; normal under each suspect.

    Attributes
    ----------
    mean_mm : array, shape (looks, suspects)
    shape_mm : array, shape (looks, suspects)
        Offset per unit of what is still unknown of each suspect's amplitude.
    amplitude_var : array, shape (suspects,)
        Of that unknown.
    cover_mm2 : array, shape (looks, looks)
        Covariance of what no suspect explains, error of the eye included.
    extra_mm2 : array, shape (suspects,)
        What a suspect without a place adds to each reading's variance for itself.
    remarked : array, shape (suspects,)
        Chance that "comes and goes" is said at a look.
    """

    suspects: tuple[Suspect, ...]
    mean_mm: Floats
    shape_mm: Floats
    amplitude_var: Floats
    cover_mm2: Floats
    extra_mm2: Floats
    remarked: Floats


def drawn_suspects(standings: tuple[Standing, ...], count: int = DRAWN) -> tuple[Suspect, ...]:
    """Suspicions in proportion to their probability, `count` draws, those alike put together.

    Notes
    -----
    Systematic sampling: the draws stand at (i + 1/2) / count of the summed probability, in the
    order of classes and of places along the loop; nothing is left to chance.
    """
    ordered = sorted(standings, key=lambda one: (one.cause.cause_class, one.cause.slug))
    shares = [one.probability for one in ordered]
    ends = np.cumsum(np.concatenate(shares)) if shares else np.zeros(0)
    if not len(ends) or ends[-1] <= 0:
        return ()
    starts = np.cumsum([0, *[len(one) for one in shares]])
    wanted = (np.arange(count) + 0.5) / count * ends[-1]
    drawn: dict[tuple[CauseClass, tuple[int, int] | None], int] = {}
    for place in np.minimum(np.searchsorted(ends, wanted), len(ends) - 1):
        number = int(np.searchsorted(starts, place, "right")) - 1
        standing = ordered[number]
        column = None
        if standing.places is not None:
            column = standing.places.columns[int(place - starts[number])]
        key = (standing.cause.cause_class, column)
        drawn[key] = drawn.get(key, 0) + 1
    return tuple(
        Suspect(name, column, name in BELT_CLASSES, times / count)
        for (name, column), times in drawn.items()
    )


def predict(
    conveyor: ConveyorFacts, profile: Profile, suspects: tuple[Suspect, ...], looks: Looks
) -> Predictions:
    """What would be read at the looks, given what was read.

    Parameters
    ----------
    conveyor : ConveyorFacts
    profile : Profile
        What was read.
    suspects : tuple of Suspect
    looks : Looks
        At least one.

    Notes
    -----
    Under a suspect with template g and amplitude a ~ N(0, tau^2) all readings, taken and not, are
    normal around 0 with covariance S + tau^2 g g'; the readings taken are conditioned on.
    """
    read, loads = profile.readings, sorted(set(looks.load))
    faults = FaultFamilies(conveyor, models_of(conveyor, loads), looks.position_m, looks.load)
    place = np.concatenate([read.looks.position_m, looks.position_m])
    by_roll = np.concatenate([profile.by_roll_mm_deg, faults.by_roll_mm_deg])
    single = USUAL_BACKGROUND * IDLER_DEG * by_roll
    cover = wander_mm2(faults.loop, place, USUAL_BACKGROUND) + single @ single.T
    taken = len(read.offset_mm)
    own = cover[:taken, :taken] + np.diag(read.variance_mm2)
    gain = np.linalg.solve(own, cover[:taken, taken:]).T
    left = cover[taken:, taken:] - gain @ cover[:taken, taken:]
    left += READING_MM**2 * np.eye(len(left))
    g_seen, g_new, spreads = _templates(profile, faults, suspects)
    weighed = np.linalg.solve(own, g_seen)
    precision = 1 / spreads**2 + np.sum(g_seen * weighed, axis=0)
    amplitude = (read.offset_mm @ weighed) / precision
    shape = g_new - gain @ g_seen
    travels = np.array([one.is_travelling for one in suspects])
    placeless = np.array([one.column is None for one in suspects]) & ~travels
    chance = chance_of_seeing(conveyor, LOOKS_S[1], is_long=False)
    extra = np.where(travels, chance * _PASSING_MM**2, 0.0) + np.where(
        placeless, ERRATIC_MM**2, 0.0
    )
    return Predictions(
        suspects,
        (gain @ read.offset_mm)[:, None] + shape * amplitude,
        shape,
        1 / precision,
        left,
        extra,
        np.where(travels, chance * SAID_WHEN_CAUGHT, 0.0)
        + _SAID_OF_FIXED * np.where(travels, 1 - chance, 1.0),
    )


def _templates(
    profile: Profile, faults: FaultFamilies, suspects: tuple[Suspect, ...]
) -> tuple[Floats, Floats, Floats]:
    """Templates at the readings and at the looks, and usual sizes; 0 for what has no place."""
    families = faults.families()
    seen = np.zeros((len(profile.readings.offset_mm), len(suspects)))
    new = np.zeros((len(faults.by_roll_mm_deg), len(suspects)))
    spreads = np.ones(len(suspects))
    placed = [number for number, one in enumerate(suspects) if one.column is not None]
    columns = [one.column for one in suspects if one.column is not None]
    if columns:
        seen[:, placed], spreads[placed] = profile.shapes_of(columns)
        new[:, placed] = np.array(
            [families[family].influence_mm[:, candidate] for family, candidate in columns]
        ).T
    return seen, new, spreads
