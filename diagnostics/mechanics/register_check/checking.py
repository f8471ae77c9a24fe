"""The engineering check of one conveyor's register: its one entry."""

from dataclasses import dataclass

from diagnostics.mechanics.register_check import height_checks, part_checks, path_checks
from diagnostics.mechanics.register_check.figures import Figures
from diagnostics.mechanics.register_check.findings import Check, Compared, Finding, Unchecked
from diagnostics.mechanics.register_check.tension_checks import Tensions, tensions

_ORDER = {check: place for place, check in enumerate(Check)}
_PLAIN = (
    path_checks.belt_length,
    part_checks.belt_speed,
    part_checks.belt_width,
    part_checks.trough_angle,
    height_checks.heights,
    part_checks.pulley_order,
    part_checks.spacing,
    path_checks.gaps,
    path_checks.transitions,
    part_checks.roll_speed,
)


@dataclass(frozen=True)
class Checked:
    """The findings by what they say, each in the order of the page."""

    asking: tuple[Compared, ...]
    agreeing: tuple[Compared, ...]
    unchecked: tuple[Unchecked, ...]
    tensions: Tensions


def check_register(figures: Figures) -> Checked:
    """Hold the figures of one conveyor against each other.

    Parameters
    ----------
    figures : Figures
        As registered; what is None is not checked, never guessed, but for the few figures that
        `Given.is_assumed` names.

    Returns
    -------
    Checked
        Nothing in it is a refusal: `asking` are questions to the keeper.
    """
    found: list[Finding] = [one for check in _PLAIN for one in check(figures)]
    by_tension = tensions(figures)
    found += by_tension.findings
    found.sort(key=lambda one: _ORDER[one.check])
    compared = [one for one in found if isinstance(one, Compared)]
    return Checked(
        asking=tuple(one for one in compared if one.asks),
        agreeing=tuple(one for one in compared if not one.asks),
        unchecked=tuple(one for one in found if isinstance(one, Unchecked)),
        tensions=by_tension,
    )
