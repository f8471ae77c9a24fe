"""The idler set somebody names in a form, as its group's row and its place there."""

from django.utils.translation import gettext as _

from plant.loop.idler_sets import sets_of
from plant.loop.set_choice import CannotChoose, choose_sets
from plant.models import Conveyor
from plant.roll_words import refused_choice
from plant.selectors.idlers import rows_of
from plant.services.register_refusals import FigureRefused


def place_of_set(
    conveyor: Conveyor, component_id: int | None, typed: str
) -> tuple[int | None, int | None]:
    """Row and place of one set, typed by number or name; refuses with FigureRefused on `set`.

    Without a set the component stands as it is.
    """
    if not typed.strip():
        return component_id, None
    components = list(conveyor.components.all())
    asked = next((one for one in components if one.pk == component_id), None)
    series = asked.as_part().prefix if asked and asked.is_idler else ""
    try:
        found = choose_sets(typed, sets_of(rows_of(components)), series)
    except CannotChoose as refusal:
        raise FigureRefused(refused_choice(refusal), "set") from refusal
    if len(found) != 1:
        raise FigureRefused(_("Name one set, such as C12."), "set")
    return found[0].key, found[0].place
