"""Where the keeper mends a figure that the engineering check asks about or misses."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from django.urls import reverse
from django.utils.translation import gettext as _

from diagnostics.mechanics.register_check.findings import Check, Compared, Missing
from plant.models import Conveyor

# More links than this in one place lead nobody anywhere.
MOST_NAMES = 6
_CONVEYOR_FIELD = {
    Check.BELT_SPEED: "speed_mps",
    Check.TROUGH_ANGLE: "trough_angle_deg",
    Check.HEIGHTS_RISE: "lift_m",
    Check.TENSION: "take_up_tension_kn",
    Check.SLIP: "take_up_tension_kn",
    Check.TAKE_UP_MASS: "take_up_tension_kn",
    Check.SAG_CARRYING: "take_up_tension_kn",
    Check.SAG_RETURN: "take_up_tension_kn",
}
_HEIGHTS = (Check.HEIGHTS_RISE, Check.HEIGHTS_END, Check.SLOPE)
_BELT_FIELD = {
    Check.BELT_LENGTH: "length_m",
    Check.BELT_WIDTH: "width_mm",
    Check.TENSION: "mass_kg_m2",
    Check.SAG_RETURN: "mass_kg_m2",
}
_COMPONENT_FIELD = {
    Check.BELT_SPEED: "diameter_mm",
    Check.PULLEY_ORDER: "diameter_mm",
    Check.ROLL_SPEED: "diameter_mm",
    Check.SPACING: "spacing_m",
    Check.SAG_CARRYING: "spacing_m",
    Check.SAG_RETURN: "spacing_m",
    Check.GAP: "first_m",
    Check.TRANSITION: "first_m",
    Check.SLIP: "wrap_deg",
}
_MISSING_FROM_CONVEYOR = {
    Missing.CAPACITY: "capacity_tph",
    Missing.TAKE_UP_TENSION: "take_up_tension_kn",
}
_NO_COMPONENT = (Missing.TAKE_UP_PULLEY, Missing.CARRYING_IDLERS, Missing.RETURN_IDLERS)


@dataclass(frozen=True)
class Way:
    words: str
    href: str


@dataclass(frozen=True)
class Ways:
    """The links into one conveyor's register."""

    conveyor: Conveyor
    belt_pk: int | None
    component_pks: dict[str, int]

    def to_mend(self, compared: Compared) -> list[Way]:
        """The forms that hold the figures of a question."""
        check = compared.check
        found: list[Way] = []
        if check in _HEIGHTS:
            found.append(Way(_("Change the heights"), self._address("conveyor-heights")))
        if check in _CONVEYOR_FIELD:
            found.append(self._conveyor(_CONVEYOR_FIELD[check]))
        if check in _BELT_FIELD and self.belt_pk is not None:
            found.append(self._belt(_BELT_FIELD[check], self.belt_pk))
        if check in _COMPONENT_FIELD:
            found += self._components(compared.at, _COMPONENT_FIELD[check])
        return found

    def to_enter(self, missing: Missing, names: Iterable[str]) -> list[Way]:
        """The forms that would take a figure nobody registered; none for what is no figure."""
        if missing in _MISSING_FROM_CONVEYOR:
            return [self._conveyor(_MISSING_FROM_CONVEYOR[missing])]
        if missing is Missing.BELT:
            return [Way(_("Fit a belt"), self._address("belt-fit"))]
        if missing is Missing.BELT_MASS and self.belt_pk is not None:
            return [self._belt("mass_kg_m2", self.belt_pk)]
        if missing is Missing.LOOP:
            return [Way(_("To the conveyor's components"), self._address("conveyor"))]
        if missing in _NO_COMPONENT:
            return [Way(_("Add a component"), self._address("component-new"))]
        if missing in (Missing.ROLL_DIAMETER, Missing.PULLEY_DIAMETER):
            known = list(self._components(names, "diameter_mm"))
            return known or [Way(_("Add a component"), self._address("component-new"))]
        return []

    def _conveyor(self, field: str) -> Way:
        address = self._address("conveyor-edit")
        return Way(_("Change the conveyor's figures"), f"{address}#id_{field}")

    def _belt(self, field: str, pk: int) -> Way:
        return Way(_("Change the belt"), f"{self._address('belt-edit', pk)}#id_{field}")

    def _components(self, names: Iterable[str], field: str) -> Iterator[Way]:
        known = [name for name in names if name in self.component_pks]
        for name in known[:MOST_NAMES]:
            address = self._address("component-edit", self.component_pks[name])
            yield Way(_("Change %(name)s") % {"name": name}, f"{address}#id_{field}")

    def _address(self, name: str, *more: int) -> str:
        return reverse(name, args=[self.conveyor.plant.code, self.conveyor.tag, *more])


def names_words(names: Iterable[str]) -> str:
    """`A, B, C and 12 more`."""
    listed = list(names)
    shown = ", ".join(listed[:MOST_NAMES])
    left = len(listed) - MOST_NAMES
    if left <= 0:
        return shown
    return _("%(names)s and %(count)d more") % {"names": shown, "count": left}
