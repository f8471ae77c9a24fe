"""The profile's closed forms against brute-force integration over the amplitudes."""

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import dblquad, quad
from scipy.stats import multivariate_normal

from diagnostics.inference.belt_lines import models_of
from diagnostics.inference.fault_families import FaultFamilies
from diagnostics.inference.pair_evidence import second_in_place
from diagnostics.inference.pair_suspects import Placed
from diagnostics.inference.profile import SIZES, Profile
from diagnostics.inference.readings import readings_of
from diagnostics.inference.travelling import Passing
from diagnostics.inference.vocabulary import LoadState
from tests.diagnostics import belts
from tests.diagnostics.belts import FEEDER, conveyor, evidence, walk

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


@pytest.mark.parametrize(
    "name", ["idlers carrying", "bow return", "loading", "skew HEAD", "taper TAIL", "idlers return"]
)
def test_likelihood_of_a_template_is_the_integral_over_its_amplitude(profile, name):
    (family, candidate), shape = template(profile, name)
    spread, seen = profile._families[family].spread, profile.readings.offset_mm

    def density(amplitude: float, cover: np.ndarray, size: float) -> float:
        prior = math.exp(-0.5 * (amplitude / (size * spread)) ** 2)
        prior /= size * spread * math.sqrt(2 * math.pi)
        return prior * float(multivariate_normal.pdf(seen, amplitude * shape, cover))

    integrals = [
        quad(
            density,
            -FAR * size * spread,
            FAR * size * spread,
            args=(cover, size),
            limit=400,
            points=[0.0],
            epsabs=0,
        )[0]
        for cover in covers(profile)
        for size in SIZES
    ]

    closed = profile.fits()[family].log_likelihood[candidate]
    assert closed == pytest.approx(math.log(np.mean(integrals)), abs=1e-6)


def test_expected_amplitude_is_the_mean_under_the_posterior(profile):
    (family, candidate), shape = template(profile, "skew HEAD")
    spread, seen = profile._families[family].spread, profile.readings.offset_mm
    grid = np.linspace(-FAR * 2 * spread, FAR * 2 * spread, 20_001)
    total, moment = 0.0, 0.0
    for cover in covers(profile):
        inverse, (_, log_det) = np.linalg.inv(cover), np.linalg.slogdet(cover)
        left = seen[:, None] - shape[:, None] * grid
        log_seen = -0.5 * (np.einsum("ig,ij,jg->g", left, inverse, left) + log_det)
        for size in SIZES:
            weight = np.exp(log_seen - 0.5 * (grid / (size * spread)) ** 2) / size
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


def test_likelihood_of_what_travels_is_the_mean_of_normal_densities(profile):
    seen = profile.readings.offset_mm
    rng = np.random.default_rng(3)
    passings = [
        Passing(rng.normal(0, 20, len(seen)), rng.uniform(0, 30, len(seen)), -float(number))
        for number in range(5)
    ]
    densities = [
        math.exp(one.log_said)
        * multivariate_normal.pdf(seen, one.expected_mm, cover + np.diag(one.spread_mm**2))
        for cover in covers(profile)
        for one in passings
    ]

    assert profile.moving(passings) == pytest.approx(math.log(np.mean(densities)), abs=1e-9)


def test_many_readings_are_taken_in_parts_and_give_the_same(profile, monkeypatch):
    seen = profile.readings.offset_mm
    passings = [
        Passing(np.full(len(seen), 3.0 * n), np.full(len(seen), 5.0), 0.0) for n in range(9)
    ]
    whole = profile.moving(passings)
    monkeypatch.setattr("diagnostics.inference.profile._MOST_AT_ONCE", 1)

    assert profile.moving(passings) == pytest.approx(whole, abs=1e-12)
