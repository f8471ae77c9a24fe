"""The profile's closed forms against brute-force integration over the amplitudes."""

import math
from collections.abc import Callable
from dataclasses import replace
from itertools import product

import numpy as np
import pytest
from scipy.integrate import dblquad, quad
from scipy.stats import multivariate_normal, norm

from diagnostics.inference.belt_lines import models_of
from diagnostics.inference.catching import LEAST_CHANCE, Passing
from diagnostics.inference.effect_sizes import LARGEST, PEAK_SPREAD, PEAKS_MM
from diagnostics.inference.fault_families import FaultFamilies
from diagnostics.inference.pairs.evidence import second_in_place
from diagnostics.inference.pairs.suspects import Placed
from diagnostics.inference.profile import Profile
from diagnostics.inference.readings import readings_of
from diagnostics.inference.vocabulary import LoadState
from tests.diagnostics import belts
from tests.diagnostics.belts import FEEDER, conveyor, evidence, walk

# Integrated by brute force, in seconds each.
pytestmark = pytest.mark.slow

# As many spreads of the amplitude as the integral is taken over to either side.
FAR = 9.0


@pytest.fixture(scope="module")
def profile() -> Profile:
    """Eight readings of a short conveyor, in both load states."""
    facts = conveyor(FEEDER)
    seen = walk(facts, 20, about=12)[:6]
    empty = [replace(one, load=LoadState.EMPTY) for one in seen[3:5]]
    readings = readings_of(evidence(facts, (*seen, *empty)))
    looks = readings.looks
    models = models_of(facts, sorted(set(looks.load)))
    return Profile(readings, FaultFamilies(facts, models, looks.position_m, looks.load))


def covers(profile: Profile) -> list[np.ndarray]:
    """Covariance of the readings under each background."""
    return list(profile.covers)


def template(profile: Profile, name: str, number: int = 0) -> tuple[tuple[int, int], np.ndarray]:
    """The middle candidate of a family, counted among families of that name."""
    found = [i for i, one in enumerate(profile._families) if one.name == name][number]
    family = profile._families[found]
    middle = len(family.position_m) // 2
    return (found, middle), family.influence_mm[:, middle]


def prior(profile: Profile, family: int, candidate: int) -> Callable[[float], float]:
    """Density of the amplitude of a candidate, times its weight within the family, from scratch."""
    families = profile._families
    first = sum(len(one.position_m) for one in families[:family])
    peaks_mm = profile._peaks_mm[first : first + len(families[family].position_m)]
    spread = families[family].spread

    def weight(middle: float) -> float:
        return math.exp(-0.5 * (middle / spread / LARGEST) ** 4)

    mean = np.mean([sum(weight(peak / one) for peak in PEAKS_MM) for one in peaks_mm])
    middles = [peak / peaks_mm[candidate] for peak in PEAKS_MM]

    def density(amplitude: float) -> float:
        return sum(
            weight(one) / mean * 0.5 * float(norm.pdf(amplitude, sign * one, PEAK_SPREAD * one))
            for one in middles
            for sign in (1, -1)
        )

    return density


def reach(profile: Profile, family: int, candidate: int) -> float:
    """An amplitude beyond which no size that is averaged over lies."""
    first = sum(len(one.position_m) for one in profile._families[:family])
    largest = max(PEAKS_MM) / profile._peaks_mm[first + candidate]
    return float(largest * (1 + FAR * PEAK_SPREAD))


@pytest.mark.parametrize(
    "name", ["idlers carrying", "bow return", "loading", "skew HEAD", "taper TAIL", "idlers return"]
)
def test_likelihood_of_a_template_is_the_integral_over_its_amplitude(profile, name):
    (family, candidate), shape = template(profile, name)
    seen = profile.readings.offset_mm
    density, far = prior(profile, family, candidate), reach(profile, family, candidate)

    def joint(amplitude: float, cover: np.ndarray) -> float:
        likelihood = multivariate_normal.pdf(seen, amplitude * shape, cover)
        return density(amplitude) * float(likelihood)

    integrals = [
        quad(joint, -far, far, args=(cover,), limit=400, points=[0.0], epsabs=0)[0]
        for cover in covers(profile)
    ]

    closed = profile.fits()[family].log_likelihood[candidate]
    assert closed == pytest.approx(math.log(np.mean(integrals)), abs=1e-6)


def test_expected_amplitude_is_the_mean_under_the_posterior(profile):
    (family, candidate), shape = template(profile, "skew HEAD")
    seen = profile.readings.offset_mm
    density, far = prior(profile, family, candidate), reach(profile, family, candidate)
    grid = np.linspace(-far, far, 8_001)
    before = np.array([density(one) for one in grid])
    total, moment = 0.0, 0.0
    for cover in covers(profile):
        inverse, (_, log_det) = np.linalg.inv(cover), np.linalg.slogdet(cover)
        left = seen[:, None] - shape[:, None] * grid
        weight = before * np.exp(-0.5 * (np.einsum("ig,ij,jg->g", left, inverse, left) + log_det))
        total, moment = total + weight.sum(), moment + (weight * grid).sum()

    assert profile.fits()[family].amplitude[candidate] == pytest.approx(moment / total, rel=1e-6)


@pytest.mark.parametrize(
    "names", [("idlers carrying", "skew HEAD"), ("bow carrying", "taper TAIL")], ids=str
)
def test_evidence_of_a_pair_is_the_integral_over_both_amplitudes(profile, names):
    columns, shapes = zip(*(template(profile, name) for name in names), strict=True)
    spreads = [profile._families[family].spread for family, _ in columns]
    seen = profile.readings.offset_mm
    cause = next(iter(belts.knowledge().causes.values()))
    placed = [Placed(cause, 0.0, 0.0, 0.0, None, column) for column in columns]

    added = second_in_place(profile, placed, 1)[0, 1]

    joint, alone = [], []
    for cover in covers(profile):
        normal = multivariate_normal(np.zeros(len(seen)), cover)

        def density(one: float, other: float, normal=normal) -> float:
            prior = math.exp(-0.5 * (one**2 + other**2)) / (2 * math.pi)
            left = seen - one * spreads[0] * shapes[0] - other * spreads[1] * shapes[1]
            return prior * float(normal.pdf(left))

        def first_alone(one: float, normal=normal) -> float:
            prior = math.exp(-0.5 * one**2) / math.sqrt(2 * math.pi)
            return prior * float(normal.pdf(seen - one * spreads[0] * shapes[0]))

        scale = float(normal.pdf(seen))
        joint.append(dblquad(density, -7, 7, -7, 7, epsrel=1e-6, epsabs=1e-9 * scale)[0])
        alone.append(quad(first_alone, -7, 7, epsabs=1e-9 * scale)[0])
    assert added == pytest.approx(math.log(sum(joint) / sum(alone)), abs=1e-4)


def passing(profile: Profile, chance: np.ndarray, number: int = 0) -> Passing:
    rng = np.random.default_rng(number)
    size = len(profile.readings.offset_mm)
    return Passing(rng.normal(0, 30, size), rng.uniform(2, 15, size), chance, -float(number))


def test_what_is_hardly_ever_caught_is_the_mean_of_normal_densities(profile):
    seen = profile.readings.offset_mm
    chance = np.full(len(seen), 0.9 * LEAST_CHANCE)
    passings = [passing(profile, chance, number) for number in range(5)]
    densities = [
        math.exp(one.log_weight)
        * multivariate_normal.pdf(seen, one.expected_mm, cover + np.diag(one.spread_mm**2))
        for cover in covers(profile)
        for one in passings
    ]

    assert profile.moving(passings) == pytest.approx(math.log(np.mean(densities)), abs=1e-9)


@pytest.mark.parametrize("likely", [0.1, 0.6])
def test_both_sides_of_a_defect_give_what_each_gives_alone(profile, likely):
    chance = np.full(len(profile.readings.offset_mm), likely)
    right = passing(profile, chance)
    left = replace(right, offset_mm=-right.offset_mm)

    apart = [profile.moving([one]) for one in (right, left)]

    assert left.mirrors(right)
    assert profile.moving([right, left]) == pytest.approx(
        math.log(np.mean(np.exp(np.array(apart)))), abs=1e-9
    )


@pytest.mark.parametrize("likely", [{2}, {0, 5}, {1, 3, 4}], ids=str)
def test_what_may_have_been_caught_is_close_to_the_mixture_over_who_caught_it(profile, likely):
    seen = profile.readings.offset_mm
    chance = np.where([one in likely for one in range(len(seen))], 0.6, 0.0)
    one = passing(profile, chance)

    def density(cover: np.ndarray, caught: tuple[bool, ...]) -> float:
        took = np.array(caught, dtype=float)
        weight = np.prod(np.where(took == 1, chance, 1 - chance))
        spread = np.diag(took * one.offset_spread_mm**2)
        return float(weight * multivariate_normal.pdf(seen, took * one.offset_mm, cover + spread))

    every = list(product([False, True], repeat=len(seen)))
    mixture = np.mean([sum(density(cover, one) for one in every) for cover in covers(profile)])

    # With one such reading the answer is exact; with more, neighbours are brought back to a normal.
    near = 1e-9 if len(likely) == 1 else 0.15
    assert profile.moving([one]) == pytest.approx(math.log(mixture), abs=near)


def test_many_readings_are_taken_in_parts_and_give_the_same(profile, monkeypatch):
    whole = profile.erratic()
    monkeypatch.setattr("diagnostics.inference.profile._MOST_AT_ONCE", 1)

    assert profile.erratic() == pytest.approx(whole, abs=1e-12)
