"""The stations somebody means who writes down a shift."""

from dataclasses import dataclass
from difflib import get_close_matches

from django.utils.translation import gettext as _

from plant.loop.idler_sets import sets_of
from plant.loop.set_choice import CannotChoose, choose_sets
from plant.models import Component, Conveyor
from plant.roll_words import refused_choice, set_words
from plant.selectors.idlers import rows_of
from plant.services.register_refusals import FigureRefused

MOST_STATIONS = 60
FIELD = "stations"


@dataclass(frozen=True)
class Place:
    station: str
    kind: str
    run: str
    position_m: float


def places_meant(conveyor: Conveyor, typed: str) -> list[Place]:
    """Components by name and idler sets as `C9-C12, R3`; refuses with FigureRefused on `stations`.

    Works on a register whose loop is not complete, too.
    """
    components = list(conveyor.components.all())
    single = {one.name.casefold(): one for one in components if not one.is_idler}
    said = [part.strip() for part in typed.split(",") if part.strip()]
    places = [_of_component(single[one.casefold()]) for one in said if one.casefold() in single]
    sets = ", ".join(one for one in said if one.casefold() not in single)
    if sets or not said:
        places += _sets(components, sets)
    if len(places) > MOST_STATIONS:
        raise FigureRefused(
            _("At most %(most)d stations are written down at once.") % {"most": MOST_STATIONS},
            FIELD,
        )
    return places


def _of_component(one: Component) -> Place:
    return Place(one.name, one.kind, one.run, float(one.first_m))


def _sets(components: list[Component], typed: str) -> list[Place]:
    try:
        found = choose_sets(typed, sets_of(rows_of(components)))
    except CannotChoose as refusal:
        raise FigureRefused(_unknown(components, refusal), FIELD) from refusal
    parts = {one.pk: one.as_part() for one in components}
    return [
        Place(set_words(parts[one.key or 0], one.place), one.kind.value, one.run.value, one.at_m)
        for one in found
    ]


def _unknown(components: list[Component], refusal: CannotChoose) -> str:
    if refusal.code == "empty":
        return _("Say where: a set such as C12, several as C9-C12, or a pulley by its name.")
    words = refused_choice(refusal)
    if not refusal.said:
        return words
    names = {one.name.casefold(): one.name for one in components}
    near = get_close_matches(refusal.said.casefold(), names, n=3, cutoff=0.5)
    if not near:
        return words
    return words + " " + _("Nearest: %(names)s.") % {"names": ", ".join(names[one] for one in near)}
