"""Checks of the belt's tension: grip of the drive, sag between the sets, weight of the take-up."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from diagnostics.mechanics.register_check import limits
from diagnostics.mechanics.register_check.figures import Figures
from diagnostics.mechanics.register_check.findings import (
    Check,
    Finding,
    Given,
    Missing,
    Quantity,
    Unchecked,
    Unit,
    about,
    at_least,
)
from diagnostics.mechanics.register_check.formulas import (
    counterweight_kg,
    length_coefficient,
)
from diagnostics.mechanics.register_check.sagging import Sagging, SagLimit
from diagnostics.mechanics.register_check.tension_profile import TensionProfile
from diagnostics.mechanics.tension import (
    CARRYING_ROLLS_KG_M2,
    LAGGED_FRICTION,
    RETURN_ROLLS_KG_M2,
    Strands,
    least_slack_tension_n,
)
from plant.loop.path import Loop
from plant.loop.vocabulary import ComponentKind, Run

_BY_TENSION = (Check.TENSION, Check.SLIP, Check.SAG_CARRYING, Check.SAG_RETURN)


@dataclass(frozen=True)
class Need:
    """Least tension of one strand at the take-up, for one reason. [N]"""

    check: Check
    strand_n: float

    @property
    def counterweight_kg(self) -> float:
        return counterweight_kg(self.strand_n)


@dataclass(frozen=True)
class Tensions:
    """What could be computed; `loaded` is None where the capacity is not known."""

    findings: tuple[Finding, ...]
    empty: TensionProfile | None = None
    loaded: TensionProfile | None = None
    needs: tuple[Need, ...] = ()
    sag_limits: tuple[SagLimit, ...] = ()


def tensions(figures: Figures) -> Tensions:
    """Every check that needs the tension, or what is missing for it."""
    missing = _missing(figures)
    if missing is not None:
        return Tensions(
            (*(Unchecked(check, missing) for check in _BY_TENSION), *take_up_mass(figures))
        )
    empty = _profile(figures, 0.0)
    load_kg_m = figures.load_kg_m
    loaded = None if load_kg_m is None else _profile(figures, load_kg_m)
    carrying = None if loaded is None else Sagging(Run.CARRYING, loaded)
    returning = Sagging(Run.RETURN, empty)
    pairs = [
        _least(empty, loaded),
        _slip(empty, loaded),
        _sag(Check.SAG_CARRYING, carrying),
        _sag(Check.SAG_RETURN, returning),
    ]
    findings = [finding for finding, _lacking in pairs]
    needs = [
        Need(finding.check, empty.known_n + lacking)
        for finding, lacking in pairs
        if lacking is not None
    ]
    sag_limits = tuple(
        limit
        for sagging in (carrying, returning)
        if sagging is not None and sagging.groups
        for limit in sagging.limits
    )
    return Tensions((*findings, *take_up_mass(figures)), empty, loaded, tuple(needs), sag_limits)


def take_up_mass(figures: Figures) -> Iterator[Finding]:
    """The registered tension against the weight somebody read."""
    if not figures.is_weighted:
        return
    mass_kg, strand_n = figures.readings.take_up_mass_kg, figures.take_up_tension_n
    if mass_kg is None or strand_n is None:
        missing = Missing.TAKE_UP_MASS if mass_kg is None else Missing.TAKE_UP_TENSION
        yield Unchecked(Check.TAKE_UP_MASS, missing)
        return
    yield about(
        Check.TAKE_UP_MASS,
        counterweight_kg(strand_n),
        mass_kg,
        Unit.KILOGRAM,
        within=limits.TAKE_UP_WITHIN_SHARE * mass_kg,
        given=(Given("T", Quantity(strand_n, Unit.NEWTON)),),
    )


def _missing(figures: Figures) -> Missing | None:
    """The first figure that is needed for any tension and is not there."""
    if figures.loop is None:
        return Missing.LOOP
    if figures.belt is None:
        return Missing.BELT
    if figures.belt.mass_kg_m is None:
        return Missing.BELT_MASS
    if figures.strand_n is None:
        return Missing.TAKE_UP_TENSION
    has_pulley = bool(figures.loop.of_kind(ComponentKind.TAKE_UP_PULLEY))
    return Missing.TAKE_UP_PULLEY if figures.is_weighted and not has_pulley else None


def _profile(figures: Figures, load_kg_m: float) -> TensionProfile:
    loop, belt, strand_n = figures.loop, figures.belt, figures.strand_n
    assert loop is not None
    assert belt is not None
    assert belt.mass_kg_m is not None
    assert strand_n is not None
    width_m = belt.width_mm / 1000
    strands = Strands(
        belt_kg_m=belt.mass_kg_m,
        load_kg_m=load_kg_m,
        carrying_rolls_kg_m=CARRYING_ROLLS_KG_M2 * width_m,
        return_rolls_kg_m=RETURN_ROLLS_KG_M2 * width_m,
        lift_m=figures.lift_m,
        centre_m=max(loop.head_m, 1.0),
    )
    return TensionProfile(loop, strands, figures.drives, _known_at_m(figures, loop), strand_n)


def _known_at_m(figures: Figures, loop: Loop) -> float:
    """A screw is registered where the belt leaves the tail; so is a fixed pulley."""
    take_ups = loop.of_kind(ComponentKind.TAKE_UP_PULLEY)
    return take_ups[0].first_m if figures.is_weighted and take_ups else 0.0


# Each of these says the finding and how much tension is lacking, below 0 what is to spare.
_Said = tuple[Finding, float | None]


def _least(empty: TensionProfile, loaded: TensionProfile | None) -> _Said:
    """The least tension anywhere, which is above zero in a belt that hangs together."""
    profiles = [one for one in (empty, loaded) if one is not None]
    least_n = min(float(one.at_n(np.array(one.corners_m())).min()) for one in profiles)
    finding = at_least(
        Check.TENSION, least_n, 0.0, Unit.NEWTON, given=(*_masses(profiles[-1]), _strand(empty))
    )
    return finding, None


def _slip(empty: TensionProfile, loaded: TensionProfile | None) -> _Said:
    """Tension behind the drive against what it needs to pull the full belt."""
    if loaded is None:
        return Unchecked(Check.SLIP, Missing.CAPACITY), None
    profile = max((empty, loaded), key=lambda one: one.pull_n)
    if min(empty.pull_n, loaded.pull_n) <= 0:
        return Unchecked(Check.SLIP, Missing.BRAKING), None
    needed_n = least_slack_tension_n(profile.pull_n, LAGGED_FRICTION, profile.wrap_rad)
    finding = at_least(
        Check.SLIP,
        profile.behind_drive_n,
        needed_n,
        Unit.NEWTON,
        at=tuple(drive.name for drive in profile.drives),
        given=(
            Given("F_U", Quantity(profile.pull_n, Unit.NEWTON)),
            Given(
                "C", Quantity(length_coefficient(profile.loop.head_m), Unit.NUMBER), is_assumed=True
            ),
            Given("mu", Quantity(LAGGED_FRICTION, Unit.NUMBER), is_assumed=True),
            Given("alpha", Quantity(float(np.degrees(profile.wrap_rad)), Unit.DEGREE)),
            *_masses(profile),
            _strand(profile),
        ),
    )
    return finding, needed_n - profile.behind_drive_n


def _sag(check: Check, sagging: Sagging | None) -> _Said:
    if sagging is None:
        return Unchecked(check, Missing.CAPACITY), None
    if not sagging.groups:
        is_carrying = sagging.run is Run.CARRYING
        missing = Missing.CARRYING_IDLERS if is_carrying else Missing.RETURN_IDLERS
        return Unchecked(check, missing), None
    return sagging.largest(check), sagging.lacking_n


def _strand(profile: TensionProfile) -> Given:
    return Given("T_0", Quantity(profile.known_n, Unit.NEWTON))


def _masses(profile: TensionProfile) -> tuple[Given, ...]:
    strands = profile.strands
    return (
        Given("f", Quantity(profile.friction, Unit.NUMBER), is_assumed=True),
        Given("q_B", Quantity(strands.belt_kg_m, Unit.KILOGRAM_PER_METRE)),
        Given("q_G", Quantity(strands.load_kg_m, Unit.KILOGRAM_PER_METRE)),
        Given("q_RO", Quantity(strands.carrying_rolls_kg_m, Unit.KILOGRAM_PER_METRE), True),
        Given("q_RU", Quantity(strands.return_rolls_kg_m, Unit.KILOGRAM_PER_METRE), True),
    )
